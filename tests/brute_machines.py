"""One candidate machine at a time, in plain NumPy, for the dense search.

Written afresh from the physics, as a check of the package's optimum. Of `scaling` it takes tables of materials, slot
ripple, and permeances and rib stress of reluctance rotors, which are held against finite elements; nothing else.

Each rotor takes free variables between 0 and 1, the last being the part of the largest loading, and returns a
namespace with loading A, gap field B (complex: its phase against the current sheet), slip, and what else is free.
"""

from types import SimpleNamespace

import brute_pull_out as pull_out
import numpy as np
from brute_cage import induction, spread
from brute_loops import in_phase_figures, loop_figures
from brute_stage import MU_0, barriers, core_heat, core_limit, iron, surface_heat, winding_heat, with_iron

from scaling.ground import materials
from scaling.laws import saliency

GAUSS = np.polynomial.legendre.leggauss(6)
POLE_ARCS, BARRIER_SHARES = (0.3, 0.7), (0.2, 0.65)


def driven_ring(s, H, mu, t):
    """Return the complex current sheet and field at the stator face that go with a ring's mean square field."""
    inner, mean = s.D / 2 - t, 0.0

    def within(r):
        """Return potential and r times the field along the ring over p, from a potential 1 on the hub."""
        way = s.p * np.log(r / inner)
        return np.cosh(way) + mu * np.sinh(way), np.cosh(way) + np.sinh(way) / mu

    for place, weight in zip(*GAUSS, strict=True):
        r = inner + t * (1 + place) / 2
        a, h = within(r)
        mean = mean + weight / 2 * t * r * (abs(h) ** 2 + abs(a / mu) ** 2) / r**2
    (a, h), scale = within(s.D / 2), H / np.sqrt(mean / (t * (s.D - t) / 2))
    C, D, scale = np.cosh(s.k * s.magnetic_gap), np.sinh(s.k * s.magnetic_gap), 2 * scale / s.D_b
    A, B = scale * (h * C + a * D), MU_0 * scale * (a * C + h * D)
    return abs(A), -1j * B * abs(A) / A


def shaped(si, material, part):
    """Return (pole arc, barrier share) at a part of their range, or as the brief gives them."""
    arc, share = (low + (high - low) * part for low, high in (POLE_ARCS, BARRIER_SHARES))
    return (arc if si.pole_arc is None else si.pole_arc), (share if si.barrier_share is None else si.barrier_share)


