"""The hysteretic ring in a travelling field."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_RING = "ring thin against the pole pitch (k*t below about 0.5), non-magnetic behind it, thin gap"


@formula("H", source="the ring field's limit at small ring number", valid="a ring whose loop stays closed: little flux")
def ring_field_without_flux(*, A):
    """Return the peak field along a ring that carries hardly any flux."""
    return A


@formula("N", source="derived: ring reluctance per pole against the gap's", valid=_RING)
def ring_number(*, k, g_m, t, mu_r):
    """Return the gap reluctance over the ring reluctance."""
    return k**2 * g_m * t * mu_r


@formula("H", source="derived: current sheet, thin gap and thin ring in series", valid=_RING)
def ring_field(*, A, N, gamma):
    """Return the peak field strength along the ring."""
    return A / sp.sqrt(1 + 2 * N * sp.cos(gamma) + N**2)


@formula("A", source="ring_field solved for the loading", valid=_RING)
def ring_loading(*, H, N, gamma):
    """Return the linear current density that drives a peak field H along the ring."""
    return H * sp.sqrt(1 + 2 * N * sp.cos(gamma) + N**2)


@formula("Lambda", source="derived: current sheet, thin gap and thin ring in series", valid=_RING)
def hysteresis_response(*, N, gamma):
    """Return the rotor response of a hysteretic ring; at most tan(gamma/2)/2."""
    return N * sp.sin(gamma) / (1 + 2 * N * sp.cos(gamma) + N**2)


@formula("B", source="flux conservation: what crosses half a pole pitch of gap runs along the ring", valid=_RING)
def ring_gap_field(*, k, t, mu_r, H):
    """Return the peak gap field in front of the ring."""
    return k * t * mu_0 * mu_r * H


@formula("a_g", source="flux conservation and Ampere's law across the gap", valid=_RING)
def gap_loading_rate(*, k, g_m):
    """Return the linear current density that drives the ring's flux across the gap, per thickness and flux density."""
    return k**2 * g_m / mu_0


@formula("q_b", source="derived: w_A*A^2 + w_B*B^2 with the loading and the gap field of the ring", valid=_RING)
def ring_heat(*, w_A, w_B, k, a_g, H, B_i, W_h, t):
    """Return the whole heat per bore area at a peak field H along a ring."""
    B = sp.sqrt(B_i**2 + (W_h / (sp.pi * H)) ** 2)
    return w_A * (H**2 + 2 * H * a_g * B_i * t + (a_g * B * t) ** 2) + w_B * (k * B * t) ** 2


@formula(
    "t",
    source="derived: heat budget full at a given ring field, a quadratic in the thickness",
    valid=_RING + "; negative where the field alone costs more than the budget",
)
def heat_limited_thickness(*, q_b, w_A, w_B, k, a_g, H, B_i, W_h):
    """Return the ring thickness at which driving a peak field H along the ring uses the whole heat budget."""
    a = (B_i**2 + (W_h / (sp.pi * H)) ** 2) * (w_A * a_g**2 + w_B * k**2)
    b = w_A * H * a_g * B_i
    spare = q_b - w_A * H**2
    return spare / (b + sp.sqrt(b**2 + a * spare))


@formula(
    "t",
    source="derived: stationary point of losses over shaft power at a given ring field, a quadratic in the thickness",
    valid=_RING + "; at synchronous speed",
)
def most_efficient_thickness(*, q_f, f, w_A, w_B, k, a_g, H, B_i, W_h):
    """Return the ring thickness of the highest efficiency at a peak field H along the ring."""
    a = (B_i**2 + (W_h / (sp.pi * H)) ** 2) * (w_A * a_g**2 + w_B * k**2)
    b = w_A * H * a_g * B_i
    gain = W_h * f
    return (a * q_f + sp.sqrt(a * (a * q_f**2 + 2 * b * q_f * gain + (w_A * H**2 + q_f) * gain**2))) / (a * gain)


@formula("t", source="ring_gap_field solved for the thickness", valid=_RING)
def field_limited_thickness(*, B_l, k, H, B_i, W_h):
    """Return the ring thickness at which the gap field reaches its limit."""
    return B_l / (k * sp.sqrt(B_i**2 + (W_h / (sp.pi * H)) ** 2))


@formula("t", source="steinmetz_shear_stress solved for the thickness", valid=_RING)
def thickness_for_shear_stress(*, sigma_t, W_h, tau):
    """Return the ring thickness that gives a shear stress."""
    return 2 * tau * sigma_t / W_h


@formula(
    "T_e",
    source="Steinmetz, Theory and Calculation of Electric Apparatus (1917), ch. X: loss per cycle times volume",
    valid="below synchronism and up to it; independent of speed",
)
def steinmetz_torque(*, p, V_r, W_h):
    """Return the torque of a hysteretic rotor from its loop energy.

    Examples
    --------
    >>> round(float(steinmetz_torque(p=2, V_r=1e-5, W_h=30e3)), 4)
    0.0955
    """
    return p * V_r * W_h / (2 * sp.pi)


@formula("sigma_t", source="the same, per bore area: one cycle per two pole pitches", valid=_RING)
def steinmetz_shear_stress(*, t, W_h, tau):
    """Return the shear stress of a hysteretic ring from its loop energy."""
    return t * W_h / (2 * tau)
