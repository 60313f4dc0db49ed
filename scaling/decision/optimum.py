"""For every type and size: the best free design inside the limits, in array form."""

from dataclasses import dataclass, field, replace

import numpy as np

from scaling.decision import limits
from scaling.decision.checks import AT_START, checked, score
from scaling.decision.figures import FIGURES
from scaling.decision.merits import MERITS, Merit
from scaling.decision.performance import Point
from scaling.machines import ROTORS, fed, stator
from scaling.machines.rotor import Objective, Rotor
from scaling.models.heat import grows_with_speed
from scaling.models.search import best_of, chosen, climbed, closer, ranked

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
CLOSE = 1e-9  # a synchronous speed equal to the speed asked for is inside, whatever the rounding
GRIDS = {  # variables of the operating point: (points of each, candidates of a size that are searched on)
    0: (),
    1: ((7, 16), (17, 8), (17, 4), (17, 4)),
    2: ((7, 16), *((9, 6),) * 8),
}
BEGUN = 2  # rounds of these before the rotor's lengths are searched, too
HOPELESS = -0.5  # spare at the start, relative, of a pull-in number: less than half of what is needed
SPAN = 0.2  # first steps where the rotor's lengths are searched
SPARE_ROUNDS = 5  # few variables want a few rounds more
CLIMBS = ((1, 4), (1.5, 2))  # (rounds per variable, candidates of a size that are searched on)


@dataclass(frozen=True)
class Best:
    """The best design of one type at every size: SI arrays along the sizes."""

    kind: str
    merit: np.ndarray
    feasible: np.ndarray
    figures: dict
    passed: dict
    limits: dict
    material: np.ndarray


def best_designs(si, diameters, merit, fixed_supply, kinds=None):
    """Return {kind: Best} for an array of rotor diameters [m]; ``si`` is a brief in SI.

    Numbers of ``si``, those of a pair too, may be arrays along the diameters: many briefs in one call.
    """
    sizes = np.atleast_1d(np.asarray(diameters, float))
    poles = POLE_PAIRS[:, None] if si.pole_pairs is None else np.atleast_2d(np.asarray(si.pole_pairs, float))
    laid_out = stator.round_stator(si, sizes, poles)
    fits = laid_out.fits.any(axis=1)
    if fits.any():
        laid_out = fed.take(laid_out, np.repeat(np.flatnonzero(fits)[:, None], sizes.size, axis=1))
    return {kind: _best(_task(ROTORS[kind], si, MERITS[merit], fixed_supply), laid_out) for kind in kinds or ROTORS}


@dataclass(frozen=True)
class _Task:
    """What is searched for one type, and how a trial is judged. Variables run from 0 to 1: frequency, then fraction,
    then what is free of the rotor, {name: place at which it begins}.

    Checks that are ``ignored`` do not count. What is ``held`` is not searched, {name: its place}.
    """

    rotor: Rotor
    merit: Merit
    fixed_supply: bool
    free_frequency: bool
    free_fraction: bool
    free: dict
    held: dict = field(default_factory=dict)
    ignored: frozenset = frozenset()

    def without_start(self):
        """Return the task of the best design that need not start."""
        held = {name: at for name, at in self.rotor.held_but_for_start if name in self.free}
        free = {name: at for name, at in self.free.items() if name not in held}
        return replace(self, free=free, held=held, ignored=AT_START)

    @property
    def variables(self):
        """Number of variables of the operating point."""
        return self.free_frequency + self.free_fraction

    def point(self, base, properties, u, coarse=False):
        """Return the Point at variables u; ``base`` is the stator fed at the lowest frequency.

        ``coarse`` lets a rotor leave out what costs time and changes its merit by some per cent. What is free of the
        rotor is where it begins if u ends before it.
        """
        places = dict(zip(self.free, u[self.variables :], strict=False))
        properties = properties | self.held | self.free | places
        low, high = properties["range"]
        if self.free and set(self.rotor.strength_by) & set(places):
            low, high = self.frequencies(base.stator, properties)
        supplied = base
        if self.free_frequency:
            supplied = fed.feed(base.stator, base.frequency * (np.maximum(low, high) / base.frequency) ** u[0])
        fraction = u[self.variables - 1] if self.free_fraction else 1.0
        supplied, operation = self.rotor.operate(supplied, properties, self.merit.objective, fraction, coarse)
        in_range = low <= high * (1 + CLOSE)
        return Point(
            self.rotor, supplied, operation, self.fixed_supply, properties, in_range, fraction, self.held | places
        )

    def frequencies(self, laid_out, properties):
        """Return (low, high) supply frequency of candidates."""
        rim_speed = self.rotor.rim_speed(laid_out, properties)
        return fed.frequency_range(laid_out, self.rotor.synchronous, rim_speed)

    def judge(self, point, passed):
        """Return (checks passed, value) of points, without the checks that are ignored."""
        return score(point, {name: ok for name, ok in passed.items() if name not in self.ignored}, self.merit)

    def trial(self, base, properties, u, coarse):
        """Return (checks passed, value) at variables u."""
        point = self.point(base, properties, u, coarse)
        return self.judge(point, checked(point, self.ignored))


