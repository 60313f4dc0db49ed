"""Words and lengths beside a drawing to scale: parts with a line to each, dimensions, a bar of a round length."""

import math
import textwrap

import numpy as np

NARROW = 0.45  # half a dimension over the outside radius from which on its text stands beside it
LEADER = {"arrowstyle": "-", "linewidth": 0.8, "shrinkB": 0}
ON_WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}


def name_parts(ax, parts, outside):
    """Name parts [(name, radius, angle)] one above the other on the left, a line to each."""
    for y, (name, r, angle) in zip(np.linspace(1.0, -1.0, len(parts)) * outside, parts, strict=True):
        ax.annotate(
            textwrap.fill(name.replace(" %", "\u00a0%"), 20),
            (r * np.cos(angle), r * np.sin(angle)),
            (-1.25 * outside, y),
            ha="right",
            va="center",
            fontsize=9,
            arrowprops=LEADER | {"relpos": (1, 0.5), "shrinkA": 2},
        )
    x, y = np.transpose([(r * np.cos(angle), r * np.sin(angle)) for _, r, angle in parts])
    ax.plot(x, y, color="black", linestyle="", marker="o", markersize=2.5)


def dimension(ax, half, y, outside, text):
    """Draw a dimension from -half to half below the section, at y outside radii."""
    for x in (-half, half):
        ax.plot([x, x], [0, (y - 0.03) * outside], color="0.35", linestyle=(0, (6, 2, 1, 2)), marker="", linewidth=0.6)
    arrow = {"arrowstyle": "<|-|>", "shrinkA": 0, "shrinkB": 0, "linewidth": 0.8, "color": "black"}
    ax.annotate("", (-half, y * outside), (half, y * outside), arrowprops=arrow)
    on_it = half > NARROW * outside
    place = {"x": 0, "ha": "center"} if on_it else {"x": half + 0.05 * outside, "ha": "left"}
    ax.text(y=y * outside, s=text, va="center", fontsize=9, bbox=ON_WHITE, **place)


def scale_bar(ax, x, y, outside, unit):
    """Draw a bar of a round length from x on, at y."""
    ten = 10.0 ** math.floor(math.log10(outside))
    length = ten * max(n for n in (0.2, 0.5, 1, 2, 5) if n * ten <= 0.8 * outside)
    ax.plot([x, x + length], [y, y], color="black", linestyle="-", marker="|", linewidth=2, label="_scale bar")
    ax.text(x + length / 2, y - 0.04 * outside, f"{length:g} {unit}", ha="center", va="top", fontsize=9)
