"""What a design is judged by: every merit once, with the factors that make one design better than another."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.factors import EFFICIENCY, FACTORS, STRESS, TORQUE, contributions
from scaling.machines.rotor import Objective


@dataclass(frozen=True)
class Merit:
    """A merit in ``unit``: ``value(point)``, and ``of_figures(values)`` of a design; ``factors`` multiply to ratios.

    The ratio of two designs is the product of the ratios of their factors, {name: power}.
    ``sparing`` marks one that may want less than heat and field limit allow.
    """

    name: str
    unit: str
    objective: Objective
    sparing: bool
    value: Callable[[Any], Any]
    of_figures: Callable[[Mapping[str, float]], float]
    factors: Mapping[str, float]

    def __post_init__(self):
        unknown = set(self.factors) - set(FACTORS)
        if unknown or not isinstance(self.objective, Objective):
            raise TypeError(f"merit {self.name!r}: {sorted(unknown)} not in FACTORS, or no Objective")


PER_VOLUME = STRESS | {"bore in the envelope": 1}
MERITS = {
    merit.name: merit
    for merit in (
        Merit(
            "torque per volume", "N*m/m**3", Objective.TORQUE, False, lambda p: p.torque / p.stator.volume,
            lambda v: v["torque"] / v["volume"], PER_VOLUME,
        ),
        Merit(
            "torque per mass", "N*m/kg", Objective.TORQUE, False, lambda p: p.torque / p.mass,
            lambda v: v["torque"] / v["mass"], PER_VOLUME | {"envelope per mass": 1},
        ),
        Merit(
            "power per volume", "W/m**3", Objective.POWER, False, lambda p: p.power / p.stator.volume,
            lambda v: v["power"] / v["volume"], PER_VOLUME | {"speed": 1},
        ),
        Merit(
            "efficiency", "1", Objective.EFFICIENCY, True, lambda p: p.efficiency,
            lambda v: v["efficiency"], EFFICIENCY,
        ),
        Merit(
            "torque per root watt", "N*m/W**0.5", Objective.ROOT_WATT, True, lambda p: p.torque / np.sqrt(p.loss),
            lambda v: v["torque"] / v["loss"] ** 0.5, TORQUE | {"losses": -0.5},
        ),
        Merit(
            "power per volt-ampere", "1", Objective.VOLT_AMPERE, True, lambda p: p.power / p.volt_amperes,
            lambda v: v["power"] / v["volt_amperes"], EFFICIENCY | {"power factor": 1},
        ),
    )
}  # fmt: skip


def factors(a, b, merit):
    """Return {name: factor} whose product is the ratio of the merits of two designs, a over b."""
    return contributions(MERITS[merit].factors, a, b)
