"""A hysteresis ring: what drives it, and how thick it may be."""

import functools

import numpy as np

from scaling.ground.constants import VALUES
from scaling.laws import hysteresis as law
from scaling.laws import supply
from scaling.machines.fed import pull_out_reserve
from scaling.machines.iron import with_iron
from scaling.models.loops import energy, in_phase_flux_density, tabulated

RESERVE = 1.35  # largest torque over the rated one, on a fixed supply
HAIR = 1e-5  # of heat over its budget that still is within it: what the bounds of the search are good for
OVER_HEAT, OVER_FIELD = 1e-3, 2e-4  # what three corrections of a thickness may leave over the limits
LEAST = 1e-3  # thinnest ring tried, as a part of the deepest


class Ring:
    """Rings of any thickness at a mean field: what drives them, and how thick they may be.

    On a fixed supply the torque asked of a ring is the ``reserve``-th part of what its loop gives: it lags by less, at
    the same field and peak flux density. The laws are those of the unrolled ring, whose field is weaker by the
    root-mean-square radius over that of the bore. Where they are solved for the thickness, that radius is that of the
    ring which gap field and heat about allow.
    """

    def __init__(self, fed, loop, H, coarse, reserve=None):
        stator = fed.stator
        self.fed, self.coarse = fed, coarse
        if coarse:
            B_i, W_h = tabulated(H, loop["number"])
        else:
            B_i, W_h = in_phase_flux_density(H, loop), energy(H, loop)
        self.reserve = m = pull_out_reserve(stator.si, RESERVE) if reserve is None else reserve
        across = W_h / (np.pi * H)
        along = np.sqrt(B_i**2 + across**2 * (1 - 1 / m**2))
        self.field = {"H": H, "B_i": along + VALUES["mu_0"] * H, "W_h": W_h / m}
        self.gap = {"k": stator.k, "g_m": stator.slotted_gap}
        loops = m * supply.backward_loops(f=fed.frequency, c_r=stator.backward)  # which lag as far as they can
        self.losses = {"w_A": fed.loading_heat_factor, "w_B": fed.both_waves_heat_factor, "f_b": loops}
        self.factors = {
            "w_A": fed.loading_budget_factor, "w_B": fed.both_waves_budget_factor, "f_b": fed.warmth.rotor * loops
        }  # fmt: skip

    @functools.cached_property
    def thin(self):
        """A ring's thickness over that of its unrolled layer, and what the laws of a thin ring take.

        A deep ring has a weaker field unrolled, and may be feasible where a thin one is not: the radius is first that
        of the deepest, then that of the ring so found.
        """
        stator, depth = self.fed.stator, self.fed.stator.rotor_depth
        unrolled, radius = stator.deepest_ring
        costs = self.factors | self.gap | self._unrolled(radius)
        if stator.is_plane:
            return 1.0, costs
        allowed = _solved(law.field_limited_thickness, costs, B_l=stator.forward_field_limit.value)
        if not self.coarse:
            allowed = np.fmin(allowed, _solved(law.heat_limited_thickness, costs, q_b=self.fed.budget))
        t = np.clip(depth / unrolled * allowed, LEAST * depth, depth)
        t_u, radius = stator.ring(t)
        return t / t_u, costs | self._unrolled(radius)

    def _unrolled(self, radius):
        """Return the field of the unrolled ring, ``radius`` over that of the bore."""
        H, B_i, W_h = self.field.values()
        return {"H": radius * H, "B_i": radius * B_i, "W_h": radius**2 * W_h}

    @functools.cached_property
    def by_field(self):
        """The thickness that the gap field allows, by the law of the thin ring."""
        return self._thin(law.field_limited_thickness, B_l=self.fed.stator.forward_field_limit.value)

    def made(self, t):
        """Return the unrolled ring, as the laws take it."""
        stator = self.fed.stator
        t_u, radius = stator.deepest_ring if t is stator.rotor_depth else stator.ring(t)
        return {"t": t_u, **self.gap, **self._unrolled(radius)}

    def driven(self, t):
        """Return (loading, gap field) of a ring."""
        if self.coarse:
            B, heat = self.used(t)
            heat = heat - self.factors["w_B"] * B**2 - self._backward_heat(t)
            return np.sqrt(heat / self.factors["w_A"]), B
        made, stator = self.made(t), self.fed.stator
        A, B = law.layered_ring_loading(**made), law.layered_ring_gap_field(**made)
        sigma = law.steinmetz_shear_stress(t=stator.volume_thickness(t), W_h=self.field["W_h"], tau=stator.tau)
        return with_iron(stator, stator.own_iron, A, B, sigma), B

    def _backward_heat(self, t):
        """Return what the loops of the backward wave take of the budget per bore area."""
        if not np.any(self.factors["f_b"]):
            return 0.0
        return self.factors["f_b"] * self.field["W_h"] * self.fed.stator.volume_thickness(t)

    def used(self, t):
        """Return (gap field, what winding, core and backward wave take of the budget per bore area) of a ring."""
        if self.coarse:
            made = self.made(t)
            return law.thin_ring_gap_field(**made), law.ring_heat(**self.factors, **made)
        A, B = self.driven(t)
        return B, self.factors["w_A"] * A**2 + self.factors["w_B"] * B**2 + self._backward_heat(t)

    def holds(self, t, A, B):
        """Return where a ring keeps to heat and field: one that magnetises the gap itself may not for any thickness."""
        limit = self.fed.stator.forward_field_limit.value
        heat = self.factors["w_A"] * A**2 + self.factors["w_B"] * B**2 + self._backward_heat(t)
        return (heat <= (1 + OVER_HEAT) * self.fed.budget) & ((1 + OVER_FIELD) * limit >= B)

    def filling(self):
        """Return the thickness that depth and gap field allow."""
        depth = self.fed.stator.rotor_depth
        t = np.minimum(self.by_field, depth)
        for _ in range(0 if self.coarse else 2):
            B, _ = self.used(t)
            t = np.minimum(self._by_field(t, B), depth)
        return t

    def thickest(self):
        """Return the thickness that depth, gap field and heat allow: by the laws of the thin ring, then corrected.

        Corrections shrink in proportion; after two of them the rest of the series is added (Aitken), and corrected.
        Whether the deepest ring fits is asked first: the laws know no ring where a thin one is not feasible.
        """
        depth, by_heat = self.fed.stator.rotor_depth, self._thin(law.heat_limited_thickness, q_b=self.fed.budget)

        def corrected(t):
            B, heat = self.used(t)
            by_law = self._thin(law.heat_limited_thickness, q_b=heat)
            return np.minimum(np.minimum(by_heat * _share(t, by_law), self._by_field(t, B)), depth)

        B, heat = self.used(depth)
        fits = (heat <= (1 + HAIR) * self.fed.budget) & (self.fed.stator.forward_field_limit.value >= B)
        t = np.minimum(np.minimum(by_heat, self.by_field), depth)
        if self.coarse:
            return np.where(fits, depth, t)
        once = corrected(t)
        twice = corrected(once)
        rest = (twice - once) ** 2 / ((once - t) - (twice - once))
        t = corrected(np.clip(np.where(np.isfinite(rest), twice + rest, twice), LEAST * depth, depth))
        return np.where(fits, depth, t)

    def _by_field(self, t, B):
        """Return the thickness that the gap field allows, corrected by a ring t thick that has the gap field B."""
        return self.by_field * _share(t, self._thin(law.field_limited_thickness, B_l=B))

    def _thin(self, formula, **more):
        rolled, costs = self.thin
        return rolled * _solved(formula, costs, **more)


def _solved(formula, quantities, **more):
    """Return a law's value for those of the quantities that it takes, and more."""
    return formula(**more, **{name: value for name, value in quantities.items() if name in formula.args})


def _share(t, by_law):
    """Return the thickness over that which the law of the thin ring gives for the same; 1 where it has none."""
    return np.where(by_law > 0, t / by_law, 1.0)
