"""What the answer hangs on: every assumption of the model that a brief can change, and where the choice then goes."""

import dataclasses
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.alternatives import ASSUMPTIONS, Assumption, left_open
from scaling.decision.bands import combined
from scaling.decision.brief import Brief
from scaling.decision.choose import check, competitors
from scaling.decision.sweep import read_sizes, sweep
from scaling.ground import units

__all__ = ["ASSUMPTIONS", "Assumption", "Assumptions", "Hanging", "assumptions", "changes", "log_merits", "swept"]


@dataclass(frozen=True)
class Hanging:
    """One row: sizes where the best type changes [m], winners, and how the lead of the two leading types changes.

    ``change`` is the ratio of their merits with the alternative over that without; NaN where either has no torque.
    """

    assumption: Assumption
    crossovers: tuple
    best: np.ndarray
    change: np.ndarray

    def moved(self) -> str:
        """Return the crossovers in words."""
        return "; ".join(f"{units.show_si(D, 'm')} {low} / {high}" for D, low, high in self.crossovers) or "none"


@dataclass(frozen=True)
class Assumptions:
    """The rows of all assumptions, along ``rotor_diameters``; ``plain`` is the row of the brief as it is.

    ``leaders`` are the two leading types at every size, ``lead`` the ratio of their merits. ``band`` is what remains
    open of that ratio, as ``scaling.decision.bands.combined`` reads the changes: a lead below it is a tie.
    """

    brief: Brief
    rotor_diameters: units.Quantity
    leaders: tuple
    lead: np.ndarray
    plain: Hanging
    rows: tuple

    @property
    def band(self) -> np.ndarray:
        """Factor within which the lead of the two leading types is open."""
        found = np.reshape([row.change for row in self.rows], (len(self.rows), len(self.leaders)))
        return combined([row.assumption for row in self.rows], np.log(found))

    def markdown(self, at: Any = None) -> str:
        """Return the table as Markdown, changes of the lead at the sizes nearest to those of a list of lengths."""
        sizes = self.rotor_diameters.magnitude
        wanted = sizes if at is None else units.read_array(at, "length", "at")
        columns = [int(np.argmin(np.abs(np.log(sizes / D)))) for D in wanted]
        head = " | ".join(f"{'/'.join(self.leaders[i])} at {units.show_si(sizes[i], 'm')}" for i in columns)
        lines = [f"| assumption | taken | instead | changes at | {head} |", "|---" * (4 + len(columns)) + "|"]
        plain = " | ".join(f"{self.lead[i]:.2f}" for i in columns)
        lines.append(f"| none | as it is | - | {self.plain.moved()} | {plain} |")
        for row in self.rows:
            told = " | ".join("-" if not row.change[i] > 0.0 else f"x {row.change[i]:.2f}" for i in columns)
            what = row.assumption
            lines.append(f"| {what.name} | {what.taken} | {what.alternative} | {row.moved()} | {told} |")
        band = " | ".join(f"open: {self.band[i]:.2f}" for i in columns)
        lines.append(f"| all together | | | | {band} |")
        return "\n".join(lines)


def assumptions(brief: Brief, rotor_diameters: Any, merit: str = "torque per volume") -> Assumptions:
    """Return what a brief's answer hangs on: crossovers and leads with each assumption replaced by its alternative.

    Parameters
    ----------
    brief : Brief
        what it says itself is no assumption: rows of fields that it sets away from their default are left out
    rotor_diameters : Pint quantity holding an array, or sequence of strings or quantities
        as in ``sweep``; crossovers are interpolated between them
    merit : str
        as in ``choose``

    Returns
    -------
    Assumptions

    Raises
    ------
    TypeError, ValueError
        as ``sweep``
    """
    check(brief, merit, "a table of assumptions")
    sizes = read_sizes(rotor_diameters)
    plain, tables = swept(brief, rotor_diameters, merit)
    kinds = competitors(brief, plain.merit)
    able = np.array([np.where(plain.feasible[kind], plain.merit[kind], -np.inf) for kind in kinds])
    order = np.argsort(-np.nan_to_num(able, nan=-np.inf), axis=0, kind="stable")[:2]
    leaders = tuple((kinds[a], kinds[b]) for a, b in order.T)
    rows = [
        Hanging(row, _crossed(table, sizes), table.best, np.exp(_lead(changes(plain, table), leaders)))
        for row, table in ((None, plain), *tables.items())
    ]
    lead = np.exp(_lead(log_merits(plain), leaders))
    return Assumptions(brief, plain.rotor_diameters, leaders, lead, rows[0], tuple(rows[1:]))


def swept(brief, rotor_diameters, merit):
    """Return (sweep of a brief, {assumption: sweep with its alternative}) for the assumptions that it leaves open."""
    given = {f.name: getattr(brief, f.name) for f in dataclasses.fields(Brief) if f.init}
    tables = {row: sweep(Brief(**given | row.fields), rotor_diameters, merit) for row in left_open(brief)}
    return sweep(brief, rotor_diameters, merit), tables


def log_merits(table):
    """Return {kind: logarithm of its merit at every size of a sweep}, NaN where that is not above zero."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return {kind: np.log(np.where(merit > 0.0, merit, np.nan)) for kind, merit in table.merit.items()}


def changes(plain, table):
    """Return {kind: change of the logarithm of its merit} from one sweep to another."""
    before, after = log_merits(plain), log_merits(table)
    return {kind: after[kind] - before[kind] for kind in before}


def _lead(logs, leaders):
    """Return the logarithm of the lead of one type over a second at every size, from those of all types."""
    return np.array([logs[first][n] - logs[second][n] for n, (first, second) in enumerate(leaders)])


def _crossed(table, sizes):
    """Return (size, type below, type above) of every change of the winner, interpolated on logarithms."""
    found = []
    for i in np.flatnonzero(table.best[1:] != table.best[:-1]):
        low, high = str(table.best[i]), str(table.best[i + 1])
        part = 0.5
        if low and high:
            lead = np.log([table.merit[low][j] / table.merit[high][j] for j in (i, i + 1)])
            if lead[0] > 0.0 > lead[1]:
                part = lead[0] / (lead[0] - lead[1])
        found.append((float(np.exp(np.interp(part, [0, 1], np.log(sizes[i : i + 2])))), low or "none", high or "none"))
    return tuple(found)
