"""A dense search over the machines of brute_machines. Where the package has closed-form optima, everything is tried."""

import brute_pull_out as pull_out
import numpy as np
from brute_cage import slip_at
from brute_machines import ROTORS, shaped
from brute_stage import bearing, core_heat, fan, friction, heat_allowed, leakage, rim_speed, shape, winding_heat

from scaling.ground import materials

POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
BARRIERS = (2, 3, 4, 5, 6)  # tried where the brief leaves their number free
SWINGS = {"reluctance": 2.0, "magnet": 1.0}
FREE = {"hysteresis": 2, "reluctance": 4, "magnet": 3}  # variables beside the frequency
GRIDS = {2: [31, 7], 3: [17, 9, 9], 4: [13, 7, 3, 3]}
HAIR = 1e-9


# Merit


def figures(kind, si, p, f, material, u):
    """Return every figure of candidates; merit is asked of them by `merit`. NaN where a limit is broken."""
    s = shape(si, p)
    synchronous = 2 * np.pi * f / p
    largest = 0.99 if si.slip_limit is None else si.slip_limit
    slips = (0.0, largest)
    if si.speed is not None and kind == "induction":
        slips = np.maximum(0.0, 1 - si.speed[1] / synchronous), np.minimum(largest, 1 - si.speed[0] / synchronous)

    def spare(slip):
        speed = synchronous * (1 - slip)
        left = heat_allowed(si, s, speed) - friction(si, s, speed, s.B_limit, s.plane_gap) * speed
        return np.where(left > 0, left, np.nan)

    r = ROTORS[kind](si, s, f, spare, slips, material, u)
    speed = 2 * np.pi * f / s.k * s.bore / 2
    sheet = getattr(r, "ideal", r.A)  # the backward wave meets no saturated iron
    crossing, back = np.real(-r.B * r.A) * speed, np.real(-r.back * s.back * sheet) * speed  # electric field v*B
    back = back * getattr(r, "lag", 1.0)  # of a ring, whose loops lag as far as they can in the backward wave
    r.frequency, r.p, r.material = f, p, material
    r.speed = synchronous * (1 - r.slip)
    r.gap_torque = (crossing - back) / synchronous
    field = abs(r.B) + abs(r.back)
    drag = friction(si, s, synchronous * (1 - r.slip), field, r.g_m) + r.ripple / synchronous
    r.at_rest = bearing(si, s, 0.0, field, r.g_m)
    r.allowed = heat_allowed(si, s, synchronous * (1 - r.slip))
    blown = fan(si, s, r.speed)  # brakes, but the air takes it away
    r.torque = r.gap_torque - drag - blown
    r.power = r.torque * r.speed
    core = core_heat(si, s, f, abs(r.B)) + core_heat(si, s, f, abs(r.back))
    r.electric = crossing + back + winding_heat(si, s, f, r.A) + core
    reactive = np.imag(-r.B * r.A) * speed, np.imag(-r.back * s.back * r.A) * speed
    r.volt_amperes = np.hypot(r.electric, sum(map(abs, reactive)) + leakage(si, s, f, r.A, r.g_m))
    r.loss = r.electric - r.power
    r.volume, r.mass, r.s = s.volume, s.mass + getattr(r, "ring_mass", 0.0), s
    r.fine = s.fits & (r.torque > 0) & (r.loss - blown * r.speed <= r.allowed * (1 + HAIR))
    r.fine &= (abs(r.B) + abs(r.back) <= r.B_limit * (1 + HAIR)) & (r.reserve >= pull_out.asked(kind, si) * (1 - HAIR))
    r.fine &= (r.slip >= slips[0] - 1e-12) & (r.slip <= largest * (1 + 1e-12))
    if si.torque is not None:
        r.fine &= r.torque >= si.torque
    if si.self_starting:
        r.fine &= starts(kind, si, s, r)
    return r


