"""The reluctance rotor: plain salient poles, or iron cut by flux barriers."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from scaling.ground import materials, units
from scaling.laws import geometry, reluctance, saliency, strength, surface
from scaling.laws import stator as stator_laws
from scaling.machines.operation import Operation, in_step, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.machines.stator import sheet_stands, stands, with_surface
from scaling.models.search import maximise

FORMS = {"salient": "sheet, salient poles", "flux barriers": "sheet, flux barriers"}
FEWEST = 2  # barriers per pole and pole pairs for which the laws of the barriers hold
OTHER = 4.0  # ribs want another load angle, up to this factor in its tangent
STEPS = 20  # leave 1e-4 of that range


def candidates(si):
    """Return the rotor forms to try, as named materials."""
    wanted = FORMS if si.reluctance_rotor == "best" else (si.reluctance_rotor,)
    return tuple(SimpleNamespace(name=FORMS[form]) for form in wanted)


def properties(form, si):
    """Return what a form contributes: whether it has barriers."""
    return {"barred": form.name == FORMS["flux barriers"]}


def rim_speed(stator, form):
    """Return the rim speed that sheet and ribs stand; ductile ribs, which yield before they break."""
    si, (rib, barriers) = stator.si, barred_rotor(stator.si, stator.D, _pitch(stator))
    half_angle = strength.rib_half_angle(p=np.maximum(stator.p, FEWEST), n_b=barriers)
    c_v = strength.rib_pull_coefficient(beta_r=half_angle, kappa_b=si.barrier_share, n_b=barriers, D=stator.D, t_r=rib)
    whole = sheet_stands(si)
    return np.where(form["barred"], np.minimum(whole, stands("electrical sheet", si, c_v)), whole)


@dataclass(frozen=True)
class _Iron:
    """A rotor's permeances, ribs and limits; ``field_gap`` is what the laws of a thin gap take for the field."""

    P_d: np.ndarray
    P_q: np.ndarray
    rib_field: np.ndarray
    rib: np.ndarray
    field_gap: np.ndarray
    gap: np.ndarray
    depth: np.ndarray
    field_limit: np.ndarray
    held_by_segments: np.ndarray

    @property
    def axes(self):
        """Permeances of both axes, as the laws take them."""
        return {"P_d": self.P_d, "P_q": self.P_q}


def operate(fed, form, objective, search_fraction, coarse=False):
    """Return (fed stator, operation); the fraction sets the load angle where the field limit binds.

    From 0, the angle of the largest torque at a given heat, to 1, the angle at which heat and field limit are both
    full: the largest torque. Torque and power want the same at synchronous speed.
    """
    fed = with_surface(fed, *ROTOR.surface)
    stator = fed.stator
    iron = _iron(stator, form["barred"])
    tan_delta = _load_angle(fed, form, iron, objective, search_fraction)
    A, zeta = _loading(fed, iron, tan_delta)
    law = {"k": stator.k, "g_m": iron.field_gap}
    with np.errstate(invalid="ignore"):
        B = saliency.barrier_gap_field(A=A, zeta=zeta, tan_delta=tan_delta, **law, **iron.axes)
        shear = _shear(fed, iron, tan_delta)
    field_binds = near(B, iron.field_limit)
    P_q = iron.P_q + (iron.P_d - iron.P_q) * zeta * np.sqrt(1 + tan_delta**2) / tan_delta  # with the ribs' flux
    return fed, Operation(
        loading=A,
        gap_field=B,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=shear / stator_laws.shear_stress(A=A, k=stator.k, g_m=iron.gap, Lambda=1.0),
        magnetic_gap=iron.gap,
        thickness=iron.depth,
        breakdown=lambda: shear,
        starting=lambda: shear,
        off_design=in_step(shear, A),
        backward_field=stator.backward * B,
        load_angle=np.arctan(tan_delta),
        saliency=saliency.saliency_ratio(P_d=iron.P_d, P_q=P_q),
        limits={
            **stator.held_by(field_binds & ~iron.held_by_segments),
            "segment field": field_binds & iron.held_by_segments,
            "ribs": form["barred"] & (iron.rib > stator.si.rib_ratio * stator.D),
        },
    )


def _iron(stator, barred):
    """Return the rotors, barred where it says so."""
    si, g_m = stator.si, stator.slotted_gap
    poles = {"alpha": si.pole_arc, "k": stator.k, "g_m": g_m}
    h_p = stator.unrolled(stator.rotor_depth)
    h_d, h_q = saliency.d_axis_depth(h_p=h_p, **poles), saliency.q_axis_depth(h_p=h_p, **poles)
    rib, barriers = barred_rotor(si, stator.D, _pitch(stator))
    share = si.barrier_share
    g_e = saliency.barrier_gap(g_m=g_m, tau=stator.tau, n_b=barriers, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=stator.k, g_m=g_m, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=stator.k, g_e=g_e, n_b=barriers, kappa_b=share, P_d=P_d)
    made = (barriers >= np.minimum(FEWEST, si.barriers)) & (stator.p >= FEWEST)
    P_d, P_q = np.where(made, P_d, np.nan), np.where(made, P_q, np.nan)
    rib_field = saliency.rib_gap_field(B_rib=materials.RIB_FIELD, t_r=rib, tau=stator.tau)
    in_segments = saliency.barrier_limited_gap_field(kappa_b=share, B_y=si.yoke_field_limit) / (1.0 + stator.backward)
    in_segments = in_segments * stator.D / stator.bore  # they stand at the rotor's surface, the limit at the bore
    limit = stator.forward_field_limit
    return _Iron(
        P_d=np.where(barred, P_d, saliency.pole_d_axis_permeance(h_d=h_d, **poles)),
        P_q=np.where(barred, P_q, saliency.pole_q_axis_permeance(h_q=h_q, **poles)),
        rib_field=np.where(barred, rib_field, 0.0),
        rib=rib,
        field_gap=surface.field_gap(k=stator.k, g_m=g_m),
        gap=np.where(barred, g_e, g_m),
        depth=np.where(barred, _pitch(stator) / 2, stator.rotor_depth),
        field_limit=np.where(barred, np.minimum(limit, in_segments), limit),
        held_by_segments=barred & (in_segments < limit),
    )


