"""The salient reluctance rotor."""

import numpy as np

from scaling.laws import reluctance, stage
from scaling.machines.operation import Operation

KIND = "reluctance"
SYNCHRONOUS = True
PULL_IN = 0.5  # smallest pull-in number on a fixed supply; see laws.start
CLOSED = True  # part = 1 is best for torque and power


def candidates(brief):
    """Return the rotor materials to try: there is one, core sheet."""
    return (None,)


def properties(material, brief):
    """Return what a material contributes: nothing, its iron is ideal."""
    return {}


def operate(st, _material, goal, part):
    """Return (stage, operation) in closed form; ``part`` sets the load angle where the field limit binds.

    From 0, the angle of the largest torque at a given heat, to 1, the angle at which heat and field limit are both
    full: the largest torque. Torque and power want the same at synchronous speed, so ``goal`` does not matter.
    """
    fr = st.frame
    heat = st.budget
    g_m = fr.stator_gap
    r = reluctance.interpolar_permeance(k=fr.k, g_m=g_m, h_p=fr.rotor_depth)
    P_d = reluctance.d_axis_permeance(alpha=fr.brief.pole_arc, r=r)
    P_q = reluctance.q_axis_permeance(alpha=fr.brief.pole_arc, r=r)
    w_A, w_B = fr.winding_heat_factor, st.core_factor
    beta_c = stage.core_heat_ratio(w_B=w_B, w_A=w_A, k=fr.k, g_m=g_m)
    chi = stage.loading_ratio(q_b=heat, w_A=w_A, B_l=fr.field_limit, k=fr.k, g_m=g_m)
    free = reluctance.best_load_angle(beta_c=beta_c, P_d=P_d, P_q=P_q)
    steepest = P_d / P_q
    with np.errstate(invalid="ignore", divide="ignore"):
        edge = reluctance.field_limited_load_angle(chi=chi, beta_c=beta_c, P_d=P_d, P_q=P_q)
    # No root: either the heat runs out first (the free angle holds) or the field limit always does (the steepest).
    always = (chi**2 - beta_c) * P_q**2 >= 1.0
    edge = np.where(always, steepest, np.nan_to_num(edge, nan=0.0, posinf=0.0))
    largest = np.where(edge > free, np.minimum(edge, steepest), free)
    tan_delta = free * (largest / free) ** part
    unit = reluctance.reluctance_gap_field(A=1.0, k=fr.k, g_m=g_m, P_d=P_d, P_q=P_q, tan_delta=tan_delta)
    by_heat = np.sqrt(heat / (w_A + w_B * unit**2))
    by_field = fr.field_limit / unit
    A = np.minimum(by_heat, by_field)
    field_binds = by_field <= by_heat * (1.0 + 1e-6)
    response = reluctance.reluctance_response(P_d=P_d, P_q=P_q, tan_delta=tan_delta)
    shear = stage.shear_stress(A=A, k=fr.k, g_m=g_m, Lambda=response)
    return st, Operation(
        loading=A,
        gap_field=A * unit,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=response,
        magnetic_gap=g_m,
        thickness=fr.rotor_depth,
        maximum_shear=shear,
        starting_shear=shear,
        load_angle=np.arctan(tan_delta),
        saliency=steepest,
        limits={
            "gap field": field_binds & ~fr.yoke_limits,
            "yoke field": field_binds & fr.yoke_limits,
        },
    )
