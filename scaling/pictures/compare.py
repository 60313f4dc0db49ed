"""Two designs side by side: the factors between them as steps on a logarithmic axis."""

import math
import textwrap

from scaling.decision import compare_words
from scaling.decision.compare import MEASURES, Comparison
from scaling.decision.factors import FACTORS
from scaling.ground import messages
from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

LEAST = 0.01  # logarithm of a factor that has a row of its own
SMALL = 0.004  # logarithm of all others from which on they have one
MORE, LESS, ALL = "0.75", "white", "0.35"  # faces of steps up and down, hatched, and of the whole
HATCH = "////"
LETTER = 0.0135  # of the width: a letter of a label
STEPS = ((0.3, 0.05), (0.7, 0.1), (1.2, 0.5))  # logarithm of the width below which ticks are so far apart


def plot_factors(ax, made):
    """Draw the factors between two designs as steps from one to their ratio, each named and numbered beside itself.

    Steps up are grey, steps down hatched, the whole is dark. Factors within a hundredth are one step.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    made : Comparison
        of ``compare(a, b)``

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    TypeError
        for anything else
    ValueError
        if the two have no ratio

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.compare import compare
    >>> choice = choose(Brief(rotor_diameter="100 mm"))
    >>> fig, ax = plots.figure()
    >>> ax = plot_factors(ax, compare(choice["induction"], choice["hysteresis"], "mass"))
    >>> [label.get_text() for label in ax.get_yticklabels()]
    ['envelope', 'density', 'mass']
    >>> plots.plt.close(fig)
    """
    if not isinstance(made, Comparison):
        raise TypeError(f"made: got {messages.shorten(made)}; expected what compare(a, b) returns")
    if not made.factors:
        raise ValueError(f"made: has no factors; expected two designs that run. {made.reason}")
    steps = _steps(made)
    at, ends = 1.0, []
    for row, (name, ratio) in enumerate(steps):
        look = {"facecolor": MORE} if ratio >= 1 else {"facecolor": LESS, "hatch": HATCH}
        ends.append(_bar(ax, row, at, at * ratio, name, look))
        at *= ratio
        ax.plot([at, at], [row, row + 1], color="black", linewidth=0.8, label="_step", zorder=0.6)
    ends.append(_bar(ax, len(steps), 1.0, made.ratio, made.by, {"facecolor": ALL}))
    ax.axvline(1.0, color="black", linewidth=1.0, label="_one", zorder=0.5)
    _axes(ax, made, steps, ends, _labels(made, steps))
    return ax


def _steps(made):
    """Return the factors as [(name, ratio)], the largest up first, the largest down last; small ones as one."""
    named = {name: ratio for name, ratio in made.factors.items() if abs(math.log(ratio)) > LEAST}
    rest = made.ratio / math.prod(named.values())
    steps = sorted(named.items(), key=lambda item: -item[1])
    return [*steps, ("all else", rest)] if abs(math.log(rest)) > SMALL else steps


def _bar(ax, row, low, high, name, look):
    """Draw one step, and return its ends."""
    left, right = min(low, high), max(low, high)
    ax.barh(row, right - left, left=left, height=0.62, edgecolor="black", linewidth=1.0, label=f"_{name}", **look)
    return left, right


def _labels(made, steps):
    """Return what stands beside every step: its ratio, and the figures of both designs."""
    texts = []
    for name, ratio in steps:
        figures = f"   ({compare_words.both(name, made.a, made.b)})" if name in FACTORS else ""
        texts.append(f"× {compare_words.number(ratio)}{figures}")
    return [*texts, f"× {compare_words.number(made.ratio)}"]


def _axes(ax, made, steps, rights, texts):
    """Set scales, names of the rows and room for the labels, and write them."""
    powers = MEASURES[made.by].factors
    first, second = made.names
    low = min(left for left, _ in rights)
    high = max(right for _, right in rights)
    edge = math.log(low) - 0.04 * max(math.log(high / low), 0.1)
    width = max(
        (math.log(right) - edge) / (1.0 - 0.03 - LETTER * len(text))
        for (_, right), text in zip(rights, texts, strict=True)
    )
    ax.set(xscale="log", xlim=(math.exp(edge), math.exp(edge + width)), xlabel=f"{first} over {second}")
    for row, ((_, right), text) in enumerate(zip(rights, texts, strict=True)):
        place = {"xytext": (7, 0), "textcoords": "offset points", "va": "center", "fontsize": 9, "bbox": ON_WHITE}
        ax.annotate(text, (right, row), **place)
    names = [f"{compare_words.PREFIXES[powers.get(name, 1)]}{name}" for name, _ in steps]
    ax.set_yticks(range(len(steps) + 1), [*(textwrap.fill(name, 24) for name in names), made.by])
    ax.get_yticklabels()[-1].set_fontweight("bold")
    ax.invert_yaxis()
    ax.grid(False)
    step = next((step for widest, step in STEPS if width < widest), None)
    ax.xaxis.set_major_locator(plots.MultipleLocator(step) if step else plots.LogLocator(subs=(1, 2, 5)))
    ax.xaxis.set_minor_locator(plots.LogLocator(subs=(1,)))
    ax.xaxis.set_major_formatter(plots.PLAIN)
    ax.xaxis.set_minor_formatter("")
