"""The reluctance rotor: plain salient poles, or iron cut by flux barriers."""

from dataclasses import dataclass, fields, replace
from types import SimpleNamespace

import numpy as np

from scaling.ground import materials, units
from scaling.ground.constants import VALUES
from scaling.laws import reluctance, reserve, saliency, strength, surface, two_axis
from scaling.laws import stator as stator_laws
from scaling.machines.fed import pull_out_reserve, sheet_stands, stands, with_surface
from scaling.machines.iron import iron_of, part_of_loading, with_iron, within_heat
from scaling.machines.leakage import leakage_reactance
from scaling.machines.operation import MOST, VOLTAGE, Loads, Operation, in_step, near
from scaling.machines.rotor import Look, Rotor
from scaling.machines.starting_cage import Bars, StartingCage, between_poles, in_barriers
from scaling.machines.stator import FieldLimit
from scaling.models.iron import Iron

FORMS = {"salient": "sheet, salient poles", "flux barriers": "sheet, flux barriers"}
LOW = 4.0  # a saliency below which a rotor hardly pulls (common practice)
FEWEST = 2  # barriers per pole and pole pairs for which the laws of the barriers hold
BEYOND = 2.0  # times the tangent of the load angle of the largest torque at a given field: ribs want more
OTHER = 4.0  # times the least tangent of the load angle searched: that of the best one
ARCS, SHARES, SHALLOWEST = (
    (0.3, 0.7),
    (0.2, 0.65),
    0.2,
)  # searched: pole arcs, barrier shares, part of the deepest poles


def candidates(si):
    """Return the rotor forms to try, as named materials."""
    wanted = FORMS if si.reluctance_rotor == "best" else (si.reluctance_rotor,)
    return tuple(SimpleNamespace(name=FORMS[form]) for form in wanted)


def properties(form, si):
    """Return what a form contributes: whether it has barriers."""
    return {"barred": form.name == FORMS["flux barriers"]}


def free(si, sparing):
    """Return what is searched: pole arc or barrier share, the poles' height, the loading where a merit may spare."""
    given = {"salient": (si.pole_arc,), "flux barriers": (si.barrier_share,)}
    shares = given.get(si.reluctance_rotor, (si.pole_arc, si.barrier_share))
    return (
        ({"iron": 0.25} if any(share is None for share in shares) else {})
        | ({"loading": 1.0} if sparing else {})
        | ({} if si.reluctance_rotor == "flux barriers" else {"depth": 1.0})
    )


def _between(ends, given, form):
    """Return a share as given, or at its place in the search; in the middle where a form that is not tried has it."""
    return ends[0] + (ends[1] - ends[0]) * form.get("iron", 0.5) if given is None else given


def rim_speed(stator, form):
    """Return the rim speed that sheet and ribs stand; ductile ribs, which yield before they break."""
    si, share = stator.si, _between(SHARES, stator.si.barrier_share, form)
    rib, barriers = barred_rotor(si, stator.D, stator.rotor_pitch, share)
    half_angle = strength.rib_half_angle(p=np.maximum(stator.p, FEWEST), n_b=barriers)
    c_v = strength.rib_pull_coefficient(beta_r=half_angle, kappa_b=share, n_b=barriers, D=stator.D, t_r=rib)
    whole = sheet_stands(si)
    return np.where(form["barred"], np.minimum(whole, stands("electrical sheet", si, c_v)), whole)


@dataclass(frozen=True)
class _Iron:
    """A rotor's permeances, ribs and limits; ``field_gap`` is what the laws of a thin gap take for the field.

    ``edge`` is half the electrical angle of a pole's arc, none (pi/2) where barriers spread the iron, ``steepest`` the
    tangent of the largest load angle that keeps the reserve of pull-out torque.
    """

    P_d: np.ndarray
    P_q: np.ndarray
    rib_field: np.ndarray
    rib: np.ndarray
    field_gap: np.ndarray
    gap: np.ndarray
    depth: np.ndarray
    sheet: Iron
    field_limit: FieldLimit
    local_limit: np.ndarray
    edge: np.ndarray
    steepest: np.ndarray
    form: dict

    @property
    def axes(self):
        """Permeances of both axes, as the laws take them."""
        return {"P_d": self.P_d, "P_q": self.P_q}


