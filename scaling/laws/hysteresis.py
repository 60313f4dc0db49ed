"""The hysteretic ring: a closed-form loop of distributed pinning, and the ring in a travelling field.

The loop: cells of one anhysteretic curve of Froelich's form, B_s*u/(H_a + u), each behind a pinning field, the
pinning fields spread evenly from zero to twice the coercivity. Peak and energy then have closed forms at every field:
Rayleigh's law at small field (W = 4/3*mu_0*nu*H^3 with mu_0*nu = B_s/(4*H_a*H_c)), saturation at large, and the
coercivity and remanence of the material record. With H_k = min(H, 2*H_c) one expression serves below and above 2*H_c.
"""

import sympy as sp
from sympy.codegen.cfunctions import log1p

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_LOOP = "alternating field; even spread of pinning fields; reversible permeability at zero field left out"
_CELLS = "derived: peak of all cells whose pinning field is overcome, summed over the even spread"
_RING = "ring thin against the pole pitch (k*t below about 0.5), non-magnetic behind it, thin gap"


def _rest(H, H_k, H_a):
    return log1p(H_k / (H_a + H - H_k))


@formula("B_r", source="derived: outer loop at zero field", valid=_LOOP)
def loop_remanence(*, H_a, H_c, B_s):
    """Return the remanence of the outer loop."""
    return B_s * (1 - H_a / (2 * H_c) * sp.log(1 + 2 * H_c / H_a))


@formula("B_p", source=_CELLS, valid=_LOOP)
def loop_peak_flux_density(*, H, H_k, H_a, H_c, B_s):
    """Return the peak flux density of the loop reached with a peak field H.

    Examples
    --------
    In the Rayleigh region doubling the field gives four times the flux density.

    >>> loop = {"H_a": 5e3, "H_c": 10e3, "B_s": 1.6}
    >>> b1, b2 = (loop_peak_flux_density(H=h, H_k=h, **loop) for h in (10.0, 20.0))
    >>> round(float(b2 / b1), 2)
    4.0
    """
    return B_s / (2 * H_c) * (H_k - H_a * _rest(H, H_k, H_a))


@formula("W_h", source="derived: work against each cell's pinning field over a full reversal and back", valid=_LOOP)
def loop_energy(*, H, H_k, H_a, H_c, B_s):
    """Return the loop energy per volume and cycle."""
    return 2 * B_s / H_c * (H_k**2 / 2 + H_a * H_k - H_a * (H_a + H) * _rest(H, H_k, H_a))


@formula(
    "W_h",
    source="Rayleigh 1887; IEC 60050-221, 221-03-32, with mu_0*nu = B_s/(4*H_a*H_c)",
    valid="H small against H_a and H_c",
)
def rayleigh_energy(*, H, H_a, H_c, B_s):
    """Return the loop energy per volume and cycle of a small field: the limit of the closed form."""
    return B_s * H**3 / (3 * H_a * H_c)


@formula("H", source="the ring field's limit at small ring number", valid="a ring whose loop stays closed: little flux")
def ring_field_without_flux(*, A):
    """Return the peak field along a ring that carries hardly any flux."""
    return A


@formula(
    "gamma",
    source="derived: W_h = pi*H*B_1*sin(gamma) exactly, the part of the fundamental in phase with H taken as the peak",
    valid=_LOOP + "; the part in phase is exact in the Rayleigh region and up to 27 % low for a square loop",
)
def loop_angle(*, W_h, B_p, H):
    """Return the hysteresis angle of the loop's fundamental."""
    return sp.atan(W_h / (sp.pi * B_p * H))


@formula("mu_r", source="as the hysteresis angle", valid=_LOOP)
def loop_permeability(*, B_p, H, gamma):
    """Return the amplitude of the relative permeability of the loop's fundamental."""
    return B_p / (mu_0 * H * sp.cos(gamma))


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
def ring_heat(*, w_A, w_B, k, a_g, H, B_p, W_h, t):
    """Return the whole heat per bore area at a peak field H along a ring."""
    B = sp.sqrt(B_p**2 + (W_h / (sp.pi * H)) ** 2)
    return w_A * (H**2 + 2 * H * a_g * B_p * t + (a_g * B * t) ** 2) + w_B * (k * B * t) ** 2


@formula(
    "t",
    source="derived: heat budget full at a given ring field, a quadratic in the thickness",
    valid=_RING + "; negative where the field alone costs more than the budget",
)
def heat_limited_thickness(*, q_b, w_A, w_B, k, a_g, H, B_p, W_h):
    """Return the ring thickness at which driving a peak field H along the ring uses the whole heat budget."""
    a = (B_p**2 + (W_h / (sp.pi * H)) ** 2) * (w_A * a_g**2 + w_B * k**2)
    b = w_A * H * a_g * B_p
    spare = q_b - w_A * H**2
    return spare / (b + sp.sqrt(b**2 + a * spare))


@formula(
    "t",
    source="derived: stationary point of losses over shaft power at a given ring field, a quadratic in the thickness",
    valid=_RING + "; at synchronous speed",
)
def most_efficient_thickness(*, q_f, f, w_A, w_B, k, a_g, H, B_p, W_h):
    """Return the ring thickness of the highest efficiency at a peak field H along the ring."""
    a = (B_p**2 + (W_h / (sp.pi * H)) ** 2) * (w_A * a_g**2 + w_B * k**2)
    b = w_A * H * a_g * B_p
    gain = W_h * f
    return (a * q_f + sp.sqrt(a * (a * q_f**2 + 2 * b * q_f * gain + (w_A * H**2 + q_f) * gain**2))) / (a * gain)


@formula("t", source="ring_gap_field solved for the thickness", valid=_RING)
def field_limited_thickness(*, B_l, k, H, B_p, W_h):
    """Return the ring thickness at which the gap field reaches its limit."""
    return B_l / (k * sp.sqrt(B_p**2 + (W_h / (sp.pi * H)) ** 2))


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
