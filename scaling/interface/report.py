"""Choices and sweeps as tables: Markdown that a notebook renders and a file can hold."""

import functools
import math
from dataclasses import dataclass

from scaling.decision import field_groups, size_words
from scaling.decision.choose import choose
from scaling.decision.figures import FIGURES
from scaling.decision.heating import Heating
from scaling.decision.running import Running
from scaling.ground import messages, units


@dataclass(frozen=True)
class Markdown:
    """Markdown text that a notebook renders and ``print`` shows."""

    text: str

    def _repr_markdown_(self):
        return self.text

    def __str__(self):
        return self.text

    __repr__ = __str__


def _point(name, one):
    """Return a named point of a torque curve."""
    if name not in one.points:
        return "-"
    return f"{units.show(one.points[name].torque)} at {units.show(one.points[name].speed, 'rpm')}"


def _need(pull_in):
    """Return what a rotor needs to be pulled in."""
    return f"{pull_in.need:.3g} to {pull_in.certain:.3g}" if pull_in else "-"


def shown_figure(figure, design):
    """Return a figure of a design as the report shows it."""
    value = getattr(design, figure.name)
    if figure.shown_in == "%":
        return percent(value)
    if figure.shown_in == "integer":
        return f"{value}"
    return units.show(value, figure.shown_in or None) if figure.unit else f"{value:.2g}"


_ROWS = (  # label, function of a Design
    ("merit", lambda d: merit_text(d)),
    *((figure.label, functools.partial(shown_figure, figure)) for figure in FIGURES.values() if figure.label),
    ("rotor material", lambda d: d.material),
    ("limited by", lambda d: ", ".join(d.limited_by) or "its own optimum"),
    ("meets the brief", lambda d: "yes" if d.feasible else "no"),
    ("remarks", lambda d: "; ".join(d.reasons) or "none"),
)


_IN_FRAME = (  # of designs in a given outside or overall length
    ("rotor diameter", lambda d: units.show(d.rotor_diameter)),
    ("active length", lambda d: units.show(d.active_length)),
    ("slot depth", lambda d: units.show(d.slot_depth)),
    ("teeth over slot pitch", lambda d: percent(d.tooth_share)),
)


_SIZES = (
    ("rotor diameter", lambda d: units.show(d.rotor_diameter)),
    ("envelope", lambda d: size_words.amount(d.volume)),
    ("mass", lambda d: units.show(d.mass)),
    ("outside diameter", lambda d: units.show(d.outside_diameter)),
    ("length over end windings", lambda d: units.show(d.overall_length)),
    *((label, show) for label, show in _ROWS if label in ("torque", "speed", "power", "efficiency", "pole pairs")),
    *((label, show) for label, show in _ROWS if label in ("limited by", "meets the brief")),
)


_RUNNING_ROWS = (  # label, function of a Running
    *((name, functools.partial(_point, name)) for name in ("start", "pull-up", "pull-out", "running")),
    ("pull-out over load", lambda r: f"{r.overload:.3g}"),
    ("pull-in number", lambda r: f"{r.pull_in.number:.3g}" if r.pull_in else "-"),
    ("pull-in need, best angle to every angle", lambda r: _need(r.pull_in)),
    ("run-up time", lambda r: units.show(r.run_up.time, digits=3) if r.run_up else "-"),
    ("rotor heat of the run-up", lambda r: units.show(r.run_up.rotor_heat, digits=3) if r.run_up else "-"),
    ("starts", lambda r: "yes" if r.starts else "no"),
    ("holds", lambda r: "yes" if r.holds else "no"),
)


_HEATING_ROWS = (  # label, function of a Heating
    ("time constant", lambda h: _minutes(h.time_constant)),
    ("that of the winding ahead of the rest", lambda h: _minutes(h.fast_time_constant)),
    ("at rest", lambda h: _minutes(h.resting_time_constant)),
    ("winding's rise in the end, allowed", lambda h: f"{units.show(h.final_rise)}, {units.show(h.allowed_rise)}"),
)
_OVERLOADS = (  # of Heating, how its key is said
    ("from_cold", lambda key: f"{key:g} s from cold"),
    ("from_warm", lambda key: f"{key:g} s from warm"),
    ("short_time", lambda key: f"S2 {key:g} min"),
    ("intermittent", lambda key: f"S3 {100 * key:g} %"),
    ("intermittent_still", lambda key: f"S3 {100 * key:g} %, cooled as at rest in pauses"),
)


