"""Shading rings: their field built part by part, their heat by Ohm's law, and what they cost a motor."""

import numpy as np
import pytest
from briefs import brief
from scipy.optimize import minimize_scalar

from scaling import choose
from scaling.decision.curve import remade
from scaling.ground.constants import VALUES
from scaling.laws import shading

MU_0 = VALUES["mu_0"]
GAP, PITCH, OMEGA = 0.3e-3, 0.05, 2 * np.pi * 50.0


def pole(share, resistance_ratio, points=4000):
    """Return (forward wave, backward wave, heat per area) of poles of one tesla in their open parts.

    ``resistance_ratio`` is the gap's reactance over the ring's resistance. The field over two pole pitches is sampled
    and analysed; heat is the ring's voltage squared over its resistance.
    """
    x = (np.arange(points) + 0.5) / points * 2  # pole pitches
    in_ring = (x % 1.0) > 1.0 - share
    force = 1.0 * GAP / MU_0  # A, real
    part = 1.0 / (1.0 + 1j * resistance_ratio)  # winding less ring: F - I, I = j*omega*flux/R
    density = MU_0 / GAP * force * np.where(in_ring, part, 1.0) * np.where(x < 1.0, 1.0, -1.0)
    forward = 2 * np.mean(density * np.exp(1j * np.pi * x)) / 2
    backward = 2 * np.mean(density * np.exp(-1j * np.pi * x)) / 2
    # per metre: the ring's flux, its voltage, and its resistance from the ratio
    flux = abs(part) * 1.0 * share * PITCH
    resistance = OMEGA * MU_0 * share * PITCH / GAP / resistance_ratio
    heat = (OMEGA * flux) ** 2 / (2 * resistance) / PITCH
    waves = sorted((abs(forward), abs(backward)), reverse=True)
    return *waves, heat


def turning(share, ratio):
    forward, backward, _ = pole(share, ratio)
    return (forward - backward) / (forward + backward)


@pytest.mark.parametrize("share", [0.2, 1 / 3, 0.5, 0.7])
def test_the_turning_share_is_that_of_the_best_ring(share):
    best = minimize_scalar(lambda ratio: -turning(share, ratio), bounds=(0.1, 20.0), method="bounded")
    assert -best.fun == pytest.approx(shading.shaded_turning_share(a_s=share), rel=1e-3)
    assert best.x == pytest.approx(1 / np.cos(np.pi * share / 2), rel=0.01)


@pytest.mark.parametrize("share", [0.2, 1 / 3, 0.5, 0.7])
def test_heat_is_that_of_the_rings_resistance(share):
    forward, backward, heat = pole(share, 1 / np.cos(np.pi * share / 2))
    law = shading.shading_heat_factor(a_s=share, omega=OMEGA, g_m=GAP) * (forward**2 + backward**2)
    assert law == pytest.approx(heat, rel=1e-3)


def test_a_ring_round_nothing_turns_nothing_and_costs_nothing():
    assert shading.shaded_turning_share(a_s=1e-9) == pytest.approx(0.0, abs=1e-8)
    assert shading.shading_heat_factor(a_s=1e-9, omega=OMEGA, g_m=GAP) < 1e-3
    assert np.isnan(shading.shaded_turning_share(a_s=np.nan))


# Motors

SHADED = {"supply": "single-phase", "rotor_diameter": "40 mm", "active_length": "15 mm", "pole_pairs": 1,
          "gap_floor": "0.3 mm", "cooling": "forced air", "rotor_material": "aluminium"}  # fmt: skip


def test_rings_are_a_loss_of_their_own_and_the_energy_closes():
    design = choose(brief(**SHADED, shaded_share=0.35))["induction"]
    point = remade(choose(brief(**SHADED, shaded_share=0.35)), "induction")
    assert point.si.turning_share == pytest.approx(np.tan(np.pi * 0.35 / 4))
    field = np.hypot(point.operation.gap_field, point.operation.backward_field).item()
    unit = shading.shading_heat_factor(a_s=0.35, omega=2 * np.pi * 50.0, g_m=point.stator.slotted_gap.item())
    assert design.losses["shading"].m == pytest.approx((unit * field**2 * point.stator.area).item(), rel=1e-6)
    assert design.losses["shading"].m > 0.05 * sum(loss.m for loss in design.losses.values())
    electric = design.power.m + sum(loss.m for loss in design.losses.values())
    assert design.efficiency == pytest.approx(design.power.m / electric, rel=1e-9)


def test_without_the_rings_heat_the_same_turning_share_gives_more():
    ringed = choose(brief(**SHADED, shaded_share=0.4))["induction"]
    bare = choose(brief(**SHADED, turning_share=float(np.tan(np.pi * 0.1))))["induction"]
    assert bare.torque.m > 1.03 * ringed.torque.m and bare.efficiency > ringed.efficiency
    assert bare.losses["shading"].m == 0.0


def test_what_contradicts_itself_is_refused():
    with pytest.raises(ValueError, match="shaded_share: .*supply='three-phase'.*give supply='single-phase'"):
        brief(shaded_share=0.4)
    with pytest.raises(ValueError, match="turning_share: .*shaded_share=.*expected one of the two"):
        brief(supply="single-phase", shaded_share=0.4, turning_share=0.3)
