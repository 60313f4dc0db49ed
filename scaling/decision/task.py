"""What is searched for one type: its variables, how a trial is judged, and the candidates it begins with."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scaling.decision import frame
from scaling.decision.checks import AT_START, CHECKS, checked, score
from scaling.decision.merits import Merit
from scaling.decision.performance import Point
from scaling.machines import fed, stator
from scaling.machines.rotor import Objective, Rotor
from scaling.models.heat import grows_with_speed

CLOSE = 1e-9  # a synchronous speed equal to the speed asked for is inside, whatever the rounding


@dataclass(frozen=True)
class Task:
    """What is searched for one type, and how a trial is judged.

    Variables run from 0 to 1: frequency, then fraction, then what is ``free`` of the rotor, {name: place at which it
    begins}. Checks that are ``ignored`` do not count, those at the start not where they are ``waived``. What is
    ``held`` is not searched, {name: its place}. ``open_in_frame`` names what is free of the stator.
    """

    rotor: Rotor
    merit: Merit
    fixed_supply: bool
    free_frequency: bool
    free_fraction: bool
    free: dict
    asks_torque: bool = False
    held: dict = field(default_factory=dict)
    ignored: frozenset = frozenset()
    waived: Any = np.False_
    open_in_frame: tuple = ()

    def without_start(self):
        """Return the task of the best design that need not start."""
        fixed = () if self.merit.sparing else self.rotor.held_but_for_start
        held = {name: at for name, at in fixed if name in self.free}
        free = {name: at for name, at in self.free.items() if name not in held}
        return replace(self, free=free, held=held, ignored=AT_START)

    @property
    def variables(self):
        """Number of variables of the operating point."""
        return self.free_frequency + self.free_fraction

    @property
    def names(self):
        """Names of all variables."""
        return ["frequency"] * self.free_frequency + ["fraction"] * self.free_fraction + list(self.free)

    @property
    def start_counts(self):
        """Whether the start is asked for and not ignored."""
        return bool(AT_START - self.ignored)

    @property
    def is_bounded(self):
        """Whether a torque asked for, or a start that the supply has to pull in, bounds the lengths."""
        return self.asks_torque or self.rotor.starts_by_pull_in and self.start_counts

    def point(self, base, properties, u, coarse=False):
        """Return the Point at variables u; ``base`` is the stator fed at the lowest frequency.

        ``coarse`` lets a rotor leave out what costs time and changes its merit by some per cent. What is free of the
        rotor is where it begins if u ends before it.
        """
        places = dict(zip(self.free, u[self.variables :], strict=False))
        properties = properties | self.held | self.free | places
        low, high = properties["range"]
        if self.open_in_frame:
            base, low, high = self.framed(base.stator, properties)
        elif self.free and set(self.rotor.strength_by) & set(places):
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

    def framed(self, laid_out, properties):
        """Return the stator at its places in the frame, fed at its lowest frequency, and the range of these."""
        si = frame.machines_at(laid_out.si, {name: properties[name] for name in self.open_in_frame})
        diameter, *_ = np.broadcast_arrays(si.rotor_diameter, si.slot_depth_ratio, si.tooth_share)
        laid_out = stator.round_stator(si, diameter, laid_out.p)
        low, high = self.frequencies(laid_out, properties)
        return fed.feed(laid_out, np.minimum(low, high)), low, high

    def frequencies(self, laid_out, properties):
        """Return (low, high) supply frequency of candidates."""
        rim_speed = self.rotor.rim_speed(laid_out, properties)
        return fed.frequency_range(laid_out, self.rotor.synchronous, rim_speed)

    def judge(self, point, passed):
        """Return the Verdict on points, without the checks that are ignored or waived."""
        passed = {
            name: ok | self.waived if name in AT_START else ok
            for name, ok in passed.items()
            if name not in self.ignored
        }
        return score(point, passed, self.merit, self.waived)

    def trial(self, base, properties, u, coarse):
        """Return the Verdict at variables u."""
        point = self.point(base, properties, u, coarse)
        return self.judge(point, checked(point, self.ignored))


def task_of(rotor, si, merit, fixed_supply):
    """Return the Task of a rotor for a brief in SI."""
    # Core heat and friction rise with frequency: a synchronous rotor's torque is largest at the lowest, unless it
    # is cooled better at speed or a power is asked for.
    by_torque = merit.objective in (Objective.TORQUE, Objective.ROOT_WATT)
    at_lowest = rotor.synchronous and by_torque and not grows_with_speed(si.cooling) and si.power is None
    asks_start = any(check.asked(si) for check in CHECKS if check.at_start)
    return Task(
        rotor=rotor,
        merit=merit,
        fixed_supply=fixed_supply,
        free_frequency=not fixed_supply and not at_lowest and not si.speed_is_exact,
        free_fraction=not rotor.full_fraction_is_best or merit.sparing,
        free=rotor.free(si, merit.sparing) | frame.begins(si)[0],
        open_in_frame=si.open_in_frame,
        asks_torque=fed.asks_torque(si),
        ignored=frozenset() if asks_start else AT_START,
    )


class Candidates:
    """All materials with all pole pairs of a type and all places its search begins at, as numbers.

    Bounds of the search are kept once they are known.
    """

    def __init__(self, task, laid_out):
        rotor, si = task.rotor, laid_out.si
        named = [m for m in rotor.candidates(si) if m is not None and m.name == si.rotor_material]
        materials = named or rotor.candidates(si)
        made = [rotor.properties(m, si) for m in materials]
        self.poles, self.sizes = laid_out.D.shape
        others = [{}, other] if (other := self._other(task)) else [{}]
        self.begins = [task.free | one | other for one in frame.begins(si) for other in others]
        self.task, self.count, self.bounds = task, len(materials) * self.poles * len(self.begins), {}
        self.names = np.array([m.name for m in materials])
        self.made = {name: np.array([np.broadcast_to(m[name], self.sizes) for m in made]) for name in made[0]}
        lowest = np.minimum(*fed.frequency_range(laid_out, rotor.synchronous))
        self.base = fed.feed(laid_out, lowest)

    @staticmethod
    def _other(task):
        return {name: at for name, at in task.rotor.other_begin(task.merit.sparing).items() if name in task.free}

    def all(self):
        """Return the numbers of all candidates, the same for every size."""
        return np.broadcast_to(np.arange(self.count)[:, None], (self.count, self.sizes))

    def middle(self):
        """Return the middle of the operating point's variables for all candidates."""
        return np.full((self.task.variables, self.count, self.sizes), 0.5)

    def beside(self, near):
        """Return the numbers of a design's candidate, and of those with one step of pole pairs fewer and more."""
        material = np.argmax(self.names[:, None] == near.material, axis=0)
        pole = np.abs(self.base.stator.p[:, :1] - near.figures["pole_pairs"]).argmin(axis=0)
        poles = np.clip(pole + np.array([[0], [-1], [1]]), 0, self.poles - 1)
        return (material * self.poles + poles) * len(self.begins)

    def begin(self, index):
        """Return where the search of the rotor's lengths begins, a list of arrays."""
        which = index % len(self.begins)
        begin = {name: np.array([places[name] for places in self.begins])[which] for name in self.task.free}
        base, properties = self.take(index)
        for name in set(begin) & set(self.task.rotor.strength_by):
            for end in (0.0, 1.0):  # where it stands the speed, if it does not where it begins
                at_begin, at_end = (
                    np.less_equal(*self.task.frequencies(base.stator, properties | begin | {name: at}))
                    for at in (begin[name], end)
                )
                begin[name] = np.where(~at_begin & at_end, end, begin[name])
        return list(begin.values())

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
