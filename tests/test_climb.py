"""The climb of scaling.models.climb on functions whose tops are known in closed form."""

import numpy as np
import pytest

from scaling.models.climb import Verdict, climbed

ELEMENTS = 40
START = np.full((4, ELEMENTS), 0.5)


def spread(low, high, seed=7):
    """Return random places, the same in every test."""
    return np.random.default_rng(seed).uniform(low, high, START.shape)


def verdict(aim, slack=np.inf, firm=True):
    """Return the Verdict on tries of an aim, inside a bound where its slack is positive, after a firm check."""
    slack, firm = np.broadcast_to(slack, aim.shape), np.broadcast_to(firm, aim.shape)
    inside = slack > 0.0
    return Verdict([firm, inside], np.where(firm & ~inside, slack, aim), aim, slack, [firm])


def round_hill(tops):
    """Return the trial of 1 - |u - top|**2."""
    return lambda u: verdict(1.0 - np.sum((u - tops[:, None]) ** 2, axis=0))


def test_top_of_a_hill_inside_the_cube():
    tops = spread(0.1, 0.9)
    found = climbed(round_hill(tops), START, 0.2, 6)
    assert found == pytest.approx(tops, abs=1e-4)


def test_top_outside_the_cube_is_met_at_its_wall():
    tops = spread(-0.5, 1.5)
    found = climbed(round_hill(tops), START, 0.2, 12)
    assert found == pytest.approx(np.clip(tops, 0.0, 1.0), abs=0.01), "flat at the top: 1e-4 of the aim"


def test_a_ridge_across_the_variables_is_climbed():
    """Bends of 1 and 100 along turned axes: steps along the variables alone creep."""
    turn = np.linalg.qr(np.random.default_rng(7).normal(size=(4, 4)))[0]
    bends, tops = np.array([1.0, 5.0, 20.0, 100.0]), spread(0.3, 0.7)

    def trial(u):
        away = np.einsum("ij,jke->ike", turn, u - tops[:, None])
        return verdict(1.0 - np.sum(bends[:, None, None] * away**2, axis=0))

    short = [1.0 - trial(climbed(trial, START, 0.2, rounds)[:, None]).aim[0].mean() for rounds in (0, 8, 32)]
    assert short[1] < 0.02 * short[0] and short[2] < 2e-4 * short[0]


def test_a_sharp_ridge_is_climbed():
    """The smaller of two planes that rise against each other: no derivative on the ridge, no bound to follow."""
    tops = spread(0.2, 0.8)

    def trial(u):
        x, y, *rest = u - tops[:, None]
        return verdict(1.0 - np.abs(3.0 * (x - y)) - 0.5 * np.abs(x + y) - sum(other**2 for other in rest))

    found = trial(climbed(trial, START, 0.2, 24)[:, None]).aim[0]
    assert np.quantile(found, 0.25) > 0.97


def test_largest_aim_inside_a_ball():
    """A plane a.u under |u - c| < r is largest at c + r*a/|a|, as far as r*|a| above the middle."""
    a, centre, r = np.random.default_rng(8).normal(size=START.shape), spread(0.4, 0.6), 0.35
    start = centre + spread(-0.1, 0.1)

    def trial(u):
        slack = 1.0 - np.sum((u - centre[:, None]) ** 2, axis=0) / r**2
        return verdict(10.0 + np.sum(a[:, None] * (u - centre[:, None]), axis=0), slack)

    found = trial(climbed(trial, start, 0.2, 12)[:, None])
    rise = r * np.linalg.norm(a, axis=0)
    assert found.slack.min() > 0.0
    assert found.aim[0] - 10.0 == pytest.approx(rise, rel=2e-3)


def test_a_start_outside_the_bound_comes_inside():
    tops = spread(0.1, 0.9)

    def trial(u):
        return verdict(1.0 - np.sum((u - tops[:, None]) ** 2, axis=0), u[0] + u[1] - 1.5)

    found = climbed(trial, START, 0.2, 10)
    slope = np.maximum((1.5 - tops[0] - tops[1]) / 2, 0.0)  # the nearest place on the bound where the top breaks it
    best = 1.0 - 2 * slope**2
    assert trial(found[:, None]).slack.min() > 0.0
    # Walls of the cube take some of it where a top lies near one.
    inside = np.all(tops[:2] + slope < 1.0, axis=0)
    assert inside.sum() > ELEMENTS / 2
    assert trial(found[:, None]).aim[0][inside] == pytest.approx(best[inside], abs=2e-3)


def test_an_earlier_check_counts_before_the_value_and_nan_as_worst():
    def trial(u):
        aim = np.where(u[1] < 0.8, 1.0 + u[1], np.nan)
        return verdict(aim + 10.0 * (u[0] > 0.7), firm=u[0] < 0.7)

    found = climbed(trial, START, 0.2, 14)
    assert np.all(found[0] < 0.7)
    assert found[1] == pytest.approx(0.8, abs=0.01) and np.all(found[1] < 0.8)


def test_elements_do_not_see_each_other():
    tops = spread(0.1, 0.9)
    together = climbed(round_hill(tops), START, 0.2, 5)
    for i in (0, 17):
        alone = climbed(round_hill(tops[:, i : i + 1]), START[:, i : i + 1], 0.2, 5)
        assert np.array_equal(alone, together[:, i : i + 1])


def test_what_a_candidate_may_hope_for_is_less_by_its_want_of_slack():
    made = verdict(np.array([2.0, 2.0, 1.5]), slack=np.array([0.1, -0.5, -9.0]))
    _, value = made.hopes(2.0)
    assert value == pytest.approx([2.0, 2.0 * np.exp(-1.0), 1.5 * np.exp(-2.0)])
    _, failed = verdict(np.array([2.0]), slack=np.array([-0.5]), firm=np.array([False])).hopes(2.0)
    assert failed == 2.0
