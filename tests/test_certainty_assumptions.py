"""How sure a choice is with the model's assumptions as inputs: against ranges given by hand, and cases one by one."""

from functools import cache

import numpy as np
import pytest

from scaling import Brief, certainty
from scaling.decision.alternatives import ASSUMPTIONS, Either, as_inputs, left_open
from scaling.decision.training_sample import Inputs, _solve
from scaling.interface import report

TWO = {"starting_cage": "none", "gap_floor": "20 um", "slip_limit": 0.1}  # induction and hysteresis, level near 6 mm
KINDS = ("induction", "hysteresis", "reluctance")


def brief(**given):
    return Brief(**{"rotor_diameter": "6.3 mm", **TWO} | given)


@cache
def sure(assumptions=(), **given):
    return certainty(brief(**given), draws=20_000, assumptions=list(assumptions))


SPREAD = {"rotor_diameter": "6.3 mm +/- 1.4 mm"}


def test_with_no_assumptions_all_is_as_without():
    given = brief(**SPREAD)
    plain, none, empty = certainty(given, draws=5000), certainty(given, draws=5000, assumptions=False), sure.__wrapped__
    assert plain == none == certainty(given, draws=5000, assumptions=[])
    assert plain.brief is given and plain.inputs == given.uncertainties and empty is not None


@pytest.mark.parametrize(
    ("name", "field", "by_hand"),
    [("slot fill", "wire_packing", (0.5, 0.6)), ("teeth", "tooth_field_limit", ("1.6 T", "1.8 T"))],
)
def test_a_number_is_a_range_as_given_by_hand(name, field, by_hand):
    assumed, given = sure((name,), **SPREAD), sure((), **SPREAD, **{field: by_hand})
    assert assumed == given and set(assumed.sensitivity) == {"rotor_diameter", field}
    assert given.inputs[field].describe in report.certainty(assumed).text


@pytest.mark.parametrize(("name", "field"), [("cage", "rotor_material"), ("ring's surface", "rotor_surface")])
def test_what_is_one_or_the_other_is_the_mean_of_its_two_cases(name, field):
    (row,) = (row for row in ASSUMPTIONS if row.name == name)
    mixed, taken, other = sure((name,), **SPREAD), sure((), **SPREAD), sure((), **SPREAD, **row.fields)
    for kind in (*KINDS, ""):
        mean = (taken.probability[kind] + other.probability[kind]) / 2
        assert mixed.probability[kind] == pytest.approx(mean, abs=0.015)
    assert sum(mixed.probability.values()) == pytest.approx(1.0, abs=1e-12)
    assert set(mixed.sensitivity) == {"rotor_diameter", field} and 0.0 < mixed.sensitivity[field].total < 0.95
    assert isinstance(mixed.inputs[field], Either) and mixed.inputs[field].describe in report.certainty(mixed).text


def test_one_or_the_other_alone_gives_each_case_half_of_the_draws():
    """At a size between the crossovers of the two cases the choice hangs on the material alone."""
    ends = [sure((), **SPREAD, **given).probability["induction"] for given in ({}, {"rotor_material": "aluminium"})]
    found = sure(("cage",), rotor_diameter="6.4 mm")
    assert ends[0] > ends[1]
    assert found.probability["induction"] + found.probability["hysteresis"] == pytest.approx(1.0)
    share = found.probability["induction"]
    assert share in (0.0, 1.0) or share == pytest.approx(0.5, abs=0.02)
    assert found.misjudged == 0.0 and found.sensitivity["rotor_material"].total == pytest.approx(1.0)


def test_several_at_once_add_to_one_and_share_the_variance():
    found = sure(("bearings", "cage", "slot fill", "slot opening"), rotor_diameter="6 mm +/- 1 mm")
    assert sum(found.probability.values()) == pytest.approx(1.0, abs=1e-12)
    assert set(found.inputs) == {"rotor_diameter", "wire_packing", "slot_opening_ratio", "rotor_material", "bearing"}
    assert sum(one.first_order for one in found.sensitivity.values()) < 1.1
    assert sum(one.total for one in found.sensitivity.values()) > 0.95
    assert not found.rough


def test_all_that_a_brief_leaves_open_become_inputs_and_nothing_else():
    given = brief(slot_fill=0.4)
    wide, either = as_inputs(given, True)
    open_fields = {name for row in left_open(given) for name in row.fields}
    assert set(wide.uncertainties) | set(either) == open_fields
    assert "wire_packing" not in open_fields and "wire_packing" in as_inputs(brief(), True)[0].uncertainties
    either_or = {"pull_out_reserve", "starting_torque_ratio", "rotor_material", "oriented_rings", "rotor_surface"}
    assert set(either) == either_or | {"bearing"}
    assert "slip_limit" not in open_fields and as_inputs(given, False) == (given, {})


def test_what_was_drawn_is_no_assumption_of_the_band_any_more():
    plain, drawn = sure((), **SPREAD), sure(("slot fill", "cage"), **SPREAD)
    assert 1.05 <= drawn.band < plain.band
    assert plain.is_level == (1 / plain.band < plain.margin.median < plain.band)
    assert ("call" in report.certainty(plain).text) == plain.is_level


def test_draws_of_a_case_are_solved_as_a_brief_that_says_so():
    given = brief(gap_floor=("15 um", "45 um"))
    inputs = Inputs(*as_inputs(given, ["cage", "bearings"]))
    values = np.array([[20e-6] * 4, [0, 1, 0, 1], [0, 0, 1, 1]])
    (found,) = _solve(inputs, values, [1.0], "torque per volume", ("induction",))
    for i in range(4):
        fields = {"rotor_material": "aluminium"} if values[1, i] else {}
        fields |= {"bearing": "plain"} if values[2, i] else {}
        (alone,) = _solve(
            Inputs(brief(gap_floor=("15 um", "45 um"), **fields)),
            values[:1, :1],
            [1.0],
            "torque per volume",
            ("induction",),
        )
        assert found.log_merit["induction"][i] == pytest.approx(alone.log_merit["induction"][0], rel=1e-9)


def test_wrong_assumptions_are_refused():
    with pytest.raises(ValueError, match="^assumptions: got 'noise'; expected one of .*slot fill"):
        certainty(brief(), assumptions=["noise"])
    with pytest.raises(ValueError, match="^assumptions: got 'slip'"):  # the brief says it itself
        certainty(brief(), assumptions=["slip"])
    for bad in ("slip", 1, None):
        with pytest.raises(TypeError, match="^assumptions: got .* expected True, False or a list"):
            certainty(brief(), assumptions=bad)
    with pytest.raises(ValueError, match="^brief: got no field with a spread"):
        certainty(brief(), assumptions=False)
