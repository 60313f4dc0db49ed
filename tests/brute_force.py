"""One candidate machine at a time, in plain NumPy, and a dense search over all of them.

Written afresh from the physics as a check of the package's optimum: of `scaling` it takes the tables of materials and
constants, and nothing else. Where the package has closed-form optima, here everything is tried out.
"""

from types import SimpleNamespace

import numpy as np
from brute_loops import loop_figures

from scaling.ground import materials
from scaling.ground.constants import VALUES

MU_0, STEFAN_BOLTZMANN, GRAVITY = VALUES["mu_0"], VALUES["sigma_SB"], VALUES["g_n"]
POLE_PAIRS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48], float)
THIN = 0.3  # largest k*g of thin-gap formulas; a single pole pair is let through
PULL_IN = {"reluctance": 0.5, "magnet": 0.25}
ROUNDS, TEAM, TRIES = 40, 12, 10
SHALLOWEST = 1e-3  # thinnest sheet or ring tried, as a part of the deepest


# The stage


def shape(si, p):
    """Return lengths, areas, mass and inertia of the stage for an array of pole pairs."""
    s, D = SimpleNamespace(p=p), si.rotor_diameter
    s.D, s.L = D, si.active_length
    s.g = max(si.gap_floor, si.gap_ratio * D)
    s.tau = np.pi * D / (2 * p)
    s.k = np.pi / s.tau
    whole = np.pi * D / (6 * p)  # slot pitch with one slot per pole and phase
    fine = whole / si.slots_per_pole_and_phase
    s.pitch = np.where(fine >= si.slot_pitch_floor, fine, whole)
    u = si.slot_opening_ratio * s.pitch / (2 * s.g)
    lost = 4 / np.pi * (u * np.arctan(u) - np.log(np.sqrt(1 + u * u))) * s.g
    s.carter = s.pitch / (s.pitch - lost)
    s.D_o = si.outside_ratio * (D + 2 * s.g)
    s.slot = si.slot_depth_ratio * D
    s.yoke = s.D_o / 2 - D / 2 - s.g - s.slot
    s.ends = si.end_turn_ratio * s.tau / s.L
    s.bore = np.pi * D * s.L
    s.outside = np.pi * s.D_o * s.L + 2 * np.pi * (s.D_o / 2) ** 2
    s.volume = np.pi * (s.D_o / 2) ** 2 * s.L
    s.copper_volume = s.bore * s.slot * si.slot_fill * (1 + s.ends)
    s.tooth_volume = s.bore * s.slot * si.tooth_share
    s.yoke_volume = np.pi * ((s.D_o / 2) ** 2 - (s.D_o / 2 - s.yoke) ** 2) * s.L
    s.rotor_mass = materials.CORE_DENSITY * np.pi * (D / 2) ** 2 * s.L
    s.mass = (
        s.rotor_mass
        + materials.CORE_DENSITY * (s.tooth_volume + s.yoke_volume)
        + materials.CONDUCTORS[si.conductor].density * s.copper_volume
    )
    s.inertia = s.rotor_mass * (D / 2) ** 2 / 2
    s.deepest = np.minimum(si.rotor_depth_ratio * D, 0.5 / s.k)
    s.B_limit = np.minimum(si.gap_field_limit, si.yoke_field_limit * s.yoke * np.pi / s.tau)
    s.fits = (whole >= si.slot_pitch_floor) & ((p == 1) | (s.k * s.g * s.carter <= THIN))
    return s


def resistivity(name, si):
    """Return a conductor's resistivity when hot."""
    metal = materials.CONDUCTORS[name]
    hot = si.ambient + si.temperature_rise - materials.T_20
    return (1 + metal.temperature_coefficient * hot) / metal.conductivity


def winding_heat(si, s, A):
    """Return Joule heat of the winding in watts for a peak linear current density."""
    rms_density = A / (np.sqrt(2) * si.winding_factor) / (si.slot_fill * s.slot)
    return resistivity(si.conductor, si) * rms_density**2 * s.copper_volume


