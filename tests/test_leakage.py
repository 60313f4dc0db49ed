"""Leakage: permeances against field energy, conformal mapping and finite elements; shares against sums of harmonics.

And what a pull-out reserve leaves: each law against the largest power over all currents at one voltage.
"""

import math

import numpy as np
import pytest
from finite_elements_slot import mouth_permeance, winding_leakage
from scipy.optimize import minimize_scalar

from scaling import Brief, choose
from scaling.decision.curve import remade
from scaling.ground.constants import VALUES
from scaling.laws import equivalent_circuit as circuit
from scaling.laws import leakage, reserve
from scaling.machines import leakage as machine_leakage
from scaling.machines.stator import round_stator
from scaling.models.reserve import reserved_angle

MU_0 = VALUES["mu_0"]


def brief(**given):
    return Brief(**{"rotor_diameter": "20 mm", "gap_floor": "20 um"} | given)


def textbook_tips(h_l, b_u, g):
    """Return the textbooks' permeance of a slot's lip and of the gap before it (Richter, from memory)."""
    return h_l / b_u + 5 * g / (5 * b_u + 4 * g)


def mapped_tips(h_l, b_u, g):
    """Return the package's permeance of a slot's lips and mouth."""
    return leakage.lip_permeance(h_l=h_l, b_u=b_u) + leakage.slot_mouth_permeance(b_u=b_u, g=g)


# Slots


def test_slot_and_tip_leakage_are_the_field_energy_of_the_slots_current():
    """Field straight across a slot rises with depth: twice omega times its energy, summed over the depth."""
    omega, A_rms, d_s, phi_t, pitch = 314.0, 20e3, 0.02, 0.45, 0.012
    width, current = (1 - phi_t) * pitch, A_rms * pitch
    y = (np.arange(2000) + 0.5) / 2000 * d_s
    energy = np.sum(MU_0 * (current * (y / d_s) / width) ** 2 / 2) * d_s / 2000 * width  # mean over time, per length
    opening, lip = 0.003, 0.001
    energy += MU_0 * (current / opening) ** 2 / 2 * opening * lip
    q = leakage.leakage_reactive_power(
        omega=omega, A_rms=A_rms, d_s=d_s, phi_t=phi_t, lambda_e=1e-30, e=1.0, tau=0.1
    ) + leakage.tip_reactive_power(omega=omega, A_rms=A_rms, lambda_t=lip / opening, tau_u=pitch)
    assert q == pytest.approx(2 * omega * energy / pitch, rel=1e-6)


@pytest.mark.parametrize("g_b", [0.05, 0.3, 1.0, 4.0])
def test_the_map_of_a_mouth_is_what_finite_elements_find(g_b):
    for lip in (0.0, 0.4):
        assert mouth_permeance(g_b, lip=lip) == pytest.approx(mapped_tips(h_l=lip, b_u=1.0, g=g_b), abs=1e-4)


def test_the_textbook_law_is_the_map_of_a_mouth_but_for_a_constant():
    """The constant is what an open mouth has less than a step of the force: it is not small."""
    g_b = np.logspace(-3, math.log10(3.0), 60)
    laws = (textbook_tips, mapped_tips)
    book, mapped = (law(h_l=0.2, b_u=1.0, g=g_b) for law in laws)
    assert np.abs(book - mapped - math.log(4) / math.pi).max() < 0.01
    book, mapped = (law(h_l=0.2, b_u=1.0, g=10.0) for law in laws)
    assert abs(book - mapped - math.log(4) / math.pi) > 0.1, "no longer"


@pytest.mark.parametrize("width", [1.5, 2.0, 3.0])
def test_a_thin_lip_leaks_less_than_the_textbooks_say(width):
    """The slot widens behind the lip, which gives back some of the constant."""
    for g_b in (0.05, 0.5):
        excess = textbook_tips(h_l=0.15, b_u=1.0, g=g_b) - mouth_permeance(g_b, lip=0.15, width=width)
        assert 0.2 < excess < math.log(4) / math.pi


