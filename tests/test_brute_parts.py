"""Parts of the dense search against what is known of them by another route, and the search against itself."""

from types import SimpleNamespace

import brute_cage
import brute_cases
import brute_force
import brute_pull_out
import brute_stage
import numpy as np
import pytest
from scipy.special import ive, kve

from scaling import Brief

RANDOM = np.random.default_rng(7)
RESERVE = RANDOM.uniform(1.02, 3.0, 400)


def spread(low, high):
    return 10 ** RANDOM.uniform(low, high, RESERVE.size)


# The largest torque on a fixed voltage, tried, against closed forms


def test_pull_out_of_two_axes():
    R, X_d = spread(-3, 1), spread(-1, 1)
    X_q = X_d * RANDOM.uniform(0.05, 0.9, R.size)
    Z_d, Z_q, more = np.hypot(R, X_d), np.hypot(R, X_q), R * (X_d - X_q)
    M = (RESERVE * (Z_d * Z_q + more) - more) / (Z_d * Z_q)  # torque over t/(Z_d^2 + 2*more*t + Z_q^2*t^2), t = tan
    angle, reserve = brute_pull_out.reluctance(RESERVE, R, X_d, X_q)
    assert np.tan(angle) == pytest.approx(Z_d / Z_q / (M + np.sqrt(M**2 - 1)), rel=3e-6)
    assert reserve(angle) == pytest.approx(RESERVE, rel=3e-6)


def test_pull_out_of_magnets_with_current_in_phase():
    """A current in phase that leaves a reserve m is the root of a quadratic: tried, it leaves m."""
    R, X, m = spread(-3, 1), spread(-2, 2), RESERVE
    root = np.sqrt(R**2 * (m - 1) ** 2 + (m**2 - 1) * X**2)
    most = (root - R * (m - 1)) / ((m**2 - 1) * (R**2 + X**2))
    assert brute_pull_out.magnet(R, X, most + 0j) == pytest.approx(m, rel=1e-7)


def test_pull_out_of_magnets_without_resistance_at_any_angle_of_the_current():
    """Power 1*U*sin(delta)/X: the largest is U/X, and the current's part in phase is what runs."""
    X, psi, size = spread(-2, 2), RANDOM.uniform(0.0, 1.5, RESERVE.size), spread(-2, 1)
    current = size * np.exp(-1j * psi)  # lags the magnets' voltage: adds to it at the terminals
    voltage = np.sqrt((1 + X * size * np.sin(psi)) ** 2 + (X * size * np.cos(psi)) ** 2)
    found = brute_pull_out.magnet(0.0, X, current)
    assert found == pytest.approx(voltage / X / (size * np.cos(psi)), rel=1e-7)


def test_pull_out_of_a_circuit_with_constant_parameters():
    R, X_0, m = spread(-3, 1), spread(-1, 1), RESERVE
    X_l, R_2, X_2 = X_0 * spread(-2, -0.3), spread(-3, 1), X_0 * spread(-2, 0)
    seen = 1j * X_0 * (R + 1j * X_l) / (R + 1j * (X_0 + X_l))  # by the rotor
    whole = np.hypot(seen.real, seen.imag + X_2)
    a, s_b = seen.real / whole, R_2 / whole
    peak = np.minimum(s_b, 1.0) / s_b  # a motor that pulls most at standstill has no more than that
    M = m * ((peak + 1 / peak) / 2 + a) - a
    slip, _ = brute_pull_out.induction(m, R, X_l, X_0, R_2 + 1j * X_2)
    assert slip == pytest.approx(s_b * (M - np.sqrt(M**2 - 1)), rel=3e-6)
    assert np.any(s_b > 1)
    assert np.any(s_b < 1)


def test_no_reserve_is_asked_of_a_drive():
    drive = SimpleNamespace(supply_frequency=(20.0, 400.0), pull_out_reserve=2.0)
    mains = SimpleNamespace(supply_frequency=(50.0, 50.0), pull_out_reserve=None)
    assert brute_pull_out.asked("induction", drive) == 1.0
    assert brute_pull_out.asked("induction", mains) == 1.6
    mains.pull_out_reserve = 2.0
    assert brute_pull_out.asked("magnet", mains) == 2.0


# Cage and leakage


def stage(p=2.0, D=0.1):
    return SimpleNamespace(p=p, D=D, L=0.1, D_b=1.01 * D, q=2, B_limit=1.0, tau=np.pi * 1.01 * D / (2 * p))


