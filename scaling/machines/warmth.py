"""How much a watt of each loss warms the winding: what a heat budget multiplies the losses with."""

from dataclasses import dataclass

import numpy as np

from scaling.ground import materials
from scaling.laws import duty
from scaling.models.thermal_network import LOSSES
from scaling.models.thermal_parts import capacities, network
from scaling.models.thermal_transient import TwoBodies, parts_of_two

GOES_ON = ("core", "friction", "can")  # losses that S6 leaves on between its times at load; not the no-load current's


@dataclass(frozen=True)
class Warmth:
    """Mean rise of the winding for a watt of each loss, over that of the outside for a watt that stays on.

    1 and more in continuous duty; of a machine of one temperature all are 1. Less where the duty leaves no time:
    ``rest`` is the part of its steady rise that all but the winding reaches, but for losses that are ``held`` on.
    """

    winding: np.ndarray | float = 1.0
    core: np.ndarray | float = 1.0
    rotor: np.ndarray | float = 1.0
    friction: np.ndarray | float = 1.0
    can: np.ndarray | float = 1.0
    additional: np.ndarray | float = 1.0
    rest: np.ndarray | float = 1.0
    held: tuple = ()

    def all_during(self, duty_of):
        """Return it where all losses reach the part of their rises that the rest reaches in the duty of another."""
        parts = {loss: 1.0 if loss in duty_of.held else duty_of.rest for loss in LOSSES}
        return Warmth(
            **{loss: getattr(self, loss) * part for loss, part in parts.items()}, rest=duty_of.rest, held=duty_of.held
        )

    def during(self, own, rest, duty_type):
        """Return it with what the duty lets the winding's own heat, and that of the rest, reach of their rises."""
        held = GOES_ON if duty_type == "S6" else ()
        others = {loss: getattr(self, loss) * (1.0 if loss in held else rest) for loss in LOSSES if loss != "winding"}
        return Warmth(winding=self.winding * own, rest=rest, held=held, **others)


@dataclass(frozen=True)
class OverFrame:
    """Mean rise of a part over the frame for a watt of each loss [K/W]."""

    winding: np.ndarray
    core: np.ndarray
    rotor: np.ndarray
    friction: np.ndarray
    can: np.ndarray
    additional: np.ndarray

    def warmth(self, coefficient, area):
        """Return the Warmth of continuous duty with a coefficient [W/m²/K] on an area of the outside."""
        passed = coefficient * area
        return Warmth(**{loss: 1.0 + getattr(self, loss) * passed for loss in LOSSES})


@dataclass(frozen=True)
class Inside:
    """The ways of heat inside: of ``winding`` and ``rotor``, and for duties that are not continuous two bodies.

    These are heat capacities of the winding and of all the rest [J/K], and the mean rise of the rest over the frame for
    a watt of the winding [K/W]; None in continuous duty.
    """

    winding: OverFrame
    rotor: OverFrame
    C_w: np.ndarray | None = None
    C_r: np.ndarray | None = None
    rest: np.ndarray | None = None

    def bodies(self, coefficient, area):
        """Return the winding and all the rest as two bodies."""
        return TwoBodies.of((self.C_w, self.C_r, self.rest), self.winding.winding, 1.0 / (coefficient * area))


def inside(stator, speed):
    """Return the Inside of a stator at a rotor's angular speed; None where all parts have one temperature."""
    paths = stator.heat_paths
    if paths is None:
        return None
    shape = np.broadcast_shapes(np.shape(speed), stator.D.shape)
    with np.errstate(invalid="ignore", divide="ignore"):
        found = network(paths, speed * stator.D / 2, 1.0)
        made = [_shaped(found.over_frame(part), shape) for part in ("winding", "rotor")]
        if stator.si.duty == "S1":
            return Inside(*made)
        two = parts_of_two(found, capacities(paths.machine))
    return Inside(*made, *(np.broadcast_to(value, shape) for value in two))


def _shaped(part, shape):
    """Return {loss: rise} as OverFrame, every array of one shape."""
    return OverFrame(**{n: rise if rise.shape == shape else np.broadcast_to(rise, shape) for n, rise in part.items()})


def rotor_rise(fed, rotor_over_winding=0.0):
    """Return the rise of a rotor where winding and rotor, with their losses in a ratio, warm the winding as allowed."""
    winding, rotor = fed.warmth, fed.rotor_warmth
    over = (rotor.winding + rotor_over_winding * rotor.rotor) / (winding.winding + rotor_over_winding * winding.rotor)
    return fed.stator.si.temperature_rise * over


def times(si):
    """Return (time at work, time between) of the brief's duty [s]; S2 starts from cold."""
    if si.duty == "S2":
        return si.duty_time, np.inf
    at_work = si.duty_factor * si.duty_time
    return at_work, si.duty_time - at_work


def heating_time(stator, coefficient):
    """Return the thermal time constant of the active parts [s]."""
    return duty.thermal_time_constant(
        m=stator.mass, c_h=materials.MACHINE_SPECIFIC_HEAT, h=coefficient, S_o=stator.outside_area
    )


def continuous(stator, ways, coefficient):
    """Return the Warmth in continuous duty."""
    return Warmth() if ways is None else ways.winding.warmth(coefficient, stator.outside_area)


def warmth(stator, ways, coefficient):
    """Return the Warmth at a coefficient of the outside in the brief's duty, ``ways`` an Inside or None.

    Cooling is the same while nothing works.
    """
    si = stator.si
    steady = continuous(stator, ways, coefficient)
    if si.duty == "S1":
        return steady
    work, pause = times(si)
    if ways is None:
        t_h = heating_time(stator, coefficient)
        if si.duty == "S2":
            overload = duty.short_time_overload(t_w=work, t_h=t_h)
        else:
            overload = duty.intermittent_overload(t_w=work, t_p=pause, t_h=t_h, t_c=t_h)
        return steady.during(1.0 / overload, 1.0 / overload, si.duty)
    with np.errstate(invalid="ignore", divide="ignore"):
        bodies = ways.bodies(coefficient, stator.outside_area)
        own, other = bodies.winding_rise(work, pause)
        return steady.during(own / (bodies.R_w + bodies.R_r), other / bodies.R_r, si.duty)
