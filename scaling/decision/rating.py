"""The numbers of an operating point, the checks a brief makes of it, and the merits it is judged by. SI arrays."""

import numpy as np

from scaling.laws import geometry, motion, stage, start, supply
from scaling.machines import stage as stages
from scaling.machines.stage import Stage

MERITS = {  # name: (unit, function of the figures, what an operating point is to make most of)
    "torque per volume": ("N*m/m**3", lambda r: r["torque"] / r["volume"], "torque"),
    "torque per mass": ("N*m/kg", lambda r: r["torque"] / r["mass"], "torque"),
    "power per volume": ("W/m**3", lambda r: r["power"] / r["volume"], "power"),
    "efficiency": ("1", lambda r: r["efficiency"], "efficiency"),
    "torque per root watt": ("N*m/W**0.5", lambda r: r["torque"] / np.sqrt(r["loss"]), "root watt"),
    "power per volt-ampere": ("1", lambda r: r["power"] / r["volt_amperes"], "volt-ampere"),
}
# Merits that may want less than heat and field limit allow.
SPARING = {"efficiency", "torque per root watt", "power per volt-ampere"}
AT_START = {"start", "starting torque"}  # checks a type may fail by its nature


def output(rotor, st: Stage, op, fixed_supply):
    """Return the figures of operating points that merits and checks ask for."""
    fr = st.frame
    gap_torque = geometry.gap_torque(sigma_t=op.shear, D=fr.D, L=fr.L)
    torque = gap_torque - st.friction_torque - geometry.gap_torque(sigma_t=op.surface_drag, D=fr.D, L=fr.L)
    speed = geometry.shaft_speed(f=st.frequency, p=fr.p, s=op.slip)
    power = torque * speed
    loss = sum(losses(st, op).values())
    return {
        "torque": torque,
        "gap_torque": gap_torque,
        "speed": speed,
        "power": power,
        "loss": loss,
        "efficiency": power / (power + loss),
        "volt_amperes": np.hypot(power + loss, reactive_power(st, op)),
        "volume": fr.volume,
        "mass": fr.mass,
    }


def starting_torque(rotor, st, op, fixed_supply):
    """Return the mean torque at rest. A synchronous rotor on a fixed supply only oscillates there; see ``pull_in``."""
    if rotor.SWINGS is not None and fixed_supply:
        return 0.0
    at_rest = op.starting() if fixed_supply else op.maximum()  # a drive lowers the frequency to the best slip at rest
    return geometry.gap_torque(sigma_t=at_rest, D=st.frame.D, L=st.frame.L) - st.frame.bearing_torque


def losses(st, op):
    """Return every named loss of operating points [W]."""
    fr = st.frame
    return {
        "winding": stage.winding_heat(w_A=st.winding_heat_factor, A=op.loading) * fr.bore_area,
        "core": stage.core_heat(w_B=st.core_factor, B=np.hypot(op.gap_field, op.backward_field)) * fr.bore_area,
        "rotor": rotor_loss(st, op),
        "friction": st.friction_torque * geometry.shaft_speed(f=st.frequency, p=fr.p, s=op.slip),
    }


def rotor_loss(st, op):
    """Return the heat of the rotor [W]: slip in the forward wave, in the backward wave, and ripple at its surface."""
    forward = stage.rotor_heat(s=op.slip, sigma_t=op.shear + op.backward_shear, v_s=st.field_speed)
    backward = stage.rotor_heat(s=2.0 - op.slip, sigma_t=op.backward_shear, v_s=st.field_speed)
    surface = op.surface_drag * st.field_speed * (1.0 - op.slip)
    return (forward + backward + surface) * st.frame.bore_area


def reactive_power(st, op):
    """Return the reactive power of gap and rotor, of both waves, and of slot and end leakage [var]."""
    fr, brief = st.frame, st.frame.brief

    def wave(A, B, sigma):
        apparent, crossing = A * B * st.field_speed / 2, sigma * st.field_speed
        return np.sqrt(np.maximum(apparent**2 - crossing**2, 0.0))

    leakage = supply.leakage_reactive_power(
        omega=geometry.angular_frequency(f=st.frequency),
        A_rms=stage.winding_loading(A=op.loading, k_w=brief.winding_factor) * np.sqrt(1.0 + fr.backward**2),
        d_s=fr.slot_depth,
        phi_t=brief.tooth_share,
        lambda_e=brief.end_leakage,
        e=fr.end_share,
        tau=fr.tau,
    )
    gap = wave(op.loading, op.gap_field, op.shear + op.backward_shear)
    gap = gap + wave(fr.backward * op.loading, op.backward_field, op.backward_shear)
    return (gap + leakage) * fr.bore_area


