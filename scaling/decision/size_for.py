"""``size_for``: the smallest machine of each kind that gives the torque or the power asked for."""

import dataclasses
import functools
import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision import size_words
from scaling.decision.brief import Brief
from scaling.decision.checks import BY_NAME, failures, signals
from scaling.decision.choose import check, competitors, design_at
from scaling.decision.design import Design
from scaling.decision.optimum import Best, best_designs
from scaling.decision.size_words import MEASURES
from scaling.ground import messages, units
from scaling.machines import ROTORS
from scaling.machines.fed import asks_torque

MERIT = "torque per volume"
BETWEEN = "0.5 mm", "2 m"
STEP = 0.14  # of the logarithm of size: sizes of the first look are so far apart
FINE = 1e-3  # of the logarithm of size: an end of meeting the brief is known so well
POINTS = 11  # sizes tried inside every bracket at once; each round narrows it by 12
CLOSE = 0.2  # of the contrast to what is asked: sizes about a turn as near as that are looked at once more


@dataclass(frozen=True)
class Range:
    """Sizes that meet the brief, from the smallest to the largest rotor diameter tried there.

    ``below`` and ``above`` say what fails beyond them; empty where nothing was tried there.
    """

    smallest: units.Quantity
    largest: units.Quantity
    below: str
    above: str

    def __str__(self):
        return size_words.span(self)


@dataclass(frozen=True)
class Sizing:
    """What each type of machine needs to give what a brief asks for.

    ``found["induction"]`` is a type's Design at the smallest rotor that meets the brief, the one that ``choose`` makes
    of ``brief_of("induction")``; of a type that meets it nowhere the nearest miss, with its ``reasons``. ``ranges`` are
    all sizes of a type that meet it, ``ranking`` the types that do, the least need first, ``best`` the first of them
    (None if there is none), ``margin`` what the second needs over the best, ``reason`` and ``remarks`` say why.
    """

    brief: Brief
    by: str
    between: units.Quantity
    designs: dict[str, Design]
    ranges: dict[str, tuple[Range, ...]]
    ranking: tuple[str, ...]
    reason: str
    remarks: tuple[str, ...]

    def __getitem__(self, kind: str) -> Design:
        return self.designs[_known(kind, self.designs)]

    @property
    def best(self) -> Design | None:
        """The design of the type that needs least, or None."""
        return self.designs[self.ranking[0]] if self.ranking else None

    @property
    def feasible(self) -> bool:
        """Whether any competing type meets the brief at any size."""
        return bool(self.ranking)

    @property
    def margin(self) -> float:
        """What the second type needs over the best; infinite if there is no second, NaN if no best."""
        if len(self.ranking) < 2:
            return math.inf if self.ranking else math.nan
        return float(self.need(self.ranking[1]) / self.need(self.ranking[0]))

    def need(self, kind: str) -> units.Quantity:
        """Return what a type needs, by the measure asked for; of one that meets the brief nowhere that of the miss."""
        return getattr(self[kind], MEASURES[self.by].figure)

    def brief_of(self, kind: str) -> Brief:
        """Return the brief with the rotor diameter and active length of a type's design."""
        return at_size(self.brief, self[kind].values["rotor_diameter"])

    def __repr__(self):
        head = f"<Sizing: {self.best.kind}, {size_words.shown(self, self.best)}" if self.best else "<Sizing: none"
        return f"{head}, by {self.by}>"


@dataclass(frozen=True)
class Try:
    """A type at one size: whether it meets the brief, and how far from that it is, above zero inside."""

    size: float
    meets: bool
    spare: float
    best: Best
    place: int

    def why(self, si):
        """Return why it fails."""
        return failures(self.best, self.place, si)[0]


def _known(kind, kinds):
    if kind not in kinds:
        raise KeyError(f"{messages.shorten(kind)} is not a machine type; expected one of {', '.join(kinds)}")
    return kind


def at_size(brief, size):
    """Return a brief with another rotor diameter [m] and the same proportions."""
    length = size * (brief.si.active_length / brief.si.rotor_diameter)
    given = {"rotor_diameter": units.quantity(float(size), "m"), "active_length": units.quantity(float(length), "m")}
    return dataclasses.replace(brief, **given)


