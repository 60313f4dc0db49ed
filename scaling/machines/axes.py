"""A machine at its operating point as two axes: what a fixed voltage, or a drive's limits, make of it elsewhere.

Resistance and reactances are per gap area and square of the peak loading at the operating point's frequency, so that
half of their product with the square of the loading is power per gap area. Iron is as permeable as it is there.
"""

import math
from typing import NamedTuple

import numpy as np

from scaling.laws import supply, two_axis
from scaling.machines.leakage import leakage_reactance


class Axes(NamedTuple):
    """Circuit and currents of an operating point, plain numbers.

    ``A_d`` and ``A_q`` are the peak loadings along and across the axis of the rotor's flux; ``leak`` is the stator's
    leakage reactance, a part of ``X_d`` and ``X_q``; ``E_s`` the voltage of the magnets' field, 0 without magnets.
    """

    R: float
    X_d: float
    X_q: float
    leak: float
    E_s: float
    A_d: float
    A_q: float

    @property
    def loading(self):
        """Peak loading."""
        return math.hypot(self.A_d, self.A_q)

    @property
    def gap_power(self):
        """Power across the gap per gap area."""
        return self.power(self.A_d, self.A_q)

    def power(self, A_d, A_q):
        """Return the power across the gap per gap area at the operating point's frequency: torque in other units."""
        return ((self.X_d - self.X_q) * A_d * A_q + self.E_s * A_q) / 2

    def voltage(self, A_d, A_q, ratio=1.0):
        """Return the voltage of loadings at a ratio of frequency to that of the operating point."""
        across = self.R * A_d - ratio * self.X_q * A_q
        along = self.R * A_q + ratio * (self.X_d * A_d + self.E_s)
        return np.hypot(across, along)

    def gap_field(self, A_d, A_q):
        """Return the gap field of loadings, in proportion."""
        return np.hypot((self.X_d - self.leak) * A_d + self.E_s, (self.X_q - self.leak) * A_q)

    def without_resistance(self):
        """Return the ideal machine."""
        return self._replace(R=0.0)


def plain(array):
    """Return the number of an array of one element."""
    return float(np.asarray(array).item())


def _numbers(*arrays):
    return (plain(array) for array in arrays)


def seen(fed, operation):
    """Return (R, X, leakage, power across the gap) of the forward wave: what the winding presents to the supply."""
    leak = leakage_reactance(fed.stator, fed.frequency, operation.magnetic_gap)
    A, v_s = operation.loading, fed.field_speed
    gap = supply.wave_reactive_power(A=A, B=operation.gap_field, sigma_t=operation.shear, v_s=v_s)
    R = 2 * fed.loading_heat_factor
    return _numbers(R, leak + 2 * gap / A**2, leak, operation.shear * v_s)


def ring_voltage(fed, gap, A, B, shear, ratio=1.0, more=0.0):
    """Return the voltage of a hysteresis ring's loading, gap field and shear stress at a ratio of frequency.

    ``more`` is resistance beside the winding's.
    """
    reactive = supply.wave_reactive_power(A=A, B=B, sigma_t=shear, v_s=fed.field_speed)
    X = leakage_reactance(fed.stator, fed.frequency, gap) + 2 * reactive / A**2
    R = more + 2 * fed.loading_heat_factor + ratio * 2 * shear * fed.field_speed / A**2
    return A * np.hypot(R, ratio * X)


def axes(fed, operation):
    """Return the Axes of an operating point of one wave; None of a hysteresis ring, which has no reactances."""
    if operation.weaker is not None:
        return None
    R, X, leak, power = seen(fed, operation)
    (A,) = _numbers(operation.loading)
    if operation.circuit is not None:
        X_q = _leakage(operation.circuit())
        return _two_unlike(R, X, X_q, leak, A, power)
    if np.isfinite(operation.ideal_remanence).item():
        (delta,) = _numbers(operation.load_angle)
        A_d, A_q = A * math.cos(delta), A * math.sin(delta)
        E_s = 2 * power / A_q
        X = X - E_s * A_d / A**2
        return Axes(R, X, X, leak, E_s, A_d, A_q)
    a = _angle(operation)
    return _two_unlike(R, X, X - 2 * power / A**2 / a, leak, A, power)


def _leakage(circuit):
    """Return the reactance of an induction machine whose rotor's currents are free."""
    at = {name: circuit[name] for name in ("X_1", "X_m", "X_2")}
    (X_q,) = _numbers(two_axis.axis_reactance(**at, R_2=0.0, s=1.0))
    return X_q


def _two_unlike(R, X, X_q, leak, A, power):
    """Return the Axes that have an X_q, and present X and power across the gap to the supply."""
    resistance = 2 * power / A**2
    tangent = resistance / (X - X_q)
    A_d = A / math.hypot(1.0, tangent)
    return Axes(R, X + resistance * tangent, X_q, leak, 0.0, A_d, A_d * tangent)


def _angle(operation):
    """Return the tangent of the current's angle from the d axis, with what the iron takes along the field."""
    A, ideal, delta, xi, B = _numbers(
        operation.loading, operation.ideal_loading, operation.load_angle, operation.saliency, operation.gap_field
    )
    d, q = ideal * math.cos(delta), ideal * math.sin(delta)
    along = np.array([1.0, math.tan(delta) / xi])
    along = along / np.hypot(*along)
    straight = d * along[0] + q * along[1]
    iron = -straight + math.sqrt(max(straight**2 + A**2 - ideal**2, 0.0))
    return (q + iron * along[1]) / (d + iron * along[0])