def figures(rotor, st: Stage, op, fixed_supply):
    """Return every figure of operating points; electrical input equals power plus the named losses."""
    fr, brief = st.frame, st.frame.brief
    rate = output(rotor, st, op, fixed_supply)
    rms = stage.winding_loading(A=op.loading, k_w=brief.winding_factor)
    return rate | {
        "starting_torque": starting_torque(rotor, st, op, fixed_supply),
        "maximum_torque": geometry.gap_torque(sigma_t=op.maximum(), D=fr.D, L=fr.L) - st.friction_torque,
        "power_factor": (rate["power"] + rate["loss"]) / rate["volt_amperes"],
        "heat_flux": rate["loss"] / fr.outside_area,
        "linear_current_density_rms": rms,
        "current_density_rms": stage.conductor_current_density(A_rms=rms, phi_s=fr.copper_share, d_s=fr.slot_depth),
        "slot_fill": fr.copper_share,
        "wire_diameter": fr.wire_diameter,
        "thermal_time_constant": stages.heating_time(fr, st.heat_coefficient),
        **{f"{name} loss": value for name, value in losses(st, op).items()},
    }


def checks(rotor, st, op, rate, fixed_supply, in_range):
    """Return the named checks a candidate must pass, in the order they matter: name -> boolean array."""
    fr, brief = st.frame, st.frame.brief
    passed = {
        "fits": fr.fits,
        "wire": fr.wound,
        "frequency": in_range,
        "friction heat": ~np.isnan(st.budget),
        "works": np.isfinite(op.shear),
        "friction": rate["torque"] > 0.0,
    }
    if brief.torque is not None:
        passed["torque"] = rate["torque"] >= brief.torque
    if brief.synchronous:
        passed["synchronous"] = np.array(rotor.SYNCHRONOUS)
    if brief.self_starting:
        passed["start"] = starting(rotor, st, op, fixed_supply) > 0.0
    if brief.starting_torque is not None:
        passed["starting torque"] = starting_torque(rotor, st, op, fixed_supply) >= brief.starting_torque
    return passed


def load_at_start(st):
    """Return the torque that a rotor has to move from rest on: bearing friction and the load that acts there."""
    brief = st.frame.brief
    return st.frame.bearing_torque + brief.load_at_start * (0.0 if brief.torque is None else brief.torque)


def starting(rotor, st, op, fixed_supply):
    """Return by how much a rotor starts, above 0 if it does: torque to spare, or pull-in number to spare, relative."""
    if rotor.SWINGS is None:
        spare = starting_torque(rotor, st, op, fixed_supply) + st.frame.bearing_torque
        return spare - load_at_start(st)
    need = pull_in_need(rotor, st, op)
    return np.where(need > 0.0, pull_in(rotor, st, op, fixed_supply) / need - 1.0, -1.0)


def pull_in(rotor, st, op, fixed_supply):
    """Return the pull-in number; infinite where none is needed. A drive starts the rotor at its lowest frequency."""
    if rotor.SWINGS is None:
        return np.inf
    fr, brief = st.frame, st.frame.brief
    frequency = st.frequency if fixed_supply else np.minimum(brief.supply_frequency[0], st.frequency)
    torque = geometry.gap_torque(sigma_t=op.maximum(), D=fr.D, L=fr.L)
    inertia = fr.inertia * (1.0 + brief.load_inertia_ratio)
    return start.pull_in_number(p=fr.p, T_e=torque, J=inertia, omega=geometry.angular_frequency(f=frequency))


def pull_in_need(rotor, st, op):
    """Return the pull-in number that a rotor needs against the load at its start; NaN where none is enough, or none."""
    if rotor.SWINGS is None:
        return np.nan
    torque = geometry.gap_torque(sigma_t=op.maximum(), D=st.frame.D, L=st.frame.L)
    law = (
        motion.favourable_pull_in_need if st.frame.brief.starting_angle == "favourable" else motion.certain_pull_in_need
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        load = np.maximum(load_at_start(st) / torque, 1e-9)
        return law(n_T=rotor.SWINGS, l_T=np.where(load < 1.0, load, np.nan))


def judge(rotor, st, op, rate, passed, merit, fixed_supply):
    """Return (level, value) of trials: how far through the checks each gets, and its merit.

    Of trials that fail at a torque or at the start, the one nearest to passing counts as the best, so that a search
    finds its way to what meets the brief.
    """
    names = list(passed)
    level = sum(2.0 ** (len(names) - i) * passed[name] for i, name in enumerate(names))
    value = MERITS[merit][1](rate)
    near = {
        "friction": lambda: rate["torque"],
        "torque": lambda: rate["torque"],
        "start": lambda: starting(rotor, st, op, fixed_supply),
        "starting torque": lambda: starting_torque(rotor, st, op, fixed_supply),
    }
    ahead = True
    for name in names:
        if name in near:
            value = np.where(ahead & ~passed[name], near[name](), value)
        ahead = ahead & passed[name]
    return level, value