def size_for(brief: Brief, by: str = "envelope", between: Any = BETWEEN) -> Sizing:
    """Return the smallest machine of each type that gives the torque or power that a brief asks for.

    Of the brief's rotor diameter and active length only the ratio counts, as in ``sweep``; all else stays as given.

    Parameters
    ----------
    brief : Brief
        with ``torque``, ``power`` or both
    by : str
        what is to be small: "envelope", "mass" or "rotor diameter"; types are ranked by it
    between : pair of strings or quantities, or a Pint quantity holding two numbers
        smallest and largest rotor diameter to try

    Returns
    -------
    Sizing

    Raises
    ------
    TypeError
        if ``brief`` is not a Brief, or ``between`` no pair of lengths
    ValueError
        if the brief asks for neither torque nor power, ``by`` is unknown or ``between`` does not rise

    Validity
    --------
    As ``choose``. Ends of meeting the brief are found to 0.1 % of the diameter. Sizes that meet it only within less
    than 1 % of the diameter may be missed.

    Examples
    --------
    >>> found = size_for(Brief(rotor_diameter="20 mm", torque="2 N*m", cooling="shaft fan"))
    >>> found.best.kind, f"{found.best.rotor_diameter.m_as('mm'):.0f} mm"
    ('induction', '64 mm')
    """
    check(brief, MERIT)
    messages.choice(by, MEASURES, "by")
    if not asks_torque(brief.si):
        raise ValueError(
            "torque: not given; expected what the machine must give, such as Brief(torque='2 N*m') or "
            "Brief(power='1.5 kW')"
        )
    low, high = _read_between(between)
    tried = _tried(brief, low, high)
    ranges = {kind: _ranges(tries, brief.si) for kind, tries in tried.items()}
    designs = {kind: _design(brief, kind, tries) for kind, tries in tried.items()}
    able = [kind for kind in competitors(brief, designs) if designs[kind].feasible]
    ranking = tuple(sorted(able, key=lambda kind: designs[kind].values[MEASURES[by].figure]))
    made = Sizing(brief, by, units.quantity(np.array([low, high]), "m"), designs, ranges, ranking, "", ())
    return dataclasses.replace(made, reason=size_words.reason(made), remarks=tuple(size_words.remarks(made)))


def _read_between(between):
    """Return the smallest and the largest size to try [m]."""
    sizes = units.read_array(between, "length", "between")
    if sizes.size != 2 or sizes[0] >= sizes[1]:
        raise ValueError(
            f"between: got {messages.shorten(between)}; expected the smallest and a larger rotor diameter, such as "
            f"{BETWEEN}"
        )
    return sizes


def _tried(brief, low, high):
    """Return {kind: tries by size}, close to one another wherever a type begins or ceases to meet the brief."""
    first = np.geomspace(low, high, 2 + math.ceil(math.log(high / low) / STEP))
    found = best_designs(brief.si, first, MERIT, brief.supply_is_fixed)
    return {kind: _narrowed(brief, kind, _tries(first, best, brief.si)) for kind, best in found.items()}


def _tries(sizes, best, si):
    spare = _spare(best, si)
    each = zip(sizes, best.feasible, spare, strict=True)
    return [Try(float(size), bool(meets), float(far), best, i) for i, (size, meets, far) in enumerate(each)]


def _spare(best, si):
    """Return how far a type is inside what is asked, by the worst of its checks, -1 to 1; outside below zero.

    Every failed check without a measure, such as that slots fit, takes 2 more.
    """
    measured = [value for name, value in signals(best, si).items() if name in best.passed]
    worst = np.min(np.nan_to_num(measured, nan=-1.0), axis=0)
    return worst - 2.0 * sum(~ok for name, ok in best.passed.items() if BY_NAME[name].signal is None)


def _narrowed(brief, kind, tries):
    """Return the tries with more of them about every change, all brackets at once, by repeated subdivision."""
    cells = _changes(tries) + _turns(tries)
    while cells:
        inner = [np.geomspace(a.size, b.size, POINTS + 2)[1:-1] for a, b in cells]
        sizes = np.unique(np.concatenate(inner))
        found = best_designs(brief.si, sizes, MERIT, brief.supply_is_fixed, (kind,))[kind]
        tries = sorted(tries + _tries(sizes, found, brief.si), key=lambda one: one.size)
        cells = _changes(tries)
    return tries


def _changes(tries):
    """Return the pairs of neighbours, not yet close, of which one meets the brief."""
    pairs = itertools.pairwise(tries)
    return [(a, b) for a, b in pairs if a.meets != b.meets and math.log(b.size / a.size) > FINE]


def _turns(tries):
    """Return the pairs of neighbours about a size that comes nearer to a change than both beside it."""
    cells = []
    for a, b, c in zip(tries, tries[1:], tries[2:], strict=False):
        alike = a.meets == b.meets == c.meets
        if alike and abs(b.spare) < CLOSE and abs(b.spare) < min(abs(a.spare), abs(c.spare)):
            cells += [(a, b), (b, c)]
    return cells


def _ranges(tries, si):
    """Return the ranges of sizes that meet the brief."""
    runs = [list(run) for _, run in itertools.groupby(tries, key=lambda one: one.meets)]
    beyond = [None, *runs, None]
    return tuple(
        Range(
            units.quantity(run[0].size, "m"),
            units.quantity(run[-1].size, "m"),
            before[-1].why(si) if before else "",
            after[0].why(si) if after else "",
        )
        for before, run, after in zip(beyond, runs, beyond[2:], strict=False)
        if run[0].meets
    )


def _design(brief, kind, tries):
    """Return the design of the smallest size that meets the brief, searched by itself as ``choose`` does; else a miss.

    A size that meets the brief by no more than rounding may fail it there: then the next counts.
    """
    one = functools.partial(_single, brief, kind)
    for able in (one_try for one_try in tries if one_try.meets):
        design = one(able.size)
        if design.feasible:
            return design
    return one(max(tries, key=lambda one_try: one_try.spare).size)


def _single(brief, kind, size):
    found = best_designs(brief.si, [size], MERIT, brief.supply_is_fixed, (kind,))
    return design_at(found[kind], 0, at_size(brief, size) if found[kind].feasible[0] else brief, MERIT)
