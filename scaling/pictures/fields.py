"""Pictures of a travelling field: its lines through the layers, and how its vector turns. Take an Axes, return it.

At one instant A_z = |a(y)|*cos(k*x - omega*t - arg a(y)), so the lines A_z = c are known in closed form,
k*x = omega*t + arg a(y) -+ arccos(c/|a(y)|), and time only shifts them: no grid, no contour search.
"""

import numpy as np

from scaling.laws import geometry
from scaling.pictures import lines
from scaling.pictures.labels import ON_WHITE
from scaling.pictures.lines import DECIMALS, FIELD_LINE
from scaling.pictures.section import LINE

PER_METRE = 1e3  # lengths are drawn in mm
NAMES = 0.62  # room for the names of the layers, in pole pitches
SENSES = {1: "↺ counter-clockwise", -1: "↻ clockwise", 0: "to and fro"}
FLAT = 1e-9  # width over length below which a vector goes to and fro


def draw_field_lines(ax, wave, *, names=None, time=0.0, depth=None, line_flux=None, marks=False):
    """Draw the field lines of a travelling wave over two pole pitches, the layers shaded and named; return the Axes.

    Lengths are in mm, the height stretched to fill the Axes. Between two lines flows the same flux; triangles tell
    which way it crosses the gap. A dot is current out of the picture, a cross current into it: on the stator face, and
    in each conducting layer at the depth where its currents have their middle. All stand for the same current, so their
    number is its strength.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    wave : TravellingWave
        of numbers, not arrays
    names : sequence of str, optional
        of the layers, from the gap outwards; what they are made of if not given
    time : float
        instant; at zero the sheet current is largest at x = 0 [s]
    depth : float, optional
        how far to draw behind the stator face, and behind the last layer; half of what lies between if not given [m]
    line_flux : float, optional
        flux between two lines, to compare pictures; a sixth of the largest A_z if not given [Wb/m]
    marks : bool
        whether to show how far the field (below) and the last layer (above) have moved since time zero

    Raises
    ------
    ValueError
        if the wave is one of arrays; if there are not as many names as layers; if ``line_flux`` is not above zero, or
        gives more than 60 lines a pole

    Examples
    --------
    >>> from scaling.field import Layer, travelling_wave
    >>> from scaling.pictures import plots
    >>> wave = travelling_wave(
    ...     pole_pitch=0.1, frequency=50, gap=0.003, layers=[Layer(thickness=0.002, conductivity=3.5e7)],
    ...     sheet_current_peak=5e4, behind_rotor="iron", slip=0.2)
    >>> fig, ax = plots.figure()
    >>> draw_field_lines(ax, wave, names=["sheet"]).get_xlabel()
    'along the field (mm)'
    >>> plots.plt.close(fig)
    """
    lines.check_numbers(wave)
    names = lines.check_names(names, wave.layers, "layer")
    names = [f"stator: {wave.behind_stator}", "gap", *names, f"{wave.behind_rotor} behind"]
    boundaries = wave.boundaries
    beyond = boundaries[-1] / 2 if depth is None else depth
    ends = -beyond, boundaries[-1] + beyond
    frame = _shade(ax, wave, names, ends)
    shift = geometry.angular_frequency(f=wave.frequency) * time
    if wave.sheet_current_peak > 0:
        levels = lines.levels(np.abs(_potential(wave, 0.0)), line_flux)
        points = np.hstack([[[np.nan]] * 2, *_lines(wave, levels, ends, shift)])
        (curves,) = ax.plot(*points, **FIELD_LINE, label="_field lines")
        curves.set_clip_path(frame)
        _crossings(ax, wave, levels, shift)
        _currents(ax, wave, shift)
    if marks:
        _travelled(ax, wave, time, ends)
    width = 2 * wave.pole_pitch * PER_METRE
    ax.set(
        xlim=(0, width * (1 + NAMES / 2)),
        ylim=np.multiply(ends, PER_METRE),
        ylabel="height (mm)",
        xticks=np.linspace(0, width, 5),
        yticks=np.round(boundaries * PER_METRE, DECIMALS),
    )
    ax.set_xlabel("along the field (mm)", x=1 / (2 + NAMES))
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    ax.spines["bottom"].set_bounds(0, width)
    ax.grid(False)
    return ax


