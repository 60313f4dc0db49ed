"""For every type and size: the best free design inside the limits, in array form."""

from dataclasses import dataclass, replace

import numpy as np

from scaling.decision import rating
from scaling.machines import ROTORS
from scaling.machines import stage as stages
from scaling.models.search import maximise

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
LEAST_SHARE = 1e-6  # smallest share of the heat budget that is searched
FULL = 0.999  # share of the heat that can be passed from which the temperature rise counts as a limit
ROUNDS = 2  # of frequency and share of heat in turn, where both are free


@dataclass(frozen=True)
class Best:
    """The best design of one type at every size: SI arrays along the sizes."""

    kind: str
    merit: np.ndarray
    feasible: np.ndarray
    figures: dict
    passed: dict
    limits: dict
    material: list


def best_designs(si, diameters, merit, fixed_supply, kinds=tuple(ROTORS)):
    """Return {kind: Best} for an array of rotor diameters [m]; ``si`` is a brief in SI."""
    sizes = np.atleast_1d(np.asarray(diameters, float))
    poles = POLE_PAIRS if si.pole_pairs is None else np.array([si.pole_pairs], float)
    frame = stages.frame(si, sizes[None, :], poles[:, None])
    return {kind: _best(ROTORS[kind], frame, si, merit, fixed_supply) for kind in kinds}


def _best(rotor, frame, si, merit, fixed_supply):
    named = [m for m in rotor.candidates(si) if m is not None and m.name == si.rotor_material]
    candidates = tuple(named) or rotor.candidates(si)
    low, high = stages.frequency_range(frame, rotor.SYNCHRONOUS)
    goal = rating.MERITS[merit][2]
    score = rating.MERITS[merit][1]

    shape = (len(candidates), *frame.D.shape)

    def run(frequency, share):
        st = stages.at_frequency(frame, frequency)
        op = rotor.operate(st, candidates, goal, share)
        if not rotor.SYNCHRONOUS:  # air friction and shaft fan at the speed it really turns
            st = stages.at_frequency(frame, frequency, np.nan_to_num(op.slip))
            op = rotor.operate(st, candidates, goal, share)
        return st, op, rating.figures(rotor, st, op, fixed_supply)

    def at_slip(slip):
        st = stages.at_frequency(frame, frequency, np.nan_to_num(slip))
        st = replace(st, slip_low=slip, slip_high=slip)
        op = rotor.operate(st, candidates, goal, share)
        return st, op, rating.figures(rotor, st, op, fixed_supply)

    def best(low, high, trial):
        """Search one variable on a logarithmic scale, for every candidate its own."""
        bottom, top = (np.broadcast_to(np.log(end), shape) for end in (low, high))
        return np.exp(maximise(lambda x: score(run(*trial(np.exp(x)))[2]), bottom, top, steps=18))

    # Core heat and friction rise with frequency: a synchronous rotor's torque is largest at the lowest, unless
    # a shaft fan cools better at speed. Everything else is searched, one variable after the other.
    frequency, share = np.minimum(low, high), 1.0
    free = np.any(low < high) and not (rotor.SYNCHRONOUS and goal == "torque" and si.cooling != "shaft fan")
    for _ in range(ROUNDS if free and merit in rating.SHARED else 1):
        if free:
            frequency = best(np.minimum(low, high), np.maximum(low, high), lambda f, share=share: (f, share))
        if merit in rating.SHARED:
            share = best(LEAST_SHARE, 1.0, lambda part, frequency=frequency: (frequency, part))
    st, op, rate = run(frequency, share)
    if not rotor.SYNCHRONOUS:  # friction falls with slip, which the closed form leaves out: search around it
        low_slip, high_slip = np.maximum(st.slip_low, op.slip / 4), np.minimum(st.slip_high, op.slip * 4)
        slip = maximise(lambda s: score(at_slip(s)[2]), low_slip, high_slip, steps=18)
        st, op, rate = at_slip(np.where(low_slip <= high_slip, slip, np.nan))
    passed = rating.checks(rotor, st, op, rate, fixed_supply, low <= high)
    return _select(rotor, candidates, st, op, rate, passed, score(rate), fixed_supply)


def _select(rotor, candidates, st, op, rate, passed, value, fixed_supply):
    """Pick at every size the candidate that gets furthest through the checks, and among those the one of most merit."""
    frame = st.frame
    shape = (len(candidates), *frame.D.shape)
    count = sum(2**i * np.broadcast_to(ok, shape) for i, ok in enumerate(reversed(passed.values())))
    value = np.where(np.isfinite(value), value, -np.inf)
    # A merit below zero (friction above torque) still ranks; the passed checks come first.
    flat = (-1, shape[-1])
    count, value = count.reshape(flat), np.broadcast_to(value, shape).reshape(flat)
    rank = np.where(count == count.max(axis=0), np.maximum(value, -1e300), -np.inf)
    index = rank.argmax(axis=0)

    def pick(array):
        return np.broadcast_to(array, shape).reshape(flat)[index, np.arange(shape[-1])]

    limits = dict(op.limits)
    passes = st.heat_coefficient * frame.brief.temperature_rise * frame.outside_area
    limits["temperature rise"] = rate["loss"] > FULL * passes
    limits["gap floor"] = frame.brief.gap_floor > frame.brief.gap_ratio * frame.D
    rim = frame.p * frame.brief.rim_speed_limit / (np.pi * frame.D)
    limits["rim speed"] = np.isclose(st.frequency, rim, rtol=1e-3)
    if frame.brief.speed is not None:
        limits["speed asked for"] = sum(np.isclose(rate["speed"], edge, rtol=1e-3) for edge in frame.brief.speed) > 0
    if not fixed_supply:
        ends = [np.isclose(st.frequency, end, rtol=1e-3) for end in frame.brief.supply_frequency]
        limits["frequency range"] = (ends[0] | ends[1]) & ~limits["rim speed"]
    rate = rate | {
        "frequency": st.frequency,
        "pole_pairs": frame.p,
        "gap": frame.gap,
        "magnetic_gap": op.magnetic_gap,
        "gap_field_peak": op.gap_field,
        "linear_current_density_peak": op.loading,
        "shear_stress": op.shear,
        "response": op.response,
        "slip": op.slip,
        "goodness": op.goodness,
        "load_angle": op.load_angle,
        "saliency": op.saliency,
        "loop_peak": op.loop_peak,
        "ring_field": op.ring_field,
        "rotor_thickness": op.thickness,
        "heat_coefficient": st.heat_coefficient,
        "pull_in": rating.pull_in(rotor, st, op, fixed_supply),
        "wave_number": frame.k,
        "slot_depth": frame.slot_depth,
        "slot_pitch": frame.slot_pitch,
        "outside_diameter": frame.outside,
        "active_length": frame.L,
        "rotor_diameter": frame.D,
        "merit": value.reshape(shape),
    }
    picked = {name: pick(ok) for name, ok in passed.items()}
    names = [getattr(c, "name", "electrical sheet") for c in candidates]
    return Best(
        kind=rotor.KIND,
        merit=pick(value.reshape(shape)),
        feasible=np.all(list(picked.values()), axis=0),
        figures={name: pick(array) for name, array in rate.items()},
        passed=picked,
        limits={name: pick(mask) for name, mask in limits.items()},
        material=[names[i // frame.D.shape[0]] for i in index],
    )
