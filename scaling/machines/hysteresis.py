"""The hysteresis rotor: a ring of semi-hard material on a non-magnetic hub."""

import functools
from dataclasses import replace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, supply
from scaling.laws import hysteresis as law
from scaling.laws import loop as loop_law
from scaling.laws import stator as stator_laws
from scaling.machines.fed import pull_out_reserve, stands, torque_asked, with_surface
from scaling.machines.iron import with_iron
from scaling.machines.operation import MOST, VOLTAGE, Loads, Operation, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.models.loops import energy, fitted, in_phase_flux_density, number, tabulated
from scaling.models.search import root

STEEP = 2.5  # about what the logarithm of the heat gains with that of the field
LOWEST = 1e3  # part of what the heat alone allows at which a ring as deep as may be is within all limits
BOUNDS = {"low", "full", "both", "top"}
HAIR = 1e-5  # of heat over its budget that still is within it: what the bounds of the search are good for
OVER_HEAT, OVER_FIELD = 1e-3, 2e-4  # what three corrections of a thickness may leave over the limits
LEAST = 1e-3  # thinnest ring tried, as a part of the deepest
SECANTS = 2  # after a first step; the iron bends what is nearly straight without it
THINNER = 6.0  # times thinner, or thicker, that rings are tried by merits that may spare
LOWEST_FIELD = 0.3  # of the coercivity: below it no loop is worth its field


def candidates(si):
    """Return the ring materials to try: oriented ones if the brief lets them or names one."""
    wanted = materials.LOOP_MATERIALS.values()
    return tuple(m for m in wanted if si.oriented_rings or not m.oriented or m.name == si.rotor_material)


def properties(material, si):
    """Return what a material contributes: its loop, its density, and the rim speed a ring of it stands."""
    made = {"number": number(material), "density": materials.STRENGTHS[material.strength].density}
    return fitted(material) | made | {"rim_speed": stands(material.strength, si)}


def free(si, sparing):
    """Return what is searched beside the field: how thin the ring is, where a merit may want less than the thickest."""
    return {"thickness": 0.5} if sparing else {}


def rim_speed(stator, loop):
    """Return the rim speed that the ring stands."""
    return loop["rim_speed"]


def operate(fed, loop, objective, search_fraction, coarse=False):
    """Return (fed stator, operation); the fraction sets the field in the ring, as an average over its thickness.

    For torque and power the ring is the thickest that heat, gap field and depth allow, for efficiency the best one, or
    what the brief's torque needs if that is more. ``coarse`` leaves it at the laws of a thin ring and gap.
    """
    fed = with_surface(fed, ROTOR)
    stator = fed.stator
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        bounds = {name: loop[name] for name in BOUNDS & set(loop)}
        loop = {name: value for name, value in loop.items() if name not in BOUNDS}
        H = _field(bounds or search_bounds(fed, loop, objective, coarse), objective, search_fraction)
        ring = _Ring(fed, loop, H, coarse)
        t = ring.thickest()
        if "thickness" in loop:
            t = np.minimum(t, _spared(fed, ring, t, objective) * THINNER ** (2 * loop["thickness"] - 1))
        A, B = ring.driven(t)
        A = A if coarse else np.where(ring.holds(t, A, B), A, np.nan)
        ideal = None if coarse else law.layered_ring_loading(**ring._made(t))
        driving = law.steinmetz_shear_stress(t=stator.volume_thickness(t), W_h=ring.field["W_h"], tau=stator.tau)
        # The backward wave's loops lag as far as they can, whatever the forward one leaves in reserve.
        largest = supply.opposed_hysteresis_stress(sigma_t=ring.reserve * driving, c_r=stator.backward)
        shear = np.where(np.isfinite(A), driving - (ring.reserve * driving - largest), np.nan)
        response = shear / stator_laws.shear_stress(A=A, k=stator.k, g_m=stator.slotted_gap, Lambda=1.0)
        gamma = loop_law.loop_angle(**ring.field)
    made = Operation(
        loading=A,
        ideal_loading=ideal,
        gap_field=B,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=response,
        magnetic_gap=stator.slotted_gap,
        thickness=t,
        breakdown=lambda fixed_supply: largest,
        starting=lambda: (largest, A),
        loads=lambda fixed_supply: _loads(fed, loop, made, ring.reserve, fixed_supply),
        off_design=lambda slip, fixed_supply: (largest * np.where(slip < 0.0, -1.0, 1.0), A + 0.0 * slip),
        backward_field=stator.backward * B,
        backward_shear=driving - shear,
        load_angle=gamma,
        ring_field=H,
        limits={
            **stator.forward_field_limit.held_by(near(B, stator.forward_field_limit.value)),
            "pull-out reserve": np.broadcast_to(ring.reserve > 1.0, shear.shape),
            "rotor thickness": near(t, stator.rotor_depth),
        },
    )
    return fed, made


