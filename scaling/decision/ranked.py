"""Designs of every type of machine and the types that meet a brief, best first: what answers have in common."""

from scaling.decision.design import Design
from scaling.ground import messages


class Ranked:
    """A record with ``designs``, {type: Design}, and ``ranking``, the types that meet the brief."""

    designs: dict[str, Design]
    ranking: tuple[str, ...]

    def __getitem__(self, kind: str) -> Design:
        if kind not in self.designs:
            raise KeyError(f"{messages.shorten(kind)} is not a machine type; expected one of {', '.join(self.designs)}")
        return self.designs[kind]

    @property
    def best(self) -> Design | None:
        """The best design that meets the brief, or None."""
        return self.designs[self.ranking[0]] if self.ranking else None

    @property
    def feasible(self) -> bool:
        """Whether any competing type meets the brief."""
        return bool(self.ranking)