def _task(rotor, si, merit, fixed_supply):
    # Core heat and friction rise with frequency: a synchronous rotor's torque is largest at the lowest, unless it
    # is cooled better at speed.
    by_torque = merit.objective in (Objective.TORQUE, Objective.ROOT_WATT)
    at_lowest = rotor.synchronous and by_torque and not grows_with_speed(si.cooling)
    return _Task(
        rotor=rotor,
        merit=merit,
        fixed_supply=fixed_supply,
        free_frequency=not fixed_supply and not at_lowest and not si.speed_is_exact,
        free_fraction=not rotor.full_fraction_is_best or merit.sparing,
        free=rotor.free(si, merit.sparing),
    )


def _best(task, laid_out):
    """Return the best design that meets the brief; where none can at the start, the best that would but for that."""
    lenient = task.without_start()
    point, names, _ = _search(lenient, laid_out)
    able = _picked(lenient, point, names)
    starts = np.all([able.passed[name] for name in AT_START & set(able.passed)], axis=0)
    if np.all(starts):
        return able  # what is best of all is best of those that start, if it does
    point, names, near = _search(task, laid_out)
    made = _picked(task, point, names)
    better = ~starts & near & np.all([made.passed[name] for name in AT_START & set(made.passed)], axis=0)

    def either(a, b):
        return {name: np.where(better, a[name], b[name]) for name in a}

    return Best(
        kind=able.kind,
        merit=np.where(better, made.merit, able.merit),
        feasible=np.where(better, made.feasible, able.feasible),
        figures=either(made.figures, able.figures),
        passed=either(made.passed, able.passed),
        limits=either(made.limits, able.limits),
        material=np.where(better, made.material, able.material),
    )


