"""Sweeps and their crossovers against single choices, the reports made of them, and the speed of both."""

import time

import numpy as np
import pytest
from scipy.optimize import brentq

from scaling import Brief, Q, choose, sweep
from scaling.decision.choose import forget
from scaling.decision.merits import MERITS
from scaling.decision.sweep import _settled
from scaling.interface import report
from scaling.laws.surface import surface_shear_stress

PLAIN = {"rotor_diameter": "20 mm", "gap_floor": "20 um"}
SIZES = Q(np.geomspace(1, 300, 40), "mm")


def merits(size, brief, merit="torque per volume"):
    made = choose(Brief(**{**brief, "rotor_diameter": Q(float(size), "m")}), merit)
    return {kind: made[kind].merit for kind in made.designs}


@pytest.mark.parametrize("merit", ["torque per volume", "power per volume"])
def test_a_sweep_is_the_same_as_single_choices(merit):
    table = sweep(Brief(**PLAIN), SIZES, merit)
    for i in range(0, 40, 7):
        single = choose(Brief(**{**PLAIN, "rotor_diameter": SIZES[i]}), merit)
        assert table.best[i] == (single.best.kind if single.best else "")
        for kind, values in table.merit.items():
            assert values[i] == pytest.approx(single[kind].merit, rel=1e-9)
            assert table.limited_by[kind][i] == single[kind].limited_by
    assert table.merit_unit == MERITS[merit].unit


@pytest.mark.parametrize("change", [{}, {"gap_floor": "100 um"}, {"slip_limit": 0.3}, {"self_starting": False}])
def test_a_crossover_is_where_two_single_choices_are_level(change):
    brief = {**PLAIN, **change}
    (crossing,) = sweep(Brief(**brief), SIZES).crossovers

    def difference(size):
        found = merits(size, brief)
        return found[crossing.below] - found[crossing.above]

    where = crossing.rotor_diameter.m_as("m")
    assert brentq(difference, where * 0.9, where * 1.1, xtol=1e-8) == pytest.approx(where, rel=1e-4)
    assert crossing.because == "their merits cross" and crossing.below in str(crossing)


def test_a_crossover_may_be_the_end_of_meeting_the_brief():
    # Two pole pairs and no cage: with more, at a lower speed, magnets of any size pull themselves in.
    bare = {"load_inertia_ratio": 0.0, "starting_cage": "none", "pole_pairs": 2}
    table = sweep(Brief(**PLAIN, **bare, magnets_allowed=True), SIZES)
    (crossing,) = [c for c in table.crossovers if c.below == "magnet"]
    where = crossing.rotor_diameter.m_as("m")
    sides = [Brief(**{**PLAIN, "rotor_diameter": Q(where * f, "m")}, **bare) for f in (0.9999, 1.0001)]
    assert [choose(side)["magnet"].feasible for side in sides] == [True, False]
    assert "pull itself in" in crossing.because


def test_nothing_found_between_two_sizes_is_missed():
    brief = Brief(**PLAIN, pole_pairs=4, bearing_friction=0.3)
    coarse = sweep(brief, Q([2, 100], "mm")).crossovers
    fine = sweep(brief, Q(np.geomspace(2, 100, 300), "mm")).crossovers
    assert fine
    assert [(c.below, c.above) for c in coarse] == [(c.below, c.above) for c in fine]
    for a, b in zip(coarse, fine, strict=True):
        assert a.rotor_diameter.m_as("mm") == pytest.approx(b.rotor_diameter.m_as("mm"), rel=1e-5)


def test_a_brief_no_type_meets_has_no_winner_and_no_crossover():
    table = sweep(Brief(**PLAIN, torque="1 MN*m"), SIZES)
    assert set(table.best) == {""} and table.crossovers == ()
    assert not any(found.any() for found in table.feasible.values())


def test_the_ratio_of_length_to_diameter_is_kept():
    long = Brief(**PLAIN, active_length="40 mm")
    table = sweep(long, ["10 mm", "20 mm"])
    np.testing.assert_allclose(table.figures["induction"]["active_length"], [0.02, 0.04])
    assert table.merit["induction"][1] == pytest.approx(choose(long)["induction"].merit, rel=1e-12)


def test_reports_hold_the_numbers_of_the_designs():
    made = choose(Brief(**PLAIN))
    text = report.choice(made).text
    assert made.reason in text and f"margin {made.margin:.3g}" in text
    rows = {
        row.split("|")[1].strip(): [c.strip() for c in row.split("|")[2:-1]]
        for row in text.splitlines()
        if row[:1] == "|"
    }
    kinds = rows[""]
    assert set(kinds) == set(made.designs)
    for kind, efficiency, poles in zip(kinds, rows["efficiency"], rows["pole pairs"], strict=True):
        assert int(poles) == made[kind].pole_pairs
        assert float(efficiency.rstrip(" %‰")) == pytest.approx(100 * made[kind].efficiency, rel=6e-3)
    table = sweep(Brief(**PLAIN), SIZES)
    assert f"{table.crossovers[0].rotor_diameter.m_as('mm'):.4g} mm" in report.crossovers(table).text
    none = report.choice(choose(Brief(**PLAIN, torque="1 MN*m"))).text
    assert none.startswith("**No type meets the brief.**")


def best_of(call, times=5):
    call()
    return min(_timed(call) for _ in range(times))


def _timed(call):
    start = time.process_time()
    call()
    return time.process_time() - start


def test_choice_and_sweep_are_quick():
    # Measured on two cores: choose 0.2 s; 200 sizes cost what one law costs over all their candidates 16 000 to 20 000
    # times: that is what a search of the rotor's lengths, of starts and of the ways of heat takes. Twice that is the
    # bar, as machines are noisy.
    brief, sizes = Brief(**PLAIN), Q(np.geomspace(1, 300, 200), "mm")
    arrays = np.random.default_rng(1).uniform(size=(12, 14, 200))  # materials, pole numbers, sizes
    one = best_of(lambda: surface_shear_stress(A=arrays, k=arrays, g_m=arrays, Y_r=arrays, Y_i=arrays))
    assert best_of(lambda: (forget(), choose(brief))) < 1.5
    assert best_of(lambda: sweep(brief, sizes), 2) < 40_000 * one


def test_changes_that_noise_splits_are_one():
    """Merits that run nearly alike change places several times within what a search is good for."""
    split = [(0.0, 1e-5, "a", "b"), (1e-4, 2e-4, "b", "a"), (3e-4, 4e-4, "a", "b"), (0.5, 0.5001, "b", "c")]
    assert _settled(split) == [(0.0, 4e-4, "a", "b"), (0.5, 0.5001, "b", "c")]
    assert _settled(split[:2]) == [] and _settled([]) == []
