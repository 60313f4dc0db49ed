"""The band of a tie: what was measured covers all, is what is measured now, and is read as its docstring says."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from measure_bands import BRIEF, NEIGHBOURS, SIZES, SUPPLIES

from scaling import Brief, Q, choose
from scaling.decision import bands
from scaling.decision.alternatives import ASSUMPTIONS, Assumption
from scaling.decision.assumptions import assumptions, changes, swept
from scaling.decision.bands import FLOOR, combined, most_open, tie_band
from scaling.decision.merits import MERITS
from scaling.ground import units
from scaling.machines import ROTORS

PAIRS = tuple(permutations(ROTORS, 2))
MAINS = Brief(rotor_diameter="30 mm", supply_frequency=SUPPLIES["fixed"], **BRIEF)
DRIVE = replace(MAINS, supply_frequency=SUPPLIES["drive"])


def test_all_merits_supplies_kinds_assumptions_and_sizes_are_measured():
    found = bands._measured()
    assert tuple(found["rotor_diameters_mm"]) == SIZES and (found["brief"], found["supplies"]["fixed"]) == (
        BRIEF,
        SUPPLIES["fixed"],
    )
    names = {row.name for row in ASSUMPTIONS}
    assert set(found["log_change"]) == set(MERITS)
    for merit, supplies in found["log_change"].items():
        assert set(supplies) == set(SUPPLIES)
        for kinds in supplies.values():
            assert set(kinds) == set(ROTORS)
            assert all(set(rows) == names for rows in kinds.values())
            changes = np.array([[rows[name] for name in sorted(names)] for rows in kinds.values()], float)
            assert changes.shape == (len(ROTORS), len(names), len(SIZES))
            assert np.isfinite(changes[:, :, 1:]).mean() > 0.95, merit  # a kind has no torque at the smallest, some do


@pytest.mark.parametrize("merit", MERITS)
@pytest.mark.parametrize("brief", [MAINS, DRIVE], ids=["mains", "drive"])
def test_every_pair_has_a_band_at_every_size(brief, merit):
    for first, second in PAIRS:
        found = [tie_band(brief, first, second, merit, D) for D in np.geomspace(1e-4, 3.0, 40)]
        assert np.all(np.isfinite(found)) and min(found) >= FLOOR
        assert found[0] == tie_band(brief, first, second, merit, 1e-3)  # held at the ends
        assert found[-1] == tie_band(brief, first, second, merit, 0.3)


@pytest.mark.parametrize(
    ("brief", "pair", "millimetres"),
    [(MAINS, ("induction", "hysteresis"), 100), (DRIVE, ("reluctance", "induction"), 30)],
    ids=["mains", "drive"],
)
def test_what_was_measured_is_what_is_measured_now(brief, pair, millimetres):
    plain, tables = swept(brief, Q(millimetres * np.array(NEIGHBOURS), "mm"), "torque per volume")
    first, second = (
        [np.median(changes(plain, table)[kind][np.isfinite(changes(plain, table)[kind])]) for table in tables.values()]
        for kind in pair
    )
    now = combined(list(tables), np.subtract(first, second))[0]
    assert tie_band(brief, *pair, rotor_diameter=millimetres / 1000) == pytest.approx(max(FLOOR, now), rel=0.1)


def test_the_band_is_near_that_of_the_table_of_the_same_brief():
    """Another route: single sizes, no neighbours, the leaders alone; the search is not the same at every size."""
    table = assumptions(MAINS, ["30 mm", "100 mm", "300 mm"])
    for D, leaders, band in zip(table.rotor_diameters.magnitude, table.leaders, table.band, strict=True):
        assert np.log(tie_band(MAINS, *leaders, rotor_diameter=D)) == pytest.approx(np.log(band), rel=0.5, abs=0.1)


def test_what_a_brief_says_itself_leaves_nothing_open():
    slow = replace(MAINS, slip_limit=0.1)
    size = {"rotor_diameter": 3e-3}
    assert tie_band(slow, "induction", "hysteresis", **size) < tie_band(MAINS, "induction", "hysteresis", **size)
    given = {name: value for row in ASSUMPTIONS for name, value in row.fields.items()}
    said = replace(MAINS, **given | {"rotor_material": "copper"})
    assert tie_band(said, "induction", "hysteresis") == FLOOR and most_open(said, "induction", "hysteresis") is None


def test_a_limit_on_slip_counts_against_induction_alone():
    """Small rotors slip much: a limit takes most of their torque, and nothing of any other kind's."""
    against, for_it = (
        tie_band(MAINS, *pair, rotor_diameter=3e-3)
        for pair in (("induction", "hysteresis"), ("hysteresis", "induction"))
    )
    assert against > 3.0 * for_it
    assert most_open(replace(MAINS, rotor_diameter="3 mm"), "induction", "hysteresis").name == "slip"


ROWS = (
    Assumption("a", "", "", {}, ""),
    Assumption("b", "", "", {}, ""),
    Assumption("c", "", "", {}, "", ends=True),
)


def test_logarithms_add_as_squares_and_what_is_unknown_or_helps_at_an_end_does_not_count():
    assert combined(ROWS, [0.3, -0.4, 1.0])[0] == pytest.approx(np.exp(0.5))
    assert combined(ROWS, [0.3, np.nan, -0.4])[0] == pytest.approx(np.exp(0.5))
    assert combined(ROWS, [np.nan, -np.inf, np.inf])[0] == 1.0


@pytest.mark.parametrize("rows", [1, 2, 4, 12])
def test_a_lead_inside_the_band_turns_round_and_one_outside_hardly_ever_does(rows):
    """Uniform up to each alternative and as far on the other side, drawn: nine in ten lie inside the band at least."""
    rng = np.random.default_rng(4)
    change = rng.uniform(0.02, 0.3, rows)
    drawn = (rng.uniform(-1, 1, (100_000, rows)) * change).sum(axis=1)
    band = np.log(combined([ROWS[0]] * rows, change)[0])
    assert np.mean(drawn < -band) < 0.05 < np.mean(drawn < -0.5 * band)


def test_between_sizes_the_logarithm_is_interpolated_on_that_of_size():
    low, middle, high = (
        tie_band(MAINS, "induction", "magnet", rotor_diameter=D) for D in (0.03, 0.03**0.5 * 0.1**0.5, 0.1)
    )
    assert middle == pytest.approx(np.sqrt(low * high), rel=1e-12)


@pytest.mark.parametrize("millimetres", [2, 4, 12, 60, 250])
def test_a_choice_is_level_where_its_margin_lies_within_the_band(millimetres):
    made = choose(replace(MAINS, rotor_diameter=Q(millimetres, "mm")))
    assert made.band == tie_band(MAINS, *made.ranking[:2], rotor_diameter=units.Q(millimetres, "mm").m_as("m"))
    assert made.is_level == (made.margin < made.band)
    assert any("leave open" in remark for remark in made.remarks) == made.is_level


def test_one_kind_alone_or_none_is_no_tie():
    alone = choose(Brief(rotor_diameter="22 mm", synchronous=True, starting_cage="none"))
    none = choose(Brief(rotor_diameter="20 mm", torque="1 kN*m"))
    assert alone.margin == np.inf and np.isnan(alone.band) and not alone.is_level
    assert np.isnan(none.band) and not none.is_level
