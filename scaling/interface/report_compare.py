"""Two designs side by side as Markdown: what they give and take, what makes the difference, what they are made of."""

import math

from scaling.decision import compare_words
from scaling.decision.compare import MEASURES, PRICE, Comparison
from scaling.decision.compare_words import PREFIXES
from scaling.decision.factors import FACTORS
from scaling.decision.masses import active_masses
from scaling.decision.performance import PARTS
from scaling.ground import messages, units
from scaling.interface.report import Markdown, as_table, percent

SAME = 5e-4  # logarithm of a ratio below which a factor is left out of the table
INDENT = "\u2003"


def comparison(made):
    """Return ``compare(a, b)`` as Markdown: the sentences, every measure with its ratio, factors, parts and masses.

    Parameters
    ----------
    made : Comparison
        of ``compare(a, b)``

    Returns
    -------
    Markdown

    Raises
    ------
    TypeError
        for anything else

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision.compare import compare
    >>> choice = choose(Brief(rotor_diameter="100 mm"))
    >>> made = compare(choice["induction"], choice["reluctance"], "mass")
    >>> print(comparison(made).text.splitlines()[2])
    | | induction | reluctance | ratio |
    """
    if not isinstance(made, Comparison):
        raise TypeError(f"made: got {messages.shorten(made)}; expected what compare(a, b) returns")
    first, second = made.names
    lines = [made.reason, ""]
    lines += as_table(("", first, second, "ratio"), [*_measures(made), *_masses(made)])
    if made.factors:
        heading = f"what makes {compare_words.number(made.ratio)} times in {made.by}"
        lines += ["", *as_table((heading, first, second, "ratio"), [*_factors(made), _product(made)])]
    lines += ["", *(f"- {remark}" for remark in made.remarks)]
    return Markdown("\n".join(lines).rstrip())


def _measures(made):
    """Yield a row for every measure, the one asked for in bold."""
    for name, ratio in made.ratios.items():
        if name == "cost":
            cells = [made.money.shown(cost) for cost in made.money.costs]
        else:
            cells = [_measured(name, design) for design in (made.a, made.b)]
        label = f"**{name}**" if name == made.by else name
        yield label, *cells, _ratio(ratio)


def _measured(name, design):
    """Return a measure of a design as text."""
    measure = MEASURES[name]
    found = float(measure.value(design.values))
    if not math.isfinite(found):
        return "-"
    if name in ("efficiency", "power per volt-ampere"):
        return percent(found)
    if "/" in measure.unit:
        return f"{float(f'{found:.4g}'):.15g} {units.signs(measure.unit)}"
    return compare_words.in_one_unit(units.quantity(found, measure.unit))


def _masses(made):
    """Yield a row for every active part, with its material and, with prices, its cost."""
    both = [active_masses(design) for design in (made.a, made.b)]
    for name in PARTS:
        if any(name in parts for parts in both):
            yield f"{INDENT}mass of {name}", *(_part(made, parts.get(name)) for parts in both), _mass_ratio(name, both)


def _part(made, part):
    """Return an active part as text."""
    if part is None:
        return "-"
    cost = made.money and made.money.shown(made.prices[part.material] * part.mass.m_as("kg"))
    return f"{units.show(part.mass, digits=3)} {part.material}" + (f", {cost}" if cost else "")


def _mass_ratio(name, both):
    first, second = (parts.get(name) for parts in both)
    return _ratio(float(first.mass / second.mass)) if first and second else "-"


def _factors(made):
    """Yield a row for every factor that differs, followed by its parts, indented."""
    factors = MEASURES[made.by].factors
    if PRICE in made.factors:
        yield PRICE, *_prices(made), f"**{_ratio(made.factors[PRICE])}**"
    for name, power in factors.items():
        if abs(math.log(made.factors[name])) > SAME:
            yield f"{PREFIXES[power]}{name}", *_values(made, name), f"**{_ratio(made.factors[name])}**"
            yield from _parts(made, name, power, 1)


def _parts(made, name, power, depth):
    """Yield rows for the parts of a factor to a power, which multiply to its row, and for theirs."""
    for part, ratio in made.parts(name).items():
        if abs(math.log(ratio)) > SAME:
            own = power * FACTORS[name].parts[part]
            yield f"{INDENT * depth}{PREFIXES[own]}{part}", *_values(made, part), _ratio(ratio**power)
            if part not in made.factors:  # else it has a row of its own, with its parts
                yield from _parts(made, part, own, depth + 1)


def _values(made, name):
    return [compare_words.value(name, design) for design in (made.a, made.b)]


def _prices(made):
    return [
        made.money.shown(cost / design.values["mass"])
        for cost, design in zip(made.money.costs, (made.a, made.b), strict=True)
    ]


def _product(made):
    return "all together", "", "", f"**{_ratio(math.prod(made.factors.values()))}**"


def _ratio(ratio):
    return compare_words.number(ratio) if math.isfinite(ratio) else "-"
