"""Rotors in the cross-section as they are given and chosen: areas and radii read back from what is drawn."""

from dataclasses import replace

import numpy as np
import pytest
from test_section import BRIEFS, CASES, area, draw, pieces, radius

from scaling import Brief, choose


def test_a_cage_as_given_is_drawn_as_given():
    brief = Brief(rotor_diameter="20 mm", bar_share=0.6, rotor_slot_opening_ratio=0.1)
    design = choose(brief)["induction"]
    made = draw(design, brief)
    D, t, tip = (made.unit * length for length in (0.02, design.values["rotor_thickness"], 0.1e-3))
    assert area(made.outlines["bars"]) == pytest.approx(0.6 * np.pi * (D - t - tip) * (t - tip), rel=2e-3)
    r, angle = radius(made.outlines["rotor surface"]), np.arctan2(*made.outlines["rotor surface"].T)
    on_surface = np.diff(angle[np.isclose(r, D / 2)])
    gaps = np.abs(on_surface[np.abs(on_surface) > 0.03])  # wider than between two points of an arc
    assert gaps[gaps < 1] == pytest.approx(0.1 * 2 * np.pi / len(pieces(made.outlines["bars"])))


@pytest.mark.parametrize("kind", ["sheet", "hysteresis"])
def test_layers_on_a_core(kind):
    brief = Brief(rotor_diameter="20 mm", gap_floor="20 um", induction_rotor="sheet")
    design = choose(brief)["induction" if kind == "sheet" else kind]
    made = draw(design, brief)
    D, t = (made.unit * design.values[n] for n in ("rotor_diameter", "rotor_thickness"))
    layer, core = ("sheet", "rotor core") if kind == "sheet" else ("ring", "hub")
    assert radius(made.outlines[f"rotor surface, {layer}"]) == pytest.approx(D / 2)
    assert radius(made.outlines[core]) == pytest.approx(D / 2 - t)
    names = " ".join(text.get_text().replace("\n", " ").replace("\xa0", " ") for text in made.ax.texts)
    assert f"{layer}: {design.material}" in names and ("not magnetic" in names) == (kind == "hysteresis")


@pytest.mark.parametrize("name", [name for name, kind in CASES if kind == "reluctance"])
def test_salient_poles(name):
    brief = replace(BRIEFS[name], reluctance_rotor="salient")
    design = choose(brief)["reluctance"]
    made = draw(design, brief)
    D, t = (made.unit * design.values[n] for n in ("rotor_diameter", "rotor_thickness"))
    outline = made.outlines["rotor surface, poles"]
    core = np.pi * (D / 2 - t) ** 2
    assert area(outline) == pytest.approx(core + design.values["pole_arc"] * (np.pi * D**2 / 4 - core), rel=2e-4)
    steps = np.abs(np.diff(radius(outline))) > 0.9 * t
    assert steps.sum() == 4 * design.pole_pairs
