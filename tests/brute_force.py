"""A dense search over the machines of brute_machines. Where the package has closed-form optima, everything is tried."""

import numpy as np
from brute_machines import (
    ROTORS,
    bearing,
    core_heat,
    friction,
    heat_allowed,
    leakage,
    rim_speed,
    shape,
    winding_heat,
)

from scaling.ground import materials

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
FORMS = {"salient": 0, "flux barriers": 1}
SWINGS = {"reluctance": 2.0, "magnet": 1.0}
ROUNDS, TEAM, TRIES = 40, 12, 10


# Merit and search


def figures(kind, si, p, f, material, u):
    """Return every figure of candidates; merit is asked of them by `merit`. NaN where a limit is broken."""
    s = shape(si, p)
    synchronous = 2 * np.pi * f / p
    slips = (0.0, si.slip_limit)
    if si.speed is not None and kind == "induction":
        slips = (
            np.maximum(0.0, 1 - si.speed[1] / synchronous),
            np.minimum(si.slip_limit, 1 - si.speed[0] / synchronous),
        )

    def spare(slip):
        speed = synchronous * (1 - slip)
        left = heat_allowed(si, s, speed) - friction(si, s, speed) * speed
        return np.where(left > 0, left, np.nan)

    r = ROTORS[kind](si, s, f, spare, slips, material, u)
    speed = 2 * np.pi * f / s.k * s.bore / 2
    crossing, back = np.real(-r.B * r.A) * speed, np.real(-r.back * s.back * r.A) * speed  # electric field v*B
    r.frequency, r.p, r.material = f, p, material
    r.speed = synchronous * (1 - r.slip)
    r.gap_torque = (crossing - back) / synchronous
    drag = friction(si, s, synchronous * (1 - r.slip)) + r.ripple / synchronous
    allowed = heat_allowed(si, s, synchronous * (1 - r.slip))
    r.torque = r.gap_torque - drag
    r.power = r.torque * r.speed
    core = core_heat(si, s, f, abs(r.B)) + core_heat(si, s, f, abs(r.back))
    r.electric = crossing + back + winding_heat(si, s, r.A) + core
    reactive = np.imag(-r.B * r.A) * speed, np.imag(-r.back * s.back * r.A) * speed
    r.volt_amperes = np.hypot(r.electric, sum(map(abs, reactive)) + leakage(si, s, f, r.A))
    r.loss = r.electric - r.power
    r.allowed = allowed
    r.volume, r.mass, r.s = s.volume, s.mass, s
    r.fine = (
        s.fits & (r.torque > 0) & (r.loss <= allowed * (1 + 1e-9)) & (abs(r.B) + abs(r.back) <= s.B_limit * (1 + 1e-9))
    )
    r.fine &= (r.slip >= 0) & (r.slip <= si.slip_limit * (1 + 1e-12))
    if si.torque is not None:
        r.fine &= r.torque >= si.torque
    if si.self_starting:
        r.fine &= starts(kind, si, s, r)
    return r


def starts(kind, si, s, r):
    """Return whether rotors start by themselves: on their torque at rest, or by pulling themselves in."""
    load = bearing(si, s) + si.load_at_start * (si.torque or 0.0)
    if kind == "induction":
        return r.starting() * s.bore * s.D_b / 2 > load
    if kind == "hysteresis":
        fixed = si.supply_frequency[0] == si.supply_frequency[1]
        return np.array(True) if not fixed else r.gap_torque > 0
    omega = 2 * np.pi * np.minimum(si.supply_frequency[0], r.frequency)
    held = np.clip(load / r.gap_torque, 0.0, 1.0)
    bottom = np.arcsin(held)  # of the tilted well in which the rotor must stay, its top at pi less that
    depth = 2 * np.cos(bottom) - held * (np.pi - 2 * bottom)
    number = r.p * r.gap_torque / (s.inertia * (1 + si.load_inertia_ratio) * omega**2)
    return (r.gap_torque > 0) & (number * depth >= SWINGS[kind] / 2)


MERITS = {
    "torque per volume": lambda r: r.torque / r.volume,
    "torque per mass": lambda r: r.torque / r.mass,
    "power per volume": lambda r: r.power / r.volume,
    "efficiency": lambda r: r.power / r.electric,
    "torque per root watt": lambda r: r.torque / np.sqrt(r.loss),
    "power per volt-ampere": lambda r: r.power / r.volt_amperes,
}


