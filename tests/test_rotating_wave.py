"""The field in rings: its energy, limits, finite elements; its speed against the bare arithmetic."""

import time

import numpy as np
import pytest
from finite_elements_rings import radial
from hypothesis import given, settings
from ring_stacks import ALUMINIUM, FIGURES, GAP, MOTOR, MOTOR_RINGS, MU_0, STEEL, WINDING, changed_ring, solve, stacks
from scipy import special
from scipy.optimize import minimize_scalar

from scaling.field import Layer, Ring, rotating_wave, travelling_wave


@pytest.fixture(autouse=True)
def no_floating_point_trouble():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


def quarters(p):
    """Return angles a quarter of a wave apart: the mean of a square over four of them is that over the wave."""
    return np.arange(4) * np.pi / 2 / p


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


@pytest.mark.parametrize("seed", range(12))
def test_heat_is_the_integral_of_the_losses(seed):
    """Gauss's rule over the field at points: sigma*E²/2 and |omega'|*mu''*H²/2, with angle and time averaged."""
    rng = np.random.default_rng(seed)
    p, sense = rng.choice([1, 2, 5]), rng.choice([1, -1])
    rotor = Ring(0.03, 10 ** rng.uniform(4, 7), rng.choice([1, 30, 100 - 60j]), turns=True)
    wave = solve(Ring(0.01), rotor, GAP, WINDING, pole_pairs=p, sense=sense, speed=rng.uniform(-500, 500))
    node, weight = np.polynomial.legendre.leggauss(60)
    r = 0.02 + 0.01 * node
    past = 2 * np.pi * 60 - sense * p * wave.speed
    B_r, B_theta, A = (
        sum(np.square(part)) / 4 for part in zip(*(wave.field_at(r, t) for t in quarters(p)), strict=True)
    )
    mu = rotor.relative_permeability
    density = rotor.conductivity * past**2 * A + abs(past) * -np.imag(mu) / (abs(mu) ** 2 * MU_0) * (B_r + B_theta)
    assert wave.heat_by_ring[1] == pytest.approx(np.sum(weight * 0.01 * 2 * np.pi * r * density), rel=1e-12)


# Limits


def test_a_solid_cylinder_in_a_turning_field():
    """pi*R²*B²/mu_0 times 4*Im(i)/|1 + i|², in a uniform field B: at most 0.7549, where R is 1.778 skin depths."""
    radius, omega, sheet = 0.05, 2 * np.pi * 50, 1e4

    def torque(ratio):
        sigma = 2 * ratio**2 / (omega * MU_0 * radius**2)
        solid = Ring(radius, sigma, turns=True)
        wave = solve(solid, Ring(0.08), speed=0.0, frequency=50.0, sheet_current_peak=sheet)
        return wave.torque_per_length / (np.pi * radius**2 * (MU_0 * sheet / 2) ** 2 / MU_0)

    best = minimize_scalar(lambda ratio: -torque(ratio), bounds=(0.5, 5), method="bounded", options={"xatol": 1e-9})
    assert best.x == pytest.approx(1.778, abs=5e-4) and -best.fun == pytest.approx(0.7549, abs=5e-5)
    ratio = np.array([1e-6, 0.1, 1.0, 10.0, 300.0])
    z = (1 + 1j) * ratio
    bessel = 4 * np.imag(z * special.ive(2, z) / special.ive(1, z)) * np.abs(special.ive(1, z) / special.ive(0, z)) ** 2
    bessel /= np.abs(z) ** 2
    assert torque(ratio)[1:] == pytest.approx(bessel[1:], rel=1e-12)
    assert torque(1e-6) == pytest.approx((1e-6) ** 2, rel=1e-11)  # sigma*omega*mu_0*R²/2, the field undisturbed


def plane_twin(wave_rings, radius, gap, **case):
    """Return the torque per length of the same stack, unrolled at the stator's bore."""
    p, bore = case["pole_pairs"], radius + gap
    wave = travelling_wave(
        pole_pitch=np.pi * bore / p, frequency=50.0, gap=gap, behind_rotor="air", slip=0.2, layers=wave_rings,
        sheet_current_peak=5e4,
    )  # fmt: skip
    return wave.shear_stress


