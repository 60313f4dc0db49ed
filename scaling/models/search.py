"""Array searches: every element of an array is its own one-dimensional problem."""

import numpy as np

GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


def bisect(rising, low, high, steps=40):
    """Return where an elementwise rising function crosses zero between low and high (the nearer end if it does not)."""
    low, high = np.broadcast_arrays(low, high)
    for _ in range(steps):
        middle = 0.5 * (low + high)
        below = rising(middle) < 0.0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high)


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
