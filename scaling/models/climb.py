"""A climb to the top of a function of several variables, below a bound where there is one: array problems at once."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

SHRINK = 0.5
FARTHEST = 2.0  # steps that a model of a round is trusted for
ROUNDING = 1e-9  # of a value: what differs by less is level
TOLD = "value", "rank", "aim", "slack"  # of a trial, beside its place
PULLS = np.concatenate([[0.0], np.geomspace(1e-3, 1e3, 13)])  # of the bound, over the pull of the aim


class Verdict(NamedTuple):
    """What is said of a try: ``passed``, the checks along the first axis, an earlier one before all that come later;
    ``value``, by which those rank that pass the same checks; ``aim``, what is to be large, whether they pass or not;
    ``slack``, above zero where the bound is kept; ``firm``, the checks that are no matter of slack. NaN is the worst.
    """

    passed: np.ndarray
    value: np.ndarray
    aim: np.ndarray
    slack: np.ndarray
    firm: np.ndarray

    def hopes(self, worth):
        """Return (checks, value) by which candidates rank that are still to be climbed from: a slack may be won yet.

        Where there is none at all, the aim counts by a factor of e to the power of ``worth`` less.
        """
        with np.errstate(invalid="ignore", over="ignore"):
            lacking = np.clip(np.nan_to_num(self.slack, nan=-1.0, posinf=0.0), -1.0, 0.0)
        far = np.all(self.firm, axis=0) & (self.aim > 0.0)
        return self.firm, np.where(far, self.aim * np.exp(worth * lacking), self.value)


@dataclass(frozen=True)
class Trials:
    """Places tried, of the shape (variables, tries, ...), their values, and a number that ranks the checks passed."""

    place: np.ndarray
    value: np.ndarray
    rank: np.ndarray
    aim: np.ndarray
    slack: np.ndarray

    @classmethod
    def at(cls, trial, place):
        """Return the trials at places, cut at the ends of the variables."""
        place = np.clip(place, 0.0, 1.0)
        passed, value, aim, slack, _ = trial(place)
        shape = place.shape[1:]
        rank = np.zeros(shape)
        for ok in passed:  # an earlier check counts before all that come later
            rank = 2.0 * rank + ok
        value = np.maximum(np.nan_to_num(np.broadcast_to(value, shape), nan=-np.inf), -np.finfo(float).max)
        return cls(place, value, rank, np.broadcast_to(aim, shape), np.broadcast_to(slack, shape))

    def __add__(self, other):
        return Trials(
            np.concatenate([self.place, other.place], axis=1),
            *(np.concatenate([getattr(self, name), getattr(other, name)]) for name in TOLD),
        )

    def some(self, which):
        """Return some of the tries."""
        return Trials(self.place[:, which], *(getattr(self, name)[which] for name in TOLD))

    def outranks(self, other, part):
        """Return where a try is better than another, by more than a part of its value."""
        more = self.value > other.value + part * np.abs(other.value)
        return (self.rank > other.rank) | ((self.rank == other.rank) & more)

    def best(self):
        """Return the best try of every element, of equal ones the first."""
        index = np.where(self.rank == self.rank.max(axis=0), self.value, -np.inf).argmax(axis=0)[None]
        place = np.take_along_axis(self.place, np.broadcast_to(index, (len(self.place), *index.shape)), axis=1)
        rest = (np.take_along_axis(getattr(self, name), index, axis=0) for name in TOLD)
        return Trials(place, *rest)


def climbed(trial, start, span, rounds):
    """Return places of the largest value near a start in the unit cube, for every element by itself.

    ``trial(u)`` takes places of the shape (variables, tries, ...) and returns the Verdict of every try; ``start`` has
    the shape (variables, ...). A round looks forth and back from a centre along every direction of a basis, every other
    time a random one, so that ridges across the variables are climbed too. Parabolas through the three points of every
    direction model aim and slack; the next centre is where the model is largest inside the bound, without a look
    whether it is: a call costs more than what is in it. Where the model misled, the next centre is the best of all
    tries. Every variable has a step of its own, which follows the tops.
    """
    variables, *shape = start.shape
    random, lift = np.random.default_rng(0), (..., *(None,) * len(shape))
    step = np.full(start.shape, float(span))
    reach = np.full(shape, float(span))  # of the turned rounds, which ridges need longer than a step of their own
    here, centre, beside = None, start[:, None], start[:, None][:, :0]
    for number in range(rounds):
        turned = number % 2 == 1
        if turned:
            along = np.linalg.qr(random.normal(size=(variables, variables)))[0][lift] * reach
        else:
            along = np.eye(variables)[lift] * step[:, None]  # (variables, directions, ...)
        made = Trials.at(trial, np.concatenate([centre, centre + along, centre - along, beside], axis=1))
        middle, star = made.some(slice(0, 1)), made.some(slice(1, 2 * variables + 1))
        before, here = here or middle, made.best() if here is None else (here + made).best()
        tops, inside = _tops(middle, star, variables), _inside(middle, star, variables)
        way = here.place - before.place
        ways = [np.sum(along * steps, axis=1, keepdims=True) for steps in (tops, *inside)]
        bounded = np.isfinite(middle.slack) & bool(inside)
        ahead = middle.place + np.where(bounded, ways[-1], ways[0])
        centre = np.where(before.outranks(middle, ROUNDING), here.place, ahead)
        beside = np.concatenate([middle.place + w for w in (*ways, 0.5 * ways[0])] + [here.place + way], axis=1)
        moved = np.abs(inside[0] if inside else tops)
        if turned:
            gained = np.any(way[:, 0] != 0.0, axis=0)
            reach = reach * np.where(gained, np.clip(np.max(moved, axis=0), 0.5, 2.0), 0.5)
        else:
            step = step * np.clip(moved, SHRINK, 2.0)
    last = Trials.at(trial, np.concatenate([centre, beside], axis=1))
    return (here + last if here else last).best().place[:, 0]


def _tops(here, star, variables):
    """Return where values are largest along every direction, in steps: by a parabola, or by the checks passed."""
    more = star.outranks(here, ROUNDING)
    forth, back = more[:variables], more[variables:]
    forth_wins = forth & ~(back & (star.value[variables:] > star.value[:variables]))
    stepped = np.where(forth_wins, 1.0, np.where(back, -1.0, 0.0))
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        slope, bend = _parabola(here.value, star.value, variables)
        top = np.where(bend < 0.0, np.clip(-slope / bend, -FARTHEST, FARTHEST), FARTHEST * stepped)
    level = np.all((star.rank == here.rank).reshape(2, variables, *here.rank.shape[1:]), axis=0)
    return np.where(level & np.isfinite(top), top, stepped)


def _inside(here, star, variables):
    """Return [steps] along every direction to where the aim is largest with some slack left, by parabolas of both.

    Of the pulls of the bound that are looked at, the least that keeps it. None where no bound is near.
    """
    if not np.any(np.isfinite(here.slack)):
        return []
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        (g, h), (gs, hs) = _parabola(here.aim, star.aim, variables), _parabola(here.slack, star.slack, variables)
        scale = np.sqrt(np.sum(g**2, axis=0) / np.sum(gs**2, axis=0))
        forth, back = (np.any(side != here.place, axis=0) for side in np.split(star.place, 2, axis=1))
        low, high = np.where(back, -FARTHEST, 0.0), np.where(forth, FARTHEST, 0.0)
        pull = PULLS.reshape(-1, *(1,) * g.ndim) * scale  # (pulls, 1, ...)
        slope, bend = g + pull * gs, np.minimum(h + pull * np.minimum(hs, 0.0), -np.abs(g) / FARTHEST)
        ways = np.clip(np.nan_to_num(-slope / bend), low, high)
        slacks = here.slack[0] + np.sum(np.nan_to_num(gs) * ways + 0.5 * np.nan_to_num(hs) * ways**2, axis=1)
        kept = slacks > 0.0
        first = np.where(kept.any(axis=0), kept.argmax(axis=0), len(PULLS) - 1)
        before = np.maximum(first - 1, 0)
        # Between the last pull that breaks the bound and the first that keeps it.
        s_1, s_0 = (np.take_along_axis(slacks, i[None], axis=0)[0] for i in (first, before))
        part = np.clip(np.nan_to_num(s_0 / (s_0 - s_1)), 0.0, 1.0)
        x_1, x_0 = (np.take_along_axis(ways, i[None, None], axis=0)[0] for i in (first, before))
    return [x_0 + (x_1 - x_0) * part, x_0 + (x_1 - x_0) * (0.9 * part + 0.1)]


def _parabola(centre, star, variables):
    """Return slope and bend of the parabola along every direction, in steps; rounding is none."""
    a, b = star[:variables], star[variables:]
    noise = ROUNDING * np.maximum(np.abs(a), np.abs(b))
    return tuple(np.where(np.abs(x) > noise, x, 0.0) for x in (0.5 * (a - b), a + b - 2 * centre))
