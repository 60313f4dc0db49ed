"""Friction of the shaft: bearing and air in the gap."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

_SMOOTH = "smooth rotor in a smooth gap, thin against the radius, no axial flow"


@formula("F_w", source="plane geometry", valid="the rotor counted as a solid cylinder of core density")
def rotor_weight(*, rho_c, D, L):
    """Return the weight of the rotor, which its bearings carry."""
    return rho_c * sp.pi * D**2 * L / 4 * symbol("g_n")


@formula("Re", source="Reynolds number of the gap: rim speed times gap over viscosity", valid=_SMOOTH)
def gap_reynolds_number(*, Omega, D, g, nu_f):
    """Return the Reynolds number of the air in the gap."""
    return Omega * D * g / (2 * nu_f)


@formula("C_f", source="exact: plane shear flow in a thin annulus", valid=_SMOOTH + "; laminar")
def laminar_torque_coefficient(*, Re):
    """Return the torque coefficient of creeping and laminar flow."""
    return 4 / Re


@formula(
    "C_f",
    source="Bilgen and Boulos, Trans. ASME J. Fluids Eng. 95 (1973) 122, from memory",
    valid=_SMOOTH + "; Re 500 to 10 000",
)
def vortex_torque_coefficient(*, Re, g, D):
    """Return the torque coefficient with Taylor vortices."""
    return sp.Rational(103, 100) * (2 * g / D) ** sp.Rational(3, 10) / sp.sqrt(Re)


@formula(
    "C_f",
    source="Bilgen and Boulos, Trans. ASME J. Fluids Eng. 95 (1973) 122, from memory",
    valid=_SMOOTH + "; Re above 10 000",
)
def turbulent_torque_coefficient(*, Re, g, D):
    """Return the torque coefficient of turbulent flow."""
    return sp.Rational(65, 1000) * (2 * g / D) ** sp.Rational(3, 10) / Re ** sp.Rational(1, 5)


@formula("M_f", source="definition of the torque coefficient", valid=_SMOOTH)
def windage_torque(*, C_f, rho_f, Omega, D, L):
    """Return the air friction torque of a rotor of torque coefficient C_f."""
    return C_f * sp.pi * rho_f * Omega**2 * (D / 2) ** 4 * L / 2
