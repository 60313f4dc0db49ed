"""Pictures of the field: what is drawn is read back and held against the field itself, point by point."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from scaling.field import Layer, travelling_wave
from scaling.ground.constants import VALUES
from scaling.pictures import plots
from scaling.pictures.curves import plot_peaks
from scaling.pictures.fields import draw_field_lines, draw_turning_vector, sense
from scaling.pictures.lines import LEVELS, MARKS

SHEET = Layer(thickness=2e-3, conductivity=35.4e6)
PLATE = Layer(thickness=20e-3, conductivity=35.4e6)
CASE = {"pole_pitch": 0.1, "frequency": 50.0, "gap": 3e-3, "sheet_current_peak": 5e4, "behind_rotor": "iron"}
WAVES = {
    "sheet on iron": {"layers": [SHEET], "slip": 0.2},
    "sheet at synchronism": {"layers": [SHEET], "slip": 0.0},
    "sheet ahead of the field": {"layers": [SHEET], "slip": -0.3},
    "thick plate in air, much skin effect": {"layers": [PLATE], "behind_rotor": "air", "frequency": 500.0, "slip": 1.0},
    "hysteretic ring": {"layers": [Layer(thickness=5e-3, relative_permeability=20 - 8j)], "slip": 1.0},
    "two layers": {"layers": [SHEET, Layer(thickness=4e-3, conductivity=5e6, relative_permeability=30)], "slip": 0.5},
    "no iron at all": {"layers": [SHEET], "behind_rotor": "air", "behind_stator": "air", "slip": 0.4},
    "open gap": {"layers": [], "slip": 0.0},
    "field at rest over a moving sheet": {"layers": [Layer(2e-3, 35.4e6, speed=4.0)], "frequency": 0.0},
    "a tenth of a millimetre": {"layers": [Layer(2e-6, 35.4e6)], "gap": 3e-6, "pole_pitch": 1e-4, "slip": 0.1},
}
FREE = {"layers": [Layer(thickness=0.2)], "gap": 0.1, "behind_rotor": "air", "slip": 0.0}
TIME = 3.1e-3


def solve(**changed):
    return travelling_wave(**CASE | changed)


@pytest.fixture
def axes():
    plots.use_style()
    return Figure(figsize=(8, 4), layout="constrained").subplots()


def drawn(ax):
    """Return {name: points in m} of the lines drawn, without gaps."""
    lines = {}
    for line in ax.lines:
        points = line.get_xydata() * 1e-3
        lines[line.get_label().lstrip("_")] = points[np.isfinite(points).all(axis=1)]
    return lines


# The small additions to the solved field


@pytest.mark.parametrize("name", WAVES)
def test_current_gives_force_and_heat_of_the_layer(name):
    # Lorentz force -J_z*B_y and J**2/sigma, integrated, against Maxwell stress and the heat in closed form.
    wave = solve(**WAVES[name])
    x = np.linspace(0, 2 * wave.pole_pitch, 16, endpoint=False)[:, None]
    place, weight = np.polynomial.legendre.leggauss(40)
    for i, layer in enumerate(wave.layers):
        front, back = wave.boundaries[i + 1 : i + 3]
        y = (front + back) / 2 + (back - front) / 2 * place
        J, B = wave.current_density_at(x, y, TIME), wave.field_at(x, y, TIME)
        heat = (
            0.0 if layer.conductivity == 0 else (J**2).mean(axis=0) @ weight * (back - front) / 2 / layer.conductivity
        )
        assert heat == pytest.approx(wave.joule_heat_by_layer[i], rel=1e-9, abs=1e-12)
        if layer.relative_permeability == 1:  # elsewhere there is a force on the magnetisation too
            force = (-J * B.B_y).mean(axis=0) @ weight * (back - front) / 2
            assert force == pytest.approx(wave.shear_stress_by_layer[i], rel=1e-9, abs=1e-12)


def test_no_current_outside_conductors():
    wave = solve(layers=[SHEET], slip=0.5)
    assert np.all(wave.current_density_at(0.02, np.array([-1e-3, 1e-3, 5.1e-3])) == 0)


def test_boundaries_and_speeds_have_the_shape_of_the_wave():
    wave = solve(layers=[SHEET, Layer(thickness=1e-3)], gap=np.array([1e-3, 3e-3]), slip=0.25)
    np.testing.assert_allclose(wave.boundaries, [[0, 0], [1e-3, 3e-3], [3e-3, 5e-3], [4e-3, 6e-3]])
    np.testing.assert_allclose(wave.speed_by_layer, np.full((2, 2), 0.75 * 10.0))
    assert wave.current_density_at(0.0, 3e-3).shape == (2,)


# Field lines


@pytest.mark.parametrize("name", WAVES)
def test_lines_are_lines_of_equal_potential(name, axes):
    wave = solve(**WAVES[name])
    assert draw_field_lines(axes, wave, time=TIME) is axes
    points = drawn(axes)["field lines"]
    potential = wave.field_at(*points.T, TIME).A_z
    most = np.abs(wave.field_at(np.linspace(0, 2 * wave.pole_pitch, 2001), 0.0, TIME).A_z).max()
    levels = (np.arange(-LEVELS, LEVELS) + 0.5) * most / LEVELS
    off = np.abs(potential[:, None] - levels)
    assert off.min(axis=1).max() < 2e-3 * most
    assert set(off.argmin(axis=1)) == set(range(2 * LEVELS))


@pytest.mark.parametrize("name", WAVES)
def test_as_many_lines_cross_the_gap_as_the_flux_says(name, axes):
    # Counted without the picture: steps of A_z along the middle of the gap over the flux between two lines.
    wave = solve(**WAVES[name])
    lines = drawn(draw_field_lines(axes, wave, time=TIME))
    x = np.linspace(0, 2 * wave.pole_pitch, 200001)
    most = np.abs(wave.field_at(x, 0.0, TIME).A_z).max()
    middle = wave.boundaries[1] / 2
    steps = np.diff(np.floor(wave.field_at(x, middle, TIME).A_z / (most / LEVELS) + 0.5))
    assert len(lines["flux up"]) == -steps[steps < 0].sum()  # up where A_z falls
    assert len(lines["flux down"]) == steps[steps > 0].sum()
    for way, sign in (("up", 1), ("down", -1)):
        at = lines[f"flux {way}"]
        assert np.all(sign * wave.field_at(*at.T, TIME).B_y > 0)
        levels = wave.field_at(*at.T, TIME).A_z / most * LEVELS
        np.testing.assert_allclose(levels, np.floor(levels) + 0.5, atol=1e-3)


@pytest.mark.parametrize("name", WAVES)
def test_dots_and_crosses_are_the_currents(name, axes):
    wave = solve(**WAVES[name])
    lines = drawn(draw_field_lines(axes, wave, time=TIME))
    x = np.linspace(0, 2 * wave.pole_pitch, 40001)
    omega, k = 2 * np.pi * wave.frequency, np.pi / wave.pole_pitch
    currents = {"stator": (0.0, wave.sheet_current_peak * np.cos(omega * TIME - k * x))}
    for i, layer in enumerate(wave.layers):
        if layer.conductivity and wave.heat:
            front, back = wave.boundaries[i + 1 : i + 3]
            y = np.linspace(front, back, 200, endpoint=False)[:, None] + (back - front) / 400
            density = wave.current_density_at(x, y, TIME)
            middle = (np.abs(density) * y).sum() / np.abs(density).sum()
            currents[f"layer {i}"] = (middle, density.mean(axis=0) * (back - front))
    names = {name.rpartition(" ")[0] for name in lines if name.endswith((" out", " in"))}
    assert names == set(currents)
    for name, (y, current) in currents.items():
        count = round(MARKS * current.max() / wave.sheet_current_peak)
        for word, part in (("out", np.maximum(current, 0)), ("in", np.maximum(-current, 0))):
            at = lines[f"{name} {word}"]
            assert len(at) == count
            np.testing.assert_allclose(at[:, 1], y, atol=0.01 * wave.boundaries[-1])
            below = np.append(0, np.cumsum(part)[:-1]) / part.sum() * count
            shares = np.interp(at[:, 0], x, below)  # of the current, counted in marks: one mark in each
            np.testing.assert_allclose(np.diff(shares), 1.0, atol=0.02)


def test_time_shifts_the_picture_with_the_field(axes):
    wave = solve(layers=[SHEET], slip=0.2)
    first = drawn(draw_field_lines(axes, wave, marks=True))
    axes.clear()
    later = drawn(draw_field_lines(axes, wave, time=TIME, marks=True))
    width = 2 * wave.pole_pitch
    for name in ("flux up", "stator out", "layer 0 in"):
        moved = (first[name][:, 0] + wave.field_speed * TIME) % width
        np.testing.assert_allclose(np.sort(moved), np.sort(later[name][:, 0]), atol=1e-8)
    for name, speed in (("field", 10.0), ("layer", 8.0)):  # 2*tau*f, less the slip
        assert first[name][0, 0] == 0.0
        assert later[name][0, 0] == pytest.approx(speed * TIME, abs=1e-8)


def test_layers_are_named_from_the_stator_up(axes):
    wave = solve(**WAVES["two layers"])
    draw_field_lines(axes, wave, names=["aluminium", "steel"])
    names = [text.get_text() for text in sorted(axes.texts, key=lambda text: text.get_position()[1])]
    assert names == ["stator: iron", "gap", "aluminium", "steel", "iron behind"]
    heights = sorted(text.get_position()[1] for text in axes.texts)
    edges = [axes.get_ylim()[0], 0.0, 3.0, 5.0, 9.0, axes.get_ylim()[1]]
    assert all(low < y < high for low, y, high in zip(edges, heights, edges[1:], strict=False))
    axes.clear()
    draw_field_lines(axes, wave)
    assert {"conductor", "conducting iron"} <= {text.get_text() for text in axes.texts}


def test_layers_are_shaded_by_what_they_are_made_of(axes):
    draw_field_lines(axes, solve(**WAVES["two layers"] | {"behind_rotor": "air"}))
    colours = [patch.get_facecolor() for patch in axes.patches][:5]
    iron, gap, sheet, steel, air = colours
    assert gap == air and len({iron, gap, sheet, steel}) == 4
    bottoms = [patch.get_xy()[:, 1].min() for patch in axes.patches][:5]
    np.testing.assert_allclose(bottoms, [-4.5, 0.0, 3.0, 5.0, 9.0])


def test_axes_show_two_pole_pitches_in_mm_and_the_depth_asked_for(axes):
    draw_field_lines(axes, solve(layers=[SHEET], slip=0.2), depth=0.01)
    assert axes.get_xlabel() == "along the field (mm)" and axes.get_ylabel() == "height (mm)"
    np.testing.assert_allclose(axes.get_ylim(), [-10, 15])
    np.testing.assert_allclose(axes.get_xticks(), [0, 50, 100, 150, 200])
    np.testing.assert_allclose(axes.get_yticks(), [0, 3, 5])
    (frame,) = [patch for patch in axes.patches if not patch.get_fill()]
    (lines,) = [line for line in axes.lines if line.get_label() == "_field lines"]
    assert lines.get_clip_path() is not None and frame.get_xy()[:, 0].max() == 200


def test_flux_between_lines_can_be_given(axes):
    wave = solve(layers=[SHEET], slip=0.2)
    most = np.hypot(wave.field_at(0.0, 0.0).A_z, wave.field_at(0.05, 0.0).A_z)
    for share, lines in ((0.3, 3), (0.21, 5), (2.1, 0)):
        axes.clear()
        assert len(drawn(draw_field_lines(axes, wave, line_flux=share * most))["flux up"]) == 2 * lines


@pytest.mark.parametrize("line_flux", [0.0, -1e-3, 1e-7, np.nan])
def test_flux_that_gives_no_or_too_many_lines_is_refused(line_flux, axes):
    with pytest.raises(ValueError, match="line_flux.*expected more than"):
        draw_field_lines(axes, solve(layers=[SHEET], slip=0.2), line_flux=line_flux)


@pytest.mark.parametrize("names", [["sheet", "iron"], [], "sheet"])
def test_wrong_names_are_refused(names, axes):
    with pytest.raises(ValueError, match="names.*one for each layer"):
        draw_field_lines(axes, solve(layers=[SHEET], slip=0.2), names=names)


def test_wave_of_arrays_is_refused(axes):
    wave = solve(layers=[SHEET], slip=[0.1, 0.2])
    with pytest.raises(ValueError, match="wave.*one picture"):
        draw_field_lines(axes, wave)
    with pytest.raises(ValueError, match="wave.*one picture"):
        draw_turning_vector(axes, wave, [1e-3])


def test_wave_without_current_is_drawn_without_currents(axes):
    lines = drawn(draw_field_lines(axes, solve(layers=[SHEET], slip=0.2, sheet_current_peak=0.0)))
    assert "boundary" in lines and not {"field lines", "flux up", "stator out"} & set(lines)


# The turning vector


@pytest.mark.parametrize("name", [name for name in WAVES if name != "field at rest over a moving sheet"])
def test_paths_are_what_the_field_does_in_a_period(name, axes):
    wave = solve(**WAVES[name])
    heights = wave.boundaries[1] * np.array([0.1, 0.9])
    assert draw_turning_vector(axes, wave, heights, time=TIME) is axes
    unit = 1.0 if "(T)" in axes.get_ylabel() else 1e-3
    centres = axes.get_xticks()
    paths = [line.get_xydata() for line in axes.lines if line.get_label().startswith("_tip")]
    assert len(paths) == 2
    for path, centre, height in zip(paths, centres, heights, strict=False):
        times = TIME + np.linspace(0, 1, len(path)) / wave.frequency
        field = wave.field_at(0.0, height, times)
        vectors = (path - [centre, 0]) * unit
        atol = 6e-7 * unit  # rounded to six decimals
        np.testing.assert_allclose(vectors, np.transpose([field.B_x, field.B_y]), atol=atol)
    arrow = axes.texts[0] if axes.texts[0].get_text() == "" else None
    assert arrow is not None
    np.testing.assert_allclose(arrow.xy, paths[0][0])


def test_over_a_free_field_the_vector_turns_at_constant_length_against_a_wheel(axes):
    # The claim of the theory: length mu_0*A/2*exp(-k*y) below iron's image of the sheet, here mu_0*A*exp(-k*y).
    wave, heights = solve(**FREE), np.array([0.0, 0.01, 0.03])
    draw_turning_vector(axes, wave, heights)
    for number, height in enumerate(heights):
        path = [line.get_xydata() for line in axes.lines if line.get_label().startswith("_tip")][number]
        length = np.hypot(path[:, 0] - axes.get_xticks()[number], path[:, 1])
        expected = 1e3 * VALUES["mu_0"] * CASE["sheet_current_peak"] * np.exp(-np.pi / 0.1 * height)
        np.testing.assert_allclose(length, expected, rtol=1e-6)
        turned = np.unwrap(np.arctan2(path[:, 1], path[:, 0] - axes.get_xticks()[number]))
        assert turned[-1] - turned[0] == pytest.approx(2 * np.pi)
    words = [text.get_text() for text in axes.texts if text.get_text()]
    assert sum("counter-clockwise" in text for text in words) == 3
    assert "↻ clockwise" in words[-1] and "rolls to the right" in words[-1]
    assert axes.get_aspect() == 1.0


def test_drawn_wheel_turns_as_it_rolls(axes):
    # Top forward: the hollow triangle on the wheel, right of its top, points right and down.
    draw_turning_vector(axes, solve(**FREE), [0.01])
    middle = axes.get_xticks()[-1]
    (mark,) = [line for line in axes.lines if isinstance(line.get_marker(), tuple) and line.get_xdata()[0] > middle]
    x, y = mark.get_xdata()[0] - middle, mark.get_ydata()[0]
    turned = np.radians(mark.get_marker()[2] + 90)
    assert x * np.sin(turned) - y * np.cos(turned) < 0  # clockwise about the axle


@pytest.mark.parametrize("vector", [(1, -1j), (1, 1j), (1, 2), (0, 1j), (1 - 1j, 1), (-2, 1e-3j)])
def test_sense_of_turning(vector):
    (x, after_x), (y, after_y) = np.real(np.outer(vector, np.exp(1j * np.array([0.0, 0.1]))))
    assert sense(vector) == np.sign(np.round(x * after_y - y * after_x, 12))


def test_summary_tells_currents_and_lengths(axes):
    wave = solve(layers=[SHEET], slip=0.2)
    draw_field_lines(axes, wave, names=["sheet"])
    text = plots.summarise(axes.figure)
    assert "field lines" in text and "layer 0 out, 6 points" in text and "note: sheet" in text
    axes.clear()
    draw_turning_vector(axes, solve(**FREE), [0.0])
    assert f"{1e3 * VALUES['mu_0'] * 5e4:.3g} mT" in plots.summarise(axes.figure)


# Curves with their peaks


def test_peaks_are_marked_where_a_curve_is_largest(axes):
    x = np.geomspace(0.1, 10, 41)
    curves = {"wide": x / (1 + x**2), "high": 5 * x / (4 + x**2)}
    beside = {"wide": 1.1 * curves["wide"]}
    assert plot_peaks(axes, x, curves, beside, {"half": 0.5}, xlabel="slip", ylabel="push (Pa)") is axes
    lines = {line.get_label(): line for line in axes.lines}
    for name, top in (("wide", 1.0), ("high", 2.0)):
        np.testing.assert_allclose(lines[name].get_ydata(), curves[name])
        where, height = lines[f"_{name}, largest"].get_xydata()[0]
        assert where == pytest.approx(top, rel=0.06) and height == curves[name].max()
    np.testing.assert_allclose(lines["_wide, dashed"].get_ydata(), beside["wide"])
    assert lines["_wide, dashed"].get_linestyle() == "--" and "_high, dashed" not in lines
    assert lines["wide"].get_marker() != lines["high"].get_marker()
    assert list(lines["_half"].get_xdata()) == [0.5, 0.5]
    assert {text.get_text() for text in axes.texts} == {"wide: 1", "high: 2", "half"}
    assert (axes.get_xscale(), axes.get_yscale(), axes.get_xlabel()) == ("log", "log", "slip")


def test_words_of_level_peaks_do_not_meet(axes):
    x = np.geomspace(0.1, 10, 41)
    curves = {"left": x / (0.5 + x**2), "right": 1.5 * x / (1.5 + x**2)}
    plot_peaks(axes, x, curves, xlabel="slip", ylabel="push (Pa)")
    axes.figure.draw_without_rendering()
    left, right = (text.get_window_extent() for text in axes.texts)
    assert not left.overlaps(right)
