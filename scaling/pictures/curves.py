"""Curves whose largest value matters."""

import numpy as np

from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

LEVEL, NEAR = 1.2, 4.0  # peaks within these ratios of height and place are told side by side, not under the curve


def plot_peaks(ax, x, curves, beside=None, marks=None, *, xlabel, ylabel):
    """Draw named curves on logarithmic axes, the place of each one's largest value marked and told; return the Axes.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    x : array_like
        of all curves, rising
    curves : dict
        {name: values}
    beside : dict, optional
        curves of some of these names to compare with, drawn dashed
    marks : dict, optional
        {words: x} of places to draw a line at
    xlabel, ylabel : str
        with units

    Raises
    ------
    ValueError
        if a curve has no number, or another length than x

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> curves = {"one": [1.0, 3.0, 2.0], "two": [1.0, 6.0, 7.0]}
    >>> [text.get_text() for text in plot_peaks(ax, [1, 2, 4], curves, xlabel="x", ylabel="y").texts]
    ['one: 2', 'two: 4']
    >>> plots.plt.close(fig)
    """
    x, curves = np.asarray(x), {name: np.asarray(y) for name, y in curves.items()}
    tops = {name: (x[np.nanargmax(y)], np.nanmax(y)) for name, y in curves.items()}
    for i, (name, y) in enumerate(curves.items()):
        marker, top = "os^Dv"[i % 5], tops[name]
        (line,) = ax.plot(x, y, "-", marker=marker, markevery=max(1, len(x) // 8), linewidth=1.8, label=name)
        if beside and name in beside:
            ax.plot(x, beside[name], "--", color=line.get_color(), linewidth=1.2, label=f"_{name}, dashed")
        ax.plot(*top, marker, color="black", fillstyle="none", markersize=12, label=f"_{name}, largest")
        near = [other[0] for other in tops.values() if other is not top and _near(top, other)]
        place = {"xytext": (0, -11), "ha": "center", "va": "top"}
        if near:  # above, each to its side
            place = {"xytext": (0, 11), "ha": "right" if max(near) > top[0] else "left", "va": "bottom"}
        text = f"{name}: {top[0]:.2g}"
        ax.annotate(
            text, top, **place, textcoords="offset points", fontsize="small", bbox=ON_WHITE | {"pad": 0}, zorder=3
        )
    for words, where in (marks or {}).items():
        ax.axvline(where, color="black", linewidth=0.8, label=f"_{words}")
        place = {"transform": ax.get_xaxis_transform(), "rotation": 90, "ha": "right", "va": "bottom"}
        ax.text(where, 0.03, words, **place, fontsize="small")
    ax.set(xscale="log", yscale="log", xlabel=xlabel, ylabel=ylabel)
    ax.set_ylim(top=1.4 * ax.get_ylim()[1])
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_formatter(plots.PLAIN)
    return ax


def _near(one, other):
    """Return whether two peaks (x, y) above zero are so close that their words would meet."""
    ratios = np.abs(np.log(np.divide(one, other)))
    return ratios[0] < np.log(NEAR) and ratios[1] < np.log(LEVEL)