def _minutes(time):
    """Return a time in minutes, or below two in seconds."""
    return units.show(time, "min" if time.m_as("s") >= 120.0 else "s", digits=3)


def _times_current(overload):
    """Return what an overload lets flow."""
    return f"{overload.current:.3g} times the current" if math.isfinite(overload.current) else "-"


def percent(ratio):
    """Return a ratio as per cent or, when small, per mille."""
    if not math.isfinite(ratio):
        return "-"
    return f"{100 * ratio:.3g} %" if abs(ratio) >= 0.01 else f"{1000 * ratio:.2g} ‰"


def margin_text(made):
    """Return a choice's margin over the second type in words."""
    if not made.best:
        return "-"
    if not math.isfinite(made.margin):
        return "no rival"
    return f"margin {made.margin:.3g}" + (f", a tie below {made.band:.2g}" if made.is_level else "")


def merit_text(design):
    """Return a design's merit with its unit."""
    return f"{design.merit:.4g} {units.signs(design.merit_unit)}".removesuffix(" 1")


def as_table(headings, rows):
    """Return the lines of a Markdown table of texts."""
    head, *lines = ("|" + "".join(f" {cell} |" if cell else " |" for cell in row) for row in (headings, *rows))
    return [head, "|" + "---|" * len(headings), *lines]


def refuse_others(found, kind):
    """Refuse anything but records of a kind, one or more."""
    if not found or not all(isinstance(one, kind) for one in found):
        name, got = kind.__name__.lower(), messages.shorten(found)
        raise TypeError(f"{name}: got {got}; expected what {name}(choice, kind) returns, one or more")


def side_by_side(found, rows, words):
    """Return records as Markdown, ``rows`` of (label, function of a record) side by side, then what each has to say."""
    cells = [(label, *(show(one) for one in found)) for label, show in rows]
    lines = as_table(("", *(one.kind for one in found)), cells)
    for one in found:
        if told := words(one):
            lines += ["", f"**{one.kind.capitalize()}**", "", *(f"- {sentence}" for sentence in told)]
    return Markdown("\n".join(lines))


def _cell(design, show):
    if not math.isfinite(design.values["torque"]) and show not in (_ROWS[-1][1], _ROWS[-2][1]):
        return "-"
    return show(design)


def choice(made):
    """Return a choice as Markdown: the sentence, the remarks, and every type's figures side by side.

    Examples
    --------
    >>> from scaling import Brief
    >>> print(choice(choose(Brief(rotor_diameter="100 mm"))).text.splitlines()[0])
    **Choice: induction**, margin 1.27, by torque per volume.
    """
    kinds = [*made.ranking, *(kind for kind in made.designs if kind not in made.ranking)]
    head = (
        f"**Choice: {made.best.kind}**, {margin_text(made)}, by {made.merit}."
        if made.best
        else "**No type meets the brief.**"
    )
    lines = [head, "", made.reason, "", *(f"- {remark}" for remark in choice_remarks(made))]
    in_frame = _IN_FRAME if made.brief.leaves_frame_open or made.brief.overall_length is not None else ()
    rows = [(label, *(_cell(made[kind], show) for kind in kinds)) for label, show in (*in_frame, *_ROWS)]
    return Markdown("\n".join([*lines, "", *as_table(("", *kinds), rows)]))


def choice_remarks(made):
    """Yield a choice's remarks, then how it stands to the yardstick and to what is asked for."""
    yield from made.remarks
    if math.isfinite(made.yardstick):
        yield f"A magnet rotor, the yardstick, gives {made.yardstick:.3g} times the merit of the best of the three."
    if math.isfinite(made.torque_margin):
        yield f"Torque is {made.torque_margin:.3g} times what is asked for."
    if math.isfinite(made.power_margin):
        yield f"Power is {made.power_margin:.3g} times what is asked for."


