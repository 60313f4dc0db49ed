"""Torque against speed of a chosen design, made again from the brief so that it comes from the field of its rating."""

import math
from dataclasses import dataclass

import numpy as np

from scaling.decision.choose import Choice
from scaling.decision.remade import made_again
from scaling.ground import materials, messages, units
from scaling.laws import motion, supply
from scaling.machines.fed import asks_torque, torque_asked
from scaling.models.pull_in import simulate
from scaling.models.search import maximise, root

NEARLY = 0.99  # of the running speed: the end of a run-up, which comes to the load's own speed only slowly
LEAST_SLIP = 1e-5
PANELS, ORDER = 400, 4  # of the integration of a run-up (Gauss)
SWING = 4.0  # periods of the supply to follow a swing at a pull-in number of 1: long enough but on the very verge
HOLDS = 1 - 1e-4  # pull-out over load: a rotor rated at its pull-out torque just holds it, made again to 1e-6


@dataclass(frozen=True)
class Point:
    """A named point of the curve: speed, and torque at the shaft, as quantities."""

    speed: units.Quantity
    torque: units.Quantity


@dataclass(frozen=True)
class PullIn:
    """The pull-in number, what the best starting angle needs, what every angle needs, and the time of the swing.

    ``load`` is friction of the bearing and load at rest over the largest synchronous torque. Both needs count it as dry
    friction. ``time`` is that from rest to synchronous speed at the best angle; NaN if never reached.
    """

    number: float
    need: float
    certain: float
    load: float
    time: units.Quantity


@dataclass(frozen=True)
class Capture:
    """The start through a cage: capture number, and the speed from which the field catches a rotor of little load.

    From a capture number of 1 on the rotor is caught whatever its angle, if the cage carries the load to that speed.
    """

    number: float
    speed: units.Quantity


@dataclass(frozen=True)
class RunUp:
    """A run-up from rest to `NEARLY` the running speed, or to the speed of capture: time, energies, the rotor's rise.

    ``gap_energy`` is the sum of ``kinetic_energy``, ``rotor_heat``, ``load_work`` and ``friction_work``; ``rotor_rise``
    is that of the mean temperature, without cooling and of the rotor as a solid cylinder.
    """

    time: units.Quantity
    gap_energy: units.Quantity
    kinetic_energy: units.Quantity
    rotor_heat: units.Quantity
    load_work: units.Quantity
    friction_work: units.Quantity
    rotor_rise: units.Quantity


def remade(choice, kind):
    """Return the operating point of a choice's design of one kind, made again; arrays of one element.

    Raises
    ------
    TypeError
        if ``choice`` is not a Choice
    KeyError
        if ``kind`` is no machine type
    ValueError
        if the design has no running point with torque to spare
    """
    if not isinstance(choice, Choice):
        raise TypeError(f"choice: got {messages.shorten(choice)}; expected what choose(brief) returns")
    return made_again(choice[kind])


