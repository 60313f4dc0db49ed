"""What a rotor type is to the rest: one record, that names everything a new type has to say."""

import enum
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


class Objective(enum.Enum):
    """What an operating point is to make most of."""

    TORQUE = enum.auto()
    POWER = enum.auto()
    EFFICIENCY = enum.auto()
    ROOT_WATT = enum.auto()  # torque over the root of the losses
    VOLT_AMPERE = enum.auto()  # power over apparent power


@dataclass(frozen=True)
class Look:
    """How figures draw a type, so that none needs colour to be read."""

    color: str
    marker: str
    linestyle: str


@dataclass(frozen=True)
class Rotor:
    """A rotor type; arrays over material, pole pairs and size, SI.

    ``torque_cycles_per_turn`` counts the swings of its torque in a turn of the field where a fixed supply has to pull
    the rotor in, None where it starts on its own torque. ``full_fraction_is_best`` says whether the search fraction 1
    is best for torque and power. ``surface`` holds conductivity and relative permeability of a solid surface.

    ``candidates(si)`` returns the materials or forms to try, each with a ``name``; ``properties(material, si)`` what
    one contributes, {name: number or array}; ``rim_speed(stator, properties)`` what the parts stand [m/s];
    ``operate(fed, properties, objective, search_fraction, coarse)`` turns a fraction from 0 to 1 into (fed stator at
    its own slip, Operation), ``coarse`` may leave out what costs time and changes the ranking little.
    ``phrase(design, wins)`` says in words what the rotor's response rests on.
    ``search_bounds(fed, properties, objective, coarse)`` returns {name: array} of what ``operate`` divides its
    fraction by and what does not depend on it, if that saves time; it comes back among the properties.
    """

    kind: str
    synchronous: bool
    torque_cycles_per_turn: float | None
    full_fraction_is_best: bool
    surface: tuple[float, float]
    look: Look
    candidates: Callable[..., tuple]
    properties: Callable[..., dict[str, Any]]
    rim_speed: Callable[..., Any]
    operate: Callable[..., tuple]
    phrase: Callable[..., str]
    search_bounds: Callable[..., dict[str, Any]] | None = None

    @property
    def starts_by_pull_in(self) -> bool:
        """Whether a fixed supply has to pull the rotor in."""
        return self.torque_cycles_per_turn is not None
