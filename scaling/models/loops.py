"""Hysteresis loops of named materials: the closed-form loop fitted to a material record."""

import functools

import numpy as np

from scaling.laws import loop as law
from scaling.models.search import root


@functools.cache
def fitted(material):
    """Return the loop's parameters {H_c, H_a, B_s} that meet a material record [A/m, A/m, T].

    The remanence sets H_a/H_c. Where the record gives the energy of a 1 T loop instead of a coercivity, the coercivity
    is the one whose loop at 1 T has that energy (field and energy both scale with it).
    """
    B_s = material.saturation
    ratio = np.exp(
        root(
            lambda log_a: material.remanence - law.loop_remanence(H_a=np.exp(log_a), H_c=1.0, B_s=B_s),
            np.log(1e-6),
            np.log(1e3),
            steps=80,
        )
    )
    if material.coercivity is not None:
        return {"H_c": material.coercivity, "H_a": float(ratio * material.coercivity), "B_s": B_s}
    unit = {"H_c": 1.0, "H_a": float(ratio), "B_s": B_s}
    field = np.exp(root(lambda log_h: peak_flux_density(np.exp(log_h), unit) - 1.0, -20.0, 20.0, steps=80))
    coercivity = material.energy_at_1_T / float(energy(field, unit))
    return {"H_c": coercivity, "H_a": float(ratio * coercivity), "B_s": B_s}


def peak_flux_density(H, loop):
    """Return the loop's peak flux density at a peak field [T]."""
    return law.loop_peak_flux_density(H=H, H_k=np.minimum(H, 2 * loop["H_c"]), **loop)


def energy(H, loop):
    """Return the loop energy per volume and cycle at a peak field [J/m³]."""
    return law.loop_energy(H=H, H_k=np.minimum(H, 2 * loop["H_c"]), **loop)


def falling_branch(H, H_m, loop, cells=400):
    """Return the flux density on the falling branch from a peak field H_m, cell by cell [T]; for pictures and tests.

    Arrays of H broadcast. A cell of pinning field c holds H_m - c until the field has fallen by 2*c, then is at H + c.
    """
    c = (np.arange(cells) + 0.5) / cells * 2 * loop["H_c"]
    H = np.asarray(H, dtype=float)[..., None]
    reversible = np.where(c < H_m, np.minimum(H + c, H_m - c), 0.0)
    return loop["B_s"] * np.mean(reversible / (loop["H_a"] + np.abs(reversible)), axis=-1)
