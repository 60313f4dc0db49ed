"""A chosen design at work: torque against speed, and how it warms."""

import numpy as np

from scaling.ground import units
from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

POINTS = {"start": ">", "pull-up": "v", "pull-out": "^", "running": "o"}  # named points of the curve
ROOM = 1.25  # of the highest torque: height of the picture
LOWEST = -0.15  # of the highest torque: what it shows below zero


def plot_torque_speed(ax, runnings, *, load=True):
    """Draw torque against speed for one or several designs, a line style a type, markers at named points.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    runnings : Running or sequence of Running
        of ``running(choice, kind)``; the first one's load is drawn, solid and thin
    load : bool
        whether to draw it

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    ValueError
        if there is nothing to draw

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.running import running
    >>> fig, ax = plots.figure()
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> plot_torque_speed(ax, [running(made, kind) for kind in ("induction", "hysteresis")]).get_xlabel()
    'speed (rpm)'
    >>> plots.plt.close(fig)
    """
    runnings = list(runnings) if isinstance(runnings, (list, tuple)) else [runnings]
    if not runnings:
        raise ValueError("runnings: got none; expected what running(choice, kind) returns, or several of them")
    highest = max(np.max(one.torque.m_as("N*m")) for one in runnings)
    unit = torque_unit(highest)
    for one in runnings:
        style = plots.STYLES[one.kind]
        line = {"color": style["color"], "linestyle": style["linestyle"]}
        speed, torque = one.speed.m_as("rpm"), one.torque.m_as(unit)
        ax.plot(speed, torque, **line, linewidth=2, label=one.kind)
        for name, point in one.points.items():
            at = point.speed.m_as("rpm"), point.torque.m_as(unit)
            look = {"markerfacecolor": "none", "markersize": 11, "markeredgewidth": 1.5}
            if name == "running":
                look = {"markersize": 6}
            ax.plot(*at, POINTS[name], color=style["color"], **look, label=f"_{one.kind}, {name}")
    if load:
        first = runnings[0]
        below = first.speed.m_as("rpm") <= first.synchronous_speed.m_as("rpm")
        rising = first.speed.m_as("rpm")[below], first.load.m_as(unit)[below]
        ax.plot(*rising, color="black", linewidth=1, label="load")
    named = {name for one in runnings for name in one.points}
    for name in (name for name in POINTS if name in named):
        face = "black" if name == "running" else "none"
        ax.plot([], [], POINTS[name], color="black", markerfacecolor=face, markersize=8, label=name)
    ax.axhline(0.0, color="black", linewidth=0.8, label="_zero")
    top = ROOM * highest * units.quantity(1.0, "N*m").m_as(unit)
    ax.set(xlabel="speed (rpm)", ylabel=f"torque ({unit.replace('*', '·').replace('u', 'µ')})")
    fastest = max(one.speed.m_as("rpm")[-1] for one in runnings)
    ax.set(xlim=(-0.03 * fastest, 1.03 * fastest), ylim=(LOWEST / ROOM * top, top))
    ax.legend(loc="upper center", bbox_to_anchor=(0.5, -0.16), ncols=4, fontsize=9, frameon=False)
    return ax


def plot_heating(ax, heatings):
    """Draw temperature rise from cold against time for one or several designs: the winding's thick, the rest's thin.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    heatings : Heating or sequence of Heating
        of ``heating(choice, kind)``; the rise that the first one's brief allows is drawn as a straight line

    Returns
    -------
    matplotlib Axes

    Raises
    ------
    ValueError
        if there is nothing to draw

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.heating import heating
    >>> fig, ax = plots.figure()
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> plot_heating(ax, heating(made, "induction")).get_ylabel()
    'temperature rise (K)'
    >>> plots.plt.close(fig)
    """
    heatings = list(heatings) if isinstance(heatings, (list, tuple)) else [heatings]
    if not heatings:
        raise ValueError("heatings: got none; expected what heating(choice, kind) returns, or several of them")
    longest = max(one.time.m_as("s")[-1] for one in heatings)
    unit = next((unit for unit, seconds in (("h", 7200.0), ("min", 120.0)) if longest >= seconds), "s")
    for one in heatings:
        style = plots.STYLES[one.kind]
        ax.plot(one.time.m_as(unit), one.rise.m_as("K"), **style, markevery=20, linewidth=2, label=one.kind)
        thin = {"color": style["color"], "linestyle": style["linestyle"], "linewidth": 1}
        ax.plot(one.time.m_as(unit), one.rest_rise.m_as("K"), **thin, label=f"_{one.kind}, rest")
        at = one.time_constant.m_as(unit), one.rise_after(one.time_constant).m_as("K")
        ax.plot(*at, style["marker"], color="black", fillstyle="none", markersize=12, label=f"_{one.kind}, constant")
    allowed = heatings[0].allowed_rise.m_as("K")
    ax.axhline(allowed, color="black", linewidth=1, label="_allowed")
    ax.text(
        0.98, allowed, "allowed", transform=ax.get_yaxis_transform(), ha="right", va="center", bbox=ON_WHITE, fontsize=9
    )
    ax.plot([], [], color="black", linewidth=1, label="all but the winding")
    ax.plot([], [], "o", color="black", fillstyle="none", markersize=12, label="time constant")
    ax.set(xlabel=f"time ({unit})", ylabel="temperature rise (K)", xlim=(0.0, None))
    ax.set_ylim(0.0, 1.1 * max(allowed, *(one.final_rise.m_as("K") for one in heatings)))
    ax.legend(loc="lower right", fontsize=9)
    return ax


def torque_unit(torque):
    """Return the unit in which a torque is a number of one to three digits before the point."""
    steps = (("kN*m", 1e3), ("N*m", 1.0), ("mN*m", 1e-3), ("uN*m", 1e-6))
    return next((unit for unit, least in steps if torque >= least), "nN*m")
