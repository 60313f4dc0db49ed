"""The induction rotor: a cage in iron slots, or a plain conducting sheet on smooth iron."""

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry, induction, stage
from scaling.machines.operation import Operation, near
from scaling.machines.stage import resistivity
from scaling.models.search import maximise

KIND = "induction"
SYNCHRONOUS = False
PULL_IN = None  # starts on its own torque


def candidates(brief):
    """Return the rotor conductors to try."""
    return tuple(materials.CONDUCTORS.values())


def operate(st, conductors, goal, share=1.0):
    """Return the best operating point for ``goal`` ("torque" or "power") with a share of the heat budget.

    In closed form but for the thickness of a sheet, which is searched: a thicker one conducts better, in a wider gap.
    """
    brief = st.frame.brief
    ndim = st.frame.D.ndim
    rho = np.array([resistivity(c, brief) for c in conductors]).reshape((-1,) + (1,) * ndim)
    depth = st.frame.rotor_depth
    if brief.induction_rotor == "cage":
        gap = stage.cage_gap(g=st.frame.gap, k_C=st.frame.carter)
        return _at(st, rho, depth, gap, brief.bar_share, goal, share, {})

    def sheet_gap(t):
        return stage.layered_gap(g=st.frame.gap, k_C=st.frame.carter, t=t)

    def merit(log_t):
        t = np.exp(log_t)
        point = _at(st, rho, t, sheet_gap(t), 1.0, goal, share, {})
        return point.shear * ((1.0 - point.slip) if goal == "power" else 1.0)

    shape = np.broadcast_shapes(rho.shape, depth.shape)
    high = np.broadcast_to(np.log(depth), shape)
    t = np.exp(maximise(merit, high - np.log(1e3), high))
    return _at(st, rho, t, sheet_gap(t), 1.0, goal, share, {"rotor thickness": near(t, depth)})


def _at(st, rho, t, g_m, fill, goal, share, limits):
    fr = st.frame
    heat = st.budget * share
    end = geometry.end_ring_share(phi_r=fill, k=fr.k, L=fr.L)
    conductance = induction.surface_conductance(t=t, phi_r=fill, rho=rho, e_r=end)
    G = induction.goodness(f=st.frequency, tau=fr.tau, sigma_s=conductance, g_m=g_m)
    w_A, w_B = fr.winding_heat_factor, st.core_factor
    beta_w = stage.slip_heat_ratio(v_s=st.field_speed, k=fr.k, g_m=g_m, w_A=w_A)
    beta_c = stage.core_heat_ratio(w_B=w_B, w_A=w_A, k=fr.k, g_m=g_m)
    chi = stage.loading_ratio(q_b=heat, w_A=w_A, B_l=fr.field_limit, k=fr.k, g_m=g_m)
    with np.errstate(invalid="ignore"):
        edge = np.nan_to_num(induction.field_limited_slip_goodness(chi=chi, beta_w=beta_w, beta_c=beta_c, G=G))
    if goal == "torque":
        free = induction.best_torque_slip_goodness(beta_w=beta_w, beta_c=beta_c, G=G)
        x = np.maximum(free, edge)
    else:
        free = induction.best_power_slip_goodness(beta_w=beta_w, beta_c=beta_c, G=G)
        x = np.where(free >= edge, free, np.minimum(edge, G / 2))
    x = np.clip(x, st.slip_low * G, st.slip_high * G)
    A, field_binds = _loading(x, heat, w_A, beta_w, beta_c, G, fr, g_m)
    shear = _shear(A, x, fr, g_m)
    best = np.clip(np.maximum(1.0, np.where(field_binds, x, 1.0)), 0.0, G)
    at_best = np.minimum(A, _field_loading(best, fr, g_m))
    at_rest = np.minimum(A * fr.brief.starting_current_ratio, _field_loading(G, fr, g_m))
    slip = x / G
    limits = limits | {
        "temperature rise": ~field_binds,
        "gap field": field_binds & ~fr.yoke_limits,
        "yoke field": field_binds & fr.yoke_limits,
        "slip limit": near(slip, fr.brief.slip_limit),
    }
    return Operation(
        loading=A,
        gap_field=induction.induction_gap_field(A=A, k=fr.k, g_m=g_m, x=x),
        shear=np.where(st.slip_low <= st.slip_high, shear, np.nan),
        slip=slip,
        response=induction.induction_response(x=x),
        magnetic_gap=g_m,
        thickness=t,
        maximum_shear=np.maximum(shear, _shear(at_best, best, fr, g_m)),
        starting_shear=_shear(at_rest, G, fr, g_m),
        goodness=G,
        limits=limits,
    )


def _field_loading(x, fr, g_m):
    """Return the loading at which the gap field reaches its limit."""
    return fr.field_limit / induction.induction_gap_field(A=1.0, k=fr.k, g_m=g_m, x=x)


def _loading(x, heat, w_A, beta_w, beta_c, G, fr, g_m):
    by_heat = np.sqrt(heat / induction.induction_heat(A=1.0, w_A=w_A, beta_w=beta_w, beta_c=beta_c, G=G, x=x))
    by_field = _field_loading(x, fr, g_m)
    return np.minimum(by_heat, by_field), by_field < by_heat * (1.0 - 1e-9)


def _shear(A, x, fr, g_m):
    return stage.shear_stress(A=A, k=fr.k, g_m=g_m, Lambda=induction.induction_response(x=x))
