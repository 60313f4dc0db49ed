"""How sure a choice is: probabilities by size with the bands of the crossovers, and which input is to blame."""

import numpy as np

from scaling.pictures import plots

NONE = "none"


def plot_probability(ax, made):
    """Draw against size the probability of each type to be the best; hatched, the nine-in-ten bands of crossovers.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    made : Certainty
        of ``certainty(brief, rotor_diameters)``

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    ValueError
        if there are no sizes

    Examples
    --------
    >>> from scaling import Brief, certainty
    >>> fig, ax = plots.figure()
    >>> brief = Brief(rotor_diameter="10 mm", gap_floor="20 um +/- 5 um")
    >>> plot_probability(ax, certainty(brief, ["5 mm", "10 mm", "20 mm"], draws=1000)).get_ylabel()
    'probability of being the best'
    >>> plots.plt.close(fig)
    """
    if made.rotor_diameters is None:
        raise ValueError("made: got a certainty at one size; expected certainty(brief, rotor_diameters)")
    sizes = made.rotor_diameters.m_as("mm")
    for kind, share in made.probability_by_size.items():
        if np.any(share > 0.0):
            style = plots.STYLES.get(kind, {"color": "black", "marker": "x", "linestyle": "-"})
            ax.plot(sizes, share, **style, linewidth=2, label=kind or NONE)
    for band in (band for band in made.crossovers if band.below and band.above):
        low, middle, high = (size.m_as("mm") for size in band.rotor_diameter)
        ax.axvspan(low, high, facecolor="none", edgecolor="0.4", hatch="//", linewidth=0.8, label="_band", zorder=0.5)
        ax.axvline(middle, color="black", linewidth=0.9, label="_middle")
        paper = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}
        ax.annotate(f"{middle:.3g} mm", (middle, 0.2), rotation=90, ha="center", va="center", fontsize=9, bbox=paper)
    ax.set(xscale="log", ylim=(-0.03, 1.03), xlabel="rotor diameter (mm)", ylabel="probability of being the best")
    ax.xaxis.set_major_locator(plots.LogLocator(subs=(1, 2, 5)))
    ax.xaxis.set_major_formatter(plots.PLAIN)
    ax.xaxis.set_minor_formatter("")
    ax.legend(loc="center right", fontsize=9)
    return ax


def plot_sensitivity(ax, sensitivity):
    """Draw first-order and total Sobol' indices of the uncertain inputs as pairs of bars, the largest on top.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    sensitivity : dict
        ``sensitivity`` of a Certainty or of one of its crossovers

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    ValueError
        if there is nothing to blame

    Examples
    --------
    >>> fig, ax = plots.figure()
    >>> ax = plot_sensitivity(ax, {"gap_floor": (0.7, 0.75), "slip_limit": (0.25, 0.3)})
    >>> [label.get_text() for label in ax.get_yticklabels()]
    ['gap floor', 'slip limit']
    >>> plots.plt.close(fig)
    """
    if not sensitivity:
        raise ValueError("sensitivity: got none; expected the indices of at least one input")
    names = sorted(sensitivity, key=lambda name: -sensitivity[name][1])
    rows = np.arange(len(names))
    looks = (("own share", 0, -0.2, ""), ("with its interactions", 1, 0.2, "//"))
    for label, column, shift, hatch in looks:
        values = [max(float(sensitivity[name][column]), 0.0) for name in names]
        look = {"facecolor": "0.85" if hatch else "0.45", "edgecolor": "black", "hatch": hatch, "height": 0.38}
        ax.barh(rows + shift, values, **look, label=label)
    ax.set_yticks(rows, [name.replace("_", " ") for name in names])
    ax.invert_yaxis()
    ax.set(xlim=(0.0, 1.0), xlabel="share of the variance")
    ax.legend(loc="lower right", fontsize=9)
    return ax
