"""Picture of where the heat of a chosen design goes: its thermal network with rises, flows and losses."""

import numpy as np

from scaling.decision.heat_flows import COOLANT, heat_flows
from scaling.ground import units
from scaling.pictures import plots

PLACES = {  # of nodes, as they lie in the upper half of a machine cut along its shaft
    "coolant": (2.2, 5.9),
    "frame": (2.2, 4.7),
    "yoke": (0.9, 3.35),
    "teeth": (0.0, 1.7),
    "slots": (2.4, 1.7),
    "ends": (4.4, 1.7),
    "air": (5.6, 0.8),
    "rotor": (0.9, -0.1),
}
BARS = -2.75, 7.0  # ends of coolant and frame, which are wider than a box
TOP, SHAFT = PLACES["frame"][1], 6.75  # height of the frame; where the shaft's way goes up to it
WAYS = {  # of edges that are no straight lines between two boxes
    ("yoke", "frame"): (PLACES["yoke"], (PLACES["yoke"][0], TOP)),
    ("air", "frame"): (PLACES["air"], (PLACES["air"][0], TOP)),
    ("rotor", "frame"): ((SHAFT, PLACES["rotor"][1]), (SHAFT, TOP)),
}
LYING = PLACES["rotor"], (SHAFT, PLACES["rotor"][1])  # the shaft's way before it goes up
NUMBERS = {  # where the heat of an edge is written, and which side of the text stands there
    ("frame", "coolant"): (2.65, 5.3, "left"),
    ("yoke", "frame"): (1.3, 4.03, "left"),
    ("teeth", "yoke"): (0.12, 2.62, "right"),
    ("slots", "yoke"): (1.92, 2.6, "left"),
    ("slots", "teeth"): (1.2, 1.32, "center"),
    ("slots", "ends"): (3.43, 2.24, "center"),
    ("rotor", "teeth"): (0.62, 0.68, "left"),
    ("ends", "air"): (4.75, 1.0, "right"),
    ("rotor", "air"): (3.2, 0.55, "center"),
    ("air", "frame"): (5.4, 3.1, "right"),
    ("rotor", "frame"): (6.6, 2.3, "right"),
}
ENTRIES = {  # the same of the losses of a node
    "slots": (2.4, 0.97, "center"),
    "ends": (5.4, 2.62, "right"),
    "teeth": (-0.62, 1.7, "right"),
    "yoke": (0.35, 3.5, "right"),
    "rotor": (0.22, -0.1, "right"),
    "frame": (-2.6, TOP, "left"),
}
THICKEST = 13.0  # points, of a line through which all the heat passes
THINNEST = 0.6
LEAST = 1e-3  # of all the heat: smaller losses are not written
COLOURS, COLD, NUMBER = "YlOrRd", "#cfe4f5", "#23364d"
LIGHT = 0.72  # of the colours: black is read on all of them
FLOW = {"color": "#5f7fa3", "solid_capstyle": "butt", "marker": "", "linestyle": "-"}


def plot_heat_paths(ax, choice, kind, *, hottest=None):
    """Draw the thermal network of a chosen design: rises in boxes, heat in lines between them; return the Axes.

    A box is a part of the machine, with its rise over the coolant as number and colour; parts lie as in the upper half
    of a machine cut along its shaft. A line is a way of heat: its thickness goes with the watts, an arrow says where
    to. Losses stand beside the part that they arise in; what is less than a thousandth of all heat is not written.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one, about as wide as high
    choice : Choice
        what ``choose(brief)`` returns, of a brief in continuous duty
    kind : str
        a machine type
    hottest : float, optional
        rise of the darkest colour, to compare pictures; that of the warmest part if not given [K]

    Raises
    ------
    TypeError, KeyError, ValueError
        as ``heat_flows``

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> fig, ax = plots.figure()
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> plot_heat_paths(ax, made, "induction").get_title()
    'induction, 110 mm rotor, shaft fan'
    >>> plots.plt.close(fig)
    """
    rises, flows, entering = heat_flows(choice, kind)
    total = sum(sum(losses.values()) for losses in entering.values())
    unit = _unit(total)
    for edge, watts in flows.items():
        _draw_flow(ax, edge, watts, total, unit)
    most = max(rises.values()) if hottest is None else hottest
    for node, rise in rises.items():
        _draw_part(ax, node, rise, most)
    for node in ENTRIES:
        _draw_losses(ax, node, {loss: w for loss, w in entering[node].items() if w > LEAST * total}, unit)
    ax.set(xlim=(-2.85, 7.1), ylim=(-0.7, 6.25), aspect="equal")
    ax.axis("off")
    size = units.show(choice[kind].rotor_diameter, digits=3)
    ax.set_title(f"{kind}, {size} rotor, {_cooled(choice.brief.si.cooling)}")
    return ax