def _shade(ax, wave, names, ends):
    """Shade and name the layers, draw the boundaries; return the frame to which lines are cut."""
    edges = np.array([ends[0], *wave.boundaries, ends[1]]) * PER_METRE
    made_of = [wave.behind_stator, "air", *map(lines.made_of, wave.layers), wave.behind_rotor]
    width = 2 * wave.pole_pitch * PER_METRE
    for name, kind, low, high in zip(names, made_of, edges[:-1], edges[1:], strict=True):
        ax.fill([0, width, width, 0], [low, low, high, high], **{"edgecolor": "none"} | lines.STYLES[kind], lw=0)
        ax.text(1.03 * width, (low + high) / 2, name, va="center", fontsize="small")
    for edge in edges[1:-1]:
        ax.plot([0, width], [edge, edge], **LINE, linewidth=1, label="_boundary")
    (frame,) = ax.fill([0, width, width, 0], edges[[0, 0, -1, -1]], fill=False, edgecolor="black", linewidth=0.8)
    return frame


def _potential(wave, y):
    """Return the complex amplitude a of A_z = Re(a*exp(j*(omega*t - k*x))) at heights."""
    return wave.field_at(0.0, y).A_z + 1j * wave.field_at(wave.pole_pitch / 2, y).A_z


def _lines(wave, levels, ends, shift):
    """Yield (x, y) in mm of each field line: two branches, joined where it turns inside the picture; NaN at the end."""
    k, width = geometry.wave_number(tau=wave.pole_pitch), 2 * wave.pole_pitch
    heights = np.unique([*np.linspace(*ends, 4 * lines.POINTS), 0.0])
    size = np.abs(_potential(wave, heights))
    for level in levels:
        for y, turns in lines.branches(level, heights, size, wave.boundaries):
            a = _potential(wave, y)
            middle = (shift + np.unwrap(np.angle(a))) / k
            half = np.arccos(np.minimum(level / np.abs(a), 1)) / k
            x, y = lines.both_sides(middle, half, y, turns)
            first = np.ceil(-np.nanmax(x) / wave.pole_pitch)
            for number in range(int(first), int(np.floor((width - np.nanmin(x)) / wave.pole_pitch)) + 1):
                yield _drawn([[*(x + number * wave.pole_pitch), np.nan], [*y, np.nan]])


def _drawn(metres):
    """Return lengths in mm, as drawn."""
    return lines.drawn(np.multiply(metres, PER_METRE))


def _crossings(ax, wave, levels, shift):
    """Draw a triangle on each line in the middle of the gap, the way the flux goes."""
    middle = wave.boundaries[1] / 2
    k, a = geometry.wave_number(tau=wave.pole_pitch), _potential(wave, middle)
    half = np.arccos(levels[levels < np.abs(a)] / np.abs(a))
    # Up where A_z falls along x: on the far side of a crest, on the near side of a trough.
    crossings = {"up": ("^", np.r_[half, np.pi - half]), "down": ("v", np.r_[-half, np.pi + half])}
    for name, (marker, places) in crossings.items():
        x = np.sort(((shift + np.angle(a) + places) / k) % (2 * wave.pole_pitch))
        ax.plot(
            _drawn(x), np.full(x.size, _drawn(middle)), marker, color="#1f4a80", markersize=5, label=f"_flux {name}"
        )


def _currents(ax, wave, shift):
    """Draw dots and crosses of equal current on the stator face and in the middle of each layer's currents."""
    _mark_current(ax, wave, 0.0, float(wave.sheet_current_peak), shift, "stator")
    for number, (front, back) in enumerate(zip(wave.boundaries[1:], wave.boundaries[2:], strict=False)):
        place, weight = np.polynomial.legendre.leggauss(24)
        y, weight = (front + back) / 2 + (back - front) / 2 * place, (back - front) / 2 * weight
        density = wave.current_density_at(0.0, y) + 1j * wave.current_density_at(wave.pole_pitch / 2, y)
        sheet = weight @ density
        if np.abs(sheet) > 0:
            middle = weight @ (np.abs(density) * y) / (weight @ np.abs(density))
            _mark_current(ax, wave, middle, sheet, shift, f"layer {number}")


