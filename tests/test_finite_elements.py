"""The layered field against finite elements: stresses, heat, the field at points; and its speed against theirs."""

import time

import numpy as np
import pytest
from finite_elements import MU_0, line, plane

from scaling.field import Layer, travelling_wave

CASE = {"pole_pitch": 0.1, "frequency": 50.0, "gap": 2e-3, "sheet_current_peak": 5e4, "behind_rotor": "iron"}
K = np.pi / CASE["pole_pitch"]
SHEET = Layer(1e-3, 3.5e7)
PLATE = Layer(2e-2, 5.8e7)
RING = Layer(5e-3, 0.0, 100 - 40j)
STEEL = Layer(1e-2, 5e6, 300.0)
LOSSY_STEEL = Layer(1e-2, 5e6, 1000 - 400j)
STACKS = {
    "sheet": [SHEET],
    "plate": [PLATE],
    "ring": [RING],
    "steel": [STEEL],
    "lossy steel": [LOSSY_STEEL],
    "sheet on steel": [SHEET, LOSSY_STEEL],
    "ring under a can, spaced from steel": [Layer(3e-4, 1.4e6), RING, Layer(1e-3), STEEL],
}


def solve(*layers, **changed):
    """Return the wave of the standard stage over some layers."""
    return travelling_wave(**CASE | {"layers": list(layers)} | changed)


def difference(found, wave):
    """Return the largest relative difference of stresses, field, heats; the pull is set against the field pressure."""
    pressure = wave.gap_field_peak**2 / (4 * MU_0)
    return max(
        abs(found.shear_stress / wave.shear_stress - 1),
        abs(found.stress_in_gap / wave.shear_stress - 1),
        abs(found.normal_stress - wave.normal_stress) / pressure,
        abs(found.gap_field_peak / wave.gap_field_peak - 1),
        # A layer that hardly loses anything, or nothing, counts by the whole.
        *(np.abs(found.heat_by_layer - wave.heat_by_layer) / np.maximum(wave.heat_by_layer, 1e-3 * wave.heat)),
    )


@pytest.mark.parametrize("behind", ["iron", "air"])
@pytest.mark.parametrize("name", STACKS)
def test_stresses_and_heat_across_the_gap(name, behind):
    """50 Hz to 2 kHz, braking to driven, gaps of 0.5 to 20 mm, winding with core and without."""
    for frequency, slip, gap, stator in (
        (50.0, 0.02, 2e-3, "iron"),
        (50.0, 1.0, 5e-4, "air"),
        (400.0, 0.3, 2e-3, "iron"),
        (2000.0, 1.6, 5e-4, "iron"),
        (400.0, -0.5, 2e-2, "air"),
    ):
        case = CASE | {
            "frequency": frequency,
            "slip": slip,
            "gap": gap,
            "behind_rotor": behind,
            "behind_stator": stator,
        }
        layers = STACKS[name]
        assert difference(line(layers=layers, **case), travelling_wave(layers=layers, **case)) < 1e-6, (frequency, slip)


PLANE = {
    "sheet on iron": ([SHEET], "iron", 50.0),
    "plate in air": ([PLATE], "air", 50.0),
    "ring in air": ([RING], "air", 50.0),
    "steel in air": ([STEEL], "air", 400.0),
    "sheet on lossy steel": ([SHEET, LOSSY_STEEL], "iron", 50.0),
}


@pytest.mark.parametrize("name", PLANE)
def test_stresses_and_heat_in_the_plane(name):
    layers, behind, frequency = PLANE[name]
    case = CASE | {"layers": layers, "behind_rotor": behind, "frequency": frequency, "slip": 0.2}
    assert difference(plane(**case), travelling_wave(**case)) < 1e-6


def test_layers_that_move_past_each_other():
    """A can at rest before a sheet that moves: the current carried along comes from the speed in Ohm's law."""
    layers = [Layer(5e-4, 1e7, speed=0.0), Layer(2e-3, 3.5e7, speed=6.0)]
    case = CASE | {"layers": layers, "slip": None, "behind_rotor": "air"}
    assert difference(line(**case), travelling_wave(**case)) < 1e-6
    assert difference(plane(**case), travelling_wave(**case)) < 1e-6


# The field at points


def test_potential_at_every_node():
    case = CASE | {"layers": [SHEET, STEEL], "slip": 0.2, "behind_rotor": "air"}
    found = plane(**case)
    near = found.at[:, found.at[1] < 0.1]  # the mesh of the air ends at 0.3 m
    for time_, phase in ((0.0, 1), (5e-3, 1j)):
        potential = travelling_wave(**case).field_at(*near, time=time_).A_z
        by_hand = np.real(found.potential * phase)[found.at[1] < 0.1]
        assert np.abs(potential - by_hand).max() < 1e-6 * np.abs(potential).max()


STACK = (Layer(1e-3, 3.5e7), Layer(4e-3, 4e6, 200.0), Layer(6e-3, 0.0, 30 - 10j))
FACES = np.array([0.0, 2e-3, 3e-3, 7e-3, 13e-3])
X = np.arange(64) * 0.2 / 64  # one wave


@pytest.fixture(scope="module", params=[("iron", "iron"), ("air", "air")])
def stack_wave(request):
    rotor, stator = request.param
    return solve(*STACK, behind_rotor=rotor, behind_stator=stator, slip=0.7)


