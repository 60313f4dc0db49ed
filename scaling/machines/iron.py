"""The loading that a machine's iron takes, beside that of its gap, and what heat leaves to both."""

import numpy as np

from scaling.models.iron import Iron

LEAST_PART = 0.1  # of the loading tried
STEPS = 4  # of the secant; they leave 1e-4 of the heat


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
    """

    def over(A):
        B, sigma = fields(A)
        loading = with_iron(fed.stator, iron, A, B, sigma)
        return np.log((fed.winding_budget_factor * loading**2 + heat(B, sigma)) / fed.budget)

    with np.errstate(invalid="ignore", divide="ignore"):
        A = most
        excess = over(A)
        last, before = A, excess
        A = np.where(excess > 0, A * np.exp(-excess / 2.5), A)
        for _ in range(STEPS):
            excess = over(A)
            slope = (excess - before) / np.log(A / last)
            last, before = A, excess
            A = np.minimum(A * np.exp(-excess / np.where(slope > 1.0, slope, 2.0)), most)
        return A