def brief(asked):
    """Return a brief as a Markdown table: what was given, and of the rest what matters most.

    Examples
    --------
    >>> from scaling import Brief
    >>> print(brief(Brief(rotor_diameter="20 mm", ambient="10 degC")).text.splitlines()[-1])
    | ambient | 10 degC | given |
    """
    return Markdown("\n".join(as_table(("field", "value, with its unit", ""), brief_rows(asked))))


def brief_rows(asked):
    """Return (field, value, "given" or "default") of what is worth saying of a brief."""
    mine = field_groups.given(asked)
    return [
        (name.replace("_", " "), field_groups.written(asked, name), "given" if name in mine else "default")
        for name in field_groups.worth_saying(asked)
    ]


def choices(named, merit="torque per volume"):
    """Return a Markdown table with one row per named brief: {name: Brief}."""
    rows = []
    for name, brief in named.items():
        made = choose(brief, merit)
        outside = brief.si.outside_diameter
        size = units.show_si(brief.si.rotor_diameter, "m") if outside is None else f"in {units.show_si(outside, 'm')}"
        best = made.best.kind if made.best else "none"
        limited = ", ".join(made.best.limited_by) if made.best else "-"
        rows.append((name, size, best, margin_text(made), limited, made.reason))
    return Markdown("\n".join(as_table(("drive", "rotor", "best", "margin", "limited by", "why"), rows)))


def certainty(made):
    """Return how sure a choice is as Markdown: probabilities, margin, what to blame, and bands of crossovers.

    Examples
    --------
    >>> from scaling import Brief
    >>> from scaling import certainty as find
    >>> sure = find(Brief(rotor_diameter="100 mm", gap_floor="30 um +/- 10 um"), draws=1000)
    >>> print(certainty(sure).text.splitlines()[0])
    **Induction is the best in 100 % of 1000 draws**, by torque per volume.
    """
    likely = f"{made.best.capitalize()} is the best" if made.best else "No type meets the brief"
    lines = [f"**{likely} in {percent(made.probability[made.best])} of {made.draws} draws**, by {made.merit}.", ""]
    lines += [f"- {sentence}" for sentence in certainty_words(made)]
    shares = ("best in", *(percent(share) for share in made.probability.values()))
    lines += ["", *as_table(("", *(kind or "none" for kind in made.probability)), [shares])]
    if made.sensitivity:
        lines += ["", *_sensitivity_table(made)]
    if made.crossovers:
        lines += ["", *_band_table(made.crossovers)]
    return Markdown("\n".join(lines))


def _sensitivity_table(made):
    """Return the lines of the table that says what the variance comes from, the largest share first."""
    rows = []
    for name, blame in sorted(made.sensitivity.items(), key=lambda item: -item[1].total):
        shares = (percent(share) if share >= 0.01 else "under 1 %" for share in blame)
        rows.append((name, made.inputs[name].describe, *shares))
    return as_table(("uncertain", "known as", "its own share of the variance", "with its interactions"), rows)


def _band_table(bands):
    """Return the lines of the table of the sizes at which the best type changes."""
    rows = []
    for band in bands:
        most = max(band.sensitivity, key=lambda name: band.sensitivity[name].total) if band.sensitivity else "-"
        sizes = (units.show(size) for size in band.rotor_diameter)
        rows.append((band.below or "none", band.above or "none", *sizes, percent(band.share), most))
    headings = ("best below", "best above", "5 % point", "middle", "95 % point", "in", "most to blame")
    return as_table(headings, rows)


def certainty_words(made):
    """Return sentences on the margin, on what to measure first, and on how far the numbers can be trusted."""
    first = made.leading[0] if made.leading else ""
    low, median, high = made.margin
    if math.isfinite(median) and median > 0:
        most = f"{high:.3g}" if math.isfinite(high) else "no rival at all"
        yield (
            f"{first.capitalize()} has {median:.3g} times the merit of its best rival in the middle of the draws, "
            f"from {low:.3g} to {most} in nine of ten."
        )
    if made.is_level:
        yield (
            f"That lies within the {made.band:.2g} that assumptions of the model which were not drawn leave open: call "
            f"{made.leading[0]} and {made.leading[1]} level."
        )
    if made.sensitivity and any(blame.total > 0 for blame in made.sensitivity.values()):
        worst = max(made.sensitivity, key=lambda name: made.sensitivity[name].total)
        share = percent(made.sensitivity[worst].total)
        yield f"Knowing {worst} better helps most: it has a part in {share} of the variance of {made.varying}."
    for band in made.crossovers:
        if band.below and band.above:
            low, median, high = (units.show(size, digits=3) for size in band.rotor_diameter)
            sides = f"{band.above.capitalize()} overtakes {band.below}"
            yield f"{sides} at {median}, between {low} and {high} in nine of ten."
    if made.rough:
        yield (
            f"The surrogates behind this are off by {percent(made.surrogate_error)} in the margin and name another "
            f"winner in {percent(made.misjudged)} of the exact draws: take the probabilities as rough."
        )


