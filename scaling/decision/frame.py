"""The frame of a brief: what of bore, slots and lengths is given, what follows, and the machine of places in it."""

import itertools
from types import SimpleNamespace

import numpy as np

from scaling.ground.messages import shorten
from scaling.laws import geometry, rings
from scaling.machines.stator import gap_of

OUTSIDE_RATIO, SLOT_DEPTH_RATIO, TOOTH_SHARE = 1.7, 0.15, 0.5  # where nothing is given
BORE, DEPTH, TEETH = (0.15, 0.92), (0.1, 0.9), (0.2, 0.8)  # rotor over outside, slots over what is beside, teeth
OPEN = "rotor_diameter", "slot_depth_ratio", "tooth_share"  # what a given outside leaves open, if not given
BEGINS = (0.35, 0.6, 0.85), (0.35, 0.7), (0.45,)  # of their searches
MIDDLE = 0.55  # of a rotor's diameter over the outside: what a brief with an open bore says of itself


def fill(brief, si):
    """Fill in the lengths and ratios that a brief leaves open, as of a plain machine; refuse those given twice."""
    for given, other in (("outside_ratio", "outside_diameter"), ("active_length", "overall_length")):
        if getattr(si, given) is not None and getattr(si, other) is not None:
            raise ValueError(
                f"{given}: got {shorten(getattr(brief, given))} beside {other}={shorten(getattr(brief, other))}; "
                "expected one of the two"
            )
    si.open_in_frame = ()
    if si.outside_diameter is None:
        si.outside_ratio = OUTSIDE_RATIO if si.outside_ratio is None else si.outside_ratio
    else:
        if si.active_length is None and si.overall_length is None:
            raise ValueError(
                f"overall_length is missing beside outside_diameter={shorten(brief.outside_diameter)}; expected a "
                "length over the end windings, or an active_length"
            )
        si.open_in_frame = tuple(name for name in OPEN if getattr(si, name) is None)
        si.rotor_diameter = MIDDLE * si.outside_diameter if si.rotor_diameter is None else si.rotor_diameter
        si.outside_ratio = si.outside_diameter / rings.bore_diameter(
            D=si.rotor_diameter, g=gap_of(si, si.rotor_diameter)
        )
    if si.active_length is None and si.overall_length is None:
        si.active_length = si.rotor_diameter
    if si.slot_depth_ratio is None:
        D, is_open = si.rotor_diameter, si.outside_diameter is not None
        si.slot_depth_ratio = _room(si, D) / D / 2 if is_open else SLOT_DEPTH_RATIO
    si.tooth_share = TOOTH_SHARE if si.tooth_share is None else si.tooth_share


def begins(si):
    """Return the places at which a search of what a given outside leaves open begins: [{name: place}], at least {}."""
    at = [places for name, places in zip(OPEN, BEGINS, strict=True) if name in si.open_in_frame]
    return [dict(zip(si.open_in_frame, places, strict=True)) for places in itertools.product(*at)]


def machines_at(si, places):
    """Return a brief in SI, of machines at {name: places from 0 to 1} of what a given outside leaves open."""
    si, outside = SimpleNamespace(**vars(si)), si.outside_diameter
    if "rotor_diameter" in places:
        si.rotor_diameter = _between(BORE, places["rotor_diameter"]) * outside
    D = si.rotor_diameter
    si.outside_ratio = outside / rings.bore_diameter(D=D, g=gap_of(si, D))
    if "slot_depth_ratio" in places:
        si.slot_depth_ratio = np.minimum(_between(DEPTH, places["slot_depth_ratio"]) * _room(si, D) / D, 1.0)
    if "tooth_share" in places:
        si.tooth_share = _between(TEETH, places["tooth_share"])
    return si


def made(values):
    """Return {field: number in SI} of a plain brief for a design that was found in a frame."""
    D = values["rotor_diameter"]
    return {
        "outside_diameter": None,
        "overall_length": None,
        "rotor_diameter": D,
        "active_length": values["active_length"],
        "outside_ratio": values["outside_diameter"] / float(rings.bore_diameter(D=D, g=values["gap"])),
        "slot_depth_ratio": values["slot_depth"] / D,
        "tooth_share": values["tooth_share"],
    }


def _room(si, D):
    """Return what lies between bore and outside [m]."""
    return geometry.yoke_thickness(D=D, g=gap_of(si, D), D_o=si.outside_diameter, d_s=0.0)


def _between(ends, place):
    low, high = ends
    return low + (high - low) * place
