"""Answers as a page to hand over, a text or a table: ``choice.save("choice.html")``, ``.md``, ``.csv``."""

import dataclasses
import math

from scaling.decision import field_groups, size_words
from scaling.decision.alternatives import ASSUMPTIONS
from scaling.decision.choose import Choice, competitors
from scaling.decision.lists import Choices
from scaling.decision.size_for import Sizing
from scaling.decision.sweep import Sweep
from scaling.ground import files, messages, units
from scaling.interface import page_csv, page_figures, page_html, page_words, report
from scaling.interface.page_parts import Bullets, Page, Section, Table, Words
from scaling.interface.page_tables import design_table, headed, in_one_unit, loss_table, number

SUFFIXES = ".html", ".md", ".csv"
CITE = (
    "Made with scaling {version}{date}. To cite: the scaling authors, scaling: which machine for a size, 2026, version "
    "{version}."
)
ROWS = 25  # of a sweep's table at most; a CSV file has all
SIZING = ("rotor_diameter", "outside_diameter", "overall_length", "volume", "mass", "torque", "speed", "power",
          "efficiency", "power_factor", "pole_pairs", "frequency", "gap", "winding_rise")  # fmt: skip


def save(answer, path, version, title="", date="", certainty=None, **options):
    """Write an answer to a file, whole or not at all.

    Parameters
    ----------
    answer : Choice, Choices, Sweep or Sizing
    path : str or path
        ends in .html, .md or .csv
    version : str
        of the package
    title, date : str
    certainty : Certainty, optional
    options : object
        these and others as in ``Choice.save``

    Raises
    ------
    TypeError, ValueError, FileNotFoundError
        as ``Choice.save``
    """
    place = files.checked(path, SUFFIXES)
    for name, text in (("title", title), ("date", date)):
        if not isinstance(text, str):
            raise TypeError(f"{name}: got {messages.shorten(text)}; expected a text")
    messages.choice(options.get("assumptions", page_words.MEASURED), page_words.HANGING, "assumptions")
    if certainty is not None:
        _check_certainty(answer, certainty)
    if place.suffix.lower() == ".csv":
        files.write(place, page_csv.table(answer, version, title, certainty))
        return
    more = options if certainty is None else options | {"certainty": certainty}
    made = PAGES[type(answer)](answer, title, **more)
    made = dataclasses.replace(made, foot=CITE.format(version=version, date=f", {date}" if date else ""))
    files.write(place, page_html.html(made) if place.suffix.lower() == ".html" else page_html.markdown(made))


def _check_certainty(choice, sure):
    """Refuse anything but a certainty of the choice's brief and merit; assumptions may be among what it draws."""
    if not (hasattr(sure, "probability") and hasattr(sure, "inputs")):
        raise TypeError(f"certainty: got {messages.shorten(sure)}; expected what certainty(brief) returns")
    mine, other = choice.brief, sure.brief
    drawn = {name for row in ASSUMPTIONS for name in row.fields if name in sure.inputs}
    differ = {
        name
        for names in field_groups.GROUPS.values()
        for name in names
        if getattr(mine, name) != getattr(other, name) and not (name in drawn and name not in field_groups.given(mine))
    }
    if differ or sure.merit != choice.merit:
        what = ", ".join(sorted(differ)) or "merit"
        raise ValueError(f"certainty: it is that of another brief or merit ({what}); expected certainty(choice.brief)")


def _lead(choice):
    """Return the facts on a choice's lead."""
    if len(choice.ranking) < 2:
        return [("Lead", "no rival meets the brief" if choice.ranking else "-")]
    lead = f"{choice.margin:.3g} times {choice.ranking[1]}, by {choice.merit}"
    verdict = "within it: a tie" if choice.is_level else "the lead is above it: a decision"
    return [("Lead", lead), ("Tie band", f"{choice.band:.3g}, {verdict}")]


def _facts(choice, certainty):
    best = choice.best
    if best is None:
        return (("Answer", "no kind meets the brief"), ("Compared by", choice.merit))
    at = f"{units.show(best.torque)} at {units.show(best.speed)}, {units.show(best.power)}"
    facts = [("Answer", best.kind), *_lead(choice), ("Gives", at)]
    facts.append(("What binds", ", ".join(best.limited_by) or "its own optimum"))
    if certainty is not None:
        share = report.percent(certainty.probability[certainty.best])
        facts.append(("Certainty", f"{certainty.best or 'none'} is the best in {share} of the draws"))
    return tuple(facts)


