"""Pictures of a rotating field: its lines through a stack of rings. Take an Axes, return it.

At one instant A_z = |a(r)|*cos(omega*t - s*p*theta + arg a(r)), so the lines A_z = c are known in closed form,
s*p*theta = omega*t + arg a(r) -+ arccos(c/|a(r)|), and time only turns them: no grid, no contour search.
"""

import numpy as np

from scaling.laws import geometry
from scaling.pictures import labels, lines
from scaling.pictures.section import LINE

WIDTH = -2.5, 1.15  # of the picture over its outermost radius, room for names included
BEYOND = 0.3  # how far to draw outside the last ring: of its radius, or of the pole pitch there if that is less
AROUND = 720  # points of a circle
MOST_MARKS = 24  # dots and crosses round a circle, where there is one a pole at least
SOURCES = 24  # points over a ring's thickness to sum its currents


def draw_round_field_lines(ax, wave, *, names=None, time=0.0, depth=None, line_flux=None, marks=False):
    """Draw the field lines of a rotating wave in the cross-section, the rings shaded and named; return the Axes.

    Lengths are in mm, in µm below 1 mm, both ways to one scale. Between two lines flows the same flux. A dot is current
    out of the picture, a cross current into it: where the sheet lies, and in each winding and conducting ring at the
    radius where its currents have their middle. All stand for the same current, so their number is its strength. Round
    a dot the lines run counter-clockwise. Angles count counter-clockwise from the right.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one, about 1.5 times as wide as high
    wave : RotatingWave
        of numbers, not arrays
    names : sequence of str, optional
        of the rings, from the axis outwards; what they are made of if not given
    time : float
        instant; at zero the currents are largest at angle zero [s]
    depth : float, optional
        how far to draw outside the last ring; 0.3 of its radius, or of the pole pitch there if that is less [m]
    line_flux : float, optional
        flux between two lines, to compare pictures; a sixth of the largest A_z if not given [Wb/m]
    marks : bool
        whether to show how far the field (outside) and what turns (inside) have turned since time zero

    Raises
    ------
    ValueError
        if the wave is one of arrays; if there are not as many names as rings; if ``line_flux`` is not above zero, or
        gives more than 60 lines a pole

    Examples
    --------
    >>> from scaling.field import Ring, rotating_wave
    >>> from scaling.pictures import plots
    >>> wave = rotating_wave(
    ...     pole_pairs=2, frequency=50, speed=140.0, outside="iron", sheet_current_peak=2e4, rings=[
    ...         Ring(outer_radius=0.028, relative_permeability=1000.0, turns=True),
    ...         Ring(outer_radius=0.03, conductivity=3.5e7, turns=True), Ring(outer_radius=0.032)])
    >>> fig, ax = plots.figure()
    >>> draw_round_field_lines(ax, wave, names=["iron", "sleeve", "gap"]).get_xlabel()
    'mm'
    >>> plots.plt.close(fig)
    """
    lines.check_numbers(wave)
    if names is None:
        names = ["winding" if np.any(ring.current_density_peak) else lines.made_of(ring) for ring in wave.rings]
    names = [*lines.check_names(names, wave.rings, "ring"), f"{wave.outside} outside"]
    radii = np.array([float(ring.outer_radius) for ring in wave.rings])
    end = radii[-1] + (BEYOND * radii[-1] * min(1.0, np.pi / float(wave.pole_pairs)) if depth is None else depth)
    unit, per_metre = ("mm", 1e3) if 2 * radii[-1] >= 1e-3 else ("µm", 1e6)
    frame = shade(ax, [*map(_made_of, wave.rings), wave.outside], [*radii * per_metre, end * per_metre])
    places = _places(radii, end)
    size = np.abs(_potential(wave, places))
    if size.max() > 0:
        curves = _lines(wave, lines.levels(size.max(), line_flux), places, size, radii, time)
        points = np.hstack([[[np.nan]] * 2, *curves])
        (drawn,) = ax.plot(*lines.drawn(points * per_metre), **lines.FIELD_LINE, label="_field lines")
        drawn.set_clip_path(frame)
        _currents(ax, wave, names, time, per_metre)
    if marks:
        _turned(ax, wave, time, radii * per_metre, end * per_metre)
    middles = (np.r_[0.0, radii] + np.r_[radii, end]) / 2 * per_metre
    angles = np.radians(np.linspace(215, 145, len(names)))
    labels.name_parts(ax, list(zip(names, middles, angles, strict=True))[::-1], end * per_metre)
    finish(ax, end * per_metre, unit)
    return ax


def shade(ax, made, radii):
    """Fill discs of what the rings are made of, draw their boundaries; return the frame to which lines are cut."""
    turn = np.linspace(0, 2 * np.pi, AROUND + 1)
    for kind, r in zip(made[::-1], radii[::-1], strict=True):
        ax.fill(r * np.cos(turn), r * np.sin(turn), **{"edgecolor": "none"} | lines.STYLES[kind], linewidth=0)
    for r in radii[:-1]:
        x, y = lines.drawn([r * np.cos(turn), r * np.sin(turn)])
        ax.plot(x, y, **LINE, linewidth=0.8, label="_boundary")
    x, y = radii[-1] * np.cos(turn), radii[-1] * np.sin(turn)
    (frame,) = ax.fill(x, y, fill=False, edgecolor="black", linewidth=0.8)
    return frame


def finish(ax, end, unit, width=WIDTH):
    """Set limits and scale of a picture out to a radius, in its unit; ``width`` is that of the picture over it."""
    labels.scale_bar(ax, width[0] * end, -1.12 * end, end, unit)
    ax.set(aspect="equal", xlabel=unit, ylabel=unit)
    ax.set(xlim=np.multiply(width, end), ylim=(-1.3 * end, 1.1 * end))
    ax.set_axis_off()


