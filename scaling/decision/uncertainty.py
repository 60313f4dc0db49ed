"""Spreads of a brief's fields: what is known of a value that is not known exactly, read strictly and kept in SI.

``"30 um +/- 10 um"`` is an expanded uncertainty: a normal distribution whose standard deviation is half the number, for
a coverage factor of 2; a ``(low, high)`` pair is a uniform one (Guide to the expression of uncertainty in measurement,
JCGM 100:2008, 4.3.3, 4.3.7, 6.3.3, from memory). A frozen distribution of ``scipy.stats`` stands for itself.
"""

import re
from dataclasses import dataclass

import numpy as np

from scaling.ground import spellings, units
from scaling.ground.messages import shorten
from scaling.ground.quantities import QUANTITY_KINDS

COVERAGE = 2.0  # expanded uncertainty over standard deviation
TAIL = 1e-3  # share of a given distribution that may lie beyond what a field allows, on either side
_SIGN = re.compile(r"\+/-|±")
_PERCENT = re.compile(r"(?P<number>[0-9]+\.?[0-9]*|\.[0-9]+) ?%")


@dataclass(frozen=True)
class Normal:
    """A normal distribution, each side cut where the field ends; the median stays the median."""

    median: float
    deviation: float
    low: float
    high: float
    describe: str

    def ppf(self, q):
        """Return the values at quantiles q, in SI."""
        from scipy.special import ndtr, ndtri

        q, (least, most) = np.asarray(q, float), ndtr([(end - self.median) / self.deviation for end in self.bounds])
        q = np.where(q < 0.5, least + (0.5 - least) * 2 * q, 0.5 + (most - 0.5) * (2 * q - 1))
        return np.clip(self.median + self.deviation * ndtri(q), *self.bounds)

    @property
    def bounds(self):
        """The smallest and the largest value that the field allows."""
        return self.low, self.high


@dataclass(frozen=True)
class Uniform:
    """A uniform distribution between two ends."""

    low: float
    high: float
    describe: str

    @property
    def median(self):
        """The median."""
        return (self.low + self.high) / 2

    def ppf(self, q):
        """Return the values at quantiles q, in SI."""
        return self.low + (self.high - self.low) * np.asarray(q, float)


@dataclass(frozen=True)
class Given:
    """A distribution that was given, in a unit; what lies beyond the field's bounds is taken at the bound."""

    distribution: object
    unit: str | None
    kind: str
    low: float
    high: float
    describe: str

    @property
    def median(self):
        """The median."""
        return float(self.ppf(0.5))

    def ppf(self, q):
        """Return the values at quantiles q, in SI."""
        value = np.asarray(self.distribution.ppf(q), float)
        if self.unit is not None:
            value = units.Q(np.ravel(value).clip(-1e300, 1e300), self.unit).m_as(QUANTITY_KINDS[self.kind].unit)
        return np.clip(np.reshape(value, np.shape(q)), self.low, self.high)


UNCERTAINTIES = (Normal, Uniform, Given)


def read(field, value, meta, one):
    """Return the spread that a value states, in SI, or None if it states none.

    Parameters
    ----------
    field : str
        name of the field, for the error message
    value : object
        what was typed
    meta : dict
        the field's ``kind``, bounds ``low`` and ``high``, ``zero`` (allowed), ``pair`` (a pair means something else)
    one : callable
        reads a single value with all the field's checks

    Raises
    ------
    TypeError, ValueError
        for a spread that is none, has another unit or reaches where the field cannot go
    """
    is_text = isinstance(value, str) and _SIGN.search(value)
    parts = value if isinstance(value, (tuple, list)) else (value,)
    is_given = 1 <= len(parts) <= 2 and hasattr(parts[0], "ppf")
    is_pair = isinstance(value, (tuple, list)) and len(value) == 2 and not is_given and not meta.get("pair")
    if not (is_text or is_given or is_pair):
        return None
    if meta["kind"] == "positive integer":
        raise ValueError(f"{field}: got {shorten(value)}; a whole number has no spread, give one value")
    if is_text:
        return _normal(field, value, meta, one)
    return _given(field, value, parts, meta, one) if is_given else _uniform(field, value, meta, one)


