"""The reluctance rotor: plain salient poles, or iron cut by flux barriers."""

from types import SimpleNamespace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import reluctance, saliency, stage, strength, surface
from scaling.machines.operation import Operation, in_step, near
from scaling.machines.stage import sheet_stands, stands, with_surface
from scaling.models.search import maximise

KIND = "reluctance"
SYNCHRONOUS = True
SWINGS = 2.0  # of the torque in a turn of the field: a fixed supply has to pull the rotor in
SURFACE = materials.SOLID_SURFACES["steel"]
CLOSED = True  # part = 1 is best for torque and power
FORMS = {"salient": "sheet, salient poles", "flux barriers": "sheet, flux barriers"}
FEWEST = 2  # barriers per pole and pole pairs for which the laws of the barriers hold
OTHER = 4.0  # ribs want another load angle, up to this factor in its tangent
STEPS = 20  # leave 1e-4 of that range


def candidates(brief):
    """Return the rotor forms to try, as named materials."""
    wanted = FORMS if brief.reluctance_rotor == "best" else (brief.reluctance_rotor,)
    return tuple(SimpleNamespace(name=FORMS[form]) for form in wanted)


def properties(form, brief):
    """Return what a form contributes: whether it has barriers."""
    return {"barred": form.name == FORMS["flux barriers"]}


def rim_speed(fr, form):
    """Return the rim speed that sheet and ribs stand; ductile ribs, which yield before they break."""
    brief, (rib, barriers) = fr.brief, barred_rotor(fr.brief, fr.D, fr.tau)
    half_angle = strength.rib_half_angle(p=np.maximum(fr.p, FEWEST), n_b=barriers)
    c_v = strength.rib_pull_coefficient(beta_r=half_angle, kappa_b=brief.barrier_share, n_b=barriers, D=fr.D, t_r=rib)
    whole = sheet_stands(brief)
    return np.where(form["barred"], np.minimum(whole, stands("electrical sheet", brief, c_v)), whole)


def operate(st, form, goal, part, rough=False):
    """Return (stage, operation); ``part`` sets the load angle where the field limit binds.

    From 0, the angle of the largest torque at a given heat, to 1, the angle at which heat and field limit are both
    full: the largest torque. Torque and power want the same at synchronous speed. Ribs want another: it is searched.
    Few volt-amperes want an angle between that of the largest torque per square of the loading and per field.
    """
    st = with_surface(st, *SURFACE)
    fr = st.frame
    rotor = _rotor(fr, form["barred"])
    tan_delta = _ribless_angle(st, rotor, part, goal)
    if np.any(form["barred"]):
        if goal in ("torque", "power"):

            def shear(log_more):
                return _at(st, rotor, tan_delta * np.exp(log_more)).shear

            widest = np.full(np.broadcast_shapes(st.budget.shape, rotor.P_q.shape), np.log(OTHER))
            more = np.exp(maximise(shear, -widest, widest, steps=STEPS))
        else:
            zeta = rotor.ribs / (_at(st, rotor, tan_delta).A * rotor.unit * rotor.P_d)
            more = saliency.rib_load_angle(zeta=np.minimum(zeta, 0.9))
        tan_delta = np.where(form["barred"], tan_delta * more, tan_delta)
    op = _at(st, rotor, tan_delta)
    field_binds = near(op.B, rotor.field_limit)
    return st, Operation(
        loading=op.A,
        gap_field=op.B,
        shear=op.shear,
        slip=np.zeros(op.shear.shape),
        response=op.shear / stage.shear_stress(A=op.A, k=fr.k, g_m=rotor.gap, Lambda=1.0),
        magnetic_gap=rotor.gap,
        thickness=rotor.depth,
        maximum=lambda: op.shear,
        starting=lambda: op.shear,
        along=in_step(op.shear, op.A),
        backward_field=fr.backward * op.B,
        surface_drag=st.surface_factor * op.B**2 / st.field_speed,
        load_angle=np.arctan(tan_delta),
        saliency=rotor.P_d / op.P_q,
        limits={
            **fr.held_by(field_binds & ~rotor.segments_limit),
            "segment field": field_binds & rotor.segments_limit,
            "ribs": form["barred"] & (rotor.thickness > fr.brief.rib_ratio * fr.D),
        },
    )


