"""What is known of a map: exact answers at some places, and surfaces through them for all others.

A type's merit is a surface through the logarithms found where it meets the brief; whether it does is the sign of
another, through how far it is from that, with zeros at the ends that were found.
"""

import itertools

import numpy as np

from scaling.decision.atlas_places import Exact, mesh
from scaling.decision.consistency import possible
from scaling.models.scattered import Through, apart

APART = 0.012  # of an axis: places that surfaces go through are no nearer
RIVAL = 0.7  # of the logarithm of merit: a type no farther behind the best matters
TRUSTED, DOUBTS = 0.1, 60  # error of such a type that is no doubt; cells searched once more, at most


class Explored(Exact):
    """A map as far as known: ``answers[kind]`` are exact, ``ends[kind]`` places where a type ceases to meet the brief.

    ``labels`` are numbers of ``kinds``, their count where no type meets the brief.
    """

    def __init__(self, brief, merit, axes, tell):
        super().__init__(brief, merit, axes, tell)
        self.answers = {}
        self.ends = {kind: np.empty((2, 0)) for kind in self.kinds}

    def add(self, kind, answers):
        """Keep answers."""
        self.answers[kind] = self.answers[kind].joined(answers) if kind in self.answers else answers

    def fit(self):
        """Lay the surfaces through what is known."""
        self.merits, self.able, self.off = {}, {}, {}
        for kind, known in self.answers.items():
            newest = np.arange(known.first.size)[::-1]
            order = newest[np.argsort(~known.first[newest], kind="stable")]  # the nearest to a border first
            u, meets = known.u[:, order], known.meets[order]
            kept = order[meets][apart(u[:, meets], APART)]
            surface = self.merits[kind] = Through(known.u[:, kept], known.log_merit[kept])
            self.off[kind] = np.full(known.first.size, np.nan)
            self.off[kind][kept] = np.abs(surface.left_out - surface.values)
            ends = self.ends[kind]
            if known.meets.all() or not known.meets.any():
                self.able[kind] = 1.0 if known.meets.all() else -1.0
                continue
            places = np.concatenate([ends, known.u[:, ~known.first]], axis=1)
            far = np.concatenate([np.zeros(ends.shape[1]), known.spare[~known.first]])
            kept = apart(places, APART)
            self.able[kind] = Through(places[:, kept], far[kept])

    def meets(self, kind, u):
        """Return where a type meets the brief, from its surface."""
        able = self.able[kind]
        return np.full(u.shape[1], able > 0.0) if isinstance(able, float) else able(u) > 0.0

    def scores(self, u):
        """Return the logarithms of merit (kinds, places) from the surfaces, minus infinity where the brief is not met.

        Fields that contradict each other are seen exactly.
        """
        fine = np.broadcast_to(possible(self.si(u)), u.shape[1:])
        rows = [np.where(fine & self.meets(kind, u), self.merits[kind](u), -np.inf) for kind in self.kinds]
        return np.nan_to_num(rows, nan=-np.inf, neginf=-np.inf)

    def labels(self, u):
        """Return the numbers of the best types."""
        return best_of(self.scores(u))

    def refine(self, grid):
        """Search the middles of the cells of a grid searched where the surfaces cannot be trusted, the worst first.

        That is where types that lead, or nearly, are told badly by the others, and where a winner is foreseen that
        wins at no corner of its cell.
        """
        doubt = np.zeros((len(grid[0]), len(grid[1])))
        scores = self.scores(mesh(grid))
        for row, kind in zip(scores, self.kinds, strict=True):
            off = self.off[kind][: row.size]  # the first answers are those of the grid
            matters = row > scores.max(axis=0) - RIVAL
            doubt = np.fmax(doubt, np.where(matters, off, 0.0).reshape(doubt.shape))
        doubt = np.max([doubt[:-1, :-1], doubt[1:, :-1], doubt[:-1, 1:], doubt[1:, 1:]], axis=0)
        wins = best_of(scores).reshape(len(grid[0]), len(grid[1]))
        corners = np.array([wins[:-1, :-1], wins[1:, :-1], wins[:-1, 1:], wins[1:, 1:]])
        middles = [(places[1:] + places[:-1]) / 2 for places in grid]
        for dx, dy in itertools.product((-0.3, 0.0, 0.3), repeat=2):
            u = mesh([place + d * np.diff(places) for place, d, places in zip(middles, (dx, dy), grid, strict=True)])
            doubt[np.all(self.labels(u).reshape(doubt.shape) != corners, axis=0)] += 1.0
        worst = np.argsort(-doubt.ravel(), kind="stable")[:DOUBTS]
        worst = worst[doubt.ravel()[worst] > TRUSTED]
        if worst.size:
            for kind in self.kinds:
                self.add(kind, self.search(kind, mesh(middles)[:, worst]))
            self.fit()

    def error(self):
        """Return {kind: middle error of its merit, relative, at places left out and told by the others}."""
        known = {kind: off[np.isfinite(off)] for kind, off in self.off.items()}
        return {kind: float(np.expm1(np.median(off))) if off.size else np.nan for kind, off in known.items()}

    def unmet(self, u, met):
        """Return the names of the checks that types fail at places (kinds, places), "" where one meets the brief.

        Each is that of the nearest place searched where the type fails.
        """
        names = np.full(met.shape, "", dtype=object)
        for row, ok, kind in zip(names, met, self.kinds, strict=True):
            known = self.answers[kind]
            fails = np.flatnonzero(~known.meets)
            if fails.size:
                x, y = known.u[:, fails, None] - u[:, None, ~ok]
                row[~ok] = known.unmet[fails[np.argmin(x**2 + y**2, axis=0)]]
        return names.astype(str)


def best_of(scores):
    """Return the numbers of the best types from scores (kinds, places): their count where none is finite."""
    return np.where(np.isfinite(scores).any(axis=0), scores.argmax(axis=0), len(scores))
