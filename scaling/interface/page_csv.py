"""Answers as a table of SI figures in full, one row for every kind of machine, that ``read_briefs`` reads as briefs.

A column of the brief is named as its field; all others have a space in their names, which ``read_briefs`` passes over.
A number is written so that reading it back gives the same, to the last bit; nan and inf as Python writes them.
"""

import csv
import io
import math
from types import SimpleNamespace

from scaling.decision import field_groups
from scaling.decision.checks import failures
from scaling.decision.choose import Choice
from scaling.decision.figures import FIGURES
from scaling.decision.lists import Choices
from scaling.decision.size_for import Sizing
from scaling.decision.size_search import at_size
from scaling.decision.sweep import Sweep
from scaling.interface import report

DRIVE = "drive"


def table(answer, version, title="", certainty=None):
    """Return an answer as CSV.

    Parameters
    ----------
    answer : Choice, Choices, Sweep or Sizing
    version : str
        of the package
    title : str
        names the drive of a choice
    certainty : Certainty, optional
        of a choice: adds a column
    """
    rows = list(ROWS[type(answer)](answer, title))
    if certainty is not None:
        for row in rows:
            row.more["probability of being the best [1]"] = certainty.probability.get(row.kind, math.nan)
    fields = list(dict.fromkeys(name for row in rows for name in field_groups.given(row.brief)))
    more = list(dict.fromkeys(name for row in rows for name in row.more))
    head = [DRIVE, *fields, "kind of machine", *more, *map(figure_heading, FIGURES), "made with"]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    for row in rows:
        mine = field_groups.given(row.brief)
        asked = (field_groups.written(row.brief, name) if name in mine else "" for name in fields)
        told = (_cell(row.more.get(name, "")) for name in more)
        figures = (_cell(float(row.values[name])) for name in FIGURES)
        writer.writerow([row.name, *asked, row.kind, *told, *figures, f"scaling {version}"])
    return out.getvalue()


def figure_heading(name):
    """Return the heading of a figure: its name and its SI unit, [1] of a plain number.

    Examples
    --------
    >>> figure_heading("torque"), figure_heading("slip")
    ('torque [N*m]', 'slip [1]')
    """
    return f"{name} [{FIGURES[name].unit or '1'}]"


def _cell(value):
    """Return a value as text, a number in full."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return repr(float(value)) if isinstance(value, (int, float)) else str(value)


def _row(name, brief, kind, values, **more):
    return SimpleNamespace(name=name, brief=brief, kind=kind, values=values, more=more)


def _of_design(design, merit, rank):
    """Return what is told of a design beside its figures."""
    return {
        "rank [1]": rank,
        "meets the brief": design.feasible,
        "what binds": "; ".join(design.limited_by),
        "rotor material": design.material,
        "reasons and remarks": "; ".join(design.reasons),
        f"{merit} [{design.merit_unit}]": design.merit,
    }


def _choice(choice, title):
    """Yield the rows of a choice, the best kind first; a kind that does not compete or fails has no rank."""
    kinds = [*choice.ranking, *(kind for kind in choice.designs if kind not in choice.ranking)]
    for kind in kinds:
        design = choice[kind]
        rank = choice.ranking.index(kind) + 1 if kind in choice.ranking else math.nan
        more = _of_design(design, choice.merit, rank)
        more |= {"margin of the best [1]": choice.margin, "tie band [1]": choice.band}
        yield _row(title or DRIVE, choice.brief, kind, design.values, **more)


def _choices(made, title):
    for name, one in made.items():
        yield from _choice(one, name)


def _sizing(found, title):
    """Yield the rows of a sizing: every kind's own brief, whose size is the smallest; of a miss the brief asked."""
    kinds = [*found.ranking, *(kind for kind in found.designs if kind not in found.ranking)]
    for kind in kinds:
        design = found[kind]
        rank = found.ranking.index(kind) + 1 if kind in found.ranking else math.nan
        more = _of_design(design, "torque per volume", rank)
        more |= {"smallest by": found.by, "rotors that meet the brief": report.spans(found.ranges[kind])}
        more["what fails below"] = report.fails_below(found, kind)
        yield _row(kind, found.briefs.get(kind, found.brief), kind, design.values, **more)


def _sweep(swept, title):
    """Yield the rows of a sweep: every size, every kind."""
    for i, size in enumerate(swept.rotor_diameters.m_as("m")):
        brief = at_size(swept.brief, size)
        for kind, best in swept.found.items():
            feasible = bool(swept.feasible[kind][i])
            more = {
                "best at this size": str(swept.best[i]) == kind,
                "meets the brief": feasible,
                "what binds": "; ".join(swept.limited_by[kind][i]),
                "rotor material": str(best.material[i]),
                "reasons and remarks": "" if feasible else "; ".join(failures(best, i, swept.brief.si)),
                f"{swept.merit_name} [{swept.merit_unit}]": float(swept.merit[kind][i]),
            }
            values = {name: swept.figures[kind][name][i] for name in FIGURES}
            yield _row(f"{float(size)!r} m", brief, kind, values, **more)


ROWS = {Choice: _choice, Choices: _choices, Sizing: _sizing, Sweep: _sweep}