def _rotor(fr, barred):
    """Return permeances, ribs and limits of the rotors, barred where it says so."""
    brief, g_m = fr.brief, fr.stator_gap
    poles = {"alpha": brief.pole_arc, "k": fr.k, "g_m": g_m}
    h_d = saliency.d_axis_depth(h_p=fr.rotor_depth, **poles)
    h_q = saliency.q_axis_depth(h_p=fr.rotor_depth, **poles)
    thickness, barriers = barred_rotor(brief, fr.D, fr.tau)
    share = brief.barrier_share
    g_e = saliency.barrier_gap(g_m=g_m, tau=fr.tau, n_b=barriers, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=fr.k, g_m=g_m, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=fr.k, g_e=g_e, n_b=barriers, kappa_b=share, P_d=P_d)
    made = (barriers >= np.minimum(FEWEST, brief.barriers)) & (fr.p >= FEWEST)
    P_d, P_q = np.where(made, P_d, np.nan), np.where(made, P_q, np.nan)
    ribs = saliency.rib_gap_field(B_rib=materials.RIB_FIELD, t_r=thickness, tau=fr.tau)
    in_segments = saliency.barrier_limited_gap_field(kappa_b=share, B_y=brief.yoke_field_limit) / (1.0 + fr.backward)
    return SimpleNamespace(
        P_d=np.where(barred, P_d, saliency.pole_d_axis_permeance(h_d=h_d, **poles)),
        P_q=np.where(barred, P_q, saliency.pole_q_axis_permeance(h_q=h_q, **poles)),
        ribs=np.where(barred, ribs, 0.0),
        thickness=thickness,
        barriers=barriers,
        unit=VALUES["mu_0"] / np.tanh(fr.k * g_m),
        gap=np.where(barred, g_e, g_m),
        depth=np.where(barred, fr.tau / 2, fr.rotor_depth),
        field_limit=np.where(barred, np.minimum(fr.forward_field_limit, in_segments), fr.forward_field_limit),
        segments_limit=barred & (in_segments < fr.forward_field_limit),
    )


def barred_rotor(brief, D, tau):
    """Return (rib thickness, barriers per pole), all segments and barriers at least a rib thick."""
    rib, share = np.maximum(brief.rib_floor, brief.rib_ratio * D), brief.barrier_share
    most = (tau * np.minimum(share, 1 - share) / rib - 1) / 2
    return rib, np.floor(np.clip(most, 1, brief.barriers))


def _ribless_angle(st, rotor, part, goal):
    """Return the tangent of the load angle at a part, in closed form, were there no ribs."""
    fr, axes = st.frame, {"P_d": rotor.P_d, "P_q": rotor.P_q}
    g_f, w_A = surface.field_gap(k=fr.k, g_m=fr.stator_gap), st.winding_heat_factor
    beta_c = stage.core_heat_ratio(w_B=st.both_waves_heat_factor, w_A=w_A, k=fr.k, g_m=g_f)
    chi = stage.loading_ratio(q_b=st.budget, w_A=w_A, B_l=rotor.field_limit, k=fr.k, g_m=g_f)
    free = reluctance.best_load_angle(beta_c=beta_c, **axes)
    steepest = rotor.P_d / rotor.P_q
    if goal == "volt-ampere":
        return free * (steepest / free) ** part
    with np.errstate(invalid="ignore", divide="ignore"):
        edge = reluctance.field_limited_load_angle(chi=chi, beta_c=beta_c, **axes)
    # No root: either the heat runs out first (the free angle holds) or the field limit always does (the steepest).
    always = (chi**2 - beta_c) * rotor.P_q**2 >= 1.0
    edge = np.where(always, steepest, np.nan_to_num(edge, nan=0.0, posinf=0.0))
    largest = np.where(edge > free, np.minimum(edge, steepest), free)
    return free * (largest / free) ** part


def _at(st, rotor, tan_delta):
    """Return the operation at a load angle, with all the loading that heat and field limit allow there.

    Saturated ribs add a constant to the field in the q axis: its square is a quadratic in the loading.
    """
    cosine = 1 / np.sqrt(1 + tan_delta**2)
    d, q = rotor.unit * rotor.P_d * cosine, rotor.unit * rotor.P_q * tan_delta * cosine
    past = rotor.ribs * (1 - rotor.P_q / rotor.P_d)
    a, b = d**2 + q**2, q * past
    w_A, w_B = st.winding_heat_factor, st.both_waves_heat_factor
    with np.errstate(invalid="ignore"):
        by_heat = _larger_root(w_A + w_B * a, w_B * b, w_B * past**2 - st.budget)
        A = np.minimum(by_heat, _larger_root(a, b, past**2 - rotor.field_limit**2))
    in_q = q * A + past
    shear = np.maximum(d * tan_delta - in_q / A, 0.0) * cosine * A**2 / 2
    return SimpleNamespace(A=A, B=np.hypot(d * A, in_q), shear=shear, P_q=in_q / (A * rotor.unit * tan_delta * cosine))


def _larger_root(a, b, c):
    """Return the larger root of a*x**2 + 2*b*x + c, NaN where none is above zero."""
    return np.where(c < 0, (np.sqrt(b**2 - a * c) - b) / a, np.nan)
