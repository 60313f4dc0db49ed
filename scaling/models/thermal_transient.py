"""Temperatures inside a machine in time: the network of `scaling.models.thermal_network` with heat capacities, SI.

The heat balances are linear and symmetric once each rise is weighed by the root of its capacity, so that every machine
has as many decaying patterns as it has bodies: eigenvalues, exact in time.
"""

from dataclasses import dataclass

import numpy as np

from scaling.laws import duty, thermal
from scaling.models.thermal_network import LOSSES, NODES, SMALLEST, joined, taken_out

BODIES = tuple(node for node in NODES if node != "air")  # what holds heat
STIFFEST = 1e-9  # smallest inner resistance over that of the outside: less holds the bodies at one temperature anyway


def _balance(network):
    """Return (conductance matrix over BODIES [W/K], {loss: its heat over BODIES}), the inner air taken out."""
    least = np.maximum(STIFFEST * network.outside, SMALLEST)
    left = joined({}, {edge: np.maximum(value, least) for edge, value in network.resistances.items()})
    _, air = taken_out(left, "air")
    arrays = [*(value for around in left.values() for value in around.values()), network.outside]
    shape = np.broadcast_shapes(*(np.shape(value) for value in arrays))
    matrix = np.zeros((*shape, len(BODIES), len(BODIES)))
    for one, around in left.items():
        i = BODIES.index(one)
        for other, conductance in around.items():
            matrix[..., i, BODIES.index(other)] -= conductance
            matrix[..., i, i] += conductance
    matrix[..., -1, -1] += 1.0 / network.outside  # the frame is the last
    heats = {}
    for loss in LOSSES:
        heats[loss] = np.zeros((*shape, len(BODIES)))
        for node, share in network.spread[loss].items():
            heats[loss][..., BODIES.index(node)] += share
    return matrix, heats, air


class Warming:
    """How the parts of machines warm: a `Network` and {body: heat capacity} of its BODIES [J/K]."""

    def __init__(self, network, capacities):
        self.network = network
        matrix, self._heats, self._air = _balance(network)
        shape = matrix.shape[:-1]
        self.capacities = np.stack([np.broadcast_to(capacities[body], shape[:-1]) for body in BODIES], axis=-1)
        root = np.sqrt(self.capacities)
        matrix = matrix / (root[..., :, None] * root[..., None, :])
        bad = ~np.isfinite(matrix).all(axis=(-2, -1))
        matrix[bad] = np.eye(len(BODIES))
        rates, modes = np.linalg.eigh(matrix)
        rates[bad] = np.nan
        self._rates, self._modes = rates, modes / root[..., :, None]

    @property
    def time_constants(self):
        """Time constants, the longest first, along the last axis [s]."""
        return 1.0 / self._rates

    def step(self, losses, times, start=None):
        """Return {part: rise over the coolant at ``times``, along the last axis} for {loss: watts} that stay on [K].

        ``start`` is {body: rise} at time 0; all cold if not given.
        """
        heat = sum(np.asarray(watts)[..., None] * self._heats[loss] for loss, watts in losses.items())
        driven = np.einsum("...bk,...b->...k", self._modes, heat) / self._rates
        decay = np.exp(-self._rates[..., None] * np.asarray(times, float))
        amplitude = driven[..., None] * (1.0 - decay)
        if start is not None:
            held = np.stack(np.broadcast_arrays(*(start[body] for body in BODIES)), axis=-1) * self.capacities
            amplitude = amplitude + np.einsum("...bk,...b->...k", self._modes, held)[..., None] * decay
        rises = np.einsum("...bk,...kt->...bt", self._modes, amplitude)
        return self._parts({body: rises[..., i, :] for i, body in enumerate(BODIES)})

    def cycle(self, losses, time, pause=np.inf, goes_on=()):
        """Return {part: rise} at the end of a time at work [s], from cold or, with a pause, once all is periodic [K].

        Losses named in ``goes_on`` stay on in the pause, as they always have been.
        """
        time, pause = np.asarray(time, float)[..., None], np.asarray(pause, float)[..., None]
        with np.errstate(over="ignore"):
            share = -np.expm1(-self._rates * time) / -np.expm1(-self._rates * (time + pause))
        rises = 0.0
        for loss, watts in losses.items():
            driven = np.einsum("...bk,...b->...k", self._modes, self._heats[loss]) / self._rates
            amplitude = np.asarray(watts)[..., None] * driven * (1.0 if loss in goes_on else share)
            rises = rises + np.einsum("...bk,...k->...b", self._modes, amplitude)
        found = self._parts({body: rises[..., i, None] for i, body in enumerate(BODIES)})
        return {part: rise[..., 0] for part, rise in found.items()}

    def _parts(self, rises):
        """Add inner air, and means of winding and core."""
        rises["air"] = sum(np.asarray(share)[..., None] * rises[node] for node, share in self._air.items())
        for part in ("winding", "core"):
            spread = self.network.spread[part]
            rises[part] = sum(np.asarray(share)[..., None] * rises[node] for node, share in spread.items())
        return rises


