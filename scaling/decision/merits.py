"""What a design is judged by: every merit once, with the factors that make one design better than another."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.performance import LOSSES
from scaling.ground import units
from scaling.machines import ROTORS
from scaling.machines.rotor import Objective

LOCAL_FIELDS = ("pole edge", "rotor teeth", "rotor core")  # limits of field that are not called so


def _response(a, b):
    answers, rival = (f"{ROTORS[d.kind].phrase(d, wins)}" for d, wins in ((a, True), (b, False)))
    return (
        f"its rotor answers with {a.response:.2g} against {b.response:.2g} (at most 0.5), because {answers}, while in "
        f"the {b.kind} rotor {rival}"
    )


def _loading(a, b):
    rms = "linear_current_density_rms"
    carried = f"it carries {_shown(a, rms, 'A/m')} against {_shown(b, rms, 'A/m')} of winding current"
    held_back = [name for name in b.limited_by if name.endswith("field") or name in LOCAL_FIELDS]
    if "temperature rise" not in b.limited_by and held_back:
        return f"{carried}, since the {held_back[0]} limit holds the {b.kind} rotor back"
    heat = [(d.values["rotor loss"] + d.values["core loss"]) / d.values["loss"] for d in (a, b)]
    return f"{carried}, since rotor and core take {heat[0]:.0%} of its heat against {heat[1]:.0%}"


def _gap(a, b):
    gaps = [f"{_shown(d, 'magnetic_gap', 'm')} with {d.pole_pairs}" for d in (a, b)]
    return f"its field crosses {gaps[0]} pole pair(s), against {gaps[1]}: less of the loading is spent on the gap"


def _friction(a, b):
    lost = [1 - d.values["torque"] / d.values["gap_torque"] for d in (a, b)]
    return f"friction takes {lost[0]:.0%} of its torque, against {lost[1]:.0%}"


def _losses(a, b):
    per = [{name: d.values[f"{name} loss"] / d.values["power"] for name in LOSSES} for d in (a, b)]
    most = max(LOSSES, key=lambda name: per[1][name] - per[0][name])
    total = [sum(shares.values()) for shares in per]
    return (
        f"it loses {total[0]:.2g} W for every watt of output against {total[1]:.2g} W, and most of the "
        f"difference is {most} loss"
    )


def _shown(design, name, unit):
    return units.show_si(design.values[name], unit)


def _over(name):
    """Return the ratio of a figure of two designs, a over b."""
    return lambda a, b: a.values[name] / b.values[name]


@dataclass(frozen=True)
class Factor:
    """A part of the ratio of two designs' merits: ``ratio(a, b)``, and the ``clause(a, b)`` that says it in words."""

    name: str
    ratio: Callable[[Any, Any], float]
    clause: Callable[[Any, Any], str]


def _work(design):
    """Return k times the magnetic gap, what the loading is spent on."""
    return design.values["wave_number"] * design.values["magnetic_gap"]


FACTORS = {
    factor.name: factor
    for factor in (
        Factor("loading", lambda a, b: _over("linear_current_density_peak")(a, b) ** 2, _loading),
        Factor("gap", lambda a, b: _work(b) / _work(a), _gap),
        Factor("response", lambda a, b: a.response / b.response, _response),
        Factor("friction", lambda a, b: _over("torque")(a, b) / _over("gap_torque")(a, b), _friction),
        Factor(
            "mass",
            lambda a, b: _over("mass")(b, a),
            lambda a, b: f"its active parts weigh {_shown(a, 'mass', 'kg')} against {_shown(b, 'mass', 'kg')}",
        ),
        Factor(
            "volume",
            lambda a, b: _over("volume")(b, a),
            lambda a, b: (
                f"it is {_shown(a, 'overall_length', 'm')} long over its end windings with {a.pole_pairs} pole "
                f"pair(s), against {_shown(b, 'overall_length', 'm')} with {b.pole_pairs}"
            ),
        ),
        Factor(
            "speed",
            _over("speed"),
            lambda a, b: f"it turns at {_shown(a, 'speed', 'rad/s')} against {_shown(b, 'speed', 'rad/s')}",
        ),
        Factor("losses", _over("efficiency"), _losses),
        Factor("root of losses", lambda a, b: math.sqrt(_over("loss")(b, a)), _losses),
        Factor(
            "power factor",
            _over("power_factor"),
            lambda a, b: f"it draws its power at a power factor of {a.power_factor:.2g} against {b.power_factor:.2g}",
        ),
    )
}
TORQUE = ("loading", "gap", "response", "friction")  # shear stress times a common area and radius, less friction


@dataclass(frozen=True)
class Merit:
    """A merit: ``value(point)`` in ``unit``; the names of its ``factors`` multiply to the ratio of two designs.

    ``sparing`` marks one that may want less than heat and field limit allow.
    """

    name: str
    unit: str
    objective: Objective
    sparing: bool
    value: Callable[[Any], Any]
    factors: tuple[str, ...]

    def __post_init__(self):
        unknown = set(self.factors) - set(FACTORS)
        if unknown or not isinstance(self.objective, Objective):
            raise TypeError(f"merit {self.name!r}: {sorted(unknown)} not in FACTORS, or no Objective")


MERITS = {
    merit.name: merit
    for merit in (
        Merit(
            "torque per volume", "N*m/m**3", Objective.TORQUE, False, lambda p: p.torque / p.stator.volume,
            (*TORQUE, "volume"),
        ),
        Merit(
            "torque per mass", "N*m/kg", Objective.TORQUE, False, lambda p: p.torque / p.mass, (*TORQUE, "mass")
        ),
        Merit(
            "power per volume", "W/m**3", Objective.POWER, False, lambda p: p.power / p.stator.volume,
            (*TORQUE, "volume", "speed"),
        ),
        Merit("efficiency", "1", Objective.EFFICIENCY, True, lambda p: p.efficiency, ("losses",)),
        Merit(
            "torque per root watt", "N*m/W**0.5", Objective.ROOT_WATT, True, lambda p: p.torque / np.sqrt(p.loss),
            (*TORQUE, "root of losses"),
        ),
        Merit(
            "power per volt-ampere", "1", Objective.VOLT_AMPERE, True, lambda p: p.power / p.volt_amperes,
            ("losses", "power factor"),
        ),
    )
}  # fmt: skip


def factors(a, b, merit):
    """Return {name: factor} whose product is the ratio of the merits of two designs of one size, a over b."""
    return {name: FACTORS[name].ratio(a, b) for name in MERITS[merit].factors}
