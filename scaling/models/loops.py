"""Hysteresis loops of named materials: the closed-form loop fitted to a material record."""

import functools

import numpy as np

from scaling.ground.constants import VALUES
from scaling.ground.materials import LOOP_MATERIALS
from scaling.laws import loop as law
from scaling.models.search import root

# Field constant of the cells pinned near the coercivity, and half the width of their band, over the coercivity. A
# choice, no record has them: up to 1/10 a steel's loop differs little, but AlNiCo 5 is square; without a width every
# loop would open at one field.
SHARP, BAND = 1 / 30, 0.15
SOFTEST = 1e3  # largest field constant over coercivity of the evenly spread cells
_OUTER = ("H_a", "H_b", "H_c", "B_s", "m_c", "w_c")
_UPWARDS = np.linspace(0.0, 1.0, 1001)  # fields over the coercivity, for the energy product
_FIELDS = np.concatenate([np.geomspace(1e-3, 1e3, 61), np.linspace(1.05, 6.0, 40)])  # over the coercivity, for B_i


@functools.cache
def fitted(material):
    """Return the loop's parameters that meet a material record, as floats: the same names for every material.

    The remanence sets H_a. The energy product, where the record has one, sets the share m_c of cells pinned near the
    coercivity, else it is 0; a product that no share reaches gives the nearest. Where the record gives the energy of a
    1 T loop instead of a coercivity, the coercivity is the one whose loop at 1 T has that energy (field and energy
    both scale with it). The rest, i_0 to j_4, are coefficients of the part of the flux density in phase with the field.
    """
    filled = material.remanence / material.saturation
    even = functools.partial(law.loop_remanence, H_c=1.0, B_s=1.0, m_c=0.0, H_b=SHARP, w_c=BAND)
    square = law.loop_remanence(H_a=1.0, H_c=1.0, B_s=1.0, m_c=1.0, H_b=SHARP, w_c=BAND)
    roundest = root(lambda log_a: filled - even(H_a=np.exp(log_a)), np.log(1e-6), np.log(SOFTEST))

    def shaped(log_a):
        """Return the loop of a field constant H_a, the share m_c meeting the remanence."""
        rest = even(H_a=np.exp(log_a))
        m_c = max(0.0, (filled - rest) / (square - rest))
        shape = {"H_a": np.exp(log_a), "H_b": SHARP, "H_c": 1.0, "B_s": material.saturation, "m_c": m_c, "w_c": BAND}
        H_c = material.coercivity if material.coercivity is not None else _coercivity(material.energy_at_1_T, shape)
        return shape | {name: H_c * shape[name] for name in ("H_a", "H_b", "H_c")}

    log_a = roundest
    if material.energy_product is not None:
        log_a = root(
            lambda at: energy_product(shaped(at)) - material.energy_product, roundest, np.log(SOFTEST), steps=16
        )
    loop = shaped(log_a)
    ratios = _even_ratio(loop["H_a"] / loop["H_c"]) | _square_ratio(loop["H_b"] / loop["H_c"])
    return {name: float(value) for name, value in (loop | ratios).items()}


def _coercivity(energy_at_1_T, shape):
    """Return the coercivity at which a loop of the shape of one of coercivity 1 has an energy at 1 T."""
    field = np.exp(root(lambda log_h: peak_flux_density(np.exp(log_h), shape) - 1.0, -7.0, 7.0, steps=25))
    return energy_at_1_T / energy(field, shape)


def energy_product(loop):
    """Return the largest product of field and flux density, mu_0*H included, in the second quadrant [J/m³]."""
    H = _UPWARDS * loop["H_c"]
    B = law.demagnetised_flux_density(H=H, **{name: loop[name] for name in _OUTER})
    return np.max(H * (B - VALUES["mu_0"] * H))


def peak_flux_density(H, loop):
    """Return the loop's peak flux density at a peak field, without mu_0*H [T]."""
    return _evaluate(law.loop_peak_flux_density, H, loop)


def energy(H, loop):
    """Return the loop energy per volume and cycle at a peak field [J/m³]."""
    return _evaluate(law.loop_energy, H, loop)


def in_phase_flux_density(H, loop):
    """Return the part of the fundamental of B in phase with a sinusoidal field of peak H, without mu_0*H [T].

    Within 0.002 of the peak flux density, from 1e-3 to 1e3 coercivities; H above zero.
    """
    return _evaluate(law.loop_in_phase_flux_density, H, loop)


_LOG_H = np.linspace(np.log(1e-1), np.log(1e8), 2001)


@functools.cache
def _tables():
    """Return (in-phase flux density, energy) of all loop materials over _LOG_H, in their order."""
    loops = [fitted(material) for material in LOOP_MATERIALS.values()]
    stacked = {name: np.array([loop[name] for loop in loops])[:, None] for name in loops[0]}
    return tuple(figure(np.exp(_LOG_H), stacked).ravel() for figure in (in_phase_flux_density, energy))


def number(material):
    """Return the place of a material in its table."""
    return list(LOOP_MATERIALS).index(material.name)


