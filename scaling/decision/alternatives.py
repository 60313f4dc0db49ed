"""The assumptions of the model that a brief can change, each with a defensible alternative."""

import dataclasses
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scaling.decision.brief import Brief
from scaling.decision.fields import read
from scaling.ground import messages


@dataclass(frozen=True)
class Assumption:
    """An assumption, and a defensible alternative: ``fields`` of a brief that change it, ``status`` where it stands.

    What is taken is the end of what can be where it ``ends``; else as much may lie on its other side. Nothing hangs on
    it ``unless`` a field is left at its default.
    """

    name: str
    taken: str
    alternative: str
    fields: dict = field(hash=False)
    status: str
    ends: bool = False
    unless: str = ""


_PRACTICE = "common practice, no source"
ASSUMPTIONS = (
    Assumption("slip", "bounded by heat and reserve alone", "at most 0.1", {"slip_limit": 0.1}, _PRACTICE, ends=True),
    Assumption(
        "pull-out reserve",
        "1.6, 1.5, 1.35 by kind on a fixed supply",
        "none",
        {"pull_out_reserve": 1.0},
        "IEC 60034-1, from memory; motors with a light load are built without",
    ),
    Assumption(
        "start",
        "friction alone to overcome from rest",
        "the rated torque",
        {"starting_torque_ratio": 1.0},
        "large motors of design N, IEC 60034-12, from memory",
        ends=True,
        unless="starting_torque",
    ),
    Assumption("rotor's layer", "at most a fifth of the diameter", "a tenth", {"rotor_depth_ratio": 0.1}, _PRACTICE),
    Assumption("gap", "0.3 % of the diameter above the floor", "0.5 %", {"gap_ratio": 0.005}, _PRACTICE),
    Assumption("end rings", "at most a fifth of the diameter wide", "a tenth", {"end_ring_ratio": 0.1}, _PRACTICE),
    Assumption(
        "end windings", "0.3 pole pitches out of the core", "0.5 pole pitches", {"end_overhang_ratio": 0.5}, _PRACTICE
    ),
    Assumption(
        "cage", "the best conductor", "cast aluminium", {"rotor_material": "aluminium"}, "as most are built", ends=True
    ),
    Assumption("slot opening", "a quarter of the pitch", "half", {"slot_opening_ratio": 0.5}, _PRACTICE),
    Assumption(
        "slot fill",
        "wires fill 0.6 of the room between the liners",
        "0.5",
        {"wire_packing": 0.5},
        "wound in by machine; " + _PRACTICE,
        unless="slot_fill",
    ),
    Assumption("teeth", "1.8 T", "1.6 T", {"tooth_field_limit": "1.6 T"}, _PRACTICE),
    Assumption("stacking", "0.96", "0.93", {"stacking_factor": 0.93}, _PRACTICE),
    Assumption("core loss", "1.7 times the sheet's", "2.5 times", {"core_building_factor": 2.5}, _PRACTICE),
    Assumption(
        "ring alloys",
        "isotropic grades",
        "oriented ones, too",
        {"oriented_rings": True},
        "properties along one axis only",
        ends=True,
    ),
    Assumption(
        "ring's surface",
        "solid",
        "laminated",
        {"rotor_surface": "laminated"},
        "rings wound or stacked of strip exist",
        ends=True,
    ),
    Assumption("bearings", "balls where they exist", "plain bushes", {"bearing": "plain"}, _PRACTICE, ends=True),
    Assumption("eccentricity", "a tenth of the gap", "a fifth", {"eccentricity": 0.2}, _PRACTICE),
    Assumption("ribs", "0.3 mm at the least", "0.1 mm", {"rib_floor": "0.1 mm"}, "etched sheet"),
)


@dataclass(frozen=True)
class Either:
    """What is taken (0) or its alternative (1), one as likely as the other; ``value`` is the alternative in SI."""

    describe: str
    value: Any

    def ppf(self, q):
        """Return 0 or 1 at quantiles q."""
        return np.where(np.asarray(q, float) < 0.5, 0.0, 1.0)


def left_open(brief, besides=()):
    """Return the assumptions whose fields a brief leaves at their defaults: what it says itself is no assumption.

    Fields named in ``besides`` are none, either.
    """
    fields = _fields()
    return tuple(
        row
        for row in ASSUMPTIONS
        if all(getattr(brief, name) == fields[name].default for name in (*row.fields, *_named(row.unless)))
        and not any(name in besides for name in row.fields)
    )


def _named(name):
    return (name,) if name else ()


def as_inputs(brief, asked):
    """Return (brief, {field: Either}) with assumptions as things not known exactly.

    A number between what is taken and its alternative becomes a uniform range of the brief; what is a matter of yes or
    no, or has no number by default, either.

    Parameters
    ----------
    brief : Brief
    asked : bool or sequence of str
        all that the brief leaves open, none, or those with these names
    """
    ranges, either, fields = {}, {}, _fields()
    for row in _asked(brief, asked):
        for name, value in row.fields.items():
            f = fields[name]
            if "kind" in f.metadata and f.default is not None:
                ranges[name] = tuple(sorted((f.default, value), key=lambda end, f=f: read(f, end)))
            else:
                either[name] = Either(f"{row.taken}, or {row.alternative}, as likely", read(f, value))
    return (dataclasses.replace(brief, **ranges) if ranges else brief), either


def _fields():
    return {f.name: f for f in dataclasses.fields(Brief) if f.init}


def _asked(brief, asked):
    """Return the assumptions asked for, in the order of the table."""
    rows = left_open(brief)
    if isinstance(asked, bool):
        return rows if asked else ()
    if not isinstance(asked, (list, tuple, set)):
        raise TypeError(f"assumptions: got {messages.shorten(asked)}; expected True, False or a list of their names")
    names = [messages.choice(name, [row.name for row in rows], "assumptions") for name in asked]
    return tuple(row for row in rows if row.name in names)