class Curve:
    """Torque, friction, load and slip of a design at arrays of angular speeds [rad/s], in SI."""

    def __init__(self, choice, kind, load_power):
        self.made = remade(choice, kind)
        self.rotor, self.stator, self.fixed = self.made.rotor, self.made.stator, self.made.fixed_supply
        self.design, self.brief = choice[kind], choice.briefs[kind].si
        v = self.design.values
        self.synchronous = self.stator.shaft_speed(v["frequency"], 0.0).item()
        self.asked = float(torque_asked(self.brief, v["speed"])) if asks_torque(self.brief) else v["torque"]
        self.at_rest = max(self.brief.starting_torque or 0.0, self.brief.load_at_start * self.asked)
        self.load_power = load_power
        self.inertia = self.stator.inertia.item() * (1.0 + self.brief.load_inertia_ratio)
        self.lowest = 1.0 if self.fixed else min(self.brief.supply_frequency[0] / v["frequency"], 1.0)
        self.breakdown = self._breakdown()

    def at_slip(self, slip):
        """Return (torque across the gap, current over the continuous one) at slips of the design's frequency."""
        shear, loading = self.made.off_design(np.asarray(slip)[..., None, None])
        torque = self.stator.torque(shear)
        current = np.broadcast_to(loading / self.made.operation.loading, torque.shape)
        return torque[..., 0, 0], current[..., 0, 0]

    def _breakdown(self):
        """Return the slip of the largest torque that a growing load meets first; 1 where torque grows down to rest."""
        slips = np.concatenate([[0.0], np.geomspace(LEAST_SLIP, 1.0, 400)])
        torque = self.at_slip(slips)[0]
        top = int(np.argmax(np.append(torque[1:] <= torque[:-1], True)))
        if top == 0:
            return 0.0
        ends = np.log([slips[max(top - 1, 1)], slips[min(top + 1, slips.size - 1)]])
        return float(np.exp(maximise(lambda log_s: self.at_slip(np.exp(log_s))[0], *ends, steps=40)))

    def slip(self, speed):
        """Return the slip frequency over the design's frequency. A drive sets that of the largest torque if it can."""
        slip = 1.0 - speed / self.synchronous
        if self.fixed:
            return slip
        if self.rotor.starts_by_pull_in:
            return np.minimum(slip, 0.0)
        least = np.maximum(self.lowest - speed / self.synchronous, 0.0)
        return np.where(slip > 0.0, np.clip(self.breakdown, least, np.maximum(slip, 0.0)), slip)

    def friction(self, speed):
        """Return the friction of bearing and air, a fan's torque, and the drag of slot ripple on a solid surface."""
        at = np.asarray(speed)[..., None, None]
        air = (self.stator.air_torque(at) + self.stator.fan_torque(at))[..., 0, 0]
        bearing = self.made.bearing_torque(at)[..., 0, 0]
        return bearing + air + self._ripple(speed)

    def _ripple(self, speed):
        """Return the torque of slot ripple: that of the design at its speed, by its law at others, none at rest."""
        conductivity, permeability = self.rotor.surface
        law = {"k_v": 1.0, "tau_v": self.stator.slot_pitch.item(), "mu_r": permeability, "sigma": conductivity}

        def drag(speed):
            v_v = np.maximum(np.abs(speed), LEAST_SLIP * self.synchronous) * self.stator.lever.item()
            return supply.ripple_surface_heat(v_v=v_v, **law) / v_v * (np.abs(speed) > 0.0)

        of_design = np.asarray(self.stator.torque(self.made.surface_drag)).item()
        return of_design * drag(speed) / drag(self.design.values["speed"])

    def torque(self, speed):
        """Return the torque at the shaft."""
        return self.at_slip(self.slip(speed))[0] - self.friction(speed)

    def load(self, speed):
        """Return the load, from what the brief asks at rest to what it asks at the design's speed and above."""
        share = np.minimum(np.asarray(speed, float) / self.design.values["speed"], 1.0)
        return self.at_rest + (self.asked - self.at_rest) * share**self.load_power

    def spare(self, speed):
        """Return the torque left over for the rotor's own motion."""
        return self.torque(speed) - self.load(speed)

    def point(self, speed):
        """Return a named point."""
        return Point(units.quantity(float(speed), "rad/s"), units.quantity(float(self.torque(speed)), "N*m"))

    def pull_up(self):
        """Return the speed of the smallest torque between rest and breakdown, None where it lies at an end."""
        if self.breakdown == 0.0:
            return None
        speeds = np.linspace(0.0, (1.0 - self.breakdown) * self.synchronous, 400)
        torque = self.torque(speeds)
        least = int(np.argmin(torque))
        if not 0 < least < speeds.size - 1 or torque[least] > torque[0] * (1 - 1e-6):
            return None
        return maximise(lambda n: -self.torque(n), speeds[least - 1], speeds[least + 1], steps=40)

    def held_speed(self):
        """Return the speed at which the load is held on the stable side of the breakdown, None where it is not."""
        pull_out = (1.0 - self.breakdown) * self.synchronous
        if not self.torque(pull_out) >= self.asked * HOLDS:
            return None
        slip = root(lambda s: self.spare((1.0 - s) * self.synchronous), 0.0, self.breakdown)
        return float((1.0 - slip) * self.synchronous)

    def stall_speed(self, end):
        """Return the first speed below an end at which the load takes all of the torque, None where none does."""
        speeds = np.linspace(0.0, end, 2000)
        short = self.spare(speeds) <= 0.0
        return float(speeds[np.argmax(short)]) if short.any() else None

    def run_up(self, end):
        """Return the run-up to a speed, whose energies close whatever the curve."""
        x, weight = np.polynomial.legendre.leggauss(ORDER)
        edges = np.linspace(0.0, end, PANELS + 1)
        speed = (edges[:-1, None] + (x + 1) / 2 * end / PANELS).ravel()
        time = self.inertia * np.tile(weight, PANELS) * end / PANELS / 2 / self.spare(speed)
        slip, gap = self.slip(speed), self.at_slip(self.slip(speed))[0]
        heat = np.sum(gap * slip * self.synchronous * time)
        rotor_mass = 8 * self.stator.inertia.item() / self.stator.D.item() ** 2  # J = m*D**2/8
        found = {
            "time": (np.sum(time), "s"),
            "gap_energy": (np.sum(gap * (speed + slip * self.synchronous) * time), "J"),
            "kinetic_energy": (self.inertia * end**2 / 2, "J"),
            "rotor_heat": (heat, "J"),
            "load_work": (np.sum(self.load(speed) * speed * time), "J"),
            "friction_work": (np.sum(self.friction(speed) * speed * time), "J"),
            "rotor_rise": (heat / (rotor_mass * materials.MACHINE_SPECIFIC_HEAT), "K"),
        }
        return RunUp(**{name: units.quantity(float(value), unit) for name, (value, unit) in found.items()})

    def capture(self):
        """Return the capture of a rotor with a starting cage, None of any other."""
        if not self.made.has_cage:
            return None
        slip = min(self.made.caged.capture_slip.item(), 1.0)
        speed = units.quantity((1.0 - slip) * self.synchronous, "rad/s")
        return Capture(self.made.caged.capture_number.item(), speed)

    def pull_in(self):
        """Return the pull-in of a synchronous rotor, None for one that starts on its own torque."""
        if not self.rotor.starts_by_pull_in:
            return None
        n_T, number = self.rotor.torque_cycles_per_turn, self.made.pull_in.item()
        load = (self.made.friction_at_rest.item() + self.at_rest) / self.made.largest_gap_torque.item()
        need = certain = time = math.inf
        if load < 1.0:
            need = float(motion.favourable_pull_in_need(n_T=n_T, l_T=load))
            certain = float(motion.certain_pull_in_need(n_T=n_T, l_T=load))
        if number >= need:
            swing = simulate(number, n_T, math.asin(load), friction=load, periods=SWING / max(1.0, math.sqrt(number)))
            there = swing.speed >= 1.0 - 1e-6
            frequency = self.lowest * self.design.values["frequency"]
            time = swing.periods[np.argmax(there)] / frequency if there.any() else math.nan
        return PullIn(number, need, certain, load, units.quantity(float(time), "s"))
