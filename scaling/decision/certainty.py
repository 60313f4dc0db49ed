"""``certainty``: how sure a choice is when fields of the brief are not known exactly, and which of them to blame."""

from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from scaling.decision import bands
from scaling.decision.alternatives import as_inputs
from scaling.decision.brief import Brief
from scaling.decision.choose import check, competitors
from scaling.decision.sweep import read_sizes
from scaling.decision.training_sample import NONE, Inputs, TrainingSample, solutions
from scaling.ground import messages, units
from scaling.ground.rounds import Progress, Rounds
from scaling.machines import ROTORS
from scaling.models.surrogate import sobol_indices, terms

TRAINING_DRAWS = 128  # draws solved exactly at every size, or more
ENOUGH = 3  # training draws for every coefficient of a polynomial of second degree, at least
BLOCK = 8192  # draws judged at once
SENSITIVITY_POINTS = 2048  # of the Sobol' sequence; a power of two
LEAST_SHARE = 0.01  # of the draws: a crossover in fewer is left out
FEWEST, MOST = 1000, 10_000_000  # draws
RENAMED = {"blame": "sensitivity", "blamed": "varying"}  # names of earlier versions
QUANTILES = (0.05, 0.5, 0.95)


class Band(NamedTuple):
    """The 5 %, 50 % and 95 % points of a distribution."""

    low: Any
    median: Any
    high: Any


class Sensitivity(NamedTuple):
    """Sobol' indices of an input: its own share of the variance, and the share that goes if it were known."""

    first_order: float
    total: float


@dataclass(frozen=True)
class CrossoverBand:
    """Where ``below`` gives way to ``above``: a band of sizes over the draws in which it happens, and their share.

    ``sensitivity`` holds the indices of the logarithm of the size, taken at the ends of the sizes where the two do not
    cross between them; empty where no type meets the brief on one side.
    """

    below: str
    above: str
    rotor_diameter: Band
    share: float
    sensitivity: dict


@dataclass(frozen=True)
class Certainty:
    """How sure a choice is.

    ``probability[kind]`` is the share of draws in which a type is the best that meets the brief, ``probability[""]``
    that in which none does. ``leading`` names the two types that matter; ``margin`` is the Band of the first one's
    merit over its best rival's in the same draw (0 where it does not meet the brief, infinite where no other does).
    ``inputs[field]`` is what is known of a field, ``sensitivity[field]`` its Sensitivity for the variance of
    ``varying``. ``probability_by_size[kind]`` runs along ``rotor_diameters``, ``crossovers`` are CrossoverBands; None
    and () without sizes. ``surrogate_error`` is the rms error of the margin as told by the surrogates, relative,
    ``misjudged`` the share of exact draws, left out one by one, for which they name another winner, ``rough`` whether
    either is large. An error of the winner that goes both ways cancels in the probabilities.
    """

    brief: Brief
    merit: str
    draws: int
    seed: int
    probability: dict
    leading: tuple
    margin: Band
    varying: str
    sensitivity: dict
    surrogate_error: float
    misjudged: float
    rotor_diameters: units.Quantity | None = None
    probability_by_size: dict | None = None
    crossovers: tuple = ()
    margin_deviation: float = field(default=np.nan, repr=False)
    inputs: dict = field(default_factory=dict, repr=False, compare=False)

    def __getattr__(self, name):
        if name in RENAMED:
            raise AttributeError(messages.renamed(name, RENAMED, "a certainty"))
        raise AttributeError(f"a certainty has no {name!r}")

    @property
    def best(self) -> str:
        """The most probable type; "" if most probably none meets the brief."""
        return max(self.probability, key=lambda kind: self.probability[kind])

    @property
    def band(self) -> float:
        """Factor that assumptions which were not drawn leave open of the leading two's margin; NaN without two."""
        if len(self.leading) < 2:
            return np.nan
        first, second = self.leading
        return bands.tie_band(self.brief, first, second, self.merit, besides=tuple(self.inputs))

    @property
    def is_level(self) -> bool:
        """Whether the margin in the middle of the draws lies within the band: a tie, however many draws agree."""
        return bool(1.0 / self.band < self.margin.median < self.band)

    @property
    def rough(self) -> bool:
        """Whether the surrogates' error is not small against the spread of the margin, and matters."""
        return self.misjudged > 0.02 or (self.misjudged > 0 and self.surrogate_error > 0.2 * self.margin_deviation)


