"""The induction rotor of the dense search: bars in slots under tooth tips, or a plain sheet."""

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
from brute_pull_out import asked, winding
from brute_pull_out import induction as pull_out
from brute_stage import (
    MU_0,
    carter,
    core_heat,
    core_limit,
    iron,
    largest,
    leakage,
    resistivity,
    surface_heat,
    tips_left,
    winding_heat,
    with_iron,
)

from scaling.ground import materials

SHALLOWEST = 1e-3  # thinnest sheet tried, as a part of the deepest
EDGES = np.linspace(1, 0, 41) ** 2  # of thin rings into which a layer is cut, below its surface over its depth
SHALLOW = 1e-3  # square of depth over skin depth at which there is no skin effect left


def spread(part, decades):
    """Return a part between 0 and 1 on a logarithmic scale ending at 1."""
    return 10.0 ** (decades * (part - 1.0))


def across(k, g, surface):
    """Return the complex field at the stator face per current sheet, g in front of a surface of an admittance."""
    return -1j * MU_0 * (np.cosh(k * g) + surface * np.sinh(k * g)) / (np.sinh(k * g) + surface * np.cosh(k * g))


def sheet(si, s, rho, t, w_e):
    """Return a sheet of a thickness and an overhang."""
    unrolled = s.D_b / 2 * np.log(s.D / (s.D - 2 * t))
    return _layer(si, s, rho, t, 0.0, 1.0, w_e, gap=s.magnetic_gap, series=np.zeros(1), g_m=s.magnetic_gap + unrolled,
                  tooth_limit=np.inf)  # fmt: skip


def cage(si, s, rho, t, filled, wide, w_e):
    """Return a cage: whole depth, share of the bars, slot opening over its pitch, width of the end rings."""
    pitch, step = bar_pitch(s), np.pi / (6 * s.q)  # half the electrical angle between bars
    gap = s.magnetic_gap * carter(pitch, wide * pitch, s.g)
    steps = ((step / np.sin(step)) ** 2 - 1) / np.tanh(s.k * gap)
    series = np.stack(np.broadcast_arrays(s.lip / (wide * pitch) * 2 * step, steps))
    narrowest = si.tooth_field_limit * si.stacking_factor * (1 - filled) * (s.D - 2 * t) / s.D_b
    return _layer(si, s, rho, t, s.lip, filled, w_e, gap=gap, series=series, g_m=gap, tooth_limit=narrowest,
                  wide=wide * pitch)  # fmt: skip


def _layer(si, s, rho, t, top, filled, w_e, **more):
    """Return a conducting layer with its end rings, as deep as the conductor and a mean diameter round.

    `gap` lies before the surface, `series` is what leakage of lips and waves adds to the inverse of its admittance.
    """
    mean, depth = s.D - top - t, t - top
    ends = 2 * filled / (2 * s.p / mean * s.L * np.tanh(2 * s.p / mean * w_e))
    c = SimpleNamespace(t=t, depth=depth, filled=filled, w_e=w_e, rho=rho * (1 + ends), **more)
    c.ring_volume = 2 * w_e * np.pi * mean * depth
    c.limit = np.minimum(np.minimum(s.B_limit, c.tooth_limit), core_limit(si, s, t))
    return c


def bar_pitch(s):
    """Return the pitch of as many bars as the stator has slots."""
    return np.pi * s.D / (6 * s.p * s.q)


def tried(si, s, rho, depth=0.0, share=0.0, opening=0.0, ring=0.0):
    """Return (layer, whether it can be made) of measures that stand each at a part of their range."""
    if si.induction_rotor == "sheet":
        return sheet(si, s, rho, s.deepest * spread(depth, -np.log10(SHALLOWEST)), s.widest_ring), True
    finest = si.slot_pitch_floor / 2 / bar_pitch(s)
    low, high = np.maximum(finest, 0.1), np.minimum(1 - finest, 0.9)
    filled = low + share * (high - low) if si.bar_share is None else si.bar_share + 0 * finest
    narrow = np.minimum(finest / 2, filled)
    wide = narrow * (filled / narrow) ** opening
    if si.rotor_slot_opening_ratio is not None:
        wide = np.minimum(si.rotor_slot_opening_ratio, filled)
    shallow = np.maximum(s.deepest / 10, 2 * s.lip)
    t = shallow * (s.deepest / shallow) ** depth
    made = cage(si, s, rho, t, filled, wide, s.widest_ring * spread(ring, 1))
    return made, (2 * s.lip <= s.deepest) & (low <= high)


def conducting_surface(si, s, slip_frequency, c):
    """Return r*a'/(p*a) on a layer's rotor, cut into rings; what leaks past bars drives no current in them."""
    # Between teeth of ideal iron the field enters along the bars only.
    diffusion, straight = 2j * np.pi * slip_frequency * MU_0 / c.rho, si.induction_rotor == "cage"
    gamma, met, inner = np.sqrt(diffusion), 0.0, s.D / 2 - c.t
    for deep, near in pairwise(EDGES):  # the torque of the current within a radius is carried outwards
        r = inner + (1 - (deep + near) / 2) * c.depth
        if not straight:
            gamma = np.sqrt(diffusion + (s.p / r) ** 2)
        bend = np.tanh(gamma * (deep - near) * c.depth)
        met = (met + r * gamma * bend) / (1 + met * bend / (r * gamma))
    met = c.filled * met / s.p
    return met / (1 + np.sum(c.series, axis=0) * met)


