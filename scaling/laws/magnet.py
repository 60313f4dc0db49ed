"""The magnet rotor, the yardstick."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula


@formula(
    "B_m",
    source="derived: Laplace's equation between two iron faces; for k*t small the circuit result t/(t + g_m)",
    valid="radial surface magnets of recoil permeability 1 (real ones 1.05), pole pitch small against the radius",
)
def magnet_gap_field(*, B_r, k, t, g_m, alpha):
    """Return the peak of the magnets' fundamental field at the stator face; g_m is the gap without the magnet."""
    return 4 / sp.pi * sp.sin(sp.pi * alpha / 2) * B_r * sp.sinh(k * t) / sp.sinh(k * (g_m + t))


@formula(
    "B",
    source="derived: Laplace's equation between two iron faces",
    valid="current sheet on ideal iron, recoil permeability 1",
)
def armature_field(*, A, k, t, g_m):
    """Return the peak field of the current sheet at the stator face across gap and magnet."""
    return symbol("mu_0") * A / sp.tanh(k * (g_m + t))


@formula(
    "sigma_t",
    source="force of a current sheet in a field, in phase",
    valid="load angle of 90 degrees electrical",
)
def magnet_shear_stress(*, B_m, A):
    """Return the shear stress of a current sheet on a magnet rotor."""
    return B_m * A / 2
