"""Stacks of rings for tests: a motor, random stacks, and their fields in long arithmetic."""

import mpmath as mp
import numpy as np
from hypothesis import strategies as st

from scaling.field import Ring, rotating_wave
from scaling.ground.constants import VALUES

MU_0 = VALUES["mu_0"]
STEEL = Ring(0.02, 1.6e6, 30, turns=True)
ALUMINIUM = Ring(0.03, 3.72e7, turns=True)
GAP = Ring(0.032)
WINDING = Ring(0.052, current_density_peak=1e6)
MOTOR = {"pole_pairs": 1, "frequency": 60.0, "speed": 100.0, "outside": "air"}
MOTOR_RINGS = [STEEL, ALUMINIUM, GAP, WINDING, Ring(0.057, relative_permeability=30)]
FIGURES = ("torque_per_length", "heat", "mechanical_power", "supply_power")


def solve(*rings, **changed):
    return rotating_wave(**MOTOR | {"rings": list(rings or MOTOR_RINGS)} | changed)


def gap_edge(stator):
    """Return the outer radius of the gap that counts: Carter's coefficient makes it wider, at the same bore."""
    return stator.D.item() / 2 * np.exp((stator.slotted_gap / (stator.bore / 2)).item())


def changed_ring(ring, **changed):
    return Ring(**vars(ring) | changed)


def power_of_ten(low, high):
    return st.floats(low, high).map(lambda exponent: 10.0**exponent)


@st.composite
def stacks(draw, most_pole_pairs=200, thinnest=-6, widest_skin=3):
    """Return a stack: rotor rings that turn, a gap, a winding, perhaps a can outside."""
    p = draw(st.sampled_from([q for q in (1, 1, 2, 2, 3, 5, 7, 13, 25, 60, 200) if q <= most_pole_pairs]))
    omega, sense = 2 * np.pi * draw(power_of_ten(0, 3)), draw(st.sampled_from([1, -1]))
    slip = draw(power_of_ten(-6, 0.3)) * draw(st.sampled_from([-1, 1]))
    radius, rings, scale = draw(power_of_ten(-3, 0)), [], None

    def lossy(outer, thickness, past, turns):
        mu = draw(power_of_ten(0, 3)) * draw(st.sampled_from([1.0, 1 - 1e-6j, 1 - 0.3j, 1 - 2j]))
        skin = thickness * draw(power_of_ten(-3, widest_skin))
        sigma = min(2 / (past * MU_0 * abs(mu) * skin**2), 1e15) * draw(st.sampled_from([0, 1, 1]))
        return Ring(outer, sigma, mu, turns)

    past = omega * abs(slip)
    rings.append(draw(st.sampled_from([Ring(radius), Ring(radius, 0.0, 1e3), lossy(radius, radius, past, True)])))
    for _ in range(draw(st.integers(1, 2))):
        thickness = radius * draw(power_of_ten(thinnest, 0.3))
        radius = radius + thickness
        rings.append(lossy(radius, thickness, past, True))
    for share, J in ((draw(power_of_ten(-5, 0)), 0.0), (draw(power_of_ten(-3, 0)), 1e6)):
        radius = radius * (1 + share)
        rings.append(Ring(radius, current_density_peak=J))
    if draw(st.booleans()):
        thickness = radius * draw(power_of_ten(thinnest, -0.5))
        scale = radius + thickness
        rings.append(lossy(scale, thickness, omega, False))
    return {
        "pole_pairs": p, "frequency": omega / (2 * np.pi), "speed": sense * omega / p * (1 - slip), "sense": sense,
        "rings": rings, "outside": draw(st.sampled_from(["iron", "air"])),
    }  # fmt: skip


def besselk(order, z):
    """Return K of a whole order: K_0 by its series, K_1 by the Wronskian, then upwards; mpmath's own takes minutes."""
    x, term, harmonic, total = z**2 / 4, mp.mpf(1), mp.mpf(0), mp.mpf(0)
    for n in range(1, 10000):
        term, harmonic = term * x / n**2, harmonic + mp.mpf(1) / n
        total += term * harmonic
        if abs(term) * harmonic < mp.eps * abs(total):
            break
    below = total - (mp.log(z / 2) + mp.euler) * mp.besseli(0, z)
    here = (1 / z - mp.besseli(1, z) * below) / mp.besseli(0, z)
    for n in range(1, int(order)):
        below, here = here, below + 2 * n / z * here
    return here if order else below


def many_digits(*, pole_pairs, frequency, speed, sense, rings, outside):
    """Return (torque on what turns, heat by ring): fields marched outwards with raw Bessel functions.

    Heat is the difference of fluxes; the digits cover the growth.
    """
    mp.mp.dps = 250
    p, mu_0 = mp.mpf(int(pole_pairs)), mp.mpf(MU_0)
    states, r = [], mp.mpf(0)
    for ring in rings:
        past = 2 * mp.pi * frequency - (sense * p * speed if ring.turns else 0)
        mu = mp.mpmathify(complex(ring.relative_permeability))
        mu = mu_0 * (mp.conj(mu) if past < 0 else mu)
        kappa, J = mp.sqrt(1j * past * mu * ring.conductivity), ring.current_density_peak
        if kappa:
            pair = [
                (lambda r, f=f, k=kappa: f(p, k * r), lambda r, f=f, g=g, k=kappa: k * (g(f, k * r)))
                for f, g in (
                    (mp.besseli, lambda f, z: (f(p - 1, z) + f(p + 1, z)) / 2),
                    (besselk, lambda f, z: -(f(p - 1, z) + f(p + 1, z)) / 2),
                )
            ]
        else:
            pair = [(lambda r, n=n: r**n, lambda r, n=n: n * r ** (n - 1)) for n in (p, -p)]
        if p == 2:
            own = (lambda r, c=-mu * J / 4: c * r**2 * mp.log(r), lambda r, c=-mu * J / 4: c * r * (2 * mp.log(r) + 1))
        else:
            own = (lambda r, c=-mu * J / (4 - p**2): c * r**2, lambda r, c=-mu * J / (4 - p**2): 2 * c * r)
        R = mp.mpf(float(ring.outer_radius))
        if r == 0:  # free amplitude, and what the core's own current adds: none here
            ends = [(pair[0][0](R), pair[0][1](R) / mu), (0, 0)]
        else:
            (f, df), (g, dg) = pair
            wronskian = f(r) * dg(r) - g(r) * df(r)
            ends = []
            for (a, h), add in zip(states[-1], (0, 1), strict=True):
                a, slope = a - add * own[0](r), mu * h - add * own[1](r)
                x, y = (a * dg(r) - g(r) * slope) / wronskian, (f(r) * slope - a * df(r)) / wronskian
                ends.append((x * f(R) + y * g(R) + add * own[0](R), (x * df(R) + y * dg(R) + add * own[1](R)) / mu))
        states.append(ends)
        r = R
    (a, h), (b, i) = states[-1]
    w = p / (mu_0 * r) if outside == "air" else 0
    c = -(i + w * b) / (h + w * a)
    flux, heats, torque = mp.mpf(0), [], mp.mpf(0)
    for ring, ((a, h), (b, i)) in zip(rings, states, strict=True):
        a, h = c * a + b, c * h + i
        outer = mp.pi * sense * p * mp.mpf(float(ring.outer_radius)) * mp.im(h * mp.conj(a))
        past = 2 * mp.pi * frequency - (sense * p * speed if ring.turns else 0)
        heats.append(0.0 if ring.current_density_peak else float((outer - flux) * past / (sense * p)))
        torque, flux = torque + (outer - flux if ring.turns else 0), outer
    return float(torque), heats
