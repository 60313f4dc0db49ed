"""What a drive's limits leave of a design: torque and power over speed, and what of it is constant power."""

import numpy as np

from scaling.ground import units
from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE

ROOM = 1.45  # of the base values: height of the picture
GREY = "0.9"
NAMED = 0.6  # of the highest power: where a falling line is named


def plot_envelope(ax, found):
    """Draw torque (solid) and power (dashed) of one design over speed, both over their values at base speed.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    found : Envelope
        of ``envelope(choice, kind)``

    Returns
    -------
    matplotlib Axes

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.envelope import envelope
    >>> fig, ax = plots.figure()
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> plot_envelope(ax, envelope(made, "induction")).get_xlabel()
    'speed (rpm)'
    >>> plots.plt.close(fig)
    """
    speed, color = found.speed.m_as("rpm"), plots.STYLES[found.kind]["color"]
    torque, power = (found.torque / found.base_torque).m_as(""), (found.power / found.base_power).m_as("")
    base, held, top = (one.m_as("rpm") for one in (found.base_speed, found.constant_power_to, found.highest_speed))
    ax.plot(speed, torque, color=color, linestyle="-", linewidth=2.2, label="torque")
    ax.plot(speed, power, color="black", linestyle="--", linewidth=1.6, label="power")
    ax.axvline(base, color="black", linestyle=":", linewidth=1, label="_base speed")
    highest = ROOM * max(1.0, np.max(power) / 1.25)
    if found.constant_power_range > 1.005:
        ax.axvspan(base, held, color=GREY, zorder=0, label="_constant power")
        ends = {"arrowstyle": "<|-|>", "shrinkA": 0, "shrinkB": 0, "color": "black", "linewidth": 0.8}
        ax.annotate("", (base, 0.94 * highest), (held, 0.94 * highest), arrowprops=ends)
        told = f"as much power as at base speed:\n{found.constant_power_range:.3g} times base speed"
        place = (held + 0.015 * top, "left") if held < 0.55 * top else (base - 0.015 * top, "right")
        if held - base > 0.45 * top:
            place = (base + held) / 2, "center"
        _write(ax, place[0], 0.94 * highest, told, ha=place[1])
    _write(ax, base, 0.07 * highest, f"base speed\n{_shown(found.base_speed, 'rpm')}", ha="center")
    _label(ax, speed, torque, 0.02 * top, f"torque, 1 = {_shown(found.base_torque)}", 0.055 * highest)
    told = f"power, 1 = {_shown(found.base_power)}"
    if base < 0.5 * top:
        _label(ax, speed, power, base + 0.55 * (top - base), told, 0.055 * highest)
    else:
        _label(ax, speed, power, 0.5 * base, told, 0.055 * highest, ha="right")
    ax.set(xlabel="speed (rpm)", ylabel="over its value at base speed", xlim=(0.0, 1.02 * top), ylim=(0.0, highest))
    return ax


def plot_powers(ax, envelopes):
    """Draw the power of several designs on a drive over speed, a line style a type.

    Markers stand at base speed and at the end of constant power.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one
    envelopes : sequence of Envelope
        of ``envelope(choice, kind)``

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
    >>> from scaling.decision.envelope import envelope
    >>> fig, ax = plots.figure()
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> plot_powers(ax, [envelope(made, kind) for kind in ("induction", "reluctance")]).get_ylabel()
    'power (kW)'
    >>> plots.plt.close(fig)
    """
    envelopes = list(envelopes)
    if not envelopes:
        raise ValueError("envelopes: got none; expected what envelope(choice, kind) returns, one or more")
    highest = max(np.max(one.power.m_as("W")) for one in envelopes)
    unit = "kW" if highest > 2e3 else "W" if highest > 2.0 else "mW"
    highest = units.quantity(highest, "W").m_as(unit)
    for one in envelopes:
        look = plots.STYLES[one.kind]
        line = {"color": look["color"], "linestyle": look["linestyle"], "linewidth": 2}
        speed, power = one.speed.m_as("rpm"), one.power.m_as(unit)
        ax.plot(speed, power, **line, label=one.kind)
        falling = np.arange(speed.size) > np.argmax(power)
        at = int(np.argmax(falling & (power < NAMED * np.max(power)))) or -1
        ax.annotate(one.kind, (speed[at], power[at]), (6, 2), textcoords="offset points", va="bottom", fontsize=9)
        for at, marker in ((one.base_speed, "o"), (one.constant_power_to, "s")):
            x = at.m_as("rpm")
            y = np.interp(x, speed, power)
            ax.plot(x, y, marker, color=look["color"], markerfacecolor="white", markersize=7, label=f"_{one.kind}")
    for marker, told in (("o", "base speed"), ("s", "end of constant power")):
        ax.plot([], [], marker, color="black", markerfacecolor="white", markersize=7, label=told)
    furthest = max(one.highest_speed.m_as("rpm") for one in envelopes)
    ax.set(xlabel="speed (rpm)", ylabel=f"power ({unit})", xlim=(0.0, 1.02 * furthest), ylim=(0.0, 1.15 * highest))
    ax.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=len(envelopes) + 2, fontsize=9, frameon=False)
    return ax


def in_words(found):
    """Return an envelope in words, for a reader with no picture.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.envelope import envelope
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> in_words(envelope(made, "induction"))[:57]
    'Torque and power of the induction design over speed on a '
    """
    drive = f"a drive of {found.overload:.3g} times its current"
    lead = f"Torque and power of the {found.kind} design over speed on {drive}"
    return " ".join([f"{lead}, both over their values at base speed.", *found.verdicts])


def _shown(quantity, unit=None):
    return units.show(quantity, unit, digits=3)


def _write(ax, x, y, told, **align):
    ax.text(x, y, told, va="center", fontsize=9, bbox=ON_WHITE, **align)


def _label(ax, speed, values, x, told, above, ha="left"):
    """Write the name of a line above it at a speed."""
    _write(ax, x, np.interp(x, speed, values) + above, told, ha=ha)
