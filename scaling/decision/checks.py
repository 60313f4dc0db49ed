"""What a brief asks of a design: every check once, in the order in which they matter."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.ground import units
from scaling.machines import ROTORS
from scaling.machines.fed import asks_torque, torque_asked
from scaling.models.climb import Verdict

_NO_LIMIT = 1e4  # K


def contrast(a, b):
    """Return the difference of two numbers over the sum of their sizes."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return (a - b) / (np.abs(a) + np.abs(b))


@dataclass(frozen=True)
class Failed:
    """A design that fails: its figures in SI, the brief in SI, its rotor."""

    values: dict
    si: Any
    rotor: Any

    def show(self, name, unit):
        """Return a figure with its unit."""
        return units.show_si(self.values[name], unit)


def _always(si):
    """Return whether every brief makes the check: yes."""
    return True


@dataclass(frozen=True)
class Check:
    """One check: ``asked(si)`` whether the brief makes it, ``passed(point)`` where it is met, ``message(failed)``.

    ``nearness(point)`` grows as a trial comes nearer to passing, so that a search finds its way; ``slack(point)`` is
    above zero where it passes, about 1 far inside, so that a search keeps to it; ``signal(figures, si,
    rotor)`` is above zero where a finished design passes, smooth for a surrogate. Figures behind a ``fatal`` check
    that fails mean nothing. ``at_start`` marks what a type may fail by its nature.
    """

    name: str
    passed: Callable[[Any], Any]
    message: Callable[[Failed], str]
    asked: Callable[[Any], bool] = _always
    nearness: Callable[[Any], Any] | None = None
    slack: Callable[[Any], Any] | None = None
    signal: Callable[..., Any] | None = None
    fatal: bool = False
    at_start: bool = False


def _misfit(failed):
    if failed.values["gap"] >= failed.values["rotor_diameter"] / 2:
        return f"the gap of {failed.show('gap', 'm')} is not below the radius"
    pairs = f"{failed.values['pole_pairs']:.0f} pole pair(s)"
    if math.isnan(failed.values["active_length"]):
        return f"the end windings of its {pairs} take all of overall_length"
    return (
        f"its {pairs} need slots {failed.show('slot_pitch', 'm')} apart, finer than slot_pitch_floor, or a gap that is "
        "not thin against the pole pitch"
    )


def _unwound(failed):
    v, si = failed.values, failed.si
    slots = f"slots {failed.show('slot_pitch', 'm')} apart"
    liner = f"liners of {failed.show('slot_liner', 'm')}"
    if si.winding == "etched":
        return f"{slots} have no room for {_some(si.conductors_per_slot, 'line')} at etched_space between {liner}"
    if si.conductors_per_slot is None:
        finest = units.show_si(si.thinnest_wire, "m")
        return f"{slots} have no room for one wire of {finest} between {liner}: give winding='etched'"
    asked = f"{si.conductors_per_slot:.0f} conductors in {slots}"
    if not v["wire_diameter"] > 0:
        return f"{asked}: two {liner} leave no room for a wire"
    wire = failed.show("wire_diameter", "m")
    if v["wire_diameter"] < si.thinnest_wire:
        return f"{asked} want a wire of {wire}, finer than thinnest_wire"
    return f"{asked} want a wire of {wire}, wider than the slot between its liners"


def _some(number, thing):
    return f"a {thing}" if number is None else f"{number:.0f} {thing}s"


def _unworkable(failed):
    told = "no running point exists inside the limits"
    if failed.rotor.kind == "induction" and math.isnan(failed.values["rotor_thickness"]):
        return f"{told}: bars find no room below tooth tips half of slot_pitch_floor or rib_ratio high"
    stands = failed.rotor.hottest(failed.si)
    if stands <= failed.si.ambient + failed.si.temperature_rise:
        return f"{told}: {failed.si.magnet} stands {_celsius(stands)}"
    return told


