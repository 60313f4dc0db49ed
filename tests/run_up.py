"""Run-up of an induction rotor in closed form, by Kloss's law: a second route to what is integrated in time.

Torque over breakdown torque is 2/(s/s_b + s_b/s): thin gap, given current, rotor resistance constant. The integrals are
those of J*Omega_0*ds over the torque left.
"""

import numpy as np


def induction_torque(*, T_m, s, s_b):
    """Return the torque at a slip from breakdown torque and breakdown slip; for numbers and for symbols."""
    return 2 * T_m / (s / s_b + s_b / s)


def run_up_time(*, J, Omega_0, T_m, s_b, s_e):
    """Return the time from rest to a slip without load."""
    return J * Omega_0 / (2 * T_m) * ((1 - s_e**2) / (2 * s_b) + s_b * np.log(1 / s_e))


def loaded_run_up_time(*, J, Omega_0, T_m, s_b, l_T, s_e):
    """Return the time from rest to a slip against a load of l_T of the breakdown torque, the same at every speed."""
    w = np.sqrt(1 - l_T**2)
    low, high = s_b * (1 - w) / l_T, s_b * (1 + w) / l_T
    logs = (high * np.log((high - s_e) / (high - 1)) - low * np.log((s_e - low) / (1 - low))) / (high - low)
    return J * Omega_0 / (T_m * l_T) * (2 * s_b / l_T * logs - (1 - s_e))


def run_up_heat(*, J, Omega_0, s_e):
    """Return the heat of the rotor from rest to a slip without load: of what crosses the gap the share s stays."""
    return J * Omega_0**2 / 2 * (1 - s_e**2)
