"""The magnet rotor, the yardstick."""

import sympy as sp
from sympy.codegen.cfunctions import expm1

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
    "B_m",
    source="derived: reciprocity with the field cosh(p*ln(r/r_i))/r that a current sheet of the bore sends through the "
    "magnets, r_i their inner radius, integrated over them; magnet_gap_field is its limit for many poles",
    valid="radial surface magnets of recoil permeability 1 (real ones 1.05), concentric iron; p a whole number",
)
def round_magnet_gap_field(*, B_r, alpha, p, D, D_i, t, g_m):
    """Return the peak of the magnets' fundamental field at the bore; g_m is the unrolled gap without the magnet."""
    x = sp.log(D / (D - 2 * t))
    # The integral of cosh(p*x)*exp(x) over the magnets; one pole pair, where its second half is x, is met to 1e-12.
    grows, falls = p + 1, sp.Max(p - 1, sp.Rational(1, 10**12))
    sent = expm1(grows * x) / (2 * grows) - expm1(-falls * x) / (2 * falls)
    inner = (D - 2 * t) / D_i
    return 4 / sp.pi * sp.sin(sp.pi * alpha / 2) * B_r * p * inner * sent / sp.sinh(p * (x + 2 * g_m / D_i))


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


@formula(
    "alpha",
    source="magnet_shear_stress and sin(pi*alpha/2) of the gap field, solved for the arc",
    valid="load angle of 90 degrees electrical; at most the whole pole pitch",
)
def magnet_arc(*, sigma_t, A, B_f):
    """Return the magnet arc over the pole pitch that gives a shear stress; all three at the bore."""
    return 2 / sp.pi * sp.asin(sp.Min(2 * sigma_t / (A * B_f), 1))


_BUDGET = "w_A: heat of winding and of the armature's field, over the square of the loading"


@formula("A", source="derived: w_A*A^2 + w_B*B_m^2 = q_b", valid=_BUDGET)
def heat_limited_magnet_loading(*, q_b, w_A, w_B, B_m):
    """Return the loading that a heat budget leaves beside the magnets' core heat."""
    return sp.sqrt((q_b - w_B * B_m**2) / w_A)


@formula("A", source="derived: magnet and armature field in quadrature", valid="load angle of 90 degrees electrical")
def field_limited_magnet_loading(*, B_l, B_m, k, t, g_m):
    """Return the loading that a limit of the gap field leaves beside the magnets' field."""
    return sp.sqrt(B_l**2 - B_m**2) * sp.tanh(k * (g_m + t)) / symbol("mu_0")


@formula("B_m", source="derived: largest B_m*A at a given heat; tests repeat it", valid=_BUDGET)
def heat_best_magnet_field(*, q_b, w_B):
    """Return the magnet field of the largest torque at a given heat."""
    return sp.sqrt(q_b / (2 * w_B))


@formula("B_m", source="derived: largest B_m*A at a given gap field; tests repeat it", valid="as the field's limit")
def field_best_magnet_field(*, B_l):
    """Return the magnet field of the largest torque at a given gap field."""
    return B_l / sp.sqrt(2)


@formula("B_m", source="derived: heat budget and field limit both full", valid=_BUDGET)
def heat_and_field_magnet_field(*, q_b, w_A, w_B, B_l, k, t, g_m):
    """Return the magnet field at which heat budget and gap field are both at their limit."""
    c2 = (symbol("mu_0") / sp.tanh(k * (g_m + t))) ** 2
    return sp.sqrt((B_l**2 / c2 - q_b / w_A) / (1 / c2 - w_B / w_A))
