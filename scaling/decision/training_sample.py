"""A stand-in for the best designs of many draws: some solved exactly, surrogates through them for the rest.

For every type and size there is a surrogate of the logarithm of merit, through the points that meet the brief, and for
every check that some points fail one whose sign tells whether it is met.
"""

import math
from dataclasses import dataclass

import numpy as np

from scaling.decision.checks import signals
from scaling.decision.consistency import possible
from scaling.decision.optimum import best_designs
from scaling.models.surrogate import Surrogate

NONE = ""
TINY = 1e-9
AT_ONCE = 128  # briefs solved in one call: more do not fit the processor's cache
WIDE = 1e3  # ratio of the ends above which an input counts by its value, not its logarithm
ENDS = (1e-3, 1 - 1e-3)  # quantiles that are -1 and 1 in the coordinates of the surrogates


class Inputs:
    """What is uncertain in a brief: values from quantiles, and the surrogates' coordinates from values.

    Beside the brief's own fields those that are ``either`` as taken or another: {field: Either}.
    """

    def __init__(self, brief, either=None):
        self.brief, self.either = brief, either or {}
        self.uncertainties = brief.uncertainties | self.either
        ends = np.array([known.ppf(np.array(ENDS)) for known in self.uncertainties.values()]).reshape(-1, 2)
        self.logarithmic = (ends[:, :1] > 0) & (ends[:, 1:] < WIDE * ends[:, :1])
        self.low, self.high = self._scaled(ends).T[..., None]

    def _scaled(self, values):
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.logarithmic, np.log(values), values)

    def values(self, quantiles):
        """Return SI values at quantiles, both (inputs, draws)."""
        return np.array([known.ppf(q) for known, q in zip(self.uncertainties.values(), quantiles, strict=True)])

    def at(self, values):
        """Return coordinates of SI values, both (inputs, draws)."""
        return 2 * (self._scaled(values) - self.low) / (self.high - self.low) - 1

    def si(self, values, alternatives=None):
        """Return the brief in SI with values of the draws, (inputs, draws), in place of its uncertain fields.

        Of fields that are either as taken or another ``alternatives`` holds those that are another, the same in all
        draws.
        """
        own = dict(zip(self.brief.uncertainties, values, strict=False))
        return self.brief.drawn(own | (alternatives or {}))

    def cases(self, values):
        """Yield (places of draws, {field: alternative in SI}) for draws in which the same alternatives hold."""
        codes = 2.0 ** np.arange(len(self.either)) @ values[len(self.brief.uncertainties) :]
        for code in np.unique(codes):
            held = {name: one.value for i, (name, one) in enumerate(self.either.items()) if int(code) >> i & 1}
            yield np.flatnonzero(codes == code), held


@dataclass(frozen=True)
class _Solved:
    """Exact answers of the training draws at one size: per type log merit where the brief is met, checks, signals."""

    log_merit: dict
    passed: dict
    signals: dict


def solutions(inputs, quantiles, sizes):
    """Return in how many calls the draws at quantiles are solved, at so many sizes."""
    return sum(math.ceil(draws.size * sizes / AT_ONCE) for draws, _ in inputs.cases(inputs.values(quantiles)))


def _solve(inputs, values, ratios, merit, kinds, done=lambda: None):
    """Solve draws at sizes that are ``ratios`` times the brief's, in parts; return a _Solved for every size.

    ``done`` is called after every part.
    """
    ratios, shape = np.asarray(ratios), (len(ratios), values.shape[1])
    log_merit = {kind: np.full(shape, np.nan) for kind in kinds}
    passed, behind = ({kind: {} for kind in kinds} for _ in range(2))
    for draws, alternatives in inputs.cases(values):
        places, columns = np.repeat(np.arange(len(ratios)), draws.size), np.tile(draws, len(ratios))
        for start in range(0, places.size, AT_ONCE):
            at = places[start : start + AT_ONCE], columns[start : start + AT_ONCE]
            si = inputs.si(values[:, at[1]], alternatives)
            size = si.rotor_diameter * ratios[at[0]]
            for kind, best in best_designs(si, size, merit, inputs.brief.supply_is_fixed, kinds).items():
                with np.errstate(invalid="ignore", divide="ignore"):
                    log_merit[kind][at] = np.where(best.feasible, np.log(best.merit), np.nan)
                for name, ok in best.passed.items():
                    passed[kind].setdefault(name, np.full(shape, True))[at] = ok
                for name, signal in signals(best, si).items():
                    behind[kind].setdefault(name, np.full(shape, np.nan))[at] = signal
            done()

    def of_size(found, i):
        return {kind: {name: array[i] for name, array in some.items()} for kind, some in found.items()}

    return [
        _Solved({kind: array[i] for kind, array in log_merit.items()}, of_size(passed, i), of_size(behind, i))
        for i in range(len(ratios))
    ]


