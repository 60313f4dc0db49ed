"""A figure that is kept while sliders move: only what moves is drawn again, over a stored picture of the rest.

Drawing axes, ticks and words anew at every step of a slider costs several times what the curves cost. So the still part
is drawn once and stored, and again only when an axis must change.
"""

import io
import math
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from PIL import Image

from scaling.ground import units
from scaling.pictures import plots

MARGINS = {"left": 0.105, "right": 0.98, "bottom": 0.125, "top": 0.87}
DECADES = 6  # at most, on the merit axis
APART = 12  # of 255, between two colours of a palette: Pillow finds the nearest in steps of 4
SPARE = 2  # decades the axis may be too long before it is shortened


@dataclass(frozen=True)
class Crossing:
    """Where the best type changes on the curves as drawn: at ``about``, certainly between ``low`` and ``high`` (mm).

    ``level`` tells whether two merits cross there; otherwise a type stops meeting the brief, and ``about`` is a middle.
    """

    about: float
    low: float
    high: float
    below: str
    above: str
    level: bool

    def __str__(self):
        sizes = [self.about] if self.level else [self.low, self.high]
        shown = units.show(units.quantity(np.array(sizes), "mm"), digits=2).replace(", ", "-")
        return f"about {shown}" if self.level else shown


def crossings(table):
    """Return the Crossings of a sweep, interpolated between its sizes: quick, where ``table.crossovers`` is exact.

    Where two merits cross, straight lines on logarithmic scales are cut; where a type stops meeting the brief, only
    the two sizes between which it does are known.
    """
    size = table.rotor_diameters.m_as("mm")
    found = []
    for i in np.flatnonzero(table.best[1:] != table.best[:-1]):
        below, above, pair = str(table.best[i]), str(table.best[i + 1]), slice(i, i + 2)
        level = all(kind and table.feasible[kind][pair].all() for kind in (below, above))
        share = 0.5
        if level:
            lead = np.log(table.merit[below][pair] / table.merit[above][pair])
            share = lead[0] / (lead[0] - lead[1])
        about = float(size[i] * (size[i + 1] / size[i]) ** share)
        found.append(Crossing(about, float(size[i]), float(size[i + 1]), below, above, bool(level)))
    return tuple(found)


class Kept:
    """A figure with its moving artists: ``store`` draws and stores the rest, ``png`` draws the moving ones over it."""

    def __init__(self, figure):
        self.figure = figure
        self.moving = []
        self._colours = None

    def store(self):
        """Draw everything but the moving artists, and store the picture."""
        for artist in self.moving:
            artist.set_animated(True)
        self.figure.set_layout_engine("none")  # saving a figure puts the style's back, and the axes would jump
        self.figure.canvas.draw()
        self._still = self.figure.canvas.copy_from_bbox(self.figure.bbox)

    def png(self):
        """Return the figure as PNG in 256 colours: four times as quick to pack as in full colour, and half as long."""
        canvas = self.figure.canvas
        canvas.restore_region(self._still)
        for artist in self.moving:
            artist.axes.draw_artist(artist)
        pixels = Image.frombuffer("RGBA", canvas.get_width_height(), canvas.buffer_rgba()).convert("RGB")
        if self._colours is None:
            self._colours = _most_used(pixels)
        packed = io.BytesIO()
        few = pixels.quantize(palette=self._colours, dither=Image.Dither.NONE)
        few.save(packed, format="PNG", compress_level=1)
        return packed.getvalue()


def _most_used(pixels):
    """Return a palette of the colours used most in a picture, for all that follow: so no colour flickers."""
    used = sorted(pixels.getcolors(pixels.width * pixels.height), reverse=True)
    chosen = np.empty((0, 3), int)
    for _, colour in used:
        if np.all(np.abs(chosen - colour).max(axis=1) >= APART) and len(chosen) < 256:
            chosen = np.vstack([chosen, colour])
    palette = Image.new("P", (1, 1))
    palette.putpalette(chosen.ravel().tolist())
    return palette


