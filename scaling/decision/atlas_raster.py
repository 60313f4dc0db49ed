"""A map on a grid of points, from what was searched: winners, margins, ties, and the parts they make."""

import numpy as np

from scaling.decision.atlas_places import mesh
from scaling.decision.atlas_surface import best_of
from scaling.decision.bands import tie_band


def rastered(explored, points):
    """Return the arrays of an Atlas with so many points along either axis, by name.

    Points that were searched bear what was found there.
    """
    place = np.linspace(0.0, 1.0, points)
    u, shape = mesh((place, place)), (points, points)
    scores, searched = explored.scores(u), np.zeros(points**2, bool)
    for row, kind in zip(scores, explored.kinds, strict=True):
        known = explored.answers[kind]
        near = np.round(known.u * (points - 1))
        own = np.flatnonzero(~known.first & (np.abs(known.u * (points - 1) - near) < 1e-9).all(axis=0))
        at = (near[0] * points + near[1]).astype(int)[own]
        row[at] = np.where(known.meets[own], known.log_merit[own], -np.inf)
        searched[at] = True
    names = np.array([*explored.kinds, ""])
    order = np.argsort(-scores, axis=0, kind="stable")
    lead = np.take_along_axis(scores, order[:2], axis=0)
    with np.errstate(invalid="ignore"):
        margin = np.exp(lead[0] - lead[1]) if len(scores) > 1 else np.exp(lead[0] * np.inf)
    x, y = explored.axes
    met = np.isfinite(scores)
    unmet = explored.unmet(u, met)
    return {
        "x": x.quantity(x.value(place)),
        "y": y.quantity(y.value(place)),
        "best": names[best_of(scores)].reshape(shape),
        "merit": _each(explored.kinds, np.where(met, np.exp(scores), np.nan), shape),
        "margin": margin.reshape(shape),
        "feasible": _each(explored.kinds, met, shape),
        "is_level": (margin < _band(explored, u, order[:2], np.isfinite(lead).all(axis=0))).reshape(shape),
        "unmet": _each(explored.kinds, unmet, shape),
        "searched": searched.reshape(shape),
    }


def _each(kinds, rows, shape):
    return {kind: row.reshape(shape) for kind, row in zip(kinds, rows, strict=True)}


def _band(explored, u, leading, two):
    """Return the factor of a tie of the leading two at every point; NaN where there are no two."""
    brief, kinds = explored.typical(), explored.kinds
    besides = tuple(axis.name for axis in explored.axes)
    si = explored.si(u)
    sizes, which = np.unique(np.broadcast_to(si.rotor_diameter, two.shape), return_inverse=True)
    band = np.full(two.shape, np.nan)
    for a, b in {(int(a), int(b)) for a, b in leading[:, two].T}:
        own = two & (leading[0] == a) & (leading[1] == b)
        by_size = np.full(sizes.size, np.nan)
        for n in np.unique(which[own]):
            by_size[n] = tie_band(brief, kinds[a], kinds[b], explored.merit, float(sizes[n]), besides)
        band[own] = by_size[which[own]]
    return band


def regions_of(labels):
    """Return [(share, (i, j))] of the connected parts of a grid of labels, the largest first.

    (i, j) is the point of a part that is farthest from its edge.

    Examples
    --------
    >>> regions_of(np.array([[0, 0, 0, 1], [0, 0, 0, 1], [0, 0, 0, 1]]))
    [(0.75, (1, 1)), (0.25, (1, 3))]
    """
    depth = _depth(labels)
    left, found = np.ones(labels.shape, bool), []
    for start in zip(*np.indices(labels.shape).reshape(2, -1), strict=True):
        if not left[start]:
            continue
        left[start], part = False, [start]
        for node in part:
            for other in _beside(node, labels.shape):
                if left[other] and labels[other] == labels[start]:
                    left[other] = False
                    part.append(other)
        i, j = np.array(part).T
        deepest = depth[i, j] == depth[i, j].max()
        far = np.hypot(i - i[deepest].mean(), j - j[deepest].mean())
        at = np.argmin(np.where(deepest, far, np.inf))
        found.append((len(part) / labels.size, (int(i[at]), int(j[at]))))
    return sorted(found, key=lambda one: -one[0])


def _depth(labels):
    """Return how many steps every point is from one of another label or from outside the grid."""
    padded = np.pad(np.ones(labels.shape, int), 1)
    inside = np.ones(labels.shape, bool)
    depth = np.zeros(labels.shape, int)
    same = [np.pad(np.ones(labels.shape, bool), 1)[1:-1, 1:-1] for _ in range(4)]
    same[0][1:], same[1][:-1] = (labels[1:] == labels[:-1] for _ in range(2))
    same[2][:, 1:], same[3][:, :-1] = (labels[:, 1:] == labels[:, :-1] for _ in range(2))
    while inside.any():
        depth += inside
        padded[1:-1, 1:-1] = inside
        shifted = padded[:-2, 1:-1], padded[2:, 1:-1], padded[1:-1, :-2], padded[1:-1, 2:]
        for near, alike in zip(shifted, same, strict=True):
            inside = inside & (near > 0) & alike
    return depth


def _beside(node, shape):
    i, j = node
    near = ((i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1))
    return [(n, m) for n, m in near if 0 <= n < shape[0] and 0 <= m < shape[1]]
