"""What plane and round pictures of a field share: which lines to draw, dots and crosses, what layers are made of."""

import numpy as np

from scaling.ground.messages import shorten
from scaling.pictures.section import AIR, IRON

DECIMALS = 6  # of a coordinate drawn, so that a summary is the same on every machine
POINTS = 80  # of a branch of a field line
LEVELS = 6  # field lines of a pole, where the flux between them is not given; each goes through the gap twice
MOST_LEVELS = 60
MARKS = 8  # dots or crosses of a pole of the stator
FIELD_LINE = {"color": "#1f4a80", "linestyle": "-", "linewidth": 1.1, "marker": ""}
STYLES = {
    "iron": IRON,
    "air": AIR,
    "conductor": {"facecolor": "#fbdcc0"},
    "conducting iron": {"facecolor": "#e3cfc0"},
    "magnetic layer": {"facecolor": "#c3c9d6"},
}


def check_numbers(wave):
    """Refuse a wave of arrays."""
    if wave.shape:
        raise ValueError(f"wave: got one of shape {wave.shape}; expected one of numbers, for one picture")


def check_names(names, layers, word):
    """Return the names of layers or rings, what they are made of if none are given."""
    names = [made_of(layer) for layer in layers] if names is None else names
    if isinstance(names, str) or len(names) != len(layers):
        raise ValueError(f"names: got {shorten(names)}; expected a list of {len(layers)}, one for each {word}")
    return list(names)


def made_of(layer):
    """Return what a layer or ring is made of, one of STYLES."""
    if layer.conductivity > 0:
        return "conductor" if layer.relative_permeability == 1 else "conducting iron"
    return "air" if layer.relative_permeability == 1 else "magnetic layer"


def levels(most, line_flux):
    """Return the values of A_z above zero at which to draw lines, half a step off zero."""
    step = most / LEVELS if line_flux is None else line_flux
    if not step > most / MOST_LEVELS:
        least = most / MOST_LEVELS
        raise ValueError(f"line_flux: got {shorten(line_flux)}; expected more than {least:.2g} Wb/m, or None")
    return np.arange(0.5 * step, most, step)


def branches(level, places, size, boundaries):
    """Yield places along each stretch where the potential reaches a level, and whether the line turns at either end.

    The places are dense where a line turns, and the boundaries are among them.
    """
    reached = np.flatnonzero(size >= level)
    for run in np.split(reached, np.flatnonzero(np.diff(reached) > 1) + 1):
        if run.size == 0:
            continue
        first, last = run[0], run[-1]
        turns = first > 0, last < places.size - 1
        low, high = places[first], places[last]
        if turns[0]:
            low = np.interp(level, size[first - 1 : first + 1], places[first - 1 : first + 1])
        if turns[1]:
            high = np.interp(-level, -size[last : last + 2], places[last : last + 2])
        at = low + (high - low) * (1 - np.cos(np.linspace(0, np.pi, POINTS))) / 2
        inside = boundaries[(boundaries > low) & (boundaries < high)]
        yield np.sort(np.r_[at, inside]), turns


def both_sides(middle, half, along, turns):
    """Return (across, along) of both sides of a line, joined where it turns; NaN where it leaves the picture."""
    gap = [] if turns[1] else [np.nan]
    across, along = np.r_[middle - half, gap, (middle + half)[::-1]], np.r_[along, gap, along[::-1]]
    if turns[0]:
        across, along = np.r_[across, across[0]], np.r_[along, along[0]]
    return across, along


def drawn(lengths):
    """Return lengths in the unit of the picture, rounded, and 0.0 for -0.0."""
    return np.round(lengths, DECIMALS) + 0.0


def shares(count):
    """Return the electrical angles from the crest of a half wave of current that part it into equal currents."""
    return np.arcsin((2 * np.arange(count) + 1) / max(count, 1) - 1)  # cos integrated


def draw_marks(ax, x, y, word, name):
    """Draw dots, for currents ``"out"`` of the picture, or crosses, for those ``"in"``."""
    style, wide = {"linestyle": "", "color": "black"}, {"markerfacecolor": "white", "markeredgewidth": 0.9}
    ax.plot(x, y, "o", **style, **wide, markersize=7, label=f"_{name} {word}")
    inner = {"marker": "o", "markersize": 2.5} if word == "out" else {"marker": "x", "markersize": 4.5}
    ax.plot(x, y, **style, **inner, label="_child")
