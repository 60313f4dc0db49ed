"""What may bind a design: every limit once, with the fields of the brief that relax it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scaling.machines import fed as stators
from scaling.machines.winding import bare_share, slot_fill

FULL = 0.985  # share of the heat that can be passed from which the temperature rise counts as a limit: the budget
# takes friction under the side pull of the largest field
INSULATED = 0.5  # copper share over that of bare wires from which insulation counts as a limit


@dataclass(frozen=True)
class Limit:
    """One limit: ``relaxed_by`` {field: 1 where more of it helps, -1 where less}; ``active(point)`` where it binds.

    Without ``active``, the rotor's operation names it where it binds, or it is a cost that only elasticities tell of.
    ``hatch`` marks it on the map of what binds.
    """

    name: str
    relaxed_by: dict = field(default_factory=dict)
    active: Callable[[Any], Any] | None = None
    hatch: str = ""


def _passes_all_heat(point):
    return point.winding_rise > FULL * point.si.temperature_rise


def _insulated(point):
    si = point.si
    thin = slot_fill(point.stator) < INSULATED * bare_share(si)
    return thin & (si.slot_fill is None)


def _rim(point):
    """Return (at the largest rim frequency, that of the parts' strength, that of the brief's limit)."""
    whole = stators.rim_frequency(point.stator, point.si.rim_speed_limit)
    parts = stators.rim_frequency(point.stator, point.rotor.rim_speed(point.stator, point.properties))
    parts = np.inf if point.si.sleeved else parts
    return np.isclose(point.fed.frequency, np.minimum(parts, whole), rtol=1e-3), parts, whole


def _at_rim_speed(point):
    at_rim, parts, whole = _rim(point)
    return at_rim & (whole <= parts)


def _at_rim_stress(point):
    at_rim, parts, whole = _rim(point)
    return at_rim & (parts < whole)


def _at_speed_asked(point):
    asked = point.si.speed
    return False if asked is None else np.any([np.isclose(point.speed, end, rtol=1e-3) for end in asked], axis=0)


def _at_frequency_end(point):
    if point.fixed_supply:
        return False
    ends = [np.isclose(point.fed.frequency, end, rtol=1e-3) for end in point.si.supply_frequency]
    return (ends[0] | ends[1]) & ~_rim(point)[0]


LIMITS = {
    limit.name: limit
    for limit in (
        Limit("temperature rise", {"temperature_rise": 1}, _passes_all_heat),
        Limit("gap field", {"gap_field_limit": 1}, hatch="..."),
        Limit("tooth field", {"tooth_field_limit": 1}, hatch=".."),
        Limit("yoke field", {"yoke_field_limit": 1}, hatch="...."),
        Limit("slip limit", {"slip_limit": 1}, hatch="\\\\\\"),
        Limit("pull-out reserve", {"pull_out_reserve": -1}, hatch="\\\\"),
        Limit("rotor teeth"),  # relaxed with the stator's
        Limit("rotor core"),  # relaxed with the yoke's
        Limit("segment field"),  # of flux barriers, relaxed with the yoke's
        Limit("rotor heat"),  # of magnets, that their grade stands
        Limit("pole edge"),  # relaxed with the teeth's
        Limit("ribs", {"rib_floor": -1, "rib_ratio": -1}, hatch="---"),
        Limit("rotor thickness", {"rotor_depth_ratio": 1}, hatch="xxx"),
        Limit(
            "insulation",
            {"slot_fill": 1, "wire_packing": 1, "slot_liner": -1, "thinnest_wire": -1, "etched_space": -1},
            _insulated,
            hatch="++",
        ),
        Limit(
            "friction", {"bearing_diameter_ratio": -1}, lambda point: point.torque < point.gap_torque / 2, hatch="ooo"
        ),
        Limit("gap floor", {"gap_floor": -1}, lambda p: p.si.gap_floor > p.si.gap_ratio * p.stator.D, hatch="///"),
        Limit("gap ratio", {"gap_ratio": -1}, hatch="//"),
        Limit("rim speed", {"rim_speed_limit": 1}, _at_rim_speed, hatch="//.."),
        Limit("rim stress", {"overspeed": -1}, _at_rim_stress, hatch="\\\\.."),
        Limit("speed asked for", active=_at_speed_asked),
        Limit("frequency range", {"supply_frequency": 1}, _at_frequency_end, hatch="OO"),
        Limit("core loss", {"core_loss": -1}, hatch="|||"),
        Limit("slot pitch", {"slot_pitch_floor": -1}, hatch="**"),
    )
}


def active(point):
    """Return {name of a limit: where it binds}; a rotor that names a limit of its own has to list it in LIMITS."""
    named = point.operation.limits
    unknown = set(named) - set(LIMITS)
    if unknown:
        raise KeyError(f"the {point.rotor.kind} rotor names {sorted(unknown)}, not in LIMITS")
    found = {}
    for name, limit in LIMITS.items():
        if limit.active is not None:
            found[name] = limit.active(point)
        elif name in named:
            found[name] = named[name]
    return found