def _choice(choice, title, certainty=None, assumptions=page_words.MEASURED, curve=True):
    """Return the page of a choice."""
    designs = in_order(choice)
    curve = curve and (choice.feasible or not choice.brief.leaves_frame_open)  # in a frame that of the best's bore
    sections = [page_words.brief_section(choice.brief, half=curve)]
    if curve:
        table = page_figures.sweep_around(choice)
        drawn = page_figures.curve(table, table.brief.si.rotor_diameter)
        sections.append(Section("Merit against size", (drawn,), half=True))
    sections += _section_figures(choice, designs)
    sections.append(Section("Figures side by side", (design_table(designs, choice.merit),)))
    sections += [*_losses(designs), _reasons(choice, designs)]
    if certainty is not None:
        sections.append(page_words.certainty_section(certainty))
    hanging = page_words.hanging_section(choice, assumptions)
    sections += [hanging] if hanging else []
    sections += [page_words.sources_section(designs, choice.brief), page_words.caution_section()]
    name = title or (f"Which machine: {choice.best.kind}" if choice.best else "Which machine: none meets the brief")
    remarks = tuple(report.choice_remarks(choice))
    return Page(name, _facts(choice, certainty), choice.reason, remarks, tuple(sections))


def in_order(answer):
    """Return the designs of an answer: those that meet the brief, best first, then the others by merit."""
    competing = competitors(answer.brief, answer.designs)
    others = [design for kind, design in answer.designs.items() if kind not in answer.ranking]
    others.sort(key=lambda d: (d.kind not in competing, -d.merit if math.isfinite(d.merit) else math.inf))
    return [*(answer[kind] for kind in answer.ranking), *others]


def _section_figures(choice, designs):
    """Yield the sections that draw the two leading designs."""
    competing = competitors(choice.brief, choice.designs)
    for place, design in zip(("Best", "Second"), (d for d in designs if d.kind in competing), strict=False):
        drawn = page_figures.section(design, choice.briefs[design.kind], place.lower())
        if drawn:
            word = place if design.kind in choice.ranking else "Does not meet the brief"
            yield Section(f"{word}: {design.kind}", (drawn,), half=True)


def _losses(designs):
    """Return the section of losses, in a list; empty if no design has any."""
    heat = page_figures.losses(designs)
    return [Section("Losses", (heat, loss_table(designs)), pair=True)] if heat else []


def _reasons(choice, designs):
    """Return the section that says why each kind is in or out."""
    competing, rows = competitors(choice.brief, choice.designs), []
    for design in designs:
        state = ("yes" if design.feasible else "no") + (", yardstick only" if design.kind not in competing else "")
        bounds = ", ".join(design.limited_by) or ("its own optimum" if math.isfinite(design.merit) else "-")
        rows.append((design.kind, state, bounds, "; ".join(design.reasons) or "nothing to add"))
    head = ("kind", "meets the brief", "what binds", "reasons and remarks")
    return Section("Why each kind is in or out", (Table("", head, tuple(rows)),))


def _sweep(table, title):
    """Return the page of a sweep."""
    unit = units.signs(table.merit_unit)
    crossed = [(number(c.rotor_diameter.m_as("mm"), 4), c.below or "none", c.above or "none", c.because)
               for c in table.crossovers]  # fmt: skip
    changes = Table("", ("rotor diameter (mm)", "best below", "best above", "because"), tuple(crossed))
    places = range(table.rotor_diameters.size)
    places = places[:: math.ceil(len(places) / ROWS)]
    rows = []
    for i in places:
        best = str(table.best[i])
        bounds = ", ".join(table.limited_by[best][i]) if best else "-"
        merits = (number(table.merit[kind][i], 4) for kind in table.merit)
        rows.append((number(table.rotor_diameters[i].m_as("mm"), 4), best or "none", *merits, bounds))
    head = ("rotor diameter (mm)", "best", *(headed(kind, unit) for kind in table.merit), "what binds the best")
    by_size = f"{table.merit_name.capitalize()} of every kind, brief met or not"
    sections = (
        Section("Merit against size", (page_figures.curve(table),), half=True),
        page_words.brief_section(table.brief, "What was asked, at every size"),
        Section("Where the choice changes", (changes if crossed else Words("It does not change."),)),
        Section("Size by size", (Table(by_size, head, tuple(rows)),)),
        page_words.sources_section((), table.brief),
        page_words.caution_section(),
    )
    low, high = (units.show(table.rotor_diameters[i]) for i in (0, -1))
    facts = (("Sizes", f"{len(table.best)}, from {low} to {high}"), ("Compared by", table.merit_name))
    remarks = tuple(f"{change}." for change in table.crossovers)
    return Page(title or "Which machine for which size", facts, "", remarks, sections)


