"""Windings as rewinders know them, and currents as plates have them, against windings of designs; nothing is fitted."""

import json
import math

import numpy as np
import pytest
from published import frames as standard
from published.standard_motors import PLATES
from repository import ROOT
from test_windings_voltage import alone

from scaling.decision.windings import winding
from scaling.laws import winding as law

WOUND = json.loads((ROOT / "tests" / "practice" / "windings.json").read_text(encoding="utf-8"))
FRAMES = {frame.name: frame for frame in standard.frames()}


def test_conductors_wires_and_currents_of_a_series():
    # Conductors a slot 0.85 to 0.97 of those from memory, median 0.91: their field is a tenth weaker than predicted
    # machines', which are stronger than their rating. Sections 0.72 to 1.04: slots of the rule hold less copper.
    ratios, sections, currents = [], [], []
    for name, slots, connection, paths, conductors, section in WOUND["data"][::3]:
        frame = FRAMES[name]
        given = {"voltage": "380 V", "connection": connection, "parallel_paths": paths}
        asked = standard.brief(frame, frame.rating, slots_per_pole_and_phase=slots // 12, **given)
        found = winding(alone(asked, merit=standard.MERIT), "induction")
        assert found.slots == slots and found.feasible
        ratios.append(found.ideal_conductors / conductors)
        sections.append(found.strands * math.pi / 4 * found.wire_diameter.m_as("mm") ** 2 / section)
        rated = [plate for plate in PLATES if plate["frame"] == name][-1]
        per_watt = 1 / (math.sqrt(3) * 380 * rated["power_factor"] * rated["efficiency"] / 100)
        currents.append(found.line_current.m / found.power.m / per_watt)
    print("conductors", np.round(ratios, 2), "sections", np.round(sections, 2), "currents", np.round(currents, 2))
    assert min(ratios) > 0.84 and max(ratios) < 0.98 and np.median(ratios) == pytest.approx(0.91, abs=0.02)
    assert min(sections) > 0.7 and max(sections) < 1.1
    assert min(currents) > 0.92 and max(currents) < 1.02  # of plates, for the same power: efficiency times cos phi


def test_resistance_of_a_rewound_frame_by_hand():
    # 132M: 36 slots, 35 conductors of 2 x 1.06 mm in a core of 160 mm; mean turn 0.72 m, about (common practice).
    section = float(law.conductor_section(n_s=2, d_w=1.06e-3))
    turns = float(law.turns_in_series(z_s=35, p=2, c_q=3, n_a=1))
    R = law.phase_resistance(rho=1 / 58e6, w_t=turns, L=0.16, e=0.36 / 0.16 - 1, n_a=1, a_w=section)
    assert float(R) == pytest.approx(210 * 0.72 / 58e6 / 1.765e-6, rel=1e-3) and float(R) == pytest.approx(
        1.48, abs=0.01
    )