def operate(fed, form, objective, search_fraction, coarse=False):
    """Return (fed stator, operation); the fraction sets the load angle."""
    fed = with_surface(fed, ROTOR)
    stator = fed.stator
    iron = _iron(fed, form)
    tan_delta = _load_angle(fed, iron, search_fraction)
    A, zeta = _loading(fed, iron, tan_delta, part_of_loading(form))
    law = {"k": stator.k, "g_m": iron.field_gap}
    with np.errstate(invalid="ignore"):
        B = saliency.barrier_gap_field(A=A, zeta=zeta, tan_delta=tan_delta, **law, **iron.axes)
        shear = _shear(fed, iron, A, zeta, tan_delta)
        loading = with_iron(stator, iron.sheet, A, B, shear)
    local = ~form["barred"] & near(_local_field(iron, stator.k, A, tan_delta), iron.local_limit)
    field_binds = near(B, iron.field_limit.value) & ~local
    P_q = iron.P_q + (iron.P_d - iron.P_q) * zeta * np.sqrt(1 + tan_delta**2) / tan_delta  # with the ribs' flux

    def breakdown(fixed_supply):
        return shear * (_circuit(fed, iron).pull_out(tan_delta) if fixed_supply else 1.0)

    made = Operation(
        loading=loading,
        ideal_loading=A,
        gap_field=B,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=shear / stator_laws.shear_stress(A=loading, k=stator.k, g_m=iron.gap, Lambda=1.0),
        magnetic_gap=iron.gap,
        thickness=iron.depth,
        breakdown=breakdown,
        starting=lambda: (shear, loading),
        off_design=in_step(breakdown, loading),
        loads=lambda fixed_supply: _loads(fed, iron, made, tan_delta, fixed_supply),
        backward_field=stator.backward * B,
        cage=lambda: _cage(fed, iron, A, tan_delta),
        load_angle=np.arctan(tan_delta),
        saliency=saliency.saliency_ratio(P_d=iron.P_d, P_q=P_q),
        form=iron.form,
        limits={
            **iron.field_limit.held_by(field_binds),
            "pole edge": local,
            "pull-out reserve": near(tan_delta, iron.steepest),
            "rotor thickness": ~form["barred"] & near(iron.depth, stator.rotor_depth),
            "ribs": form["barred"] & (iron.rib > stator.si.rib_ratio * stator.D),
        },
    )
    return fed, made


