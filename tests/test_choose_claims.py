"""What others have said about size and type must come out of ``choose``.

Steinmetz, Theory and Calculation of Electric Apparatus (1917), chapter X, paragraphs 98-100: hysteresis torque is loss
per cycle times volume, independent of speed below synchronism; as a motor shrinks it falls more slowly than induction
torque; in extremely small motors the two are comparable; at ordinary size it is a small fraction.

The trial is an independent calculation, made with other formulas for heat and gap, at 50 Hz, still air, length equal to
diameter, gap 0.5 % of the diameter but not below a floor, slip at most 0.3 and the best pole number. It and these
models agree within a factor of 1.6 on every crossing, and differ in what is noted at each test.
"""

import math

import numpy as np
import pytest
from briefs import brief
from scipy.optimize import brentq

from scaling import Q, choose, sweep
from scaling.ground.materials import LOOP_MATERIALS
from scaling.models.loops import falling_branch, fitted

FINE = {"supply_frequency": "50 Hz", "cooling": "still air", "gap_floor": "20 um"}


def ratio_of_hysteresis_to_induction(millimetres):
    choice = choose(brief(rotor_diameter=f"{millimetres} mm", **FINE))
    return choice["hysteresis"].torque.m / choice["induction"].torque.m


# Steinmetz


def test_the_ratio_of_hysteresis_to_induction_torque_rises_as_the_machine_shrinks():
    ratios = [ratio_of_hysteresis_to_induction(size) for size in (30, 20, 15, 10, 7, 5, 3)]
    assert np.all(np.diff(ratios) > 0)


def test_at_ordinary_size_hysteresis_torque_is_a_fraction_of_induction_torque():
    assert all(0 < ratio_of_hysteresis_to_induction(size) < 0.5 for size in (30, 50, 75, 100, 150, 200, 300))


def test_in_very_small_motors_hysteresis_torque_overtakes():
    assert ratio_of_hysteresis_to_induction(10) < 1 < ratio_of_hysteresis_to_induction(3)
    assert 1 < brentq(lambda size: ratio_of_hysteresis_to_induction(size) - 1, 3, 10) < 10


@pytest.mark.parametrize("size", [2, 20, 200])
@pytest.mark.parametrize("material", ["cast iron", "36 % cobalt steel", "best"])
def test_hysteresis_torque_is_loss_per_cycle_times_volume(size, material):
    design = choose(brief(rotor_diameter=f"{size} mm", rotor_material=material))["hysteresis"]
    D, L, t = design.rotor_diameter.m, design.active_length.m, design.rotor_thickness.m
    # The loop's area between falling and (by symmetry) rising branch, added up point by point.
    peak = design.values["ring_field"]
    H = np.linspace(-peak, peak, 4001)
    loop = fitted(LOOP_MATERIALS[design.material])
    area = np.trapezoid(falling_branch(H, peak, loop) + falling_branch(-H, peak, loop)[::1], H)
    torque = design.pole_pairs * math.pi * D * L * t * area / (2 * math.pi)
    gap_torque = design.shear_stress.m * math.pi * D * L * D / 2
    assert gap_torque == pytest.approx(torque, rel=2e-3)


def test_hysteresis_torque_does_not_depend_on_speed():
    # With hardly any core loss or friction nothing but the loop is left, at rest and at any frequency.
    lossless = {"core_loss": "0.001 W/kg", "bearing_friction": 0.0, "pole_pairs": 1, "gap_floor": "1 mm"}
    designs = [choose(brief(supply_frequency=f"{f} Hz", **lossless))["hysteresis"] for f in (5, 10, 25, 50)]
    for design in designs:
        assert design.torque.m == pytest.approx(designs[0].torque.m, rel=2e-3)
        assert design.starting_torque.m == pytest.approx(design.torque.m, rel=2e-3)


# The trial

SIZES = np.geomspace(0.5, 60, 60)


def crossing(first, second, **given):
    """Return the largest size in mm at which two types are level in torque per volume, wherever the brief is met."""
    table = sweep(brief(**{"slip_limit": 0.3} | FINE | given), Q(SIZES, "mm"))
    lead = np.log(np.maximum(table.merit[first], 1e-9) / np.maximum(table.merit[second], 1e-9))
    i = np.flatnonzero(lead[:-1] * lead[1:] < 0)[-1]
    share = lead[i] / (lead[i] - lead[i + 1])
    return SIZES[i] ** (1 - share) * SIZES[i + 1] ** share


INDUCTION_HYSTERESIS = [
    ({}, 5.1),
    ({"gap_floor": "100 um"}, 8.3),
    ({"gap_floor": "500 um"}, 10.4),
    ({"pole_pairs": 1}, 5.1),
    ({"pole_pairs": 2}, 10.7),
    ({"pole_pairs": 4}, 21.0),
    ({"slip_limit": 0.05}, 12.5),
    ({"supply_frequency": ("1 Hz", "100 kHz"), "rim_speed_limit": "120 m/s"}, 1.6),
]


@pytest.mark.parametrize(("given", "millimetres"), INDUCTION_HYSTERESIS)
def test_induction_overtakes_hysteresis_where_the_trial_says(given, millimetres):
    assert millimetres / 1.6 < crossing("induction", "hysteresis", **given) < millimetres * 1.6