def _pitch(stator):
    """Return the pole pitch on the rotor's surface."""
    return geometry.pole_pitch(D=stator.D, p=stator.p)


def barred_rotor(si, D, tau):
    """Return (rib thickness, barriers per pole), all segments and barriers at least a rib thick."""
    rib, share = np.maximum(si.rib_floor, si.rib_ratio * D), si.barrier_share
    most = (tau * np.minimum(share, 1 - share) / rib - 1) / 2
    return rib, np.floor(np.clip(most, 1, si.barriers))


def _load_angle(fed, form, iron, objective, search_fraction):
    """Return the tangent of the load angle: in closed form without ribs, which want another, that is searched.

    Few volt-amperes want an angle between that of the largest torque per square of the loading and per field.
    """
    ribless = _ribless_angle(fed, iron, search_fraction, objective)
    if not np.any(form["barred"]):
        return ribless
    if objective in (Objective.TORQUE, Objective.POWER):

        def shear(log_more):
            return _shear(fed, iron, ribless * np.exp(log_more))

        widest = np.full(np.broadcast_shapes(fed.budget.shape, iron.P_q.shape), np.log(OTHER))
        more = np.exp(maximise(shear, -widest, widest, steps=STEPS))
    else:
        _, zeta = _loading(fed, iron, ribless)
        more = saliency.rib_load_angle(zeta=np.minimum(zeta, 0.9))
    return np.where(form["barred"], ribless * more, ribless)


def _ribless_angle(fed, iron, search_fraction, objective):
    """Return the tangent of the load angle at a fraction, in closed form, were there no ribs."""
    gap, w_A = {"k": fed.stator.k, "g_m": iron.field_gap}, fed.winding_heat_factor
    beta_c = stator_laws.core_heat_ratio(w_B=fed.both_waves_heat_factor, w_A=w_A, **gap)
    chi = stator_laws.loading_ratio(q_b=fed.budget, w_A=w_A, B_l=iron.field_limit, **gap)
    with np.errstate(invalid="ignore"):  # no yoke, no field
        free = reluctance.best_load_angle(beta_c=beta_c, **iron.axes)
    steepest = iron.P_d / iron.P_q
    if objective is Objective.VOLT_AMPERE:
        return free * (steepest / free) ** search_fraction
    with np.errstate(invalid="ignore", divide="ignore"):
        edge = reluctance.field_limited_load_angle(chi=chi, beta_c=beta_c, **iron.axes)
    # No root: either the heat runs out first (the free angle holds) or the field limit always does (the steepest).
    always = (chi**2 - beta_c) * iron.P_q**2 >= 1.0
    edge = np.where(always, steepest, np.nan_to_num(edge, nan=0.0, posinf=0.0))
    largest = np.where(edge > free, np.minimum(edge, steepest), free)
    return free * (largest / free) ** search_fraction


def _loading(fed, iron, tan_delta):
    """Return (loading, ribs' flux over the d axis') that heat and field limit allow at a load angle."""
    law = {"k": fed.stator.k, "g_m": iron.field_gap, "B_e": iron.rib_field, "tan_delta": tan_delta, **iron.axes}
    with np.errstate(invalid="ignore", divide="ignore"):
        heat = {"q_b": fed.budget, "w_A": fed.winding_heat_factor, "w_B": fed.both_waves_heat_factor}
        by_heat = reluctance.ribbed_loading(**heat, **law)
        by_field = reluctance.ribbed_loading(q_b=iron.field_limit**2, w_A=0.0, w_B=1.0, **law)
        A = np.minimum(by_heat, by_field)
        A = np.where(A > 0.0, A, np.nan)
        return A, saliency.rib_share(B_e=iron.rib_field, A=A, k=fed.stator.k, g_m=iron.field_gap, P_d=iron.P_d)


def _shear(fed, iron, tan_delta):
    """Return the shear stress at a load angle, with all the loading that heat and field limit allow there."""
    A, zeta = _loading(fed, iron, tan_delta)
    response = saliency.barrier_response(zeta=zeta, tan_delta=tan_delta, **iron.axes)
    return stator_laws.shear_stress(A=A, k=fed.stator.k, g_m=iron.field_gap, Lambda=response)


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    quality = "still" if wins else "only"
    return f"a gap of {units.show_si(design.values['gap'], 'm')} {quality} leaves a saliency of {design.saliency:.2g}"


ROTOR = Rotor(
    kind="reluctance",
    synchronous=True,
    torque_cycles_per_turn=2.0,
    full_fraction_is_best=True,
    surface=materials.SOLID_SURFACES["steel"],
    look=Look("#717581", "^", "-."),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
)
