"""Figures: every function takes an Axes, draws, labels with units and returns the Axes.

A machine type owns a colour, a marker and a line style, so that no figure needs colour to be read.
"""

import base64
import io
from dataclasses import dataclass

import matplotlib.pyplot as plt
import numpy as np
from matplotlib import patheffects
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, MultipleLocator
from PIL import Image

from scaling.ground import units
from scaling.machines import ROTORS, YARDSTICK

STYLES = {kind: vars(rotor.look) for kind, rotor in ROTORS.items()}
PLAIN = FuncFormatter(lambda value, _: f"{value:g}" if 1e-3 <= value < 1e5 else f"{value:.0e}")
LOSS_HATCHES = {
    "winding": "",
    "core": "//",
    "rotor": "xx",
    "friction": "..",
    "can": "++",
    "additional": "--",
    "shading": "\\\\",
    "fan": "oo",
}


def use_style():
    """Set the project's figure style for this process."""
    plt.style.use("petroff10")
    plt.rcParams.update(
        {
            "figure.dpi": 100,
            "figure.figsize": (8.0, 4.6),
            "figure.constrained_layout.use": True,
            "font.size": 11,
            "axes.grid": True,
            "grid.alpha": 0.3,
            "lines.markersize": 5,
        }
    )


@dataclass(frozen=True)
class Picture:
    """A finished figure: a PNG for the eye, and the drawn data in a few numbers as its text form."""

    png: bytes
    alt: str
    summary: str

    def _repr_mimebundle_(self, include=None, exclude=None):
        data = {"image/png": base64.b64encode(self.png).decode("ascii"), "text/plain": self.summary}
        return data, {"image/png": {"alt": self.alt}}

    def __repr__(self):
        return self.summary


def show(fig, alt):
    """Return the figure as a Picture and close it; ``alt`` says what it shows to a reader who does not see it."""
    buffer = io.BytesIO()
    fig.savefig(buffer, format="png", metadata={"Software": None})
    summary = summarise(fig)
    plt.close(fig)
    small = io.BytesIO()
    Image.open(buffer).convert("RGB").quantize(128, dither=Image.Dither.NONE).save(small, format="PNG", optimize=True)
    return Picture(small.getvalue(), alt, summary)


