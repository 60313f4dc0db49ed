"""A machine inside a given outside: bore, slots and teeth the best of each type, lengths over all kept."""

import dataclasses
import itertools

import numpy as np
import pytest

from scaling import Brief, Q, certainty, choose, read_briefs, size_for, sweep
from scaling.decision import frame
from scaling.decision.binding import binding
from scaling.decision.heating import heating
from scaling.decision.optimum import best_designs
from scaling.decision.running import running
from scaling.interface import report
from scaling.pictures.design_fields import draw_design_field
from scaling.pictures.plots import figure
from scaling.pictures.section import draw_section

MOTOR = Brief(outside_diameter="140 mm", overall_length="160 mm", cooling="shaft fan")
SMALL = Brief(outside_diameter="30 mm", overall_length="40 mm", self_starting=False)
DISC = Brief(outside_diameter="60 mm", active_length="6 mm", supply_frequency=("10 Hz", "300 Hz"), torque="20 mN*m")
FRAMES = {"motor": MOTOR, "small": SMALL, "disc": DISC}


@pytest.mark.parametrize("brief", FRAMES.values(), ids=FRAMES)
def test_a_design_keeps_its_frame_and_is_that_of_its_plain_brief(brief):
    made = choose(brief)
    for kind, design in made.designs.items():
        assert design.outside_diameter.m == pytest.approx(brief.si.outside_diameter)
        if brief.si.overall_length is not None:
            assert design.overall_length.m == pytest.approx(brief.si.overall_length)
        else:
            assert design.active_length.m == pytest.approx(brief.si.active_length)
        plain = made.briefs[kind]
        assert plain.rotor_diameter == design.rotor_diameter and not plain.leaves_frame_open
        assert plain.si.tooth_share == pytest.approx(design.tooth_share)
        again = choose(plain)[kind]
        assert again.merit == pytest.approx(design.merit, rel=2e-3) and again.feasible == design.feasible


@pytest.mark.parametrize(("brief", "merit"), [(MOTOR, "torque per volume"), (SMALL, "efficiency")])
def test_no_machine_of_a_grid_in_the_frame_is_better(brief, merit):
    made = choose(brief, merit)
    D, depth, tooth = np.array([*itertools.product((0.5, 0.6, 0.7), (0.4, 0.7), (0.4, 0.5))]).T
    D = D * brief.si.outside_diameter
    si = dataclasses.replace(brief, rotor_diameter="20 mm").si
    gap = np.maximum(si.gap_floor, si.gap_ratio * D)
    si.open_in_frame, si.rotor_diameter, si.tooth_share = (), D, tooth
    si.outside_ratio = si.outside_diameter / (D + 2 * gap)
    si.slot_depth_ratio = depth * ((si.outside_diameter - D) / 2 - gap) / D
    for kind, best in best_designs(si, D, merit, brief.supply_is_fixed).items():
        assert np.nanmax(np.where(best.feasible, best.merit, 0.0)) < made[kind].merit * (1 + 2e-3)


def test_what_is_given_beside_the_frame_stays_as_given():
    given = {"rotor_diameter": "80 mm", "slot_depth_ratio": 0.2, "tooth_share": 0.55}
    for left in ((), ("tooth_share",), ("slot_depth_ratio", "tooth_share"), ("rotor_diameter",)):
        brief = dataclasses.replace(MOTOR, **{name: value for name, value in given.items() if name not in left})
        assert set(brief.si.open_in_frame) == set(left)
        found = choose(brief)["induction"]
        if "rotor_diameter" not in left:
            assert found.rotor_diameter.m_as("mm") == pytest.approx(80)
        if "slot_depth_ratio" not in left:
            assert (found.slot_depth / found.rotor_diameter).m == pytest.approx(0.2)
        if "tooth_share" not in left:
            assert found.tooth_share == pytest.approx(0.55)
        assert choose(MOTOR)["induction"].merit > found.merit * (1 - 2e-3)  # what is open can only help


def test_the_length_over_all_alone_leaves_every_pole_number_its_own_core():
    made = choose(Brief(rotor_diameter="30 mm", overall_length="40 mm"))
    for design in made.designs.values():
        si, tau = made.brief.si, np.pi * (design.rotor_diameter.m + 2 * design.gap.m) / 2 / design.pole_pairs
        overhang = si.end_overhang_ratio * tau + si.end_clearance_ratio * design.rotor_diameter.m
        assert design.active_length.m == pytest.approx(0.04 - 2 * overhang)
    short = choose(Brief(rotor_diameter="30 mm", overall_length="3 mm", pole_pairs=1))
    assert "the end windings of its 1 pole pair(s) take all of overall_length" in short.reason


