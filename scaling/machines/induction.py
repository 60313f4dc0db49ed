"""The induction rotor: a cage in iron slots, or a plain conducting sheet on smooth iron."""

import functools
from types import SimpleNamespace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, induction, stage, start, surface
from scaling.machines.operation import Operation, near
from scaling.machines.stage import at_frequency, resistivity, sheet_stands, stands, with_surface
from scaling.models.layered import Section
from scaling.models.search import maximise

KIND = "induction"
SYNCHRONOUS = False
SWINGS = None  # starts on its own torque
SURFACE = materials.SOLID_SURFACES["steel"]
CLOSED = False  # the slip is searched near its closed form, which leaves out that friction falls with slip
THINNEST = 1e-3  # thinnest sheet tried, as a part of the deepest
SHEET_STEPS = 16  # leave 3e-3 of the thickness at a smooth top
BEYOND = 4.0  # times the slip that fills heat and field limit, or gives the largest torque: the largest slip searched


def candidates(brief):
    """Return the rotor conductors to try."""
    return tuple(materials.CONDUCTORS.values())


def properties(material, brief):
    """Return what a material contributes: its resistivity when hot, and the rim speed its end rings stand."""
    return {"rho": resistivity(material, brief), "rim_speed": stands(material.name, brief)}


def rim_speed(fr, conductor):
    """Return the rim speed that core and end rings stand."""
    return np.minimum(sheet_stands(fr.brief), conductor["rim_speed"])


def operate(st, conductor, goal, part, rough=False):
    """Return (stage, operation); ``part`` from 0 to 1 sets the slip, at 1/2 heat and field limit are both full.

    A slip carries all the loading that heat and field limit allow: every merit rises with it at a given slip. Friction
    and shaft fan are taken at the speed the rotor really turns. The thickness of a sheet is searched: a thicker one
    conducts better, in a wider gap. ``rough`` leaves skin effect and slot leakage of the rotor out.
    """
    layer = _layer(st, conductor["rho"], lambda layer: _slip(st, layer, goal, part), rough)
    slip = _slip(st, layer, goal, part)
    facing = SURFACE if st.frame.brief.induction_rotor == "cage" else (1.0 / conductor["rho"], 1.0)
    st = with_surface(at_frequency(st.frame, st.frequency, np.nan_to_num(slip)), *facing)
    return st, _at(st, _layer(st, conductor["rho"], lambda _: slip, rough), slip)


def _slip(st, layer, goal, part):
    """Return the slip at a part: from the best at a given heat (0) over both limits full (1/2) to well beyond (1)."""
    fr = st.frame
    budget = {"beta_w": layer.beta_w, "beta_c": layer.beta_c, "G": layer.G}
    chi = stage.loading_ratio(q_b=st.budget, w_A=st.winding_heat_factor, B_l=fr.field_limit, k=fr.k, g_m=layer.g_f)
    with np.errstate(invalid="ignore", divide="ignore"):
        spared = budget | {"beta_w": layer.beta_w - layer.G * (chi * layer.through) ** 2}
        edge = np.nan_to_num(induction.field_limited_slip_goodness(chi=chi, **spared))
        torque = induction.best_torque_slip_goodness(**budget)
        free = torque if goal in ("torque", "root watt") else induction.best_power_slip_goodness(**budget)
        corner = np.maximum(free, edge)
        high = BEYOND * np.maximum(corner, torque)
        x = np.where(part < 0.5, free * (corner / free) ** (2 * part), corner * (high / corner) ** (2 * part - 1))
    return np.maximum(np.clip(x / layer.G, st.slip_low, st.slip_high), 0.0)


def _layer(st, rho, slip, rough):
    """Return the conducting layer and its numbers: the cage, or the sheet of the best thickness at ``slip(layer)``."""
    fr, depth = st.frame, st.frame.rotor_depth

    def layer(t, fill, g, g_m, admittance):
        """Return a layer: numbers of the thin-gap laws, and its surface admittance at a slip, gap ``g`` before it."""
        w_A, g_f = st.winding_heat_factor, surface.field_gap(k=fr.k, g_m=g_m)
        with np.errstate(over="ignore"):  # a gap of many pole pitches
            g_t = surface.traction_gap(k=fr.k, g_m=g_m)
        end = geometry.end_ring_share(phi_r=fill, k=fr.k, L=fr.L)
        conductance = induction.surface_conductance(t=t, phi_r=fill, rho=rho, e_r=end)
        G = induction.goodness(f=st.frequency, tau=fr.tau, sigma_s=conductance, g_m=g_f)
        beta_c = stage.core_heat_ratio(w_B=st.core_factor, w_A=w_A, k=fr.k, g_m=g_f)
        beta_w = stage.slip_heat_ratio(v_s=st.field_speed, k=fr.k, g_m=g_t, w_A=w_A)
        through = (fr.k * g_f) ** 2  # of the gap field at the stator face, what the rotor cannot expel
        return SimpleNamespace(
            thickness=t,
            g=g_m if rough else g,
            g_m=g_m,
            g_f=g_f,
            G=G,
            beta_w=beta_w + G * beta_c * through**2,
            beta_c=beta_c,
            through=through,
            admittance=lambda s: (0.0, s * G * fr.k * g_f) if rough else admittance(t, rho * (1 + end), s),
        )

    if fr.brief.induction_rotor == "cage":

        def bars(t, rho, s):
            z_b = surface.bar_depth_ratio(t=t, s=s, f=st.frequency, rho=rho, e_r=0.0)
            bar = {"phi_r": fr.brief.bar_share, "k": fr.k, "t": t, "z_b": z_b}
            return surface.bar_leakage(**bar), surface.bar_conductance(**bar)

        gap = stage.cage_gap(g=fr.gap, k_C=fr.carter)
        return layer(depth, fr.brief.bar_share, gap, gap, bars)

    def skin(t, rho, s):
        reynolds = VALUES["mu_0"] * s * st.field_speed / (rho * fr.k)
        seen = Section(fr.k * t, 0.0, reynolds=reynolds).admittance
        return seen.real, seen.imag

    def sheet(part):
        t = depth * THINNEST ** (1 - part)
        return layer(t, 1.0, fr.stator_gap, stage.layered_gap(g=fr.gap, k_C=fr.carter, t=t), skin)

    def shear(part):
        made = sheet(part)
        return _at(st, made, slip(made)).shear

    shape = np.broadcast_shapes(np.shape(rho), st.budget.shape)
    return sheet(maximise(shear, np.zeros(shape), np.ones(shape), steps=SHEET_STEPS))


