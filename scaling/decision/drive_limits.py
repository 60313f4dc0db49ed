"""Torque that all current and voltage of a drive give of a made design, at ratios of its frequency: rotor by rotor."""

import math

import numpy as np

from scaling.laws import envelope as law
from scaling.laws import reserve, two_axis
from scaling.machines.axes import axes, ring_voltage

PARTS = np.geomspace(0.02, 10.0, 700)  # of the field of a hysteresis ring, tried
ACROSS = 1e-6  # of the current along the magnets' axis: none


def limits_of(point, overload, ratio):
    """Return the limits of a made design for an overload of its current and a ratio of its voltage."""
    made = axes(point.fed, point.operation)
    if made is None:
        return RingLimits(point, overload, ratio)
    slip = np.asarray(point.operation.slip).item()
    return AxesLimits(made, overload * made.loading, ratio * made.voltage(made.A_d, made.A_q), slip)


class AxesLimits:
    """Limits of a machine of two axes: ``most`` is the peak loading, ``voltage`` that per area and loading.

    ``at(ratios)`` returns (torque across the gap, current, gap field) over the design's, the slip's part of the
    design's frequency, and 1 where less than all current is best, else 0. The current that magnetises stays that of the
    design up to base speed, and the torque above it never exceeds the one below.
    """

    def __init__(self, made, most, voltage, slip=0.0):
        self.made, self.most, self.voltage, self.slip = made, most, voltage, slip
        self.below = made.A_d, math.sqrt(max(most**2 - made.A_d**2, 0.0))
        self.held = made.power(*self.below)

    @property
    def base_ratio(self):
        """Frequency, over the design's, at which the currents of base speed fill the voltage."""
        free = self.made.without_resistance().voltage(*self.below)
        at = {"U_s": self.voltage, "R": self.made.R, "A": self.most, "U_f": free, "q_g": self.held}
        return float(law.full_voltage_ratio(**at))

    @property
    def induced(self):
        """Voltage of the magnets' field over the drive's, at the design's frequency."""
        return self.made.E_s / self.voltage

    @property
    def largest_slip(self):
        """Part of the design's frequency that slip takes at most."""
        return self.slip * self._steepest / (self.made.A_q / self.made.A_d) if self.slip else 0.0

    @property
    def _steepest(self):
        return self.made.X_d / self.made.X_q

    def _weakened(self, ratio):
        """Return (loadings along and across) of all current that fills the voltage."""
        made, at = self.made, {"U_s": self.voltage, "A_m": self.most, "R": self.made.R, "n_f": ratio}
        if made.E_s:
            angle = law.magnet_weakening_angle(X=made.X_d, E_s=made.E_s, **at)
        else:
            angle = law.salient_weakening_angle(X_d=made.X_d, X_q=made.X_q, **at)
        return self.most * np.cos(angle), self.most * np.sin(angle)

    def _best(self, ratio):
        """Return (loadings along and across) of the largest torque that the voltage gives with any current."""
        made, U = self.made, self.voltage
        at = {"R": made.R, "n_f": ratio}
        if made.E_s:
            across = law.magnet_pull_out_current(U_s=U, X=made.X_d, E_s=made.E_s, **at)
            return -law.magnet_opposing_current(X=made.X_d, E_s=made.E_s, **at), across
        circuit = {"R": made.R, "X_d": ratio * made.X_d, "X_q": ratio * made.X_q}
        tangent = reserve.reserved_load_angle(m_r=1.0, **circuit)
        along = U / two_axis.two_axis_voltage(A=1.0, tan_delta=tangent, **circuit) / np.hypot(1.0, tangent)
        return along, along * tangent

    def loadings(self, ratio):
        """Return (along, across, whether less than all current is best) at ratios of frequency; NaN: nothing is."""
        ratio = np.asarray(ratio, float)
        with np.errstate(invalid="ignore", divide="ignore"):
            low = self.made.voltage(*self.below, ratio) <= self.voltage * (1 + 1e-12)
            second, third = self._weakened(ratio), self._best(ratio)
            less = ~low & (np.hypot(*third) <= self.most) & (third[1] > 0.0)
            along, across = (
                np.where(low, first, np.where(less, best, all_of_it))
                for first, best, all_of_it in zip(self.below, third, second, strict=True)
            )
        return along, across, less

    def at(self, ratios):
        """Return what the class says."""
        made = self.made
        along, across, less = self.loadings(ratios)
        power = made.power(along, across)
        with np.errstate(invalid="ignore", divide="ignore"):
            cut = np.sqrt(np.minimum(self.held / power, 1.0)) if not made.E_s else np.ones(power.shape)
        along, across = cut * along, cut * across
        power = np.minimum(power, self.held)
        slip = self.slip * across / along / (made.A_q / made.A_d) if self.slip else np.zeros(power.shape)
        field = made.gap_field(along, across) / made.gap_field(made.A_d, made.A_q)
        return power / made.gap_power, np.hypot(along, across) / made.loading, field, slip, 1.0 * less

    def figures(self):
        """Return the figures of an Envelope that closed forms give."""
        made, (along, across) = self.made, self.below
        if not made.E_s:
            xi, tangent = made.X_d / made.X_q, across / along
            return {
                "saliency": xi,
                "characteristic_current": math.nan,
                "ideal_range": float(law.salient_power_range(xi=xi, tan_delta=tangent)),
                "reserve": float(reserve.two_axis_pull_out(R=0.0, X_d=made.X_d, X_q=made.X_q, tan_delta=tangent)),
            }
        c_I = float(law.characteristic_current_ratio(E_s=made.E_s, X=made.X_d, A_m=self.most))
        ideal = math.nan
        if abs(along) <= ACROSS * self.most:
            ideal = float(law.magnet_power_range(c_I=c_I)) if c_I > 1.0 else math.inf
        U = made.without_resistance().voltage(*self.below)
        return {"saliency": 1.0, "characteristic_current": c_I, "ideal_range": ideal, "reserve": U / made.X_d / across}

    @property
    def assumed(self):
        """What was taken for granted."""
        if self.made.E_s:
            return "Magnets stand the field against them."
        if self.slip:
            return "Resistance and leakage of the rotor as at the design's point: no skin effect, tips unsaturated."
        return "Saturated ribs count as a part of the q axis' reactance at the design's point."


