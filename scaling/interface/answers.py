"""What the explorer says beside its picture, from the sweep that it draws."""

from scaling.decision.bands import tie_band
from scaling.decision.choose import choose, competitors
from scaling.ground import units
from scaling.machines import YARDSTICK
from scaling.pictures.live import crossings


def answer(table, at):
    """Return the readout at size number ``at`` of a sweep: what is best, by how much, what binds, where it changes."""
    brief = table.brief
    able = [kind for kind in competitors(brief, table.merit) if table.feasible[kind][at]]
    able.sort(key=lambda kind: -table.merit[kind][at])
    size = units.show(table.rotor_diameters[at], digits=3)
    if not able:
        return {
            "best": f"none at {size}",
            "because": choose(brief, table.merit_name).reason,
            "by size": _by_size(table),
        }
    best = able[0]
    figures = {name: table.figures[best][name][at] for name in ("torque", "speed")}
    words = {
        "best": f"{best} at {size}, {_lead(table, at, able)}",
        "gives": f"{units.show(units.quantity(figures['torque'], 'N*m'), digits=3)} at "
        f"{units.show(units.quantity(figures['speed'], 'rad/s'), digits=3)}",
        "limited by": ", ".join(table.limited_by[best][at]) or "its own optimum",
        "by size": _by_size(table),
    }
    if not brief.magnets_allowed:
        times = f"{table.yardstick[at]:.3g}"
        words[f"{YARDSTICK} (yardstick)"] = f"{times} times the best of the three, brief met or not"
    return words


def _lead(table, at, able):
    """Return the margin over the second type in words."""
    if len(able) == 1:
        return "the only type that meets the brief"
    margin = table.merit[able[0]][at] / table.merit[able[1]][at]
    band = tie_band(table.brief, *able[:2], table.merit_name, table.rotor_diameters.magnitude[at])
    lead = f"{margin:.3g} times {able[1]} in {table.merit_name}"
    return lead + (", too near to call" if margin < band else "")


def _by_size(table):
    """Return which type is best from which size on, in words."""
    words = str(table.best[0]) or "none"
    found = crossings(table)
    for crossing in found:
        words += f" up to {crossing}, then {crossing.above or 'none'}"
    return words if found else f"{words} at every size"
