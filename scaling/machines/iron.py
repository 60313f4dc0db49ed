"""The loading that a machine's iron takes, beside that of its gap, and what heat leaves to both."""

import numpy as np

from scaling.models.iron import Iron
from scaling.models.search import chosen

LEAST_PART = 0.1  # of the loading tried
LEAST_STEEP = 1.6  # logarithm of the heat over that of the loading: 2 but for iron of a small field
STEEP = 6.0  # the same, from which halving finds what a parabola does not: sheet at 2.2 T and more
HALVINGS = 5
PLACES = np.linspace(0.0, 1.0, 5)  # of the points


def iron_of(stator, **rotor):
    """Return the iron of stator and rotor.

    ``rotor`` says of the rotor's what `scaling.models.iron` takes: diameter D, depth t of what lies round its core,
    share phi_r of bars between teeth; nothing of a rotor without iron.
    """
    si = stator.si
    return Iron(
        tau=stator.tau, D_i=stator.bore, d_s=stator.slot_depth, y=stator.yoke, phi_t=si.tooth_share,
        k_s=si.stacking_factor, **rotor,
    )  # fmt: skip


def with_iron(stator, iron, A, B, sigma):
    """Return the loading of a machine whose iron is not ideal, from that of ideal iron at a field and shear stress.

    The iron's share lies along the field, as what magnetises the gap does; what makes torque lies across it.
    """
    across = 2 * sigma / B
    along = np.sqrt(np.maximum(A**2 - across**2, 0.0))
    return np.hypot(across, along + stator.k * iron.ampere_turns(B))


def part_of_loading(properties):
    """Return the part of the loading allowed by heat and field limit, at its place; all where it is not searched."""
    return LEAST_PART ** (1.0 - properties.get("loading", 1.0))


def within_heat(fed, iron, most, fields, heat):
    """Return the loading of ideal iron, at most ``most``, whose heat with the iron's loading stays within the budget.

    ``fields(A)`` returns gap field and shear stress, ``heat(B, sigma)`` what else takes of the budget, per gap area.
    The logarithm of the heat is nearly straight in that of the loading, three to four times as steep where iron
    saturates: a row of points down to where it is within the budget for certain, a secant between two of them, and a
    parabola leave 1e-4 of the heat. Where limits of the field lie beyond saturation it is halved instead.
    """

    def over(x):
        A = most * np.exp(x)
        B, sigma = fields(A)
        loading = with_iron(fed.stator, iron, A, B, sigma)
        return np.log((fed.loading_budget_factor * loading**2 + heat(B, sigma)) / fed.budget)

    with np.errstate(invalid="ignore", divide="ignore"):
        excess = over(0.0)
        first = np.maximum(excess, 0.0)
        x = -first / LEAST_STEEP * PLACES.reshape(-1, *(1,) * first.ndim)
        heats = np.concatenate([first[None], over(x[1:])])
        low = np.maximum(np.argmax(heats <= 0.0, axis=0), 1)
        (x_1, f_1), (x_0, f_0) = ((chosen(x, at), chosen(heats, at)) for at in (low - 1, low))
        x_s = x_0 - f_0 * (x_1 - x_0) / (f_1 - f_0)
        f_s = over(x_s)
        # The parabola of x over the heat through the three, at none over.
        bent = (x_1 - x_s) / (f_1 - f_s) - (x_s - x_0) / (f_s - f_0)
        best = x_s - f_s * (x_s - x_0) / (f_s - f_0) + f_s * f_0 * bent / (f_1 - f_0)
        found = np.clip(np.where(np.isfinite(best), best, x_s), x_0, x_1)
        steep = (excess > 0.0) & (f_1 - f_0 > STEEP * (x_1 - x_0))
        if np.any(steep):
            found = np.where(steep, _halved(over, x_0, x_1, f_0, f_1), found)
        return most * np.exp(np.where(excess > 0.0, found, 0.0))


def _halved(over, low, high, at_low, at_high):
    """Return where a rising function passes zero: its bracket halved, then a secant."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        found = over(middle)
        above = found > 0.0
        low, at_low = np.where(above, low, middle), np.where(above, at_low, found)
        high, at_high = np.where(above, middle, high), np.where(above, found, at_high)
    return low - at_low * (high - low) / (at_high - at_low)
