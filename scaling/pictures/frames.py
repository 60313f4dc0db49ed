"""A picture that changes in steps: one frame at a time for a live page, some of them side by side for print.

All frames are drawn at once, before anybody steps: a step then takes no time, and a function that draws may use names
that get other values later in a notebook.
"""

import numpy as np

from scaling.pictures import plots
from scaling.pictures.live import Kept

PRINTED = 6  # frames side by side at most
COLUMNS = 2
SMALL = 0.8  # size of letters and markers of a printed frame


def frames(draw, values, *, figsize, margins):
    """Return one PNG for each of the values, drawn by ``draw(ax, value)``, all with the same axes and colours."""
    figure, ax = plots.kept_figure(figsize=figsize, margins=margins)
    kept, drawn = Kept(figure), []
    for value in values:
        ax.clear()
        draw(ax, value)
        kept.store()
        drawn.append(kept.png())
    return drawn


def strip(draw, values, titles, *, figsize):
    """Return a figure of at most six frames, evenly spread over the values, each with its title."""
    chosen = np.arange(len(values))
    if len(values) > PRINTED:
        chosen = np.arange(PRINTED) * len(values) // PRINTED
    rows = -(-len(chosen) // COLUMNS)
    fig, axes = plots.figure(nrows=rows, ncols=COLUMNS, figsize=figsize, squeeze=False)
    for ax, number in zip(axes.flat, chosen, strict=False):
        draw(ax, values[number])
        ax.set_title(titles[number])
        _shrink(ax)
    for ax in axes.flat[len(chosen) :]:
        ax.remove()
    return fig


def _shrink(ax):
    """Make letters and markers of an Axes smaller, for a small picture, and drop labels that its neighbours have."""
    for artist in ax.findobj(lambda artist: hasattr(artist, "set_fontsize")):
        artist.set_fontsize(SMALL * artist.get_fontsize())
    for line in ax.lines:
        line.set_markersize(SMALL * line.get_markersize())
    ax.label_outer()