def _cooled(cooling):
    return cooling if isinstance(cooling, str) else f"{cooling:g} W/(m²·K)"


def _unit(watts):
    """Return (name, value in watts) of the unit in which all the heat is written."""
    steps = (("kW", 1e3), ("W", 1.0), ("mW", 1e-3), ("µW", 1e-6))
    return next((step for step in steps if watts >= step[1] * (10 if step[1] > 1 else 1)), ("nW", 1e-9))


def _written(watts, unit):
    """Return a heat as text, to three digits."""
    name, value = unit
    return f"{float(f'{watts / value:.3g}'):.6g} {name}"


def _draw_flow(ax, edge, watts, total, unit):
    """Draw a way of heat, an arrow in its middle, and its number beside."""
    drawn = edge if edge in NUMBERS else edge[::-1]
    way = np.array(WAYS.get(drawn, [PLACES[node] for node in drawn]))
    way = way if drawn == edge else way[::-1]
    width = max(THINNEST, THICKEST * watts / total)
    written = _written(watts, unit)
    if drawn == ("rotor", "frame"):
        ax.plot(*np.transpose(LYING), **FLOW, linewidth=width, zorder=1, label="_along the shaft")
    ax.plot(*way.T, **FLOW, linewidth=width, zorder=1, label=f"_{edge[0]} to {edge[1]}, {written}")
    angle = np.degrees(np.arctan2(*(way[1] - way[0])[::-1]))
    head = {"marker": (3, 0, angle - 90), "markersize": 7 + 1.2 * width, "color": FLOW["color"]}
    ax.plot(*way.mean(axis=0), **head, zorder=2, label="_arrow")
    x, y, side = NUMBERS[drawn]
    ax.text(x, y, written, ha=side, va="center", fontsize=9, color=NUMBER, zorder=4)


def _draw_part(ax, node, rise, most):
    """Draw a part as a box, or a bar, in the colour of its rise."""
    share = np.clip(rise / most, 0.0, 1.0) if most > 0 else 0.0
    colour = COLD if node == COOLANT else plots.plt.get_cmap(COLOURS)(LIGHT * share)
    look = {"facecolor": colour, "edgecolor": "black", "linewidth": 0.8}
    text = {"ha": "center", "va": "center", "zorder": 3, "fontsize": 10}
    if node in ("frame", COOLANT):
        low, high = PLACES[node][1] - 0.28, PLACES[node][1] + 0.28
        ax.fill((*BARS, *BARS[::-1]), (low, low, high, high), zorder=2.5, label=f"_{node}", **look)
        ax.text(*PLACES[node], f"{node} {rise:.1f} K", **text)
    else:
        ax.text(*PLACES[node], f"{node}\n{rise:.1f} K", bbox={"boxstyle": "round,pad=0.3"} | look, **text)


def _draw_losses(ax, node, losses, unit):
    """Write the losses that arise in a part beside it."""
    if losses:
        x, y, side = ENTRIES[node]
        text = "\n".join(f"+ {_written(watts, unit)} {loss}" for loss, watts in losses.items())
        ax.text(x, y, text, ha=side, va="center", fontsize=9, style="italic", zorder=4)