class MeritView(Kept):
    """Merit against size as ``plots.plot_merit`` draws it, with a mark at a chosen size, and marks of the crossings.

    ``sizes`` [m] are those drawn; a sweep may hold more. The first sweep given sets the axes.
    """

    def __init__(self, sizes, table, at):
        figure, self.axes = plots.kept_figure(figsize=(8.0, 4.4), margins=MARGINS)
        super().__init__(figure)
        self.sizes = sizes
        self._draw_still(self._drawn(table))
        self.update(table, at)

    def update(self, table, at):
        """Draw a sweep, with the mark at its size number ``at``; return PNG."""
        drawn = self._drawn(table)
        low, high = _span(drawn)
        bottom, top = self.axes.get_ylim()
        fits = bottom <= low and high <= top and top / bottom <= high / low * 10**SPARE
        if not fits or drawn.merit_name != self._merit_name:
            self._draw_still(drawn)
        for kind, (thin, thick) in self.lines.items():
            merit = np.where(drawn.merit[kind] > 0, drawn.merit[kind], np.nan)
            thin.set_ydata(merit)
            thick.set_ydata(np.where(drawn.feasible[kind], merit, np.nan))
        best = str(table.best[at])
        self._mark(table.rotor_diameters[at].m_as("mm"), table.merit[best][at] if best else math.nan, crossings(table))
        return self.png()

    def blank(self, size):
        """Draw no curve, only the mark of the size (mm); return PNG."""
        for line in (line for pair in self.lines.values() for line in pair):
            line.set_ydata(np.full(self.sizes.size, np.nan))
        self._mark(size, math.nan, ())
        return self.png()

    def _drawn(self, table):
        """Return what plot_merit needs of a sweep, at the sizes drawn and without its exact, slow crossovers."""
        shown = np.isin(table.rotor_diameters.magnitude, self.sizes)
        return SimpleNamespace(
            brief=table.brief,
            merit_name=table.merit_name,
            merit_unit=table.merit_unit,
            rotor_diameters=table.rotor_diameters[shown],
            merit={kind: values[shown] for kind, values in table.merit.items()},
            feasible={kind: values[shown] for kind, values in table.feasible.items()},
            crossovers=(),
        )

    def _draw_still(self, drawn):
        """Draw axes, labels and legend anew, with axes that end at whole decades, and store the picture."""
        ax = self.axes
        ax.clear()
        plots.plot_merit(ax, drawn)
        ends = drawn.rotor_diameters.m_as("mm")[[0, -1]]
        ax.set(xlim=ends * [0.9, 1.1], ylim=_span(drawn))
        ax.grid(True, alpha=0.3)
        named = {line.get_label().removesuffix(" (yardstick)"): line for line in ax.lines}
        self.lines = {kind: (named[f"_{kind}, brief met or not"], named[kind]) for kind in drawn.merit}
        upright = {"transform": ax.get_xaxis_transform()}
        (self._size,) = ax.plot([], [], color="0.35", linewidth=5, alpha=0.3, label="_size", **upright)
        (self._crossing,) = ax.plot([], [], color="black", linewidth=1, label="_crossings", **upright)
        (self._best,) = ax.plot([], [], "o", color="black", markersize=12, fillstyle="none", label="best at this size")
        self._words = []
        self.moving = [self._size, *(line for pair in self.lines.values() for line in pair), self._crossing, self._best]
        # Above the axes: moving lines would be drawn over it.
        above = {"loc": "lower center", "bbox_to_anchor": (0.46, 1.0), "ncols": 5, "frameon": False}
        ax.legend(**above, fontsize=9, title="thick: meets the brief", title_fontsize=9)
        self._merit_name = drawn.merit_name
        self.store()

    def _mark(self, size, merit, found):
        """Put the marks at the size (mm), at its best merit, and at the crossings."""
        self._size.set_data([size, size], [0, 1])
        self._best.set_data([size], [merit])
        places = [x for crossing in found for x in (crossing.about, crossing.about, math.nan)]
        self._crossing.set_data(places, [0, 1, math.nan] * len(found))
        for _ in found[len(self._words) :]:
            text = self.axes.text(0, 0.02, "", rotation=90, ha="right", va="bottom", fontsize=9)
            text.set(transform=self.axes.get_xaxis_transform(), animated=True)
            self._words.append(text)
            self.moving.append(text)
        for text in self._words:
            text.set_text("")
        for text, crossing in zip(self._words, found, strict=False):
            text.set(text=str(crossing), x=crossing.about)


def _span(drawn):
    """Return the whole decades that hold all merits above zero, at most DECADES of them, from the top."""
    merits = np.concatenate(list(drawn.merit.values()))
    merits = merits[merits > 0]
    if merits.size == 0:
        return 1.0, 10.0
    top = math.floor(math.log10(merits.max())) + 1
    bottom = max(math.floor(math.log10(merits.min())), top - DECADES)
    return 10.0**bottom, 10.0**top