def bare(s, depth, rho=1.0):
    """Return bars over half of their layer that reach the surface, without end rings or leakage."""
    return SimpleNamespace(t=depth, depth=depth, filled=0.5, series=0.0, rho=rho)


@pytest.mark.parametrize("depth", [0.1, 0.2, 0.35])
@pytest.mark.parametrize("thickness", [0.01, 0.3, 1.0, 3.0, 10.0, 30.0])
def test_thin_rings_make_bars_that_taper(depth, thickness):
    """Order 0 of Bessel's functions, scaled so that none overflows; depth over diameter and over skin depth."""
    s = stage()
    rate = (1 + 1j) * thickness / (depth * s.D)
    f = abs(rate) ** 2 / (2 * np.pi * brute_stage.MU_0)
    met = brute_cage.conducting_surface(SimpleNamespace(induction_rotor="cage"), s, f, bare(s, depth * s.D))
    inner, outer = rate * s.D * (0.5 - depth), rate * s.D / 2
    c = ive(1, inner) / kve(1, inner) * np.exp(-(outer - inner) - (outer - inner).real)
    exact = outer * (ive(1, outer) - c * kve(1, outer)) / (ive(0, outer) + c * kve(0, outer)) * 0.5 / s.p
    assert met.imag == pytest.approx(exact.imag, rel=5e-4)
    assert (1 / met).real == pytest.approx((1 / exact).real, rel=1e-3)


def test_rings_wide_and_narrow():
    """Far wider than a pole pitch over pi, the current uses that much; far narrower, all of it goes round."""
    s, si = stage(), SimpleNamespace(yoke_field_limit=1.5, stacking_factor=1.0)
    k = 2 * s.p / (s.D - 0.01)
    more = {"gap": 1e-3, "series": 0.0, "g_m": 1e-3, "tooth_limit": 1.0}

    def end_share(w_e):
        return brute_cage._layer(si, s, 1.0, 0.01, 0.0, 0.5, w_e, **more).rho - 1

    assert end_share(10 / k) == pytest.approx(2 * 0.5 / (k * s.L), rel=1e-8)
    assert end_share(1e-3 / k) == pytest.approx(2 * 0.5 / (k**2 * s.L * 1e-3 / k), rel=1e-6)


@pytest.mark.parametrize("q", [1, 2, 5])
def test_differential_leakage_of_a_winding_from_its_steps(q):
    """Mean square of the current sheet's potential, a step at every slot, over a period and a pole pair."""
    slots = 6 * q
    belt = np.arange(slots) // q  # A, -C, B, -A, C, -B
    sign, phase = np.array([1, -1, 1, -1, 1, -1])[belt], np.array([0, 2, 1, 0, 2, 1])[belt]
    time = np.arange(96) * 2 * np.pi / 96
    step = np.cumsum(sign * np.cos(time[:, None] - phase * 2 * np.pi / 3), axis=1)
    step = step - step.mean(axis=1, keepdims=True)
    wave = np.sum(step * np.exp(-2j * np.pi * (np.arange(slots) + 0.5) / slots), axis=1)
    peak = 2 * abs(wave) / slots * np.sinc(1 / slots)  # of the fundamental of a staircase
    assert brute_stage.differential_leakage(q) == pytest.approx(np.mean(step**2) / np.mean(peak**2 / 2) - 1, rel=1e-3)


@pytest.mark.parametrize("q", [1, 2, 5])
def test_differential_leakage_of_a_cage_from_its_waves(q):
    a, m = np.pi / (6 * q), np.arange(1, 200_000)
    waves = np.sum(1 / (1 + m * 6 * q) ** 2.0 + 1 / (1 - m * 6 * q) ** 2.0)
    assert (a / np.sin(a)) ** 2 - 1 == pytest.approx(waves, rel=1e-4)


# The search against itself

HARD = [5, 16, 39]  # ridges, corners, a start that decides; small and large, all merits


@pytest.mark.parametrize("number", HARD)
def test_three_seeds_agree(number):
    kind, size, merit, given, _ = brute_cases.CASES[number]
    si = Brief(rotor_diameter=size, **{"self_starting": False, "gap_floor": "20 um", **given}).si
    found = [brute_force.search(kind, si, merit, seed).merit for seed in (1, 2, 3)]
    assert found == pytest.approx([max(found)] * 3, rel=3e-4)