def test_mean_stress_of_the_field_in_the_gap(stack_wave):
    B_x, B_y, _ = stack_wave.field_at(X[:, None], np.linspace(0, 1.999e-3, 7), time=3e-3)
    assert (-B_x * B_y / MU_0).mean(axis=0) == pytest.approx(np.full(7, stack_wave.shear_stress), rel=1e-12)
    assert ((B_y**2 - B_x**2) / (2 * MU_0)).mean(axis=0) == pytest.approx(
        np.full(7, stack_wave.normal_stress), rel=1e-12
    )
    assert np.sqrt(2 * (B_y[:, 0] ** 2).mean()) == pytest.approx(stack_wave.gap_field_peak, rel=1e-12)


def test_flux_density_is_the_curl_of_the_potential_everywhere(stack_wave):
    y, step = np.array([-0.02, -1e-3, 1e-3, 2.4e-3, 5e-3, 9e-3, 0.02, 0.1]), 1e-7
    B_x, B_y, _ = stack_wave.field_at(0.03, y, time=1e-3)
    along, across = (
        (stack_wave.field_at(0.03 + dx, y + dy, 1e-3).A_z - stack_wave.field_at(0.03 - dx, y - dy, 1e-3).A_z)
        / (2 * step)
        for dx, dy in ((step, 0), (0, step))
    )
    assert B_x == pytest.approx(across, rel=1e-6, abs=1e-7) and B_y == pytest.approx(-along, rel=1e-6, abs=1e-7)


def test_field_meets_the_sheet_and_is_continuous_at_the_faces(stack_wave):
    before, after = (stack_wave.field_at(X[:, None], FACES + side * 1e-12, 2e-3) for side in (-1, 1))
    largest = np.abs(after.A_z).max()
    assert np.abs(after.A_z - before.A_z).max() < 1e-8 * largest
    assert np.abs(after.B_y - before.B_y).max() < 1e-7 * K * largest
    air = stack_wave.normal_stress != solve(*STACK, slip=0.7).normal_stress
    sheet = 5e4 * np.cos(2 * np.pi * 50 * 2e-3 - K * X)
    below = before.B_x[:, 0] / MU_0 if air else 0.0  # ideal iron carries no field strength
    assert below - after.B_x[:, 0] / MU_0 == pytest.approx(sheet, rel=1e-6, abs=1e-3)
    mu = np.array([1.0, 1.0, 200.0])
    assert before.B_x[:, 1:3] / mu[:2] == pytest.approx(after.B_x[:, 1:3] / mu[1:], rel=1e-6, abs=1e-9)


def test_field_travels_unchanged_and_broadcasts():
    wave = solve(SHEET, slip=np.array([0.1, 0.5]))
    later = wave.field_at(X[:, None], 2.5e-3, time=7e-3)
    moved = wave.field_at(X[:, None] - 10.0 * 7e-3, 2.5e-3)
    assert later.A_z.shape == (64, 2)
    assert all(one == pytest.approx(other, rel=1e-9, abs=1e-12) for one, other in zip(later, moved, strict=True))
    alone = solve(SHEET, slip=0.5).field_at(X, 2.5e-3, time=7e-3)
    assert alone.B_x == pytest.approx(later.B_x[:, 1], rel=1e-13)


# Speed


def seconds(function):
    start = time.perf_counter()
    function()
    return time.perf_counter() - start


def test_a_hundred_thousand_points_cost_little_more_than_the_bare_arithmetic():
    """About twice on an idle machine; a shared one gets room."""
    rng, n = np.random.default_rng(1), 100_000
    tau, f, g, d, s = (rng.uniform(*ends, n) for ends in ((0.01, 0.3), (5, 400), (1e-3, 1e-2), (1e-3, 2e-2), (1e-3, 1)))

    def by_hand():
        k = np.pi / tau
        gamma = np.sqrt(k**2 + 1j * MU_0 * 3.5e7 * s * 2 * np.pi * f)
        eta, tanh = gamma / MU_0, np.tanh(gamma * d)
        rotor = (-k / MU_0 - eta * tanh) / (1 + k / MU_0 * tanh / eta)
        tanh = np.tanh(k * g)
        a = -5e4 / ((rotor - k / MU_0 * tanh) / (1 - rotor * tanh * MU_0 / k))
        return 0.5 * (1j * k * a * 5e4).real, k * np.abs(a)

    def by_wave():
        wave = solve(Layer(d, 3.5e7), pole_pitch=tau, frequency=f, gap=g, slip=s, behind_rotor="air")
        return wave.shear_stress, wave.gap_field_peak

    for found, expected in zip(by_wave(), by_hand(), strict=True):
        assert np.abs(found / expected - 1).max() < 1e-9
    assert np.median([seconds(by_wave) / seconds(by_hand) for _ in range(7)]) < 4


def test_a_point_costs_far_less_than_finite_elements_of_the_same_accuracy():
    """10^5 times less than in the plane, 10^4 than across the gap alone, on an idle machine."""
    case = CASE | {"layers": [PLATE], "behind_rotor": "air"}
    coarse, slips = {"across": 24, "fine": 12}, np.linspace(0.01, 1, 20_000)
    assert 1e-8 < difference(plane(**case, slip=0.2, **coarse), travelling_wave(**case, slip=0.2)) < 1e-6
    assert 1e-8 < difference(line(**case, slip=0.2, fine=8), travelling_wave(**case, slip=0.2)) < 1e-6
    point = min(seconds(lambda: travelling_wave(**case, slip=slips).heat) for _ in range(3)) / slips.size
    assert seconds(lambda: plane(**case, slip=0.2, **coarse)) > 1e4 * point
    assert seconds(lambda: line(**case, slip=0.2, fine=8)) > 1e3 * point