def _route(left_out, ok):
    """Return (share misjudged, offset) of a check's surrogate; with the offset as many draws left out pass as do."""
    known = np.isfinite(left_out)
    if not known.any():
        return np.inf, 0.0
    short = np.mean(~ok[known])
    offset = -np.quantile(left_out[known], short) if short else TINY - left_out[known].min()
    return np.mean((left_out + offset > 0) != ok), offset


class TrainingSample:
    """Log merit of every type that competes, at some sizes, for any draw: (sizes, types, draws).

    ``log_merit`` tells it whether the brief is met or not, ``score`` is minus infinity where it is not. ``error`` is
    the rms error of log merit (sizes, types), ``left_out`` the score of each training draw as told by the others.
    """

    def __init__(self, inputs, quantiles, ratios, merit, kinds, done=lambda: None):
        self.inputs, self.kinds = inputs, kinds
        values = inputs.values(quantiles)
        solved = _solve(inputs, values, ratios, merit, kinds, done)
        self.shape = (len(ratios), len(kinds))
        at = inputs.at(values)
        logs = np.array([one.log_merit[kind] for one in solved for kind in kinds])
        able = possible(inputs.si(values))
        self.exact = np.where(able & np.isfinite(logs), logs, -np.inf).reshape(*self.shape, -1)
        merits = Surrogate(at, np.where(able, logs, np.nan))
        self.error = merits.error.reshape(self.shape)
        self.never = ~np.isfinite(self.exact).any(axis=2)
        checks, self.offsets, self.owners = self._checks(at, solved)
        self.surrogates = merits, checks
        told = np.where(np.isfinite(merits.left_out), merits.left_out, merits(at))
        signs = np.where(np.isfinite(checks.left_out), checks.left_out, checks(at)) + self.offsets
        self.left_out = self._judged(told, signs, able)

    def _checks(self, at, solved):
        """Return (surrogate, offsets, owners) of the checks that some draws fail; an owner is a size and type.

        What lies behind a check and its plain yes or no are both tried; the one kept misjudges fewer draws left out.
        """
        rows, owners, truths = [], [], []
        for place, (one, kind) in enumerate((one, kind) for one in solved for kind in self.kinds):
            for name, ok in one.passed[kind].items():
                if not ok.all() and np.isfinite(one.log_merit[kind]).any():
                    rows += [one.signals[kind].get(name, np.full(ok.shape, np.nan)), np.where(ok, 1.0, -1.0)]
                    owners.append(place)
                    truths.append(ok)
        both = Surrogate(at, np.reshape(rows, (-1, at.shape[1])), kinks=False)
        kept, offsets = [], []
        for i, ok in enumerate(truths):
            routes = [(*_route(both.left_out[j], ok), j) for j in (2 * i, 2 * i + 1)]
            _, offset, place = min(routes, key=lambda route: route[0])
            kept.append(place)
            offsets.append(offset)
        return both.taken(kept), np.reshape(offsets, (-1, 1)), owners

    def _judged(self, log_merit, signs, able):
        """Return scores from log merits and the checks' signs."""
        met = np.broadcast_to(able, log_merit.shape).copy()
        for owner, sign in zip(self.owners, signs, strict=True):
            met[owner] &= sign > 0
        met &= ~self.never.ravel()[:, None]
        return np.where(met, log_merit, -np.inf).reshape(*self.shape, -1)

    def log_merit(self, values):
        """Return log merits at SI values, whether the brief is met or not; NaN for a type that never meets it."""
        return self.surrogates[0](self.inputs.at(values)).reshape(*self.shape, -1)

    def score(self, values):
        """Return log merits at SI values, minus infinity where the brief is not met."""
        merits, checks = self.surrogates
        rows = merits.rows(self.inputs.at(values))  # those of the checks too: the same draws are known
        return self._judged(
            merits.weights @ rows, checks.weights @ rows + self.offsets, possible(self.inputs.si(values))
        )
