"""What a rotor type is to the rest: one record, that names everything a new type has to say."""

import enum
import math
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


def never(si):
    """Return the temperature that a rotor stands whose heat is no limit [K]."""
    return math.inf


def no_active_mass(point):
    """Return the mass of bars, ring or magnets of a rotor that has none [kg]."""
    return 0.0


def nothing_free(si, sparing):
    """Return what is searched of a rotor that has nothing free."""
    return {}


def nothing_else(sparing):
    """Return the places of a second begin of a search that begins once."""
    return {}


@dataclass(frozen=True)
class Rotor:
    """A rotor type; arrays over material, pole pairs and size, SI.

    ``torque_cycles_per_turn`` counts the swings of its torque in a turn of the field where a fixed supply has to pull
    the rotor in, None where it starts on its own torque. ``full_fraction_is_best`` says whether the search fraction 1
    is best for torque and power. ``surface`` holds conductivity and relative permeability of a solid surface,
    ``surface_is_solid`` whether its surface is solid in practice.

    ``candidates(si)`` returns the materials or forms to try, each with a ``name``; ``properties(material, si)`` what
    one contributes, {name: number or array}; ``rim_speed(stator, properties)`` what the parts stand [m/s];
    ``operate(fed, properties, objective, search_fraction, coarse)`` turns a fraction from 0 to 1 into (fed stator at
    its own slip, Operation), ``coarse`` may leave out what costs time and changes the ranking little.
    ``phrase(design, wins)`` says in words what the rotor's response rests on.
    ``reserve`` is the largest torque over the rated one that a fixed supply has to leave. ``free(si, sparing)`` returns
    what else is searched, {name: place from 0 to 1 at which the search begins}; places come back among the properties,
    ``strength_by`` names those that change what its parts stand, and ``held_but_for_start`` gives (name, place) of
    those that only a start may want elsewhere: where it does not count they are not searched. ``other_begin(sparing)``
    returns places of a second begin.
    ``search_bounds(fed, properties, objective, coarse)`` returns {name: array} of what ``operate`` divides its
    fraction by and what does not depend on it, if that saves time; it comes back among the properties.
    ``hottest(si)`` returns the temperature that the rotor stands [K], infinite where that is no limit.
    ``active_mass(point)`` returns the mass [kg] of what its ``material`` makes within the core's length: bars or sheet,
    ring, magnets.
    """

    kind: str
    synchronous: bool
    reserve: float
    torque_cycles_per_turn: float | None
    full_fraction_is_best: bool
    surface: tuple[float, float]
    surface_is_solid: bool
    look: Look
    candidates: Callable[..., tuple]
    properties: Callable[..., dict[str, Any]]
    rim_speed: Callable[..., Any]
    operate: Callable[..., tuple]
    phrase: Callable[..., str]
    free: Callable[..., dict] = nothing_free
    strength_by: tuple = ()
    other_begin: Callable[..., dict] = nothing_else
    held_but_for_start: tuple = ()
    search_bounds: Callable[..., dict[str, Any]] | None = None
    hottest: Callable[[Any], float] = never
    active_mass: Callable[[Any], Any] = no_active_mass

    @property
    def starts_by_pull_in(self) -> bool:
        """Whether a fixed supply has to pull the rotor in."""
        return self.torque_cycles_per_turn is not None