def parts_of_two(network, capacity):
    """Return (heat capacity of the winding, of the rest [J/K], rise of the rest over the frame by the winding [K/W]).

    ``capacity`` is {body: heat capacity}; the rise is a mean by capacities, for a watt of the winding.
    """
    rest = [body for body in BODIES if body not in network.spread["winding"]]
    C_r = sum(capacity[body] for body in rest)
    above = network.above_frame("winding")
    return capacity["slots"] + capacity["ends"], C_r, sum(capacity[body] * above[body] for body in rest) / C_r


@dataclass(frozen=True)
class TwoBodies:
    """The winding, and all the rest through which its heat goes: heat capacities [J/K] and resistances [K/W].

    The winding's mean rise is exact at the end of a step of its own loss; the rest has the mean rise, by capacities,
    that it has there, and all its capacity.
    """

    C_w: np.ndarray
    C_r: np.ndarray
    R_w: np.ndarray
    R_r: np.ndarray

    @classmethod
    def of(cls, parts, winding, outside):
        """Return them from what `parts_of_two` returns, the winding's own rise over the frame, and the outside's."""
        C_w, C_r, rest = parts
        return cls(C_w=C_w, C_r=C_r, R_w=winding - rest, R_r=outside + rest)

    @property
    def time_constants(self):
        """(time constant of winding and rest together, that of the winding ahead of the rest) [s]."""
        parts = {"C_w": self.C_w, "C_r": self.C_r, "R_w": np.maximum(self.R_w, STIFFEST * self.R_r), "R_r": self.R_r}
        return thermal.slow_time_constant(**parts), thermal.fast_time_constant(**parts)

    def winding_rise(self, time, pause=np.inf):
        """Return (rise of the winding over watts of its own loss, over watts of a loss in the rest) [K/W].

        The losses are on for a time [s] from cold or, with a pause, in every cycle of both once all is periodic; the
        cooling is the same in the pause.
        """
        slow, fast = self.time_constants
        ahead = thermal.fast_part_of_winding_heat(R_w=self.R_w, R_r=self.R_r, C_w=self.C_w, t_f=fast, t_h=slow)
        behind = thermal.fast_part_of_other_heat(R_r=self.R_r, t_f=fast, t_h=slow)
        at_slow, at_fast = (-np.expm1(-time / t) / -np.expm1(-(time + pause) / t) for t in (slow, fast))
        own = (self.R_w + self.R_r - ahead) * at_slow + ahead * at_fast
        return own, (self.R_r + behind) * at_slow - behind * at_fast

    def ends(self, heats):
        """Return the rises of (winding, rest) along the last axis that heats of (winding, rest) end in [K]."""
        rest = self.R_r * (heats[0] + heats[1])
        return np.stack([self.R_w * heats[0] + rest, rest], axis=-1)

    def decay(self, time):
        """Return the matrix that rises over those at the end are multiplied by in a time [s], on the last two axes.

        Sylvester's formula for a function of a matrix with two different eigenvalues.
        """
        slow, fast = (1.0 / t for t in self.time_constants)
        R_w, time = np.maximum(self.R_w, STIFFEST * self.R_r), np.asarray(time, float)[..., None, None]
        one, other, out = 1.0 / (self.C_w * R_w), 1.0 / (self.C_r * R_w), 1.0 / (self.C_r * self.R_r)
        rates, eye = np.array([[one, -one], [-other, other + out]]), np.eye(2)
        return (np.exp(-slow * time) * (rates - fast * eye) - np.exp(-fast * time) * (rates - slow * eye)) / (
            slow - fast
        )

    def after(self, time, heats, start=(0.0, 0.0)):
        """Return the rises of (winding, rest) along the last axis after times with heats, from those at the start."""
        end = self.ends(heats)
        return end + (self.decay(time) @ (np.asarray(start, float) - end)[..., None])[..., 0]

    def cycle(self, work, pause, heats, resting):
        """Return the same at the end of the work [s] in every cycle, once all is periodic; ``resting`` in the pause.

        ``resting`` are the same two bodies as they cool without heat.
        """
        at_work = self.decay(work)
        both = np.eye(2) - at_work @ resting.decay(pause)
        return np.linalg.solve(both, (np.eye(2) - at_work) @ self.ends(heats))


@dataclass(frozen=True)
class OneBody:
    """A machine of one temperature: its heat capacity [J/K] and the resistance of its outside [K/W]; as `TwoBodies`."""

    C: float
    R_r: float

    @property
    def time_constants(self):
        """(time constant, nothing) [s]."""
        return self.C * self.R_r, 0.0

    def ends(self, heats):
        """Return the rises that heats of (winding, rest) end in, twice the same [K]."""
        return np.full(2, self.R_r * (heats[0] + heats[1]))

    def after(self, time, heats, start=(0.0, 0.0)):
        """Return the rises after times with heats, from those at the start."""
        time, t_h = np.asarray(time, float)[..., None], self.time_constants[0]
        return duty.heating_curve(theta_e=self.ends(heats), theta_0=np.asarray(start, float), t_1=time, t_h=t_h)

    def cycle(self, work, pause, heats, resting):
        """Return the rises at the end of the work [s] in every cycle, once all is periodic."""
        times = {"t_w": work, "t_p": pause, "t_h": self.time_constants[0], "t_c": resting.time_constants[0]}
        return self.ends(heats) / duty.intermittent_overload(**times)
