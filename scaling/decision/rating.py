"""The numbers of an operating point, the checks a brief makes of it, and the merits it is judged by. SI arrays."""

import numpy as np

from scaling.laws import geometry, stage, start
from scaling.machines.stage import Stage

MERITS = {  # name: (unit, function of the figures, what an operating point is to make most of)
    "torque per volume": ("N*m/m**3", lambda r: r["torque"] / r["volume"], "torque"),
    "torque per mass": ("N*m/kg", lambda r: r["torque"] / r["mass"], "torque"),
    "power per volume": ("W/m**3", lambda r: r["power"] / r["volume"], "power"),
    "efficiency": ("1", lambda r: r["efficiency"], "efficiency"),
    "torque per root watt": ("N*m/W**0.5", lambda r: r["torque"] / np.sqrt(r["loss"]), "root watt"),
}
SPARING = {"efficiency", "torque per root watt"}  # merits that may want less than heat and field limit allow
AT_START = {"start", "starting torque"}  # checks a type may fail by its nature


def output(rotor, st: Stage, op, fixed_supply):
    """Return the figures of operating points that merits and checks ask for."""
    fr = st.frame
    gap_torque = geometry.gap_torque(sigma_t=op.shear, D=fr.D, L=fr.L)
    torque = gap_torque - st.friction_torque
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
        "volume": fr.volume,
        "mass": fr.mass,
    }


def starting_torque(rotor, st, op, fixed_supply):
    """Return the mean torque at rest. A synchronous rotor on a fixed supply only oscillates there; see ``pull_in``."""
    if rotor.PULL_IN is not None and fixed_supply:
        return 0.0
    return geometry.gap_torque(sigma_t=op.starting(), D=st.frame.D, L=st.frame.L) - st.frame.bearing_torque


def losses(st, op):
    """Return every named loss of operating points [W]."""
    fr = st.frame
    return {
        "winding": stage.winding_heat(w_A=fr.winding_heat_factor, A=op.loading) * fr.bore_area,
        "core": stage.core_heat(w_B=st.core_factor, B=op.gap_field) * fr.bore_area,
        "rotor": stage.rotor_heat(s=op.slip, sigma_t=op.shear, v_s=st.field_speed) * fr.bore_area,
        "friction": st.friction_torque * geometry.shaft_speed(f=st.frequency, p=fr.p, s=op.slip),
    }


def figures(rotor, st: Stage, op, fixed_supply):
    """Return every figure of operating points; electrical input equals power plus the named losses."""
    fr, brief = st.frame, st.frame.brief
    rate = output(rotor, st, op, fixed_supply)
    apparent = op.loading * op.gap_field * st.field_speed * fr.bore_area / 2
    crossing = op.shear * st.field_speed * fr.bore_area
    reactive = np.sqrt(np.maximum(apparent**2 - crossing**2, 0.0))
    supplied = rate["power"] + rate["loss"]
    rms = stage.winding_loading(A=op.loading, k_w=brief.winding_factor)
    return rate | {
        "starting_torque": starting_torque(rotor, st, op, fixed_supply),
        "maximum_torque": geometry.gap_torque(sigma_t=op.maximum(), D=fr.D, L=fr.L) - st.friction_torque,
        "power_factor": supplied / np.hypot(supplied, reactive),
        "heat_flux": rate["loss"] / fr.outside_area,
        "linear_current_density_rms": rms,
        "current_density_rms": stage.conductor_current_density(A_rms=rms, phi_s=brief.slot_fill, d_s=fr.slot_depth),
        **{f"{name} loss": value for name, value in losses(st, op).items()},
    }


def checks(rotor, st, op, rate, fixed_supply, in_range):
    """Return the named checks a candidate must pass, in the order they matter: name -> boolean array."""
    fr, brief = st.frame, st.frame.brief
    passed = {
        "fits": fr.fits,
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
        if rotor.PULL_IN is None:
            passed["start"] = starting_torque(rotor, st, op, fixed_supply) > 0.0
        else:
            passed["start"] = pull_in(rotor, st, op, fixed_supply) >= rotor.PULL_IN
    if brief.starting_torque is not None:
        passed["starting torque"] = starting_torque(rotor, st, op, fixed_supply) >= brief.starting_torque
    return passed


def pull_in(rotor, st, op, fixed_supply):
    """Return the pull-in number; infinite where none is needed. A drive starts the rotor at its lowest frequency."""
    if rotor.PULL_IN is None:
        return np.inf
    fr, brief = st.frame, st.frame.brief
    frequency = st.frequency if fixed_supply else np.minimum(brief.supply_frequency[0], st.frequency)
    torque = geometry.gap_torque(sigma_t=op.maximum(), D=fr.D, L=fr.L)
    inertia = fr.inertia * (1.0 + brief.load_inertia_ratio)
    return start.pull_in_number(p=fr.p, T_e=torque, J=inertia, omega=geometry.angular_frequency(f=frequency))


def judge(rotor, st, op, rate, passed, merit, fixed_supply):
    """Return (level, value) of trials: how far through the checks each gets, and its merit.

    Of trials that fail at a torque or at the start, the one nearest to passing counts as the best, so that a search
    finds its way to what meets the brief.
    """
    names = list(passed)
    level = sum(2.0 ** (len(names) - i) * passed[name] for i, name in enumerate(names))
    value = MERITS[merit][1](rate)
    at_start = starting_torque if rotor.PULL_IN is None else pull_in
    near = {
        "friction": lambda: rate["torque"],
        "torque": lambda: rate["torque"],
        "start": lambda: at_start(rotor, st, op, fixed_supply),
        "starting torque": lambda: starting_torque(rotor, st, op, fixed_supply),
    }
    ahead = True
    for name in names:
        if name in near:
            value = np.where(ahead & ~passed[name], near[name](), value)
        ahead = ahead & passed[name]
    return level, value
