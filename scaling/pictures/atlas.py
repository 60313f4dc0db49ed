"""A map of the best type over two fields: regions named and marked, borders, lines of equal lead, points beside."""

import csv

import numpy as np

from scaling.ground.messages import shorten
from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

SHARP = 240  # points along either axis of what is drawn
LEADS = (1.5, 2.0, 3.0, 5.0, 10.0)
TINT = 0.28  # of a type's colour in its region
MARKS = 11  # of a type, along either axis
ALONG = 0.5, 0.25, 0.65, 0.4, 0.75  # of their lengths: where lines of equal lead bear their numbers
LONG = 0.1  # of an axis: a shorter line of equal lead bears no number
EDGE, NEAR = 0.015, 0.12  # of an axis: names keep off its ends; nearer to them they stand to one side
SMALL = 0.004  # of the map: a smaller region bears no name
LEVEL, NONE = "//", "xx"
OUTLINE = [plots.patheffects.withStroke(linewidth=2.5, foreground="white")]


def plot_atlas(ax, made, points=()):
    """Draw which type is best where: tinted, marked and named regions, their borders, thin lines of equal lead.

    Hatched: a lead too small to call (single strokes), no type meets the brief (crossed). Without lines of equal lead
    a type stands alone.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    made : Atlas
        of ``atlas(brief, ...)``
    points : sequence of (x, y, label)
        machines to show, x and y as typed for ``Brief``; the same label, drawn once in the legend, has one marker.
        Those outside the map are left out

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    TypeError, ValueError
        for a point that is no (x, y, label), or whose values are none of the fields'

    Examples
    --------
    >>> from scaling import Brief, atlas
    >>> fig, ax = plots.figure()
    >>> made = atlas(Brief(rotor_diameter="100 mm"), "temperature_rise", "ambient", searched=4)
    >>> plot_atlas(ax, made).get_ylabel()
    'ambient (°C)'
    >>> plots.plt.close(fig)
    """
    points = _read(made, points)
    fine = made.finer(SHARP)
    x, y = (axis.shown(getattr(q, "magnitude", q))[0] for axis, q in zip(made.axes, (fine.x, fine.y), strict=True))
    for set_scale, axis in zip((ax.set_xscale, ax.set_yscale), made.axes, strict=True):
        set_scale("log" if axis.logarithmic else "linear")
    ax.set(xlim=(x[0], x[-1]), ylim=(y[0], y[-1]))
    _fill(ax, x, y, fine)
    _lead(ax, x, y, fine)
    _borders(ax, made)
    _names(ax, made)
    _points(ax, points)
    for which, axis in zip((ax.xaxis, ax.yaxis), made.axes, strict=True):
        unit = axis.shown(0.0)[1]
        which.set_label_text(axis.words + (f" ({unit})" if unit else ""))
        if axis.logarithmic:
            which.set_major_locator(plots.LogLocator(subs=(1, 2, 5)))
            which.set_major_formatter(plots.PLAIN)
            which.set_minor_formatter("")
    ax.grid(False)
    _legend(ax, made)
    return ax


def _read(made, points):
    """Return [(x, y, label)] of the points on the map, in the units of the picture."""
    found = []
    for point in points:
        if not isinstance(point, (tuple, list)) or len(point) != 3 or not isinstance(point[2], str):
            raise TypeError(f"points: got {shorten(point)}; expected (x, y, label), such as ('80 mm', '50 Hz', 'made')")
        si = [axis.read(value) for axis, value in zip(made.axes, point, strict=False)]
        if all(axis.low <= value <= axis.high for axis, value in zip(made.axes, si, strict=True)):
            shown = (axis.shown(value)[0] for axis, value in zip(made.axes, si, strict=True))
            found.append((*map(float, shown), point[2]))
    return found