def test_goes_over_into_the_plane_as_the_radius_grows():
    """The difference falls as thickness over radius, whatever the rotor is made of."""
    thickness, gap, pitch = 5e-3, 2e-3, 0.1
    for sigma, mu in ((3.5e7, 1.0), (0.0, 100 - 40j), (5e6, 300.0)):
        difference = []
        for p in (25, 50, 100, 200):
            bore = pitch * p / np.pi
            rotor = bore - gap
            rings = [Ring(rotor - thickness), Ring(rotor, sigma, mu, True), Ring(bore)]
            wave = solve(*rings, pole_pairs=p, frequency=50.0, speed=0.8 * 100 * np.pi / p, outside="iron",
                         sheet_current_peak=5e4)  # fmt: skip
            plane = plane_twin([Layer(thickness, sigma, mu)], rotor, gap, pole_pairs=p)
            difference.append(wave.torque_per_length / (2 * np.pi * bore**2) / plane - 1)
        assert abs(difference[-1]) < 0.01
        assert difference[1] / difference[2] == pytest.approx(2, rel=0.06)
        assert difference[2] / difference[3] == pytest.approx(2, rel=0.03)


def test_a_thin_sheet_on_an_idle_core():
    """w grows by j*mu_0*sigma_s*omega'*r/p across a sheet; the error is of first order in the thickness."""
    p, radius, bore, sheet, omega = 3, 0.05, 0.06, 1e4, 2 * np.pi * 50
    conductance = np.array([1e2, 1e4, 1e6])
    w = 1 + 1j * MU_0 * conductance * omega * radius / p
    r = (radius / bore) ** (2 * p)
    reflected = (1 - w) / (1 + w) * r
    at_bore = (1 - reflected) / (1 + reflected)
    a = MU_0 * sheet * bore / (p * at_bore)
    torque = np.pi * p**2 / MU_0 * np.abs(a) ** 2 * at_bore.imag
    error = []
    for thickness in (1e-6, 1e-7):
        ring = Ring(radius, conductance / thickness, turns=True)
        wave = solve(Ring(radius - thickness), ring, Ring(bore), pole_pairs=p, frequency=50.0, speed=0.0,
                     outside="iron", sheet_current_peak=sheet)  # fmt: skip
        error.append(np.abs(wave.torque_per_length / torque - 1).max())
    assert error[1] < 1e-4 and error[0] / error[1] == pytest.approx(10, rel=0.05)


def test_a_hysteretic_ring_pulls_alike_at_every_speed_below_the_fields_and_reversed_above():
    synchronous = 2 * np.pi * 60 / 2
    speed = synchronous * np.array([-1.0, 0.0, 0.7, 1.0, 1.2])
    wave = solve(Ring(0.02), Ring(0.03, 0.0, 100 - 40j, True), GAP, WINDING, pole_pairs=2, speed=speed)
    assert (wave.torque_per_length == wave.torque_per_length[0] * np.array([1, 1, 1, 1, -1])).all()
    assert wave.torque_per_length[0] > 0
    assert wave.heat == pytest.approx(wave.torque_per_length * (synchronous - speed), rel=1e-12)
    assert wave.heat[3] == 0 and (wave.heat >= 0).all()


def test_at_synchronism_a_conductor_takes_nothing_and_near_it_in_proportion():
    slip = np.array([-1e-6, 0.0, 1e-9, 1e-6])
    wave = solve(speed=2 * np.pi * 60 * (1 - slip))
    assert wave.torque_per_length[1] == 0 and wave.heat[1] == 0 and wave.supply_power[1] == 0
    per_slip = wave.torque_per_length[[0, 2, 3]] / slip[[0, 2, 3]]
    assert per_slip == pytest.approx(per_slip[1], rel=1e-6) and per_slip[1] > 0


def test_a_wave_of_the_other_sense_is_the_mirror_image():
    speed = np.array([-300.0, 0.0, 300.0])
    one, other = solve(speed=speed), solve(speed=-speed, sense=-1)
    assert (other.torque_per_length == -one.torque_per_length).all() and (other.heat == one.heat).all()
    assert solve(speed=0.0).torque_per_length > 0 > solve(speed=0.0, sense=-1).torque_per_length
    mirrored, field = other.field_at(0.031, -0.4, 1e-3), one.field_at(0.031, 0.4, 1e-3)
    assert mirrored.A_z == pytest.approx(field.A_z) and mirrored.B_r == pytest.approx(-field.B_r)