def certainty(
    brief: Brief,
    rotor_diameters: Any = None,
    merit: str = "torque per volume",
    draws: int = 100_000,
    seed: int = 0,
    assumptions: bool | list[str] | tuple[str, ...] = False,
    progress: Progress | None = None,
) -> Certainty:
    """Return how sure the choice for a brief is, over what is known of its uncertain fields.

    Some hundred draws are solved exactly; surrogates through them judge all the others. Every size sees the same
    draws. Fields are independent of each other.

    Parameters
    ----------
    brief : Brief
        with a spread in one field or more, such as ``gap_floor="30 um +/- 10 um"``
    rotor_diameters : Pint quantity holding an array, or sequence of strings or quantities, optional
        increasing sizes, as in ``sweep``: also give probabilities by size and bands of crossovers, placed between
        neighbouring sizes by their merits. A spread of the rotor diameter is kept as a ratio.
    merit : str
        as in ``choose``
    draws : int
        from 1000 to 10 million
    seed : int
        the same seed gives the same answer
    assumptions : bool or sequence of str
        True: what the brief leaves to the model's assumptions is uncertain, too (``scaling.decision.assumptions``), or
        those with these names. A number lies anywhere between what is taken and its alternative; what has no number, or
        none by default, is one or the other, as likely. All of them take a minute, and with sizes one for every few.
    progress : callable, optional
        called as ``progress(done, total)``, after every few exact solutions

    Returns
    -------
    Certainty

    Raises
    ------
    TypeError, ValueError
        as ``choose`` and ``sweep``; for a brief without any spread where no assumption is asked for; for an assumption
        that is none, because the brief says it

    Validity
    --------
    What is uncertain in the brief and, if asked for, the assumptions, not what the models leave out: see ``choose``.

    Examples
    --------
    >>> sure = certainty(Brief(rotor_diameter="100 mm", gap_floor="30 um +/- 10 um"), draws=1000)
    >>> sure.probability["induction"]
    1.0
    """
    check(brief, merit, "" if rotor_diameters is None else "certainty at sizes")
    draws = _whole(draws, "draws", FEWEST, MOST)
    seed = _whole(seed, "seed", 0, 2**32)
    brief, either = as_inputs(brief, assumptions)
    inputs, kinds = Inputs(brief, either), competitors(brief, ROTORS)
    if not inputs.uncertainties:
        raise ValueError(
            "brief: got no field with a spread; give one, such as gap_floor='30 um +/- 10 um' or ('20 um', '40 um')"
        )
    sizes = None if rotor_diameters is None else read_sizes(rotor_diameters)
    values = inputs.values(np.random.default_rng([seed, 1]).random((len(inputs.uncertainties), draws)))
    quantiles = _quantiles(inputs, seed)
    done = Rounds(progress, sum(solutions(inputs, quantiles, n) for n in (1, 0 if sizes is None else sizes.size)))
    sample = TrainingSample(inputs, quantiles, [1.0], merit, kinds, done)
    scores = np.concatenate([sample.score(part)[0] for part in _blocks(values)], axis=1)
    winners = _winners(scores)
    shares = _shares(winners, kinds)
    leading = _leading(sample, shares, kinds)
    varying, sensitivity = _sensitivity(sample, leading, merit, seed)
    error, deviation = _margin_error(sample, leading)
    by_size = {} if sizes is None else _by_size(inputs, values, sizes, merit, kinds, seed, done)
    return Certainty(
        brief=brief,
        merit=merit,
        draws=draws,
        seed=seed,
        probability=shares,
        leading=leading,
        margin=_margin(scores, kinds, leading),
        varying=varying,
        sensitivity=sensitivity,
        surrogate_error=error,
        misjudged=float(np.mean(_winners(sample.left_out[0]) != _winners(sample.exact[0]))),
        margin_deviation=deviation,
        inputs=inputs.uncertainties,
        **by_size,
    )


