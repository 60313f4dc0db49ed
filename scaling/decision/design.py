"""One machine type's best design as the reader sees it: Pint quantities, limits and reasons."""

from dataclasses import dataclass, field
from typing import Any

from scaling.decision.figures import FIGURES
from scaling.decision.performance import LOSSES
from scaling.ground import messages, units

RENAMED = {"maximum_torque": "breakdown_torque"}  # names of earlier versions


@dataclass(frozen=True)
class Design:
    """The best design of one type: its figures as attributes, what limits it, whether it meets the brief.

    Figures are those of ``FIGURES``, as Pint quantities or plain numbers; ``losses`` names each loss; ``values`` holds
    all of them in SI. ``merit`` is the merit asked for, in SI; ``reasons`` says why a design fails the brief and where
    it leaves a model's range. ``brief`` is what it was made for.
    """

    kind: str
    merit: float
    merit_unit: str
    feasible: bool
    reasons: tuple[str, ...]
    limited_by: tuple[str, ...]
    material: str
    values: dict[str, float] = field(repr=False)
    brief: Any = field(default=None, repr=False, compare=False)

    def __getattr__(self, name: str) -> Any:
        values = self.__dict__.get("values", {})
        if name in FIGURES and name in values:
            unit = FIGURES[name].unit
            return units.quantity(values[name], unit) if unit else values[name]
        if name in RENAMED:
            raise AttributeError(messages.renamed(name, RENAMED, "a design"))
        known = ", ".join(sorted((*FIGURES, "losses")))
        raise AttributeError(f"a design has no figure {name!r}; it has {known}")

    def __dir__(self):
        return sorted({*super().__dir__(), *(name for name in FIGURES if name.isidentifier())})

    @property
    def pole_pairs(self) -> int:
        """Number of pole pairs."""
        return int(self.values["pole_pairs"])

    @property
    def losses(self) -> dict[str, Any]:
        """Each loss by name, as quantities; with ``power`` they add up to the electrical input."""
        return {name: units.quantity(self.values[f"{name} loss"], "W") for name in LOSSES}