def starts(kind, si, s, r):
    """Return whether rotors start by themselves: on their torque at rest, or by pulling themselves in."""
    load = r.at_rest + si.load_at_start * (si.torque or 0.0)
    fixed = si.supply_frequency[0] == si.supply_frequency[1]
    if kind == "induction" and fixed:
        return r.starting() * s.bore * s.D_b / 2 > load
    if kind in ("induction", "hysteresis"):  # a drive lowers its frequency until the rotor has this torque at rest
        return r.gap_torque > (load if kind == "induction" else 0.0)
    omega = 2 * np.pi * np.minimum(si.supply_frequency[0], r.frequency)
    largest = r.gap_torque * (np.where(np.isfinite(r.reserve), r.reserve, 1.0) if fixed else 1.0)
    held = np.clip(load / largest, 0.0, 1.0)
    bottom = np.arcsin(held)  # of the tilted well in which the rotor must stay, its top at pi less that
    depth = 2 * np.cos(bottom) - held * (np.pi - 2 * bottom)
    number = r.p * largest / (s.inertia * (1 + si.load_inertia_ratio) * omega**2)
    return (r.gap_torque > 0) & (number * depth >= SWINGS[kind] / 2)


MERITS = {
    "torque per volume": lambda r: r.torque / r.volume,
    "torque per mass": lambda r: r.torque / r.mass,
    "power per volume": lambda r: r.power / r.volume,
    "efficiency": lambda r: r.power / r.electric,
    "torque per root watt": lambda r: r.torque / np.sqrt(r.loss),
    "power per volt-ampere": lambda r: r.power / r.volt_amperes,
}


# Search


def frequencies(si, kind, p, material, share):
    """Return the lowest and highest frequency of supply, speed asked for and rim speed (at no load)."""
    low, high = si.supply_frequency
    rim = rim_speed(kind, si, shape(si, p), material, share)
    low, high = low + 0 * rim, np.minimum(high, rim / (si.rotor_diameter / 2) * p / (2 * np.pi))
    if si.speed is not None:
        spare = 1.0
        if kind == "induction":
            spare = 0.01 if si.slip_limit is None else 1 - si.slip_limit
        low = np.maximum(low, si.speed[0] * p / (2 * np.pi))
        with np.errstate(divide="ignore"):
            high = np.minimum(high, si.speed[1] * p / (2 * np.pi) / np.float64(spare))
    return low, high


def candidates(kind, si):
    """Return the materials or forms to try, by number: barriers by how many, none for salient poles."""
    if kind == "induction":
        names = list(materials.CONDUCTORS)
    elif kind == "hysteresis":
        names = list(materials.LOOP_MATERIALS)
    elif kind == "reluctance":
        barred = BARRIERS if si.barriers is None else (int(si.barriers),)
        return {"salient": (0,), "flux barriers": barred}.get(si.reluctance_rotor, (0, *barred))
    else:
        return (0,)
    if si.rotor_material in names:
        return (names.index(si.rotor_material),)
    grades = [getattr(materials.LOOP_MATERIALS.get(name), "oriented", False) for name in names]
    return tuple(i for i, oriented in enumerate(grades) if si.oriented_rings or not oriented)


class Candidates:
    """All pole numbers and materials of a brief, judged at free variables between 0 and 1."""

    def __init__(self, kind, si, merit):
        self.kind, self.si, self.merit = kind, si, merit
        poles = POLE_PAIRS if si.pole_pairs is None else np.array([float(si.pole_pairs)])
        self.p, self.material = (a.ravel() for a in np.meshgrid(poles, candidates(kind, si)))
        if kind == "induction":
            self.free = 6 if si.induction_rotor == "cage" else 3
        else:
            self.free = FREE[kind]
        # Asked for one speed a drive meets it exactly: the slip sets the frequency.
        exact = si.speed is not None and si.speed[0] == si.speed[1]
        self.tied = exact and kind == "induction" and si.supply_frequency[0] < si.supply_frequency[1]
        low, high = frequencies(si, kind, self.p, self.material, 0.5)
        self.variables = self.free + bool(np.any(low < high) and not self.tied)

    def frequency(self, p, material, u):
        """Return the frequency of candidates, NaN where there is none."""
        own = u[-self.free :]
        share = shaped(self.si, material, own[1])[1] if self.kind == "reluctance" else 0.0
        low, high = frequencies(self.si, self.kind, p, material, share)
        with np.errstate(all="ignore"):
            if self.tied:
                turning = self.si.speed[0] * p / (2 * np.pi)
                f = turning / (1 - np.clip(slip_at(self.si, own[0]), 1 - turning / low, 1 - turning / high))
            else:
                f = low * (high / low) ** (u[0] if self.variables > self.free else 0.0)
        return np.where(low <= high, f, np.nan)

    def judge(self, which, u):
        """Return (merit or minus infinity, figures) of candidates by number."""
        p, material = self.p[which], self.material[which]
        with np.errstate(all="ignore"):
            r = figures(self.kind, self.si, p, self.frequency(p, material, u), material, u[-self.free :])
            return np.where(r.fine, MERITS[self.merit](r), -np.inf), r

    def start(self, random):
        """Return the points to start from: a grid, or as many points as fill a space of many variables."""
        if self.variables > 3:
            points = random.uniform(0, 1, (self.variables, START))
            ends = random.uniform(0, 1, points.shape)
            points = np.where(ends < 0.1, 0.0, np.where(ends > 0.8, 1.0, points))
            points[-1] = np.where(ends[-1] < 0.7, 1.0, points[-1])
            return points, np.full(self.variables, 0.2)
        counts = [13] * (self.variables - self.free) + GRIDS[self.free]
        if self.kind == "hysteresis":
            counts = [5] * (self.variables - self.free) + [43, 4]
        grid = np.stack([a.ravel() for a in np.meshgrid(*(np.linspace(0, 1, n) for n in counts))])
        return grid, np.array([2 / (n - 1) for n in counts])