def mark_current(ax, pole_pairs, radius, current, per_mark, name):
    """Draw the marks of a current A/rad round a circle, complex at angle zero: dots out, crosses in, equal each."""
    count = round(np.abs(current) / per_mark)
    poles = 2 * np.pi / pole_pairs * np.arange(pole_pairs)
    for word, turn in (("out", 0.0), ("in", np.pi)):
        angle = np.add.outer(poles, (np.angle(current) + turn + lines.shares(count)) / pole_pairs)
        angle = np.sort(angle.ravel() % (2 * np.pi))
        x, y = lines.drawn([radius * np.cos(angle), radius * np.sin(angle)])
        lines.draw_marks(ax, x, y, word, name)


def current_of_mark(largest, pole_pairs):
    """Return the current A/rad that one mark a pole stands for: the largest has eight a pole, fewer with many poles."""
    return largest / max(1, min(lines.MARKS, MOST_MARKS // (2 * pole_pairs)))


def _made_of(ring):
    return "conductor" if np.any(ring.current_density_peak) else lines.made_of(ring)


def _places(radii, end):
    """Return radii from the axis to the end of the picture, dense in thin rings too, with all boundaries."""
    edges = np.r_[0.0, radii, end]
    return np.unique(np.concatenate([np.linspace(*pair, lines.POINTS) for pair in zip(edges, edges[1:], strict=False)]))


def _potential(wave, r):
    """Return the complex amplitude a of A_z = Re(a*exp(j*(omega*t - s*p*theta))) at radii."""
    quarter = wave.sense * np.pi / (2 * wave.pole_pairs)
    return wave.field_at(r, 0.0).A_z + 1j * wave.field_at(r, quarter).A_z


def _phase(wave, time):
    return geometry.angular_frequency(f=wave.frequency) * time


def _lines(wave, levels, places, size, radii, time):
    """Yield (x, y) in m of each field line, NaN at the end; what lies behind a pole's line repeats with every pole."""
    p, turn = int(wave.pole_pairs), float(wave.sense)
    for level in levels:
        for r, turns in lines.branches(level, places, size, radii):
            a = _potential(wave, r)
            middle = (_phase(wave, time) + np.unwrap(np.angle(a))) / (turn * p)
            half = np.arccos(np.minimum(level / np.abs(a), 1)) / p
            angle, r = lines.both_sides(middle, half, r, turns)
            for pole in range(2 * p):
                at = angle + np.pi / p * pole
                yield np.array([[*(r * np.cos(at)), np.nan], [*(r * np.sin(at)), np.nan]])


def _currents(ax, wave, names, time, per_metre):
    """Draw the currents of the sheet, the windings and the conducting rings."""
    p, turn, inner, found = int(wave.pole_pairs), float(wave.sense), 0.0, []
    for number, ring in enumerate(wave.rings):
        outer = float(ring.outer_radius)
        found.append((names[number], np.any(ring.current_density_peak), *_ring_current(wave, inner, outer)))
        if number == wave.sheet_ring % len(wave.rings):
            found.append(("sheet", True, outer, complex(wave.sheet_current_peak) * outer))
        inner = outer
    per_mark = current_of_mark(max(np.abs(current) for _, fed, _, current in found if fed), p)
    for name, _, radius, current in found:
        now = current * np.exp(1j * _phase(wave, time))
        if np.abs(now) > 0:
            mark_current(ax, p, radius * per_metre, now if turn > 0 else np.conj(now), per_mark, name)


def _ring_current(wave, inner, outer):
    """Return (radius of the middle, complex current per angle at angle zero) of what flows in a ring."""
    place, weight = np.polynomial.legendre.leggauss(SOURCES)
    r, weight = (inner + outer) / 2 + (outer - inner) / 2 * place, (outer - inner) / 2 * weight
    quarter = wave.sense * np.pi / (2 * wave.pole_pairs)
    weight = weight * r
    density = wave.current_density_at(r, 0.0) + 1j * wave.current_density_at(r, quarter)
    strength = weight @ np.abs(density)
    middle = weight @ (np.abs(density) * r) / strength if strength > 0 else (inner + outer) / 2
    return middle, weight @ density


def _turned(ax, wave, time, radii, end):
    """Mark where a crest of the currents and a point of the outermost turning ring have come to since time zero."""
    field = _phase(wave, time) / (wave.sense * wave.pole_pairs)
    moved = {"field": (field, (radii[-1] + end) / 2, -1)}
    turning = [number for number, ring in enumerate(wave.rings) if ring.turns]
    if turning:
        outer = radii[turning[-1]]
        moved["rotor"] = (wave.speed * time, outer - 0.06 * end, 1)
    for name, (angle, radius, way) in moved.items():
        mark_angle(ax, float(angle), radius, way, name)


def mark_angle(ax, angle, radius, way, name):
    """Draw a triangle at an angle that points outwards (1) or inwards (-1), and its name beside it."""
    x, y = lines.drawn([radius * np.cos(angle), radius * np.sin(angle)])
    marker = (3, 0, np.degrees(angle) - 90 * way)
    ax.plot([x], [y], marker=marker, color="black", markersize=9, zorder=5, linestyle="", label=f"_{name}")
    aside = -way * np.array([np.cos(angle), np.sin(angle)])  # away from the gap
    ax.annotate(
        name,
        (x, y),
        9 * aside,
        textcoords="offset points",
        ha=("right", "center", "left")[round(aside[0]) + 1],
        va=("top", "center", "bottom")[round(aside[1]) + 1],
        fontsize="small",
        bbox=labels.ON_WHITE,
        zorder=4,
    )
