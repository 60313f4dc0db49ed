"""``compare``: two designs side by side, and the factors that make the difference."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from scaling.decision import bands, compare_words, compare_yardstick
from scaling.decision.design import Design
from scaling.decision.factors import FACTORS, TORQUE, contributions
from scaling.decision.masses import Money, active_cost, read_prices
from scaling.decision.merits import MERITS
from scaling.ground import messages
from scaling.machines import YARDSTICK

PRICE = "mean price of a kilogram"


@dataclass(frozen=True)
class Measure:
    """What may be compared: its SI unit, ``value(figures)`` of a design, and the ``factors`` {name: power} of it."""

    unit: str
    value: Callable[[Mapping[str, float]], float]
    factors: Mapping[str, float]


MEASURES = {
    "torque": Measure("N*m", lambda v: v["torque"], TORQUE),
    "power": Measure("W", lambda v: v["power"], TORQUE | {"speed": 1}),
    **{name: Measure(merit.unit, merit.of_figures, merit.factors) for name, merit in MERITS.items()},
    "losses": Measure("W", lambda v: v["loss"], FACTORS["losses"].parts),
    "mass": Measure("kg", lambda v: v["mass"], FACTORS["mass"].parts),
    "envelope": Measure("m**3", lambda v: v["volume"], FACTORS["envelope"].parts),
    "cost": Measure("", lambda v: v["mass"], {"mass": 1}),  # times the price per kilogram
}
AT_REST = ("mass", "envelope", "cost")  # of a design that does not run, too
START = "starting_torque_ratio"  # to a magnet rotor a start under load is another task, no assumption of the model
BY_MERIT = {"torque": "torque per volume", "power": "power per volume"}  # whose band of a tie is that of a measure


@dataclass(frozen=True)
class Comparison:
    """Two designs side by side.

    ``ratio`` is what is compared of the first over that of the second, ``factors`` {name: ratio} multiply to it,
    ``parts(name)`` to a factor in turn. ``ratios`` holds the ratio of every measure, ``money`` what the active
    material of both costs (None without prices), ``band`` the factor within which the two are level (``is_level``),
    ``reason`` says it in words, ``remarks`` what else a colleague should hear. Without a ratio, where one of them has
    no running point or friction takes all, there are no factors, and ``reason`` says why.
    """

    a: Design
    b: Design
    by: str
    ratio: float
    factors: dict[str, float]
    ratios: dict[str, float]
    band: float
    prices: dict[str, float]
    money: Money | None
    reason: str
    remarks: tuple[str, ...]

    @property
    def is_level(self) -> bool:
        """Whether the ratio lies within the band, either way: a tie."""
        return 1 / self.band < self.ratio < self.band

    @property
    def names(self) -> tuple[str, str]:
        """What the two designs are called in the sentences."""
        return compare_words.names(self.a, self.b)

    def parts(self, name: str) -> dict[str, float]:
        """Return what a factor is made of: {name: ratio}, which multiply to its own ratio; empty of a last one."""
        if name == PRICE:
            return {}
        messages.choice(name, FACTORS, "name")
        return contributions(FACTORS[name].parts, self.a, self.b)

    def __repr__(self):
        first, second = self.names
        return f"<Comparison: {first} over {second}, {self.ratio:.3g} in {self.by}>"


def compare(a: Design, b: Design, by: str = "torque", prices: Any = None, currency: str = "") -> Comparison:
    """Return two designs side by side: the ratio of what they give or take, and the factors that multiply to it.

    Parameters
    ----------
    a, b : Design
        of ``choose`` or ``size_for``: of one brief or two, of one kind or two
    by : str
        "torque", "power", "losses", "mass", "envelope", "cost" or a merit of ``choose``
    prices : dict, optional
        what a kilogram of every active material costs, {material: number}: "electrical sheet" for iron, names of
        ``scaling.ground.materials`` for the rest; there are none by default
    currency : str
        what prices are in, to be shown

    Returns
    -------
    Comparison

    Raises
    ------
    TypeError
        if ``a`` or ``b`` is not a Design, a price no number
    ValueError
        if ``by`` is unknown or wants prices that are not given; if a material is unknown or has no price

    Validity
    --------
    Factors are worked out from the designs' own figures and multiply to the ratio to rounding, whatever models miss. A
    tie is a ratio within the band of ``choose`` for two kinds; for two designs of one kind, and what has no band,
    within 1.05. Prices are of material in the finished part: no waste, no work.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> choice = choose(Brief(rotor_diameter="100 mm"))
    >>> found = compare(choice["hysteresis"], choice["reluctance"])
    >>> f"{found.ratio:.2f}", max(found.factors, key=found.factors.get)
    ('0.38', 'winding current')
    """
    for name, design in (("a", a), ("b", b)):
        if not isinstance(design, Design):
            expected = (
                "expected a Design, such as choose(brief)['induction'] (the best is None where no type meets a brief)"
            )
            raise TypeError(f"{name}: got {messages.shorten(design)}; {expected}")
    messages.choice(by, MEASURES, "by")
    if not isinstance(currency, str):
        raise TypeError(f"currency: got {messages.shorten(currency)}; expected a text, such as 'EUR'")
    priced = read_prices(prices, (a, b))
    if by == "cost" and not priced:
        raise ValueError(
            "prices: not given; expected what a kilogram of every active material costs, {material: number}"
        )
    money = Money((active_cost(a, priced), active_cost(b, priced)), currency.strip()) if priced else None
    return _compared(a, b, by, priced, money)


def _compared(a, b, by, prices, money):
    """Return the Comparison of what was read; ``money`` is None without prices."""
    ratios = {name: _ratio(a, b, name, money) for name in MEASURES if money or name != "cost"}
    ratio, band, made, last, said = ratios[by], _band(a, b, by), {}, {}, []
    if math.isfinite(ratio) and ratio > 0.0:
        if by == "cost":
            last = {PRICE: money.per_kilogram(a, b)}
        made = contributions(MEASURES[by].factors, a, b) | {name: times for name, (times, _) in last.items()}
        said.append(compare_words.sentence(a, b, by, ratio, MEASURES[by].factors, band, last))
    said += [*compare_words.without_torque(a, b), compare_yardstick.words(a, b, ratios, money)]
    return Comparison(
        a=a,
        b=b,
        by=by,
        ratio=ratio,
        factors=made,
        ratios=ratios,
        band=band,
        prices=prices,
        money=money,
        reason=" ".join(filter(None, said)),
        remarks=tuple(compare_words.remarks(a, b, by, ratios, money)),
    )


def _ratio(a, b, by, money):
    """Return the ratio of a measure, a over b; NaN where one of them does not run, or friction takes all."""
    if by == "cost":
        return money.costs[0] / money.costs[1]
    if by not in AT_REST and not all(design.values["torque"] > 0.0 for design in (a, b)):
        return math.nan
    value = MEASURES[by].value
    return float(value(a.values) / value(b.values))


def _band(a, b, by):
    """Return the factor within which two designs are level."""
    merit = BY_MERIT.get(by, by)
    if a.kind == b.kind or merit not in MERITS or a.brief is None:
        return bands.FLOOR
    besides = (START,) if YARDSTICK in (a.kind, b.kind) else ()
    return bands.tie_band(a.brief, a.kind, b.kind, merit, a.values["rotor_diameter"], besides)
