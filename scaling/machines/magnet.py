"""The permanent magnet rotor, the yardstick: radial surface magnets and a supply that keeps the load angle."""

import numpy as np

from scaling.ground import materials
from scaling.laws import magnet, strength
from scaling.laws import stator as stator_laws
from scaling.machines.operation import Operation, in_step
from scaling.machines.rotor import Look, Rotor
from scaling.machines.stator import with_surface

LEAST_SHARE = 1e-6  # of the heat budget, at search fraction 0


def candidates(si):
    """Return the magnet material to use."""
    return (materials.MAGNETS[si.magnet],)


def properties(material, si):
    """Return what a material contributes: its remanence and density."""
    return {"B_r": material.remanence, "density": materials.STRENGTHS[material.name].density}


def rim_speed(stator, grade):
    """Return the rim speed that glue holds the magnets at; a band round them stands more."""
    c_v = strength.bond_coefficient(t=stator.rotor_depth, D=stator.D)
    return strength.rim_speed_limit(
        c_v=c_v, rho_b=grade["density"], sigma_p=materials.BOND_STRENGTH, n_o=stator.si.overspeed
    )


def operate(fed, grade, objective, search_fraction, coarse=False):
    """Return (fed stator, operation): the largest torque of the share of the heat budget that the fraction sets.

    Less magnet field than the thickest magnet gives means a narrower pole arc.
    """
    fed = with_surface(fed, *ROTOR.surface)
    stator = fed.stator
    heat = fed.budget * LEAST_SHARE ** (1.0 - search_fraction)
    gap = {"k": stator.k, "t": stator.unrolled(stator.rotor_depth), "g_m": stator.slotted_gap}
    most = _widest(stator, grade)
    g_m = stator_laws.layered_gap(g=stator.plane_gap, k_C=stator.carter, t=gap["t"])
    per_loading = magnet.armature_field(A=1.0, **gap)
    with np.errstate(invalid="ignore", divide="ignore"):
        B_m, A, field_binds = _best(fed, gap, heat, per_loading, most)
    gap_field = np.hypot(B_m, per_loading * A)
    shear = magnet.magnet_shear_stress(B_m=B_m, A=A)
    return fed, Operation(
        loading=A,
        gap_field=gap_field,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=shear / stator_laws.shear_stress(A=A, k=stator.k, g_m=g_m, Lambda=1.0),
        magnetic_gap=g_m,
        thickness=stator.rotor_depth,
        breakdown=lambda: shear,
        starting=lambda: shear,
        off_design=in_step(shear, A),
        backward_field=stator.backward * per_loading * A,
        load_angle=np.full(shear.shape, np.pi / 2),
        limits={
            **stator.held_by(field_binds),
            "rotor thickness": most * (1 - 1e-9) <= B_m,
        },
    )


def _widest(stator, grade):
    """Return the field of magnets of the largest arc at the bore."""
    made = {"B_r": grade["B_r"], "alpha": stator.si.magnet_arc, "t": stator.rotor_depth, "g_m": stator.slotted_gap}
    if stator.is_plane:
        return magnet.magnet_gap_field(k=stator.k, **made)
    return magnet.round_magnet_gap_field(p=stator.p, D=stator.D, D_i=stator.bore, **made)


def _best(fed, gap, heat, per_loading, most):
    """Return (magnet field, loading, where the field limit binds) of the largest torque inside heat and field limit.

    Torque is a product of the two: its best point lies on one limit's own optimum or on their crossing.
    """
    limit = fed.stator.forward_field_limit
    w_A, w_B = fed.winding_heat_factor + fed.both_waves_heat_factor * per_loading**2, fed.field_heat_factor

    def by_heat(B_m):
        return magnet.heat_limited_magnet_loading(q_b=heat, w_A=w_A, w_B=w_B, B_m=B_m)

    def by_field(B_m):
        return np.nan_to_num(magnet.field_limited_magnet_loading(B_l=limit, B_m=B_m, **gap))

    at_heat = magnet.heat_best_magnet_field(q_b=heat, w_B=w_B)
    at_field = magnet.field_best_magnet_field(B_l=limit)
    crossing = magnet.heat_and_field_magnet_field(q_b=heat, w_A=w_A, w_B=w_B, B_l=limit, **gap)
    field_rules = by_field(at_field) <= np.nan_to_num(by_heat(at_field))
    B_m = np.where(by_heat(at_heat) <= by_field(at_heat), at_heat, np.where(field_rules, at_field, crossing))
    B_m = np.minimum(B_m, most)
    heat_allows, field_allows = by_heat(B_m), magnet.field_limited_magnet_loading(B_l=limit, B_m=B_m, **gap)
    return B_m, np.minimum(heat_allows, field_allows), field_allows <= heat_allows * (1 + 1e-9)


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    return f"magnets keep a gap field of {design.gap_field_peak.magnitude:.2g} T without any current"


ROTOR = Rotor(
    kind="magnet",
    synchronous=True,
    torque_cycles_per_turn=1.0,
    full_fraction_is_best=True,
    surface=materials.SOLID_SURFACES["magnet"],
    look=Look("#832db6", "D", ":"),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
)
