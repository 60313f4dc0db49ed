"""What binds by size: a map with a row a type, and what merit answers to each limit."""

import numpy as np

from scaling.decision.binding import NOTHING
from scaling.decision.limits import LIMITS
from scaling.pictures import plots

GREY, BLANK = "0.88", "white"
ROOM = 0.055  # of the width: a narrower stretch is lettered above itself
WORDS = 0.21  # below it a name stands in the row word under word


def plot_binding(ax, found):
    """Draw for every type of machine, a row each, which limit binds at which size: hatched stretches, named in words.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    found : Binding
        of ``binding(brief, rotor_diameters)``

    Returns
    -------
    matplotlib Axes

    Examples
    --------
    >>> from scaling import Brief
    >>> from scaling.decision.binding import binding
    >>> fig, ax = plots.figure()
    >>> found = binding(Brief(rotor_diameter="20 mm"), ["2 mm", "20 mm", "200 mm"])
    >>> [label.get_text() for label in plot_binding(ax, found).get_yticklabels()]
    ['induction', 'hysteresis', 'reluctance', 'magnet']
    >>> plots.plt.close(fig)
    """
    sizes = found.rotor_diameters.m_as("mm")
    logs = np.log(sizes)
    edges = np.exp(np.concatenate([logs[:1], (logs[1:] + logs[:-1]) / 2, logs[-1:]]))
    width = logs[-1] - logs[0]
    for row, kind in enumerate(found.kinds):
        names = [str(name) for name in found.binds[kind]]
        starts = [i for i in range(len(names)) if i == 0 or names[i] != names[i - 1]]
        for start, end in zip(starts, [*starts[1:], len(names)], strict=True):
            name, left, right = names[start], edges[start], edges[end]
            look = {"facecolor": BLANK if name == NOTHING else GREY, "edgecolor": "black", "linewidth": 1.0}
            look["hatch"] = LIMITS[name].hatch if name in LIMITS else ""
            ax.barh(
                row,
                right - left,
                left=left,
                height=0.62,
                label=f"_{kind}: {name}",
                **look,
            )
            share = np.log(right / left) / width
            narrow, told = share < ROOM, name.replace(" ", "\n") if ROOM <= share < WORDS else name
            place = (np.sqrt(left * right), row - (0.4 if narrow else 0.0))
            paper = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
            size = 9 if told == name else 8
            ax.annotate(told, place, ha="center", va="center", fontsize=size, bbox=paper)
    ax.set(xscale="log", xlim=(edges[0], edges[-1]), xlabel="rotor diameter (mm)")
    ax.set_yticks(range(len(found.kinds)), found.kinds)
    ax.invert_yaxis()
    ax.grid(False)
    ax.xaxis.set_major_locator(plots.LogLocator(subs=(1, 2, 5)))
    ax.xaxis.set_major_formatter(plots.PLAIN)
    ax.xaxis.set_minor_formatter("")
    return ax


def plot_elasticities(ax, found, kind, least=0.1):
    """Draw the elasticity of a type's merit to each input against size; those that never reach ``least`` are left out.

    Returns
    -------
    matplotlib Axes

    Examples
    --------
    >>> from scaling import Brief
    >>> from scaling.decision.binding import binding
    >>> fig, ax = plots.figure()
    >>> found = binding(Brief(rotor_diameter="20 mm"), ["2 mm", "20 mm", "200 mm"])
    >>> plot_elasticities(ax, found, "magnet").get_ylabel()
    'elasticity of the merit of magnet'
    >>> plots.plt.close(fig)
    """
    sizes, marks, dashes = found.rotor_diameters.m_as("mm"), "os^Dvx+*<>", ("-", "--", "-.", ":")
    shown = {
        name: slope for name, slope in found.elasticity[kind].items() if np.nanmax(np.abs(slope), initial=0) >= least
    }
    for i, (name, slope) in enumerate(shown.items()):
        look = {"marker": marks[i % len(marks)], "linestyle": dashes[i % len(dashes)], "markerfacecolor": "none"}
        ax.plot(sizes, slope, **look, markevery=2, label=name.replace("_", " "))
    ax.axhline(0.0, color="black", linewidth=0.8, label="_zero")
    ax.set(xscale="log", xlabel="rotor diameter (mm)", ylabel=f"elasticity of the merit of {kind}")
    ax.xaxis.set_major_locator(plots.LogLocator(subs=(1, 2, 5)))
    ax.xaxis.set_major_formatter(plots.PLAIN)
    ax.xaxis.set_minor_formatter("")
    ax.legend(loc="center left", bbox_to_anchor=(1.01, 0.5), fontsize=9)
    return ax
