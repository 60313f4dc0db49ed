"""``envelope``: the torque that a drive's limits of voltage and current leave of a chosen design, at every speed.

Up to base speed the current decides; above it the voltage is full, the field is weakened and torque falls, until the
rotor's strength ends it, or the torque itself.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.curve import Curve
from scaling.decision.drive_limits import limits_of
from scaling.decision.windings import winding
from scaling.ground import messages, units
from scaling.models.heat import grows_with_speed

SLOW, FAST = 200, 1000  # frequencies tried below and above base
LEAST = 1e-3  # of the design's frequency: the lowest tried
HELD = 1 - 1e-4  # of the base torque or power: as much
HEAT = 0.1  # of all losses of the design: what iron and friction add above that is told
ALONG = 1e-6  # of the current: a magnet machine's base current lies across the magnets' axis
FURTHEST = 1e5  # times the design's speed: no strength bounds it


@dataclass(frozen=True)
class Envelope:
    """Torque against speed of a design on a drive; quantities but for ratios.

    ``speed``, ``torque`` and ``power`` (at the shaft, friction deducted), ``frequency``, ``current`` and ``gap_field``
    (over those of the design) are arrays from rest to ``highest_speed``, which ``ended_by`` explains: "rotor strength",
    "rim speed" or "torque". ``base_speed`` is that up to which ``base_torque`` is held, ``base_power`` what both make;
    ``constant_power_to`` the speed up to which it is held, ``constant_power_range`` that over base speed.
    ``ideal_range`` is the same of the machine without resistance and friction, by its closed form (infinite: without an
    end; NaN where there is none). ``least_current_from`` is the speed from which on less than all current is best, NaN
    where it never is. ``saliency`` is X_d/X_q, of an induction machine that of all leakage; ``characteristic_current``
    the short-circuit current at speed over the drive's, NaN without magnets; ``reserve`` the largest torque at base
    voltage over the base torque. ``verdicts`` says it in words, ``assumed`` what was taken for granted.
    """

    kind: str
    overload: float
    voltage_ratio: float
    speed: Any
    torque: Any
    power: Any
    frequency: Any
    current: np.ndarray
    gap_field: np.ndarray
    base_speed: Any
    base_torque: Any
    base_power: Any
    constant_power_to: Any
    constant_power_range: float
    ideal_range: float
    least_current_from: Any
    highest_speed: Any
    ended_by: str
    saliency: float
    characteristic_current: float
    reserve: float
    verdicts: tuple
    assumed: str


def envelope(choice, kind, *, overload=1.0, voltage_ratio=None):
    """Return the Envelope of one kind's design in a choice on a drive.

    Parameters
    ----------
    choice : Choice
        of ``choose(brief)``; a design for the mains is taken as if a drive fed it
    kind : str
        "induction", "hysteresis", "reluctance" or "magnet"
    overload : float
        current of the drive over the continuous current of the design, from 1 to 10
    voltage_ratio : float, optional
        largest voltage of the drive over that of the design's point, from 0.1 to 10; if not given, the brief's voltage
        over the one that its winding wants, or 1 without a voltage or a winding

    Returns
    -------
    Envelope

    Raises
    ------
    TypeError, KeyError
        if ``choice`` is not a Choice; if ``kind`` is no machine type
    ValueError
        if the design has no running point, or one phase; if ``overload`` or ``voltage_ratio`` is out of range

    Validity
    --------
    Steady state, sinusoidal currents, iron no more saturated than at the design's point. The current is the limit, not
    the heat: iron, friction and rotor warm otherwise than at the design's point.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> found = envelope(choose(Brief(rotor_diameter="110 mm", cooling="shaft fan")), "induction")
    >>> print(found.verdicts[1])
    Holds this power up to 2959 rpm, 2.01 times base speed, without losses 2.25.
    """
    _in_range("overload", overload, 1.0, 10.0)
    if voltage_ratio is not None:
        _in_range("voltage_ratio", voltage_ratio, 0.1, 10.0)
    curve = Curve(choice, kind, 2.0)
    if curve.brief.supply == "single-phase":
        raise ValueError("supply: got 'single-phase'; expected 'three-phase' or 'drive' for a drive's envelope")
    ratio, said = (voltage_ratio, None) if voltage_ratio is not None else _voltage_ratio(choice, kind)
    return _Found(curve, float(overload), float(ratio)).record(said)


def _in_range(name, value, low, high):
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not number or not low <= value <= high:
        raise ValueError(f"{name}: got {messages.shorten(value)}; expected a number from {low:g} to {high:g}")


def _voltage_ratio(choice, kind):
    """Return (voltage of the brief over that of the design's winding, a sentence on it or None)."""
    if choice.brief.si.voltage is None:
        return 1.0, None
    made = winding(choice, kind)
    if not made.feasible:
        return 1.0, f"At the voltage of its design point, for want of a winding: {made.reasons[0]}."
    ratio = float(made.voltage / made.wanted_voltage)
    number, volts = made.conductors_per_slot, units.show(made.voltage)
    return ratio, f"{volts} are {ratio:.3g} times what its {number} conductors a slot want."


def speed_limit(curve):
    """Return (angular speed that a design's rotor may have, "rim speed" or "rotor strength")."""
    made, si = curve.made, curve.brief
    stands = np.inf if si.sleeved else np.asarray(made.rotor.rim_speed(made.stator, made.properties)).item()
    radius = made.stator.D.item() / 2
    name = "rim speed" if si.rim_speed_limit <= stands else "rotor strength"
    return min(si.rim_speed_limit, stands) / radius, name


class _Found:
    """An envelope in plain numbers."""

    def __init__(self, curve, overload, ratio):
        self.curve, self.overload, self.ratio = curve, overload, ratio
        self.limits = limits_of(curve.made, overload, ratio)
        self.top, self.strength = speed_limit(curve)
        base = self.limits.base_ratio
        highest = min(self.top / curve.synchronous, FURTHEST) + self.limits.largest_slip
        above = np.geomspace(1.0, max(highest / base, 1.0 + 1e-9), FAST)
        ratios = base * np.concatenate([np.linspace(LEAST, 1.0, SLOW)[:-1], above])
        gap, current, field, slip, free = self.limits.at(ratios)
        speed = (ratios - slip) * curve.synchronous
        kept = (speed > 0.0) & (speed <= self.top * (1 + 1e-9))
        at_rest = np.array([0.0])
        self.speed = np.concatenate([at_rest, speed[kept]])
        rows = (gap, current, field, ratios, free)
        gap, self.current, self.field, self.ratios, self.free = (np.concatenate([x[:1], x[kept]]) for x in rows)
        self.ratios[0] = slip[0]
        self.gap = gap * curve.made.gap_torque.item()
        self.torque = self.gap - curve.friction(self.speed)
        self._cut()

    def _cut(self):
        """End the curve where no torque is left."""
        none = np.flatnonzero(~(self.torque[1:] > 0.0)) + 1
        self.ended_by = self.strength
        if none.size == 0:
            return
        self.ended_by, end = "torque", int(none[0])
        before, after = self.torque[end - 1], np.nan_to_num(self.torque[end], nan=0.0)
        part = before / (before - after) if before > after else 1.0
        for name in ("speed", "current", "field", "ratios", "free", "torque"):
            values = getattr(self, name)
            step = values[end - 1] + part * (np.nan_to_num(values[end], nan=values[end - 1]) - values[end - 1])
            setattr(self, name, np.append(values[:end], 0.0 if name == "torque" else step))
        self.gap = self.gap[: end + 1]

    def _base(self):
        """Return the place of base speed: the last at which the torque across the gap is held.

        Where friction takes most of it before, the place of most power.
        """
        below = np.flatnonzero(self.gap < HELD * self.gap[0])
        held = int(below[0]) if below.size else self.speed.size
        return int(np.argmax((self.torque * self.speed)[:held]))

    def _held_to(self, base):
        """Return the speed up to which the power at a place is held."""
        power = self.torque * self.speed
        short = np.flatnonzero(power[base + 1 :] < HELD * power[base])
        if short.size == 0:
            return self.speed[-1]
        i = base + 1 + int(short[0])
        if i == base + 1:
            return self.speed[base]
        part = (power[i - 1] - power[base]) / (power[i - 1] - power[i])
        return self.speed[i - 1] + part * (self.speed[i] - self.speed[i - 1])

    def record(self, said):
        """Return the Envelope."""
        base = self._base()
        held, base_speed, base_torque = self._held_to(base), self.speed[base], self.torque[base]
        least = np.flatnonzero((self.free > 0.5) & (self.speed > base_speed))
        numbers = {
            "speed": (self.speed, "rad/s"), "torque": (self.torque, "N*m"), "power": (self.torque * self.speed, "W"),
            "frequency": (self.ratios * self.curve.design.values["frequency"], "Hz"),
            "base_speed": (base_speed, "rad/s"), "base_torque": (base_torque, "N*m"),
            "base_power": (base_speed * base_torque, "W"), "constant_power_to": (held, "rad/s"),
            "least_current_from": (self.speed[least[0]] if least.size else math.nan, "rad/s"),
            "highest_speed": (self.speed[-1], "rad/s"),
        }  # fmt: skip
        made = {name: units.quantity(value, unit) for name, (value, unit) in numbers.items()}
        made |= {
            "kind": self.curve.design.kind, "overload": self.overload, "voltage_ratio": self.ratio,
            "current": self.current, "gap_field": self.field, "constant_power_range": float(held / base_speed),
            "ended_by": self.ended_by, **self.limits.figures(),
        }  # fmt: skip
        words = (*_verdicts(made), *self._heat(held), *self._cautions(), *([said] if said else []))
        return Envelope(**made, verdicts=words, assumed=_assumed(self.limits))

    def _cautions(self):
        """Yield what a fan on the shaft and magnets at speed mean."""
        if grows_with_speed(self.curve.brief.cooling):
            yield "Its fan turns with the shaft: well below its design's speed it bears less of this current for long."
        induced = self.limits.induced * self.ratios[-1]
        if induced > 1.0:
            yield f"At its highest speed its magnets induce {induced:.3g} times the drive's voltage, if that lets go."

    def _heat(self, held):
        """Yield what iron and friction add at the end of the constant power to the heat of the design."""
        losses, i = self.curve.made.losses, int(np.searchsorted(self.speed, held * HELD))
        i = min(i, self.speed.size - 1)
        core = np.asarray(losses["core"]).item() * (self.ratios[i] ** 1.5 * self.field[i] ** 2 - 1.0)
        rubbed = self.curve.friction(self.speed[i : i + 1])[0] * self.speed[i] - np.asarray(losses["friction"]).item()
        more, all_losses = core + rubbed - np.asarray(losses["fan"]).item(), np.asarray(self.curve.made.loss).item()
        if more > HEAT * all_losses:
            yield (
                f"At {_rpm(self.speed[i])} iron, friction and fan take more than at the design's point, by "
                f"{more / all_losses:.2g} times all of its losses: there it bears less than this current for long."
            )


def _rpm(speed):
    return units.show(units.quantity(float(speed), "rad/s"), "rpm")


def _verdicts(made):
    """Yield the envelope in words."""
    base, torque = units.show(made["base_speed"], "rpm"), units.show(made["base_torque"], digits=3)
    power = units.show(made["base_power"], digits=3)
    yield f"Holds {torque} up to {base}, {power}."
    if made["constant_power_range"] > 1.005:
        ideal = made["ideal_range"]
        theory = f", without losses {'without end' if math.isinf(ideal) else f'{ideal:.3g}'}"
        theory = "" if math.isnan(ideal) else theory
        yield (
            f"Holds this power up to {units.show(made['constant_power_to'], 'rpm')}, "
            f"{made['constant_power_range']:.3g} times base speed{theory}."
        )
    elif made["highest_speed"] > made["base_speed"]:
        yield "Its power falls from base speed on: no range of constant power."
    ends = {
        "rim speed": "rim_speed_limit ends it",
        "rotor strength": "the strength of its rotor ends it",
        "torque": "there its torque is gone",
    }
    left = units.show(made["torque"][-1], digits=3)
    told = ends[made["ended_by"]] + (f", with {left} left" if made["ended_by"] != "torque" else "")
    yield f"Goes up to {units.show(made['highest_speed'], 'rpm')}: {told}."
    if made["kind"] == "magnet":
        n = made["characteristic_current"]
        side = "below: no voltage ends its speed" if n < 1.0 else "above: the voltage ends its speed"
        yield f"Its characteristic current is {n:.3g} times the drive's, {side}."


def _assumed(limits):
    """Return what the envelope takes for granted."""
    told = "The drive's voltage is sinusoidal, and full above base speed; its current is the limit, not the heat."
    return f"{told} {limits.assumed}"
