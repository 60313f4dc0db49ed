"""The drawn flux barriers, read back and held against the machine's numbers and the flat half rings of the laws."""

from dataclasses import replace

import numpy as np
import pytest
from test_section import BRIEFS, area, draw, pieces, radius

from scaling import Brief, choose
from scaling.machines import reluctance, stator
from scaling.machines.fed import feed
from scaling.pictures.barriers import sizes

GIVEN = {
    "hoist": BRIEFS["hoist"],
    "filter wheel": BRIEFS["filter wheel"],
    "twelve poles": Brief(rotor_diameter="220 mm", pole_pairs=6, gap_floor="0.5 mm"),
    "few, thick": Brief(rotor_diameter="15 mm", gap_floor="30 um", pole_pairs=2),
    "wide, many": Brief(rotor_diameter="300 mm", barriers=12, barrier_share=0.65, rib_ratio=0.001),
    "one, and a large shaft": Brief(rotor_diameter="40 mm", barriers=1, bearing_diameter_ratio=1.0),
    "half a millimetre": Brief(
        rotor_diameter="0.9 mm",
        gap_floor="2 um",
        rib_floor="10 um",
        slot_pitch_floor="20 um",
        supply_frequency="10 Hz",
        bearing_friction=0.0015,
    ),
}
CASES = {name: replace(given, reluctance_rotor="flux barriers", self_starting=False) for name, given in GIVEN.items()}
EACH = pytest.mark.parametrize("name", CASES)


@pytest.fixture(scope="module")
def made():
    """Return {name: (design, what is drawn)}."""
    found = {}
    for name, brief in CASES.items():
        design = choose(brief)["reluctance"]
        assert design.material == "sheet, flux barriers"
        found[name] = design, draw(design, brief)
    return found


def machine(name, design):
    """Return the machine's own rotor."""
    return iron(CASES[name].si, design.values["rotor_diameter"], design.pole_pairs, design.values.get("place of iron"))


def iron(si, D, p, place):
    """Return a barred rotor; its share of barriers at a place of the search."""
    found = {"barred": np.array([[True]]), "depth": 1.0} | ({} if place is None else {"iron": np.array([[place]])})
    return reluctance._iron(feed(stator.round_stator(si, [D], np.array([[float(p)]])), 50.0), found)


def barriers_of(name, design):
    """Return the machine's own number of barriers per pole."""
    return machine(name, design).form["barriers"].item()


@EACH
def test_number_and_ribs_are_the_machines(name, made):
    design, drawn = made[name]
    rotor, D = machine(name, design), drawn.unit * design.values["rotor_diameter"]
    barriers = drawn.outlines["barriers"]
    assert len(pieces(barriers)) == 2 * design.pole_pairs * barriers_of(name, design)
    assert D / 2 - np.nanmax(radius(barriers)) == pytest.approx(drawn.unit * rotor.rib.item(), rel=1e-6)
    assert radius(drawn.outlines["rotor surface"]) == pytest.approx(D / 2)
    names = " ".join(text.get_text().replace("\n", " ").replace("\xa0", " ") for text in drawn.ax.texts)
    assert f"{barriers_of(name, design):.0f} barrier" in names and "ribs of " in names


@pytest.mark.parametrize(
    "given", [{}, {"barrier_share": 0.65, "barriers": 9}, {"rib_floor": "0.1 mm", "rib_ratio": 0.02}]
)
def test_number_and_ribs_are_the_machines_at_every_size(given):
    si = Brief(rotor_diameter="20 mm", **given).si
    counts = set()
    for D in np.geomspace(5e-3, 0.5, 40):
        for p in (2, 3, 5, 8):
            rotor = iron(si, D, p, 0.4)
            number, share = (rotor.form[name].item() for name in ("barriers", "barrier_share"))
            drawn = sizes(R=1e3 * D / 2, p=p, si=si, number=number, share=share, per_metre=1e3)
            assert drawn.rib == pytest.approx(1e3 * rotor.rib.item())
            # All of them a rib thick at least, and one more would not fit.
            thinnest = [np.pi * D / (2 * p) / (2 * n + 1) * min(share, 1 - share) for n in (number, number + 1)]
            assert thinnest[0] >= rotor.rib.item() * (1 - 1e-9) or number == 1
            assert thinnest[1] < rotor.rib.item() or number == si.barriers
            counts.add(number)
    assert len(counts) >= 3, "sizes with few barriers and with many"


@EACH
def test_barriers_are_the_half_rings_of_the_laws_bent_onto_the_rotor(name, made):
    """Areas by counting points that lie, on the flat rotor x = R*angle, y = R*log(R/r), in a ring and under the rib."""
    design, drawn = made[name]
    rotor, R = machine(name, design), drawn.unit * design.values["rotor_diameter"] / 2
    number, share, rib = int(barriers_of(name, design)), design.values["barrier_share"], drawn.unit * rotor.rib.item()
    tau = np.pi * R / design.pole_pairs
    r = np.linspace(0, R - rib, 1501)[1:, None] - (R - rib) / 3000
    x, y = np.linspace(0, tau / 2, 801) - tau / 3200, R * np.log(R / r)
    away = np.hypot(x, y) / (tau / (2 * number + 1))
    per_barrier = [
        2 * np.sum(r * (np.abs(away - i) < share / 2)) * (R - rib) / 1500 * tau / 1600 / R for i in range(1, number + 1)
    ]
    found = [area(piece) for piece in pieces(drawn.outlines["barriers"])]
    poles = 2 * design.pole_pairs
    for i, expected in enumerate(per_barrier):
        assert found[i * poles : (i + 1) * poles] == pytest.approx([expected] * poles, rel=0.02)


@EACH
def test_barriers_lie_around_the_q_axis_clear_of_each_other_and_of_the_shaft(name, made):
    design, drawn = made[name]
    parts = pieces(drawn.outlines["barriers"])
    poles = 2 * design.pole_pairs
    (x, high), _ = (text.xy for text in drawn.inset.texts if not text.get_text())  # the gap is measured over a pole
    of_a_pole = parts[::poles]
    low = [radius(part).min() for part in of_a_pole]
    assert np.all(np.diff(low) < 0), "each lies below the one before"
    for inner, outer in zip(of_a_pole, of_a_pole[1:], strict=False):
        gap = np.hypot(*(inner[:, None] - outer[None]).transpose(2, 0, 1)).min()
        assert gap > 0
    if "shaft" in drawn.outlines:
        assert radius(drawn.outlines["shaft"]).max() < min(low)
    step = 2 * np.pi / poles
    for part in parts:
        angle = np.unwrap(np.arctan2(part[:, 1], part[:, 0]))
        middle = (angle.max() + angle.min()) / 2
        assert np.ptp(angle) < step, "inside its pole pitch"
        assert (middle - np.arctan2(high, x)) / step % 1 == pytest.approx(0.5, abs=1e-3), "half a pole pitch from it"


def test_salient_poles_have_no_barriers_and_the_other_way_round(made):
    brief = replace(CASES["hoist"], reluctance_rotor="salient")
    salient = draw(choose(brief)["reluctance"], brief)
    assert "barriers" not in salient.outlines and "rotor surface, poles" in salient.outlines
    assert "rotor surface, poles" not in made["hoist"][1].outlines
