"""For every type and size: the best free design inside the limits, in array form."""

from dataclasses import dataclass, replace

import numpy as np

from scaling.decision import limits
from scaling.decision.checks import AT_START, checked, score
from scaling.decision.figures import FIGURES
from scaling.decision.merits import MERITS, Merit
from scaling.decision.performance import Point
from scaling.machines import ROTORS, stator
from scaling.machines.rotor import Objective, Rotor
from scaling.models.heat import grows_with_speed
from scaling.models.search import best_of, chosen, closer, ranked

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
CLOSE = 1e-9  # a synchronous speed equal to the speed asked for is inside, whatever the rounding
ROUNDS = {  # number of variables: (points tried in every variable, candidates of a size that are searched on)
    0: (),
    1: ((7, 12), (17, 6), (17, 4), (17, 4)),
    2: ((7, 12), *((9, 4),) * 8),
}


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
        laid_out = stator.take(laid_out, np.repeat(np.flatnonzero(fits)[:, None], sizes.size, axis=1))
    return {kind: _best(_task(ROTORS[kind], si, MERITS[merit], fixed_supply), laid_out) for kind in kinds or ROTORS}


@dataclass(frozen=True)
class _Task:
    """What is searched for one type, and how a trial is judged. Variables run from 0 to 1: frequency, then fraction.

    Checks that are ``ignored`` do not count.
    """

    rotor: Rotor
    merit: Merit
    fixed_supply: bool
    free_frequency: bool
    free_fraction: bool
    ignored: frozenset = frozenset()

    @property
    def variables(self):
        """Number of free variables."""
        return self.free_frequency + self.free_fraction

    def point(self, base, properties, u, coarse=False):
        """Return the Point at variables u; ``base`` is the stator fed at the lowest frequency.

        ``coarse`` lets a rotor leave out what costs time and changes its merit by some per cent.
        """
        rim_speed = self.rotor.rim_speed(base.stator, properties)
        low, high = stator.frequency_range(base.stator, self.rotor.synchronous, rim_speed)
        fed = base
        if self.free_frequency:
            fed = stator.feed(base.stator, base.frequency * (np.maximum(low, high) / base.frequency) ** u[0])
        fraction = u[-1] if self.free_fraction else 1.0
        fed, operation = self.rotor.operate(fed, properties, self.merit.objective, fraction, coarse)
        return Point(self.rotor, fed, operation, self.fixed_supply, properties, low <= high * (1 + CLOSE), fraction)

    def judge(self, point, passed):
        """Return (checks passed, value) of points, without the checks that are ignored."""
        return score(point, {name: ok for name, ok in passed.items() if name not in self.ignored}, self.merit)

    def trial(self, base, properties, u, coarse):
        """Return (checks passed, value) at variables u."""
        point = self.point(base, properties, u, coarse)
        return self.judge(point, checked(point))


def _task(rotor, si, merit, fixed_supply):
    # Core heat and friction rise with frequency: a synchronous rotor's torque is largest at the lowest, unless it
    # is cooled better at speed.
    by_torque = merit.objective in (Objective.TORQUE, Objective.ROOT_WATT)
    at_lowest = rotor.synchronous and by_torque and not grows_with_speed(si.cooling)
    return _Task(
        rotor=rotor,
        merit=merit,
        fixed_supply=fixed_supply,
        free_frequency=not fixed_supply and not at_lowest,
        free_fraction=not rotor.full_fraction_is_best or merit.sparing,
    )


def _best(task, laid_out):
    """Return the best design that meets the brief; where none can at the start, the best that would but for that."""
    found = _search(task, laid_out)
    made = _picked(task, *found)
    lost = ~np.all([made.passed[name] for name in AT_START & set(made.passed)], axis=0)
    if not np.any(lost):
        return made
    lenient = replace(task, ignored=AT_START)
    # Without variables all candidates are at hand.
    other = _picked(lenient, *(_search(lenient, laid_out) if task.variables else found))

    def either(a, b):
        return {name: np.where(lost, b[name], a[name]) for name in a}

    return Best(
        kind=made.kind,
        merit=np.where(lost, other.merit, made.merit),
        feasible=made.feasible & ~lost,
        figures=either(made.figures, other.figures),
        passed=either(made.passed, other.passed),
        limits=either(made.limits, other.limits),
        material=np.where(lost, other.material, made.material),
    )


class _Candidates:
    """All materials with all pole pairs of a type, as numbers; bounds of the search are kept once they are known."""

    def __init__(self, task, laid_out):
        rotor, si = task.rotor, laid_out.si
        named = [m for m in rotor.candidates(si) if m is not None and m.name == si.rotor_material]
        materials = named or rotor.candidates(si)
        made = [rotor.properties(m, si) for m in materials]
        self.poles, self.sizes = laid_out.D.shape
        self.task, self.count, self.bounds = task, len(materials) * self.poles, {}
        self.names = np.array([m.name for m in materials])
        self.made = {name: np.array([np.broadcast_to(m[name], self.sizes) for m in made]) for name in made[0]}
        lowest = np.minimum(*stator.frequency_range(laid_out, rotor.synchronous))
        self.base = stator.feed(laid_out, lowest)

    def take(self, index):
        """Return (fed stator, properties) of candidates, for every size its own."""
        material = index // self.poles
        properties = {name: np.take_along_axis(value, material, axis=0) for name, value in self.made.items()}
        properties |= {name: np.take_along_axis(value, index, axis=0) for name, value in self.bounds.items()}
        return stator.take(self.base, index % self.poles), properties

    def bound(self, index, coarse):
        """Work out the bounds of the search of candidates, from coarse ones where there are any."""
        found = self.task.rotor.search_bounds(*self.take(index), self.task.merit.objective, coarse)
        for name, value in found.items():
            self.bounds.setdefault(name, np.empty((self.count, self.sizes)))
            np.put_along_axis(self.bounds[name], index, value, axis=0)


def _search(task, laid_out):
    """Search all candidates coarsely, the best ones finely; return the last points and the names of their materials."""
    candidates = _Candidates(task, laid_out)
    bounded = task.rotor.search_bounds is not None and not task.free_frequency  # else they change from trial to trial
    index = np.broadcast_to(np.arange(candidates.count)[:, None], (candidates.count, candidates.sizes))
    u, span = np.full((task.variables, *index.shape), 0.5), 0.5
    for number, (points, kept) in enumerate(ROUNDS[task.variables]):
        coarse = number == 0  # the first round only chooses the candidates
        if bounded and number < 2:
            candidates.bound(index, coarse)
        some = candidates.take(index)
        u, passed, value = closer(lambda *at, some=some, coarse=coarse: task.trial(*some, at, coarse), u, span, points)
        order = ranked(passed, value)[:kept]
        index, *u = (np.take_along_axis(array, order, axis=0) for array in (index, *u))
        u = np.stack(u)
        span *= 2.5 / (points - 1)  # a little more than the distance of two points
    return task.point(*candidates.take(index), u), candidates.names[index // candidates.poles]


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
        figures={figure.name: pick(figure.value(point)) for figure in FIGURES.values()},
        passed=picked,
        limits={name: pick(mask) for name, mask in limits.active(point).items()},
        material=chosen(names, winner),
    )
