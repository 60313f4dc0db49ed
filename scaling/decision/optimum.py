"""For every type and size: the best free design inside the limits, in array form."""

from dataclasses import dataclass, fields, replace

import numpy as np

from scaling.decision import frame, limits
from scaling.decision.checks import AT_START, checked
from scaling.decision.figures import FIGURES
from scaling.decision.merits import MERITS
from scaling.decision.task import Candidates, task_of
from scaling.machines import ROTORS, fed, stator
from scaling.models.climb import climbed
from scaling.models.search import best_of, chosen, closer, ranked

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
GRIDS = {  # variables of the operating point: (points of each, candidates of a size that are searched on)
    0: (),
    1: ((7, 16), (17, 8), (17, 4), (17, 4)),
    2: ((7, 16), *((9, 6),) * 8),
}
FIRST = {0: 1, 1: 7, 2: 5}  # points of each where the rotor's lengths are searched by climbs after the first grid
CLIMBS = ((8, 3), (4, 4), (2, 10))  # (candidates of a size, rounds beside half the variables)
BOUNDED = ((14, 3), (7, 6), (4, 10))  # the same where a check bounds the lengths
FRAMED = ((24, 3), (8, 6), (3, 12))  # the same where bore and slots are open too
HOPELESS = -0.5  # spare at the start, relative, of a pull-in number: less than half of what is needed
SPAN = 0.2  # first steps where the rotor's lengths are searched
NEAR, NEARBY = 0.05, 1  # first steps and rounds where a search goes on from designs of a brief that differs a little
WORTH = 2.0, 10.0  # of slack in the ranking before the first climb, and after it


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
    places: dict  # of the variables searched, from 0 to 1
    lenient: np.ndarray  # found without regard to the start

    def at(self, index):
        """Return the record at some of its sizes."""
        return _each(lambda value: value[..., index], self)


def best_designs(si, diameters, merit, fixed_supply, kinds=None, near=None):
    """Return {kind: Best} for an array of rotor diameters [m]; ``si`` is a brief in SI.

    Numbers of ``si``, those of a pair too, may be arrays along the diameters: many briefs in one call. From ``near``, a
    {kind: Best} at the same diameters of a brief that differs a little, the search goes on from its designs alone:
    quicker, and as good as long as nothing leaps.
    """
    sizes = np.atleast_1d(np.asarray(diameters, float))
    poles = POLE_PAIRS[:, None] if si.pole_pairs is None else np.atleast_2d(np.asarray(si.pole_pairs, float))
    laid_out = stator.round_stator(si, sizes, poles)
    fits = _fitting(laid_out)
    if fits.any():
        laid_out = fed.take(laid_out, np.repeat(np.flatnonzero(fits)[:, None], sizes.size, axis=1))
    tasks = {kind: task_of(ROTORS[kind], si, MERITS[merit], fixed_supply) for kind in kinds or ROTORS}
    if near is not None:
        return {kind: _nearby(task, laid_out, near[kind]) for kind, task in tasks.items()}
    return {kind: _best(task, laid_out) for kind, task in tasks.items()}


def _fitting(laid_out):
    """Return which pole pairs fit at any of the sizes, in a frame with any of the bores that searches begin with."""
    si = laid_out.si
    each = (frame.machines_at(si, begin) for begin in frame.begins(si)) if si.open_in_frame else (si,)
    made = (stator.round_stator(one, one.rotor_diameter, laid_out.p) if one is not si else laid_out for one in each)
    return np.any([np.any(one.fits, axis=1) for one in made], axis=0)


def _best(task, laid_out):
    """Return the best design that meets the brief; where none can at the start, the best that would but for that."""
    lenient = task.without_start()
    quicker = len(lenient.free) < len(task.free) or not task.start_counts
    first, second = (lenient, task) if quicker else (task, lenient)
    made = _picked(first, *_search(first, laid_out))
    fails = np.flatnonzero(~_starts(made))
    if not fails.size:
        return made
    other = _picked(second, *_search(second, fed.at_sizes(laid_out, fails)))
    better = _starts(other) | (second is lenient)
    return _patched(made, other.at(better), fails[better])


def _nearby(task, laid_out, near):
    """Return the best design near one of a brief that differs a little, with regard to the start where that had it."""
    if near.lenient.all():
        task = task.without_start()
    elif task.start_counts:
        task = replace(task, waived=near.lenient)
    return _picked(task, *_search_on(task, laid_out, near))


def _each(change, *records):
    """Return the Best whose arrays are ``change`` of those of others."""

    def changed(*values):
        if isinstance(values[0], dict):
            return {name: changed(*(value.get(name, values[0][name]) for value in values)) for name in values[0]}
        return change(*values)

    names = [f.name for f in fields(Best) if f.name != "kind"]
    return replace(records[0], **{name: changed(*(getattr(one, name) for one in records)) for name in names})


def _patched(made, other, where):
    """Return a record with another's in place of its own at some sizes."""

    def patch(value, better):
        value = value.astype(np.promote_types(value.dtype, better.dtype))
        value[where] = better
        return value

    return _each(patch, made, other)