@pytest.mark.parametrize("c_q", [1, 2, 3])
@pytest.mark.parametrize("gap", [0.03, 0.1])
def test_leakage_of_a_whole_winding_is_that_of_finite_elements(c_q, gap):
    """All waves and all mouths at once, gap over slot pitch: mapped mouths beside steps of the force, to 5 %.

    With the textbooks' tooth tips the sum is too large, the more so the wider the gap.
    """
    found, one = winding_leakage(c_q, gap=gap, opening=0.25)
    steps = leakage.winding_differential_leakage(c_q=c_q)
    tip = {"h_l": 0.0, "b_u": 0.25, "g": gap}
    assert steps + one * mapped_tips(**tip) == pytest.approx(found, rel=0.02 if gap < 0.1 else 0.07)
    assert steps + one * textbook_tips(**tip) > (1.15 if gap < 0.1 else 1.5) * found


# Differential leakage


def stator_waves(c_q, highest):
    """Return orders and winding factors of a full-pitch three-phase winding, by adding up the phasors of its slots."""
    order = np.arange(1, highest)
    order = order[(order % 6 == 1) | (order % 6 == 5)]
    angle = np.pi / (3 * c_q) * np.arange(c_q)
    return order, np.abs(np.exp(1j * np.multiply.outer(order, angle)).mean(axis=1))


@pytest.mark.parametrize("c_q", [1, 2, 3, 5, 12])
def test_differential_leakage_of_a_winding_is_the_sum_of_its_harmonics(c_q):
    order, factor = stator_waves(c_q, 400_000)
    waves = (factor / order / factor[0]) ** 2
    assert leakage.winding_differential_leakage(c_q=c_q) == pytest.approx(waves[1:].sum(), abs=3e-6)


@pytest.mark.parametrize("c_q", [1, 2, 3, 7])
def test_differential_leakage_of_a_winding_is_the_mean_square_of_its_steps(c_q):
    """Magnetomotive force of the teeth at many instants: no Fourier series but that of the fundamental."""
    slot = np.arange(6 * c_q)
    belt, angle = slot // c_q, np.pi / (3 * c_q) * slot
    current = np.cos(np.linspace(0, np.pi, 60, endpoint=False)[:, None] - np.pi / 3 * belt)
    force = np.cumsum(current, axis=1)
    force -= force.mean(axis=1, keepdims=True)
    wave = np.abs((current * np.exp(1j * angle)).sum(axis=1) / np.pi)  # amplitude of the sheet is that of the force
    assert leakage.winding_differential_leakage(c_q=c_q) == pytest.approx(
        (force**2).mean() / (wave**2 / 2).mean() - 1, abs=1e-13
    )


def test_many_slots_leave_the_harmonics_of_phase_belts():
    assert leakage.winding_differential_leakage(c_q=1e4) == pytest.approx(10 * math.pi**4 / 972 - 1, rel=1e-4)


@pytest.mark.parametrize(("p", "bars"), [(1, 5), (2, 22), (3, 28), (4, 400)])
def test_differential_leakage_of_a_cage_is_the_sum_of_its_harmonics(p, bars):
    k = np.arange(1, 1_000_000)
    waves = (1 / (1 + k * bars / p)) ** 2 + (1 / (1 - k * bars / p)) ** 2
    rest = 2 * (p / bars) ** 2 / 999_999.5  # from the last wave on, as an integral
    found = leakage.cage_differential_leakage(p=p, N_2=bars)
    assert found == pytest.approx(waves.sum() + rest, rel=1e-9)


def test_many_bars_leak_with_the_square_of_their_pitch():
    assert leakage.cage_differential_leakage(p=2, N_2=2000) == pytest.approx((2 * math.pi / 2000) ** 2 / 3, rel=1e-4)


def test_skew_takes_what_averages_out_along_the_slot():
    angle = 0.7
    along = np.cos((np.arange(2000) + 0.5) / 2000 * angle - angle / 2).mean()
    assert leakage.skew_leakage(alpha_k=angle) == pytest.approx(1 - along**2, rel=1e-5)
    assert leakage.skew_leakage(alpha_k=1e-3) == pytest.approx(1e-6 / 12, rel=1e-6)
    assert leakage.skew_leakage(alpha_k=2 * math.pi) == pytest.approx(1.0)


