"""The magnet rotor, the yardstick."""

import sympy as sp
from sympy.codegen.cfunctions import expm1

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

_ANGLE = "the current leads the magnets' voltage by psi, so that it magnetises; 0: load angle of 90 degrees electrical"


@formula("B_r", source="linear temperature law, data of makers", valid="-50 °C up to the hottest the grade stands")
def remanence_at(*, B_20, alpha_B, T, T_20):
    """Return the remanence of a magnet at a temperature; alpha_B is its loss per kelvin."""
    return B_20 * sp.Max(1 - alpha_B * (T - T_20), 0)


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


@formula("sigma_t", source="force of a current sheet in a field; its part in phase counts", valid=_ANGLE)
def magnet_shear_stress(*, B_m, A, psi):
    """Return the shear stress of a current sheet on a magnet rotor."""
    return B_m * A * sp.cos(psi) / 2


@formula("B", source="derived: the sheet's own field stands across its current", valid=_ANGLE)
def magnet_and_armature_field(*, B_m, A, psi, c_A):
    """Return the peak gap field of magnets and sheet."""
    return sp.sqrt((B_m + c_A * A * sp.sin(psi)) ** 2 + (c_A * A * sp.cos(psi)) ** 2)


@formula(
    "A",
    source="derived: w_A*A^2 + w_C*(B^2 - B_m^2) + w_B*B_m^2 = q_b with the gap field B of magnets and sheet",
    valid="w_C counts a backward wave, which magnets do not have",
)
def heat_limited_magnet_loading(*, q_b, w_A, w_B, w_C, B_m, psi, c_A):
    """Return the loading that a heat budget leaves beside the magnets' core heat."""
    a, b = w_A + w_C * c_A**2, w_C * B_m * c_A * sp.sin(psi)
    return (sp.sqrt(b**2 + a * (q_b - w_B * B_m**2)) - b) / a


@formula("A", source="derived: magnet_and_armature_field solved for the loading", valid=_ANGLE)
def field_limited_magnet_loading(*, B_l, B_m, psi, c_A):
    """Return the loading that a limit of the gap field leaves beside the magnets' field."""
    return (sp.sqrt(B_l**2 - (B_m * sp.cos(psi)) ** 2) - B_m * sp.sin(psi)) / c_A


@formula(
    "A",
    source="derived: flat field of the magnets and that of the sheet add up, most of all at the magnets' edge",
    valid=_ANGLE + "; the field averaged over a slot pitch there",
)
def edge_limited_magnet_loading(*, B_l, B_m, alpha, psi, c_A):
    """Return the loading at which the field at the magnets' edge is at its limit, zero where the magnets' own is."""
    flat = B_m * sp.pi / (4 * sp.sin(sp.pi * alpha / 2))
    return sp.Max(B_l - flat, 0) / (c_A * sp.sin(sp.Min(sp.pi * alpha / 2 + psi, sp.pi / 2)))