def frequencies(si, kind, p, material):
    """Return the lowest and highest frequency of supply, speed asked for and rim speed (at no load)."""
    low, high = si.supply_frequency
    rim = rim_speed(kind, si, p, material)
    low, high = low + 0 * p, np.minimum(high, rim / (si.rotor_diameter / 2) * p / (2 * np.pi))
    if si.speed is not None:
        spare = 1 - si.slip_limit if kind == "induction" else 1.0
        low = np.maximum(low, si.speed[0] * p / (2 * np.pi))
        high = np.minimum(high, si.speed[1] * p / (2 * np.pi) / spare)
    return low, high


def search(kind, si, merit, seed=1):
    """Return the best candidate found as a namespace of figures, or None if none is inside all limits.

    Every pole number and material has a grid over all free variables, and a team of its best points. In every round
    each point tries random steps, which shrink, and steps along the difference of two of its team, which follow a
    ridge. Steps are cut at the ends of a variable, so ends are tried too.
    """
    random = np.random.default_rng(seed)
    poles = POLE_PAIRS if si.pole_pairs is None else np.array([float(si.pole_pairs)])
    names = {"induction": materials.CONDUCTORS, "hysteresis": materials.LOOP_MATERIALS, "reluctance": FORMS}
    names = names.get(kind, {None: None})
    named = [i for i, name in enumerate(names) if name in (si.rotor_material, si.reluctance_rotor)] or range(len(names))
    p, material = (a.ravel() for a in np.meshgrid(poles, named))
    low, high = frequencies(si, kind, p, material)
    able = (low <= high) & shape(si, p).fits
    p, material, low, high = (a[able] for a in (p, material, low, high))
    if not p.size:
        return None
    free = {"induction": 2 + (si.induction_rotor == "sheet")}.get(kind, 2)
    counts = [13] * bool(np.any(low < high)) + {2: [31, 7], 3: [17, 9, 5]}[free]
    if kind == "hysteresis":
        counts = [7] * (len(counts) > free) + [71, 5]
    grid = np.stack([a.ravel() for a in np.meshgrid(*(np.linspace(0, 1, n) for n in counts))])

    def judge(which, u):
        f = low[which] * (high[which] / low[which]) ** (u[0] if len(counts) > free else 0.0)
        with np.errstate(all="ignore"):
            r = figures(kind, si, p[which], f, material[which], u[-free:])
            return np.where(r.fine, MERITS[merit](r), -np.inf), r

    value, _ = judge(np.repeat(np.arange(p.size), grid.shape[1]), np.tile(grid, p.size))
    value = value.reshape(p.size, -1)
    which, start = np.arange(p.size), np.argsort(-value, axis=1)[:, :TEAM]
    u, value = grid[:, start], np.take_along_axis(value, start, axis=1)
    width = np.array([2 / (n - 1) for n in counts])[:, None, None, None]
    for turn in range(ROUNDS):
        keep = value.max(axis=1) >= value.max() * min(0.5 + turn / ROUNDS, 0.999)
        which, u, value = which[keep], u[:, keep], value[keep]
        box = (*u.shape, TRIES)
        step = random.uniform(-1, 1, box) * width * 10.0 ** -random.uniform(0, 1 + 3 * turn / ROUNDS, box[1:])
        step *= random.uniform(0, 1, box) < 0.6  # not all variables at once, or edges are hard to follow
        one, other = (u[:, :, random.integers(0, TEAM, (TEAM, TRIES))] for _ in range(2))
        along = random.uniform(0, 1.5, box[1:]) * (one - other)
        tries = np.clip(u[..., None] + np.where(random.uniform(0, 1, box[1:]) < 0.5, step, along), 0, 1)
        found, _ = judge(np.repeat(which, TEAM * TRIES), tries.reshape(len(counts), -1))
        found = found.reshape(box[1:])
        best = found.argmax(axis=-1)[..., None]
        better = found.max(axis=-1) > value
        u = np.where(better, np.take_along_axis(tries, best[None], axis=-1)[..., 0], u)
        value = np.maximum(value, found.max(axis=-1))
    if not np.isfinite(value.max()):
        return None
    top = np.unravel_index(np.argmax(value), value.shape)
    _, r = judge(which[[top[0]]], u[:, top[0], top[1]][:, None])
    r.merit = float(value.max())
    return r