def test_differential_leakage_is_a_share_of_the_energy_in_a_thin_gap():
    """Omega times twice the energy of the open gap's field, B = mu_0*A/(k*g), in a gap far below the pole pitch."""
    A, tau, f, g = 30e3, 0.1, 50.0, 1e-5
    B = MU_0 * A / (math.pi / tau * g)
    found = leakage.differential_reactive_power(sigma_d=0.03, v_s=2 * f * tau, A=A, k=math.pi / tau, g_m=g)
    assert found == pytest.approx(0.03 * 2 * (2 * math.pi * f) * B**2 / (4 * MU_0) * g, rel=1e-6)


# The stator's leakage


def stator(diameter=0.1, pole_pairs=2.0, **given):
    return round_stator(brief(rotor_diameter="100 mm", **given).si, np.asarray(diameter), np.asarray(pole_pairs))


def test_reactance_is_that_of_its_parts_and_goes_with_frequency():
    found, g_m = stator(), 1e-3
    X = machine_leakage.leakage_reactance(found, 50.0, g_m)
    si, pitch = found.si, found.slot_pitch.item()
    current = pitch / (math.sqrt(2) * si.winding_factor)  # rms in a slot at a peak loading of 1 A/m
    opening, gap = si.slot_opening_ratio * pitch, found.gap.item()
    u = opening / (2 * gap)
    mouth = (math.atan(u) / u + math.log1p(u**-2) / 2 - math.log(4)) / math.pi
    lip = max(si.slot_pitch_floor / 2, si.rib_ratio * 0.1) / opening
    slot = found.slot_depth.item() / (3 * (1 - si.tooth_share) * pitch) + lip + mouth
    ends = si.end_leakage * si.end_turn_ratio * found.tau.item() * (found.tau.item() / (3 * pitch))
    power = 2 * math.pi * 50.0 * MU_0 * current**2 * (slot / pitch + ends / (found.width.item() * pitch))
    open_gap = MU_0 * 100 * found.tau.item() / math.tanh(found.k.item() * g_m)
    order, factor = stator_waves(2, 400_000)
    other_waves = ((factor / order / factor[0]) ** 2)[1:].sum()
    assert X.item() == pytest.approx(2 * power + other_waves * float(open_gap), rel=1e-5)
    assert machine_leakage.leakage_reactance(found, 400.0, g_m) == pytest.approx(8 * X, rel=1e-12)
    wide = machine_leakage.leakage_reactance(found, 50.0, 0.1)
    assert 2 * power < wide.item() < X.item(), "differential leakage falls with the rotor's magnetic gap"


def test_reactances_broadcast_and_know_the_slots_used():
    D, p = np.array([0.003, 0.1, 1.0]), np.array([[1.0], [4.0]])
    found = stator(D, p, slots_per_pole_and_phase=3)
    np.testing.assert_allclose(found.slots_per_pole_and_phase, [[3, 3, 3], [1, 3, 3]])
    own = found.own_leakage
    assert own.deep.shape == own.waves.shape == (2, 3) and own.waves[1, 0] == pytest.approx(0.0966, abs=1e-4)
    frequency = np.full((5, 1, 1), 50.0)
    assert machine_leakage.leakage_reactance(found, frequency, found.slotted_gap).shape == (5, 2, 3)


def test_leakage_lowers_the_power_factor_and_raises_the_volt_amperes():
    # Of a ring the leakage touches nothing else: its reserve is a matter of its loop.
    little, much = (choose(brief(end_leakage=share))["hysteresis"] for share in (0.1, 1.0))
    assert much.power_factor < little.power_factor and much.volt_amperes.m > little.volt_amperes.m
    assert much.torque.m == pytest.approx(little.torque.m, rel=1e-12)
    real = much.power.m + sum(loss.m for loss in much.losses.values())
    assert much.power_factor * much.volt_amperes.m == pytest.approx(real, rel=1e-12)


def test_reactive_power_holds_the_leakage_of_both_waves():
    point = remade(choose(brief(rotor_diameter="60 mm", supply="single-phase", turning_share=0.3)), "hysteresis")
    operation, fed, f = point.operation, point.stator, point.fed.frequency
    X = machine_leakage.leakage_reactance(fed, f, operation.magnetic_gap)
    share, v_s, area = fed.backward.item(), point.fed.field_speed, fed.area
    waves = 0.0
    for A, B, power in (
        (operation.loading, operation.gap_field, operation.shear + operation.backward_shear),
        (share * operation.loading, operation.backward_field, operation.backward_shear),
    ):
        waves = waves + v_s * np.sqrt((A * B / 2) ** 2 - power**2) * area + X * A**2 / 2 * area
    assert share > 0.5 and point._reactive_power() == pytest.approx(waves, rel=1e-9)