class RingLimits:
    """The same of a hysteresis ring, at a lag as at its design's point: its loops decide, in a table of fields."""

    assumed = "The ring's loops lag as at the design's point."
    induced = 0.0

    def __init__(self, point, overload, ratio):
        self.fed, self.gap = point.fed, point.operation.magnetic_gap
        weaker, shear = point.operation.weaker, point.operation.shear
        parts = PARTS.reshape(-1, 1, 1)
        largest = weaker(parts, None)[3]
        lag = largest / np.asarray(weaker(1.0, None)[3])
        table = [np.broadcast_to(x, parts.shape).ravel() for x in weaker(parts, lag * shear)[:3]]
        able = np.isfinite(np.sum(table, axis=0))
        self.A, self.B, self.shear = (x[able] for x in table)
        self.places = np.arange(self.A.size)
        design = [np.asarray(x) for x in weaker(1.0, shear)[:3]]
        self.design = [x.item() for x in design]
        self.most = overload * self.design[0]
        self.voltage = ratio * np.asarray(ring_voltage(self.fed, self.gap, *design)).item()
        self.largest_slip = 0.0

    def _drawn(self, ratio):
        """Return the voltages of all fields at a ratio of frequency."""
        shaped = (x.reshape(-1, 1, 1) for x in (self.A, self.B, self.shear))
        return ring_voltage(self.fed, self.gap, *shaped, ratio=ratio).ravel()

    def _place(self, ratio):
        """Return (place in the table, whether less than all current is drawn) at a ratio of frequency."""
        used = np.maximum.accumulate(np.fmax(self._drawn(ratio) / self.voltage, self.A / self.most))
        place = np.interp(1.0, used, self.places) if used[0] < 1.0 else math.nan
        return place, np.interp(place, self.places, self.A) < self.most * (1 - 1e-6)

    def at(self, ratios):
        """Return what `AxesLimits` says."""
        found = [self._place(ratio) for ratio in ratios]
        place, less = np.array([p for p, _ in found]), np.array([bool(one) for _, one in found])
        A, B, shear = (np.interp(place, self.places, x) for x in (self.A, self.B, self.shear))
        return shear / self.design[2], A / self.design[0], B / self.design[1], np.zeros(place.shape), 1.0 * less

    @property
    def base_ratio(self):
        """Frequency, over the design's, at which all current fills the voltage."""
        A, B, shear = (np.interp(self.most, self.A, x) for x in (self.A, self.B, self.shear))
        ratios = np.geomspace(0.01, 100.0, 4000)
        drawn = ring_voltage(self.fed, self.gap, A, B, shear, ratio=ratios.reshape(-1, 1, 1)).ravel()
        return float(np.interp(self.voltage, drawn, ratios))

    def figures(self):
        """Return the figures of an Envelope: a ring has no closed form."""
        return dict.fromkeys(("saliency", "characteristic_current", "ideal_range", "reserve"), math.nan)
