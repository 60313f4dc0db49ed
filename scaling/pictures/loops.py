"""Loops of flux density against field, and the steel that suits each size. Functions take an Axes and return it."""

import numpy as np

from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

APART = 0.055  # of the axes' height: least distance of two names


def plot_loops(ax, curves):
    """Draw named curves of flux density over field on linear axes, told apart by dash; return the Axes.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    curves : dict
        {name: (field [A/m], flux density [T])}

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> plot_loops(ax, {"one": ([0.0, 2e3], [0.0, 0.5])}).get_xlabel()
    'field strength (kA/m)'
    >>> plots.plt.close(fig)
    """
    ax.axhline(0, color="black", linestyle="-", linewidth=0.8, label="_zero")
    ax.axvline(0, color="black", linestyle="-", linewidth=0.8, label="_zero")
    for i, (name, (H, B)) in enumerate(curves.items()):
        dash = ("-", "--", "-.", ":", (0, (6, 1, 1, 1, 1, 1)))[i % 5]
        ax.plot(np.asarray(H) / 1e3, B, linestyle=dash, marker="", linewidth=1.8, label=name)
    ax.set(xlabel="field strength (kA/m)", ylabel="flux density (T)")
    ax.legend(loc="lower right", fontsize=9)
    return ax


def plot_coercivities(ax, size, series, names):
    """Draw coercivity over size on logarithmic axes as steps, each named material on the right; return the Axes.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    size : array_like
        rotor diameters, rising [mm]
    series : dict
        {words: coercivities at the sizes [A/m]}
    names : dict
        {material: coercivity [A/m]} of the materials to name

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> ax = plot_coercivities(ax, [1, 10], {"still air": [1e3, 4e3]}, {"soft": 1e3, "hard": 4e3})
    >>> [text.get_text() for text in ax.texts]
    ['soft', 'hard']
    >>> plots.plt.close(fig)
    """
    dashes, markers = ("-", "--", "-.", ":"), ("o", "s", "^", "D")
    for i, (words, H_c) in enumerate(series.items()):
        style = {"linestyle": dashes[i % 4], "marker": markers[i % 4], "alpha": 0.9}
        ax.plot(size, np.asarray(H_c) / 1e3, drawstyle="steps-mid", linewidth=1.6, label=words, **style)
    ax.set(xscale="log", yscale="log", xlabel="rotor diameter (mm)", ylabel="coercivity of the best ring (kA/m)")
    used = np.log([H_c / 1e3 for H_c in names.values()])
    low, high = used.min() - 0.25, used.max() + 0.25
    ax.set_ylim(np.exp(low), np.exp(high))
    ax.set(xticks=_round(*ax.get_xlim()), yticks=_round(*ax.get_ylim()))
    heights = (used - low) / (high - low)
    for name, at, height in zip(names, heights, _spread(heights), strict=True):
        line = {"arrowstyle": "-", "linewidth": 0.7, "shrinkA": 0, "shrinkB": 0}
        place = {"xy": (1.0, at), "xytext": (1.04, height), "xycoords": "axes fraction", "textcoords": "axes fraction"}
        ax.annotate(name, **place, va="center", fontsize=9, bbox=ON_WHITE, arrowprops=line)
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_formatter(plots.PLAIN)
    ax.legend(loc="upper left", fontsize=9)
    return ax


def _round(low, high):
    """Return the 1, 2 and 5 of every decade between two values."""
    decades = 10.0 ** np.arange(np.floor(np.log10(low)), np.ceil(np.log10(high)) + 1)
    values = np.outer(decades, (1, 2, 5)).ravel()
    return values[(values >= low) & (values <= high)]


def _spread(heights):
    """Return heights moved so that none is nearer to another than APART, their order and their middle kept."""
    order = np.argsort(heights)
    moved = np.array(heights, float)[order]
    for _ in range(200):
        close = np.maximum(APART - np.diff(moved), 0.0) / 2
        moved[:-1] -= close
        moved[1:] += close
    spread = np.empty_like(moved)
    spread[order] = moved
    return spread