def _loads(fed, iron, made, tan_delta, fixed_supply):
    """Return the Loads: a fixed supply keeps its voltage, a drive the load angle; iron saturates as its field is.

    On a fixed supply the place is the tangent of the load angle, and ribs, whose flux is constant, are left out of what
    changes, as of the pull-out torque; on a drive it is the loading over the rated one.
    """

    def at(A, tan_delta, shear=None):
        gap = {"k": fed.stator.k, "g_m": iron.field_gap}
        zeta = saliency.rib_share(B_e=iron.rib_field, A=A, P_d=iron.P_d, **gap)
        B = saliency.barrier_gap_field(A=A, zeta=zeta, tan_delta=tan_delta, **gap, **iron.axes)
        shear = _shear(fed, iron, A, zeta, tan_delta) if shear is None else shear
        loading = with_iron(fed.stator, iron.sheet, A, B, shear)
        unit = stator_laws.shear_stress(A=loading, k=fed.stator.k, g_m=iron.gap, Lambda=1.0)
        return replace(
            made,
            loading=loading,
            ideal_loading=A,
            gap_field=B,
            shear=shear,
            slip=np.zeros(shear.shape),
            response=shear / unit,
            backward_field=fed.stator.backward * B,
            load_angle=np.arctan(tan_delta) + np.zeros(shear.shape),
            limits={},
        )

    if not fixed_supply:
        rule = "the drive keeps its frequency and the load angle; the current follows the load, and the field with it"
        return Loads(1.0, MOST, lambda share: at(share * made.ideal_loading, tan_delta), rule)
    circuit = {name: getattr(_circuit(fed, iron), name) for name in ("R", "X_d", "X_q")}
    own = two_axis.two_axis_voltage(A=made.ideal_loading, tan_delta=tan_delta, **circuit)

    def on_voltage(tangent):
        A = own / two_axis.two_axis_voltage(A=1.0, tan_delta=tangent, **circuit)
        response, rated = (
            saliency.barrier_response(zeta=0.0, tan_delta=angle, **iron.axes) for angle in (tangent, tan_delta)
        )
        return at(A, tangent, made.shear * (A / made.ideal_loading) ** 2 * response / rated)

    most = reserve.reserved_load_angle(m_r=1.0, **circuit)
    return Loads(tan_delta, most, on_voltage, f"{VOLTAGE}; current and load angle follow the load")


def _local_field(iron, k, A, tan_delta):
    """Return the largest field on a pole's face: where the pole lies nearest to the largest of the sheet's field."""
    off = np.maximum(np.arctan(tan_delta) - iron.edge, 0.0)
    return VALUES["mu_0"] * A / (k * iron.field_gap) * np.cos(off)


def _iron(fed, form):
    """Return the rotors, barred where the form says so."""
    stator, barred = fed.stator, form["barred"]
    si, g_m, share = stator.si, stator.slotted_gap, _between(SHARES, stator.si.barrier_share, form)
    arc = _between(ARCS, si.pole_arc, form)
    poles = {"alpha": arc, "k": stator.k, "g_m": g_m}
    height = stator.rotor_depth * (SHALLOWEST + (1 - SHALLOWEST) * form.get("depth", 1.0))
    h_p = stator.unrolled(height)
    h_d, h_q = saliency.d_axis_depth(h_p=h_p, **poles), saliency.q_axis_depth(h_p=h_p, **poles)
    rib, barriers = barred_rotor(si, stator.D, stator.rotor_pitch, share)
    g_e = saliency.barrier_gap(g_m=g_m, tau=stator.tau, n_b=barriers, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=stator.k, g_m=g_m, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=stator.k, g_e=g_e, n_b=barriers, kappa_b=share, P_d=P_d)
    inner = saliency.innermost_potential(k=stator.k, g_e=g_e, n_b=barriers, kappa_b=share)
    rib_field = saliency.rib_gap_field(B_rib=materials.RIB_FIELD, t_r=rib, tau=stator.tau, c_0=inner)
    made = (barriers >= np.minimum(FEWEST, si.barriers)) & (stator.p >= FEWEST)
    P_d = np.where(barred, np.where(made, P_d, np.nan), saliency.pole_d_axis_permeance(h_d=h_d, **poles))
    P_q = np.where(barred, np.where(made, P_q, np.nan), saliency.pole_q_axis_permeance(h_q=h_q, **poles))
    in_segments = saliency.barrier_limited_gap_field(kappa_b=share, B_y=si.yoke_field_limit, k_s=si.stacking_factor)
    in_segments = in_segments * stator.D / stator.bore  # they stand at the rotor's surface, the limit at the bore
    own = {
        "segment_field": np.where(barred, in_segments, np.inf),
        "rotor_core": np.where(barred, np.inf, stator.core_limit(height)),
    }
    iron = _Iron(
        P_d=P_d,
        P_q=P_q,
        rib_field=np.where(barred, rib_field, 0.0),
        rib=rib,
        field_gap=surface.field_gap(k=stator.k, g_m=g_m),
        gap=np.where(barred, g_e, g_m),
        depth=np.where(barred, stator.rotor_pitch / 2, height),
        sheet=iron_of(stator, D=stator.D, t=np.where(barred, 0.0, height)),
        field_limit=stator.field_limit.lowered(**own).over(stator.backward),
        local_limit=np.where(barred, np.inf, stator.tooth_limit / (1.0 + stator.backward)),
        edge=np.where(barred, np.pi / 2, np.pi / 2 * arc),
        steepest=P_d / P_q,
        form={
            "pole_arc": np.where(barred, np.nan, arc),
            "barriers": np.where(barred, barriers, np.nan),
            "barrier_share": np.where(barred, share, np.nan),
        },
    )
    return replace(iron, steepest=_circuit(fed, iron).steepest)