def tabulated(H, numbers):
    """Return (in-phase flux density, energy) of materials by number, within 1e-3: at a fifth of the laws' cost."""
    at = (np.log(H) - _LOG_H[0]) / (_LOG_H[1] - _LOG_H[0])
    low = np.nan_to_num(np.clip(at, 0, _LOG_H.size - 2)).astype(int)
    place, part = numbers * _LOG_H.size + low, at - low
    return tuple(table[place] * (1 - part) + table[place + 1] * part for table in _tables())


def _evaluate(formula, H, loop):
    H_c = loop["H_c"]
    fields = {"H": H, "H_k": np.minimum(H, 2 * H_c)}
    fields["H_i"] = np.minimum(H, (1 + loop["w_c"]) * H_c)
    fields["H_j"] = np.minimum(H, (1 - loop["w_c"]) * H_c)
    return formula(**fields, **{name: loop[name] for name in formula.args if name not in fields})


def falling_branch(H, H_m, loop, cells=400):
    """Return the flux density on the falling branch from a peak field H_m, cell by cell [T]; for pictures and tests.

    Arrays of H broadcast. A cell of pinning field c holds H_m - c until the field has fallen by 2*c, then is at H + c.
    """
    H, H_c, w_c = np.asarray(H, dtype=float), loop["H_c"], loop["w_c"]

    def share(least, most, H_a):
        low, high = np.minimum(H_m, least), np.minimum(H_m, most)
        c = low + (np.arange(cells) + 0.5) / cells * (high - low)
        u = np.minimum(H[..., None] + c, H_m - c)
        return (high - low) / (most - least) * np.mean(u / (H_a + np.abs(u)), axis=-1)

    even, square = share(0.0, 2 * H_c, loop["H_a"]), share((1 - w_c) * H_c, (1 + w_c) * H_c, loop["H_b"])
    return loop["B_s"] * ((1 - loop["m_c"]) * even + loop["m_c"] * square)


# The part in phase: ratios to the peak, by quadrature, and the polynomials of the law fitted to them


def _in_phase(H, c, H_a, nodes=16):
    """Return the part of the fundamental in phase with a peak field H of cells of pinning field c, per saturation.

    2/pi times the integral of sqrt(1 - (h/H)^2)*dB along the branch, in two halves: the field h is u - c there, and
    u follows from B. Squares of the variable take up the root's end.
    """
    at, weight = np.polynomial.legendre.leggauss(nodes)
    at, weight = (1 + at) / 2, weight / 2
    top = (H - c) / (H_a + H - c)
    part = np.concatenate([at**2 - 1, 1 - at**2])
    B = top[..., None] * part
    h = H_a * B / (1 - np.abs(B)) - c[..., None]
    root_of = np.sqrt(np.maximum(1 - (h / H[..., None]) ** 2, 0.0))
    return 2 / np.pi * top * np.sum(np.tile(2 * at * weight, 2) * root_of, axis=-1)


def _nearest(columns, wanted, rounds=30):
    """Return the coefficients of columns whose largest deviation from what is wanted is about least (Lawson)."""
    columns, weight = np.stack(columns, axis=1), np.ones(len(wanted))
    for _ in range(rounds):
        found = np.linalg.lstsq(columns * weight[:, None], wanted * weight, rcond=None)[0]
        weight = weight * np.sqrt(np.abs(columns @ found - wanted) + 1e-9)
        weight /= weight.max()
    return found


@functools.cache
def _even_ratio(H_a):
    """Return the coefficients i_0 to i_4 for evenly spread cells, fields over the coercivity."""
    at, weight = np.polynomial.legendre.leggauss(20)
    H = _FIELDS[:, None]
    H_k = np.minimum(H, 2.0)
    c = H_k * (1 + at) / 2
    H, c = np.broadcast_arrays(H, c)
    ratio = np.sum(weight * _in_phase(H, c, H_a), axis=-1) / np.sum(weight * (H - c) / (H_a + H - c), axis=-1)
    H, H_k = _FIELDS, H_k[:, 0]
    n, z = H_a / H_k * np.log1p(H_k / (H_a + H - H_k)), 1 - H_k / H
    last = 4 / np.pi - 1
    known = 1 + n * (1 - n) / 12 + last * z**4
    i_0, i_1, i_2, i_3 = _nearest([n * (1 - n) ** 2, z - z**4, z**2 - z**4, z**3 - z**4], ratio - known)
    return {"i_0": i_0, "i_1": i_1, "i_2": i_2, "i_3": i_3, "i_4": last - i_1 - i_2 - i_3}


@functools.cache
def _square_ratio(H_b):
    """Return the coefficients j_2 to j_4 for a cell pinned at the coercivity, fields over it; a band takes the same."""
    H = 1 + np.geomspace(1e-5, 1e3, 120)
    ratio = _in_phase(H, np.ones_like(H), H_b, nodes=60) * (H_b + H - 1) / (H - 1)
    q, first = np.sqrt(1 - 1 / H), 16 / (3 * np.pi)
    last = 4 / np.pi - first
    j_2, j_3 = _nearest([q**2 - q**4, q**3 - q**4], ratio - first * q - last * q**4)
    return {"j_2": j_2, "j_3": j_3, "j_4": last - j_2 - j_3}