def _loads(fed, loop, made, reserve, fixed_supply):
    """Return the Loads: on a fixed supply the ring keeps its field and lags as the load asks, on a drive as it can.

    The place is the share of the loop's energy that the lag brings out, or the ring's field over the rated one.
    """
    stator, t = fed.stator, made.thickness

    def at(H, share):
        ring = _Ring(fed, loop, H, False, 1.0 / share)
        A, B = ring.driven(t)
        driving = law.steinmetz_shear_stress(t=stator.volume_thickness(t), W_h=ring.field["W_h"], tau=stator.tau)
        brake = driving / share - supply.opposed_hysteresis_stress(sigma_t=driving / share, c_r=stator.backward)
        shear = driving - brake
        return replace(
            made,
            loading=A,
            ideal_loading=law.layered_ring_loading(**ring._made(t)),
            gap_field=B,
            shear=shear,
            slip=np.zeros(shear.shape),
            response=shear / stator_laws.shear_stress(A=A, k=stator.k, g_m=stator.slotted_gap, Lambda=1.0),
            backward_field=stator.backward * B,
            backward_shear=brake,
            load_angle=loop_law.loop_angle(**ring.field),
            ring_field=H + np.zeros(shear.shape),
            limits={},
        )

    H = made.ring_field
    if fixed_supply:
        rule = f"{VOLTAGE}, and so about the field along the ring; its lag follows the load"
        return Loads(1.0 / reserve, 1.0, lambda share: at(H, share), rule)
    rule = "the drive keeps its frequency and the ring's lag as large as it can be; the current follows the load"
    return Loads(1.0, MOST, lambda more: at(more * H, 1.0 / reserve), rule)


def _spared(fed, ring, thickest, objective):
    """Return the thickness about which a sparing merit is searched: of ideal iron the most efficient, or the thickest.

    It is at least what the brief's torque needs.
    """
    if objective is not Objective.EFFICIENCY:
        return thickest
    stator = fed.stator
    q_f = fed.brake_loss
    kept = fed.frequency * (1.0 - ring.reserve * stator.backward**2)
    rolled, costs = ring.thin
    wanted = rolled * law.most_efficient_thickness(q_f=q_f, f=kept, **costs | ring.losses)
    asked = law.thickness_for_shear_stress(sigma_t=_shear_asked(fed), W_h=ring.field["W_h"], tau=stator.tau)
    return np.maximum(wanted, stator.thickness_of_volume(asked))


