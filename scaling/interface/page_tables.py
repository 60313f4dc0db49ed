"""Tables of a page: numbers in one unit a row or column, which stands in its heading."""

import math

from scaling.decision.figures import FIGURES
from scaling.decision.performance import LOSSES
from scaling.decision.size_words import amount
from scaling.ground import units
from scaling.interface.page_parts import Table

NO_NUMBER = "-"
LABELLED = tuple(name for name, figure in FIGURES.items() if figure.label)


def in_one_unit(quantities, unit=None, digits=4):
    """Return (unit as printed, numbers as text) of quantities, in the unit that suits the first; "-" for NaN.

    Examples
    --------
    >>> in_one_unit([units.quantity(0.002, "N*m"), units.quantity(0.5, "N*m")])
    ('mN·m', ['2', '500'])
    """
    first = next((q for q in quantities if math.isfinite(q.magnitude) and q.magnitude), None)
    if first is None:
        return units.signs(unit or ""), [NO_NUMBER] * len(quantities)
    sign = units.show(first, unit, digits).partition(" ")[2]
    shown = [units.show(q, sign, digits).partition(" ")[0] for q in quantities]
    return sign, [text if math.isfinite(q.magnitude) else NO_NUMBER for q, text in zip(quantities, shown, strict=True)]


def number(value, digits=3):
    """Return a plain number as text; "-" for NaN."""
    return f"{value:.{digits}g}" if not math.isnan(value) else NO_NUMBER


def headed(label, unit):
    """Return a heading with its unit; (1) of a plain number."""
    return f"{label} ({unit or '1'})"


def figure_row(figure, designs, digits=4):
    """Return (heading with unit, text for every design) of a figure."""
    values = [design.values[figure.name] for design in designs]
    label = "envelope" if figure.name == "volume" else figure.label or figure.name.replace("_", " ")
    if figure.unit:
        quantities = [units.quantity(v, figure.unit) for v in values]
        unit = amount(quantities[0]).partition(" ")[2] if figure.name == "volume" else figure.shown_in
        sign, texts = in_one_unit(quantities, unit or None, digits)
        return headed(label, sign), *texts
    if figure.shown_in == "%":
        return headed(label, "%"), *(number(100.0 * v) for v in values)
    return headed(label, ""), *(number(v) for v in values)


def design_table(designs, merit, names=None):
    """Return the table of designs' figures side by side: those named, in that order, or all that have a label."""
    shown = [FIGURES[name] for name in names or (*LABELLED, "overall_length", "mass")]
    merit_row = headed(merit, units.signs(designs[0].merit_unit)), *(number(d.merit, 4) for d in designs)
    rows = [merit_row, *(figure_row(figure, designs) for figure in shown)]
    rows = [row for row in rows if set(row[1:]) != {NO_NUMBER}]
    rows.append(("rotor material", *(d.material if d.values["torque"] == d.values["torque"] else "-" for d in designs)))
    return Table("", ("figure (unit)", *(d.kind for d in designs)), tuple(rows))


def loss_table(designs):
    """Return the table of the designs' losses in one unit, those that none has left out, and their sum."""
    total = in_one_unit([units.quantity(d.values["loss"], "W") for d in designs])
    rows = []
    for name in (*(f"{name} loss" for name in LOSSES), "loss"):
        values = [units.quantity(d.values[name], "W") for d in designs]
        if any(q.magnitude > 0.0 for q in values):
            _, texts = in_one_unit(values, total[0] or None, digits=3)
            label = name.removesuffix(" loss") if name != "loss" else "all"
            rows.append((headed(label, total[0] or "W"), *texts))
    return Table("", ("loss (unit)", *(d.kind for d in designs)), tuple(rows))