def reluctance(si, s, f, spare, slip_range, material, u):
    """Return a reluctance rotor at any load angle: salient poles (0), or a number of barriers with saturated ribs."""
    g_m, barred, (arc, share) = s.magnetic_gap, material > 0, shaped(si, material, u[1])
    height = s.deepest * (0.2 + 0.8 * u[2])
    deepest = s.D_b / 2 * np.log(s.D / (s.D - 2 * height))
    poles = {"alpha": arc, "k": s.k, "g_m": g_m}
    h_d, h_q = (axis(h_p=deepest, **poles) for axis in (saliency.d_axis_depth, saliency.q_axis_depth))
    rib, count, whole = barriers(si, s, material, share)
    g_e = saliency.barrier_gap(g_m=g_m, tau=s.tau, n_b=count, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=s.k, g_m=g_m, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=s.k, g_e=g_e, n_b=count, kappa_b=share, P_d=P_d)
    P_d = np.where(barred, P_d, saliency.pole_d_axis_permeance(h_d=h_d, **poles))
    P_q = np.where(barred, P_q, saliency.pole_q_axis_permeance(h_q=h_q, **poles))
    potential = saliency.innermost_potential(k=s.k, g_e=g_e, n_b=count, kappa_b=share)
    past = np.where(barred, 4 * materials.RIB_FIELD * rib / s.tau * potential * (1 - P_q / P_d), 0.0)
    in_segments = (1 - share) * si.yoke_field_limit * si.stacking_factor * s.D / s.D_b
    limit = np.minimum(s.B_limit, np.where(barred, in_segments, core_limit(si, s, height)))
    delta, spare, m, reserve = u[0] * np.pi / 2, spare(0.0), pull_out.asked("reluctance", si), np.inf
    open_gap, g_m = MU_0 / np.tanh(s.k * g_m), np.where(barred, g_e, g_m)  # harmonics see the barriers' mouths
    if m > 1:  # the range of angles ends where the reserve is just left; the ribs' flux left out
        R, X_l, X_0 = pull_out.winding(si, s, f, g_m)
        X_0 = X_0 * open_gap / MU_0
        most, by_angle = pull_out.reluctance(m, R, X_0 * P_d + X_l, X_0 * P_q + X_l)
        delta = most * u[0]
        reserve = by_angle(delta)
    # Under the edge of a pole, where the current sheet's potential is largest if it lies beyond.
    at_edge = np.where(barred, 0.0, open_gap * np.cos(np.maximum(delta - arc * np.pi / 2, 0.0)))

    def gap_field(A):
        """Return the field of a current sheet on the two axes, turned back so that the sheet is real."""
        d, q = P_d * open_gap * A * np.cos(delta), P_q * open_gap * A * np.sin(delta)
        q = np.minimum(q + past, P_d * open_gap * A * np.sin(delta))  # below it the ribs are not saturated
        return -1j * (d + 1j * q) * np.exp(-1j * delta)

    def real(A):
        """Return the current sheet with the iron's part, and the field beside it."""
        B = gap_field(A)
        return with_iron(A, B, iron(si, s, B, np.where(barred, s.D / 2, s.D / 2 - height)))

    def over(A):
        B = gap_field(A)
        heat = winding_heat(si, s, f, real(A)[0]) + core_heat(si, s, f, abs(B)) * (1 + s.back**2)
        heat = heat + surface_heat("reluctance", si, s, f, B, 5e6, 500.0)
        return (heat > spare) | (np.maximum(abs(B) / limit, at_edge * A / s.tooth_limit) * (1 + s.back) > 1)

    low, high = 0.0, np.sqrt(spare / winding_heat(si, s, f, 1.0)) + 0 * delta
    for _ in range(40):
        middle = (low + high) / 2
        too_much = over(middle)
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    ideal = low * spread(u[-1], 4)
    A, B = real(ideal)
    B = np.where(~barred | whole, B, np.nan)
    return SimpleNamespace(
        A=A,
        ideal=ideal,
        B=B,
        back=-1j * s.back * abs(B),
        slip=0.0,
        t=s.deepest,
        arc=arc,
        share=share,
        count=count,
        delta=delta,
        g_m=g_m,
        B_limit=limit,
        reserve=reserve,
        ripple=surface_heat("reluctance", si, s, f, B, 5e6, 500.0),
    )


