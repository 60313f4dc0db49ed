"""The start of a synchronous rotor through a cage: it moves its load, runs it up, and falls into step. SI arrays."""

import functools

import numpy as np

from scaling.laws import geometry, motion, start
from scaling.machines.fed import asks_torque

BETWEEN = (0.3, 0.7)  # powers of the capture slip at which the run-up is looked at, beside rest and the dip
WITHOUT_BREAKDOWN = 1e3  # breakdown slip of a cage that has none


class CagedStart:
    """What a point's cage does for its start, whether it is fitted or not; all torques are means.

    The load runs from what acts at rest to the whole torque asked for, else the design's own, with the square of the
    speed; it is caught against all of it.
    """

    def __init__(self, point):
        self.point, self.stator, self.cage = point, point.stator, point.operation.cage()

    @functools.cached_property
    def _load(self):
        """Torque asked for, else the design's own [N·m]."""
        si = self.point.si
        return self.point.torque_asked if asks_torque(si) else np.maximum(self.point.torque, 0.0)

    @functools.cached_property
    def _bearing(self):
        """Friction of the bearings, the larger of that at rest and at work [N·m]."""
        return np.max(self.point.bearing_torques, axis=0)

    @functools.cached_property
    def _viscous(self):
        """Friction of air, a fan and slot ripple at work [N·m]."""
        return self.point.fed.air_torque + self.point.fed.fan_torque + self.stator.torque(self.point.surface_drag)

    def torque(self, slip):
        """Return the torque across the gap at a slip [N·m]."""
        return self.stator.torque(self.cage.shear(slip))

    @functools.cached_property
    def _run_up(self):
        """(slips, torques across the gap at them [N·m]): rest, two of the run-up, the dip, where the field catches.

        All in one call: the circuit's arrays are short in a search, and calls are what costs.
        """
        low = np.minimum(self.capture_slip, 1.0)
        slips = np.broadcast_arrays(1.0, *(low**power for power in BETWEEN), np.maximum(self.cage.dip, low), low)
        return np.array(slips), self.torque(np.array(slips))

    @functools.cached_property
    def at_rest(self):
        """Torque across the gap at rest [N·m]."""
        return self.torque(1.0)

    @functools.cached_property
    def _swing(self):
        """Half the swing of the synchronous torque: its largest, and what always brakes [N·m]."""
        return self.point.largest_gap_torque + self._brake

    @functools.cached_property
    def _brake(self):
        return self.stator.torque(self.cage.brake)

    @functools.cached_property
    def _number(self):
        """Pull-in number of half the swing, by its torque cycles in a turn of the field."""
        point = self.point
        return {
            "Pi": start.pull_in_number(
                p=self.stator.p,
                T_e=self._swing,
                J=self.stator.inertia * (1.0 + point.si.load_inertia_ratio),
                omega=geometry.angular_frequency(f=point.fed.frequency),
            ),
            "n_T": point.rotor.torque_cycles_per_turn,
        }

    @functools.cached_property
    def capture_slip(self):
        """Slip from which the field catches a rotor without much load."""
        return motion.capture_slip(**self._number)

    @functools.cached_property
    def torques(self):
        """Torques over half the swing of the synchronous one, as the laws of the motion take them.

        The cage's is right near synchronism and at the capture slip.
        """
        swing = self._swing
        with np.errstate(invalid="ignore", divide="ignore"):
            d_c = self.stator.torque(self.cage.damping) / swing
            slip, caught = (each[-1] for each in self._run_up)
            d_r = np.maximum((caught + self._brake) / swing, 1e-9)
            s_b = np.where(d_r < d_c * slip, motion.fitted_breakdown_slip(d_c=d_c, d_r=d_r, s=slip), WITHOUT_BREAKDOWN)
        return {
            "l_w": (self._load + self._brake) / swing,
            "l_f": self._bearing / swing,
            "l_v": self._viscous / swing,
            "d_c": d_c,
            "s_b": np.minimum(s_b, WITHOUT_BREAKDOWN),
        }

    @functools.cached_property
    def capture_number(self):
        """What slows the slipping rotor in a swing over what keeps it slipping; NaN where the field cannot hold it."""
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            return motion.capture_number(**self._number, **self.torques)

    @functools.cached_property
    def spare_torque(self):
        """Least torque to spare from rest to the capture slip, over half the swing of the synchronous one.

        Not finite where there is no synchronous torque.
        """
        slips, torques = (each[:-1] for each in self._run_up)
        at_rest = torques[0] - self.point.friction_at_rest - self.point.si.load_at_start * self._load
        least = np.minimum(at_rest, np.min(torques[1:] - self.opposed(slips[1:]), axis=0))
        with np.errstate(invalid="ignore", divide="ignore"):  # a point without torque has no swing
            return least / self._swing

    def opposed(self, slip):
        """Return load and friction at a slip [N·m]."""
        at_rest = self.point.si.load_at_start * self._load
        return at_rest + self._bearing + (self._load - at_rest + self._viscous) * (1.0 - slip) ** 2

    @functools.cached_property
    def spare(self):
        """By how much the rotor starts, above 0 if it does; -1 where there is no room for a cage."""
        least = np.minimum(self.capture_number - 1.0, self.spare_torque)
        return np.where(self.cage.fitted & np.isfinite(least), least, -1.0)