def _starts(best):
    """Return at which sizes a design passes what is asked of its start."""
    return np.all([best.passed[name] for name in AT_START & set(best.passed)] or [best.feasible | True], axis=0)


def _search(task, laid_out):
    """Search all candidates coarsely, the best ones finely.

    Return the last points, the names of their materials and the variables.
    """
    candidates = Candidates(task, laid_out)
    if task.free:
        index, u = _climb(task, candidates)
    else:
        index, u = _narrow(task, candidates)
    return task.point(*candidates.take(index), u), candidates.material(index), u


def _search_on(task, laid_out, near):
    """Search on from a design at every size, with its pole pairs, one step fewer and one more."""
    candidates = Candidates(task, laid_out)
    index = candidates.beside(near)
    u = np.array([np.broadcast_to(near.places[name], index.shape) for name in task.names]).reshape(-1, *index.shape)
    if task.rotor.search_bounds is not None and not task.free_frequency:
        candidates.bound(index, False)
    some = candidates.take(index)
    if task.free:
        u = climbed(lambda at: task.trial(*some, at, False), u, NEAR, NEARBY)
    elif len(u):
        u, *_ = closer(lambda *at: task.trial(*some, at, False)[:2], u, NEAR, 5)
    return task.point(*some, u), candidates.material(index), np.array(u)


def _narrow(task, candidates):
    """Return the best candidates and their variables by ever finer grids."""
    bounded = task.rotor.search_bounds is not None and not task.free_frequency  # else they change from trial to trial
    index, u, span = candidates.all(), candidates.middle(), 0.5
    for number, (points, kept) in enumerate(GRIDS[task.variables]):
        coarse = number == 0  # the first round only chooses the candidates
        if bounded and number < 2:
            candidates.bound(index, coarse)
        some = candidates.take(index)
        u, passed, value = closer(
            lambda *at, some=some, coarse=coarse: task.trial(*some, at, coarse)[:2], u, span, points
        )
        index, u = _best_few(index, u, ranked(passed, value)[:kept])
        span *= 2.5 / (points - 1)  # a little more than the distance of two points
    return index, u


def _climb(task, candidates):
    """Return the best candidates and their variables: by a grid at first, then by climbs from its best."""
    index, u = candidates.all(), candidates.middle()
    some, begin = candidates.take(index), candidates.begin(index)
    u, *_ = closer(lambda *at: task.trial(*some, (*at, *begin), True)[:2], u, 0.5, FIRST[task.variables])
    u = np.stack([*u, *begin])
    order = ranked(*task.trial(*some, u, True).hopes(WORTH[0]))
    first, at_first = _best_few(index, u, order[:1])
    climbs, near = FRAMED if task.open_in_frame else BOUNDED if task.is_bounded else CLIMBS, None
    for number, (kept, rounds) in enumerate(climbs):
        index, u = _best_few(index, u, order[:kept])
        some = candidates.take(index)
        if number == 0:
            near = _is_near(task, some, u)
            if not near.any():
                break
        u = climbed(lambda at, some=some: task.trial(*some, at, False), u, SPAN / (1 + number), rounds + len(u) // 2)
        verdict = task.trial(*some, u, False)
        order = ranked(*(verdict.hopes(WORTH[1]) if number == 0 else verdict[:2]))
    return np.where(near, index, first), np.where(near, u, at_first)  # a size by itself, whatever others are with it


def _best_few(index, u, order):
    """Return candidates and variables in an order."""
    index, *u = (np.take_along_axis(array, order, axis=0) for array in (index, *u))
    return index, np.array(u).reshape(-1, *index.shape)


def _is_near(task, some, u):
    """Return at which sizes a candidate comes near to its start, if that counts: lengths change it little."""
    if not task.start_counts:
        return np.array([True])
    point = task.point(*some, u)
    return np.any((point.spare_at_start > HOPELESS) & np.isfinite(point.torque), axis=0)


def _picked(task, point, names, u):
    """Return the record of the winning candidate of every size."""
    passed, shape = checked(point), point.stator.D.shape
    winner = best_of(*task.judge(point, passed)[:2])
    columns = np.arange(winner.size)

    def pick(arrays):
        """Return {name: the winners' elements} of many arrays at once: one by one they slow a slider."""
        rows = np.empty((len(arrays), *shape), next(iter(arrays.values())).dtype if arrays else float)
        for row, array in zip(rows, arrays.values(), strict=True):
            row[...] = array
        return dict(zip(arrays, rows[:, winner, columns], strict=True))

    picked = pick(passed)
    figures = {"merit": task.merit.value(point)} | {figure.name: figure.value(point) for figure in FIGURES.values()}
    figures = pick(figures | {f"place of {name}": at for name, at in point.places.items()})
    return Best(
        kind=task.rotor.kind,
        merit=figures.pop("merit"),
        feasible=np.all(list(picked.values()), axis=0),
        figures=figures,
        passed=picked,
        limits=pick(limits.active(point)),
        material=chosen(names, winner),
        places={name: np.full(shape[-1], float(at)) for name, at in task.held.items()}
        | pick(dict(zip(task.names, u, strict=True))),
        lenient=np.broadcast_to(task.waived if task.start_counts else np.True_, shape[-1]),
    )