def _sizing(found, title):
    """Return the page of the smallest machines."""
    designs = in_order(found)
    rows = [(d.kind, report.spans(found.ranges[d.kind]), report.fails_below(found, d.kind)) for d in designs]
    ranges = Table("", ("kind", "rotors that meet the brief", "what fails below"), tuple(rows))
    figures = design_table(designs, "torque per volume", SIZING)
    drawn = (page_figures.section(found[kind], found.briefs[kind], f"section-{kind}") for kind in found.ranking[:2])
    sections = [
        page_words.brief_section(found.brief, "What was asked; of its size the proportions count"),
        Section("Sizes that meet the brief", (ranges,), half=True),
        *(
            Section(f"Smallest {kind}", (one,), half=True)
            for kind, one in zip(found.ranking, drawn, strict=False)
            if one
        ),
        Section("Figures side by side", (figures,)),
        *_losses(designs),
        page_words.sources_section(designs, found.brief),
        page_words.caution_section(),
    ]
    low, high = (units.show(size) for size in found.between)
    facts = [("Answer", found.best.kind if found.best else "no kind, at any size tried")]
    if found.best:
        lead = f"{found.margin:.3g} times as much, {found.ranking[1]}" if len(found.ranking) > 1 else "there is none"
        facts += [("Needs", size_words.shown(found, found.best)), ("The second needs", lead)]
    facts += [("Small by", found.by), ("Tried", f"{low} to {high}")]
    name = title or (f"The smallest machine: {found.best.kind}" if found.best else "The smallest machine: none")
    return Page(name, tuple(facts), found.reason, tuple(found.remarks), tuple(sections))


def _choices(made, title):
    """Return the page of a list of drives."""
    best = [one.best for one in made.values()]
    torque, speed = ([getattr(d, name) for d in best if d] for name in ("torque", "speed"))
    sign, torques = in_one_unit(torque, "N*m")
    turns, speeds = in_one_unit(speed, "rpm")
    texts = iter(zip(torques, speeds, strict=True))
    rows, asked = [], []
    for name, one in made.items():
        numbers = (*next(texts), number(100.0 * one.best.efficiency)) if one.best else ("-",) * 3
        lead = "tie, " * one.is_level + number(one.margin) if len(one.ranking) > 1 else "no rival" if one.best else "-"
        band = number(one.band)
        bounds = ", ".join(one.best.limited_by) if one.best else "-"
        size = number(1e3 * (one.best.brief if one.best else one.brief).si.rotor_diameter, 4)
        rows.append((name, size, one.best.kind if one.best else "none", lead, band, *numbers, bounds))
        mine = field_groups.given(one.brief)
        asked.append((name, ", ".join(f"{f.replace('_', ' ')} {field_groups.written(one.brief, f)}" for f in mine)))
    head = ("drive", "rotor (mm)", "best", "lead (1)", "tie band (1)", headed("torque", sign), headed("speed", turns),
            "efficiency (%)", "what binds")  # fmt: skip
    whys = [f"{name}: {' '.join((one.reason, *one.remarks))}" for name, one in made.items()]
    first = next(iter(made.values())).brief
    sections = (
        Section("Answers", (Table("", head, tuple(rows)),)),
        Section("Why", (Bullets(tuple(whys)),)),
        Section("What was asked", (Table("", ("drive", "given, with units; the rest at its default"), tuple(asked)),)),
        page_words.sources_section([d for d in best if d], first),
        page_words.caution_section(),
    )
    ties = sum(one.is_level for one in made.values())
    facts = (("Drives", str(len(made))), ("Ties", str(ties)), ("Compared by", made.merit))
    return Page(title or "Which machine for which drive", facts, "", (), sections)


PAGES = {Choice: _choice, Sweep: _sweep, Sizing: _sizing, Choices: _choices}
