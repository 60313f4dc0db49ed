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


_LAYERED = "ring of one complex permeability, non-magnetic hub, ideal stator iron, plane or unrolled; any gap and depth"
_SOLVED = "derived: Laplace's equation in gap, ring and hub; H is the root mean square over the thickness of its peak"


def _layered(H, k, g_m, t, B_i, W_h, along, behind):
    """Return |1 + T_g + along*mu + behind/conj(mu)|**2 for the ring's complex permeability, per square of its field."""
    real = B_i / (mu_0 * H)
    square = (B_i**2 + (W_h / (sp.pi * H)) ** 2) / (mu_0 * H) ** 2
    T, front = sp.tanh(k * t), 1 + sp.tanh(k * g_m)
    met = front**2 + along**2 * square + behind**2 / square + 2 * front * real * (along + behind / square)
    met += 2 * along * behind * (2 * real**2 / square - 1)
    return met * sp.cosh(k * g_m) ** 2 * k * t / (T * (1 + 1 / square) + 2 * T**2 * real / square)


@formula("A", source=_SOLVED, valid=_LAYERED)
def layered_ring_loading(*, H, k, g_m, t, B_i, W_h):
    """Return the linear current density that drives a mean field H in the ring; ring_loading is its thin limit."""
    T, T_g = sp.tanh(k * t), sp.tanh(k * g_m)
    return H * sp.sqrt(_layered(H, k, g_m, t, B_i, W_h, T * T_g, T))


@formula("B", source=_SOLVED, valid=_LAYERED)
def layered_ring_gap_field(*, H, k, g_m, t, B_i, W_h):
    """Return the peak gap field at the stator face in front of the ring; ring_gap_field is its thin limit."""
    T, T_g = sp.tanh(k * t), sp.tanh(k * g_m)
    return mu_0 * H * sp.sqrt(_layered(H, k, g_m, t, B_i, W_h, T, T * T_g))


_THIN_RING = "ring thin against the pole pitch and far more permeable than air, non-magnetic hub; any gap"


def _ring_heat(w_A, w_B, f_b, k, g_m, H, B_i, W_h):
    """Return (a, b, c) of the heat a*t**2 + 2*b*t + c of winding, core and backward wave with a thin ring t thick."""
    s, d, driven = sp.sinh(k * g_m) / mu_0, sp.cosh(k * g_m), H * sp.exp(k * g_m)
    a = k**2 * (B_i**2 + (W_h / (sp.pi * H)) ** 2) * (w_A * s**2 + w_B * d**2)
    return a, k * driven * B_i * (w_A * s + w_B * mu_0 * d) + f_b * W_h / 2, driven**2 * (w_A + w_B * mu_0**2)


@formula(
    "q_b",
    source="derived: w_A*A^2 + w_B*B^2 + f_b*W_h*t with the loading and the gap field of the ring",
    valid=_THIN_RING,
)
def ring_heat(*, w_A, w_B, f_b, k, g_m, H, B_i, W_h, t):
    """Return the heat of winding, core and backward wave per bore area at a peak field H in a ring."""
    a, b, c = _ring_heat(w_A, w_B, f_b, k, g_m, H, B_i, W_h)
    return (a * t + 2 * b) * t + c


@formula("B", source="derived: field of the hub and flux of the ring, a lag apart", valid=_THIN_RING)
def thin_ring_gap_field(*, k, g_m, H, B_i, W_h, t):
    """Return the peak gap field at the stator face in front of a thin ring; field_limited_thickness solves it for t."""
    open_field, flux = mu_0 * H * sp.exp(k * g_m), k * t * sp.cosh(k * g_m)
    return sp.sqrt(open_field**2 + 2 * open_field * flux * B_i + flux**2 * (B_i**2 + (W_h / (sp.pi * H)) ** 2))


@formula(
    "t",
    source="derived: heat budget full at a given ring field, a quadratic in the thickness",
    valid=_THIN_RING + "; negative where the field alone costs more than the budget",
)
def heat_limited_thickness(*, q_b, w_A, w_B, f_b, k, g_m, H, B_i, W_h):
    """Return the ring thickness at which driving a peak field H in the ring uses the whole heat budget."""
    a, b, c = _ring_heat(w_A, w_B, f_b, k, g_m, H, B_i, W_h)
    return (q_b - c) / (b + sp.sqrt(b**2 + a * (q_b - c)))


@formula(
    "t",
    source="derived: stationary point of losses over shaft power at a given ring field, a quadratic in the thickness",
    valid=_THIN_RING + "; at synchronous speed",
)
def most_efficient_thickness(*, q_f, f, w_A, w_B, f_b, k, g_m, H, B_i, W_h):
    """Return the ring thickness of the highest efficiency at a peak field H in the ring."""
    a, b, c = _ring_heat(w_A, w_B, f_b, k, g_m, H, B_i, W_h)
    gain = W_h * f
    return (a * q_f + sp.sqrt(a * (a * q_f**2 + 2 * b * q_f * gain + (c + q_f) * gain**2))) / (a * gain)


@formula(
    "t",
    source="derived: gap field at its limit at a given ring field, a quadratic in the thickness",
    valid=_THIN_RING + "; negative where the field without a ring is above the limit",
)
def field_limited_thickness(*, B_l, k, g_m, H, B_i, W_h):
    """Return the ring thickness at which the gap field reaches its limit."""
    open_field, d = mu_0 * H * sp.exp(k * g_m), sp.cosh(k * g_m)
    square = B_i**2 + (W_h / (sp.pi * H)) ** 2
    spare = B_l**2 - open_field**2
    return spare / (k * d * (open_field * B_i + sp.sqrt((open_field * B_i) ** 2 + square * spare)))


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