def _at(st, layer, slip):
    """Return the operation at a slip, with all the loading that heat and field limit allow there."""
    fr = st.frame

    def one(s):
        """Return (gap field, shear stress) of one wave per loading and per square of it, at its slip."""
        Y_r, Y_i = layer.admittance(s)
        unit = {"A": 1.0, "k": fr.k, "g_m": layer.g, "Y_r": Y_r, "Y_i": Y_i}
        return surface.surface_gap_field(**unit), surface.surface_shear_stress(**unit)

    def seen(s):
        """Return (loading at the field limit, forward field, backward field, forward stress, backward stress)."""
        field, stress = one(np.abs(s))
        stress = np.copysign(stress, s)
        if not np.any(fr.backward):
            return fr.field_limit / field, field, 0.0, stress, 0.0
        back, brake = one(2.0 - s)
        back, brake = fr.backward * back, fr.backward**2 * brake
        return fr.field_limit / (field + back), field, back, stress, brake

    by_field, field, back, driving, brake = seen(slip)
    heat = (st.core_factor + st.surface_factor * (1.0 - slip)) * field**2 + st.core_factor * back**2
    heat = heat + slip * st.field_speed * driving + (2.0 - slip) * st.field_speed * brake
    by_heat = np.sqrt(st.budget / (st.winding_heat_factor + heat))
    A = np.minimum(by_heat, by_field)
    field_binds = by_field <= by_heat * (1 + 1e-3)
    shear = A**2 * (driving - brake)
    x = slip * layer.G
    best = np.clip(np.maximum(1.0, np.where(field_binds, x, 1.0)) / layer.G, 0.0, 1.0)

    def maximum():
        limit, _, _, driving, brake = seen(best)
        return np.maximum(shear, np.minimum(A, limit) ** 2 * (driving - brake))

    @functools.cache
    def at_rest():
        return seen(np.ones(slip.shape))

    def circuit(_, field, back, driving, brake):
        """Return what the winding presents to the supply but for leakage: its heat and the waves in the gap."""
        waves = ((field, 2 * driving), (fr.backward * back, 2 * brake))
        R = sum(crossing * st.field_speed for _, crossing in waves)
        X = sum(np.sqrt(np.maximum(B**2 - crossing**2, 0.0)) * st.field_speed for B, crossing in waves)
        return {"R": R + 2 * st.winding_heat_factor, "X": X}

    def supplied(at):
        """Return the current that a fixed voltage drives over the continuous one."""
        running, rest = circuit(by_field, field, back, driving, brake), circuit(*at_rest())
        running, rest = ({f"{n}_{i}": v for n, v in c.items()} for i, c in (("e", running), ("1", rest)))
        with np.errstate(divide="ignore", invalid="ignore"):
            leakage = start.leakage_reactance(a_1=fr.brief.starting_current_ratio, **running, **rest)
        leakage = np.maximum(np.nan_to_num(leakage, nan=0.0, posinf=1e6), 0.0)
        return start.supplied_current(X_l=leakage, **running, **circuit(*at))

    def stressed(at, current):
        limit, _, _, driving, brake = at
        loading = np.minimum(A * current, limit)
        return loading**2 * (driving - brake), loading

    def along(s, fixed_supply):
        at = seen(s)
        return stressed(at, supplied((at[0], at[1], at[2], np.abs(at[3]), at[4])) if fixed_supply else 1.0)

    @functools.cache
    def starting():
        return stressed(at_rest(), supplied(at_rest()))[0]

    return Operation(
        loading=A,
        gap_field=A * field,
        shear=np.where(st.slip_low <= st.slip_high, shear, np.nan),
        slip=slip,
        response=shear / stage.shear_stress(A=A, k=fr.k, g_m=layer.g_m, Lambda=1.0),
        magnetic_gap=layer.g_m,
        thickness=layer.thickness,
        maximum=maximum,
        starting=starting,
        along=along,
        backward_field=A * back,
        backward_shear=A**2 * brake,
        surface_drag=st.surface_factor * (A * field) ** 2 / st.field_speed,
        goodness=layer.G,
        limits={
            **fr.held_by(field_binds),
            "slip limit": near(slip, fr.brief.slip_limit),
            "rotor thickness": near(layer.thickness, fr.rotor_depth) & (fr.brief.induction_rotor == "sheet"),
        },
    )
