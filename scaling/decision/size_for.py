"""``size_for``: the smallest machine of each kind that gives the torque or the power asked for."""

import dataclasses
import itertools
import math
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from scaling.decision import size_words
from scaling.decision.brief import Brief
from scaling.decision.choose import check, competitors, design_at
from scaling.decision.design import Design
from scaling.decision.optimum import best_designs
from scaling.decision.ranked import Ranked
from scaling.decision.saved import Saved
from scaling.decision.size_search import MERIT, at_size, fewer_needed, nearest, tried
from scaling.decision.size_words import MEASURES
from scaling.ground import messages, units
from scaling.ground.rounds import Progress, Rounds
from scaling.machines import ROTORS
from scaling.machines.fed import asks_torque

BETWEEN = "0.5 mm", "2 m"


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
class Sizing(Ranked, Saved):
    """What each type of machine needs to give what a brief asks for.

    ``found["induction"]`` is a type's Design that needs least, the one that ``choose`` makes of
    ``found.briefs["induction"]``; of a type that meets the brief nowhere it is the nearest miss, which ``misses`` says
    in words. ``ranges`` are all rotor diameters with which a type meets it, ``ranking`` the types that do, the least
    need first, ``best`` the first of them (None if there is none), ``margin`` what the second needs over the best,
    ``reason`` and ``remarks`` say why.
    """

    brief: Brief
    by: str
    between: units.Quantity
    designs: dict[str, Design]
    briefs: dict[str, Brief]
    ranges: dict[str, tuple[Range, ...]]
    misses: dict[str, str]
    ranking: tuple[str, ...]
    reason: str
    remarks: tuple[str, ...]

    @property
    def margin(self) -> float:
        """What the second type needs over the best; infinite if there is no second, NaN if no best."""
        if len(self.ranking) < 2:
            return math.inf if self.ranking else math.nan
        return float(self.need(self.ranking[1]) / self.need(self.ranking[0]))

    def need(self, kind: str) -> units.Quantity:
        """Return what a type needs, by the measure asked for; of one that meets the brief nowhere that of the miss."""
        return getattr(self[kind], MEASURES[self.by].figure)

    def __repr__(self):
        head = f"<Sizing: {self.best.kind}, {size_words.shown(self, self.best)}" if self.best else "<Sizing: none"
        return f"{head}, by {self.by}>"


def size_for(brief: Brief, by: str = "envelope", between: Any = BETWEEN, progress: Progress | None = None) -> Sizing:
    """Return the smallest machine of each type that gives the torque or power that a brief asks for.

    Of the brief's rotor diameter and active length only the ratio counts, as in ``sweep``; all else stays as given. By
    envelope and mass a rotor a little larger than the smallest may need less: with more poles end windings are shorter.

    Parameters
    ----------
    brief : Brief
        with ``torque``, ``power`` or both
    by : str
        what is to be small: "envelope", "mass" or "rotor diameter"; types are ranked by it
    between : pair of strings or quantities, or a Pint quantity holding two numbers
        smallest and largest rotor diameter to try
    progress : callable, optional
        called as ``progress(done, total)``, after the first look at all sizes and twice for every type

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
    As ``choose``. Ends of meeting the brief are found to 0.1 % of the diameter. Where sizes meet it within less than
    15 % of the diameter only, or fail it within as little, they are found if what is asked is missed by less than a
    third half way. By envelope and mass one machine of every number of poles is compared, the smallest above.

    Examples
    --------
    >>> brief = Brief(rotor_diameter="20 mm", torque="2 N*m", cooling="shaft fan")
    >>> found = size_for(brief, between=("30 mm", "150 mm"))
    >>> found.best.kind, f"{found.best.rotor_diameter.m_as('mm'):.0f} mm"
    ('induction', '62 mm')
    """
    check(brief, MERIT, "size_for")
    messages.choice(by, MEASURES, "by")
    if not asks_torque(brief.si):
        raise ValueError(
            "torque: not given; expected what the machine must give, such as Brief(torque='2 N*m') or "
            "Brief(power='1.5 kW')"
        )
    low, high = _read_between(between)
    done = Rounds(progress, 1 + 2 * len(ROTORS))
    looked = tried(brief, low, high, done)
    made = {}
    for kind, tries in looked.items():
        made[kind] = _made(brief, kind, tries, by)
        done()
    designs = {kind: design for kind, (_, design) in made.items()}
    able = [kind for kind in competitors(brief, designs) if designs[kind].feasible]
    found = Sizing(
        brief=brief,
        by=by,
        between=units.quantity(np.array([low, high]), "m"),
        designs=designs,
        briefs={kind: sized for kind, (sized, design) in made.items() if design.feasible},
        ranges={kind: _ranges(tries, brief.si) for kind, tries in looked.items()},
        misses={kind: why for kind, tries in looked.items() if (why := _miss(tries, brief.si))},
        ranking=tuple(sorted(able, key=lambda kind: designs[kind].values[MEASURES[by].figure])),
        reason="",
        remarks=(),
    )
    return dataclasses.replace(found, reason=size_words.reason(found), remarks=tuple(size_words.remarks(found)))


def _read_between(between):
    """Return the smallest and the largest size to try [m]."""
    sizes = units.read_array(between, "length", "between")
    if sizes.size != 2 or sizes[0] >= sizes[1]:
        raise ValueError(
            f"between: got {messages.shorten(between)}; expected the smallest and a larger rotor diameter, such as "
            f"{BETWEEN}"
        )
    return sizes


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


def _miss(tries, si):
    """Return why a type meets the brief nowhere: what it never does, or what its nearest miss lacks; "" if it does."""
    if any(one.meets for one in tries):
        return ""
    miss = nearest(tries)
    never = set.intersection(*(one.unable() for one in tries))
    for name in miss.best.passed:
        if name in never:
            return f"{miss.told(name, si)}, at any size tried"
    return f"at {units.show_si(miss.size, 'm')}, where it comes nearest, {miss.why(si)}"


def _made(brief, kind, tries, by):
    """Return (brief, design) of the machine that needs least, searched by itself as ``choose`` does; else of a miss.

    A size that meets the brief by no more than rounding may fail it there: then the next counts.
    """
    for one in (one for one in tries if one.meets):
        sized, design = _single(brief, kind, one.size)
        if design.feasible:
            break
    else:
        return brief, _single(brief, kind, nearest(tries).size)[1]
    if by != "rotor diameter" and brief.si.pole_pairs is None:
        figure = MEASURES[by].figure
        other = fewer_needed(brief, kind, design, figure)
        less = other and _single(brief, kind, *other)
        if less and less[1].feasible and less[1].values[figure] < design.values[figure]:
            return less
    return sized, design


def _single(brief, kind, size, pole_pairs=None):
    """Return the brief at a size, and the design that ``choose`` makes of it."""
    si = brief.si if pole_pairs is None else SimpleNamespace(**vars(brief.si) | {"pole_pairs": pole_pairs})
    found = best_designs(si, [size], MERIT, brief.supply_is_fixed, (kind,))[kind]
    sized, design = (
        at_size(brief, size, pole_pairs),
        design_at(found, 0, SimpleNamespace(si=si), MERIT),
    )
    return (sized if design.feasible else brief), dataclasses.replace(design, brief=sized)
