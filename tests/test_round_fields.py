"""Pictures of a rotating field: what is drawn is read back and held against the field itself, point by point."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from scaling.field import Layer, Ring, rotating_wave, travelling_wave
from scaling.ground.constants import VALUES
from scaling.pictures import plots
from scaling.pictures.fields import draw_field_lines
from scaling.pictures.frames import frames
from scaling.pictures.lines import LEVELS
from scaling.pictures.round_fields import BEYOND, draw_round_field_lines

CASE = {"pole_pairs": 2, "frequency": 50.0, "speed": 125.0, "outside": "iron"}
SLEEVE = [
    Ring(0.028, relative_permeability=1e3, turns=True),
    Ring(0.030, conductivity=3.5e7, turns=True),
    Ring(0.032),
]
LAG = [Ring(0.025, turns=True), Ring(0.030, relative_permeability=20 - 15j, turns=True), Ring(0.0305)]
TINY = [Ring(2e-4, conductivity=3.5e7, turns=True), Ring(2.1e-4)]
WAVES = {
    "sleeve on iron": {"rings": SLEEVE, "sheet_current_peak": 2e4},
    "against the angles": {"rings": SLEEVE, "sheet_current_peak": 2e4, "sense": -1, "speed": -100.0},
    "hysteretic ring": {"rings": LAG, "sheet_current_peak": 2e4, "speed": 100.0},
    "sheet on a yoke in air": {
        "rings": [*LAG, Ring(0.05, relative_permeability=800.0)],
        "sheet_current_peak": 2e4,
        "sheet_radius": 0.0305,
        "outside": "air",
        "pole_pairs": 3,
    },
    "solid rotor in a winding": {
        "rings": [Ring(0.02, 1.6e6, 30, turns=True), Ring(0.03, 3.7e7, turns=True), Ring(0.032),
                  Ring(0.052, current_density_peak=1e6)],
        "pole_pairs": 1,
    },
    "a sixth of a millimetre": {"rings": TINY, "sheet_current_peak": 2e4, "pole_pairs": 1},
    "two coils in step": {
        "rings": [Ring(0.01), Ring(0.012, current_density_peak=3e6), Ring(0.03), Ring(0.032, current_density_peak=2e6)],
        "outside": "air",
    },
}  # fmt: skip
TIME = 3.1e-3


def solve(name, **changed):
    return rotating_wave(**CASE | WAVES[name] | changed)


@pytest.fixture
def axes():
    plots.use_style()
    return Figure(figsize=(7, 4.5), layout="constrained").subplots()


def per_metre(wave):
    return 1e3 if wave.rings[-1].outer_radius >= 5e-4 else 1e6


def drawn(ax, wave):
    """Return {name: points in m} of the lines drawn, gaps as NaN."""
    return {line.get_label().lstrip("_"): line.get_xydata() / per_metre(wave) for line in ax.lines}


def curves(points):
    """Return the curves between NaN."""
    ends = np.flatnonzero(np.isnan(points[:, 0]))
    return [points[a + 1 : b] for a, b in zip(ends, ends[1:], strict=False) if b > a + 1]


def polar(points):
    points = points[np.isfinite(points).all(axis=1)]
    return np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0])


def largest(wave, time=TIME):
    """Return the largest A_z."""
    radii = np.unique(np.concatenate([np.linspace(0, wave.rings[-1].outer_radius, 400)]))
    return np.abs(wave.field_at(radii[:, None], np.linspace(0, 2 * np.pi, 721), time).A_z).max()


# The current density, that pictures of a rotating wave need


@pytest.mark.parametrize("name", WAVES)
def test_currents_give_torque_and_heat_of_each_ring(name):
    # Lorentz torque r*J_z*B_r and J**2/sigma, integrated, against Maxwell stress and the heat in closed form.
    wave = solve(name)
    angle = np.linspace(0, 2 * np.pi, 48, endpoint=False)[:, None]
    place, weight = np.polynomial.legendre.leggauss(60)
    inner = 0.0
    for ring, torque, heat in zip(wave.rings, wave.torque_by_ring, wave.heat_by_ring, strict=True):
        outer = float(ring.outer_radius)
        r = (inner + outer) / 2 + (outer - inner) / 2 * place
        area = weight * (outer - inner) / 2 * r * 2 * np.pi
        J, inner = wave.current_density_at(r, angle, TIME), outer
        if ring.conductivity > 0:
            assert (J**2).mean(axis=0) @ area / ring.conductivity == pytest.approx(heat, rel=1e-6)
        if ring.relative_permeability == 1:  # elsewhere there is a force on the magnetisation too
            found = (J * wave.field_at(r, angle, TIME).B_r).mean(axis=0) @ (area * r)
            assert found == pytest.approx(torque, rel=1e-6, abs=1e-9 * np.abs(wave.torque_by_ring).max() + 1e-15)


# Field lines


@pytest.mark.parametrize("name", WAVES)
def test_lines_are_lines_of_equal_potential_evenly_apart(name, axes):
    wave = solve(name)
    assert draw_round_field_lines(axes, wave, time=TIME) is axes
    r, angle = polar(drawn(axes, wave)["field lines"])
    most = largest(wave)
    levels = (np.arange(-LEVELS, LEVELS) + 0.5) * most / LEVELS
    off = np.abs(wave.field_at(r, angle, TIME).A_z[:, None] - levels)
    assert off.min(axis=1).max() < 3e-3 * most
    assert set(off.argmin(axis=1)) == set(range(2 * LEVELS))


@pytest.mark.parametrize("name", WAVES)
def test_as_many_lines_cross_a_circle_as_the_flux_says(name, axes):
    # Counted without the picture: steps of A_z along the circle over the flux between two lines.
    wave = solve(name)
    lines = curves(drawn(draw_round_field_lines(axes, wave, time=TIME), wave)["field lines"])
    most, angle = largest(wave), np.linspace(0, 2 * np.pi, 100001)
    for share in (0.5, 0.83, 0.97):
        radius = share * wave.rings[-1].outer_radius
        steps = np.abs(np.diff(np.floor(wave.field_at(radius, angle, TIME).A_z / (most / LEVELS) + 0.5))).sum()
        crossings = sum(np.abs(np.diff(np.hypot(*line.T) > radius)).sum() for line in lines)
        assert crossings == steps


@pytest.mark.parametrize("name", WAVES)
def test_lines_close_or_leave_the_picture(name, axes):
    wave = solve(name)
    last = wave.rings[-1].outer_radius
    end = last * (1 + BEYOND * min(1, np.pi / wave.pole_pairs))
    lines = curves(drawn(draw_round_field_lines(axes, wave, time=TIME), wave)["field lines"])
    ends = np.array([line[[0, -1]] for line in lines if np.hypot(*(line[0] - line[-1])) > 0]).reshape(-1, 2)
    inside = ends[np.abs(np.hypot(*ends.T) / end - 1) > 1e-6]
    # A line that leaves on both sides is drawn in two parts, which meet where it turns.
    apart = np.hypot(*(inside[:, None] - inside).T) + np.eye(len(inside)) * last
    assert np.all(apart.min(axis=1, initial=last) < 1e-6 * last)


def test_with_many_poles_and_thin_rings_the_picture_is_the_plane_one():
    # 400 poles: the layers take 1 % of the radius. The round lines, unrolled, on the lines of the plane picture.
    p, pole_pitch, bore = 200, 0.01, 200 * 0.01 / np.pi
    slip, frequency = 0.3, 50.0
    rings = [
        Ring(bore - 1.5e-3, relative_permeability=1e6, turns=True),
        Ring(bore - 5e-4, conductivity=3.5e7, turns=True),
        Ring(bore),
    ]
    speed = (1 - slip) * 2 * np.pi * frequency / p
    wave = rotating_wave(
        pole_pairs=p, frequency=frequency, speed=speed, rings=rings, outside="iron", sheet_current_peak=2e4
    )
    flat = travelling_wave(
        pole_pitch=pole_pitch,
        frequency=frequency,
        gap=5e-4,
        layers=[Layer(1e-3, 3.5e7)],
        sheet_current_peak=2e4,
        behind_rotor="iron",
        slip=slip,
    )
    figure = Figure()
    round_one, plane = figure.subplots(2)
    flux = 0.15 * np.hypot(flat.field_at(0, 0).A_z, flat.field_at(pole_pitch / 2, 0).A_z)
    points = drawn(draw_round_field_lines(round_one, wave, time=TIME, line_flux=flux), wave)["field lines"]
    r, angle = polar(points)
    depth = bore - r
    here = (depth > 0) & (depth < 1.5e-3)
    potential = flat.field_at(bore * angle[here], depth[here], TIME).A_z / flux
    # Angles of 6 decimals of a mm, and layers 0.2 % of the radius off the sheet: a hundredth of a step.
    assert np.abs(potential - np.floor(potential) - 0.5).max() < 0.02
    draw_field_lines(plane, flat, time=TIME, line_flux=flux)
    (drawn_flat,) = [line for line in plane.lines if line.get_label() == "_field lines"]
    levels = {np.floor(value) for value in potential}
    x, y = drawn_flat.get_xydata()[np.isfinite(drawn_flat.get_xydata()).all(axis=1)].T * 1e-3
    assert levels == {np.floor(value) for value in flat.field_at(x, y, TIME).A_z / flux}


# Currents, time, words


@pytest.mark.parametrize("name", WAVES)
def test_dots_and_crosses_stand_for_equal_currents(name, axes):
    wave = solve(name)
    lines = drawn(draw_round_field_lines(axes, wave, time=TIME, names=list(map(str, range(len(wave.rings))))), wave)
    angle = np.linspace(0, 2 * np.pi, 20001)
    omega, p = 2 * np.pi * wave.frequency, wave.pole_pairs
    crest = np.cos(omega * TIME - wave.sense * p * angle)
    currents, inner = {}, 0.0
    for i, ring in enumerate(wave.rings):
        r = np.linspace(inner, ring.outer_radius, 401)
        r = (r[1:] + r[:-1])[:, None] / 2
        currents[str(i)] = (wave.current_density_at(r, angle, TIME) * r).sum(axis=0) * (ring.outer_radius - inner) / 400
        inner = ring.outer_radius
        if np.isclose(inner, wave.rings[wave.sheet_ring].outer_radius):
            currents["sheet"] = wave.sheet_current_peak * inner * crest
    marks = {key: len(lines.get(f"{key} out", [])) for key in currents}
    strongest = max(currents, key=lambda key: currents[key].max())
    per_mark = currents[strongest].max() / (marks[strongest] / p)
    for name_, current in currents.items():
        assert marks[name_] == p * round(current.max() / per_mark)
        for word, part in (("out", np.maximum(current, 0)), ("in", np.maximum(-current, 0))):
            _, at = polar(lines.get(f"{name_} {word}", np.empty((0, 2))))
            if at.size:
                below = np.append(0, np.cumsum(part)[:-1]) / part.sum() * at.size
                shares = np.sort(np.interp(np.sort(at % (2 * np.pi)), angle, below))
                np.testing.assert_allclose(np.diff(shares), 1.0, atol=0.02)  # one mark in each part


@pytest.mark.parametrize("name", ["sleeve on iron", "against the angles", "hysteretic ring"])
def test_time_turns_the_picture_with_the_field(name, axes):
    wave = solve(name)
    first = drawn(draw_round_field_lines(axes, wave, marks=True), wave)
    axes.clear()
    later = drawn(draw_round_field_lines(axes, wave, marks=True, time=TIME), wave)
    turned = wave.sense * 2 * np.pi * wave.frequency * TIME / wave.pole_pairs
    c, s = np.cos(turned), np.sin(turned)
    moved = first["field lines"] @ np.array([[c, s], [-s, c]])
    np.testing.assert_allclose(moved, later["field lines"], atol=1e-8)
    for key, angle in (("field", turned), ("rotor", wave.speed * TIME)):
        assert polar(first[key])[1] == pytest.approx(0.0)
        assert np.exp(1j * polar(later[key])[1]) == pytest.approx(np.exp(1j * angle), abs=1e-6)


def test_round_a_dot_the_lines_run_counter_clockwise():
    # B = curl A: where A_z has its crest the flux goes round it as round a current out of the picture.
    wave = solve("sleeve on iron")
    field = wave.field_at(0.031, np.array([-0.2, 0.2]))
    assert field.A_z[0] > 0 and field.B_r[0] > 0 > field.B_r[1]


def test_it_can_be_stepped_in_time():
    wave = solve("sleeve on iron")
    margins = {"left": 0.02, "right": 0.98, "top": 0.95, "bottom": 0.02}
    pictures = frames(
        lambda ax, t: draw_round_field_lines(ax, wave, time=t), [0.0, 1e-3, 2e-2], figsize=(5, 3), margins=margins
    )
    assert pictures[0] != pictures[1]
    assert pictures[0] == pictures[2], "after a period of 20 ms the field is the same, and no mark tells the rotor"


def test_rings_are_named_and_shaded(axes):
    wave = solve("sleeve on iron")
    draw_round_field_lines(axes, wave, names=["core", "sleeve", "clearance"])
    words = [text.get_text() for text in axes.texts]
    assert [word for word in words if "mm" not in word] == ["iron outside", "clearance", "sleeve", "core"]
    colours = [patch.get_facecolor() for patch in axes.patches][:4]
    assert len(set(colours)) == 4 and colours[1] == (1, 1, 1, 1)
    radii = [np.hypot(*patch.get_xy()[0]) for patch in axes.patches][:4]
    np.testing.assert_allclose(radii, [32 * (1 + BEYOND), 32, 30, 28])
    assert axes.get_aspect() == 1.0 and axes.get_xlabel() == "mm"


def test_small_rotors_are_drawn_in_micrometres(axes):
    assert draw_round_field_lines(axes, solve("a sixth of a millimetre")).get_xlabel() == "µm"


def test_flux_between_lines_can_be_given(axes):
    wave = solve("sleeve on iron")
    most = largest(wave)
    for share, count in ((0.3, 3), (0.21, 5)):
        axes.clear()
        r, angle = polar(drawn(draw_round_field_lines(axes, wave, line_flux=share * most), wave)["field lines"])
        levels = np.unique(np.floor(wave.field_at(r, angle).A_z / most / share))
        assert len(levels) == 2 * count


def test_wave_without_current_is_drawn_without_lines(axes):
    wave = solve("sleeve on iron", sheet_current_peak=0.0)
    lines = drawn(draw_round_field_lines(axes, wave), wave)
    assert "boundary" in lines and not {"field lines", "sheet out"} & set(lines)


@pytest.mark.parametrize(
    ("wave", "given", "message"),
    [
        ({}, {"names": ["one"]}, "names.*one for each ring"),
        ({}, {"line_flux": -1.0}, "line_flux.*expected more than"),
        ({}, {"line_flux": np.nan}, "line_flux.*expected more than"),
        ({"speed": [1.0, 2.0]}, {}, "wave.*one picture"),
    ],
)
def test_wrong_arguments_are_refused(wave, given, message, axes):
    with pytest.raises(ValueError, match=message):
        draw_round_field_lines(axes, solve("sleeve on iron", **wave), **given)


def test_torque_read_from_the_drawn_lines():
    # Maxwell stress needs B alone: where lines cross a circle their distance gives B_r, their slope B_theta.
    wave = solve("sleeve on iron", speed=0.0)
    axes = Figure().subplots()
    radius, step = 0.031, largest(wave) / 59
    lines = curves(drawn(draw_round_field_lines(axes, wave, time=TIME, line_flux=step), wave)["field lines"])
    places = []
    for line in lines:
        r, angle = np.hypot(*line.T), np.unwrap(np.arctan2(line[:, 1], line[:, 0]))
        for i in np.flatnonzero(np.diff(r > radius)):
            slope = (angle[i + 1] - angle[i]) / (r[i + 1] - r[i])
            places.append((angle[i] + slope * (radius - r[i]), slope))
    angle, slope = np.array(sorted((a % (2 * np.pi), s) for a, s in places)).T
    gaps = np.diff(np.r_[angle[-1] - 2 * np.pi, angle, angle[0] + 2 * np.pi])
    density = 2 * step / (gaps[1:] + gaps[:-1]) / radius  # |B_r|
    density = np.minimum(density, np.abs(wave.field_at(radius, angle, TIME).B_r) * 1.5)  # at a crest none lies between
    # Along a line dr/B_r = r*dtheta/B_theta.
    torque = radius**2 * np.sum(density**2 * radius * slope * (gaps[1:] + gaps[:-1]) / 2) / VALUES["mu_0"]
    assert torque == pytest.approx(wave.torque_per_length, rel=0.05)  # 59 lines a pole
