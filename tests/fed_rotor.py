"""A rotor with two axes, a cage and perhaps magnets switched to a fixed voltage: circuits and motion in time."""

import numpy as np
from scipy.integrate import solve_ivp


def switched_on(machine, angle, periods, rtol=1e-6):
    """Return (times in periods, slips) from rest; ``machine`` is a dictionary of numbers.

    R, leak, magnets (V/m), voltage, and "axes", two dictionaries of X_m, X_2, R_2. Torques count as power per area at
    synchronous speed: slip' = (load - torque)/inertia per radian of the supply. "load(slip)" is what opposes.
    """
    R, leak, U, E = (machine[name] for name in ("R", "leak", "voltage", "magnets"))
    d, q = machine["axes"]
    inverse = [
        np.linalg.inv([[leak + axis["X_m"], axis["X_m"]], [axis["X_m"], axis["X_m"] + axis["X_2"]]]) for axis in (d, q)
    ]

    def currents(state):
        psi_d, psi_kd, psi_q, psi_kq = state[:4]
        i_d, i_kd = inverse[0] @ [psi_d - E, psi_kd - E]
        i_q, i_kq = inverse[1] @ [psi_q, psi_kq]
        return i_d, i_kd, i_q, i_kq

    def slope(u, state):
        i_d, i_kd, i_q, i_kq = currents(state)
        psi_d, psi_q, slip, behind = state[0], state[2], state[4], state[5]
        torque = (psi_d * i_q - psi_q * i_d) / 2
        opposed = machine["load"](slip)
        driven = torque - opposed
        if slip >= 1.0 and torque < opposed:  # friction and load hold it at rest, and do not drive it back
            driven = 0.0 if torque > -opposed else torque + opposed
        return [
            U * np.cos(behind) - R * i_d + (1 - slip) * psi_q,
            -d["R_2"] * i_kd,
            U * np.sin(behind) - R * i_q - (1 - slip) * psi_d,
            -q["R_2"] * i_kq,
            -driven / machine["inertia"],
            slip,
        ]

    solved = solve_ivp(
        slope, (0, 2 * np.pi * periods), [E, E, 0, 0, 1.0, angle], rtol=rtol, atol=1e-9 * U, max_step=0.5
    )
    return solved.t / (2 * np.pi), solved.y[4]


def machine_of(point):
    """Return the machine of a point with a cage, as above."""
    caged, cage, stator = point.caged, point.caged.cage, point.stator

    def one(value):
        return np.asarray(value).item()

    per_torque = one(point.fed.field_speed / (stator.area * stator.lever))  # power per area over torque
    omega, p = 2 * np.pi * one(point.fed.frequency), one(stator.p)
    J = one(stator.inertia) * (1 + point.si.load_inertia_ratio)
    return {
        "R": one(cage.R),
        "leak": one(cage.leak()),
        "voltage": one(cage.voltage),
        "magnets": one(cage.magnets),
        "axes": [{name: one(both[i]) for name, both in cage._axes.items()} for i in range(2)],
        "inertia": J * omega**2 / p * per_torque,
        "load": lambda slip: per_torque * one(caged.opposed(slip)),
    }
