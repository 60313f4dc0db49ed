"""For every type and size: the best free design inside the limits, in array form."""

from dataclasses import dataclass, replace

import numpy as np

from scaling.decision import rating
from scaling.machines import ROTORS
from scaling.machines import stage as stages
from scaling.models.search import along, best_of, closer

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
FULL = 0.999  # share of the heat that can be passed from which the temperature rise counts as a limit
INSULATED = 0.5  # copper share over that of bare wires from which insulation counts as a limit
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


def best_designs(si, diameters, merit, fixed_supply, kinds=tuple(ROTORS)):
    """Return {kind: Best} for an array of rotor diameters [m]; ``si`` is a brief in SI.

    Numbers of ``si``, those of a pair too, may be arrays along the diameters: many briefs in one call.
    """
    sizes = np.atleast_1d(np.asarray(diameters, float))
    poles = POLE_PAIRS[:, None] if si.pole_pairs is None else np.atleast_2d(np.asarray(si.pole_pairs, float))
    frame = stages.frame(si, sizes, poles)
    fits = frame.fits.any(axis=1)
    if fits.any():
        frame = stages.take(frame, np.repeat(np.flatnonzero(fits)[:, None], sizes.size, axis=1))
    return {kind: _best(ROTORS[kind], frame, si, merit, fixed_supply) for kind in kinds}


def _best(rotor, frame, si, merit, fixed_supply):
    """Return the best design that meets the brief; where none can at the start, the best that would but for that."""
    found = _search(rotor, frame, si, merit, fixed_supply, frozenset())
    made = _picked(*found)
    lost = ~np.all([made.passed[name] for name in rating.AT_START & set(made.passed)], axis=0)
    if not np.any(lost):
        return made
    task = replace(found[0], ignored=frozenset(rating.AT_START))
    if task.variables:  # without variables all candidates are at hand
        found = _search(rotor, frame, si, merit, fixed_supply, task.ignored)
    other = _picked(task, *found[1:])

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


@dataclass(frozen=True)
class _Task:
    """What is searched for one type, and how a trial is judged. Variables run from 0 to 1: frequency, then the part."""

    rotor: object
    merit: str
    fixed_supply: bool
    ignored: frozenset
    free_frequency: bool
    free_part: bool

    @property
    def variables(self):
        """Number of free variables."""
        return self.free_frequency + self.free_part

    def point(self, base, material, u, rough=False):
        """Return (stage, operation, output, checks) at variables u; ``base`` is the stage at the lowest frequency.

        ``rough`` lets a rotor leave out what costs time and changes its merit by some per cent.
        """
        frame = base.frame
        low, high = stages.frequency_range(frame, self.rotor.SYNCHRONOUS, self.rotor.rim_speed(frame, material))
        st = base
        if self.free_frequency:
            st = stages.at_frequency(frame, base.frequency * (np.maximum(low, high) / base.frequency) ** u[0])
        goal = rating.MERITS[self.merit][2]
        part = u[-1] if self.free_part else 1.0
        st, op = self.rotor.operate(st, material, goal, part, rough)
        rate = {"part": part} | rating.output(self.rotor, st, op, self.fixed_supply)
        return st, op, rate, rating.checks(self.rotor, st, op, rate, self.fixed_supply, low <= high)

    def judge(self, st, op, rate, passed):
        """Return (level, value) of points, without the checks that are ignored."""
        counted = {name: ok for name, ok in passed.items() if name not in self.ignored}
        return rating.judge(self.rotor, st, op, rate, counted, self.merit, self.fixed_supply)

    def trial(self, base, material, u, rough):
        """Return (level, value) at variables u."""
        return self.judge(*self.point(base, material, u, rough))


