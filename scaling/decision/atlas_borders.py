"""The borders of a map, followed on the lines of a grid to their roots by exact searches."""

from dataclasses import dataclass

import numpy as np

from scaling.decision.atlas_places import mesh
from scaling.decision.atlas_surface import APART
from scaling.models.borders import borders, crossed

FINE = 1.001e-3  # of an axis: an end of meeting the brief is known so well
LEVEL = 1e-3  # of the logarithm of the lead: merits cross where it is less, as well as the search finds them
WIDENED = 0.008, 0.04, 0.2  # of an axis, about an end foreseen: brackets tried
INNER = 0.25, 0.5, 0.75  # of a bracket, searched in every round
ROUNDS = 4  # of following borders
SHARP = 161  # points along either axis on which borders are put in order
HALVINGS = 16  # of an edge, to place a border of the surfaces


@dataclass(frozen=True)
class Crossing:
    """Where a border of the surfaces crosses a line of the grid: at ``u``, running ``along`` axis 0 or 1.

    ``pair`` are the labels before and after, ``ends`` is (type, 1) if that type meets the brief before it only,
    (type, -1) after it only, None where merits cross.
    """

    u: np.ndarray
    along: int
    pair: tuple
    ends: tuple | None

    def moved(self, coordinate):
        """Return the place at another coordinate along the line."""
        u = self.u.copy()
        u[self.along] = coordinate
        return u


class Borders:
    """Borders of what is ``known``, an Explored: ``roots`` are {(label, label): list of places}."""

    def __init__(self, known):
        self.known, self.roots = known, {}

    def follow(self, grid):
        """Find the roots of the borders on the lines of a grid, both axes' places; return the chains of their places.

        Every round traces the borders of the surfaces and searches there, until all crossings are known. A lead that
        is not found so, for a merit leaps or bends, is bracketed at the end.
        """
        for number in range(ROUNDS):
            crossings = [one for one in self._traced(grid).values() if self._root(one) is None]
            if not crossings:
                break
            leads = [one for one in crossings if one.ends is None]
            if number < ROUNDS - 1:
                self._find_leads(leads)
                self._find_ends([one for one in crossings if one.ends is not None])
            elif leads:
                self._bracket_leads(leads)
            self.known.fit()
        return self._chains()

    def _traced(self, grid):
        """Return {edge: Crossing} of the surfaces' borders on the lines of a grid."""
        labels = self.known.labels(mesh(grid)).reshape(len(grid[0]), len(grid[1]))
        found = list(crossed(labels))
        if not found:
            return {}
        start = np.array([[grid[0][i], grid[1][j]] for _, i, j in found]).T
        along = np.array([name == "y" for name, _, _ in found], int)
        step = np.zeros(start.shape)
        for n, (name, i, j) in enumerate(found):
            step[along[n], n] = np.diff(grid[along[n]])[i if name == "x" else j]
        first, low, high = self.known.labels(start), np.zeros(len(found)), np.ones(len(found))
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            same = self.known.labels(start + middle * step) == first
            low, high = np.where(same, middle, low), np.where(same, high, middle)
        below, above = start + low * step, start + high * step
        second = self.known.labels(above)
        able = {kind: (self.known.meets(kind, below), self.known.meets(kind, above)) for kind in self.known.kinds}
        made = {}
        for n, edge in enumerate(found):
            pair = int(first[n]), int(second[n])
            ends = None
            for label, side in zip(pair, (1, 0), strict=True):  # a type that ends or begins here
                if ends is None and label < len(self.known.kinds) and not able[self.known.kinds[label]][side][n]:
                    ends = self.known.kinds[label], 1 if side else -1
            made[edge] = Crossing((below[:, n] + above[:, n]) / 2, int(along[n]), pair, ends)
        return made

    def _root(self, crossing):
        """Return the root that a crossing of the surfaces stands for, None if it is not found yet."""
        roots = self.roots.get(tuple(sorted(crossing.pair)), ())
        near = [root for root in roots if np.hypot(*(root - crossing.u)) < APART]
        return min(near, key=lambda root: np.hypot(*(root - crossing.u))) if near else None

    def _keep(self, crossing, root):
        self.roots.setdefault(tuple(sorted(crossing.pair)), []).append(root)

    def _find_leads(self, crossings):
        """Search both types where their merits should cross; it is a root if they do, else one more place known."""
        found = {}
        for label in sorted({label for one in crossings for label in one.pair}):
            own = [n for n, one in enumerate(crossings) if label in one.pair]
            answers = self.known.search(self.known.kinds[label], np.array([crossings[n].u for n in own]).T)
            self.known.add(self.known.kinds[label], answers.marked(True))
            found |= {(n, label): log for n, log in zip(own, answers.log_merit, strict=True)}
        for n, one in enumerate(crossings):
            if abs(found[n, one.pair[0]] - found[n, one.pair[1]]) < LEVEL:
                self._keep(one, one.u)

    def _find_ends(self, crossings):
        """Find where a type begins or ceases to meet the brief, all crossings of a type at once."""
        for kind in sorted({one.ends[0] for one in crossings}):
            own = [one for one in crossings if one.ends[0] == kind]
            sense = np.array([one.ends[1] for one in own])  # the brief is met below, 1, or above, -1

            def meets(u, kind=kind):
                return self.known.search(kind, u).meets

            met = []
            for one, inside, outside in _brackets(own, sense, lambda which, u, meets=meets: meets(u)):
                root = one.moved((inside + outside) / 2)
                self.known.ends[kind] = np.column_stack([root, self.known.ends[kind]])
                self._keep(one, root)
                met.append(one.moved(inside))
            if met:
                self.known.add(kind, self.known.search(kind, np.array(met).T).marked(True))

    def _bracket_leads(self, crossings):
        """Find where one type overtakes another by brackets."""
        firsts, seconds = np.array([one.pair for one in crossings]).T

        def leads(which, u):
            scores = np.full((2, u.shape[1]), -np.inf)
            for row, labels in zip(scores, (firsts[which], seconds[which]), strict=True):
                for label in np.unique(labels):
                    own = labels == label
                    row[own] = np.nan_to_num(
                        self.known.search(self.known.kinds[label], u[:, own]).log_merit, nan=-np.inf
                    )
            return scores[0] > scores[1]

        known = {}
        for one, below, above in _brackets(crossings, np.ones(len(crossings)), leads):
            root = one.moved((below + above) / 2)
            self._keep(one, root)
            for label in one.pair:
                known.setdefault(self.known.kinds[label], []).append(root)
        for kind, roots in known.items():
            self.known.add(kind, self.known.search(kind, np.array(roots).T).marked(True))

    def _chains(self):
        """Return {(label, label): chains of places}: the roots in their order along the borders of the surfaces.

        Where three borders meet a chain ends at a place of the surfaces.
        """
        place = np.linspace(0.0, 1.0, SHARP)
        made = {}
        for pair, chains in borders(self.known.labels(mesh((place, place))).reshape(SHARP, SHARP)).items():
            traced = [np.array([_middle(edge) for edge in chain]) for chain in chains]
            whose = np.repeat(np.arange(len(traced)), [len(each) for each in traced])
            along, found = np.vstack(traced), [[] for _ in traced]
            for root in self.roots.get(pair, ()):
                far = np.hypot(*(along - root).T)
                nearest = int(far.argmin())
                if far[nearest] < APART:
                    found[whose[nearest]].append((nearest, root))
            for chain, each, roots in zip(chains, traced, found, strict=True):
                places = [root for _, root in sorted(roots, key=lambda one: one[0])]
                first, last = ([each[n]] if chain[n][0] == "joint" else [] for n in (0, -1))
                closed = places[:1] if chain[0] == chain[-1] else []
                if places and len(first + places + last + closed) > 1:
                    made.setdefault(pair, []).append(np.array([*first, *places, *last, *closed]).T)
        return made


