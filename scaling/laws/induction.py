"""The conducting rotor: goodness, response, and the slip that makes the best of a heat budget."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_THIN = "thin gap and thin conductor, k*g_m and k*t small, no skin effect in the rotor"
_BUDGET = (
    "derived: stationary point of torque or power at given heat, winding, core and slip heat together; tests repeat it"
)


@formula(
    "sigma_s",
    source="conductance of a layer; bars fill phi_r of it and the end rings add e_r to its resistance",
    valid="no skin effect in the rotor",
)
def surface_conductance(*, t, phi_r, rho, e_r):
    """Return the surface conductance of the rotor's conducting layer."""
    return t * phi_r / (rho * (1 + e_r))


@formula(
    "G",
    source="Laithwaite's goodness factor, Proc. IEE 112 (1965) 538, from memory; re-derived as X_m/R_2",
    valid=_THIN,
)
def goodness(*, f, tau, sigma_s, g_m):
    """Return the goodness of a conducting rotor: magnetising reactance over rotor resistance.

    Examples
    --------
    >>> round(float(goodness(f=50, tau=0.1, sigma_s=35e3, g_m=0.003)), 2)
    4.67
    """
    return 2 * mu_0 * f * tau**2 * sigma_s / (sp.pi * g_m)


@formula("x", source="definition", valid="always")
def slip_goodness(*, s, G):
    """Return the product of slip and goodness."""
    return s * G


@formula(
    "Lambda",
    source="derived: current sheet, thin gap and thin conductor in series; limit of the layered field",
    valid=_THIN,
)
def induction_response(*, x):
    """Return the rotor response of a conducting rotor at slip times goodness x; at most one half."""
    return x / (1 + x**2)


@formula("B", source="derived: the rotor's current opposes the stator's by 1/(1 + j x)", valid=_THIN)
def induction_gap_field(*, A, k, g_m, x):
    """Return the peak gap field under a conducting rotor."""
    return mu_0 * A / (k * g_m * sp.sqrt(1 + x**2))


@formula("x", source=_BUDGET, valid=_THIN + "; gap field below its limit")
def best_torque_slip_goodness(*, beta_w, beta_c, G):
    """Return the slip times goodness of the largest torque at a given heat."""
    return sp.sqrt((1 + beta_c) / (1 + beta_w / G))


@formula("x", source=_BUDGET, valid=_THIN + "; gap field below its limit")
def best_power_slip_goodness(*, beta_w, beta_c, G):
    """Return the slip times goodness of the largest mechanical power at a given heat."""
    a, b = 1 + beta_c, 1 + beta_w / G
    return (sp.sqrt((a / G) ** 2 + a * b) - a / G) / b


@formula(
    "x",
    source="derived: heat budget and field limit both full; without core and slip heat sqrt(chi^2 - 1)",
    valid=_THIN + "; NaN where the heat runs out before the field limit is reached",
)
def field_limited_slip_goodness(*, chi, beta_w, beta_c, G):
    """Return the slip times goodness at which heat budget and gap field are both at their limit."""
    return sp.sqrt((chi**2 - 1 - beta_c) / (1 + beta_w / G))
