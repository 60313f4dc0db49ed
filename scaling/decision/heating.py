"""Heating up: how the chosen design warms from cold, and what it may do for a while."""

from dataclasses import dataclass, replace

import numpy as np

from scaling.decision.curve import remade
from scaling.decision.temperatures import network_of
from scaling.ground import materials, units
from scaling.laws import duty
from scaling.machines.winding import resistivity
from scaling.models.thermal_parts import capacities
from scaling.models.thermal_transient import OneBody, TwoBodies, Warming, parts_of_two

SHORT_TIMES = (10.0, 30.0, 60.0, 90.0)  # min, usual rated times of S2, IEC 60034-1 (from memory)
SECONDS = (1.0, 10.0, 30.0, 60.0, 120.0)  # s, overloads while a drive speeds up, or a motor runs up
DUTY_FACTORS = (0.15, 0.25, 0.4, 0.6)  # usual ones of S3, of a cycle of 10 min, IEC 60034-1 (from memory)
CYCLE = 10.0  # min
STEADY = ("core", "friction", "can")  # losses that the current does not change, beside those of a solid rotor's surface
LASTS = 5.0  # slow time constants that the curve covers
HOTTER = 25.0  # K over the rise allowed: insulation of class F used to the rise of class B (common practice)
FLOWS = 1.6  # excess torque that motors stand for 15 s, IEC 60034-1 (from memory): more current is a question
AHEAD = 1.05  # of the whole network over two bodies: more is told
MELTS = 60.0  # s: a current that melts its conductor sooner is told


@dataclass(frozen=True)
class Overload:
    """What a duty allows over continuous duty: ``losses`` and ``current``; NaN where no current is small enough."""

    losses: float
    current: float


@dataclass(frozen=True)
class Heating:
    """A design as two bodies, winding and all the rest, that warm with its continuous losses; quantities.

    ``time``, ``rise`` of the winding (mean) and ``rest_rise`` are the curve from cold, ``final_rise`` is where the
    winding ends; ``time_constant`` is that of both together, ``fast_time_constant`` that of the winding ahead of the
    rest (none in one body), ``resting_time_constant`` the slow one of a rotor at rest, whose shaft fan stands still.
    ``allowed_rise`` is what the brief allows, ``hot_limit`` where an overload from warm ends. `Overload` by duty:
    ``short_time`` for every rated time in minutes (S2), ``from_cold`` and ``from_warm`` (at continuous duty before) for
    seconds, ``intermittent`` for cyclic duration factors (of ten minutes) with the supply off in its pauses (S3) and
    cooling as at work, as the brief's duty has it; ``intermittent_still`` where a shaft fan stands still in them.

    For what else there is to ask: ``bodies`` at work and ``at_rest``, heat capacities [J/K] and resistances [K/W];
    ``varying`` and ``constant`` heat of (winding, rest) [W] that goes with the square of the current, and that stays.
    """

    kind: str
    time: units.Quantity
    rise: units.Quantity
    rest_rise: units.Quantity
    time_constant: units.Quantity
    fast_time_constant: units.Quantity
    resting_time_constant: units.Quantity
    final_rise: units.Quantity
    allowed_rise: units.Quantity
    hot_limit: units.Quantity
    losses: units.Quantity
    short_time: dict
    from_cold: dict
    from_warm: dict
    intermittent: dict
    intermittent_still: dict
    cautions: tuple
    bodies: TwoBodies | OneBody
    at_rest: TwoBodies | OneBody
    varying: tuple
    constant: tuple

    def rise_after(self, time):
        """Return the winding's temperature rise after a time from cold, a quantity or an array of them."""
        return units.quantity(_curve(self, time.m_as("s"))[..., 0], "K")

    def rest_rise_after(self, time):
        """Return the temperature rise of all but the winding after a time from cold."""
        return units.quantity(_curve(self, time.m_as("s"))[..., 1], "K")


def _curve(made, seconds):
    """Return the rises of (winding, rest) after times from cold."""
    return made.bodies.after(np.asarray(seconds, float), np.add(made.varying, made.constant))