@pytest.mark.parametrize(("floor", "millimetres"), [("20 um", 7.5), ("100 um", 14.0), ("500 um", 17.0)])
def test_induction_overtakes_reluctance_where_the_trial_says(floor, millimetres):
    assert millimetres / 1.6 < crossing("induction", "reluctance", gap_floor=floor) < millimetres * 1.6


def test_a_plain_sheet_never_beats_reluctance():
    table = sweep(brief(slip_limit=0.3, induction_rotor="sheet", **FINE), Q(np.geomspace(1, 300, 40), "mm"))
    ratio = table.merit["induction"] / table.merit["reluctance"]
    assert np.all(ratio < 1) and 0.52 / 1.6 < np.interp(100, np.geomspace(1, 300, 40), ratio) < 0.52 * 1.6


def test_a_fine_gap_favours_reluctance_over_hysteresis_and_a_wide_one_does_not():
    # The trial says about 1.6 times at 20 um; here 2.4 to 2.8, since the ring is a separate, loop-limited layer. Its wide
    # gap of 100 um and more makes hysteresis win in the millimetre range; here it takes 100 um at 0.66 mm, 500 at 3.4 mm.
    for size in (2, 5, 10):
        choice = choose(brief(rotor_diameter=f"{size} mm", **FINE))
        assert 1.6 / 1.6 < choice["reluctance"].merit / choice["hysteresis"].merit < 1.6 * 1.8
    assert 0.5 < crossing("reluctance", "hysteresis", gap_floor="100 um") < 1.0
    assert 2.0 < crossing("reluctance", "hysteresis", gap_floor="500 um") < 5.0


@pytest.mark.parametrize(("size", "times"), [(1, 39), (20, 7), (100, 4)])
def test_the_magnet_yardstick(size, times):
    # At 1 mm these models give 78, just inside: their small rotors are allowed four poles and thick magnets.
    choice = choose(brief(rotor_diameter=f"{size} mm", slip_limit=0.3, **FINE))
    assert times / 2 < choice.yardstick < times * 2
    assert choice.best.kind != "magnet" and choose(brief(magnets_allowed=True)).best.kind == "magnet"


# Starting

PULLS_IN = [("reluctance", 1.0, 0.6), ("magnet", 8.0, 0.8)]


@pytest.mark.parametrize(("kind", "millimetres", "threshold"), PULLS_IN)
def test_small_synchronous_rotors_pull_themselves_in(kind, millimetres, threshold):
    # Two poles, no load inertia, 50 Hz, and a gap that is 0.5 % of the diameter at these sizes too: 1.8 and 5.5 mm.
    # With the trial's floor of 20 um a two-pole reluctance rotor does it at no size here, a four-pole one below 0.5 mm.
    # A magnet rotor free to choose its poles starts at every size, slowly: 48 poles turn at 125 rpm.
    def design(size):
        given = {"gap_floor": "2 um", "load_inertia_ratio": 0.0, "pole_pairs": 1, "magnets_allowed": True}
        return choose(brief(rotor_diameter=f"{size} mm", **given))[kind]

    edge = brentq(lambda size: math.log(design(size).pull_in / threshold), 0.5, 50)
    assert millimetres / 2 < edge < millimetres * 2
    assert design(0.99 * edge).feasible and not design(1.01 * edge).feasible
    assert "does not pull itself in from rest" in design(1.01 * edge).reasons[0]


def test_pull_in_is_asked_only_of_those_that_need_it():
    def ask(**given):
        return choose(brief(rotor_diameter="60 mm", pole_pairs=1, **given))

    assert not ask()["reluctance"].feasible and ask(self_starting=False)["reluctance"].feasible
    assert ask(supply_frequency=("1 Hz", "50 Hz"))["reluctance"].feasible  # a drive that runs it up from 1 Hz
    assert not ask(supply_frequency=("49 Hz", "50 Hz"))["reluctance"].feasible
    assert ask()["hysteresis"].feasible and ask()["hysteresis"].pull_in == math.inf
    # Load inertia adds to the rotor's own.
    light, heavy = (ask(load_inertia_ratio=ratio)["reluctance"].pull_in for ratio in (0.0, 3.0))
    assert light / heavy == pytest.approx(4.0)


START = "rating.py: standstill torque is taken at the continuous current, so large cages 'cannot start' (plain bearing)"


@pytest.mark.xfail(strict=True, reason=START)
@pytest.mark.parametrize("given", [{"rotor_diameter": "200 mm", "speed": "3000 rpm"}, {"rotor_diameter": "1 m"}])
def test_a_large_cage_motor_starts_itself(given):
    # Common practice (C): cage motors of this size are started direct on line every day, with several times rated current.
    assert choose(brief(**given)).best.kind == "induction"


# Usefulness


def test_a_useless_best_is_called_useless():
    choice = choose(brief(rotor_diameter="1 mm", **FINE))
    # The trial: at 1 mm and 50 Hz every efficiency is below 0.1 %.
    assert all(choice[kind].efficiency < 1e-3 for kind in ("induction", "hysteresis", "reluctance"))
    (remark,) = (remark for remark in choice.remarks if "‰" in remark)
    assert f"{1000 * choice.best.efficiency:.2g} ‰ of its electrical power" in remark
    assert not any("‰" in remark for remark in choose(brief(rotor_diameter="20 mm", **FINE)).remarks)
