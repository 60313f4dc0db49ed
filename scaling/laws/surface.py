"""A current sheet on the stator, a gap of any width, and a rotor given by its surface admittance.

At the rotor's surface the field along it and the vector potential stand in the ratio -mu_0*H_x/(k*A_z) = Y_r + j*Y_i:
0 for ideal iron, 1 for air without end, Y_i above zero for a rotor that takes up power. Everything else follows from
Laplace's equation in the gap, whatever its width; thin gaps give the laws of stage, induction and hysteresis.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_GAP = "one space harmonic, plane geometry, ideal stator iron; any gap"


@formula("g_f", source="derived: Laplace's equation in a gap between iron faces", valid=_GAP)
def field_gap(*, k, g_m):
    """Return the gap that the laws of a thin gap take for the field at the stator face."""
    return sp.tanh(k * g_m) / k


@formula("g_t", source="derived: Laplace's equation in a gap between iron faces", valid=_GAP)
def traction_gap(*, k, g_m):
    """Return the gap that the law of the shear stress on a conducting sheet takes."""
    return sp.sinh(2 * k * g_m) / (2 * k)


@formula("sigma_t", source="derived: Maxwell stress of the field in the gap", valid=_GAP)
def surface_shear_stress(*, A, k, g_m, Y_r, Y_i):
    """Return the shear stress of a current sheet on a rotor of any surface admittance."""
    T = sp.tanh(k * g_m)
    return mu_0 * A**2 / 2 * Y_i * (1 - T**2) / ((Y_r + T) ** 2 + Y_i**2)


@formula("B", source="derived: Laplace's equation in the gap", valid=_GAP)
def surface_gap_field(*, A, k, g_m, Y_r, Y_i):
    """Return the peak field across the gap at the stator face."""
    T = sp.tanh(k * g_m)
    return mu_0 * A * sp.sqrt(((1 + Y_r * T) ** 2 + (Y_i * T) ** 2) / ((Y_r + T) ** 2 + Y_i**2))


@formula(
    "z_b",
    source="definition; skin depth sqrt(rho/(pi*s*f*mu_0)), end rings taken as bars of higher resistivity",
    valid="slip not negative",
)
def bar_depth_ratio(*, t, s, f, rho, e_r):
    """Return the depth of a rotor bar over the skin depth at slip frequency."""
    return t * sp.sqrt(sp.pi * s * f * mu_0 / (rho * (1 + e_r)))


_BAR = "open slots with parallel sides filled by the bars, ideal teeth between them, many slots a pole"


@formula(
    "Y_i",
    source="derived: diffusion into the bars of a slot layer; the deep-bar resistance function of the textbooks",
    valid=_BAR,
)
def bar_conductance(*, phi_r, k, t, z_b):
    """Return the part of a cage's surface admittance that carries the power; 2*phi_r*z_b**2/(k*t) for shallow bars."""
    d = sp.exp(-2 * z_b)
    return phi_r * z_b / (k * t) * (1 - d**2 + 2 * d * sp.sin(2 * z_b)) / (1 + d**2 + 2 * d * sp.cos(2 * z_b))


@formula("Y_r", source="as the power part: the leakage of the slots", valid=_BAR)
def bar_leakage(*, phi_r, k, t, z_b):
    """Return the part of a cage's surface admittance that is slot leakage."""
    d = sp.exp(-2 * z_b)
    return phi_r * z_b / (k * t) * (1 - d**2 - 2 * d * sp.sin(2 * z_b)) / (1 + d**2 + 2 * d * sp.cos(2 * z_b))


@formula(
    "x_b",
    source="derived: flux across the slots that an even current in the bars links, one share of bars at every radius; "
    "k*t/(3*phi_r) for shallow bars",
    valid="no skin effect; " + _BAR,
)
def tapered_bar_leakage(*, p, phi_r, D, t):
    """Return the slot leakage of bars that taper, in series with their resistance: of the inverse surface admittance.

    D is the diameter over the bars, t their depth.

    Examples
    --------
    Bars a tenth of the diameter deep, against a third of k*t/phi_r.

    >>> round(float(tapered_bar_leakage(p=2, phi_r=0.5, D=0.1, t=0.01)), 4), round(40 * 0.01 / 1.5, 4)
    (0.2654, 0.2667)
    """
    u = (D - 2 * t) ** 2 / D**2
    return p / phi_r * ((1 - u**2) / 4 - u * (1 - u) - u**2 * sp.log(u) / 2) / (1 - u) ** 2