def magnet(si, s, f, spare, slip_range, material, u):
    """Return a magnet rotor of any grade up to the one named, its current as far ahead as may be: it magnetises."""
    grade, spare, inner = materials.MAGNETS[si.magnet], spare(0.0), s.D / 2 - s.deepest
    way = s.k * s.magnetic_gap + s.p * np.log(s.D / 2 / inner)
    sent = 0.0  # by a thin ring of magnetisation through the bore, summed up
    for place, weight in zip(*GAUSS, strict=True):
        r = inner + s.deepest * (1 + place) / 2
        sent = sent + weight / 2 * s.deepest * np.cosh(s.p * np.log(r / inner))
    edge = np.sin(si.magnet_arc * np.pi / 2)
    limit = np.minimum(s.other_limit, core_limit(si, s, s.deepest)) / (1 + s.back)
    # Iron takes a part of the magnets' own magnetomotive force, at the largest field there is.
    hot = grade.remanence * (1 - grade.temperature_coefficient * (si.ambient + si.temperature_rise - materials.T_20))
    strongest, g_m, own = 4 / np.pi * edge * hot * s.k * sent / np.sinh(way), way / s.k, MU_0 / np.tanh(way)
    fullest = np.minimum(strongest, np.minimum(limit, s.tooth_limit / (1 + s.back)))
    B_m = strongest / (1 + iron(si, s, fullest, inner) * own / fullest) * u[0]
    ahead = u[1] * np.pi / 2 if pull_out.asked("magnet", si) > 1 else 0.0 * u[1]

    def field(A):
        """Return the field beside a current sheet that is real."""
        return -1j * (B_m * np.exp(-1j * (np.pi / 2 - ahead)) + own * A)

    def heat(A):
        B = abs(field(A))
        core = core_heat(si, s, f, B) + core_heat(si, s, f, own * s.back * A)
        return winding_heat(si, s, f, A) + core + surface_heat("magnet", si, s, f, B, 0.7e6, 1.05)

    def over(A):
        flat = B_m * np.pi / 4 / edge + own * A * np.sin(np.minimum(si.magnet_arc * np.pi / 2 + ahead, np.pi / 2))
        return np.maximum(np.maximum(heat(A) / spare, abs(field(A)) / limit), flat * (1 + s.back) / s.tooth_limit)

    low, high = 0.0, np.sqrt(spare / winding_heat(si, s, f, 1.0)) + 0 * B_m
    for _ in range(40):
        middle = (low + high) / 2
        too_much = over(middle) > 1
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    A = low * spread(u[-1], 4)
    reserve, m = np.inf, pull_out.asked("magnet", si)
    if m > 1:
        R, X_l, X_0 = pull_out.winding(si, s, f, g_m)
        current = A * np.exp(-1j * ahead) / (2 * f * s.tau * B_m)  # beside the magnets' voltage of one
        reserve = pull_out.magnet(R, X_0 / np.tanh(way) + X_l, current)
    B = np.where(over(low) <= 1 + 1e-9, field(A), np.nan)
    return SimpleNamespace(
        A=A,
        B=B,
        back=-1j * own * s.back * A,
        slip=0.0,
        t=s.deepest,
        g_m=g_m,
        B_limit=limit * (1 + s.back),
        reserve=reserve,
        ripple=surface_heat("magnet", si, s, f, B, 0.7e6, 1.05),
    )


def hysteresis(si, s, f, spare, slip_range, material, u):
    """Return a ring of any thickness at any field, the root mean square over its thickness, on a non-magnetic hub.

    With a reserve its polarisation, as large as at pull-out, lags by less.
    """
    H, spare, m = 10.0 ** (7 * u[0]), spare(0.0), pull_out.asked("hysteresis", si)
    (_, energy), along = loop_figures(material, H), in_phase_figures(material, H)
    across = energy / (np.pi * H)
    along, across = np.sqrt(along**2 + across**2 - (across / m) ** 2), across / m
    mu = 1 + (along - 1j * across) / (MU_0 * H)  # of the fundamental

    def real(t):
        """Return the current sheet with the stator iron's part, and the field beside it."""
        A, B = driven_ring(s, H, mu, t)
        return with_iron(A, B, iron(si, s, B))

    def over(t):
        A, B = real(t)
        heat = winding_heat(si, s, f, A) + core_heat(si, s, f, abs(B)) * (1 + s.back**2)
        heat = (
            heat + 2 * m * s.back**2 * np.real(-B * A) / 2 * 2 * np.pi * f / s.k * s.bore
        )  # loops of the backward wave
        heat = heat + surface_heat("hysteresis", si, s, f, B, 2e6, 5.0)
        return (heat > spare) | (abs(B) > s.B_limit / (1 + s.back))

    low, high = np.full(np.shape(H + spare), -12.0), np.zeros(np.shape(H + spare))
    for _ in range(34):  # to 2e-9 of the thickness
        middle = (low + high) / 2
        too_thick = over(s.deepest * 10.0**middle)
        low, high = np.where(too_thick, low, middle), np.where(too_thick, middle, high)
    t = s.deepest * 10.0 ** np.where(over(s.deepest), low, 0.0) * spread(u[-1], 4)
    A, B = real(t)
    B = np.where(over(t * (1 - 1e-8)), np.nan, B)
    return SimpleNamespace(
        A=A,
        B=B,
        back=s.back * B,
        slip=0.0,
        t=t,
        H=H,
        lag=m,
        g_m=s.magnetic_gap,
        B_limit=s.B_limit,
        reserve=np.inf,
        ripple=surface_heat("hysteresis", si, s, f, B, 2e6, 5.0),
    )


ROTORS = {f.__name__: f for f in (induction, hysteresis, reluctance, magnet)}