def _middle(edge):
    """Return the middle of an edge of the sharp grid, or of the cell of a joint."""
    name, i, j = edge
    return np.array([i + 0.5 * (name != "y"), j + 0.5 * (name != "x")]) / (SHARP - 1)


def _brackets(crossings, sense, holds):
    """Return (crossing, coordinate where something just holds, where it just does not) of those that have an end.

    ``holds(which, u)`` tells it of places on the lines of the crossings of these numbers; below a crossing it should
    hold where ``sense`` is 1, above it where it is -1.
    """
    at = np.array([one.u[one.along] for one in crossings])
    inside, outside = (np.full(at.shape, np.nan) for _ in range(2))

    def ask(which, coordinates):
        if not which.size:
            return np.empty(0, bool)
        return holds(which, np.array([crossings[n].moved(v) for n, v in zip(which, coordinates, strict=True)]).T)

    for width in WIDENED:
        for side, known in ((-1, inside), (1, outside)):
            missing = np.flatnonzero(np.isnan(known))
            tried = np.clip(at + side * sense * width, 0.0, 1.0)[missing]
            for n, place, held in zip(missing, tried, ask(missing, tried), strict=True):
                (inside if held else outside)[n] = place
    found = np.isfinite(inside) & np.isfinite(outside)
    while (open_ := np.flatnonzero(found & (np.abs(outside - inside) > FINE))).size:
        tried = inside[open_] + np.array(INNER)[:, None] * (outside - inside)[open_]
        held = ask(np.tile(open_, len(INNER)), tried.ravel()).reshape(tried.shape)
        for n, places, each in zip(open_, tried.T, held.T, strict=True):
            count = each.size if each.all() else int(each.argmin())  # how many in a row hold
            ends = np.concatenate([[inside[n]], places, [outside[n]]])
            inside[n], outside[n] = ends[count], ends[count + 1]
    return [(crossings[n], inside[n], outside[n]) for n in np.flatnonzero(found)]