def _unstarted(failed):
    v, si = failed.values, failed.si
    if not failed.rotor.starts_by_pull_in:
        held = "friction and load" if si.load_at_start and asks_torque(si) else "the bearing's friction"
        return f"its torque at standstill does not overcome {held}"
    if math.isnan(v["pull_in_need"]) and not v["starting_cage"]:
        return "the load at its start is more than its largest torque"
    low, high = si.supply_frequency
    lowest = f" at the drive's lowest frequency of {units.show_si(min(low, v['frequency']), 'Hz')}"
    where = lowest if low != high else ""
    numbers = f"pull-in number {v['pull_in']:.2g}, needs {v['pull_in_need']:.2g}"
    if v["starting_cage"]:
        if v["capture_number"] < 1.0:
            caught = f"capture number {v['capture_number']:.2g}, needs 1"
        else:
            caught = "the cage does not run its load up"
        return f"it does not pull itself in from rest, even with a starting cage: {caught}; bare: {numbers}"
    if v["spare_with_cage"] > 0.0:
        numbers += "; a starting cage would start it"
    return f"it does not pull itself in from rest{where}: {numbers}"


def _start_slack(point):
    spare = point.spare_at_start
    if point.rotor.starts_by_pull_in:
        return spare
    with np.errstate(invalid="ignore", divide="ignore"):
        return spare / np.abs(point.gap_torque)


def _start_signal(v, si, rotor):
    if rotor.starts_by_pull_in:
        spare = np.maximum(v["spare_at_start"], -1.0)
        return spare / (2.0 + spare)  # of a pull-in number the contrast with its need
    load, scale = si.load_at_start * torque_asked(si, v["speed"]), np.abs(v["gap_torque"])
    return contrast(v["starting_torque"] + scale, load + scale)


def rotor_rise_allowed(si, rotor):
    """Return the rise that a rotor stands; of one that has no limit a large number [K]."""
    return np.minimum(rotor.hottest(si) - si.ambient, _NO_LIMIT)


def _rotor_too_hot(failed):
    reached, stands = failed.si.ambient + failed.values["rotor_rise"], failed.rotor.hottest(failed.si)
    return f"its rotor would reach {_celsius(reached)}; {failed.si.magnet} stands {_celsius(stands)}"


def _celsius(kelvin):
    return f"{kelvin - 273.15:.0f} °C"


def _rotor_stays_cool(point):
    if math.isinf(point.rotor.hottest(point.si)):
        return np.isfinite(point.operation.shear)  # as what works
    return point.rotor_rise <= rotor_rise_allowed(point.si, point.rotor) * (1 + 1e-9)


CHECKS = (
    Check("fits", lambda point: point.stator.fits, _misfit, fatal=True),
    Check("wire", lambda point: point.stator.wound, _unwound, fatal=True),
    Check(
        "frequency",
        lambda point: point.in_range,
        lambda failed: (
            "no frequency of the supply gives a speed inside the speed asked for, rim_speed_limit and rim stress"
        ),
        fatal=True,
    ),
    Check(
        "friction heat",
        lambda point: ~np.isnan(point.fed.budget),
        lambda failed: "friction alone makes more heat than the outside can pass",
        fatal=True,
    ),
    Check(
        "works",
        lambda point: np.isfinite(point.operation.shear),
        _unworkable,
        fatal=True,
    ),
    Check(
        "rotor heat",
        _rotor_stays_cool,
        _rotor_too_hot,
        nearness=lambda point: -point.rotor_rise,
        signal=lambda v, si, rotor: contrast(rotor_rise_allowed(si, rotor), v["rotor_rise"]),
    ),
    Check(
        "friction",
        lambda point: point.torque > 0.0,
        lambda failed: f"friction takes all of its torque of {failed.show('gap_torque', 'N*m')}",
        nearness=lambda point: point.torque,
        signal=lambda v, si, rotor: contrast(v["gap_torque"], v["gap_torque"] - v["torque"]),
    ),
    Check(
        "torque",
        lambda point: point.torque >= point.si.torque,
        lambda failed: (
            f"it gives {failed.show('torque', 'N*m')} of the {units.show_si(failed.si.torque, 'N*m')} asked for"
        ),
        asked=lambda si: si.torque is not None,
        nearness=lambda point: point.torque,
        slack=lambda point: point.torque / point.si.torque - 1.0,
        signal=lambda v, si, rotor: contrast(v["torque"], si.torque),
    ),
    Check(
        "power",
        lambda point: point.power >= point.si.power,
        lambda failed: f"it gives {failed.show('power', 'W')} of the {units.show_si(failed.si.power, 'W')} asked for",
        asked=lambda si: si.power is not None,
        nearness=lambda point: point.power,
        slack=lambda point: point.power / point.si.power - 1.0,
        signal=lambda v, si, rotor: contrast(v["power"], si.power),
    ),
    Check(
        "synchronous",
        lambda point: np.array(point.rotor.synchronous),
        lambda failed: "it slips, and the brief asks for exact synchronous speed",
        asked=lambda si: si.synchronous,
    ),
    Check(
        "start",
        lambda point: point.spare_at_start > 0.0,
        _unstarted,
        asked=lambda si: si.self_starting,
        nearness=lambda point: point.spare_at_start,
        slack=_start_slack,
        signal=_start_signal,
        at_start=True,
    ),
    Check(
        "starting torque",
        lambda point: point.starting_torque >= point.si.starting_torque,
        lambda failed: (
            f"its mean torque at standstill, {failed.show('starting_torque', 'N*m')}, is below the "
            f"{units.show_si(failed.si.starting_torque, 'N*m')} asked for"
        ),
        asked=lambda si: si.starting_torque is not None,
        nearness=lambda point: point.starting_torque,
        slack=lambda point: point.starting_torque / point.si.starting_torque - 1.0,
        signal=lambda v, si, rotor: contrast(v["starting_torque"], si.starting_torque),
        at_start=True,
    ),
    Check(
        "starting torque ratio",
        lambda point: point.starting_torque >= point.si.starting_torque_ratio * point.torque,
        lambda failed: (
            f"its mean torque at standstill is {failed.values['starting_torque'] / failed.values['torque']:.2g} times "
            f"the continuous one, below the {failed.si.starting_torque_ratio:.3g} asked for"
        ),
        asked=lambda si: si.starting_torque_ratio is not None,
        nearness=lambda point: point.starting_torque / point.torque,
        slack=lambda point: point.starting_torque / point.torque / point.si.starting_torque_ratio - 1.0,
        signal=lambda v, si, rotor: contrast(v["starting_torque"], si.starting_torque_ratio * v["torque"]),
        at_start=True,
    ),
)
BY_NAME = {check.name: check for check in CHECKS}
AT_START = frozenset(check.name for check in CHECKS if check.at_start)


