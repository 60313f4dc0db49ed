"""The layered field: arithmetic with many digits, its energy, limits, invariances, extremes and bad input."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scaling.field import Layer, TravellingWave, travelling_wave
from scaling.ground.constants import VALUES
from scaling.laws import geometry, hysteresis, induction
from scaling.laws import stator as stator_laws

MU_0 = VALUES["mu_0"]
SHEET = Layer(thickness=1e-3, conductivity=3.5e7)
RING = Layer(thickness=5e-3, relative_permeability=100 - 40j)
STEEL = Layer(thickness=1e-2, conductivity=5e6, relative_permeability=300 - 50j)
CASE = {"pole_pitch": 0.1, "frequency": 50.0, "gap": 2e-3, "sheet_current_peak": 5e4, "behind_rotor": "iron"}
K = np.pi / CASE["pole_pitch"]
FIGURES = ("shear_stress", "normal_stress", "gap_field_peak", "heat", "mechanical_power", "sheet_power")


def solve(*layers, **changed):
    """Return the wave of the standard stage over some layers, at 20 % slip where nothing else is said."""
    slip = {"slip": 0.2} if layers and layers[0].speed is None else {}
    return travelling_wave(**CASE | slip | {"layers": list(layers)} | changed)


@pytest.fixture(autouse=True)
def no_floating_point_trouble():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


# Random stacks, from numbers without dimension: k*g, k*d, thickness over skin depth


def power_of_ten(low, high):
    return st.floats(low, high).map(lambda exponent: 10.0**exponent)


@st.composite
def stacks(draw, lossless=True):
    """Return the arguments of a stack of one to three layers."""
    pole_pitch, frequency = draw(power_of_ten(-4, 0)), draw(power_of_ten(0, 4))
    slip = draw(power_of_ten(-6, 0.3)) * draw(st.sampled_from([-1, 1]))
    k, passing = np.pi / pole_pitch, 2 * np.pi * frequency * abs(slip)
    layers = []
    for _ in range(draw(st.integers(1, 3))):
        thickness = draw(power_of_ten(-6, 1)) / k
        mu = draw(power_of_ten(0, 4)) * draw(st.sampled_from([1.0, 1 - 1e-6j, 1 - 0.3j, 1 - 3j]))
        skin = thickness * draw(power_of_ten(-4, 3))
        sigma = min(2 / (passing * MU_0 * abs(mu) * skin**2), 1e15) * draw(st.sampled_from([0, 1] if lossless else [1]))
        layers.append(Layer(thickness, sigma, mu))
    return {
        "pole_pitch": pole_pitch,
        "frequency": frequency,
        "gap": draw(power_of_ten(-3, 1.5)) / k,
        "layers": layers,
        "sheet_current_peak": 1e4,
        "behind_rotor": draw(st.sampled_from(["iron", "air"])),
        "behind_stator": draw(st.sampled_from(["iron", "air"])),
        "slip": slip,
    }


def many_digits(*, pole_pitch, frequency, gap, layers, sheet_current_peak, behind_rotor, behind_stator, slip):
    """Return (shear, normal stress, gap field, heat by layer): fields marched from the back, in plain long arithmetic.

    Uses a and H_x with hyperbolic functions and lets the digits cover their growth; heat is the difference of fluxes.
    """
    mp.mp.dps = 80
    k, mu_0 = mp.pi / pole_pitch, mp.mpf(MU_0)
    passing = mp.mpf(slip) * 2 * mp.pi * frequency
    mus = [mp.conj(mp.mpmathify(la.relative_permeability)) if slip < 0 else la.relative_permeability for la in layers]
    parts = [(gap, k, mu_0)]
    for layer, mu in zip(layers, mus, strict=True):
        mu = mu_0 * mu
        parts.append((layer.thickness, mp.sqrt(k**2 + 1j * passing * mu * layer.conductivity), mu))
    mp.mp.dps = 80 + int(sum(d * mp.re(gamma) for d, gamma, _ in parts))
    a, h = mp.mpc(1), mp.mpc(0 if behind_rotor == "iron" else -k / mu_0)
    faces = [(a, h)]
    for d, gamma, mu in reversed(parts):
        cosh, sinh = mp.cosh(gamma * d), mp.sinh(gamma * d)
        a, h = a * cosh - h * mu / gamma * sinh, h * cosh - a * gamma / mu * sinh
        faces.insert(0, (a, h))
    jump = (k / mu_0 * a if behind_stator == "air" else 0) - h
    faces = [(a * sheet_current_peak / jump, h * sheet_current_peak / jump) for a, h in faces]
    flux = [-mp.re(1j * k * a * mp.conj(h)) / 2 for a, h in faces]
    a, h = faces[1]
    pull = (k**2 * abs(a) ** 2 - mu_0**2 * abs(h) ** 2) / (4 * mu_0)
    heats = [(front - back) * passing / k for front, back in zip(flux[1:-1], flux[2:], strict=True)]
    return flux[1], pull, k * abs(faces[0][0]), heats


FILM = {  # so thin and so permeable that its loss drowns in rounding unless series are used
    "pole_pitch": 0.17,
    "frequency": 2.2,
    "gap": 6e-4,
    "layers": [Layer(1.2e-5, 6.6e5, 9000.0), Layer(1e-6, 1e4, 9000 - 900j)],
    "sheet_current_peak": 1e4,
    "behind_rotor": "air",
    "behind_stator": "air",
    "slip": -5.7e-3,
}


@example(FILM)
@example(FILM | {"behind_rotor": "iron"})
@given(stacks())
def test_every_figure_agrees_with_long_arithmetic(stack):
    wave = travelling_wave(**stack)
    shear, pull, field, heats = many_digits(**stack)
    tiny = 1e-40  # what cancels to nothing in the long arithmetic
    assert wave.shear_stress == pytest.approx(float(shear), rel=1e-12, abs=tiny)
    assert wave.gap_field_peak == pytest.approx(float(field), rel=1e-12)
    assert wave.heat_by_layer == pytest.approx(np.array(heats, float), rel=1e-12, abs=tiny)
    # The normal stress is a difference of two squares and may pass through zero.
    at_rotor = float(mp.sqrt(mp.mpf(pull) ** 2 + mp.mpf(shear) ** 2 / 4)) + wave.gap_field_peak**2 / (4 * MU_0)
    assert wave.normal_stress == pytest.approx(float(pull), rel=1e-12, abs=1e-14 * at_rotor)


# Energy


@given(stacks())
def test_energy_closes(stack):
    wave = travelling_wave(**stack)
    out, heat = wave.mechanical_power, wave.heat
    assert wave.sheet_power == pytest.approx(out + heat, rel=1e-12, abs=1e-13 * (abs(out) + heat))
    assert wave.shear_stress * wave.field_speed == pytest.approx(wave.sheet_power, rel=1e-12)  # rotor face, stator face
    assert heat == pytest.approx(stack["slip"] * wave.field_speed * wave.shear_stress, rel=1e-12)
    assert wave.shear_stress_by_layer.sum(axis=0) == pytest.approx(wave.shear_stress, rel=1e-12)
    assert (wave.joule_heat_by_layer >= 0).all() and (wave.hysteresis_heat_by_layer >= 0).all()


@given(stacks(), st.lists(st.floats(-3, 3), min_size=3, max_size=3))
def test_energy_closes_with_every_layer_at_a_speed_of_its_own(stack, speeds):
    """Some outrun the field and feed it while others brake it: what is small is the balance, not its parts."""
    of_field = 2 * stack["pole_pitch"] * stack["frequency"]
    layers = [Layer(**vars(la) | {"speed": v * of_field}) for la, v in zip(stack["layers"], speeds, strict=False)]
    wave = travelling_wave(**stack | {"layers": layers, "slip": None})
    slips = 1 - np.array(speeds[: len(layers)])
    scale = np.abs(wave.shear_stress_by_layer).sum(axis=0) * of_field
    assert wave.sheet_power == pytest.approx(wave.mechanical_power + wave.heat, rel=1e-11, abs=1e-12 * scale)
    assert wave.heat_by_layer == pytest.approx(
        slips * of_field * wave.shear_stress_by_layer, rel=1e-9, abs=1e-11 * scale
    )
    assert (wave.heat_by_layer >= 0).all()


def test_a_conjugate_permeability_is_what_lets_a_driven_ring_lose_energy():
    wave = solve(RING, behind_rotor="air", slip=np.array([0.5, -0.5]))
    assert (wave.heat > 0).all() and wave.sheet_power[1] < 0
    assert wave.heat[0] == wave.heat[1]


# Limits


@pytest.mark.parametrize("S", [0.01, 0.3, 1, 10])
def test_thin_sheet_is_melchers(S):
    """Melcher, Continuum Electromechanics, sec. 6.4 (from memory, derived again): sheet at kd from ideal iron."""
    kd = np.array([0.01, 0.1, 1, 5])
    melcher = MU_0 * 5e4**2 / 2 * S / (np.sinh(kd) ** 2 * (1 + (S / np.tanh(kd)) ** 2))
    surface_conductance = S / (MU_0 * geometry.field_speed(f=50, tau=0.1) * 0.2)
    error = []
    for thickness in (1e-6, 1e-7):
        sheet = Layer(thickness * kd / K, surface_conductance / (thickness * kd / K))
        error.append(np.abs(solve(sheet, gap=kd / K).shear_stress / melcher - 1).max())
    assert error[1] < 2e-6 and error[0] / error[1] == pytest.approx(10, rel=0.01)  # of first order in the thickness


def test_thin_gap_law_of_a_sheet():
    """1 mm sheet, 3 mm magnetic gap, pole pitch 100 mm: within 2 %, and (k*g)²/3 where the slip is small."""
    slip = np.array([1e-6, 0.01, 0.1, 0.2, 0.5, 1.0])
    G = induction.goodness(f=50, tau=0.1, sigma_s=35e3, g_m=3e-3)
    x = induction.slip_goodness(s=slip, G=G)
    thin = stator_laws.shear_stress(A=5e4, k=K, g_m=3e-3, Lambda=induction.induction_response(x=x))
    wave = solve(SHEET, slip=slip)
    error = thin / wave.shear_stress - 1
    assert (error > 0).all() and (error < 0.02).all()
    assert error[0] == pytest.approx((K * 3e-3) ** 2 / 3, rel=0.15)
    assert wave.gap_field_peak == pytest.approx(induction.induction_gap_field(A=5e4, k=K, g_m=3e-3, x=x), rel=0.004)


def test_thin_gap_law_of_a_ring():
    """5 mm ring, 2 mm gap, pole pitch 100 mm: 3 to 10 % for ring numbers of 3 to 0.3; of first order in both."""
    number, errors = np.array([0.3, 1.0, 3.0]), []
    for scale in (1.0, 1e-2, 1e-3):
        gap, thickness = 2e-3 * scale, 5e-3 * scale
        mu = number / (K**2 * gap * thickness) * np.exp(-0.5j)
        thin = stator_laws.shear_stress(A=5e4, k=K, g_m=gap, Lambda=hysteresis.hysteresis_response(N=number, gamma=0.5))
        errors.append(thin / solve(Layer(thickness, 0.0, mu), gap=gap, behind_rotor="air").shear_stress - 1)
    assert (np.diff(errors[0]) < 0).all() and 0.09 < errors[0][0] < 0.11 and 0.02 < errors[0][2] < 0.04
    assert np.abs(errors[2]).max() < 2e-4 and errors[1] / errors[2] == pytest.approx(10, rel=0.05)


def test_open_gap():
    wave = solve(slip=None, gap=np.array([1e-4, 5e-2]))
    assert wave.gap_field_peak == pytest.approx(MU_0 * 5e4 / np.tanh(K * np.array([1e-4, 5e-2])), rel=1e-14)
    assert wave.gap_field_peak[0] == pytest.approx(MU_0 * 5e4 / (K * 1e-4), rel=1e-5)
    assert (wave.shear_stress == 0).all() and (wave.heat == 0).all() and wave.heat_by_layer.shape == (0, 2)
    pull = wave.gap_field_peak**2 / np.cosh(K * np.array([1e-4, 5e-2])) ** 2 / (4 * MU_0)  # the rotor's surface field
    assert wave.normal_stress == pytest.approx(pull, rel=1e-12)


def test_an_idle_layer_is_more_gap_and_a_halved_layer_is_the_whole():
    whole = solve(STEEL, gap=7e-3, behind_rotor="air")
    half = Layer(5e-3, STEEL.conductivity, STEEL.relative_permeability)
    parted = solve(Layer(5e-3), half, half, Layer(3e-3), behind_rotor="air")
    for name in FIGURES:
        assert getattr(parted, name) == pytest.approx(getattr(whole, name), rel=1e-12)
    assert parted.heat_by_layer[[0, 3]].tolist() == [0, 0]
    assert parted.heat_by_layer[1:3].sum() == pytest.approx(whole.heat, rel=1e-12)


def test_a_plate_of_many_skin_depths_does_not_feel_its_back():
    deep = [solve(Layer(0.05, 5.8e7), frequency=5e3, behind_rotor=side) for side in ("iron", "air")]
    deep.append(solve(Layer(10.0, 5.8e7), frequency=5e3))
    for name in FIGURES:
        first, *others = (getattr(wave, name) for wave in deep)
        assert others == pytest.approx([first, first], rel=1e-12)


def test_a_layer_of_huge_permeability_behind_is_ideal_iron():
    iron = solve(SHEET)
    assert solve(SHEET, Layer(0.1, 0.0, 1e9), behind_rotor="air").shear_stress == pytest.approx(
        iron.shear_stress, rel=1e-7
    )


def test_a_winding_without_core_magnetises_a_wide_gap_half_as_much():
    for gap, ratio in ((1.0, 2.0), (0.1, 2.0)):
        wide = [solve(SHEET, gap=gap, behind_stator=side) for side in ("iron", "air")]
        assert wide[0].gap_field_peak / wide[1].gap_field_peak == pytest.approx(ratio, rel=0.01)
    assert solve(SHEET, behind_stator="air").shear_stress < solve(SHEET).shear_stress


def test_a_brake_is_a_sheet_driven_under_a_field_at_rest():
    moving = Layer(**vars(SHEET) | {"speed": np.array([-2.0, 0.0, 2.0])})
    wave = solve(moving, frequency=0.0)
    assert wave.shear_stress[1] == 0 and wave.shear_stress[0] == -wave.shear_stress[2] > 0
    assert (wave.sheet_power == 0).all() and wave.heat == pytest.approx(-wave.mechanical_power, rel=1e-12)
    slipping = solve(SHEET, slip=0.2)  # at 2 m/s past the field, as here
    assert slipping.shear_stress == pytest.approx(wave.shear_stress[0], rel=1e-12)


# Invariances


@given(stacks(), power_of_ten(-2, 2))
def test_size_cancels_when_conductivity_goes_down_with_its_square(stack, scale):
    layers = [
        Layer(la.thickness * scale, la.conductivity / scale**2, la.relative_permeability) for la in stack["layers"]
    ]
    larger = {"pole_pitch": stack["pole_pitch"] * scale, "gap": stack["gap"] * scale, "layers": layers}
    one, other = travelling_wave(**stack), travelling_wave(**stack | larger)
    for name, power in zip(FIGURES, (0, 0, 0, 1, 1, 1), strict=True):
        pressure = 1e-13 * one.gap_field_peak**2 / MU_0 if name == "normal_stress" else 0.0
        assert getattr(other, name) == pytest.approx(getattr(one, name) * scale**power, rel=1e-10, abs=pressure)


@given(stacks())
@settings(max_examples=20)
def test_broadcasting_is_looping(stack):
    slips, gaps = np.array([0.0, -0.1, 1.0]), stack["gap"] * np.array([[1.0], [2.0]])
    mus = np.array([1.0, 50 - 5j]).reshape(2, 1, 1)
    layers = [Layer(**vars(la) | {"relative_permeability": mus}) for la in stack["layers"][:1]] + stack["layers"][1:]
    stack = stack | {"sheet_current_peak": 1e4}
    wave = travelling_wave(**stack | {"slip": slips, "gap": gaps, "layers": layers})
    for place in np.ndindex(2, 2, 3):
        alone = [Layer(**vars(layers[0]) | {"relative_permeability": mus[place[0], 0, 0]}), *layers[1:]]
        one = travelling_wave(**stack | {"slip": slips[place[2]], "gap": gaps[place[1], 0], "layers": alone})
        for name in FIGURES:
            found = getattr(wave, name)
            assert found.shape == (2, 2, 3) and np.ndim(getattr(one, name)) == 0
            pressure = 1e-14 * one.gap_field_peak**2 / MU_0
            assert found[place] == pytest.approx(
                getattr(one, name), rel=1e-12, abs=pressure * (name == "normal_stress")
            )
        assert wave.heat_by_layer[(slice(None), *place)] == pytest.approx(one.heat_by_layer, rel=1e-12)


def test_every_argument_gives_its_shape_to_every_figure():
    """Also one that a figure does not depend on."""
    for name in ("pole_pitch", "frequency", "gap", "sheet_current_peak", "slip"):
        wave = solve(Layer(1e-3), **{name: np.full(3, CASE.get(name, 0.1))})
        assert all(getattr(wave, figure).shape == (3,) for figure in FIGURES) and wave.heat_by_layer.shape == (1, 3)


@given(stacks())
def test_a_purely_conductive_stack_has_no_force_at_synchronism_and_an_odd_one_about_it(stack):
    layers = [Layer(la.thickness, la.conductivity, np.abs(la.relative_permeability)) for la in stack["layers"]]
    slip = stack["slip"] * np.array([-1.0, 0.0, 1.0])
    shear = travelling_wave(**stack | {"layers": layers, "slip": slip}).shear_stress
    assert shear[1] == 0 and shear[0] == -shear[2] and shear[2] * slip[2] >= 0
    speed = 2 * stack["pole_pitch"] * stack["frequency"]
    layers = [Layer(**vars(la) | {"speed": speed}) for la in layers]
    assert travelling_wave(**stack | {"layers": layers, "slip": None}).shear_stress == 0


@given(stacks())
def test_a_hysteretic_stack_pulls_alike_at_every_speed_below_the_fields_and_reversed_above(stack):
    layers = [Layer(la.thickness, 0.0, la.relative_permeability) for la in stack["layers"]]
    shear = travelling_wave(
        **stack | {"layers": layers, "slip": np.array([2.0, 0.3, 1e-9, 0.0, -1e-9, -0.7])}
    ).shear_stress
    assert (shear == shear[0] * np.array([1, 1, 1, 1, -1, -1])).all() and shear[0] >= 0


def test_speed_and_slip_say_the_same():
    slip = np.array([-0.3, 0.0, 0.2, 1.0, 1.5])
    by_speed = solve(Layer(**vars(STEEL) | {"speed": (1 - slip) * 2 * 0.1 * 50}))
    by_slip = solve(STEEL, slip=slip)
    for name in FIGURES:
        assert getattr(by_speed, name) == pytest.approx(getattr(by_slip, name), rel=1e-12, abs=1e-9)


# Extremes and bad input


@pytest.mark.parametrize("depth", [1e-12, 1e-6, 1.0, 1e4])
@pytest.mark.parametrize("skin", [1e-8, 1e-4, 1.0, 1e6, None])
def test_extremes_give_finite_numbers(depth, skin):
    sigma = 0.0 if skin is None else 2 / (100 * np.pi * MU_0 * 500 * (skin * depth / K) ** 2)
    layer = Layer(depth / K, sigma, 500 - 100j)
    gap, slip = np.array([[1e-9], [1e-3], [10.0], [1e3]]) / K, np.array([-1.0, 0.0, 1e-12, 1.0])
    for behind in ("iron", "air"):
        wave = solve(layer, SHEET, gap=gap, slip=slip, behind_rotor=behind)
        assert all(np.isfinite(getattr(wave, name)).all() for name in FIGURES)
        assert wave.sheet_power == pytest.approx(wave.mechanical_power + wave.heat, rel=1e-11)
        assert np.isfinite(wave.field_at(0.01, np.array([-1e3, 0, 1e-3, 1, 1e9])[:, None, None])).all()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        *[({name: bad}, f"{name}: got {bad}") for name in ("pole_pitch", "gap") for bad in (0, -0.1, np.nan, np.inf)],
        *[({name: bad}, f"{name}: got") for name in ("frequency", "sheet_current_peak") for bad in (-1.0, [1, np.nan])],
        ({"slip": np.inf}, "slip: got inf; expected finite SI numbers"),
        ({"slip": None}, r"layers\[0\].speed: got None without a slip"),
        ({"layers": [Layer(1e-3, speed=1.0)]}, r"layers\[0\].speed: got 1.0 besides a slip"),
        ({"layers": [SHEET, Layer(0.0)]}, r"layers\[1\].thickness: got 0.0; expected finite SI numbers above 0"),
        ({"layers": [Layer(1e-3, -1.0)]}, r"layers\[0\].conductivity: got -1.0; .* at least 0"),
        ({"layers": [Layer(1e-3, 0, 5 + 1j)]}, r"layers\[0\].relative_permeability: got \(5\+1j\); expected mu' - j"),
        ({"layers": [Layer(1e-3, 0, -1)]}, "relative_permeability"),
        ({"layers": [], "behind_rotor": "air"}, "layers: got none"),
        ({"behind_rotor": "steel"}, "behind_rotor: got 'steel'; expected one of 'iron', 'air'"),
        ({"behind_stator": "irn"}, "did you mean 'iron'"),
        ({"gap": [1e-3, 2e-3], "slip": [0.1, 0.2, 0.3]}, r"slip: got shape \(3,\); expected one that broadcasts with"),
    ],
)
def test_bad_values_are_refused_by_name(changed, words):
    with pytest.raises(ValueError, match=words):
        solve(SHEET, **changed)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"gap": "1 mm"}, "gap: got '1 mm'; expected finite SI numbers above 0, without unit"),
        ({"gap": [[1, 2], [3]]}, "gap: got"),
        ({"frequency": 50j}, "frequency: got 50j"),
        ({"layers": SHEET}, "layers: got .*; expected a list of Layer"),
        ({"layers": [(1e-3, 3.5e7)]}, "expected a list of Layer"),
        ({"behind_rotor": None}, "behind_rotor: got None"),
    ],
)
def test_what_is_no_number_or_layer_is_refused(changed, words):
    with pytest.raises(TypeError, match=words):
        solve(SHEET, **changed)


def test_a_quantity_with_unit_is_refused():
    from scaling import Q

    with pytest.raises(TypeError, match="gap: got .*, without unit"):
        solve(SHEET, gap=Q(2, "mm"))


def test_the_model_passes_nan_through():
    gaps = np.array([2e-3, np.nan])
    wave = TravellingWave(**CASE | {"gap": gaps, "layers": [SHEET, STEEL], "slip": 0.2})
    for name in FIGURES:
        assert np.isnan(getattr(wave, name)).tolist() == [False, True]
    assert np.isnan(wave.heat_by_layer).tolist() == [[False, True]] * 2
    assert np.isnan(wave.field_at(0.0, 1e-3).B_y).tolist() == [False, True]