def branch(si, s, f, c):
    """Return the rotor's impedance at a slip of one without skin effect, R_2 + j*X_2, behind the gap's own leakage.

    Taken from the field at so low a slip that current spreads evenly: what the gap takes, less its own leakage
    tanh(k*g), beside its own reactance 1/tanh(k*g) - tanh(k*g).
    """
    slip = SHALLOW * c.rho / (2 * np.pi * f * MU_0 * c.depth**2)
    whole, speed = -2 * f * s.tau * across(s.k, c.gap, conducting_surface(si, s, f * slip, c)), 2 * f * s.tau
    leak = np.tanh(s.k * c.g_m)
    seen = 1 / (1 / (whole - 1j * MU_0 * speed * leak) - 1 / (1j * MU_0 * speed * (1 / leak - leak)))
    return np.real(seen) * slip + 1j * np.imag(seen)


def induction(si, s, f, spare, slip_range, material, u):
    """Return an induction rotor at any slip in range, of any depth, bar share, slot opening and end rings."""
    low, high = slip_range
    names = list(materials.CONDUCTORS)
    rho = np.array([resistivity(m, si) for m in names])[material]
    density = np.array([materials.CONDUCTORS[m].density for m in names])[material]
    c, fits = tried(si, s, rho, *u[1:-1])
    slip, m, reserve = slip_at(si, u[0]), asked("induction", si), np.inf
    if m > 1:  # the range of the slip ends where the reserve is just left
        R, X_l, X_0 = winding(si, s, f, c.g_m)
        leak = np.tanh(s.k * c.g_m)
        most, by_slip = pull_out(m, R, X_l + X_0 * leak, X_0 * (1 / leak - leak), branch(si, s, f, c))
        slip = slip * np.minimum(most / slip_at(si, 1.0), 1.0)
        reserve = by_slip(np.clip(slip, low, high))
    slip = np.clip(slip, low, high)

    def waves(slip, c=c):
        """Return the fields of both waves of a unit current sheet, and the stresses forwards and backwards."""
        field = across(s.k, c.gap, conducting_surface(si, s, f * slip, c))
        if not s.back:
            return field, 0.0 * field, np.real(-field) / 2, 0.0
        opposed = s.back * across(s.k, c.gap, conducting_surface(si, s, f * (2 - slip), c))
        return field, opposed, np.real(-field) / 2, s.back * np.real(-opposed) / 2

    speed = 2 * f * s.tau
    field, opposed, driving, braking = waves(slip)
    heat = (slip * driving + (2 - slip) * braking) * speed * s.bore
    facing = (5e6, 500.0) if si.induction_rotor == "cage" else (1 / rho, 1.0)
    ripple = surface_heat("induction", si, s, f, field, *facing)
    core = core_heat(si, s, f, abs(field)) + core_heat(si, s, f, abs(opposed))
    rest, budget = core + heat + (1 - slip) * ripple, spare(slip)
    by_heat = np.sqrt(budget / (winding_heat(si, s, f, 1.0) + rest))

    def real(A):
        """Return the current sheet with the iron's part, and the field beside it."""
        share = c.filled if si.induction_rotor == "cage" else None
        return with_iron(A, field * A, iron(si, s, field * A, s.D / 2 - c.t, share))

    most = np.minimum(by_heat, c.limit / (abs(field) + abs(opposed)))
    ideal = largest(most, lambda A: (winding_heat(si, s, f, real(A)[0]) + rest * A**2) / budget) * spread(u[-1], 4)
    A, B = real(ideal)

    def starting():
        """Return the stress at rest on the running point's voltage, which most briefs do not ask for."""

        def impedance(field, opposed, left=(1.0, 1.0)):
            watts = winding_heat(si, s, f, 1.0) + 1j * leakage(si, s, f, 1.0, c.g_m, left)
            return (-field - s.back * opposed) * speed + 2 * watts / s.bore

        def saturated(current, opening, pitch, peak):
            """Return the parts of a side's leakage that are left, over those of the running point."""
            run, now = (tips_left(each * peak, opening, s.g, pitch) for each in (A, A * np.maximum(current, 1.0)))
            return [b / a for a, b in zip(run, now, strict=True)]

        more = np.ones_like(A)
        for _ in range(12):
            left, made = saturated(more, s.opening, s.pitch, s.pitch / si.winding_factor), c
            if si.induction_rotor == "cage":
                pitch = bar_pitch(s) * s.D_b / s.D
                made = SimpleNamespace(**vars(c))
                made.series = c.series * np.array(saturated(more, c.wide, pitch, pitch))
            at_rest = waves(np.ones_like(slip), made)
            more = abs(impedance(B / A, opposed * ideal / A) / impedance(*at_rest[:2], left))
        most = c.limit / (abs(at_rest[0]) + abs(at_rest[1]))
        return np.minimum(A * more, most) ** 2 * (at_rest[2] - at_rest[3])

    return SimpleNamespace(
        A=np.where(fits, A, np.nan),
        B=B,
        back=opposed * ideal,
        ideal=ideal,
        slip=slip,
        t=c.t,
        cage=c,
        g_m=c.g_m,
        B_limit=c.limit,
        reserve=reserve,
        ring_mass=density * c.ring_volume,
        starting=starting,
        ripple=ripple * ideal**2,
    )


def slip_at(si, part):
    """Return the slip at a part of the range searched."""
    return (0.99 if si.slip_limit is None else si.slip_limit) * spread(part, 5)