def test_a_halved_ring_is_the_whole_and_a_thin_winding_a_sheet():
    whole = solve()
    parted = solve(STEEL, changed_ring(ALUMINIUM, outer_radius=0.024), ALUMINIUM, *MOTOR_RINGS[2:])
    for name in FIGURES:
        assert getattr(parted, name) == pytest.approx(getattr(whole, name), rel=1e-12)
    assert parted.heat_by_ring[1:3].sum() == pytest.approx(whole.heat_by_ring[1], rel=1e-12)
    error = []
    for thickness in (1e-6, 1e-7):
        thin = Ring(0.032 + thickness, current_density_peak=5e4 / thickness)
        case = {"pole_pairs": 2}
        sheet = solve(STEEL, ALUMINIUM, GAP, Ring(0.05), sheet_current_peak=5e4, sheet_radius=0.032, **case)
        wound = solve(STEEL, ALUMINIUM, GAP, thin, Ring(0.05), **case)
        error.append(abs(wound.torque_per_length / sheet.torque_per_length - 1))
    assert error[1] < 1e-5 and error[0] / error[1] == pytest.approx(10, rel=0.01)


def test_an_outer_rotor_takes_what_the_inner_stator_gives():
    """Winding inside, conducting ring outside: the stress on its inner face against its losses."""
    rings = [
        Ring(0.02, current_density_peak=1e6),
        Ring(0.021),
        Ring(0.025, 3.7e7, turns=True),
        Ring(0.03, 1e6, 500.0, True),
    ]
    wave = solve(*rings, pole_pairs=2, speed=np.array([0.0, 150.0, 250.0]))
    assert wave.torque_per_length == pytest.approx(wave.torque_by_ring[2:].sum(axis=0), rel=1e-12)
    assert wave.supply_power == pytest.approx(wave.heat + wave.mechanical_power, rel=1e-12)
    assert (wave.torque_per_length > 0).tolist() == [True, True, False]


def test_a_sheet_between_a_rotor_and_what_stands_still():
    """The stress jumps across the sheet: what turns takes its own losses only, inside the sheet and outside."""
    for inner, outer in ((True, False), (False, True)):
        rings = [Ring(0.02, 1e6, 30.0, inner), Ring(0.025, 3.7e7, 1.0, outer), Ring(0.03, 1e6, 50.0, outer)]
        wave = solve(*rings, sheet_current_peak=1e4, sheet_radius=0.02, pole_pairs=2)
        turning = wave.torque_by_ring[:1] if inner else wave.torque_by_ring[1:]
        assert wave.torque_per_length == pytest.approx(turning.sum(), rel=1e-12)


def test_torque_grows_with_the_square_of_the_size_when_conductivity_falls_with_it():
    scale = 10.0
    larger = [
        Ring(ring.outer_radius * scale, ring.conductivity / scale**2, ring.relative_permeability, ring.turns,
             ring.current_density_peak / scale) for ring in MOTOR_RINGS
    ]  # fmt: skip
    assert solve(*larger).torque_per_length == pytest.approx(solve().torque_per_length * scale**2, rel=1e-12)


# Finite elements


RADIAL = {
    "motor, forward": ({"speed": 400.0}, 2),
    "motor, fifth, backward, driven": ({"pole_pairs": 5, "sense": -1, "speed": 400.0}, 2),
    "hysteresis ring over solid steel, can, sheet": (
        {
            "pole_pairs": 2, "speed": 250.0, "outside": "iron", "sheet_current_peak": 3e4,
            "rings": [Ring(0.008), Ring(0.011, 4e6, 100.0, True), Ring(0.016, 0.0, 20 - 12j, True), Ring(0.017),
                      Ring(0.0175, 1.4e6), Ring(0.018)],
        }, 3),
}  # fmt: skip


@pytest.mark.parametrize("name", RADIAL)
def test_torque_heat_and_potential_agree_with_finite_elements(name):
    changed, gap = RADIAL[name]
    case = MOTOR | {"rings": MOTOR_RINGS} | changed
    torque, heats, at, potential = radial(**case, gap=gap)
    wave = rotating_wave(**case)
    through = wave.torque_by_ring[: gap + 1].sum()
    assert torque == pytest.approx(through, rel=1e-6)
    assert heats == pytest.approx(wave.heat_by_ring, rel=1e-6, abs=1e-9 * wave.heat)
    inside = slice(1, None, 7)
    found = wave.field_at(at[inside], 0.0).A_z
    assert np.abs(found - potential[inside].real).max() < 1e-6 * np.abs(potential).max()


