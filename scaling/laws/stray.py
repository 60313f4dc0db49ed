"""What current and field lose outside winding and core: additional load losses, and a can in the gap."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_IEC = "allowance of IEC 60034-2-1 for induction motors, from memory: 2.5 % of the input up to 1 kW, 0.5 % at 10 MW"
_ANY_KIND = "referred to power across the gap; other kinds: the same stator and its harmonics, no source"


@formula("x_L", source=_IEC, valid=_ANY_KIND)
def additional_loss_share(*, P_0, P_k):
    """Return the additional load losses over the power, for a machine of a power; P_k is 1 kW.

    Examples
    --------
    >>> [round(float(additional_loss_share(P_0=P, P_k=1e3)), 4) for P in (100.0, 10e3, 10e6)]
    [0.025, 0.02, 0.005]
    """
    decades = sp.log(P_0 / P_k) / sp.log(10)
    return (25 - 5 * sp.Min(sp.Max(decades, 0), 4)) / sp.Integer(1000)


@formula(
    "sigma_0",
    source="derived: Maxwell stress of a loading at the field limit, or of its own field on a rotor of response 1/2",
    valid="as shear_stress",
)
def stator_stress(*, A_0, B_l, k, g_m):
    """Return the shear stress that a stator's loading is good for, whatever the rotor."""
    return sp.Min(B_l * A_0 / 2, mu_0 * A_0**2 / (4 * k * g_m))


@formula("P_0", source="definition of the shear stress", valid="no slip")
def stator_power(*, sigma_0, v_s, S_b):
    """Return the power across the gap that a stress at the field's speed passes."""
    return sigma_0 * v_s * S_b


@formula(
    "w_L",
    source="the share holds at the loading that all the heat allows; below it, the square of the current "
    "(IEC 60034-2-1, from memory)",
    valid=_ANY_KIND,
)
def additional_heat_factor(*, x_L, sigma_0, v_s, A_0):
    """Return the additional load losses per bore area over the square of the peak linear current density."""
    return x_L * sigma_0 * v_s / A_0**2


@formula(
    "x_e",
    source="derived: current sheet in a strip that reaches far beyond the core, whose field ends with it",
    valid="can closed around the bore, thin against its skin depth and the pole pitch",
)
def can_end_factor(*, k, L):
    """Return the loss of a can over that of one in which currents return without resistance.

    Examples
    --------
    A core as long as a pole pitch loses two thirds of what a very long one does per length.

    >>> round(float(can_end_factor(k=3.1416, L=1.0)), 3)
    0.695
    """
    return 1 - (1 - sp.exp(-k * L)) / (k * L)


@formula(
    "w_x",
    source="derived: induced field v_s*B in a sheet at rest",
    valid="reaction of its currents on the field left out: 1 % at 0.3 mm of steel, 50 Hz, two poles",
)
def can_heat_factor(*, t_x, v_s, rho, x_e):
    """Return the heat of a can per bore area over the square of the peak gap field."""
    return x_e * t_x * v_s**2 / (2 * rho)
