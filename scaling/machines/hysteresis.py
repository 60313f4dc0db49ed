"""The hysteresis rotor: a ring of semi-hard material on a non-magnetic hub."""

from dataclasses import replace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, supply
from scaling.laws import hysteresis as law
from scaling.laws import loop as loop_law
from scaling.laws import stator as stator_laws
from scaling.machines.fed import stands, torque_asked, with_surface
from scaling.machines.hysteresis_ring import RESERVE, Ring
from scaling.machines.operation import MOST, VOLTAGE, Loads, Operation, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.models.loops import fitted, number
from scaling.models.search import root

STEEP = 2.5  # about what the logarithm of the heat gains with that of the field
LOWEST = 1e3  # part of what the heat alone allows at which a ring as deep as may be is within all limits
BOUNDS = {"low", "full", "both", "top"}
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
        ring = Ring(fed, loop, H, coarse)
        t = ring.thickest()
        if "thickness" in loop:
            t = np.minimum(t, _spared(fed, ring, t, objective) * THINNER ** (2 * loop["thickness"] - 1))
        A, B = ring.driven(t)
        A = A if coarse else np.where(ring.holds(t, A, B), A, np.nan)
        ideal = None if coarse else law.layered_ring_loading(**ring.made(t))
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
        weaker=lambda part, shear: _weaker(fed, loop, H * part, t, shear),
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
        ring = Ring(fed, loop, H, False, 1.0 / share)
        A, B = ring.driven(t)
        driving = law.steinmetz_shear_stress(t=stator.volume_thickness(t), W_h=ring.field["W_h"], tau=stator.tau)
        brake = driving / share - supply.opposed_hysteresis_stress(sigma_t=driving / share, c_r=stator.backward)
        shear = driving - brake
        return replace(
            made,
            loading=A,
            ideal_loading=law.layered_ring_loading(**ring.made(t)),
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


def _weaker(fed, loop, H, t, shear):
    """Return (loading, gap field, shear stress, largest shear stress) of a ring at another field, of one direction."""
    stator = fed.stator
    with np.errstate(invalid="ignore", divide="ignore"):
        whole = Ring(fed, loop, H, False, 1.0)
        largest = law.steinmetz_shear_stress(t=stator.volume_thickness(t), W_h=whole.field["W_h"], tau=stator.tau)
        if shear is None:
            return *whole.driven(t), largest, largest
        held = Ring(fed, loop, H, False, np.where(largest >= shear, largest / shear, np.nan))
        return *held.driven(t), shear + 0.0 * largest, largest


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
        B, heat = Ring(fed, loop, np.exp(log_H), coarse).used(stator.rotor_depth)
        return np.log(np.maximum(heat / fed.budget, (B / stator.forward_field_limit.value) ** 2))

    def at_field_limit(log_H, coarse):
        ring = Ring(fed, loop, np.exp(log_H), coarse)
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
    reserve=RESERVE,
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
