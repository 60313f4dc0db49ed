"""Heating up: how the chosen design warms from cold, and what it may do for a while."""

from dataclasses import dataclass

import numpy as np

from scaling.decision.curve import remade
from scaling.decision.temperatures import network_of
from scaling.ground import materials, units
from scaling.laws import duty

SHORT_TIMES = (10.0, 30.0, 60.0, 90.0)  # min, usual rated times of S2, IEC 60034-1 (from memory)
DUTY_FACTORS = (0.15, 0.25, 0.4, 0.6)  # usual ones of S3, of a cycle of 10 min, IEC 60034-1 (from memory)
CYCLE = 10.0  # min
LASTS = 5.0  # time constants that the curve covers


@dataclass(frozen=True)
class Overload:
    """What a duty allows over what the temperature rise allows for ever: ``losses``, and ``current`` for them."""

    losses: float
    current: float


@dataclass(frozen=True)
class Heating:
    """A design as one body that warms with its continuous losses; quantities, `Overload` by duty.

    ``time`` and ``rise`` are the curve from cold; ``final_rise`` is where it ends, the winding's mean rise;
    ``allowed_rise`` is what the brief allows, ``resting_time_constant`` that of a rotor at rest, whose shaft fan stands
    still. ``short_time`` has an overload for every rated time in minutes (S2), ``intermittent`` one for every duty
    factor of a ten minutes' cycle with the supply off in its pauses (S3).
    """

    kind: str
    time: units.Quantity
    rise: units.Quantity
    time_constant: units.Quantity
    resting_time_constant: units.Quantity
    final_rise: units.Quantity
    allowed_rise: units.Quantity
    losses: units.Quantity
    short_time: dict
    intermittent: dict

    def rise_after(self, time):
        """Return the temperature rise after a time from cold, a quantity or an array of them."""
        seconds = np.asarray(time.m_as("s"), float)
        end, t_h = self.final_rise.m_as("K"), self.time_constant.m_as("s")
        return units.quantity(duty.heating_curve(theta_e=end, theta_0=0.0, t_1=seconds, t_h=t_h), "K")


def heating(choice, kind):
    """Return how the design of one kind in a choice heats up from cold at its continuous point.

    Parameters
    ----------
    choice : Choice
        of ``choose(brief)``
    kind : str
        "induction", "hysteresis", "reluctance" or "magnet"

    Returns
    -------
    Heating

    Raises
    ------
    TypeError, KeyError
        if ``choice`` is not a Choice; if ``kind`` is no machine type
    ValueError
        if the design has no running point with torque to spare

    Validity
    --------
    One body of the active parts, 450 J/(kg K) (common practice), losses constant; its end is the winding's mean rise in
    the thermal network, its way there that of one temperature, which the winding runs ahead of: a brief with a duty
    looks at both. Whether field and voltage let the current of an overload flow is not looked at.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> found = heating(choose(Brief(rotor_diameter="110 mm", cooling="shaft fan")), "induction")
    >>> units.show(found.final_rise, digits=2), units.show(found.time_constant, "min", digits=2)
    ('60 K', '25 min')
    """
    point, values = remade(choice, kind), choice[kind].values
    stator = point.stator
    body = {"m": values["mass"], "c_h": materials.MACHINE_SPECIFIC_HEAT, "S_o": stator.outside_area.item()}
    h, still = values["heat_coefficient"], stator.heat_coefficient(0.0, point.fed.frame_rise)
    t_h = float(duty.thermal_time_constant(h=h, **body))
    t_c = float(duty.thermal_time_constant(h=np.asarray(still).item(), **body))
    final = np.asarray(network_of(point).rises(point.heats)["winding"]).item()
    warming = sum(np.asarray(heat).item() for heat in point.heats.values())
    constant = (values["core loss"] + values["friction loss"]) / warming
    time = np.linspace(0.0, LASTS * t_h, 121)

    def overload(losses):
        return Overload(float(losses), float(duty.loading_overload(p_o=losses, c_k=constant)))

    def cyclic(factor):
        work = 60 * CYCLE * factor
        return duty.intermittent_overload(t_w=work, t_p=60 * CYCLE - work, t_h=t_h, t_c=t_c)

    return Heating(
        kind=kind,
        time=units.quantity(time, "s"),
        rise=units.quantity(duty.heating_curve(theta_e=final, theta_0=0.0, t_1=time, t_h=t_h), "K"),
        time_constant=units.quantity(t_h, "s"),
        resting_time_constant=units.quantity(t_c, "s"),
        final_rise=units.quantity(final, "K"),
        allowed_rise=units.quantity(stator.si.temperature_rise, "K"),
        losses=units.quantity(warming, "W"),
        short_time={t: overload(duty.short_time_overload(t_w=60 * t, t_h=t_h)) for t in SHORT_TIMES},
        intermittent={factor: overload(cyclic(factor)) for factor in DUTY_FACTORS},
    )
