"""The largest torque on a fixed voltage over that of a running point, for the dense search: tried, not solved.

A winding of resistance R and leakage reactance X_l, both per gap area and current sheet, stands before the gap. The
voltage is that of the running point; the largest torque is sought over all currents, angles or slips of that voltage.
"""

import numpy as np
from brute_stage import MU_0, leakage, winding_heat

USUAL = {"induction": 1.6, "reluctance": 1.5, "hysteresis": 1.35, "magnet": 1.35}
GOLDEN = (np.sqrt(5) - 1) / 2


def asked(kind, si):
    """Return the pull-out torque that the brief wants over the running one; a drive needs no reserve."""
    if si.supply_frequency[0] != si.supply_frequency[1]:
        return 1.0
    return USUAL[kind] if si.pull_out_reserve is None else si.pull_out_reserve


def winding(si, s, f, g_m):
    """Return (R, X_l, reactance of the open gap of width zero): of the forward wave, per current sheet."""
    per_wave = 2 / s.bore / (1 + s.back**2)
    speed = 2 * f * s.tau
    return winding_heat(si, s, f, 1.0) * per_wave, leakage(si, s, f, 1.0, g_m) * per_wave, MU_0 * speed


def top(function, low, high, steps=34):
    """Return where a function with one maximum is largest, by golden sections."""
    c, d = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_c, at_d = function(c), function(d)
    for _ in range(steps):
        left = at_c > at_d
        low, high = np.where(left, low, c), np.where(left, d, high)
        new = np.where(left, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
        at_new = function(new)
        c, d = np.where(left, new, d), np.where(left, c, new)
        at_c, at_d = np.where(left, at_new, at_d), np.where(left, at_c, at_new)
    return (low + high) / 2


def held(ratio, low, high, m, steps=30):
    """Return the largest argument at which a falling ratio is m, or `high` where it is more there."""
    for _ in range(steps):
        middle = (low + high) / 2
        enough = ratio(middle) >= m
        low, high = np.where(enough, middle, low), np.where(enough, high, middle)
    return low


def reluctance(m, R, X_d, X_q):
    """Return (largest load angle that leaves a reserve, reserve by angle): two axes, any current of one voltage."""

    def torque(delta):  # of the current that one volt drives at this angle against the d axis
        d, q = np.cos(delta), np.sin(delta)
        voltage = np.hypot(R * d - X_q * q, X_d * d + R * q)
        return (X_d - X_q) * d * q / voltage**2

    zero = 0.0 * (R + X_d + X_q)
    peak = top(torque, zero + 1e-9, zero + np.pi / 2)
    return held(lambda delta: torque(peak) / torque(delta), zero + 1e-9, peak, m), lambda d: torque(peak) / torque(d)


def magnet(R, X, current):
    """Return the largest torque over that of a current beside a magnets' voltage of one, at the terminal voltage."""
    voltage = np.abs(1 + (R + 1j * X) * current)

    def torque(angle):
        return np.real((voltage * np.exp(1j * angle) - 1) / (R + 1j * X))

    zero = 0.0 * (R + X + voltage)
    return torque(top(torque, zero, zero + np.pi)) / np.real(current)


def induction(m, R, X_l, X_0, branch):
    """Return (largest slip that leaves a reserve, reserve by slip): a T circuit of constant parameters.

    `branch` is the rotor's impedance at a slip of one were it not for skin effect, R_2 + j*X_2. The largest torque is
    that between standstill and synchronism.
    """

    def torque(log_slip):
        resistance = np.real(branch) / np.exp(log_slip)
        rotor = resistance + 1j * np.imag(branch)
        gap = 1j * X_0 * rotor / (1j * X_0 + rotor)
        return np.abs(gap / (R + 1j * X_l + gap) / rotor) ** 2 * resistance

    zero = 0.0 * (R + X_l + X_0 + np.real(branch))
    peak = top(torque, zero + np.log(1e-9), zero)

    def reserve(slip):
        return torque(peak) / torque(np.log(slip))

    return np.exp(held(lambda x: torque(peak) / torque(x), peak - 30, peak, m)), reserve