def search_bounds(fed, loop, objective, coarse):
    """Return {name: logarithm of a field} of the fields that `operate` divides its fraction by.

    A ring as deep as may be allows the field `full`; up to there torque rises with the field. A thinner one allows
    more, until heat and gap field are both full at `both`; no ring has more than `top`. `low` is where the loop starts
    to open. Coarse ones among the properties are where the others start.
    """
    if not coarse and "full" not in loop:
        loop = loop | search_bounds(fed, loop, objective, True)
    fed = with_surface(fed, ROTOR)
    stator = fed.stator
    costs = fed.loading_budget_factor + fed.both_waves_budget_factor * VALUES["mu_0"] ** 2

    def at_depth(log_H, coarse):
        B, heat = _Ring(fed, loop, np.exp(log_H), coarse).used(stator.rotor_depth)
        return np.log(np.maximum(heat / fed.budget, (B / stator.forward_field_limit.value) ** 2))

    def at_field_limit(log_H, coarse):
        ring = _Ring(fed, loop, np.exp(log_H), coarse)
        return np.log(ring.used(ring.filling())[1] / fed.budget)

    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        free = np.minimum(np.sqrt(fed.budget / costs), stator.forward_field_limit.value / VALUES["mu_0"])
        _, radius = stator.deepest_ring
        top = np.log(free / radius) - stator.k * stator.slotted_gap - 1e-9
        full = _root(at_depth, top - np.log(LOWEST), top, coarse, loop.get("full"), steps=4)
        if objective not in (Objective.TORQUE, Objective.POWER):
            return {"low": np.minimum(np.log(LOWEST_FIELD * loop["H_c"]), full - 1.0), "full": full, "top": top}
        return {
            "full": full,
            "both": np.maximum(_root(at_field_limit, full, top, coarse, loop.get("both"), steps=2), full),
            "top": top,
        }


def _field(bounds, objective, fraction):
    """Return the field of the ring at a fraction, its logarithm piece by piece in proportion.

    Torque and power want `full` (0), `both` (1/2) or what lies between and beyond; other merits want less, from `low`
    (0) over `full` (2/3).
    """
    if objective in (Objective.TORQUE, Objective.POWER):
        (a, b, c), at = (bounds[name] for name in ("full", "both", "top")), 1 / 2
    else:
        (a, b, c), at = (bounds[name] for name in ("low", "full", "top")), 2 / 3
    return np.exp(np.where(fraction < at, a + (b - a) * (fraction / at), b + (c - b) * ((fraction - at) / (1 - at))))


def _root(excess, low, top, coarse, known, steps):
    """Return where a nearly straight function is zero: by the laws of the thin ring, then by secants."""
    at = root(lambda log_H: excess(log_H, True), low, top, steps=steps) if known is None else known
    if coarse:
        return at
    first = excess(at, False)
    last, other = at, np.clip(at - first / STEEP, low, top)
    for _ in range(SECANTS):
        second = excess(other, False)
        better = other - second * (other - last) / (second - first)
        last, first, other = other, second, np.clip(np.where(np.isfinite(better), better, other), low, top)
    return other


class _Ring:
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
        self.reserve = m = pull_out_reserve(stator.si, ROTOR.reserve) if reserve is None else reserve
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

    def _made(self, t):
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
        made, stator = self._made(t), self.fed.stator
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
            made = self._made(t)
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


def _shear_asked(fed):
    """Return the shear stress that meets the torques a brief asks for, with a hair to spare."""
    stator, si = fed.stator, fed.stator.si
    at_rest = 0.0 if si.starting_torque is None else si.starting_torque
    torque = np.maximum(torque_asked(si, fed.speed) + fed.brake_torque, at_rest + fed.friction_torque)
    return torque * (1 + 1e-9) / stator.torque(1.0)


def active_mass(point):
    """Return the mass of the ring [kg]."""
    volume = point.stator.volume_thickness(point.operation.thickness)
    return geometry.layer_mass(rho_b=point.properties["density"], phi_r=1.0, t_v=volume, S_b=point.stator.area)


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    return f"the loop of {design.material} lags by {np.degrees(design.values['load_angle']):.0f}°"


ROTOR = Rotor(
    kind="hysteresis",
    synchronous=True,
    reserve=1.35,
    torque_cycles_per_turn=None,  # the same torque from rest to synchronism
    full_fraction_is_best=False,  # the field along the ring is searched
    surface=materials.SOLID_SURFACES["semi-hard ring"],
    surface_is_solid=True,
    look=Look("#e76300", "s", "--"),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
    active_mass=active_mass,
    search_bounds=search_bounds,
    free=free,
)
