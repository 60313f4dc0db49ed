"""What the answer hangs on: every assumption of the model that a brief can change, and where the choice then goes."""

import dataclasses
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.brief import Brief
from scaling.decision.choose import check, competitors
from scaling.decision.sweep import read_sizes, sweep
from scaling.ground import units


@dataclass(frozen=True)
class Assumption:
    """An assumption, and a defensible alternative: ``fields`` of a brief that change it, ``status`` where it stands."""

    name: str
    taken: str
    alternative: str
    fields: dict
    status: str


_PRACTICE = "common practice, no source"
ASSUMPTIONS = (
    Assumption("slip", "bounded by heat and reserve alone", "at most 0.1", {"slip_limit": 0.1}, _PRACTICE),
    Assumption(
        "pull-out reserve",
        "1.6, 1.5, 1.35 by kind on a fixed supply",
        "none",
        {"pull_out_reserve": 1.0},
        "IEC 60034-1, from memory; motors with a light load are built without",
    ),
    Assumption("rotor's layer", "at most a fifth of the diameter", "a tenth", {"rotor_depth_ratio": 0.1}, _PRACTICE),
    Assumption("gap", "0.3 % of the diameter above the floor", "0.5 %", {"gap_ratio": 0.005}, _PRACTICE),
    Assumption("end rings", "at most a fifth of the diameter wide", "a tenth", {"end_ring_ratio": 0.1}, _PRACTICE),
    Assumption(
        "end windings", "0.3 pole pitches out of the core", "0.5 pole pitches", {"end_overhang_ratio": 0.5}, _PRACTICE
    ),
    Assumption("cage", "the best conductor", "cast aluminium", {"rotor_material": "aluminium"}, "as most are built"),
    Assumption("slot opening", "a quarter of the pitch", "half", {"slot_opening_ratio": 0.5}, _PRACTICE),
    Assumption("slot fill", "0.4", "0.25", {"slot_fill": 0.25}, "thin wires and liners of small slots; " + _PRACTICE),
    Assumption("teeth", "1.8 T", "1.6 T", {"tooth_field_limit": "1.6 T"}, _PRACTICE),
    Assumption("stacking", "0.96", "0.93", {"stacking_factor": 0.93}, _PRACTICE),
    Assumption("core loss", "1.7 times the sheet's", "2.5 times", {"core_building_factor": 2.5}, _PRACTICE),
    Assumption(
        "ring alloys",
        "isotropic grades",
        "oriented ones, too",
        {"oriented_rings": True},
        "properties along one axis only",
    ),
    Assumption(
        "ring's surface", "solid", "laminated", {"rotor_surface": "laminated"}, "rings wound or stacked of strip exist"
    ),
    Assumption("bearings", "balls where they exist", "plain bushes", {"bearing": "plain"}, _PRACTICE),
    Assumption("eccentricity", "a tenth of the gap", "a fifth", {"eccentricity": 0.2}, _PRACTICE),
    Assumption("ribs", "0.3 mm at the least", "0.1 mm", {"rib_floor": "0.1 mm"}, "etched sheet"),
)


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
    open of that ratio: every change counts as independent of the others, their logarithms add up as squares.
    """

    brief: Brief
    rotor_diameters: units.Quantity
    leaders: tuple
    lead: np.ndarray
    plain: Hanging
    rows: tuple

    @property
    def band(self) -> np.ndarray:
        """Factor either way within which the lead of the two leading types is open."""
        squares = [np.log(np.where(row.change > 0.0, row.change, 1.0)) ** 2 for row in self.rows]
        return np.exp(np.sqrt(np.sum(squares, axis=0)))

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
        band = " | ".join(f"x/: {self.band[i]:.2f}" for i in columns)
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
    check(brief, merit)
    sizes = read_sizes(rotor_diameters)
    given = {f.name: getattr(brief, f.name) for f in dataclasses.fields(Brief) if f.init}
    plain = sweep(brief, rotor_diameters, merit)
    kinds = competitors(brief, plain.merit)
    able = np.array([np.where(plain.feasible[kind], plain.merit[kind], -np.inf) for kind in kinds])
    order = np.argsort(-np.nan_to_num(able, nan=-np.inf), axis=0, kind="stable")[:2]
    leaders = tuple((kinds[a], kinds[b]) for a, b in order.T)
    rows = [None, *(row for row in ASSUMPTIONS if all(_is_default(given, name) for name in row.fields))]
    found = [_row(row, brief, given, sizes, rotor_diameters, merit, plain, leaders) for row in rows]
    return Assumptions(
        brief, plain.rotor_diameters, leaders, _lead(plain, leaders), found[0], tuple(found[1:])
    )  # fmt: skip


def _is_default(given, name):
    default = next(f.default for f in dataclasses.fields(Brief) if f.name == name)
    return given[name] == default


def _row(row, brief, given, sizes, rotor_diameters, merit, plain, leaders):
    table = plain if row is None else sweep(Brief(**given | row.fields), rotor_diameters, merit)
    with np.errstate(invalid="ignore", divide="ignore"):
        change = _lead(table, leaders) / _lead(plain, leaders)
    return Hanging(row, _changes(table, sizes), table.best, change)


def _lead(table, leaders):
    """Return the ratio of the merits of two types at every size, NaN where either is not above zero."""
    first, second = (np.array([table.merit[pair[i]][n] for n, pair in enumerate(leaders)]) for i in (0, 1))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where((first > 0.0) & (second > 0.0), first / second, np.nan)


def _changes(table, sizes):
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