def summarise(fig):
    """Return the drawn data as text: axes with labels and scales, each line with its first, middle and last point."""
    rows = []
    for ax in fig.axes:
        rows.append(
            f"{ax.get_title() or 'axes'}: x {ax.get_xlabel()} ({ax.get_xscale()}), "
            f"y {ax.get_ylabel()} ({ax.get_yscale()})"
        )
        for line in ax.lines:
            name = line.get_label()
            x, y = np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)
            keep = np.isfinite(x) & np.isfinite(y)
            x, y = x[keep], y[keep]
            if name.startswith("_child") or x.size == 0:
                continue
            name = name.lstrip("_")
            points = "  ".join(f"({x[i]:.4g}, {y[i]:.4g})" for i in sorted({0, x.size // 2, x.size - 1}))
            rows.append(f"  {name}, {x.size} points: {points}")
        for container in ax.containers:
            lying = getattr(container, "orientation", "vertical") == "horizontal"
            lengths = (patch.get_width() if lying else patch.get_height() for patch in container)
            rows.append(f"  {container.get_label()}: " + "  ".join(f"{length:.4g}" for length in lengths))
        rows += [f"  note: {text.get_text()}" for text in ax.texts if text.get_text()]
    return "\n".join(rows)


def plot_merit(ax, table):
    """Draw merit against size for every type, thin where a type does not meet the brief, with crossovers marked."""
    size = table.rotor_diameters.m_as("mm")
    for kind in ROTORS:
        merit = np.where(table.merit[kind] > 0, table.merit[kind], np.nan)
        style = STYLES[kind]
        label = kind if kind != YARDSTICK or table.brief.magnets_allowed else f"{YARDSTICK} (yardstick)"
        ax.plot(
            size,
            merit,
            color=style["color"],
            linestyle=style["linestyle"],
            linewidth=1,
            alpha=0.7,
            label=f"_{kind}, brief met or not",
        )
        feasible = np.where(table.feasible[kind], merit, np.nan)
        ax.plot(size, feasible, **style, linewidth=2.2, markevery=max(1, size.size // 12), label=label)
    ax.set(
        xscale="log",
        yscale="log",
        xlabel="rotor diameter (mm)",
        ylabel=f"{table.merit_name} ({units.signs(table.merit_unit)})",
    )
    low, high = ax.get_ylim()
    ax.set_ylim(max(low, high / 1e8), high)
    for crossing in table.crossovers:
        where = crossing.rotor_diameter.m_as("mm")
        ax.axvline(where, color="black", linewidth=0.8, label="_crossover")
        text = ax.annotate(
            f"{where:.3g} mm",
            (where, 0.02),
            xycoords=("data", "axes fraction"),
            rotation=90,
            ha="right",
            va="bottom",
            fontsize=9,
        )
        text.set_path_effects([patheffects.withStroke(linewidth=3, foreground="white")])
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_formatter(PLAIN)
    ax.legend(loc="lower right", fontsize=9, title="thick: meets the brief", title_fontsize=9)
    return ax


def plot_heat(ax, designs):
    """Draw where each type's heat comes from, in per cent of its losses, as hatched bars."""
    kinds = [kind for kind, design in designs.items() if np.isfinite(design.values["loss"])]
    left = np.zeros(len(kinds))
    for name, hatch in LOSS_HATCHES.items():
        share = np.array([100 * designs[kind].values[f"{name} loss"] / designs[kind].values["loss"] for kind in kinds])
        if not share.any():  # a can, or a fan, that nobody has
            continue
        ax.barh(
            kinds,
            share,
            height=0.6,
            left=left,
            hatch=hatch,
            edgecolor="black",
            linewidth=0.6,
            alpha=0.85,
            label=name,
        )
        left += share
    ax.set(xlabel="share of the losses (%)", xlim=(0, 100))
    ax.invert_yaxis()
    ax.grid(False)
    ax.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=4, fontsize=9, frameon=False)
    return ax


def plot_lines(ax, x, curves, *, xlabel, ylabel, log_y=True):
    """Draw named curves over a logarithmic axis, told apart by dash and marker, named at their right end.

    A name that begins with a machine type, such as "induction, small", takes that type's style.
    """
    dashes, markers = ("-", "--", "-.", ":"), ("o", "s", "^", "D", "v")
    for i, (name, y) in enumerate(curves.items()):
        style = STYLES.get(name.split(",")[0], {"linestyle": dashes[i % 4], "marker": markers[i % 5]})
        (line,) = ax.plot(x, y, **style, linewidth=2, label=name, markevery=max(1, len(x) // 8))
        ax.annotate(
            name, (x[-1], y[-1]), xytext=(6, 0), textcoords="offset points", va="center", color=line.get_color()
        )
    ax.set(xscale="log", yscale="log" if log_y else "linear", xlabel=xlabel, ylabel=ylabel)
    ax.xaxis.set_major_formatter(PLAIN)
    if log_y:
        ax.yaxis.set_major_formatter(PLAIN)
    return ax


def figure(**size):
    """Return (figure, axes) of one panel in the project's style."""
    return plt.subplots(**size)


def kept_figure(*, figsize, margins):
    """Return (figure, axes) that pyplot does not know, with fixed margins: to be drawn again and again in place."""
    fig = Figure(figsize=figsize, dpi=100, layout="none")
    FigureCanvasAgg(fig)
    ax = fig.subplots(gridspec_kw=margins)
    return fig, ax


def plot_exponents(ax, size, curves, marks=()):
    """Draw local exponents over rotor diameter in mm, with a legend; ``marks`` are diameters to draw a line at.

    Styles as in ``plot_lines``; for curves that end too close together to be named there.
    """
    plot_lines(ax, size, curves, xlabel="rotor diameter (mm)", ylabel="local exponent of torque", log_y=False)
    for text in list(ax.texts):
        text.remove()
    for mark in marks:
        ax.axvline(mark, color="black", linewidth=0.8, label="_mark")
        ax.annotate(
            f"{mark:.3g} mm", (mark, 0.02), xycoords=("data", "axes fraction"), rotation=90, ha="right", fontsize=9
        )
    ax.xaxis.set_major_locator(LogLocator(subs=(1, 2, 5)))
    ax.yaxis.set_major_locator(MultipleLocator(1))
    ax.legend(loc="upper right", fontsize=9)
    return ax


def plot_dots(ax, names, series, *, xlabel):
    """Draw one row of dots per name, from the top; each of the named series has its own marker, filled or hollow."""
    rows = np.arange(len(names))
    ax.axvline(0, color="black", linewidth=0.8, label="_zero")
    for i, (label, values) in enumerate(series.items()):
        face = {} if i % 2 == 0 else {"markerfacecolor": "none", "markeredgewidth": 1.8}
        ax.plot(values, rows, ("o", "s", "^", "D")[i % 4], markersize=8, label=label, **face)
    ax.set(xlabel=xlabel, yticks=rows, yticklabels=names)
    ax.invert_yaxis()
    ax.legend(loc="best", fontsize=9)
    return ax
