"""A design whose voltage is not quite the one it wants: flux goes with voltage over turns, and all else follows.

The torque asked of it stays that of the design, or falls until the winding is as warm as allowed. Iron is as permeable
as at the design's point.
"""

import math
from dataclasses import dataclass

import numpy as np

from scaling.laws import envelope, reserve, two_axis
from scaling.machines.axes import axes, plain, ring_voltage
from scaling.models.search import root
from scaling.models.thermal_network import LOSSES as HEATS

PARTS = np.geomspace(0.02, 4.0, 400)  # of the field of a hysteresis ring, tried
TRIED = (1.0, 0.97, 0.94, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1)  # of the design's torque
WARM = 1 + 1e-9
LIGHT = 1e-6  # of the torque: none


@dataclass(frozen=True)
class Shifted:
    """An operating point at another flux, plain numbers in SI; loading and gap field over those of the design."""

    torque: float
    loading: float
    gap_field: float
    slip: float
    reserve: float
    losses: dict
    winding_rise: float
    power: float

    @property
    def input_power(self):
        """Electrical power taken in [W]."""
        return self.power + sum(self.losses.values())


class AtVoltage:
    """A made design at a voltage over the one that it wants, ``u``; ``resistance`` is its winding's over the ideal."""

    def __init__(self, point, u, resistance=1.0):
        self.point, self.u, self.resistance = point, u, resistance
        fed, operation = point.fed, point.operation
        self.axes = axes(fed, operation)
        more = (resistance - 1.0) * 2 * plain(fed.winding_heat_factor)
        self.wound = None if self.axes is None else self.axes._replace(R=self.axes.R + more)
        self.shear, self.slip = plain(operation.shear), plain(operation.slip)
        self.braked = plain(point.braking_torque) / plain(point.gap_torque)
        self.losses = {name: plain(loss) for name, loss in point.losses.items()}
        self.slip_loss = self.slip * self.shear * plain(fed.field_speed) * plain(point.stator.area)
        self.own_reserve = plain(operation.breakdown(True)) / self.shear
        self.warmth = {name: plain(getattr(fed.warmth, name)) for name in HEATS}
        self.ring = None if self.axes is not None else _Ring(point, more)

    def currents(self, share):
        """Return (loading, gap field, slip) over those of the design, and reserve, at a share of its gap torque.

        All NaN where the voltage does not give the torque.
        """
        driven = self.point.si.supply == "drive"
        if self.ring is not None:
            return self.ring.driven(share) if driven else self.ring.at(self.u, share)
        made = self.wound
        design = made.loading, made.gap_field(made.A_d, made.A_q)
        if driven:  # and what magnetises is kept
            A_d, A_q = made.A_d, share * made.A_q
            field = made.gap_field(A_d, A_q) / design[1]
            return math.hypot(A_d, A_q) / design[0], field, share, self.own_reserve / share
        U = self.u * self.axes.voltage(made.A_d, made.A_q)
        if made.E_s:
            A_q = share * made.A_q
            most = _most(made, U) / share
            if not most >= 1.0:
                return math.nan, math.nan, 1.0, most
            A_d = float(two_axis.magnetising_loading(U_s=U, R=made.R, X=made.X_d, E_s=made.E_s, A_q=A_q))
            return math.hypot(A_d, A_q) / design[0], made.gap_field(A_d, A_q) / design[1], 1.0, most
        tangent = made.A_q / made.A_d
        m = _pull_out(made) * (U / made.voltage(made.A_d, made.A_q)) ** 2 / share
        if not m >= 1.0:
            return math.nan, math.nan, math.nan, math.nan
        held = float(reserve.reserved_load_angle(m_r=m, R=made.R, X_d=made.X_d, X_q=made.X_q))
        A_d = made.A_d * math.sqrt(share * tangent / held)
        A_q = A_d * held
        field = made.gap_field(A_d, A_q) / design[1]
        spare = self.own_reserve * m / _pull_out(self.axes)
        return math.hypot(A_d, A_q) / design[0], field, held / tangent, spare

    def at(self, part):
        """Return the Shifted at a part of the design's shaft torque, NaN where it does not give that."""
        share = part * (1.0 - self.braked) + self.braked
        loading, field, slip, spare = self.currents(share)
        losses = {name: loss * self._grown(name, loading, field) for name, loss in self.losses.items()}
        losses["rotor"] = (self.losses["rotor"] - self.slip_loss) * field**2 + self.slip_loss * slip * share
        torque = part * plain(self.point.torque)
        speed = plain(self.point.speed) * (1.0 - self.slip * slip) / (1.0 - self.slip)
        rise = self._rise(losses)
        return Shifted(torque, loading, field, self.slip * slip, spare, losses, rise, torque * speed)

    def _grown(self, name, loading, field):
        """Return a loss over that of the design, but for the rotor's."""
        if name in ("winding", "additional"):
            return loading**2 * (self.resistance if name == "winding" else 1.0)
        return field**2 if name in ("core", "can", "shading") else 1.0

    def _rise(self, losses):
        """Return the winding's mean rise, each loss counted as it warms it."""

        def warming(found):
            heats = {name: found[name] for name in HEATS} | {"can": found["can"] + found["shading"]}
            return sum(self.warmth[name] * heat for name, heat in heats.items())

        return plain(self.point.winding_rise) * warming(losses) / warming(self.losses)

    def continuous(self):
        """Return the Shifted at the design's torque, or at the next below that leaves the winding as warm as allowed.

        NaN where no load does: a winding may be too warm by what magnetises alone.
        """
        allowed = self.point.si.temperature_rise * WARM

        def too_warm(part):
            over = self.at(float(part)).winding_rise - allowed
            return np.asarray(over if math.isfinite(over) else allowed)

        tried = next((part for part in TRIED if too_warm(part) <= 0.0), math.nan)
        if tried in (TRIED[0], math.nan):
            return self.at(tried)
        above = TRIED[TRIED.index(tried) - 1]
        return self.at(float(root(too_warm, tried, above, steps=12)))

    def no_load(self):
        """Return the loading over that of the design with no torque across the gap; of a drive, at the same voltage."""
        if self.ring is not None:
            return self.ring.at(self.u, LIGHT)[0]
        made = self.wound
        U = self.u * self.axes.voltage(made.A_d, made.A_q)
        if made.E_s:
            return abs(U - made.E_s) / math.hypot(made.R, made.X_d) / made.loading
        return U / math.hypot(made.R, made.X_d) / made.loading


