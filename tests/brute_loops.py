"""Loops summed cell by cell, for the dense search: no closed form of the package is used."""

import functools
from types import SimpleNamespace

import numpy as np
from scipy.optimize import brentq

from scaling.ground import materials
from scaling.ground.constants import VALUES

# Field constant and half the band of the cells pinned near the coercivity, over it: the package's choice, no record's.
SHARP, BAND = 1 / 30, 0.15
gauss = functools.cache(np.polynomial.legendre.leggauss)


def _cells(H, loop, nodes):
    """Return (pinning fields, shares, field constants) of a loop's cells, Gauss's up to the field, along a last axis.

    Pinning fields spread evenly from zero to twice the coercivity but for a share of them, in a band about it.
    """
    at, weight = gauss(nodes)
    low, high, H = (1 - BAND) * loop.H_c, (1 + BAND) * loop.H_c, H[..., None]
    top, near = np.minimum(H, 2 * loop.H_c), np.minimum(H, high)
    start = np.minimum(H, low)
    c = np.concatenate([top * (1 + at) / 2, start + (near - start) * (1 + at) / 2], axis=-1)
    share = [(1 - loop.m_c) * weight / 2 * top / (2 * loop.H_c), loop.m_c * weight / 2 * (near - start) / (high - low)]
    return c, np.concatenate(share, axis=-1), np.repeat([loop.H_a, loop.H_b], nodes)


def loop_cells(H, loop, nodes=48):
    """Return (peak flux density, energy per cycle) of a loop as a sum over its cells.

    A cell of pinning field c follows H - c along Froelich's curve and costs c for every change of flux density.
    """
    c, share, H_a = _cells(H, loop, nodes)
    B = loop.B_s * (H[..., None] - c) / (H_a + H[..., None] - c)
    return np.sum(share * B, axis=-1), np.sum(share * 4 * c * B, axis=-1)


def in_phase(H, loop, nodes=20, steps=240):
    """Return the part of the fundamental of B in phase with a sinusoidal field: 2/pi times the sum of sin(angle)*dB."""
    c, share, H_a = (a[..., None] for a in _cells(H, loop, nodes))
    angle, H = np.linspace(0, np.pi, steps + 1), H[..., None, None]
    u = np.minimum(H * np.cos(angle) + c, H - c)
    B = np.sum(share * loop.B_s * u / (H_a + np.abs(u)), axis=-2)
    return -2 / np.pi * np.sum(np.sin((angle[1:] + angle[:-1]) / 2) * np.diff(B, axis=-1), axis=-1)


def _rest(h, a, m_c, cells=400):
    """Return what is left of saturation in reversed fields, on the outer loop, all fields over the coercivity."""
    even = (np.arange(cells) + 0.5) / cells * 2 - np.asarray(h)[..., None]
    square = 1 - BAND + BAND * (even + np.asarray(h)[..., None]) - np.asarray(h)[..., None]
    even, square = (np.mean(u / (b + np.abs(u)), axis=-1) for u, b in ((even, a), (square, SHARP)))
    return (1 - m_c) * even + m_c * square


def fit(material):
    """Return the loop of a material's remanence, coercivity or energy at 1 T, and energy product where it has one."""
    B_s, upwards = material.saturation, np.linspace(0, 1, 400)

    def shaped(m_c):
        a = np.exp(brentq(lambda at: B_s * _rest(0.0, np.exp(at), m_c) - material.remanence, -12, 12))
        unit = SimpleNamespace(H_c=1.0, H_a=a, H_b=SHARP, B_s=B_s, m_c=m_c)
        if material.coercivity is None:
            at_1_T = np.exp(brentq(lambda h: float(loop_cells(np.exp(np.array(h)), unit)[0]) - 1.0, -20, 20))
            H_c = material.energy_at_1_T / float(loop_cells(np.array(at_1_T), unit)[1])
        else:
            H_c = material.coercivity
        return SimpleNamespace(H_c=H_c, H_a=a * H_c, H_b=SHARP * H_c, B_s=B_s, m_c=m_c)

    def product(m_c):
        loop = shaped(m_c)
        B = B_s * _rest(upwards, loop.H_a / loop.H_c, m_c) - VALUES["mu_0"] * upwards * loop.H_c
        return np.max(upwards * loop.H_c * B)

    if material.energy_product is None:
        return shaped(0.0)
    square = float(_rest(0.0, 1.0, 1.0))
    most = 0.999 * min(1.0, material.remanence / B_s / square)
    return shaped(brentq(lambda m_c: product(m_c) - material.energy_product, 0.0, most, xtol=1e-6))


_LOOPS, _IN_PHASE = {}, {}


def _from_tables(tables, figures, material, H):
    """Return figures of loop materials, by number, from tables made once, close where the band is."""
    if not tables:
        for number, loop in enumerate(map(fit, materials.LOOP_MATERIALS.values())):
            start = np.log(loop.H_c * np.linspace(1 - BAND, 1 + BAND, 200))
            log_H = np.sort(np.concatenate([np.linspace(-0.02, 16.14, 1700), start]))
            tables[number] = log_H, np.log(figures(np.exp(log_H), loop))
    material, log_H = np.broadcast_arrays(material, np.log(H))
    found = np.empty((len(tables[0][1]), *log_H.shape))
    for number in np.unique(material):
        at, (grid, rows) = material == number, tables[number]
        found[:, at] = [np.exp(np.interp(log_H[at], grid, row)) for row in rows]
    return found


def loop_figures(material, H):
    """Return (peak flux density, energy) of loop materials, by number, at peak fields."""
    return _from_tables(_LOOPS, loop_cells, material, H)


def in_phase_figures(material, H):
    """Return the part of the fundamental flux density in phase with the field, likewise."""

    def by_parts(H, loop):  # arrays that fit the processor's cache
        return [np.concatenate([in_phase(some, loop) for some in np.array_split(H, 200)])]

    return _from_tables(_IN_PHASE, by_parts, material, H)[0]