@dataclass(frozen=True)
class _Warmed:
    """What the overloads of a design follow from: its bodies, heats, rises allowed, and share of constant losses."""

    bodies: TwoBodies | OneBody
    at_rest: TwoBodies | OneBody
    varying: tuple
    constant: tuple
    allowed: float
    hot_limit: float
    share: float

    def from_cold(self, seconds):
        """Return the Overload that lets the winding reach the rise allowed in a time from cold."""
        return self._cold(self.bodies.after(seconds, heats)[0] for heats in (self.varying, self.constant))

    def in_cycles(self, factor, at_rest):
        """Return the same at the end of work in cycles of a duty factor, the bodies cooling as ``at_rest``."""
        work = 60 * CYCLE * factor
        times = work, 60 * CYCLE - work
        return self._cold(self.bodies.cycle(*times, heats, at_rest)[0] for heats in (self.varying, self.constant))

    def from_warm(self, seconds):
        """Return the Overload that lets the winding reach the hot limit in a time, warm from continuous duty."""
        steady = self.bodies.ends(np.add(self.varying, self.constant))[0]
        rise = self.bodies.after(seconds, self.varying)[0]
        return self._of(duty.warm_current_overload, theta=self.hot_limit, theta_e=steady, theta_v=rise)

    def _cold(self, rises):
        varying, constant = rises
        return self._of(duty.current_overload, theta=self.allowed, theta_k=constant, theta_v=varying)

    def _of(self, law, **rises):
        with np.errstate(invalid="ignore"):
            current = float(law(**rises))
        return Overload(float(duty.overload_losses(a_o=current, c_k=self.share)), current)


def heating(choice, kind, hot_limit=None):
    """Return how the design of one kind in a choice heats up from cold at its continuous point.

    Parameters
    ----------
    choice : Choice
        of ``choose(brief)``
    kind : str
        "induction", "hysteresis", "reluctance" or "magnet"
    hot_limit : str or Quantity
        mean rise of the winding at the end of an overload from warm; 25 K above the brief's if not given

    Returns
    -------
    Heating

    Raises
    ------
    TypeError, KeyError
        if ``choice`` is not a Choice; if ``kind`` is no machine type
    ValueError
        if the design has no running point with torque to spare; if ``hot_limit`` is no temperature rise

    Validity
    --------
    The two bodies of the brief's duties, one body of 450 J/(kg K) (common practice) for a machine of one temperature.
    Heat of the winding and of slip goes with the square of the current, core, friction and the rotor's surface stay as
    they are; a loss outside the winding counts as heat of the rest that warms the winding as much. Resistivity is that
    at the rise allowed, too high from cold. The winding's hottest place runs ahead of its mean, and the rotor's heat
    warms all the rest at once: against the network of all parts the winding is up to a third too cool where a large
    rotor without losses takes up heat late (told in ``cautions``), and too warm in the first seconds, up to three times
    in slots so fine that their teeth warm along. Whether field, voltage and magnets let the current of an overload flow
    is not looked at.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> found = heating(choose(Brief(rotor_diameter="110 mm", cooling="shaft fan")), "induction")
    >>> units.show(found.final_rise, digits=2), units.show(found.time_constant, "min", digits=2)
    ('60 K', '30 min')
    """
    point, values = remade(choice, kind), choice[kind].values
    allowed = point.si.temperature_rise
    limit = allowed + HOTTER if hot_limit is None else units.read(hot_limit, "temperature rise", "hot_limit")
    warmed = _warmed(point, allowed, limit)
    slow, fast = warmed.bodies.time_constants
    rest = warmed.at_rest.time_constants[0]
    time = np.linspace(0.0, LASTS * slow, 121)
    curve = warmed.bodies.after(time, np.add(warmed.varying, warmed.constant))
    duties = {
        "short_time": {t: warmed.from_cold(60 * t) for t in SHORT_TIMES},
        "from_cold": {t: warmed.from_cold(t) for t in SECONDS},
        "from_warm": {t: warmed.from_warm(t) for t in SECONDS},
        "intermittent": {part: warmed.in_cycles(part, warmed.bodies) for part in DUTY_FACTORS},
        "intermittent_still": {part: warmed.in_cycles(part, warmed.at_rest) for part in DUTY_FACTORS},
    }
    return Heating(
        kind=kind,
        time=units.quantity(time, "s"),
        rise=units.quantity(curve[:, 0], "K"),
        rest_rise=units.quantity(curve[:, 1], "K"),
        time_constant=units.quantity(slow, "s"),
        fast_time_constant=units.quantity(fast, "s"),
        resting_time_constant=units.quantity(rest, "s"),
        final_rise=units.quantity(warmed.bodies.ends(np.add(warmed.varying, warmed.constant))[0], "K"),
        allowed_rise=units.quantity(allowed, "K"),
        hot_limit=units.quantity(limit, "K"),
        losses=units.quantity(sum(_number(watts) for watts in point.heats.values()), "W"),
        **duties,
        cautions=_cautions(duties, values["current_density_rms"], point.si) + _ahead(point, warmed),
        **{name: getattr(warmed, name) for name in ("bodies", "at_rest", "varying", "constant")},
    )


