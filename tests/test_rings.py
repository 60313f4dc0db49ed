"""The field in rings: many digits, the field at points, arrays, extremes and bad input."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given, settings
from ring_stacks import (
    FIGURES,
    GAP,
    MOTOR,
    MOTOR_RINGS,
    MU_0,
    STEEL,
    WINDING,
    besselk,
    changed_ring,
    many_digits,
    solve,
    stacks,
)

from scaling.field import Layer, Ring, RotatingWave, rotating_wave
from scaling.models import rings as kernel


@pytest.fixture(autouse=True)
def no_floating_point_trouble():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


# Many digits


@pytest.mark.parametrize(
    ("p", "slip", "rotor", "mu", "can"),
    [
        (1, 0.05, 3.7e7, 1.0, 0.0),
        (1, 1e-7, 3.7e7, 30.0, 0.0),
        (2, -0.3, 1.6e6, 100 - 60j, 0.0),
        (2, 1.5, 5.8e7, 500.0, 1e6),
        (5, 1e-4, 1e3, 1.0, 1e6),
        (25, 0.5, 3.7e7, 1 - 0.01j, 0.0),
        (60, 1.0, 5.8e7, 300.0, 1e6),
        (200, 0.01, 1e7, 1.0, 0.0),
        (200, 1.0, 5.8e7, 1000.0, 0.0),
    ],
)
def test_torque_and_heat_agree_with_long_arithmetic(p, slip, rotor, mu, can):
    rings = [
        Ring(0.02, rotor / 7, 30.0, True),
        Ring(0.02 * (1 + 1e-4), rotor, mu, True),
        Ring(0.024, rotor, 1.0, True),
        Ring(0.0245),
        Ring(0.03, current_density_peak=1e6),
        Ring(0.0301, can),
    ]
    stack = {"pole_pairs": p, "frequency": 50.0, "speed": 100 * np.pi / p * (1 - slip), "sense": 1, "rings": rings}
    stack["outside"] = "iron" if can else "air"
    wave, (torque, heats) = rotating_wave(**stack), many_digits(**stack)
    rel = 1e-12 + 1e-15 / abs(slip)  # the slip itself is a difference of rounded numbers
    assert wave.torque_per_length == pytest.approx(torque, rel=rel)
    assert wave.heat_by_ring == pytest.approx(np.array(heats), rel=2 * rel, abs=1e-40)


# The field at points


def test_flux_density_is_the_curl_of_the_potential_and_meets_the_currents():
    wave = solve(*MOTOR_RINGS[:4], Ring(0.057), pole_pairs=2, sheet_current_peak=2e4, sheet_radius=0.052)
    r, theta, t, step = np.array([0.005, 0.025, 0.031, 0.04, 0.055, 0.09]), 0.3, 2e-3, 1e-8
    field = wave.field_at(r, theta, t)
    along = (wave.field_at(r, theta + step, t).A_z - wave.field_at(r, theta - step, t).A_z) / (2 * step * r)
    across = (wave.field_at(r + step, theta, t).A_z - wave.field_at(r - step, theta, t).A_z) / (2 * step)
    assert field.B_r == pytest.approx(along, rel=1e-5) and field.B_theta == pytest.approx(-across, rel=1e-5)
    before, after = (wave.field_at(0.052 + side, theta, t) for side in (-1e-12, 1e-12))
    sheet = 2e4 * np.cos(2 * np.pi * 60 * t - 2 * theta)
    assert (after.B_theta - before.B_theta) / MU_0 == pytest.approx(sheet, rel=1e-6)
    assert after.B_r == pytest.approx(before.B_r, rel=1e-6)
    enclosed = 2 * np.pi * 60 * t - 2 * theta  # curl of H is the current density, in the middle of the winding
    h, r = 1e-6, 0.04
    fields = [wave.field_at(r + dr, theta + dt, t) for dr, dt in ((h, 0), (-h, 0), (0, h), (0, -h))]
    curl = ((r + h) * fields[0].B_theta - (r - h) * fields[1].B_theta - fields[2].B_r + fields[3].B_r) / (2 * h * r)
    assert curl / MU_0 == pytest.approx(1e6 * np.cos(enclosed), rel=1e-5)


def test_field_on_the_axis_and_far_outside():
    wave = solve()
    axis, near = wave.field_at(0.0, 0.7), wave.field_at(1e-8, 0.7)
    assert axis.B_r == pytest.approx(near.B_r, rel=1e-6) and axis.A_z == 0
    assert np.isfinite(wave.field_at(np.array([0.0, 1e-300, 1e9]), 0.1)).all()
    assert solve(pole_pairs=3).field_at(0.0, 0.1).B_r == pytest.approx(0, abs=1e-12)


# Arrays


@given(stacks(most_pole_pairs=25))
@settings(max_examples=10)
def test_broadcasting_is_looping(stack):
    speeds, poles = stack["speed"] * np.array([1.0, -0.5, 0.0]), np.array([[stack["pole_pairs"]], [3]])
    sigmas = np.array([0.0, 1e6]).reshape(2, 1, 1)
    rings = [changed_ring(ring, conductivity=sigmas) if i == 1 else ring for i, ring in enumerate(stack["rings"])]
    wave = rotating_wave(**stack | {"speed": speeds, "pole_pairs": poles, "rings": rings})
    for place in np.ndindex(2, 2, 3):
        rings[1] = changed_ring(rings[1], conductivity=sigmas[place[0], 0, 0])
        one = rotating_wave(**stack | {"speed": speeds[place[2]], "pole_pairs": poles[place[1], 0], "rings": rings})
        for name in FIGURES:
            found, scale = getattr(wave, name), 1e-13 * (np.abs(one.supply_power) + np.abs(one.heat))
            assert found.shape == (2, 2, 3) and np.ndim(getattr(one, name)) == 0
            assert found[place] == pytest.approx(
                getattr(one, name), rel=1e-11, abs=scale * (name != "torque_per_length")
            )
        assert wave.heat_by_ring[(slice(None), *place)] == pytest.approx(one.heat_by_ring, rel=1e-11, abs=1e-300)


def test_every_argument_gives_its_shape_to_every_figure():
    for name in ("pole_pairs", "frequency", "speed", "sense", "sheet_current_peak"):
        wave = solve(**{name: np.full(3, {"sense": -1, "pole_pairs": 2}.get(name, 50.0))})
        assert all(getattr(wave, figure).shape == (3,) for figure in FIGURES)
        assert wave.heat_by_ring.shape == wave.torque_by_ring.shape == (5, 3)


def test_the_model_passes_nan_through():
    speeds = np.array([100.0, np.nan])
    wave = RotatingWave(**MOTOR | {"rings": MOTOR_RINGS, "speed": speeds})
    for name in FIGURES:
        assert np.isnan(getattr(wave, name)).tolist() == [False, True]
    wave = RotatingWave(**MOTOR | {"rings": [Ring(0.02, np.array([1e6, np.nan, 0.0]), turns=True), GAP, WINDING]})
    assert np.isnan(wave.heat).tolist() == [False, True, False]
    assert np.isnan(wave.field_at(0.01, 0.0).B_r).tolist() == [False, True, False]


# Extremes and bad input


@pytest.mark.parametrize("p", [1, 2, 25, 200, 400])
@pytest.mark.parametrize("skin", [1e-8, 1e-4, 1.0, 1e4, None])
@pytest.mark.parametrize("thickness", [1e-9, 1e-3, 0.9])
def test_extremes_give_finite_numbers(p, skin, thickness):
    radius, mu = 0.05, 500 - 100j
    sigma = 0.0 if skin is None else min(2 / (100 * np.pi * MU_0 * 500 * (skin * thickness * radius) ** 2), 1e30)
    gap, slip = np.array([[1e-9], [1e-3], [1.0], [1e3]]), np.array([-1.0, 0.0, 1e-12, 1.0])
    rings = [
        Ring(radius * (1 - thickness), sigma / 3, 30.0, True), Ring(radius, sigma, mu, True),
        Ring(radius * (1 + gap)), Ring(radius * (1 + gap) * 1.2, current_density_peak=1e6),
    ]  # fmt: skip
    for outside in ("iron", "air"):
        wave = solve(*rings, pole_pairs=p, frequency=50.0, speed=100 * np.pi / p * (1 - slip), outside=outside)
        assert all(np.isfinite(getattr(wave, name)).all() for name in FIGURES)
        total = np.abs(wave.mechanical_power) + wave.heat
        assert (np.abs(wave.supply_power - wave.mechanical_power - wave.heat) <= 1e-11 * total + 1e-300).all()
        r = np.array([0.0, 1e-4, 0.04, 0.05, 0.06, 1e6])[:, None, None]
        assert np.isfinite(wave.field_at(r, 0.1)).all()


@pytest.mark.parametrize("z", [1e-9, 1e-3, 0.2, 0.9, 1.1, 7.0, 59.0, 61.0, 300.0])
@pytest.mark.parametrize("p", [1, 2, 24, 25, 26, 200])
def test_logarithmic_derivatives_of_bessel_functions(p, z):
    mp.mp.dps = 40 + int(z)
    for angle in (-0.3, np.pi / 4):
        at = np.atleast_1d(z * np.exp(1j * angle))
        x = mp.mpmathify(complex(at[0]))
        i = mp.besseli(p + 1, x) / mp.besseli(p, x)
        k = besselk(p - 1, x) / besselk(p, x)
        order = np.full(1, float(p))
        assert kernel.growing(order, at)[0] - 1 == pytest.approx(complex(x / p * i), rel=1e-12, abs=3e-16)
        assert kernel.falling(order, at)[0] - 1 == pytest.approx(complex(x / p * k), rel=1e-12, abs=3e-16)


@pytest.mark.parametrize("p", [1.0, 25.0, 200.0])
def test_logarithmic_derivatives_go_over_into_their_asymptotic_series(p):
    z = np.array([2e5, 9e5]) * np.exp(0.25j * np.pi)
    for way, sign in ((kernel.growing, -1), (kernel.falling, 1)):
        assert kernel._far(np.full(2, p), z, sign) == pytest.approx(way(np.full(2, p), z), rel=1e-12)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"pole_pairs": 1.5}, "pole_pairs: got 1.5; expected whole numbers from 1 to 400"),
        ({"pole_pairs": 0}, "pole_pairs: got 0; expected finite SI numbers above 0"),
        ({"pole_pairs": [1, 401]}, "pole_pairs: got"),
        ({"frequency": -1.0}, "frequency: got -1.0; expected finite SI numbers of at least 0"),
        ({"speed": np.nan}, "speed: got nan"),
        ({"sense": 0}, "sense: got 0; expected 1 "),
        ({"outside": "steel"}, "outside: got 'steel'; expected one of"),
        ({"rings": []}, "rings: got none"),
        (
            {"rings": [GAP, STEEL]},
            r"rings\[1\].outer_radius: got 0.02; expected more than that of the ring before, 0.032",
        ),
        ({"rings": [Ring(0.0)]}, r"rings\[0\].outer_radius: got 0.0; expected finite SI numbers above 0"),
        ({"rings": [Ring(0.01, -1.0)]}, r"rings\[0\].conductivity: got -1.0"),
        ({"rings": [Ring(0.01, 0.0, 5 + 1j)]}, "relative_permeability: got .*; expected mu' - j"),
        (
            {"rings": [Ring(0.01, 1e6, current_density_peak=1e6)]},
            r"current_density_peak: got 1000000.0 in a ring that con",
        ),
        ({"rings": [Ring(0.01, 0, 5 - 1j, current_density_peak=1e6)]}, "expected a stranded winding"),
        (
            {"sheet_current_peak": 1.0, "sheet_radius": 0.031},
            "sheet_radius: got 0.031; expected the outer_radius of one",
        ),
        ({"speed": [1.0, 2.0], "frequency": [1.0, 2.0, 3.0]}, r"speed: got shape \(2,\); expected one that broadcasts"),
    ],
)
def test_bad_values_are_refused_by_name(changed, words):
    with pytest.raises(ValueError, match=words):
        solve(**changed)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"speed": "100 rpm"}, "speed: got '100 rpm'; expected finite SI numbers, without unit"),
        ({"rings": STEEL}, "rings: got .*; expected a list of Ring"),
        ({"rings": [Layer(1e-3)]}, "expected a list of Ring"),
        ({"rings": [Ring(0.01, turns=1.0)]}, r"rings\[0\].turns: got 1.0; expected True or False"),
        ({"outside": None}, "outside: got None"),
        ({"rings": [Ring("1 mm")]}, r"rings\[0\].outer_radius: got '1 mm'"),
    ],
)
def test_what_is_no_number_or_ring_is_refused(changed, words):
    with pytest.raises(TypeError, match=words):
        solve(**changed)