# Pull-out reserve


CIRCUITS = [(0.5, 0.9, 0.4, 0.9), (0.02, 1.0, 0.3, 0.1), (3.0, 0.5, 0.1, 0.2), (1e-9, 1.0, 0.01, 1.0)]


@pytest.mark.parametrize("m", [1.0, 1.0 + 1e-9, 1.6, 2.5, 50.0])
@pytest.mark.parametrize(("R_t", "X_t", "R_2", "X_2"), CIRCUITS)
def test_torque_at_the_reserved_slip_is_its_part_of_the_largest(m, R_t, X_t, R_2, X_2):
    source = {"m_1": 3, "Omega_0": 157.1, "U_t": 220.0, "R_t": R_t, "X_t": X_t, "X_2": X_2}
    s_b = circuit.circuit_breakdown_slip(R_2=R_2, X_2=X_2, R_t=R_t, X_t=X_t)
    a_t = reserve.breakdown_resistance_ratio(R_t=R_t, X_t=X_t, X_2=X_2)
    s = reserve.reserved_slip(m_r=m, s_b=s_b, s_l=s_b, a_t=a_t)
    assert m * circuit.circuit_torque(R_2=R_2, s=s, **source) == pytest.approx(
        circuit.circuit_breakdown_torque(**source), rel=1e-12
    )
    assert s <= s_b and (s == s_b) == (m == 1.0)


@pytest.mark.parametrize("m", [1.0, 1.6, 4.0])
@pytest.mark.parametrize("s_b", [1.0, 1.5, 37.0])
def test_a_breakdown_beyond_rest_is_no_reserve(m, s_b):
    """Resistance of the rotor above all reactance: the torque at rest is the largest that a running rotor has."""
    R_t, X_t, X_2 = 0.3, 1.0, 0.5
    R_2 = s_b * math.hypot(R_t, X_t + X_2)
    at = {"m_1": 3, "Omega_0": 157.1, "U_t": 220.0, "R_t": R_t, "X_t": X_t, "X_2": X_2, "R_2": R_2}
    a_t = reserve.breakdown_resistance_ratio(R_t=R_t, X_t=X_t, X_2=X_2)
    s = reserve.reserved_slip(m_r=m, s_b=s_b, s_l=1.0, a_t=a_t)
    assert m * circuit.circuit_torque(s=s, **at) == pytest.approx(circuit.circuit_torque(s=1.0, **at), rel=1e-12)
    assert s <= 1.0 and (s == pytest.approx(1.0)) == (m == 1.0)


def largest(power):
    """Return the largest power over the angle of the terminal voltage."""
    angles = np.linspace(0.0, np.pi, 400)
    best = angles[np.argmax([power(angle) for angle in angles])]
    found = minimize_scalar(
        lambda a: -power(a), bounds=(best - 0.01, best + 0.01), method="bounded", options={"xatol": 1e-9}
    )
    return -found.fun


@pytest.mark.parametrize("m", [1.0, 1.2, 1.5, 4.0])
@pytest.mark.parametrize(("R", "X_d", "X_q"), [(0.0, 4.0, 1.0), (0.3, 4.0, 1.0), (2.0, 3.0, 0.8), (1.0, 1.1, 1.0)])
def test_power_at_the_reserved_load_angle_is_its_part_of_the_largest(m, R, X_d, X_q):
    """Currents of both axes from a linear system, voltage 1 at any angle; power is what the saliency takes up."""

    def currents(angle):
        return np.linalg.solve([[R, -X_q], [X_d, R]], [-math.sin(angle), math.cos(angle)])

    tangent = reserve.reserved_load_angle(m_r=m, R=R, X_d=X_d, X_q=X_q)
    at_one_ampere = np.array([[R, -X_q], [X_d, R]]) @ [1.0, tangent]
    rated = (X_d - X_q) * tangent / (at_one_ampere @ at_one_ampere)
    assert m * rated == pytest.approx(largest(lambda a: (X_d - X_q) * np.prod(currents(a))), rel=1e-9)