def _fill(ax, x, y, fine):
    """Tint the regions, set the marks of their types, hatch ties and where nothing meets the brief."""
    step = len(x) // MARKS
    for kind in fine.merit:
        own, style = fine.best == kind, plots.STYLES[kind]
        if not own.any():
            continue
        ax.contourf(x, y, own.T.astype(float), levels=[0.5, 1.5], colors=[style["color"]], alpha=TINT, zorder=0)
        i, j = (index.ravel() for index in np.indices(own.shape))
        at = own[i, j] & (i % step == step // 2) & (j % step == step // 2)
        look = {"marker": style["marker"], "color": style["color"], "linestyle": "", "markersize": 3.5}
        ax.plot(x[i[at]], y[j[at]], **look, alpha=0.8, label=f"_{kind}", zorder=1)
    for where, hatch in ((fine.is_level, LEVEL), (fine.best == "", NONE)):
        if where.any():
            drawn = ax.contourf(x, y, where.T.astype(float), levels=[0.5, 1.5], colors="none", hatches=[hatch])
            drawn.set(edgecolor="0.45", linewidth=0.0, zorder=0.5)


def _lead(ax, x, y, fine):
    """Draw lines of equal lead inside the regions, the longest of every lead with its number."""
    for kind in fine.merit:
        lead = np.where((fine.best == kind) & np.isfinite(fine.margin), np.log(fine.margin), np.nan)
        levels = [level for level in LEADS if np.nanmax(lead, initial=0.0) > np.log(level)]
        if not levels:
            continue
        lines = ax.contour(x, y, lead.T, levels=np.log(levels), colors="0.25", linewidths=0.7, linestyles="-")
        named = dict(zip(lines.levels, (f"{level:g}×" for level in levels), strict=True))
        for level, pieces, part in zip(lines.levels, lines.allsegs, ALONG, strict=False):
            lengths = [_length(fine, piece) for piece in pieces]
            if lengths and max(lengths) > LONG:
                piece = pieces[int(np.argmax(lengths))]
                place = tuple(piece[int(part * len(piece))])
                for text in ax.clabel(lines, [level], fmt=named, fontsize=8, manual=[place], inline_spacing=2):
                    text.set_path_effects(OUTLINE)


def _length(made, piece):
    """Return the length of a line in parts of the axes."""
    places = np.array([axis.place(axis.si(values)) for axis, values in zip(made.axes, piece.T, strict=True)])
    return float(np.sum(np.hypot(*np.diff(places, axis=1))))


def _borders(ax, made):
    """Draw the borders through their roots."""
    for pair, lines in made.boundaries.items():
        name = " / ".join(kind or "none" for kind in pair)
        for line in lines:
            x, y = (axis.shown(getattr(q, "magnitude", q))[0] for axis, q in zip(made.axes, line, strict=True))
            ax.plot(x, y, color="black", linestyle="-", linewidth=1.8, marker="", label=f"_{name}", zorder=2)


def _names(ax, made):
    """Name the regions, each at a place well inside it, as far inside the axes as its name needs."""
    for region in made.regions:
        if region.share < SMALL:
            continue
        q = [getattr(one, "magnitude", one) for one in (region.x, region.y)]
        place, *_ = np.array([[float(axis.place(one)) for axis, one in zip(made.axes, q, strict=True)]])
        x, y = np.where(place < NEAR, EDGE, np.where(place > 1.0 - NEAR, 1.0 - EDGE, place))
        beside = {"ha": _side(place[0], "left", "right"), "va": _side(place[1], "bottom", "top")}
        ax.annotate(region.best or "none", (x, y), xycoords="axes fraction", **beside, fontsize=10, bbox=ON_WHITE)


def _side(place, low, high):
    """Return on which side of a place a name stands, so that it stays inside the axes."""
    return low if place < NEAR else high if place > 1.0 - NEAR else "center"


def read_points(path, x, y, label):
    """Return points for ``plot_atlas`` from a table of machines, a CSV file with notes on lines that begin with "#".

    Parameters
    ----------
    path : str or path
        a file in UTF-8
    x, y : str
        a column such as "bore [mm]", whose unit stands in brackets, or one value for all, such as "50 Hz"
    label : str
        what the machines are

    Returns
    -------
    list of (str, str, str)
        a machine a row; rows with an empty cell in a column asked for are left out

    Raises
    ------
    ValueError
        if a column is missing

    Examples
    --------
    >>> import pathlib, tempfile
    >>> path = pathlib.Path(tempfile.mkdtemp(), "cores.csv")
    >>> _ = path.write_text("# source: none\\nframe,bore [mm]\\n80,75\\n90S,\\n", encoding="utf-8")
    >>> read_points(path, "bore [mm]", "50 Hz", "cores")
    [('75 mm', '50 Hz', 'cores')]
    """
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    columns = list(rows[0]) if rows else []
    for name, asked in (("x", x), ("y", y)):
        if "[" in asked and asked not in columns:
            raise ValueError(
                f"{name}: got {shorten(asked)}, which {shorten(str(path))} has not; expected one of {columns}"
            )
    found = [(_cell(row, x), _cell(row, y), label) for row in rows]
    return [point for point in found if None not in point]


def _cell(row, asked):
    """Return a value of a row with its unit, None where the cell is empty; what is no column stands for itself."""
    if asked not in row:
        return asked
    unit = asked.partition("[")[2].rstrip("]")
    return f"{row[asked]} {unit}".strip() if row[asked] else None


def _points(ax, points):
    """Draw points, hollow on white, a marker for every label."""
    labels = list(dict.fromkeys(label for *_, label in points))
    for n, label in enumerate(labels):
        x, y = np.transpose([(px, py) for px, py, own in points if own == label])
        look = {"marker": "*PXph"[n % 5], "markersize": 9, "markerfacecolor": "white", "markeredgecolor": "black"}
        ax.plot(x, y, linestyle="", **look, label=label, zorder=3)


def _legend(ax, made):
    """Say above the axes what hatches, lines and points are."""
    patch = plots.plt.Rectangle
    look = {"facecolor": "white", "edgecolor": "0.45", "linewidth": 0.5}
    handles, labels = ax.get_legend_handles_labels()
    if made.is_level.any():
        handles.append(patch((0, 0), 1, 1, hatch=LEVEL, **look))
        labels.append("too near to call")
    if np.any(made.best == ""):
        handles.append(patch((0, 0), 1, 1, hatch=NONE, **look))
        labels.append("none meets the brief")
    handles.append(plots.plt.Line2D([], [], color="0.25", linewidth=0.7))
    labels.append("lead over the second")
    ax.legend(handles, labels, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=4, fontsize=9, frameon=False)