@dataclass(frozen=True)
class _Circuit:
    """Resistance and the two axes' reactances per gap area and peak loading squared.

    ``m`` is the reserve asked for; a ``driven`` one has its angle kept, on either side of the largest torque.
    """

    m: np.ndarray | float
    driven: bool
    P_d: np.ndarray
    P_q: np.ndarray
    R: np.ndarray
    X_d: np.ndarray
    X_q: np.ndarray

    @property
    def steepest(self):
        """Tangent of the largest load angle that keeps the reserve; on a drive that of any torque worth it."""
        if self.driven:
            return BEYOND * self.P_d / self.P_q
        return reserve.reserved_load_angle(m_r=self.m, R=self.R, X_d=self.X_d, X_q=self.X_q)

    def pull_out(self, tan_delta):
        """Return the largest torque on a fixed voltage over that at a load angle."""
        return reserve.two_axis_pull_out(R=self.R, X_d=self.X_d, X_q=self.X_q, tan_delta=tan_delta)


def _circuit(fed, iron):
    """Return the circuit of both axes; ribs, whose flux is constant, left out."""
    stator = fed.stator
    X_0 = VALUES["mu_0"] * fed.field_speed / (stator.k * iron.field_gap)
    leak = leakage_reactance(stator, fed.frequency, iron.gap)
    m, driven = pull_out_reserve(stator.si, ROTOR.reserve), stator.si.supply == "drive"
    X_d, X_q = X_0 * iron.P_d + leak, X_0 * iron.P_q + leak
    return _Circuit(m, driven, iron.P_d, iron.P_q, fed.winding_resistance, X_d, X_q)


def _cage(fed, iron, A, tan_delta):
    """Return the starting cage: cast between the poles or into the barriers."""
    poles = between_poles(iron.depth, iron.form["pole_arc"])
    barriers = in_barriers(fed.stator.rotor_pitch, iron.form["barrier_share"])
    barred = np.isfinite(iron.form["barriers"])
    parts = {
        field.name: np.where(barred, getattr(barriers, field.name), getattr(poles, field.name))
        for field in fields(Bars)
    }
    return StartingCage(
        fed,
        Bars(**parts),
        gap=fed.stator.slotted_gap,
        leakage_gap=iron.gap,
        running=A,
        voltage_of=lambda circuit: two_axis.two_axis_voltage(A=A, tan_delta=tan_delta, **circuit),
        **iron.axes,
    )


def barred_rotor(si, D, tau, share):
    """Return (rib thickness, barriers per pole), all segments and barriers at least a rib thick.

    As many barriers as can be cut are best: they lower the q axis' permeance and widen the gap less.
    """
    rib = np.maximum(si.rib_floor, si.rib_ratio * D)
    most = (tau * np.minimum(share, 1 - share) / rib - 1) / 2
    return rib, np.floor(np.clip(most, 1, si.barriers))