def test_lengths_scale_with_the_size_where_the_size_varies():
    brief = Brief(rotor_diameter="30 mm", overall_length="40 mm", torque="0.5 N*m")
    table = sweep(brief, ["30 mm", "60 mm"])
    np.testing.assert_allclose(table.figures["induction"]["overall_length"], [0.04, 0.08])
    found = size_for(brief, between=("40 mm", "90 mm"))["induction"]
    assert (found.overall_length / found.rotor_diameter).m == pytest.approx(4 / 3)


def test_more_room_gives_more_torque():
    torques = [
        choose(dataclasses.replace(MOTOR, outside_diameter=D))["induction"].torque.m
        for D in ("130 mm", "140 mm", "150 mm")
    ]
    assert np.all(np.diff(torques) > 0)


def test_answers_on_a_frame_run_warm_up_and_are_drawn():
    made = choose(SMALL)
    assert running(made, "induction").holds and heating(made, "induction").allowed_rise.m_as("K") == pytest.approx(60)
    _, ax = figure()
    draw_section(ax, made["reluctance"], made.briefs["reluctance"])
    assert "reluctance" in draw_design_field(figure()[1], made, "reluctance").get_title()
    text = report.choice(made).text
    assert "| rotor diameter | " in text and "| teeth over slot pitch | " in text
    assert "in 30 mm" in report.choices({"one": SMALL}).text


def test_many_briefs_of_frames_at_once_are_as_each_alone():
    widths = np.array([0.02, 0.03])
    si = SMALL.drawn({"outside_diameter": widths})
    both = best_designs(si, si.rotor_diameter, "torque per volume", True, ("induction",))["induction"]
    for i, width in enumerate(widths):
        alone = choose(dataclasses.replace(SMALL, outside_diameter=Q(width, "m")))["induction"]
        assert both.merit[i] == pytest.approx(alone.merit, rel=1e-9)


WRONG = {
    "two outsides": ({"outside_ratio": 2}, "outside_ratio: got 2 beside outside_diameter='30 mm'; expected one"),
    "two lengths": ({"active_length": "3 mm"}, "active_length: got '3 mm' beside overall_length='40 mm'; expected one"),
    "no length": ({"overall_length": None}, "overall_length is missing beside outside_diameter='30 mm'; expected"),
    "rotor too large": (
        {"rotor_diameter": "40 mm"},
        "outside_diameter: got '30 mm', which leaves no yoke .* 40 mm; give",
    ),
}


@pytest.mark.parametrize(("change", "message"), WRONG.values(), ids=WRONG)
def test_frames_that_contradict_themselves_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        dataclasses.replace(SMALL, **change)


def test_what_varies_the_rotor_diameter_asks_for_one():
    asked = dataclasses.replace(SMALL, torque="1 mN*m")
    sizes = Q([10, 20], "mm")
    for ask in (sweep, binding, certainty):
        with pytest.raises(
            ValueError, match="outside_diameter: got '30 mm', and .* varies the rotor diameter; expected"
        ):
            ask(asked, sizes)
    with pytest.raises(ValueError, match="size_for varies the rotor diameter"):
        size_for(asked)


def test_ends_of_what_is_searched_leave_room_for_all_parts():
    si = MOTOR.si
    for places in itertools.product((0.0, 1.0), repeat=3):
        at = frame.machines_at(si, dict(zip(frame.OPEN, places, strict=True)))
        bore = at.rotor_diameter + 2 * max(at.gap_floor, at.gap_ratio * at.rotor_diameter)
        yoke = (si.outside_diameter - bore) / 2 - at.slot_depth_ratio * at.rotor_diameter
        assert yoke > 0.09 * (si.outside_diameter - bore) / 2 and 0.2 <= at.tooth_share <= 0.8


def test_a_page_of_a_frame_draws_the_bore_that_was_found(tmp_path):
    made = choose(SMALL)
    made.save(tmp_path / "frame.html")
    text = (tmp_path / "frame.html").read_text(encoding="utf-8")
    assert f"rotor of {made.best.rotor_diameter.m_as('mm'):.3g} mm in a core of 30 mm" in text.replace("\u00a0", " ")
    made.save(tmp_path / "frame.csv")
    (read,) = set(map(str, (one.si for one in read_briefs(tmp_path / "frame.csv").values())))
    assert read == str(made.brief.si)
