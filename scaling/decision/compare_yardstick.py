"""Why not the magnet: what a magnet rotor would gain, what it would cost, and what keeps it out, in words."""

import math

from scaling.decision.compare_words import number
from scaling.decision.masses import active_masses
from scaling.ground import units
from scaling.machines import ROTORS, YARDSTICK

ZERO_CELSIUS = 273.15  # K


def words(a, b, ratios, money):
    """Return the sentences on a magnet rotor beside another kind; none for any other pair."""
    if (a.kind == YARDSTICK) == (b.kind == YARDSTICK):
        return ""
    magnet, turned = (a, False) if a.kind == YARDSTICK else (b, True)
    if not magnet.values["torque"] > 0.0:  # said already
        return ""
    times = {name: 1 / ratio if turned else ratio for name, ratio in ratios.items()}
    price = [_price(magnet, times, money)] if math.isfinite(times["torque"]) else []  # the other runs, too
    return " ".join([*price, _warmth(magnet), _standing(magnet)])


def _price(magnet, times, money):
    """Return what the magnet rotor takes, each over that of the other."""
    told = [f"{number(times[name])} times the {name}" for name in ("losses", "mass")]
    kilograms = active_masses(magnet)["rotor layer"].mass
    share = f"{units.show(kilograms, digits=3)} of {magnet.material}"
    if money is None:
        return f"The magnet rotor takes {' and '.join(told)}, {share} in it; `prices` would say its cost."
    return (
        f"The magnet rotor takes {', '.join(told)} and {number(times['cost'])} times the cost of active material, "
        f"{share} in it: {number(times['cost'] / times['torque'])} times the cost per newton metre."
    )


def _warmth(magnet):
    """Return how warm the magnets are and what their grade stands, and what is not asked of them."""
    v, si = magnet.values, magnet.brief.si
    stands = ROTORS[YARDSTICK].hottest(si) - ZERO_CELSIUS
    reached = si.ambient + v["rotor_rise"] - ZERO_CELSIUS
    if "rotor heat" in magnet.limited_by:
        warm = f"Its magnets run as hot as their grade stands, {stands:.0f} °C, and that holds it back"
    else:
        warm = f"Its magnets run at {reached:.0f} °C, the grade stands {stands:.0f} °C"
    return f"{warm}; whether currents of a start or a short circuit demagnetise them is not worked out."


def _standing(magnet):
    """Return whether the magnet rotor competes, and if not, why."""
    if not magnet.feasible:
        return f"It does not meet the brief: {magnet.reasons[0]}."
    if not magnet.brief.si.magnets_allowed:
        return "Otherwise it meets the brief, which allows no magnets (magnets_allowed): it stands as a yardstick."
    return "It meets the brief, which allows magnets."