def _load_angle(fed, iron, search_fraction):
    """Return the tangent of the load angle: from well below the best of a ribless rotor (1/2) to the steepest.

    Ribs and a limit at the pole's edge want another angle than the closed form, in which the best one is searched.
    """
    gap, w_A = {"k": fed.stator.k, "g_m": iron.field_gap}, fed.loading_budget_factor
    beta_c = stator_laws.core_heat_ratio(w_B=fed.both_waves_budget_factor, w_A=w_A, **gap)
    chi = stator_laws.loading_ratio(q_b=fed.budget, w_A=w_A, B_l=iron.field_limit.value, **gap)
    with np.errstate(invalid="ignore", divide="ignore"):
        free = reluctance.best_load_angle(beta_c=beta_c, **iron.axes)
        edge = reluctance.field_limited_load_angle(chi=chi, beta_c=beta_c, **iron.axes)
    # No root: either the heat runs out first (the free angle holds) or the field limit always does (the steepest).
    always = (chi**2 - beta_c) * iron.P_q**2 >= 1.0
    edge = np.where(always, iron.steepest, np.nan_to_num(edge, nan=0.0, posinf=0.0))
    best = np.minimum(np.maximum(edge, free), iron.steepest)
    low, high = best / OTHER, np.maximum(iron.steepest, best)
    below, above = low * OTHER ** (2 * search_fraction), best * (high / best) ** (2 * search_fraction - 1)
    return np.where(search_fraction < 0.5, below, above)


def _loading(fed, iron, tan_delta, part):
    """Return (loading of ideal iron, ribs' flux over the d axis'): a part of what heat and field limit allow."""
    law = {"k": fed.stator.k, "g_m": iron.field_gap, "B_e": iron.rib_field, "tan_delta": tan_delta, **iron.axes}
    with np.errstate(invalid="ignore", divide="ignore"):
        heat = {"q_b": fed.budget, "w_A": fed.loading_budget_factor, "w_B": fed.both_waves_budget_factor}
        by_heat = reluctance.ribbed_loading(**heat, **law)
        by_field = reluctance.ribbed_loading(q_b=iron.field_limit.value**2, w_A=0.0, w_B=1.0, **law)
        at_edge = iron.local_limit / _local_field(iron, fed.stator.k, 1.0, tan_delta)
        A = np.minimum(np.minimum(by_heat, by_field), at_edge)
        A = np.where(A > 0.0, A, np.nan)
        gap = {"k": fed.stator.k, "g_m": iron.field_gap}

        def fields(A):
            zeta = saliency.rib_share(B_e=iron.rib_field, A=A, P_d=iron.P_d, **gap)
            B = saliency.barrier_gap_field(A=A, zeta=zeta, tan_delta=tan_delta, **gap, **iron.axes)
            return B, _shear(fed, iron, A, zeta, tan_delta)

        A = within_heat(fed, iron.sheet, A, fields, lambda B, sigma: fed.both_waves_budget_factor * B**2)
        A = part * A
        return A, saliency.rib_share(B_e=iron.rib_field, A=A, P_d=iron.P_d, **gap)


def _shear(fed, iron, A, zeta, tan_delta):
    """Return the shear stress of a loading at a load angle."""
    response = saliency.barrier_response(zeta=zeta, tan_delta=tan_delta, **iron.axes)
    return stator_laws.shear_stress(A=A, k=fed.stator.k, g_m=iron.field_gap, Lambda=response)


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    quality = "still " if wins else "only " if design.saliency < LOW else ""
    return f"a gap of {units.show(design.gap, digits=3)} {quality}leaves a saliency of {design.saliency:.2g}"


ROTOR = Rotor(
    kind="reluctance",
    synchronous=True,
    reserve=1.5,
    torque_cycles_per_turn=2.0,
    full_fraction_is_best=False,
    surface=materials.SOLID_SURFACES["steel"],
    surface_is_solid=False,
    look=Look("#717581", "^", "-."),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
    free=free,
    strength_by=("iron",),
    other_begin=lambda sparing: {"iron": 0.75} if sparing else {},  # where little magnetising counts
)