def crossovers(table):
    """Return the crossovers of a sweep as a Markdown table."""
    rows = [(units.show(c.rotor_diameter), c.below or "none", c.above or "none", c.because) for c in table.crossovers]
    return Markdown("\n".join(as_table(("rotor diameter", "best below", "best above", "because"), rows)))


def sizing(made):
    """Return what every type needs to meet a brief, ``size_for(brief)``, as Markdown: the sentence, then a table.

    Examples
    --------
    >>> from scaling import Brief, size_for
    >>> found = size_for(Brief(rotor_diameter="20 mm", torque="2 N*m"), between=("50 mm", "150 mm"))
    >>> print(sizing(found).text.splitlines()[0])
    **Smallest: induction**, 1.578 dm³ with 78.57 mm rotor diameter, by envelope.
    """
    head = "**No type meets the brief at any size tried.**"
    if made.best:
        head = f"**Smallest: {made.best.kind}**, {size_words.shown(made, made.best)}, by {made.by}."
    lines = [head, "", made.reason, "", *(f"- {remark}" for remark in made.remarks), ""]
    kinds = [*made.ranking, *(kind for kind in made.designs if kind not in made.ranking)]
    rows = [(label, *(_cell(made[kind], show) for kind in kinds)) for label, show in _SIZES]
    rows.append(("rotors that meet the brief", *(spans(made.ranges[kind]) for kind in kinds)))
    rows.append(("what fails below", *(fails_below(made, kind) for kind in kinds)))
    return Markdown("\n".join([*lines, *as_table(("", *kinds), rows)]))


def spans(ranges):
    """Return the sizes that meet a brief."""
    return " and ".join(str(one) for one in ranges) or "none"


def fails_below(made, kind):
    """Return why a smaller machine of a type fails, or all of them."""
    return made.ranges[kind][0].below or "nothing tried" if made.ranges[kind] else made.misses[kind]


def running(*found):
    """Return how designs start, run up and hold as Markdown: named points side by side, then the verdicts in words.

    Parameters
    ----------
    found : Running
        each of ``running(choice, kind)``

    Raises
    ------
    TypeError
        for anything else, or nothing

    Examples
    --------
    >>> from scaling import Brief
    >>> from scaling.decision import running as operation
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> print(running(operation.running(made, "induction")).text.splitlines()[2])
    | start | 14.88 N·m at 0 rpm |
    """
    refuse_others(found, Running)
    return side_by_side(found, _RUNNING_ROWS, lambda one: (*one.verdicts, f"Assumed: {one.assumed}"))


def heating(*found):
    """Return how designs warm, and the overloads that they may bear for a while, as Markdown, side by side.

    Parameters
    ----------
    found : Heating
        each of ``heating(choice, kind)``

    Raises
    ------
    TypeError
        for anything else, or nothing

    Examples
    --------
    >>> from scaling import Brief
    >>> from scaling.decision import heating as warming
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> print(heating(warming.heating(made, "induction")).text.splitlines()[2])
    | time constant | 29.9 min |
    """
    refuse_others(found, Heating)
    overloads = (
        (said(key), lambda one, name=name, key=key: _times_current(getattr(one, name)[key]))
        for name, said in _OVERLOADS
        for key in getattr(found[0], name)
    )

    rise = "from warm the winding's mean rise goes up to"
    rows = *_HEATING_ROWS, *overloads
    return side_by_side(found, rows, lambda one: (f"{rise} {units.show(one.hot_limit)}", *one.cautions))