def _mark_current(ax, wave, y, current, shift, name):
    """Draw the marks of a current sheet, complex amplitude at x = 0: dots out, crosses in, of equal current each."""
    count = round(lines.MARKS * np.abs(current) / float(wave.sheet_current_peak))
    k, width = geometry.wave_number(tau=wave.pole_pitch), 2 * wave.pole_pitch
    for word, turn in (("out", 0.0), ("in", np.pi)):
        x = np.sort(_drawn(((shift + np.angle(current) + turn + lines.shares(count)) / k) % width))
        lines.draw_marks(ax, x, np.full(count, _drawn(y)), word, name)


def _travelled(ax, wave, time, ends):
    """Mark where a crest of the sheet current and a point of the last layer have come to since time zero."""
    width, back = 2 * wave.pole_pitch, wave.boundaries[-1]
    moved = {"field": (wave.field_speed, ends[0] / 2, "^")}
    if wave.layers:
        moved["layer"] = (wave.speed_by_layer[-1], (back + ends[1]) / 2, "v")
    for name, (speed, y, marker) in moved.items():
        x, y = _drawn(speed * time % width), _drawn(y)
        ax.plot([x], [y], marker, color="black", markersize=10, zorder=5, label=f"_{name}")
        side = {"xytext": (8, 0), "ha": "left"} if x < 0.8 * width * PER_METRE else {"xytext": (-8, 0), "ha": "right"}
        ax.annotate(
            name, (x, y), **side, textcoords="offset points", va="center", fontsize="small", bbox=ON_WHITE, zorder=5
        )


def draw_turning_vector(ax, wave, heights, *, time=0.0):
    """Draw what the tip of the flux density vector does in a period, at some heights side by side; return the Axes.

    Each curve is the path of the tip at x = 0, all to one scale, B_x to the right and B_y up; the arrow is the vector
    at the instant, the hollow triangle shows which way it goes on. Beside them is a wheel that rolls with the field.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    wave : TravellingWave
        of numbers, not arrays
    heights : sequence of float
        from the stator face [m]
    time : float
        instant; at zero the sheet current is largest at x = 0 [s]

    Raises
    ------
    ValueError
        if the wave is one of arrays

    Examples
    --------
    >>> from scaling.field import Layer, travelling_wave
    >>> from scaling.pictures import plots
    >>> wave = travelling_wave(pole_pitch=0.1, frequency=50, gap=0.05, layers=[Layer(thickness=0.1)],
    ...     sheet_current_peak=5e4, behind_rotor="air", slip=0)
    >>> fig, ax = plots.figure()
    >>> [text.get_text() for text in draw_turning_vector(ax, wave, [0.01]).texts][1]
    '↺ counter-clockwise\\n45.9 mT'
    >>> plots.plt.close(fig)
    """
    lines.check_numbers(wave)
    heights = np.asarray(heights, float)
    now, ahead = (wave.field_at(x, heights) for x in (0.0, wave.pole_pitch / 2))
    vectors = np.array([now.B_x + 1j * ahead.B_x, now.B_y + 1j * ahead.B_y])
    largest = np.abs(_turned(vectors, np.linspace(0, 2 * np.pi, 181))).max()
    unit, per_tesla = ("T", 1.0) if largest >= 0.1 else ("mT", 1e3)
    vectors, room = vectors * per_tesla, 1.25 * largest * per_tesla
    phase = float(geometry.angular_frequency(f=wave.frequency) * time)
    for number, vector in enumerate(vectors.T):
        _loop(ax, vector, 2 * number * room, phase, f"{heights[number] * PER_METRE:g} mm", unit, room)
    _wheel(ax, 2 * len(heights) * room, room)
    ax.set(
        aspect="equal",
        xlim=(-room, (2 * len(heights) + 1) * room),
        ylim=(-1.6 * room, room),
        xticks=2 * room * np.arange(len(heights) + 1),
        xticklabels=[f"{height * PER_METRE:g} mm" for height in heights] + ["wheel"],
        yticks=_round_down(largest * per_tesla) * np.array([-1, 0, 1]),
        xlabel="height above the stator face; B_x to the right, field travels to the right",
        ylabel=f"B_y ({unit})",
    )
    return ax