START = 800  # points of a space of many variables
RIVALS = 4  # pole numbers and materials never given up
EFFORT = {False: (40, 12, 10), True: (120, 48, 3)}  # rounds, team, tries of few and of many variables


def search(kind, si, merit, seed=1):
    """Return the best candidate found as a namespace of figures, or None if none is inside all limits.

    Every pole number and material has a start over all free variables, and a team of its best points. In every round
    each point tries random steps, which shrink, and steps along the difference of two of its team, which follow a
    ridge, some of them towards one of its best. Steps are cut at the ends of a variable, so ends are tried too.
    """
    random, all_of = np.random.default_rng(seed), Candidates(kind, si, merit)
    rounds, team, tries = EFFORT[all_of.variables > 3]
    grid, width = all_of.start(random)
    width = width[:, None, None, None]
    which = np.arange(all_of.p.size)
    value, _ = all_of.judge(np.repeat(which, grid.shape[1]), np.tile(grid, which.size))
    value = value.reshape(which.size, -1)
    start = np.argsort(-value, axis=1)[:, :team]
    u, value = grid[:, start], np.take_along_axis(value, start, axis=1)
    if not np.isfinite(value.max()):
        return None
    for turn in range(rounds):
        best = value.max(axis=1)
        keep = best >= min(best.max() * min(0.5 + turn / rounds, 0.999), np.sort(best)[-RIVALS:][0])
        which, u, value = which[keep], u[:, keep], value[keep]
        order = np.argsort(-value, axis=1)
        u, value = np.take_along_axis(u, order[None], axis=2), np.take_along_axis(value, order, axis=1)
        box = (*u.shape, tries)
        step = random.uniform(-1, 1, box) * width * 10.0 ** -random.uniform(0, 1 + 3 * turn / rounds, box[1:])
        step *= random.uniform(0, 1, box) < 0.6  # not all variables at once, or edges are hard to follow
        one, other = (u[:, :, random.integers(0, team, (team, tries))] for _ in range(2))
        ahead = u[:, :, random.integers(0, team // 5, (team, tries))] - u[..., None]
        along = random.uniform(0, 1.5, box[1:]) * (one - other)
        along = along + np.where(random.uniform(0, 1, box[1:]) < 0.6, random.uniform(0, 1, box[1:]) * ahead, 0.0)
        tried = np.clip(u[..., None] + np.where(random.uniform(0, 1, box[1:]) < 0.3, step, along), 0, 1)
        found, _ = all_of.judge(np.repeat(which, team * tries), tried.reshape(len(tried), -1))
        found = found.reshape(box[1:])
        best = found.argmax(axis=-1)[..., None]
        better = found.max(axis=-1) > value
        u = np.where(better, np.take_along_axis(tried, best[None], axis=-1)[..., 0], u)
        value = np.maximum(value, found.max(axis=-1))
    top = np.unravel_index(np.argmax(value), value.shape)
    _, r = all_of.judge(which[[top[0]]], u[:, top[0], top[1]][:, None])
    r.merit, r.u = float(value.max()), u[:, top[0], top[1]]
    return r
