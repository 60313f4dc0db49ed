"""The reluctance rotor of given permeances: response, field, and the load angle that makes the best of its heat."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_BUDGET = "derived: stationary point of torque at given heat, tests repeat it"


@formula(
    "Lambda",
    source="derived: two-axis theory of a current sheet at load angle delta",
    valid="thin gap, unsaturated iron",
)
def reluctance_response(*, P_d, P_q, tan_delta):
    """Return the rotor response of a salient rotor: (P_d - P_q)*sin(2*delta)/2."""
    return (P_d - P_q) * tan_delta / (1 + tan_delta**2)


@formula("B", source="derived: both axes' fields in quadrature", valid="thin gap, unsaturated iron")
def reluctance_gap_field(*, A, k, g_m, P_d, P_q, tan_delta):
    """Return the peak gap field under a salient rotor."""
    return mu_0 * A / (k * g_m) * sp.sqrt((P_d**2 + P_q**2 * tan_delta**2) / (1 + tan_delta**2))


@formula("tan_delta", source=_BUDGET, valid="gap field below its limit")
def best_load_angle(*, beta_c, P_d, P_q):
    """Return the tangent of the load angle of the largest torque at a given heat."""
    return sp.sqrt((1 + beta_c * P_d**2) / (1 + beta_c * P_q**2))


@formula(
    "tan_delta",
    source="derived: heat budget and field limit both full",
    valid="NaN where the heat never, or always, runs out before the field limit",
)
def field_limited_load_angle(*, chi, beta_c, P_d, P_q):
    """Return the tangent of the load angle at which heat budget and gap field are both at their limit."""
    u = chi**2 - beta_c
    return sp.sqrt((u * P_d**2 - 1) / (1 - u * P_q**2))


@formula(
    "A",
    source="derived: w_A*A^2 + w_B*B^2 = q_b, where saturated ribs add a constant to the field in the q axis",
    valid="ribs saturated; NaN or below zero where the ribs alone take all; w_A = 0, w_B = 1 and q_b = B_l^2 for a "
    "limit of the field",
)
def ribbed_loading(*, q_b, w_A, w_B, k, g_m, P_d, P_q, B_e, tan_delta):
    """Return the loading at which heat or gap field of a reluctance rotor with ribs is full."""
    c = 1 / sp.sqrt(1 + tan_delta**2)
    d, q = mu_0 * P_d * c / (k * g_m), mu_0 * P_q * tan_delta * c / (k * g_m)
    past = B_e * (1 - P_q / P_d)
    a, b = w_A + w_B * (d**2 + q**2), w_B * q * past
    return (sp.sqrt(b**2 - a * (w_B * past**2 - q_b)) - b) / a