def _round_down(x):
    """Return the last number of one significant digit, or 0."""
    ten = 10.0 ** np.floor(np.log10(x)) if x > 0 else 1.0
    return np.floor(x / ten) * ten


def _turned(vectors, phase):
    """Return the real vectors of complex ones at phases omega*t, phases last."""
    return np.real(vectors[..., None] * np.exp(1j * np.asarray(phase)))


def sense(vector):
    """Return 1 if a complex vector (x, y) turns counter-clockwise, -1 if clockwise, 0 if it goes to and fro."""
    x, y = vector
    turn = np.imag(x * np.conj(y))
    return 0 if np.abs(turn) <= FLAT * (np.abs(x) ** 2 + np.abs(y) ** 2) else int(np.sign(turn))


def _loop(ax, vector, at, phase, name, unit, room):
    """Draw the path of a vector's tip around the place ``at``, the vector at a phase, and its sense and length."""
    around = phase + np.linspace(0, 2 * np.pi, 181)
    x, y = (np.round(part, DECIMALS) + 0.0 for part in _turned(vector, around))
    ax.plot(at + x, y, **FIELD_LINE, label=f"_tip at {name}")
    ax.plot([at], [0], "o", color="black", markersize=3, label="_child")
    _arrow(ax, (at, 0), (at + x[0], y[0]), linewidth=1.8)
    turn = sense(vector)
    if turn:
        _heading(ax, (at + x[30], y[30]), (x[31] - x[29], y[31] - y[29]))
    length = np.hypot(x, y).max()
    ax.text(at, -1.15 * room, f"{SENSES[turn]}\n{length:.3g} {unit}", ha="center", va="center", fontsize="small")


def _wheel(ax, at, room):
    """Draw a wheel that rolls to the right: it turns clockwise."""
    r, around = 0.6 * room, np.linspace(0, 2 * np.pi, 181)
    ax.plot(at + r * np.sin(around), r * np.cos(around), color="0.35", linestyle="--", marker="", label="_wheel")
    ax.plot([at - room, at + room], [-r, -r], color="0.35", linestyle="-", marker="", linewidth=1, label="_track")
    for angle in np.pi / 3 * np.arange(3):
        x, y = r * np.cos(angle), r * np.sin(angle)
        ax.plot([at - x, at + x], [-y, y], color="0.35", linestyle="-", marker="", linewidth=0.8, label="_child")
    _heading(ax, (at + r * np.sin(0.9), r * np.cos(0.9)), (np.cos(0.9), -np.sin(0.9)))
    _arrow(ax, (at - 0.4 * room, 0.82 * room), (at + 0.4 * room, 0.82 * room), linewidth=1)
    ax.text(at, -1.15 * room, f"{SENSES[-1]}\nrolls to the right", ha="center", va="center", fontsize="small")


def _arrow(ax, start, end, linewidth):
    arrow = {"arrowstyle": "-|>", "shrinkA": 0, "shrinkB": 0, "linewidth": linewidth, "color": "black"}
    ax.annotate("", end, start, arrowprops=arrow)


def _heading(ax, place, way):
    """Draw a hollow triangle at a place that points along a way."""
    turned = np.degrees(np.arctan2(way[1], way[0])) - 90
    style = {"linestyle": "", "markersize": 9, "markerfacecolor": "white", "markeredgecolor": "black"}
    ax.plot([place[0]], [place[1]], marker=(3, 0, turned), **style, label="_child")