def _part(name, field, value, read):
    """Return what ``read`` gives, or raise its error with the whole value before it."""
    try:
        return read()
    except (TypeError, ValueError) as error:
        problem = str(error).removeprefix(f"{field}: got ")
        raise type(error)(f"{field}: got {shorten(value)}; its {name}, {problem}") from error


def _bounds(meta):
    """Return the smallest and the largest value that a field allows, in SI."""
    kind = QUANTITY_KINDS[meta["kind"]]
    low = kind.low if meta.get("low") is None else max(kind.low, meta["low"])
    return 0.0 if meta.get("zero") else low, min(kind.high, meta.get("high") or kind.high)


def _normal(field, value, meta, one):
    texts = [text.strip() for text in _SIGN.split(value[:200])]
    if len(texts) != 2:
        raise ValueError(
            f"{field}: got {shorten(value)}; expected one '+/-', as in '{QUANTITY_KINDS[meta['kind']].example}'"
        )
    median = _part("median", field, value, lambda: one(texts[0]))
    percent, on_a_scale = _PERCENT.fullmatch(texts[1]), meta["kind"] == "temperature"
    if percent and on_a_scale:
        raise ValueError(f"{field}: got {shorten(value)}; a percentage of a temperature says nothing, give kelvins")
    if percent:
        half = float(percent["number"]) / 100 * median
    else:
        kind = "temperature rise" if on_a_scale else meta["kind"]
        half = _part("spread", field, value, lambda: units.read(texts[1], kind, field))
    low, high = _bounds(meta)
    if not 0 < half < high:
        raise ValueError(f"{field}: got {shorten(value)}; expected a spread above zero that the field can hold")
    return Normal(median, half / COVERAGE, low, high, f"{texts[0]} ± {texts[1]}, normal, coverage factor {COVERAGE:g}")


def _uniform(field, value, meta, one):
    low, high = (
        _part(f"{name} end", field, value, lambda end=end: one(end))
        for name, end in zip(("low", "high"), value, strict=True)
    )
    if not low < high:
        problem = "upside down" if low > high else "which has no width"
        raise ValueError(f"{field}: got {shorten(value)}, {problem}; expected a (low, high) pair, or one value")
    ends = (units.show_si(end, QUANTITY_KINDS[meta["kind"]].unit) for end in (low, high))
    return Uniform(low, high, f"{' to '.join(ends)}, uniform")


def _given(field, value, parts, meta, one):
    distribution, unit, kind = parts[0], parts[1] if len(parts) == 2 else None, QUANTITY_KINDS[meta["kind"]]
    with_unit = f", with its unit: (distribution, {kind.unit!r})" if kind.unit else ""
    remedy = f"give a frozen continuous distribution of scipy.stats{with_unit}"
    if callable(distribution) or hasattr(distribution, "pmf") or not callable(distribution.ppf):
        raise TypeError(f"{field}: got {shorten(value)}, not frozen or not continuous; {remedy}")
    if bool(kind.unit) != isinstance(unit, str):
        problem = "the unit is missing" if kind.unit else "a ratio has no unit"
        raise TypeError(f"{field}: got {shorten(value)}: {problem}; {remedy}")
    unit = unit and spellings.spelled(unit, kind.name)
    try:
        with np.errstate(all="ignore"):
            ends = [float(distribution.ppf(q)) for q in (TAIL, 0.5, 1 - TAIL)]
    except (TypeError, ValueError, ArithmeticError) as error:
        raise TypeError(f"{field}: got {shorten(value)}, which is not one distribution; {remedy}") from error
    if not np.all(np.diff(ends) > 0) or not np.all(np.isfinite(ends)):
        raise ValueError(f"{field}: got {shorten(value)}, which has no width or is not finite; {remedy}")
    low, median, high = (
        _part(f"{100 * q:g} % point", field, value, lambda x=x: one(f"{x!r} {unit}" if unit else x))
        for q, x in zip((TAIL, 0.5, 1 - TAIL), ends, strict=True)
    )
    name = getattr(getattr(distribution, "dist", distribution), "name", type(distribution).__name__)
    shown = (units.show_si(end, kind.unit) for end in (low, high))
    return Given(distribution, unit, meta["kind"], *_bounds(meta), f"{' to '.join(shown)} in 998 of 1000, {name}")