def checked(point, ignored=frozenset()):
    """Return what the brief asks for, in order, but for names to be ignored: {name: where a point passes}."""
    return {check.name: check.passed(point) for check in CHECKS if check.name not in ignored and check.asked(point.si)}


def score(point, passed, merit, waived=False):
    """Return the Verdict on trials; the checks count first, an earlier one before all that come later.

    Of trials that fail at a torque or at the start, the one nearest to passing counts as the best, so that a search
    finds its way to what meets the brief. ``waived`` is where those at the start do not count and count as passed.
    """
    aim, ahead, slack = merit.value(point), np.array(True), np.array(np.inf)
    value = aim
    for name, ok in passed.items():
        check = BY_NAME[name]
        if check.nearness is not None:
            value = np.where(ahead & ~ok, check.nearness(point), value)
        if check.slack is not None:
            slack = np.minimum(slack, np.where(check.at_start & waived, np.inf, check.slack(point)))
        ahead = ahead & ok
    *each, value = np.broadcast_arrays(*passed.values(), value)
    firm = [ok for name, ok in zip(passed, each, strict=True) if BY_NAME[name].slack is None]
    return Verdict(each, value, aim, slack, firm)


def failed_at(best, i, si):
    """Return what messages say of design i of a type."""
    return Failed({name: float(values[i]) for name, values in best.figures.items()}, si, ROTORS[best.kind])


def failures(best, i, si):
    """Return sentences for every check of the brief that design i of a type fails."""
    failed = [name for name, passed in best.passed.items() if not passed[i]]
    told = failed_at(best, i, si)
    fatal = [name for name in failed if BY_NAME[name].fatal]
    if fatal and fatal[0] in ("friction heat", "works"):
        failed = fatal[:1]
    elif fatal:  # geometry and supply: what a type is by its nature may still be said
        failed = [name for name in failed if name in ("fits", "wire", "frequency", "synchronous")]
    return tuple(BY_NAME[name].message(told) for name in failed)


def signals(best, si):
    """Return what lies behind a type's checks, {name: array}, above zero where one is met."""
    rotor, asked = ROTORS[best.kind], (check for check in CHECKS if check.signal is not None)
    return {c.name: c.signal(best.figures, si, rotor) for c in asked if c.asked(si) or c.name == "start"}