@pytest.mark.parametrize(
    ("speed", "share", "orders"),
    [
        (0.0, 6, (1, -5, 7, -11, 13, -17, 19, -23, 25)),
        (400.0, 6, (1, -5, 7, -11, 13, -17, 19, -23, 25)),
        (39.79351, 2, [n * sense for n in range(1, 26, 2) for sense in (1, -1)]),
    ],
    ids=["three phases at rest", "three phases at 400 rad/s", "one phase at 40 rad/s"],
)
def test_benchmark_motor_agrees_with_finite_elements_where_its_printed_values_do_not(speed, share, orders):
    """TEAM 30a, harmonics 1 to 25, one below zero turning backward (see tests/published)."""
    ours, theirs = np.zeros(2), np.zeros(2)
    for order in orders:
        J = 310e4 * np.sqrt(2) * share / (abs(order) * np.pi) * np.sin(abs(order) * np.pi / 8)
        rings = [changed_ring(ring, current_density_peak=J) if ring is WINDING else ring for ring in MOTOR_RINGS]
        case = MOTOR | {"rings": rings, "pole_pairs": abs(order), "sense": np.sign(order), "speed": speed}
        torque, heats, _, _ = radial(**case, gap=2)
        wave = rotating_wave(**case)
        ours, theirs = ours + (wave.torque_per_length, wave.heat), theirs + (torque, heats.sum())
    assert ours == pytest.approx(theirs, rel=1e-6)


# Speed


def bare(p, omega, speed, sigma, mu, r_1, r_2, gap, sheet):
    """Return torque and heat of a conducting ring round an idle core in iron, written out for this stack alone."""
    past = omega - p * speed
    kappa = np.sqrt(1j * past * MU_0 * mu * sigma)
    z_1, z_2 = kappa * r_1, kappa * r_2
    i_1, i_2 = (1 + z / p * special.ive(p + 1, z) / special.ive(p, z) for z in (z_1, z_2))
    k_1, k_2 = (1 + z / p * special.kve(p - 1, z) / special.kve(p, z) for z in (z_1, z_2))
    decay = special.ive(p, z_1) / special.ive(p, z_2) * np.exp((z_1 - z_2).real)
    rho = decay**2 * (i_1 + k_1) / (i_2 + k_2)
    reflected = (i_1 / mu - 1) / (k_1 / mu + 1) * rho
    w = (i_2 - k_2 * reflected) / (mu * (1 + reflected))
    reflected = (1 - w) / (1 + w) * (r_2 / gap) ** (2 * p)
    at_bore = (1 - reflected) / (1 + reflected)
    torque = np.pi * p**2 / MU_0 * np.abs(MU_0 * sheet * gap / (p * at_bore)) ** 2 * at_bore.imag
    return torque, torque * past / p


def seconds(function):
    start = time.perf_counter()
    function()
    return time.perf_counter() - start


def test_twenty_thousand_points_cost_little_more_than_the_bare_arithmetic(benchmark):
    rng, n = np.random.default_rng(1), 20_000
    p, speed, sigma = rng.integers(1, 5, n), rng.uniform(-50, 20, n), rng.uniform(2e7, 5e7, n)
    rings = [Ring(0.02), Ring(0.03, sigma, 1.0, True), Ring(0.032)]

    def by_wave():
        wave = solve(*rings, pole_pairs=p, frequency=60.0, speed=speed, outside="iron", sheet_current_peak=1e4)
        return wave.torque_per_length, wave.heat

    def by_hand():
        return bare(p, 2 * np.pi * 60, speed, sigma, 1.0, 0.02, 0.03, 0.032, 1e4)

    for found, expected in zip(benchmark(by_wave), by_hand(), strict=True):
        assert found == pytest.approx(expected, rel=1e-9)
    ratio = np.median([seconds(by_wave) / seconds(by_hand) for _ in range(7)])
    print(f"{ratio:.2f} times the bare arithmetic")
    assert ratio < 1.5