def _warmed(point, allowed, limit):
    """Return what overloads of an operating point follow from; floats."""
    stator, whole = point.stator, network_of(point)
    outside = _number(whole.outside)
    still = 1.0 / _number(stator.heat_coefficient(0.0, point.fed.frame_rise) * stator.outside_area)
    if stator.heat_paths is None:
        bodies = OneBody(materials.MACHINE_SPECIFIC_HEAT * _number(stator.mass), outside)
    else:
        parts = [_number(part) for part in parts_of_two(whole, capacities(stator.heat_paths.machine))]
        bodies = TwoBodies.of(parts, _number(whole.over_frame("winding")["winding"]), outside)
    at_rest = replace(bodies, R_r=bodies.R_r - outside + still)
    weights = {loss: _number(weight) / bodies.R_r for loss, weight in whole.weights("winding").items()}
    losses = {loss: _number(watts) for loss, watts in point.heats.items()}
    surface = _number(point.surface_drag * point.fed.field_speed * (1.0 - point.operation.slip) * stator.area)
    on_surface = surface * weights["rotor"]
    steady, other = (
        sum(losses[loss] * weights[loss] for loss in losses if loss != "winding" and (loss in STEADY) == stays)
        for stays in (True, False)
    )
    return _Warmed(
        bodies,
        at_rest,
        varying=(losses["winding"], other - on_surface),
        constant=(0.0, steady + on_surface),
        allowed=allowed,
        hot_limit=limit,
        share=(sum(losses[loss] for loss in STEADY) + surface) / sum(losses.values()),
    )


def _number(array):
    """Return the number in an array of one."""
    return np.asarray(array).item()


def _cautions(duties, J_rms, si):
    """Return sentences on the largest current of the overloads for seconds, where it may not flow or would melt."""
    told = []
    for name, start in (("from_cold", "cold"), ("from_warm", "warm")):
        seconds, overload = max(duties[name].items(), key=lambda item: np.nan_to_num(item[1].current))
        if not overload.current > FLOWS:
            continue
        text = (
            f"{overload.current:.2g} times the current for {units.show_si(seconds, 's')} from {start}: whether field, "
            "voltage and magnets let this current flow is not looked at"
        )
        metal = materials.CONDUCTORS[si.conductor]
        melted = duty.winding_heating_time(
            theta=materials.MELTING_POINT[si.conductor] - si.ambient,
            c_h=materials.CONDUCTOR_HEAT_CAPACITY[si.conductor],
            rho_w=metal.density,
            rho=resistivity(metal, si),
            J_rms=overload.current * J_rms,
        )
        if melted < MELTS:
            text += f"; if it stayed on, the {si.conductor} would melt within {melted:.2g} s"
        told.append(text)
    return tuple(told)


def _ahead(point, warmed):
    """Return the sentence that says by how much the whole network warms faster than two bodies, where it does."""
    if point.stator.heat_paths is None:
        return ()
    seconds = np.geomspace(1e-3, 1.0, 61) * warmed.bodies.time_constants[0]
    whole = Warming(network_of(point), capacities(point.stator.heat_paths.machine))
    exact = np.ravel(whole.step(point.heats, seconds)["winding"])
    ratio = exact / warmed.bodies.after(seconds, np.add(warmed.varying, warmed.constant))[:, 0]
    worst = int(np.argmax(ratio))
    if ratio[worst] < AHEAD:
        return ()
    time = units.show_si(seconds[worst], "s") if seconds[worst] < 120.0 else f"{seconds[worst] / 60:.3g} min"
    return (
        f"{time} from cold the winding is {100 * (ratio[worst] - 1):.2g} % warmer in the network of all parts than as "
        "one of two bodies: overloads for about that time are optimistic",
    )
