"""``sweep``: the same brief at many sizes, with the sizes where the choice changes."""

import functools
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scaling.decision import reasons
from scaling.decision.brief import Brief
from scaling.decision.checks import failures
from scaling.decision.choose import check, competitors, over_the_best_of_three
from scaling.decision.merits import MERITS
from scaling.decision.optimum import best_designs
from scaling.decision.saved import Saved
from scaling.ground import messages, units
from scaling.machines import ROTORS

NONE = ""
NARROW = 1e-5  # of the logarithm of size: a crossover is known as well as the merits are found, hardly better
SAME = 2e-3  # of the logarithm of the size: changes nearer to one another are one
POINTS = 16  # sizes tried inside every bracket at once; each round narrows it by 17


@dataclass(frozen=True)
class Crossover:
    """A size at which the best type changes: ``below`` is best on the small side, ``above`` on the large."""

    rotor_diameter: units.Quantity
    below: str
    above: str
    because: str

    def __str__(self):
        sides = f"{self.below or 'none'} below, {self.above or 'none'} above"
        return f"{units.show(self.rotor_diameter)}: {sides} ({self.because})"


@dataclass(frozen=True)
class Sweep(Saved):
    """Merit against size for every type; arrays run along ``rotor_diameters`` and are in SI (``merit_unit``).

    ``merit[kind]`` is the merit of the best design, brief met or not; ``feasible[kind]`` says where it meets the brief;
    ``best`` names the winner at each size ("" where no type meets the brief); ``limited_by[kind]`` names active limits.
    """

    brief: Brief
    merit_name: str
    rotor_diameters: units.Quantity
    merit: dict
    feasible: dict
    best: np.ndarray
    limited_by: dict
    figures: dict
    found: dict = field(repr=False, compare=False)

    @property
    def merit_unit(self) -> str:
        """SI unit of the merit."""
        return MERITS[self.merit_name].unit

    @property
    def yardstick(self) -> np.ndarray:
        """Merit of the magnet rotor over the best of the three others at every size; infinite where none has torque."""
        return over_the_best_of_three(self.merit)

    @functools.cached_property
    def crossovers(self) -> tuple[Crossover, ...]:
        """The sizes where the best type changes, each bracket narrowed to 1e-5 of the size, as Crossover records."""
        return _crossovers(self)


def _winners(brief, merit, sizes):
    found = best_designs(brief.si, sizes, merit, brief.supply_is_fixed, competitors(brief, ROTORS))
    return _winner(found), found


def _winner(found):
    kinds = np.array([*found, NONE])
    merits = np.array([np.where(best.feasible, best.merit, -np.inf) for best in found.values()])
    top = merits.argmax(axis=0)
    return kinds[np.where(np.isfinite(merits.max(axis=0)), top, len(found))]


def read_sizes(rotor_diameters):
    """Return rising sizes in metres, or raise an error that says what to give."""
    sizes = units.read_array(rotor_diameters, "length", "rotor_diameters")
    if sizes.size < 2 or np.any(np.diff(sizes) <= 0):
        got = messages.shorten(rotor_diameters)
        raise ValueError(f"rotor_diameters: got {got}; expected at least two sizes, each larger than the one before")
    return sizes


def sweep(brief: Brief, rotor_diameters: Any, merit: str = "torque per volume") -> Sweep:
    """Return merit against size for every type of machine.

    The brief's ratio of length to diameter is kept; gap floor, frequency and temperature rise stay as given.

    Parameters
    ----------
    brief : Brief
    rotor_diameters : Pint quantity holding an array, or sequence of strings or quantities
        increasing sizes, such as ``Q(numpy.geomspace(1, 300, 200), "mm")``
    merit : str
        as in ``choose``

    Returns
    -------
    Sweep

    Raises
    ------
    TypeError, ValueError
        for anything that is not a rising list of lengths

    Examples
    --------
    >>> table = sweep(Brief(rotor_diameter="20 mm", gap_floor="20 um"), ["2 mm", "20 mm", "200 mm"])
    >>> [str(kind) for kind in table.best]
    ['hysteresis', 'induction', 'induction']
    """
    check(brief, merit, "a sweep")
    return sweep_on(brief, read_sizes(rotor_diameters), merit)


def sweep_on(brief, sizes, merit, near=None):
    """Return the Sweep at sizes [m]; from ``near``, the Sweep of a brief that differs a little, it is searched on."""
    if near is not None:
        old = np.log(near.rotor_diameters.magnitude)
        index = np.abs(np.log(sizes) - old[:, None]).argmin(axis=0)
        near = {kind: best.at(index) for kind, best in near.found.items()}
    found = best_designs(brief.si, sizes, merit, brief.supply_is_fixed, near=near)
    competing = {kind: found[kind] for kind in competitors(brief, found)}
    return Sweep(
        brief=brief,
        merit_name=merit,
        rotor_diameters=units.quantity(sizes, "m"),
        merit={kind: np.where(np.isfinite(best.merit), best.merit, np.nan) for kind, best in found.items()},
        feasible={kind: best.feasible for kind, best in found.items()},
        best=_winner(competing),
        limited_by={kind: [reasons.limits(best, i) for i in range(sizes.size)] for kind, best in found.items()},
        figures={kind: best.figures for kind, best in found.items()},
        found=found,
    )


def _crossovers(table):
    """Narrow every bracket in which the winner changes, all brackets at once, by repeated subdivision."""
    sizes = np.log(table.rotor_diameters.magnitude)
    changes = np.flatnonzero(table.best[1:] != table.best[:-1])
    brackets = [(sizes[i], sizes[i + 1], str(table.best[i]), str(table.best[i + 1])) for i in changes]
    done = []
    while brackets:
        narrow = [b for b in brackets if b[1] - b[0] <= NARROW]
        done += narrow
        brackets = [b for b in brackets if b[1] - b[0] > NARROW]
        if not brackets:
            break
        inner = np.array([np.linspace(low, high, POINTS + 2) for low, high, _, _ in brackets])
        winners, _ = _winners(table.brief, table.merit_name, np.exp(inner[:, 1:-1].ravel()))
        winners = winners.reshape(len(brackets), POINTS)
        nxt = []
        for row, found, (_, _, below, above) in zip(inner, winners, brackets, strict=True):
            kinds = [below, *(str(kind) for kind in found), above]
            nxt += [
                (row[j], row[j + 1], kinds[j], kinds[j + 1]) for j in range(len(row) - 1) if kinds[j] != kinds[j + 1]
            ]
        brackets = nxt
    return tuple(_crossover(table, *bracket) for bracket in _settled(sorted(done)))


def _settled(brackets):
    """Return the changes with those as one that the search's noise splits where two merits run nearly alike."""
    groups = []
    for bracket in brackets:
        if groups and bracket[0] - groups[-1][-1][1] < SAME:
            groups[-1].append(bracket)
        else:
            groups.append([bracket])
    ends = [(group[0][0], group[-1][1], group[0][2], group[-1][3]) for group in groups]
    return [(low, high, below, above) for low, high, below, above in ends if below != above]


def _crossover(table, low, high, below, above):
    """Return the record of one change, with what changes there: merits cross, or a type stops meeting the brief."""
    _, found = _winners(table.brief, table.merit_name, np.exp([low, high]))
    because = "their merits cross"
    for kind in (below, above):
        if kind and not found[kind].feasible.all():
            side = int(np.flatnonzero(~found[kind].feasible)[0])
            because = f"{kind} meets the brief on one side only: {failures(found[kind], side, table.brief.si)[0]}"
    return Crossover(units.quantity(float(np.exp((low + high) / 2)), "m"), below, above, because)
