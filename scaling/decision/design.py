"""One machine type's best design as the reader sees it: Pint quantities, limits and reasons."""

from dataclasses import dataclass, field
from typing import Any

from scaling.decision.at_load import AtLoad, at_load
from scaling.decision.figured import Figured
from scaling.decision.remade import Origin


@dataclass(frozen=True)
class Design(Figured):
    """The best design of one type: its figures as attributes, what limits it, whether it meets the brief.

    Figures are those of ``FIGURES``, as Pint quantities or plain numbers; ``losses`` names each loss; ``values`` holds
    all of them in SI. ``merit`` is the merit asked for, in SI; ``reasons`` says why a design fails the brief and where
    it leaves a model's range. ``brief`` is what it was made for; ``at`` gives the same figures at another load.
    """

    kind: str
    merit: float
    merit_unit: str
    feasible: bool
    reasons: tuple[str, ...]
    limited_by: tuple[str, ...]
    material: str
    values: dict[str, float] = field(repr=False)
    origin: Origin = field(repr=False, compare=False)
    brief: Any = field(default=None, repr=False, compare=False)

    def at(self, torque: Any = None, power: Any = None, speed: Any = None) -> AtLoad:
        """Return the figures of this machine at a load: see `scaling.decision.at_load.at_load`."""
        return at_load(self, torque=torque, power=power, speed=speed)
