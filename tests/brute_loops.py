"""Loops summed cell by cell, for the dense search: no closed form of the package is used."""

from types import SimpleNamespace

import numpy as np
from scipy.optimize import brentq

from scaling.ground import materials


def loop_cells(H, loop, nodes=48):
    """Return (peak flux density, energy per cycle) of a loop as a sum over its cells.

    A cell of pinning field c follows H - c along Froelich's curve and costs c for every change of flux density; pinning
    fields spread evenly from zero to twice the coercivity. The sum is Gauss's.
    """
    at, weight = np.polynomial.legendre.leggauss(nodes)
    top = np.minimum(H, 2 * loop.H_c)[..., None]
    c, share = top * (1 + at) / 2, weight / 2 * top / (2 * loop.H_c)
    B = loop.B_s * (H[..., None] - c) / (loop.H_a + H[..., None] - c)
    return np.sum(share * B, axis=-1), np.sum(share * 4 * c * B, axis=-1)


def fit(material):
    """Return the loop that has a material's remanence and its coercivity, or its energy at 1 T."""
    c = (np.arange(20000) + 0.5) / 10000  # pinning fields over coercivity

    def remanence(log_ratio):
        return material.saturation * np.mean(c / (np.exp(log_ratio) + c)) - material.remanence

    ratio = np.exp(brentq(remanence, -12, 7))
    unit = SimpleNamespace(H_c=1.0, H_a=ratio, B_s=material.saturation)
    if material.coercivity is None:
        at_1_T = np.exp(brentq(lambda h: float(loop_cells(np.exp(np.array(h)), unit)[0]) - 1.0, -20, 20))
        H_c = material.energy_at_1_T / float(loop_cells(np.array(at_1_T), unit)[1])
    else:
        H_c = material.coercivity
    return SimpleNamespace(H_c=H_c, H_a=ratio * H_c, B_s=material.saturation)


_LOG_H = np.linspace(-0.01, 7.01, 1700)
_LOOPS = {}


def loop_figures(material, H):
    """Return (peak flux density, energy) of loop materials, by number, at peak fields, from tables summed once."""
    if not _LOOPS:
        for number, record in enumerate(materials.LOOP_MATERIALS.values()):
            _LOOPS[number] = np.log(loop_cells(10.0**_LOG_H, fit(record)))
    material, log_H = np.broadcast_arrays(material, np.log10(H))
    found = np.empty((2, *log_H.shape))
    for number in np.unique(material):
        at = material == number
        found[:, at] = [np.exp(np.interp(log_H[at], _LOG_H, row)) for row in _LOOPS[number]]
    return found
