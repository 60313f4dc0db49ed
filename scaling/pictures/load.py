"""A machine over its load: efficiency, power factor, current, slip and warmth against torque."""

import numpy as np

from scaling.pictures.labels import ON_WHITE
from scaling.pictures.running import torque_unit

LINES = {  # what is drawn: figure, whether over the design's own, colour, line style, marker
    "efficiency": ("efficiency", False, "#3f90da", "-", "o"),
    "power factor": ("power_factor", False, "#717581", "--", "s"),
    "current over rated": ("linear_current_density_rms", True, "#e76300", "-.", "^"),
    "slip over rated": ("slip", True, "#832db6", ":", "D"),
    "winding's rise over rated": ("winding_rise", True, "#a96b59", (0, (6, 2, 1, 2, 1, 2)), "v"),
}
HIGHEST = 2.2  # of what is drawn
ROOM = 0.05  # of the height between words at the end of lines
EVERY = 0.12  # of a line between its markers


def plot_load(ax, curve, marks=None):
    """Draw a machine's figures over its torque: efficiency and power factor, and the rest over the design's own.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    curve : AtLoad
        of ``load_curve(design)``, or of any rising torques
    marks : dict, optional
        {words: AtLoad of one load} of loads to mark beside the design's own, such as what is asked for

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    ValueError
        if the curve holds one load only, or a mark lies beyond it

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.at_load import load_curve
    >>> from scaling.pictures import plots
    >>> fig, ax = plots.figure()
    >>> design = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))["induction"]
    >>> plot_load(ax, load_curve(design, points=16)).get_xlabel()
    'torque (N·m)'
    >>> plots.plt.close(fig)
    """
    if np.ndim(curve.load) == 0 or np.size(curve.load) < 2:
        raise ValueError("curve: got one load; expected what load_curve(design) returns")
    unit = torque_unit(np.max(curve.values["torque"]))
    torque = curve.torque.m_as(unit)
    rated = torque[-1] / curve.load[-1]
    drawn = {name: line for name, line in _curves(curve).items() if np.any(line > 0.0)}
    for name, values in drawn.items():
        *_, color, style, marker = LINES[name]
        look = {"color": color, "linestyle": style, "marker": marker, "markevery": EVERY, "linewidth": 1.8}
        ax.plot(torque, values, **look, label=name)
    _name(ax, torque, drawn)
    marks = {words: one.torque.m_as(unit) for words, one in (marks or {}).items()}
    for words, where in marks.items():
        if where > torque[-1]:
            raise ValueError(f"marks: {words!r} lies beyond the curve; expected load_curve with a larger ``most``")
    _mark(ax, ({"rated": rated} if rated <= torque[-1] else {}) | marks)
    highest = min(HIGHEST, max(np.max(values) for values in drawn.values()))
    ax.set(xlabel=f"torque ({unit.replace('*', '·').replace('u', 'µ')})", ylabel="ratio")
    ax.set(xlim=(0.0, torque[-1]), ylim=(0.0, 1.08 * highest))
    return ax


def _curves(curve):
    """Return {name: values to draw}, those over the design's own as a ratio."""
    found = {}
    for name, (figure, over, *_) in LINES.items():
        values = np.asarray(curve.values[figure])
        own = curve.design_values[figure] if over else 1.0
        found[name] = values / own if own > 0.0 else 0.0 * values
    return found


def _name(ax, torque, drawn):
    """Write the lines' names beside their ends, one above the other."""
    top = min(HIGHEST, max(np.max(values) for values in drawn.values()))
    ends = {name: min(values[-1], HIGHEST) for name, values in drawn.items()}
    y = -np.inf
    for name in sorted(ends, key=ends.get):
        y = max(ends[name], y + ROOM * top)
        ax.annotate(
            name, (torque[-1], ends[name]), (torque[-1] * 1.02, y), color="black", fontsize=10, va="center",
            annotation_clip=False, arrowprops={"arrowstyle": "-", "linewidth": 0.6, "color": LINES[name][2]},
        )  # fmt: skip


def _mark(ax, marks):
    """Draw an upright line at torques, and the words beside it."""
    for words, where in marks.items():
        ax.axvline(where, color="black", linewidth=0.9, linestyle="-" if words == "rated" else "--", label=f"_{words}")
        place = {"transform": ax.get_xaxis_transform(), "rotation": 90, "ha": "right", "va": "bottom"}
        ax.text(where, 0.02, words, **place, fontsize=9, bbox=ON_WHITE)
