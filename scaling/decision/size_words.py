"""What ``size_for`` found, in words."""

from dataclasses import dataclass

from scaling.decision.choose import competitors
from scaling.decision.compare_words import in_one_unit as amount
from scaling.ground import units
from scaling.machines import YARDSTICK

APART = 2e-3  # of the diameter: more than the search leaves open


@dataclass(frozen=True)
class Measure:
    """What a machine is small by: the figure of a design, how it is said, and the unit with which it is shown."""

    figure: str
    phrase: str


MEASURES = {
    "envelope": Measure("volume", "the smallest envelope"),
    "mass": Measure("mass", "the least mass"),
    "rotor diameter": Measure("rotor_diameter", "the smallest rotor"),
}


def shown(made, design):
    """Return what a design needs by the measure asked for, with its rotor diameter."""
    size = f"{units.show(design.rotor_diameter)} rotor diameter"
    return size if made.by == "rotor diameter" else f"{amount(made.need(design.kind))} with {size}"


def span(one):
    """Return a range of sizes as text."""
    low, high = units.show(one.smallest), units.show(one.largest)
    if one.below and one.above:
        return f"from {low} to {high}"
    if one.below:
        return f"from {low} on"
    return f"up to {high}" if one.above else "at every size tried"


def reason(made):
    """Return the sentence that says which type needs least, or why none will do."""
    missed = [kind for kind in competitors(made.brief, made.designs) if kind not in made.ranking]
    excluded = "; ".join(f"{kind}: {made.misses[kind]}" for kind in missed)
    low, high = (units.show(size) for size in made.between)
    if not made.ranking:
        return f"No type meets the brief at any size from {low} to {high}. {excluded}."
    least = f"{made.best.kind.capitalize()} needs {MEASURES[made.by].phrase}, {shown(made, made.best)}"
    if len(made.ranking) > 1:
        second = made[made.ranking[1]]
        least += f"; {second.kind} needs {made.margin:.3g} times as much, {shown(made, second)}"
    return f"{least}." + (f" No size will do of {excluded}." if missed else "")


def remarks(made):
    """Return sentences on other measures, several ranges, ends of what was tried, and the yardstick."""
    for measure in MEASURES.values():
        first = min(made.ranking, key=lambda kind: made[kind].values[measure.figure], default=None)
        if first and made[first].values[measure.figure] < made.best.values[measure.figure] * (1 - 1e-3):
            need = amount(getattr(made[first], measure.figure))
            least = amount(getattr(made.best, measure.figure))
            yield f"Of these machines {first} has {measure.phrase}, {need} against {least} of {made.best.kind}."
    for kind, ranges in made.ranges.items():
        if ranges and kind in competitors(made.brief, made.designs):
            yield from _on_ranges(made, kind, ranges)
    if YARDSTICK not in competitors(made.brief, made.designs):
        yield _yardstick(made)
    if made.brief.uncertainties:
        yield f"Taken at the middle of what is known of {', '.join(made.brief.uncertainties)}."


def _on_ranges(made, kind, ranges):
    name, first = kind.capitalize(), ranges[0]
    if made[kind].rotor_diameter > first.smallest * (1 + APART):
        yield (
            f"{name} would do with a rotor of {units.show(first.smallest)}; one of "
            f"{units.show(made[kind].rotor_diameter)} with {made[kind].pole_pairs} pole pair(s) needs less {made.by}."
        )
    if len(ranges) > 1:
        gaps = "; ".join(f"above {units.show(one.largest)} {one.above}" for one in ranges[:-1])
        yield f"{name} meets the brief {' and '.join(map(span, ranges))}: {gaps}."
    elif first.above:
        yield f"Above {units.show(first.largest)} {kind} fails: {first.above}."
    if not first.below:
        yield f"{name} meets the brief at {units.show(made.between[0])} already: give a smaller size in `between`."


def _yardstick(made):
    design = made[YARDSTICK]
    if not design.feasible:
        return f"A magnet rotor, the yardstick, meets the brief nowhere: {made.misses[YARDSTICK]}."
    return f"A magnet rotor, the yardstick, would need {shown(made, design)}."