class _Candidates:
    """All materials with all pole pairs of a type and all places its search begins at, as numbers.

    Bounds of the search are kept once they are known.
    """

    def __init__(self, task, laid_out):
        rotor, si = task.rotor, laid_out.si
        named = [m for m in rotor.candidates(si) if m is not None and m.name == si.rotor_material]
        materials = named or rotor.candidates(si)
        made = [rotor.properties(m, si) for m in materials]
        self.poles, self.sizes = laid_out.D.shape
        self.begins = [task.free, task.free | other] if (other := self._other(task)) else [task.free]
        self.task, self.count, self.bounds = task, len(materials) * self.poles * len(self.begins), {}
        self.names = np.array([m.name for m in materials])
        self.made = {name: np.array([np.broadcast_to(m[name], self.sizes) for m in made]) for name in made[0]}
        lowest = np.minimum(*fed.frequency_range(laid_out, rotor.synchronous))
        self.base = fed.feed(laid_out, lowest)

    @staticmethod
    def _other(task):
        return {name: at for name, at in task.rotor.other_begin.items() if name in task.free}

    def begin(self, index):
        """Return where the search of the rotor's lengths begins, a list of arrays."""
        which = index % len(self.begins)
        return [np.array([places[name] for places in self.begins])[which] for name in self.task.free]

    def material(self, index):
        """Return the names of candidates' materials."""
        return self.names[index // (self.poles * len(self.begins))]

    def take(self, index):
        """Return (fed stator, properties) of candidates, for every size its own."""
        material, pole = index // (self.poles * len(self.begins)), index // len(self.begins) % self.poles
        properties = {name: np.take_along_axis(value, material, axis=0) for name, value in self.made.items()}
        properties |= {name: np.take_along_axis(value, index, axis=0) for name, value in self.bounds.items()}
        base = fed.take(self.base, pole)
        return base, properties | {
            "range": self.task.frequencies(base.stator, properties | self.task.held | self.task.free)
        }

    def bound(self, index, coarse):
        """Work out the bounds of the search of candidates, from coarse ones where there are any."""
        found = self.task.rotor.search_bounds(*self.take(index), self.task.merit.objective, coarse)
        for name, value in found.items():
            self.bounds.setdefault(name, np.empty((self.count, self.sizes)))
            np.put_along_axis(self.bounds[name], index, value, axis=0)


def _search(task, laid_out):
    """Search all candidates coarsely, the best ones finely.

    Return the last points, the names of their materials, and at which sizes a candidate came near to its start.
    """
    candidates = _Candidates(task, laid_out)
    bounded = task.rotor.search_bounds is not None and not task.free_frequency  # else they change from trial to trial
    index = np.broadcast_to(np.arange(candidates.count)[:, None], (candidates.count, candidates.sizes))
    u, span = np.full((task.variables, *index.shape), 0.5), 0.5
    for number, (points, kept) in enumerate(GRIDS[task.variables][: BEGUN if task.free else None]):
        coarse = number == 0  # the first round only chooses the candidates
        if bounded and number < 2:
            candidates.bound(index, coarse)
        some = candidates.take(index)
        begin = candidates.begin(index)
        u, passed, value = closer(
            lambda *at, some=some, coarse=coarse, begin=begin: task.trial(*some, (*at, *begin), coarse), u, span, points
        )
        order = ranked(passed, value)[:kept]
        index, *u = (np.take_along_axis(array, order, axis=0) for array in (index, *u))
        u = np.stack(u)
        span *= 2.5 / (points - 1)  # a little more than the distance of two points
    u = np.stack([*u, *candidates.begin(index)]) if task.free else u
    near = _near(task, candidates.take(index), u)
    for rounds, kept in CLIMBS if task.free and np.any(near) else ():
        some = candidates.take(index)
        u = climbed(lambda at, some=some: task.trial(*some, at, False), u, SPAN, int(rounds * len(u)) + SPARE_ROUNDS)
        order = ranked(*task.trial(*some, u, False))[:kept]
        index, *u = (np.take_along_axis(array, order, axis=0) for array in (index, *u))
        u = np.stack(u)
    return task.point(*candidates.take(index), u), candidates.material(index), near


def _near(task, some, u):
    """Return at which sizes a candidate comes near to its start, if that counts: lengths change it little."""
    if AT_START & task.ignored or not task.free:
        return np.full(some[0].stator.D.shape[1:], True)
    point = task.point(*some, u)
    return np.any((point.spare_at_start > HOPELESS) & np.isfinite(point.torque), axis=0)


def _picked(task, point, names):
    """Return the record of the winning candidate of every size."""
    passed, shape = checked(point), point.stator.D.shape
    winner = best_of(*task.judge(point, passed))
    columns = np.arange(winner.size)

    def pick(array):
        return np.broadcast_to(array, shape)[winner, columns]

    picked = {name: pick(ok) for name, ok in passed.items()}
    return Best(
        kind=task.rotor.kind,
        merit=pick(task.merit.value(point)),
        feasible=np.all(list(picked.values()), axis=0),
        figures={figure.name: pick(figure.value(point)) for figure in FIGURES.values()}
        | {f"place of {name}": pick(at) for name, at in point.places.items()},
        passed=picked,
        limits={name: pick(mask) for name, mask in limits.active(point).items()},
        material=chosen(names, winner),
    )
