"""A design's operating point, made again from what it was searched for."""

from typing import Any, NamedTuple

import numpy as np

from scaling.decision.merits import MERITS
from scaling.decision.performance import Point
from scaling.machines import ROTORS, stator
from scaling.machines.fed import feed


class Origin(NamedTuple):
    """What a design was searched for: a brief in SI, the merit, and whether the supply has one frequency."""

    si: Any
    merit: str
    fixed_supply: bool


def made_again(design):
    """Return the operating point of a design, made again; arrays of one element.

    Raises
    ------
    ValueError
        if the design has no running point with torque to spare
    """
    kind, v, (si, merit, fixed_supply) = design.kind, design.values, design.origin
    if not v["torque"] > 0.0:
        raise ValueError(f"kind: {kind} has no running point for this brief: {'; '.join(design.reasons)}")
    rotor, merit = ROTORS[kind], MERITS[merit]
    (material,) = (m for m in rotor.candidates(si) if m.name == design.material)
    laid_out = stator.round_stator(si, [v["rotor_diameter"]], np.array([[v["pole_pairs"]]]))
    properties = {name: np.array([[value]]) for name, value in rotor.properties(material, si).items()}
    places = {name: np.array([[v[f"place of {name}"]]]) for name in rotor.free(si, merit.sparing)}
    frequency = v["frequency"] * (1.0 - v["slip"]) if si.speed_is_exact else v["frequency"]
    found = properties | places
    supplied, operation = rotor.operate(feed(laid_out, frequency), found, merit.objective, v["search_fraction"])
    fraction = v["search_fraction"]
    return Point(rotor, supplied, operation, fixed_supply, found, search_fraction=fraction, places=places)