def core_heat(si, s, f, B):
    """Return core heat in watts for a peak gap field: teeth and yoke, each at its own flux density."""
    tooth_field, yoke_field = B / si.tooth_share, B * s.tau / (np.pi * s.yoke)
    weight = materials.CORE_DENSITY * (s.tooth_volume * tooth_field**2 + s.yoke_volume * yoke_field**2)
    specific = si.core_building_factor * si.core_loss / materials.LOSS_FIELD**2
    return specific * (f / materials.LOSS_FREQUENCY) ** 1.5 * weight


def air(si):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature, Sutherland's law."""
    a, T = materials.AIR, si.ambient + si.temperature_rise / 2
    rise = (T / a["T_0"]) ** 1.5
    conductivity = a["lambda_0"] * rise * (a["T_0"] + a["T_lambda"]) / (T + a["T_lambda"])
    density = a["p_a"] / (a["R_a"] * T)
    return conductivity, a["eta_0"] * rise * (a["T_0"] + a["T_eta"]) / (T + a["T_eta"]) / density, density


def cooling(si, s, speed):
    """Return the coefficient of heat transfer of the outside at a rotor speed."""

    def across(conductivity, viscosity, prandtl):  # Churchill and Bernstein 1977
        reynolds = si.coolant_speed * s.D_o / viscosity
        rise = (1 + (reynolds / 282000) ** (5 / 8)) ** (4 / 5)
        slope = 0.62 * reynolds**0.5 * prandtl ** (1 / 3) / (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
        return (0.3 + slope * rise) * conductivity / s.D_o

    if not isinstance(si.cooling, str):
        return si.cooling
    if si.cooling == "conduction":  # a sphere of the same surface
        return si.medium_conductivity / np.sqrt(s.outside / (4 * np.pi))
    if si.cooling == "water":
        return across(*(materials.WATER[n] for n in ("lambda_f", "nu_f", "Pr")))
    conductivity, viscosity, _ = air(si)
    prandtl, film, hot = materials.AIR["Pr"], si.ambient + si.temperature_rise / 2, si.ambient + si.temperature_rise
    rayleigh = GRAVITY / film * si.temperature_rise * s.D_o**3 / viscosity**2 * prandtl
    nusselt = (0.6 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    radiation = si.emissivity * STEFAN_BOLTZMANN * (hot**4 - si.ambient**4) / si.temperature_rise
    still = nusselt * conductivity / s.D_o + radiation
    moving = 0.0
    if si.cooling == "forced air":
        moving = across(conductivity, viscosity, prandtl)
    if si.cooling == "shaft fan":  # plate along the flow, whichever boundary layer passes more
        reynolds = si.fan_speed_ratio * speed * s.D / 2 * s.L / viscosity
        plate = np.maximum(0.664 * reynolds**0.5, 0.037 * reynolds**0.8) * prandtl ** (1 / 3)
        moving = plate * conductivity / s.L
    return si.fin_factor * (still**3 + moving**3) ** (1 / 3)


def heat_allowed(si, s, speed):
    """Return what the outside passes in watts."""
    return cooling(si, s, speed) * si.temperature_rise * s.outside


def bearing(si, s):
    """Return the friction torque of the bearing."""
    return si.bearing_friction * s.rotor_mass * GRAVITY * si.bearing_diameter_ratio * s.D / 2


def friction(si, s, speed):
    """Return the friction torque of bearing and air."""
    _, viscosity, density = air(si)
    reynolds = speed * s.D / 2 * s.g / viscosity
    narrow = (s.g / (s.D / 2)) ** 0.3
    coefficient = np.max(
        [4 / reynolds, 1.03 * narrow / reynolds**0.5 + 0 * speed, 0.065 * narrow / reynolds**0.2 + 0 * speed], axis=0
    )
    return bearing(si, s) + coefficient * np.pi / 2 * density * speed**2 * (s.D / 2) ** 4 * s.L


# The rotors. Each takes free variables between 0 and 1, the last being the part of the largest loading, and returns
# a namespace with loading A, gap field B (complex: its phase against the current sheet), slip, and what else is free.


def spread(part, decades):
    """Return a part between 0 and 1 on a logarithmic scale ending at 1."""
    return 10.0 ** (decades * (part - 1.0))


def largest_loading(si, s, f, spare, per_A, slip_heat):
    """Return the loading at which heat or gap field reach their limit, all being proportional to it."""
    by_heat = np.sqrt(spare / (winding_heat(si, s, 1.0) + core_heat(si, s, f, abs(per_A)) + slip_heat))
    return np.minimum(by_heat, s.B_limit / abs(per_A))


def induction(si, s, f, spare, slip_range, material, u):
    """Return an induction rotor at any slip in range and, for a sheet, any thickness."""
    slip = np.clip(si.slip_limit * spread(u[0], 5), *slip_range)
    if si.induction_rotor == "cage":
        t, g_m, filled = s.deepest, s.g * s.carter**2, si.bar_share
    else:
        t = s.deepest * spread(u[1], -np.log10(SHALLOWEST))
        g_m, filled = s.g * s.carter + t, 1.0
    rho = np.array([resistivity(m, si) for m in materials.CONDUCTORS])[material]
    conductance = filled * t / rho / (1 + 2 * filled / (s.k * s.L))  # with end rings 1/k wide
    G = 2 * np.pi * f * MU_0 * conductance / (s.k**2 * g_m)

    def field(A, slip):
        return -1j * MU_0 * A / (s.k * g_m) / (1 + 1j * slip * G)

    def stress(A, slip):
        return np.real(-field(A, slip) * A) / 2

    speed = 2 * np.pi * f / s.k
    A = largest_loading(si, s, f, spare(slip), field(1.0, slip), slip * stress(1.0, slip) * speed * s.bore)
    A = A * spread(u[-1], 4)
    at_rest = np.minimum(A * si.starting_current_ratio, s.B_limit / abs(field(1.0, 1.0)))
    return SimpleNamespace(A=A, B=field(A, slip), slip=slip, t=t, G=G, starting=stress(at_rest, 1.0))


def reluctance(si, s, f, spare, slip_range, material, u):
    """Return a salient rotor at any load angle."""
    g_m, a = s.g * s.carter, si.pole_arc
    r = np.tanh(s.k * g_m) / np.tanh(s.k * (g_m + s.deepest))
    P_d, P_q = ((a + side * np.sin(np.pi * a) / np.pi) * (1 - r) + r for side in (1, -1))
    delta = u[0] * np.pi / 2
    # Current on the two axes, i_d + j*i_q, its field turned back so that the current sheet is real.
    field = -1j * MU_0 / (s.k * g_m) * (P_d * np.cos(delta) + 1j * P_q * np.sin(delta)) * np.exp(-1j * delta)
    A = largest_loading(si, s, f, spare(0.0), field, 0.0) * spread(u[-1], 4)
    return SimpleNamespace(A=A, B=A * field, slip=0.0, t=s.deepest)


def magnet(si, s, f, spare, slip_range, material, u):
    """Return a magnet rotor with any part of the field its thickest, widest magnet gives, in phase with the current."""
    grade, g, spare = materials.MAGNETS[si.magnet], s.g * s.carter, spare(0.0)
    most = 4 / np.pi * np.sin(si.magnet_arc * np.pi / 2) * grade.remanence
    most = most * np.sinh(s.k * s.deepest) / np.sinh(s.k * (g + s.deepest))
    B_m = most * u[0]
    own = MU_0 / np.tanh(s.k * (g + s.deepest))
    by_heat = (spare - core_heat(si, s, f, B_m)) / (winding_heat(si, s, 1.0) + core_heat(si, s, f, own))
    by_field = (s.B_limit**2 - B_m**2) / own**2
    A = np.sqrt(np.maximum(np.minimum(by_heat, by_field), 0.0)) * spread(u[-1], 4)
    return SimpleNamespace(A=A, B=-B_m - 1j * own * A, slip=0.0, t=s.deepest)


def hysteresis(si, s, f, spare, slip_range, material, u):
    """Return a ring of any thickness at any peak field along it, in air on a non-magnetic hub."""
    H, spare = 10.0 ** (7 * u[0]), spare(0.0)
    peak, energy = loop_figures(material, H)
    lag = energy / (np.pi * H)
    flux = peak - 1j * lag  # fundamental of the ring's flux density, H real

    def gap_field(t):
        return s.k * t * flux  # in quadrature with H

    def loading(t):
        return H + gap_field(t) * s.k * s.g * s.carter / MU_0

    def over(t):
        heat = winding_heat(si, s, abs(loading(t))) + core_heat(si, s, f, abs(gap_field(t)))
        return (heat > spare) | (abs(gap_field(t)) > s.B_limit)

    low, high = np.full(np.shape(H + spare), -12.0), np.zeros(np.shape(H + spare))
    for _ in range(40):
        middle = (low + high) / 2
        too_thick = over(s.deepest * 10.0**middle)
        low, high = np.where(too_thick, low, middle), np.where(too_thick, middle, high)
    t = s.deepest * 10.0 ** np.where(over(s.deepest), low, 0.0) * spread(u[-1], 4)
    A = loading(t)
    turn = abs(A) / A
    B = np.where(over(t * (1 - 1e-9)), np.nan, -1j * gap_field(t) * turn)
    return SimpleNamespace(A=abs(A), B=B, slip=0.0, t=t)


ROTORS = {f.__name__: f for f in (induction, hysteresis, reluctance, magnet)}


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
    crossing = np.real(-r.B * r.A) / 2 * 2 * np.pi * f / s.k * s.bore  # electric field v*B along the current
    r.frequency, r.p, r.material = f, p, material
    r.speed = synchronous * (1 - r.slip)
    r.gap_torque = crossing / synchronous
    drag = friction(si, s, synchronous * (1 - r.slip))
    allowed = heat_allowed(si, s, synchronous * (1 - r.slip))
    r.torque = r.gap_torque - drag
    r.power = r.torque * r.speed
    r.electric = crossing + winding_heat(si, s, r.A) + core_heat(si, s, f, abs(r.B))
    r.loss = r.electric - r.power
    r.allowed = allowed
    r.volume, r.mass, r.s = s.volume, s.mass, s
    r.fine = s.fits & (r.torque > 0) & (r.loss <= allowed * (1 + 1e-9)) & (abs(r.B) <= s.B_limit * (1 + 1e-9))
    r.fine &= (r.slip >= 0) & (r.slip <= si.slip_limit * (1 + 1e-12))
    if si.torque is not None:
        r.fine &= r.torque >= si.torque
    if si.self_starting:
        r.fine &= starts(kind, si, s, r)
    return r


def starts(kind, si, s, r):
    """Return whether rotors start by themselves: on their torque at rest, or by pulling themselves in."""
    if kind == "induction":
        return r.starting * np.pi * s.D**2 * s.L / 2 > bearing(si, s)
    if kind == "hysteresis":
        fixed = si.supply_frequency[0] == si.supply_frequency[1]
        return np.array(True) if not fixed else r.gap_torque > 0
    omega = 2 * np.pi * np.minimum(si.supply_frequency[0], r.frequency)
    return r.p * r.gap_torque / (s.inertia * (1 + si.load_inertia_ratio) * omega**2) >= PULL_IN[kind]


MERITS = {
    "torque per volume": lambda r: r.torque / r.volume,
    "torque per mass": lambda r: r.torque / r.mass,
    "power per volume": lambda r: r.power / r.volume,
    "efficiency": lambda r: r.power / r.electric,
    "torque per root watt": lambda r: r.torque / np.sqrt(r.loss),
}


def frequencies(si, kind, p):
    """Return the lowest and highest frequency of supply, speed asked for and rim speed (at no load)."""
    low, high = si.supply_frequency
    low, high = low + 0 * p, np.minimum(high, si.rim_speed_limit / (si.rotor_diameter / 2) * p / (2 * np.pi))
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
    names = {"induction": materials.CONDUCTORS, "hysteresis": materials.LOOP_MATERIALS}.get(kind, {None: None})
    named = [i for i, name in enumerate(names) if name == si.rotor_material] or range(len(names))
    p, material = (a.ravel() for a in np.meshgrid(poles, named))
    low, high = frequencies(si, kind, p)
    able = (low <= high) & shape(si, p).fits
    p, material, low, high = (a[able] for a in (p, material, low, high))
    if not p.size:
        return None
    free = {"induction": 2 + (si.induction_rotor == "sheet")}.get(kind, 2)
    counts = [13] * bool(np.any(low < high)) + {2: [31, 7], 3: [17, 9, 5]}[free]
    if kind == "hysteresis":
        counts = [7] * (len(counts) > free) + [36, 3]
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
