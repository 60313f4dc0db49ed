"""Published points and what is predicted for them, and how far apart the two are."""

import numpy as np

from scaling.pictures import plots

MARKERS, DASHES = "osD^v", ("-", "--", "-.", ":")


def plot_published(ax, points, lines, *, xlabel, ylabel, log=True):
    """Draw published points, hollow, and lines beside them, on logarithmic or plain axes; return the Axes.

    Parameters
    ----------
    ax : matplotlib Axes
    points, lines : dict
        {name: (x, y)}; points are told apart by marker, lines by dash
    xlabel, ylabel : str
        with units
    log : bool
        whether both axes are logarithmic; all values are above zero then

    Raises
    ------
    ValueError
        if a point is not above zero on logarithmic axes: it would be lost without a word

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> ax = plot_published(ax, {"made": ([1, 2], [3, 5])}, {"law": ([1, 2], [3, 6])}, xlabel="kW", ylabel="loss")
    >>> [text.get_text() for text in ax.get_legend().get_texts()]
    ['made', 'law']
    >>> plots.plt.close(fig)
    """
    for name, (x, y) in [*points.items(), *lines.items()] if log else ():
        _refuse_zero(name, x, y)
    for i, (name, (x, y)) in enumerate(points.items()):
        ax.plot(x, y, MARKERS[i % 5], markersize=7, fillstyle="none", markeredgewidth=1.5, label=name)
    for i, (name, (x, y)) in enumerate(lines.items()):
        ax.plot(x, y, DASHES[i % 4], linewidth=2, color="black", alpha=1 - 0.2 * (i % 4), label=name)
    ax.legend(loc="best", fontsize=9)
    if log:
        return _logarithmic(ax, xlabel, ylabel)
    ax.set(xlabel=xlabel, ylabel=ylabel)
    return ax


def plot_ratios(ax, series, *, xlabel, ylabel, band=2.0):
    """Draw predicted over published values, a line at 1 and a grey band from 1/band to band; return the Axes.

    Parameters
    ----------
    ax : matplotlib Axes
    series : dict
        {name: (x, ratio)} with values above zero
    xlabel, ylabel : str
    band : float
        above 1

    Raises
    ------
    ValueError
        if a ratio is not above zero or the band not above 1

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> ax = plot_ratios(ax, {"frames": ([56, 315], [2.7, 1.5])}, xlabel="height (mm)", ylabel="ratio")
    >>> [line.get_label() for line in ax.lines]
    ['_one', 'frames']
    >>> plots.plt.close(fig)
    """
    if not band > 1:
        raise ValueError(f"band: got {band:g}; expected a factor above 1")
    ax.axhspan(1 / band, band, color="0.92", zorder=0)
    ax.axhline(1, color="black", linewidth=0.8, label="_one")
    for i, (name, (x, ratio)) in enumerate(series.items()):
        _refuse_zero(name, x, ratio)
        face = {"fillstyle": "none"} if i % 2 else {}
        ax.plot(x, ratio, DASHES[i % 4], marker=MARKERS[i % 5], markersize=6, linewidth=1.2, label=name, **face)
    if len(series) > 1:
        ax.legend(loc="best", fontsize=9)
    return _logarithmic(ax, xlabel, ylabel)


def _refuse_zero(name, *values):
    if not all(np.all(np.asarray(value, float) > 0) for value in values):
        raise ValueError(f"{name}: a value is not above zero; logarithmic axes cannot show it, leave it out")


def _logarithmic(ax, xlabel, ylabel):
    """Return the Axes with logarithmic scales, with ticks at 1, 2, 5 where a scale is short."""
    ax.set(xscale="log", yscale="log", xlabel=xlabel, ylabel=ylabel)
    for axis in (ax.xaxis, ax.yaxis):
        low, high = axis.get_view_interval()
        axis.set_major_locator(plots.LogLocator(subs=(1, 2, 5) if high < 300 * low else (1,)))
        axis.set_major_formatter(plots.PLAIN)
    ax.minorticks_off()
    return ax
