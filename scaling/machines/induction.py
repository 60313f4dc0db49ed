"""The induction rotor: a cage in iron slots, or a plain conducting sheet on smooth iron."""

from types import SimpleNamespace

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry, induction, stage
from scaling.machines.operation import Operation, near
from scaling.machines.stage import at_frequency, resistivity
from scaling.models.search import maximise

KIND = "induction"
SYNCHRONOUS = False
PULL_IN = None  # starts on its own torque
CLOSED = False  # the slip is searched near its closed form, which leaves out that friction falls with slip
THINNEST = 1e-3  # thinnest sheet tried, as a part of the deepest
SHEET_STEPS = 16  # leave 3e-3 of the thickness at a smooth top
BEYOND = 4.0  # times the slip that fills heat and field limit, or gives the largest torque: the largest slip searched


def candidates(brief):
    """Return the rotor conductors to try."""
    return tuple(materials.CONDUCTORS.values())


def properties(material, brief):
    """Return what a material contributes: its resistivity when hot."""
    return {"rho": resistivity(material, brief)}


def operate(st, conductor, goal, part):
    """Return (stage, operation); ``part`` from 0 to 1 sets the slip, at 1/2 heat and field limit are both full.

    A slip carries all the loading that heat and field limit allow: every merit rises with it at a given slip. Friction
    and shaft fan are taken at the speed the rotor really turns. The thickness of a sheet is searched: a thicker one
    conducts better, in a wider gap.
    """
    layer = _layer(st, conductor["rho"], lambda layer: _slip(st, layer, goal, part))
    slip = _slip(st, layer, goal, part)
    st = at_frequency(st.frame, st.frequency, np.nan_to_num(slip))
    return st, _at(st, _layer(st, conductor["rho"], lambda _: slip), slip)


def _slip(st, layer, goal, part):
    """Return the slip at a part: from the best at a given heat (0) over both limits full (1/2) to well beyond (1)."""
    fr = st.frame
    budget = {"beta_w": layer.beta_w, "beta_c": layer.beta_c, "G": layer.G}
    chi = stage.loading_ratio(q_b=st.budget, w_A=fr.winding_heat_factor, B_l=fr.field_limit, k=fr.k, g_m=layer.g_m)
    with np.errstate(invalid="ignore", divide="ignore"):
        edge = np.nan_to_num(induction.field_limited_slip_goodness(chi=chi, **budget))
        torque = induction.best_torque_slip_goodness(**budget)
        free = torque if goal == "torque" else induction.best_power_slip_goodness(**budget)
        corner = np.maximum(free, edge)
        high = BEYOND * np.maximum(corner, torque)
        x = np.where(part < 0.5, free * (corner / free) ** (2 * part), corner * (high / corner) ** (2 * part - 1))
    return np.clip(x / layer.G, st.slip_low, st.slip_high)


def _layer(st, rho, slip):
    """Return the conducting layer and its numbers: the cage, or the sheet of the best thickness at ``slip(layer)``."""
    fr, depth = st.frame, st.frame.rotor_depth

    def layer(t, g_m, fill):
        w_A = fr.winding_heat_factor
        end = geometry.end_ring_share(phi_r=fill, k=fr.k, L=fr.L)
        conductance = induction.surface_conductance(t=t, phi_r=fill, rho=rho, e_r=end)
        return SimpleNamespace(
            thickness=t,
            g_m=g_m,
            G=induction.goodness(f=st.frequency, tau=fr.tau, sigma_s=conductance, g_m=g_m),
            beta_w=stage.slip_heat_ratio(v_s=st.field_speed, k=fr.k, g_m=g_m, w_A=w_A),
            beta_c=stage.core_heat_ratio(w_B=st.core_factor, w_A=w_A, k=fr.k, g_m=g_m),
        )

    if fr.brief.induction_rotor == "cage":
        return layer(depth, stage.cage_gap(g=fr.gap, k_C=fr.carter), fr.brief.bar_share)

    def sheet(part):
        t = depth * THINNEST ** (1 - part)
        return layer(t, stage.layered_gap(g=fr.gap, k_C=fr.carter, t=t), 1.0)

    def shear(part):
        made = sheet(part)
        return _at(st, made, slip(made)).shear

    shape = np.broadcast_shapes(np.shape(rho), st.budget.shape)
    return sheet(maximise(shear, np.zeros(shape), np.ones(shape), steps=SHEET_STEPS))


def _at(st, layer, slip):
    """Return the operation at a slip, with all the loading that heat and field limit allow there."""
    fr, g_m, G = st.frame, layer.g_m, layer.G
    x = slip * G
    cost = induction.induction_heat(
        A=1.0, w_A=fr.winding_heat_factor, beta_w=layer.beta_w, beta_c=layer.beta_c, G=G, x=x
    )
    by_heat, by_field = np.sqrt(st.budget / cost), _field_loading(x, fr, g_m)
    A = np.minimum(by_heat, by_field)
    field_binds = by_field <= by_heat * (1 + 1e-3)
    shear = _shear(A, x, fr, g_m)
    best = np.clip(np.maximum(1.0, np.where(field_binds, x, 1.0)), 0.0, G)
    at_best = np.minimum(A, _field_loading(best, fr, g_m))
    at_rest = np.minimum(A * fr.brief.starting_current_ratio, _field_loading(G, fr, g_m))
    return Operation(
        loading=A,
        gap_field=induction.induction_gap_field(A=A, k=fr.k, g_m=g_m, x=x),
        shear=np.where(st.slip_low <= st.slip_high, shear, np.nan),
        slip=slip,
        response=induction.induction_response(x=x),
        magnetic_gap=g_m,
        thickness=layer.thickness,
        maximum_shear=np.maximum(shear, _shear(at_best, best, fr, g_m)),
        starting_shear=_shear(at_rest, G, fr, g_m),
        goodness=G,
        limits={
            "gap field": field_binds & ~fr.yoke_limits,
            "yoke field": field_binds & fr.yoke_limits,
            "slip limit": near(slip, fr.brief.slip_limit),
            "rotor thickness": near(layer.thickness, fr.rotor_depth) & (fr.brief.induction_rotor == "sheet"),
        },
    )


def _field_loading(x, fr, g_m):
    """Return the loading at which the gap field reaches its limit."""
    return fr.field_limit / induction.induction_gap_field(A=1.0, k=fr.k, g_m=g_m, x=x)


def _shear(A, x, fr, g_m):
    return stage.shear_stress(A=A, k=fr.k, g_m=g_m, Lambda=induction.induction_response(x=x))