def _whole(value, name, low, high):
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)):
        raise TypeError(f"{name}: got {messages.shorten(value)}; expected a whole number from {low} to {high}")
    if not low <= value <= high:
        raise ValueError(f"{name}: got {messages.shorten(value)}; expected a whole number from {low} to {high}")
    return int(value)


def _quantiles(inputs, seed):
    """Return scrambled Sobol' points, (inputs, points), enough for a polynomial of second degree."""
    from scipy.stats import qmc

    count, points = len(inputs.uncertainties), TRAINING_DRAWS
    while points < ENOUGH * terms(count, 2):
        points *= 2
    return qmc.Sobol(count, rng=np.random.default_rng([seed, 0])).random(points).T


def _blocks(values):
    for start in range(0, values.shape[1], BLOCK):
        yield values[:, start : start + BLOCK]


def _winners(scores):
    """Return the place of the best type, types on the last axis but one; their number where none meets the brief."""
    return np.where(np.isfinite(scores).any(axis=-2), scores.argmax(axis=-2), scores.shape[-2])


def _shares(winners, kinds):
    counts = np.bincount(winners, minlength=len(kinds) + 1) / winners.size
    return {kind: float(share) for kind, share in zip((*kinds, NONE), counts, strict=True)}


def _leading(sample, shares, kinds):
    """Return the two types that matter, the more probable first; fewer where fewer ever meet the brief."""
    able = [i for i in range(len(kinds)) if not sample.never[0, i]]
    middle = {i: np.median(sample.exact[0, i][np.isfinite(sample.exact[0, i])]) for i in able}
    return tuple(kinds[i] for i in sorted(able, key=lambda i: (-shares[kinds[i]], -middle[i]))[:2])


def _margin(scores, kinds, leading):
    """Return the band of the leading type's merit over its best rival's."""
    if not leading:
        return Band(np.nan, np.nan, np.nan)
    own = scores[kinds.index(leading[0])]
    rival = np.max(np.delete(scores, kinds.index(leading[0]), axis=0), axis=0)
    with np.errstate(invalid="ignore"):
        ratio = np.sort(np.where(np.isfinite(own), np.exp(own - rival), 0.0))
    return Band(*(float(ratio[round(q * (ratio.size - 1))]) for q in QUANTILES))


def _margin_error(sample, leading):
    """Return (rms error, standard deviation) of the logarithm of the margin of the leading two, over exact draws."""
    if len(leading) < 2:
        return (float(sample.error[0, sample.kinds.index(leading[0])]) if leading else 0.0), np.nan
    a, b = (sample.kinds.index(kind) for kind in leading)
    exact, told = (scores[0, a] - scores[0, b] for scores in _finite(sample.exact, sample.left_out))
    both = np.isfinite(exact) & np.isfinite(told)
    if not both.any():
        return float(np.hypot(sample.error[0, a], sample.error[0, b])), np.nan
    return float(np.sqrt(np.mean((told - exact)[both] ** 2))), float(exact[both].std())


def _finite(*arrays):
    return tuple(np.where(np.isfinite(array), array, np.nan) for array in arrays)


def _sensitivity(sample, leading, merit, seed):
    """Return (what varies, {field: Sensitivity})."""
    uncertainties = sample.inputs.uncertainties
    if not leading:
        return "nothing: no type meets the brief in any draw", {}
    if len(leading) == 2:
        a, b = (sample.kinds.index(kind) for kind in leading)

        def function(x):
            found = sample.log_merit(x)[0]
            return found[a] - found[b]

        what = f"the margin in {merit} of {leading[0]} over {leading[1]}"
    else:

        def function(x):
            return np.isfinite(sample.score(x)[0, sample.kinds.index(leading[0])]).astype(float)

        what = f"whether {leading[0]} meets the brief"
    return what, _indices(function, uncertainties, seed)


def _indices(function, uncertainties, seed):
    first, total = sobol_indices(function, list(uncertainties.values()), SENSITIVITY_POINTS, seed)
    return {name: Sensitivity(float(s), float(t)) for name, s, t in zip(uncertainties, first[0], total[0], strict=True)}


