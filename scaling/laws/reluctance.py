"""The salient rotor: permeances in two axes, and the load angle that makes the best of a heat budget."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_STEP = "stepped gap without fringing: against finite elements P_d is 2-6 % and P_q 10-20 % low (gap 0.5-5 % of tau)"
_BUDGET = "derived: stationary point of torque at given heat, tests repeat it"


@formula("r", source="derived: fields decaying across a gap g and across g + h_p, same pole pitch", valid=_STEP)
def interpolar_permeance(*, k, g_m, h_p):
    """Return the permeance over the interpolar space relative to the pole face."""
    return sp.tanh(k * g_m) / sp.tanh(k * (g_m + h_p))


@formula("P_d", source="derived: fundamental of a stepped permeance, d axis", valid=_STEP)
def d_axis_permeance(*, alpha, r):
    """Return the d-axis permeance relative to the smooth gap.

    Examples
    --------
    >>> k, g, h = 31.416, 0.001, 0.020
    >>> round(float(d_axis_permeance(alpha=0.5, r=interpolar_permeance(k=k, g_m=g, h_p=h))), 3)
    0.828
    """
    a = alpha + sp.sin(sp.pi * alpha) / sp.pi
    return a + (1 - a) * r


@formula("P_q", source="derived: fundamental of a stepped permeance, q axis", valid=_STEP)
def q_axis_permeance(*, alpha, r):
    """Return the q-axis permeance relative to the smooth gap."""
    a = alpha - sp.sin(sp.pi * alpha) / sp.pi
    return a + (1 - a) * r


@formula("xi", source="definition", valid="always")
def saliency_ratio(*, P_d, P_q):
    """Return the ratio of the permeances of the two axes."""
    return P_d / P_q


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