def _search(rotor, frame, si, merit, fixed_supply, ignored):
    """Search all candidates coarsely, the best ones finely; return task, stage, operation, output, checks, names."""
    # Core heat and friction rise with frequency: a synchronous rotor's torque is largest at the lowest, unless
    # a shaft fan cools better at speed.
    at_lowest = (
        rotor.SYNCHRONOUS and rating.MERITS[merit][2] in ("torque", "root watt") and str(si.cooling) != "shaft fan"
    )
    task = _Task(
        rotor=rotor,
        merit=merit,
        fixed_supply=fixed_supply,
        ignored=ignored,
        free_frequency=not fixed_supply and not at_lowest,
        free_part=not rotor.CLOSED or merit in rating.SPARING,
    )
    named = [m for m in rotor.candidates(si) if m is not None and m.name == si.rotor_material]
    materials = named or rotor.candidates(si)
    made = [rotor.properties(m, si) for m in materials]
    poles, sizes = frame.D.shape
    made = {name: np.array([np.broadcast_to(m[name], sizes) for m in made]) for name in made[0]}

    base = stages.at_frequency(frame, np.minimum(*stages.frequency_range(frame, rotor.SYNCHRONOUS)))
    marked = hasattr(rotor, "landmarks") and not task.free_frequency  # else they change from trial to trial
    marks = {}

    def take(index):
        properties = {name: value[index // poles, np.arange(sizes)] for name, value in made.items()}
        properties |= {name: np.take_along_axis(value, index, axis=0) for name, value in marks.items()}
        return stages.take(base, index % poles), properties

    def mark(index, rough):
        for name, value in rotor.landmarks(*take(index), rating.MERITS[merit][2], rough).items():
            marks.setdefault(name, np.empty((len(materials) * poles, sizes)))
            np.put_along_axis(marks[name], index, value, axis=0)

    index = np.broadcast_to(np.arange(len(materials) * poles)[:, None], (len(materials) * poles, sizes))
    u, span = np.full((task.variables, *index.shape), 0.5), 0.5
    for number, (points, kept) in enumerate(ROUNDS[task.variables]):
        rough = number == 0  # the first round only chooses the candidates
        if marked and number < 2:
            mark(index, rough)
        some = take(index)
        u, level, value = closer(lambda *at, some=some, rough=rough: task.trial(*some, at, rough), u, span, points)
        order = np.lexsort((np.nan_to_num(value, nan=-np.inf), level), axis=0)[::-1][:kept]
        index, *u = (np.take_along_axis(array, order, axis=0) for array in (index, *u))
        u = np.stack(u)
        span *= 2.5 / (points - 1)  # a little more than the distance of two points
    base, properties = take(index)
    return task, properties, *task.point(base, properties, u), np.array([m.name for m in materials])[index // poles]


def _picked(task, properties, st, op, rate, passed, names):
    """Return the record of the winning candidate of every size."""
    winner, frame = best_of(*task.judge(st, op, rate, passed)), st.frame
    material = along(names, winner)
    rate = rate | rating.figures(task.rotor, st, op, task.fixed_supply)
    columns = np.arange(winner.size)

    def pick(array):
        full = array if np.shape(array) == frame.D.shape else np.broadcast_to(array, frame.D.shape)
        return full[winner, columns]

    passes = st.heat_coefficient * frame.brief.temperature_rise * frame.outside_area
    limits = {"temperature rise": rate["loss"] > FULL * passes, **op.limits}
    limits["insulation"] = frame.copper_share < INSULATED * (1.0 - frame.brief.tooth_share) * frame.brief.wire_packing
    limits["insulation"] &= frame.brief.conductors_per_slot is not None
    limits["friction"] = rate["torque"] < rate["gap_torque"] / 2
    limits["gap floor"] = frame.brief.gap_floor > frame.brief.gap_ratio * frame.D
    parts = stages.rim_frequency(frame, task.rotor.rim_speed(frame, properties))
    whole = stages.rim_frequency(frame, frame.brief.rim_speed_limit)
    parts = np.inf if frame.brief.sleeved else parts
    at_rim = np.isclose(st.frequency, np.minimum(parts, whole), rtol=1e-3)
    limits["rim speed"], limits["rim stress"] = at_rim & (whole <= parts), at_rim & (parts < whole)
    if frame.brief.speed is not None:
        limits["speed asked for"] = sum(np.isclose(rate["speed"], edge, rtol=1e-3) for edge in frame.brief.speed) > 0
    if not task.fixed_supply:
        ends = [np.isclose(st.frequency, end, rtol=1e-3) for end in frame.brief.supply_frequency]
        limits["frequency range"] = (ends[0] | ends[1]) & ~at_rim
    rate = rate | {
        "frequency": st.frequency,
        "pole_pairs": frame.p,
        "gap": frame.gap,
        "magnetic_gap": op.magnetic_gap,
        "gap_field_peak": op.gap_field + op.backward_field,
        "backward_field_peak": op.backward_field,
        "linear_current_density_peak": op.loading,
        "shear_stress": op.shear,
        "response": op.response,
        "slip": op.slip,
        "goodness": op.goodness,
        "load_angle": op.load_angle,
        "saliency": op.saliency,
        "ring_field": op.ring_field,
        "rotor_thickness": op.thickness,
        "heat_coefficient": st.heat_coefficient,
        "pull_in_need": rating.pull_in_need(task.rotor, st, op),
        "pull_in": rating.pull_in(task.rotor, st, op, task.fixed_supply),
        "wave_number": frame.k,
        "slot_depth": frame.slot_depth,
        "slot_pitch": frame.slot_pitch,
        "outside_diameter": frame.outside,
        "active_length": frame.L,
        "rotor_diameter": frame.D,
        "merit": rating.MERITS[task.merit][1](rate),
    }
    picked = {name: pick(ok) for name, ok in passed.items()}
    return Best(
        kind=task.rotor.KIND,
        merit=pick(rate["merit"]),
        feasible=np.all(list(picked.values()), axis=0),
        figures={name: pick(array) for name, array in rate.items()},
        passed=picked,
        limits={name: pick(mask) for name, mask in limits.items()},
        material=material,
    )