def _by_size(inputs, values, sizes, merit, kinds, seed, done):
    """Return the fields of a Certainty that need sizes."""
    ratios = sizes / inputs.brief.si.rotor_diameter
    sample = TrainingSample(inputs, _quantiles(inputs, seed), ratios, merit, kinds, done)
    counts, crossings = np.zeros((len(kinds) + 1, sizes.size)), {}
    for part in _blocks(values):
        scores = sample.score(part)
        winners = _winners(scores)
        counts += [(winners == i).sum(axis=1) for i in range(len(kinds) + 1)]
        for pair, found in _crossings(scores, winners, np.log(sizes)).items():
            crossings.setdefault(pair, []).append(found)
    bands, names = [], (*kinds, NONE)
    for (a, b), parts in crossings.items():
        found = np.sort(np.concatenate(parts))
        share = found.size / values.shape[1]
        if share >= LEAST_SHARE:
            points = (float(np.exp(found[round(q * (found.size - 1))])) for q in QUANTILES)
            band = Band(*(units.quantity(point, "m") for point in points))
            both = len(kinds) not in (a, b)
            sensitivity = _indices(_crossing_size(sample, a, b, sizes), inputs.uncertainties, seed) if both else {}
            bands.append(CrossoverBand(names[a], names[b], band, share, sensitivity))
    return {
        "rotor_diameters": units.quantity(sizes, "m"),
        "probability_by_size": dict(zip(names, counts / values.shape[1], strict=True)),
        "crossovers": tuple(sorted(bands, key=lambda band: band.rotor_diameter.median.magnitude)),
    }


def _place(lead, below, above, log_sizes):
    """Return where between two sizes a lead in log merit changes sign: the middle where one does not meet the brief."""
    with np.errstate(invalid="ignore", divide="ignore"):
        part = lead[0] / (lead[0] - lead[1])
    part = np.where(np.isfinite(part) & (part >= 0) & (part <= 1), part, 0.5)
    return log_sizes[below] + part * (log_sizes[above] - log_sizes[below])


def _crossings(scores, winners, log_sizes):
    """Return {(below, above): log sizes} of the first change of each kind in every draw that has it."""
    found, seen, codes = {}, {}, scores.shape[1] + 1
    for i in range(len(log_sizes) - 1):
        change = np.where(winners[i] != winners[i + 1], winners[i] * codes + winners[i + 1], -1)
        for code in set(np.unique(change)) - {-1}:
            pair = divmod(int(code), codes)
            before = seen.get(pair, np.zeros(change.size, dtype=bool))
            at = (change == code) & ~before
            seen[pair] = before | at
            lead = [_score(scores[j][:, at], pair[0]) - _score(scores[j][:, at], pair[1]) for j in (i, i + 1)]
            found.setdefault(pair, []).append(_place(lead, i, i + 1, log_sizes))
    return {pair: np.concatenate(parts) for pair, parts in found.items()}


def _score(scores, kind):
    """Return a type's scores as numbers that can be subtracted; NaN where it does not meet the brief, or for none."""
    return _finite(scores[kind])[0] if kind < len(scores) else np.full(scores.shape[1], np.nan)


def _crossing_size(sample, a, b, sizes):
    """Return the function that gives the log size at which type b overtakes type a, at the ends where it does not."""
    log_sizes = np.log(sizes)

    def function(x):
        scores = np.concatenate([sample.score(part) for part in _blocks(x)], axis=2)
        behind = _winners(scores[:, [a, b]]) != 0
        first = np.where(behind.any(axis=0), behind.argmax(axis=0), len(sizes) - 1)
        above = np.maximum(first, 1)
        draws = np.arange(x.shape[1])
        lead = [_finite(scores[i, a, draws] - scores[i, b, draws])[0] for i in (above - 1, above)]
        at = _place(lead, above - 1, above, log_sizes)
        return np.where(first == 0, log_sizes[0], np.where(behind.any(axis=0), at, log_sizes[-1]))

    return function
