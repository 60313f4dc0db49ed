"""Figures as attributes: what a design and the same machine at a load have in common."""

from typing import Any

from scaling.decision.figures import FIGURES
from scaling.decision.performance import LOSSES
from scaling.ground import messages, units

RENAMED = {"maximum_torque": "breakdown_torque"}  # names of earlier versions


class Figured:
    """A record whose ``values`` hold figures in SI: each is an attribute, a Pint quantity or a plain number."""

    values: dict[str, Any]
    called = "a design"

    def __getattr__(self, name: str) -> Any:
        values = self.__dict__.get("values", {})
        if name in FIGURES and name in values:
            unit = FIGURES[name].unit
            return units.quantity(values[name], unit) if unit else values[name]
        if name in RENAMED:
            raise AttributeError(messages.renamed(name, RENAMED, self.called))
        known = ", ".join(sorted((*FIGURES, "losses")))
        raise AttributeError(f"{self.called} has no figure {name!r}; it has {known}")

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
