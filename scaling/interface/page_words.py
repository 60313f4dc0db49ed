"""Sections that every page has: the brief, what the answer hangs on, sources, cautions."""

import math

from scaling.decision import assumptions as hanging
from scaling.decision import bands
from scaling.ground import materials, units
from scaling.interface import report
from scaling.interface.page_parts import Bullets, Section, Table, Words
from scaling.interface.page_tables import number

HANGING = MEASURED, WORKED_OUT, LEFT_OUT = "measured", "worked out", "left out"
MATTERS = 0.02  # of the logarithm of a lead: an assumption that changes it by less is named only
BESIDE = 1.02  # a second size, which the table of assumptions asks for
ALONE = (
    "kind meets the brief: what it asks decides, not a lead. Saved with assumptions='worked out', this section says "
    "which kind would be the best with each assumption of the model replaced."
)
CAUTION = (
    "A result is no design and no safety case. Mains and stored charge, spinning rotors, strong magnets near implants, "
    "hot surfaces and lifting gear can injure or kill. For anything built, follow the standards and codes that apply "
    "where you are and have work done by those licensed for it. Nothing here is meant for use in or on a body."
)
HELD = (
    "Kinds of machine are compared before design. Only induction has been held against machines as built (README and "
    "notebook 12 say how near it comes). In a ratio between kinds what both have wrong cancels; what touches one kind "
    "only does not: the tie band tells how much of a lead that leaves open. "
    "Left out: the power of separate fans and pumps, noise, price."
)


def brief_section(brief, heading="What was asked", half=True):
    """Return the section of a brief: what was given, and of the rest what matters most."""
    rows = report.brief_rows(brief)
    note = "All other fields are at their defaults; Brief.describe() lists them with their reasons."
    return Section(heading, (Table("", ("field", "value, with its unit", "given?"), tuple(rows)), Words(note)), half)


def hanging_section(choice, wanted):
    """Return the section on what a choice hangs on, as measured or worked out; None if it is left out."""
    heading = "What the answer hangs on"
    if wanted == LEFT_OUT:
        return None
    if wanted == WORKED_OUT:
        return _worked_out(choice, heading)
    if len(choice.ranking) < 2:
        return Section(heading, (Words(f"{'One' if choice.ranking else 'No'} {ALONE}"),))
    pair = choice.ranking[:2]
    found = bands.changes_at(choice.brief, *pair, choice.merit)
    told = (
        f"The lead of {pair[0]} over {pair[1]} with one assumption of the model replaced by its alternative, over that "
        f"without, as measured at this size for a plain brief. All together leave {choice.band:.2f} open: the tie band."
    )
    rows = [(row, (number(factor),), math.log(factor)) for row, factor in found if factor > 0.0]
    return Section(heading, _hanging_blocks(rows, ("lead times (1)",), told))


def _worked_out(choice, heading):
    """Return the section from twenty choices of this brief itself."""
    size = choice.brief.si.rotor_diameter
    found = hanging.assumptions(choice.brief, units.quantity([size, BESIDE * size], "m"), choice.merit)
    first, second = found.leaders[0]
    plain = str(found.plain.best[0])
    told = (
        f"The lead of {first} over {second} with one assumption of the model replaced by its alternative, over that "
        f"without, and which kind then is the best; worked out for this brief. Together they leave "
        f"{max(bands.FLOOR, found.band[0]):.2f} open."
    )
    rows = []
    for row in found.rows:
        best = str(row.best[0])
        change = math.log(row.change[0]) if row.change[0] > 0.0 else 0.0
        rows.append((row.assumption, (number(row.change[0]), best or "none"), change if best == plain else math.inf))
    return Section(heading, _hanging_blocks(rows, ("lead times (1)", "best then"), told))


def _hanging_blocks(rows, head, told):
    """Return a table of the assumptions that matter, most first, and the names of the others."""
    rows = sorted(rows, key=lambda row: -abs(row[2]))
    shown = [
        (row.name, row.taken, row.alternative, *cells, row.status) for row, cells, far in rows if abs(far) > MATTERS
    ]
    small = ", ".join(row.name for row, _, far in rows if abs(far) <= MATTERS)
    blocks = [Words(told)]
    if shown:
        blocks.append(Table("", ("assumption", "taken", "instead", *head, "where it stands"), tuple(shown)))
    if small:
        blocks.append(Words(f"Under {100 * MATTERS:.0f} % of the lead: {small}."))
    return tuple(blocks)


def sources_section(designs, brief, heading="Sources"):
    """Return the section on where formulas and the materials of designs and brief come from."""
    known = materials.CONDUCTORS | materials.LOOP_MATERIALS | materials.MAGNETS
    names = dict.fromkeys(name for name in (brief.conductor, *(d.material for d in designs)) if name in known)
    items = [f"{name}: {known[name].source}." for name in names]
    items += [
        "Formulas: each names its source and validity, as help(scaling.laws.induction.goodness) shows; what the "
        "project derived itself a test derives again.",
        "Practice and standards: beside each field in Brief.describe(), 'from memory' where not seen.",
    ]
    return Section(heading, (Bullets(tuple(items)),), half=True, small=True)


def caution_section():
    """Return the section of cautions."""
    return Section("Cautions", (Words(CAUTION), Words(HELD)), half=True, small=True)


def certainty_section(sure):
    """Return the section on how sure a choice is."""
    shares = ", ".join(f"{kind or 'none'} {number(100.0 * share)} %" for kind, share in sure.probability.items())
    told = f"The best in so many of {sure.draws} draws (seed {sure.seed}): {shares}."
    blocks = [Bullets((told, *report.certainty_words(sure)))]
    if sure.sensitivity:
        order = sorted(sure.sensitivity, key=lambda name: -sure.sensitivity[name].total)
        rows = [
            (
                name.replace("_", " "),
                sure.inputs[name].describe,
                *(number(100.0 * max(0.0, s)) for s in sure.sensitivity[name]),
            )
            for name in order
        ]
        head = ("uncertain", "known as", "alone (%)", "with others (%)")
        blocks.append(Table(f"What the variance of {sure.varying} comes from", head, tuple(rows)))
    return Section("How sure", tuple(blocks), pair=True)