def test_without_resistance_the_voltages_load_angle_is_the_textbooks():
    """Torque of a salient machine without field goes with sin(2*delta), delta the angle of the voltage."""
    tangent = reserve.reserved_load_angle(m_r=1.7, R=0.0, X_d=5.0, X_q=2.0) * 2.0 / 5.0
    assert math.sin(2 * math.atan(tangent)) == pytest.approx(1 / 1.7, rel=1e-12)


@pytest.mark.parametrize("tangent", [0.1, 0.9, 2.0, 30.0])
@pytest.mark.parametrize(("R", "X_d", "X_q"), [(0.0, 4.0, 1.0), (0.3, 4.0, 1.0), (2.0, 3.0, 0.8), (1.0, 1.1, 1.0)])
def test_reluctance_pull_out_is_the_largest_power_at_the_voltage_of_a_current(R, X_d, X_q, tangent):
    """All currents (d, q) that the terminal voltage of (1, tangent) drives, beyond pull-out too."""
    impedance = np.array([[R, -X_q], [X_d, R]])
    U = np.hypot(*(impedance @ [1.0, tangent]))

    def power(angle):
        return (X_d - X_q) * np.prod(np.linalg.solve(impedance, [-U * math.sin(angle), U * math.cos(angle)]))

    found = reserve.two_axis_pull_out(R=R, X_d=X_d, X_q=X_q, tan_delta=tangent)
    assert found * (X_d - X_q) * tangent == pytest.approx(largest(power), rel=1e-9)
    assert found >= 1.0


def magnet_pull_out(R, X, E, current):
    """Return the largest power at the terminal voltage of a complex current, E real, over its power: by every angle."""
    U = abs(E + (R + 1j * X) * current)
    return largest(lambda a: E * ((U * np.exp(1j * a) - E) / (R + 1j * X)).real) / (E * current.real)


MAGNETS = [(0.0, 1.0, 1.0), (0.2, 1.0, 0.7), (1.0, 0.3, 2.0), (5.0, 0.1, 1.0)]


@pytest.mark.parametrize("psi", [0.0, 0.4, 1.2, -0.3])
@pytest.mark.parametrize("Y_e", [0.05, 0.8, 4.0])
@pytest.mark.parametrize(("R", "X", "E"), MAGNETS)
def test_magnet_pull_out_is_the_largest_power_at_the_voltage_of_a_current(R, X, E, Y_e, psi):
    """A current that magnetises lags: E and its flux add up, so the terminal voltage is higher."""
    current = Y_e * E * np.exp(-1j * psi)
    found = reserve.magnet_pull_out(R=R, X=X, Y_e=Y_e, psi=psi)
    assert found == pytest.approx(magnet_pull_out(R, X, E, current), rel=1e-8)


@pytest.mark.parametrize("m", [1.01, 1.35, 2.0, 10.0])
@pytest.mark.parametrize("Y_e", [0.05, 0.8, 4.0])
@pytest.mark.parametrize(("R", "X", "E"), MAGNETS)
def test_the_reserved_angle_is_the_least_that_leaves_the_reserve(m, Y_e, R, X, E):
    psi = float(reserved_angle(m, lambda psi: Y_e + 0.0 * psi, R, X))
    tried = np.linspace(0.0, math.pi / 2, 60)[:-1]
    kept = np.array([magnet_pull_out(R, X, E, Y_e * E * np.exp(-1j * one)) >= m for one in tried])
    assert (kept == (tried >= psi - 1e-9)).all(), "kept from the angle on, and not below it"
    if psi > 0.0:
        assert magnet_pull_out(R, X, E, Y_e * E * np.exp(-1j * psi)) == pytest.approx(m, rel=1e-4)


def test_a_small_current_in_phase_keeps_the_reserve_by_itself():
    """Without resistance sqrt(m^2 - 1) = E over X times the current."""
    edge = 1 / math.sqrt(1.25**2 - 1)
    assert reserve.magnet_pull_out(R=0.0, X=2.0, Y_e=edge / 2.0, psi=0.0) == pytest.approx(1.25, rel=1e-12)
    angles = reserved_angle(1.25, lambda psi: np.array([0.5, 0.99, 1.01, 2.0]) * edge / 2.0, 0.0, 2.0)
    assert (angles[:2] == 0.0).all() and 0.0 < angles[2] < angles[3]
    assert np.isnan(reserved_angle(1.25, lambda psi: np.array(np.nan), 0.0, 2.0))
