"""Array searches: every element of an array is its own one-dimensional problem."""

import numpy as np

GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


def root(rising, low, high, steps=40):
    """Return where an elementwise rising function crosses zero between low and high (the nearer end if it does not).

    False position, the end that stays put weighed half (the Illinois rule): a function that is nearly straight takes
    half a dozen steps.
    """
    low, high = np.broadcast_arrays(low, high)
    at_low, at_high = rising(low), rising(high)
    outside, where = (at_low >= 0.0) | (at_high <= 0.0), np.where(at_low >= 0.0, low, high)
    side = np.zeros(np.shape(at_low))
    x = where
    for _ in range(steps):
        with np.errstate(invalid="ignore", divide="ignore"):
            x = (low * at_high - high * at_low) / (at_high - at_low)
        x = np.clip(np.where(np.isfinite(x), x, 0.5 * (low + high)), low, high)
        at_x = rising(x)
        below = at_x < 0.0
        at_high, at_low = (
            np.where(below & (side < 0), 0.5 * at_high, np.where(below, at_high, at_x)),
            np.where(below, at_x, np.where(side > 0, 0.5 * at_low, at_low)),
        )
        low, high, side = np.where(below, x, low), np.where(below, high, x), np.where(below, -1, 1)
    return np.where(outside, where, x)


def maximise(merit, low, high, steps=24):
    """Return where an elementwise single-peaked function is largest between low and high, ends included.

    Golden section: 24 steps leave 1e-5 of the interval. NaN counts as worst.
    """

    def value(at):
        return np.nan_to_num(merit(at), nan=-np.inf)

    left, right = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    best, top = left, value(left)
    a, b = right - GOLDEN * (right - left), left + GOLDEN * (right - left)
    at_a, at_b = value(a), value(b)
    for at, found in ((right, value(right)), (a, at_a), (b, at_b)):
        best, top = np.where(found > top, at, best), np.maximum(found, top)
    for _ in range(steps):
        keep_left = at_a >= at_b
        left, right = np.where(keep_left, left, a), np.where(keep_left, b, right)
        new = np.where(keep_left, right - GOLDEN * (right - left), left + GOLDEN * (right - left))
        at_new = value(new)
        a, b = np.where(keep_left, new, b), np.where(keep_left, a, new)
        at_a, at_b = np.where(keep_left, at_new, at_b), np.where(keep_left, at_a, at_new)
        best, top = np.where(at_new > top, new, best), np.maximum(at_new, top)
    return best


def best_of(passed, value):
    """Return where the best candidate stands, for every element; NaN counts as worst.

    ``passed`` holds the checks along its first axis, ``value`` the candidates along its first. An earlier check counts
    before all that come later, the value last.
    """
    running = np.full(value.shape, True)
    for ok in passed:
        ahead = running & ok
        running = np.where(ahead.any(axis=0), ahead, running)
    value = np.maximum(np.nan_to_num(value, nan=-np.inf), -np.finfo(float).max)
    return np.where(running, value, -np.inf).argmax(axis=0)


def ranked(passed, value):
    """Return the candidates in order, the best first, for every element; arguments as `best_of`."""
    return np.lexsort((np.nan_to_num(value, nan=-np.inf), *passed[::-1]), axis=0)[::-1]


def chosen(array, index):
    """Return the elements of an array at an index along its first axis, for every place its own."""
    return np.take_along_axis(array, index[None], axis=0)[0]


def closer(trial, start, span, points):
    """Return (place, checks passed, value) of the best of a grid around a start in the unit cube, for every element.

    ``trial(*at)`` takes the coordinates of an open grid, one array for each variable with its points along an axis of
    its own, and returns (checks passed, value) of all combinations, as `best_of` takes them. ``start`` has the shape
    (variables, ...); the grid has ``points`` a variable, from -span to span.
    """
    variables, *shape = start.shape
    offsets = np.linspace(-span, span, points)
    offsets = offsets[np.argsort(np.abs(offsets))]  # of equal trials the first is taken: the nearest to the start
    at = []
    for i, centre in enumerate(start):
        own = offsets.reshape((1,) * i + (points,) + (1,) * (variables - 1 - i + len(shape)))
        at.append(np.clip(centre + own, 0.0, 1.0))
    grid, flat = (points,) * variables + tuple(shape), (points**variables, *shape)
    passed, value = trial(*at)
    value = np.broadcast_to(value, grid).reshape(flat)
    passed = np.array([np.broadcast_to(ok, grid).reshape(flat) for ok in passed])
    best = best_of(passed, value)
    places = np.unravel_index(best, (points,) * variables)
    place = [np.clip(centre + offsets[i], 0.0, 1.0) for centre, i in zip(start, places, strict=True)]
    return np.stack(place), np.array([chosen(ok, best) for ok in passed]), chosen(value, best)