def _pull_out(made):
    """Return the largest torque of a machine without magnets at its voltage over that of its currents."""
    tangent = made.A_q / made.A_d
    return float(reserve.two_axis_pull_out(R=made.R, X_d=made.X_d, X_q=made.X_q, tan_delta=tangent))


def _most(made, U):
    """Return the largest torque of a magnet machine at a voltage over that of its design."""
    return float(envelope.magnet_pull_out_current(U_s=U, R=made.R, X=made.X_d, E_s=made.E_s, n_f=1.0)) / made.A_q


class _Ring:
    """A hysteresis ring at other fields: its voltage as it presents itself to the supply."""

    def __init__(self, point, more):
        self.fed, self.operation, self.more = point.fed, point.operation, more
        A, B, shear, _ = self.operation.weaker(1.0, self.operation.shear)
        self.design = plain(A), plain(B), plain(shear)
        self.voltage = self._voltage(A, B, shear, 0.0).item()

    def _voltage(self, A, B, shear, more):
        return ring_voltage(self.fed, self.operation.magnetic_gap, A, B, shear, more=more)

    def driven(self, share):
        """Return the same of all that the ring gives at a field: the one at which that is a share of the design's."""
        A, B, shear, _ = (np.ravel(one) for one in self.operation.weaker(PARTS.reshape(-1, 1, 1), None))
        found = [float(np.interp(share * self.design[2], shear, each)) for each in (A, B)]
        return found[0] / self.design[0], found[1] / self.design[1], 1.0, 1.0

    def at(self, u, share):
        """Return (loading, gap field, 1) over those of the design, and reserve, at a share of its torque."""
        A, B, shear, largest = (
            np.broadcast_to(np.asarray(one), (PARTS.size, 1, 1)).ravel()
            for one in self.operation.weaker(PARTS.reshape(-1, 1, 1), share * self.operation.shear)
        )
        U = self._voltage(A.reshape(-1, 1, 1), B.reshape(-1, 1, 1), shear.reshape(-1, 1, 1), self.more).ravel()
        able = np.isfinite(U)
        if np.count_nonzero(able) < 2 or not U[able][0] <= u * self.voltage <= U[able][-1]:
            return math.nan, math.nan, math.nan, math.nan
        found = [float(np.interp(u * self.voltage, U[able], each[able])) for each in (A, B, largest)]
        return found[0] / self.design[0], found[1] / self.design[1], 1.0, found[2] / (share * self.design[2])
