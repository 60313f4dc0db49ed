"""The field in rings: its energy, limits, many digits, finite elements, extremes and bad input; its speed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaling.field import Ring, rotating_wave
from scaling.ground.constants import VALUES

MU_0 = VALUES["mu_0"]
STEEL = Ring(0.02, 1.6e6, 30, turns=True)
ALUMINIUM = Ring(0.03, 3.72e7, turns=True)
GAP = Ring(0.032)
WINDING = Ring(0.052, current_density_peak=1e6)
MOTOR = {"pole_pairs": 1, "frequency": 60.0, "speed": 100.0, "outside": "air"}
MOTOR_RINGS = [STEEL, ALUMINIUM, GAP, WINDING, Ring(0.057, relative_permeability=30)]
FIGURES = ("torque_per_length", "heat", "mechanical_power", "supply_power")


def solve(*rings, **changed):
    return rotating_wave(**MOTOR | {"rings": list(rings or MOTOR_RINGS)} | changed)


def changed_ring(ring, **changed):
    return Ring(**vars(ring) | changed)


@pytest.fixture(autouse=True)
def no_floating_point_trouble():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


def power_of_ten(low, high):
    return st.floats(low, high).map(lambda exponent: 10.0**exponent)


@st.composite
def stacks(draw, most_pole_pairs=200, thinnest=-6, widest_skin=3):
    """Return a stack: rotor rings that turn, a gap, a winding, perhaps a can outside."""
    p = draw(st.sampled_from([q for q in (1, 1, 2, 2, 3, 5, 7, 13, 25, 60, 200) if q <= most_pole_pairs]))
    omega, sense = 2 * np.pi * draw(power_of_ten(0, 3)), draw(st.sampled_from([1, -1]))
    slip = draw(power_of_ten(-6, 0.3)) * draw(st.sampled_from([-1, 1]))
    radius, rings, scale = draw(power_of_ten(-3, 0)), [], None

    def lossy(outer, thickness, past, turns):
        mu = draw(power_of_ten(0, 3)) * draw(st.sampled_from([1.0, 1 - 1e-6j, 1 - 0.3j, 1 - 2j]))
        skin = thickness * draw(power_of_ten(-3, widest_skin))
        sigma = min(2 / (past * MU_0 * abs(mu) * skin**2), 1e15) * draw(st.sampled_from([0, 1, 1]))
        return Ring(outer, sigma, mu, turns)

    past = omega * abs(slip)
    rings.append(draw(st.sampled_from([Ring(radius), Ring(radius, 0.0, 1e3), lossy(radius, radius, past, True)])))
    for _ in range(draw(st.integers(1, 2))):
        thickness = radius * draw(power_of_ten(thinnest, 0.3))
        radius = radius + thickness
        rings.append(lossy(radius, thickness, past, True))
    for share, J in ((draw(power_of_ten(-5, 0)), 0.0), (draw(power_of_ten(-3, 0)), 1e6)):
        radius = radius * (1 + share)
        rings.append(Ring(radius, current_density_peak=J))
    if draw(st.booleans()):
        thickness = radius * draw(power_of_ten(thinnest, -0.5))
        scale = radius + thickness
        rings.append(lossy(scale, thickness, omega, False))
    return {
        "pole_pairs": p, "frequency": omega / (2 * np.pi), "speed": sense * omega / p * (1 - slip), "sense": sense,
        "rings": rings, "outside": draw(st.sampled_from(["iron", "air"])),
    }  # fmt: skip


# Energy


@given(stacks())
@settings(max_examples=300)
def test_energy_closes(stack):
    wave = rotating_wave(**stack)
    by_stress, by_ring = wave.torque_per_length, wave.torque_by_ring
    turning = sum(t for t, ring in zip(by_ring, stack["rings"], strict=True) if ring.turns)
    assert by_stress == pytest.approx(turning, rel=1e-12, abs=1e-300)
    scale = np.abs(wave.heat) + np.abs(wave.mechanical_power)
    if stack["rings"][-1].current_density_peak == 0:
        # A can outside the winding may lose next to nothing beside the power that swings: that is rounded.
        scale = scale + 1e-3 * np.pi * wave._omega * wave.pole_pairs / MU_0 * np.abs(
            wave._behind[-1].added * wave._a[-1]
        )
    assert wave.supply_power == pytest.approx(wave.heat + wave.mechanical_power, abs=1e-12 * scale)
    assert (wave.heat_by_ring >= 0).all()
    # Action and reaction: the torques on all rings, the winding's own included, have no sum.
    assert by_ring.sum() == pytest.approx(0, abs=1e-12 * scale * stack["pole_pairs"] / wave._omega)
