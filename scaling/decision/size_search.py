"""Where along the sizes a type of machine begins and ceases to meet a brief, and with how many poles it needs least."""

import dataclasses
import itertools
import math
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from scaling.decision.checks import BY_NAME, failed_at, failures, signals
from scaling.decision.optimum import POLE_PAIRS, Best, best_designs
from scaling.ground import units
from scaling.machines import stator

MERIT = "torque per volume"
STEP = 0.14  # of the logarithm of size: sizes of the first look are so far apart
FINE = 1e-3  # of the logarithm of size: an end of meeting the brief is known so well
PLACES = 0.25, 0.5, 0.75  # of a bracket, tried in every round
BESIDE = np.array([-4.0, -0.45, 0.45, 4.0]) * FINE  # of a root foreseen, tried beside these
FEWER = 5  # sizes tried inside the bracket of every number of poles
CLOSE = 0.2  # of the contrast to what is asked: sizes about a turn as near as that are looked at once more


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

    def told(self, name, si):
        """Return what a check says of it."""
        return BY_NAME[name].message(failed_at(self.best, self.place, si))

    def unable(self):
        """Return the names of the checks without a measure that fail, such as that it turns in synchronism."""
        return {name for name, ok in self.best.passed.items() if BY_NAME[name].signal is None and not ok[self.place]}


def at_size(brief, size, pole_pairs=None):
    """Return a brief with another rotor diameter [m] and the same proportions, if asked for with given pole pairs."""
    name = brief.length_given
    length = size * (getattr(brief.si, name) / brief.si.rotor_diameter)
    given = {"rotor_diameter": units.quantity(float(size), "m"), name: units.quantity(float(length), "m")}
    return dataclasses.replace(brief, **given, **({} if pole_pairs is None else {"pole_pairs": pole_pairs}))


def tried(brief, low, high, done=lambda: None):
    """Return {kind: tries by size}, close to one another wherever a type begins or ceases to meet the brief.

    ``done`` is called after a first look and after every type.
    """
    first = np.geomspace(low, high, 2 + math.ceil(math.log(high / low) / STEP))
    found = best_designs(brief.si, first, MERIT, brief.supply_is_fixed)
    done()
    looked = {}
    for kind, best in found.items():
        looked[kind] = _narrowed(brief, kind, _tries(first, best, brief.si))
        done()
    return looked


def _tries(sizes, best, si):
    each = zip(sizes, best.feasible, _spare(best, si), strict=True)
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
    cells = _changes(tries) + _turns(tries) or _nearest_miss(tries)
    while cells:
        sizes = np.unique(np.concatenate([_inner(a, b) for a, b in cells]))
        found = best_designs(brief.si, sizes, MERIT, brief.supply_is_fixed, (kind,))[kind]
        tries = sorted(tries + _tries(sizes, found, brief.si), key=lambda one: one.size)
        cells = _changes(tries)
    return tries


def _inner(a, b):
    """Return sizes to try between two: quarters, and about where what is asked would be met if all is a power of size.

    Of an amount t of what is asked the spare is (t - 1)/(t + 1), so that log(t) is 2*artanh of it.
    """
    ends, places = np.log([a.size, b.size]), np.array(PLACES)
    sizes = ends[0] + places * (ends[1] - ends[0])
    if a.meets != b.meets and max(abs(a.spare), abs(b.spare)) < 1.0 and a.spare * b.spare < 0.0:
        far = np.arctanh([a.spare, b.spare])
        sizes = np.append(sizes, ends[0] + far[0] / (far[0] - far[1]) * (ends[1] - ends[0]) + BESIDE)
    return np.exp(sizes[(sizes > ends[0]) & (sizes < ends[1])])


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


def nearest(tries):
    """Return the try that comes nearest to meeting the brief, or is farthest inside."""
    return max(tries, key=lambda one: one.spare)


def _nearest_miss(tries):
    """Return the pairs of neighbours about the nearest miss; none where a size meets the brief."""
    if any(one.meets for one in tries):
        return []
    return [pair for pair in itertools.pairwise(tries) if nearest(tries) in pair]


def fewer_needed(brief, kind, design, figure):
    """Return (size, pole pairs) of a machine that takes less of a figure than the smallest, its design; None if none.

    End windings shorten with the pole pitch: a rotor a little larger, of more poles, may need less. Every number of
    poles is followed to the size at which it needs as much as the smallest machine; a figure goes with the cube of the
    size.
    """
    size = design.values["rotor_diameter"]
    laid_out = stator.round_stator(brief.si, np.array([size]), POLE_PAIRS[:, None])
    needs = getattr(laid_out, figure)[:, 0]
    takes = dict(zip(POLE_PAIRS, needs / needs[design.values["pole_pairs"] == POLE_PAIRS], strict=True))
    cells = {
        p: (size * math.exp(-2 * FINE), size * share ** (-1 / 3)) for p, share in takes.items() if share < 1 - FINE
    }
    cells = _first_to_meet(brief, kind, cells, 1)  # those that do at the end
    while any(math.log(high / low) > FINE for low, high in cells.values()):
        cells = _first_to_meet(brief, kind, cells, FEWER)
        enough = min((takes[p] * high**3 for p, (_, high) in cells.items()), default=math.inf)
        cells = {p: (low, high) for p, (low, high) in cells.items() if takes[p] * low**3 < enough}
    found = sorted((takes[p] * high**3, float(high), int(p)) for p, (_, high) in cells.items())
    return found[0][1:] if found else None


def _first_to_meet(brief, kind, cells, points):
    """Return the brackets narrowed to the first change in each, their ends included; those without are left out."""
    if not cells:
        return {}
    rows = {p: np.geomspace(low, high, points + 1) for p, (low, high) in cells.items()}
    sizes = np.concatenate([row[1:] for row in rows.values()])
    si = SimpleNamespace(**vars(brief.si) | {"pole_pairs": np.repeat([*rows], points)})
    meets = best_designs(si, sizes, MERIT, brief.supply_is_fixed, (kind,))[kind].feasible.reshape(-1, points)
    return {
        p: (row[i], row[i + 1])
        for (p, row), i, any_does in zip(rows.items(), meets.argmax(axis=1), meets.any(axis=1), strict=True)
        if any_does
    }
