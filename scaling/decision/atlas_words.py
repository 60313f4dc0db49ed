"""A map in words: which type is best where, where the choice changes, and what meets the brief nowhere."""

import numpy as np

PLACES = 3  # of a border that are told
SMALL = 0.005  # of the map: a part that is told by itself


def words(made):
    """Return the sentences for a map."""
    x, y = made.axes
    ends = [f"{axis.words} from {axis.told(axis.low)} to {axis.told(axis.high)}" for axis in (x, y)]
    told = [f"Best type by {made.merit_name} over {ends[0]} and {ends[1]}."]
    parts = [one for one in made.regions if one.share >= SMALL]
    for kind in dict.fromkeys(one.best for one in parts if one.best):
        own = [one for one in parts if one.best == kind]
        places = " and ".join(_place(made, one) for one in own)
        told.append(f"{kind.capitalize()} is best on {_percent(sum(one.share for one in own))} of the map, {places}.")
    for one in (one for one in parts if not one.best):
        told.append(f"None meets the brief on {_percent(one.share)}, {_place(made, one)}: {_reason(one)}")
    for pair, lines in made.boundaries.items():
        told.append(_border(made, pair, max(lines, key=lambda line: len(line[0]))))
    told.append(_margins(made))
    return " ".join(told)


def _place(made, region):
    return f"about {_at(made, region.x, region.y)}"


def _at(made, x, y):
    """Return a place as text; quantities or plain numbers."""
    each = ((axis, getattr(one, "magnitude", one)) for axis, one in zip(made.axes, (x, y), strict=True))
    return " and ".join(axis.told(value) for axis, value in each)


def _percent(share):
    return f"{100 * share:.0f} %"


def _reason(region):
    return region.reason.removeprefix("No type meets the brief. ").rstrip(".") + "."


def _border(made, pair, line):
    """Return the sentence on one border, at some places along it."""
    x, y = line
    at = np.unique(np.round(np.linspace(0, len(x) - 1, min(PLACES, len(x)))).astype(int))
    places = "; ".join(_at(made, x[i], y[i]) for i in at)
    if "" in pair:
        return f"{max(pair).capitalize()} ceases to meet the brief, and so do all, at {places}."
    return f"{pair[0].capitalize()} and {pair[1]} change places at {places}."


def _margins(made):
    won = made.best != ""
    if not won.any():
        return "No type meets the brief anywhere on it."
    several = np.isfinite(made.margin)
    level = f"On {_percent(np.mean(made.is_level))} of the map the lead is too small to call."
    alone = np.mean(np.isinf(made.margin))
    if not several.any():
        return "Nowhere do two types meet the brief."
    low, high = np.quantile(made.margin[several], [0.5, 1.0])
    lead = f"Where two meet the brief the lead is {low:.3g} times in the middle and {high:.3g} at most."
    return f"{lead} {level}" + (f" On {_percent(alone)} one type alone meets the brief." if alone >= SMALL else "")
