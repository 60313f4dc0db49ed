"""Places of a map searched exactly.

Places u, arrays (2, n), run from 0 to 1 along both axes.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from scaling.decision.checks import BY_NAME, signals
from scaling.decision.choose import competitors
from scaling.decision.consistency import possible
from scaling.decision.optimum import best_designs
from scaling.machines import ROTORS

AT_ONCE = 128  # places searched in one call: more do not fit the processor's cache
ABLE = 0.3, 1.5  # least and largest size of how far a place is from an end of meeting the brief
CONTRADICTION = "contradiction"  # named as a check: fields that contradict each other


@dataclass
class Answers:
    """Exact answers of one type at places: logarithm of merit where it meets the brief, how far it is from that.

    ``unmet`` names the first check that fails, "" where none does. ``first`` marks what lies on a border.
    """

    u: np.ndarray
    log_merit: np.ndarray
    spare: np.ndarray
    unmet: np.ndarray
    first: np.ndarray

    @property
    def meets(self):
        """Where the brief is met."""
        return self.unmet == ""

    def joined(self, other):
        """Return these answers and others."""
        pairs = ((getattr(self, name), getattr(other, name)) for name in vars(self))
        return Answers(*(np.concatenate(pair, axis=-1) for pair in pairs))

    def marked(self, first):
        """Return these answers with the mark set."""
        return Answers(self.u, self.log_merit, self.spare, self.unmet, np.full(self.unmet.shape, first))


class Exact:
    """Exact answers at the places of a map; ``tell`` is told how many places were searched, by all types together."""

    def __init__(self, brief, merit, axes, tell):
        self.brief, self.merit, self.axes, self.tell = brief, merit, axes, tell
        self.kinds = competitors(brief, ROTORS)

    def si(self, u):
        """Return the brief in SI with arrays of values at places."""
        found = {axis.name: axis.value(place) for axis, place in zip(self.axes, u, strict=True)}
        if "rotor_diameter" in found and "active_length" not in found:
            si = self.brief.si
            length = self.brief.length_given
            found[length] = found["rotor_diameter"] * (getattr(si, length) / si.rotor_diameter)
        medians = {name: known.median for name, known in self.brief.uncertainties.items()}
        return self.brief.drawn(medians | {axis.name: axis.field(found.pop(axis.name)) for axis in self.axes} | found)

    def search(self, kind, u):
        """Return the exact Answers of a type at places."""
        parts = np.array_split(np.arange(u.shape[1]), -(-u.shape[1] // AT_ONCE))
        return _all(self._searched(kind, u[:, part]) for part in parts)

    def _searched(self, kind, u):
        si = self.si(u)
        sizes = np.broadcast_to(si.rotor_diameter, u.shape[1:])
        best = best_designs(si, sizes, self.merit, self.brief.supply_is_fixed, (kind,))[kind]
        unmet = np.full(u.shape[1], "", dtype=object)
        for name, ok in reversed(best.passed.items()):
            unmet[~ok] = name
        unmet[~np.broadcast_to(possible(si), unmet.shape)] = CONTRADICTION
        with np.errstate(invalid="ignore", divide="ignore"):
            log_merit = np.where(unmet == "", np.log(best.merit), np.nan)
        self.tell(u.shape[1] / len(self.kinds))
        return Answers(u, log_merit, _spare(best, si, unmet), unmet.astype(str), np.zeros(unmet.shape, bool))

    def typical(self):
        """Return the brief with the fields of both axes in the middle, or as it is where these contradict it."""
        try:
            return brief_at(self.brief, self.axes, [axis.value(0.5) for axis in self.axes])
        except ValueError:
            return self.brief


def brief_at(brief, axes, values):
    """Return the brief with the fields of axes at values in SI; the ratio of length to diameter is kept."""
    given = {axis.name: axis.typed(value) for axis, value in zip(axes, values, strict=True)}
    if "rotor_diameter" in given and "active_length" not in given:
        given["active_length"] = given["rotor_diameter"] * float(brief.si.active_length / brief.si.rotor_diameter)
    return dataclasses.replace(brief, **given)


def mesh(grid):
    """Return the places (2, n) of a grid, the second axis running first."""
    return np.array(np.meshgrid(*grid, indexing="ij")).reshape(2, -1)


def _all(answers):
    first, *others = answers
    for other in others:
        first = first.joined(other)
    return first


def _spare(best, si, unmet):
    """Return how far a type is from an end of meeting the brief: the sign says whether it does.

    Of an amount t of what is asked the signal is (t - 1)/(t + 1), so that log(t) is 2*artanh of it.
    """
    measured = [value for name, value in signals(best, si).items() if name in best.passed]
    worst = np.clip(np.min(np.nan_to_num(measured, nan=-1.0), axis=0), -0.999, 0.999)
    failed = [ok for name, ok in best.passed.items() if BY_NAME[name].signal is None]
    worst = np.where(np.all(failed, axis=0), worst, -0.999)
    return np.where(unmet == "", 1.0, -1.0) * np.clip(np.abs(2 * np.arctanh(worst)), *ABLE)
