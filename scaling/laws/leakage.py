"""Leakage reactance: what the current of a winding magnetises without driving the rotor.

Slots, tooth tips and end turns have a permeance each; the waves that the winding sets up beside its fundamental count
as a share of the fundamental's own field (differential leakage). Losses of iron and damping by the rotor left out.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")


@formula(
    "lambda_t",
    source="derived: conformal mapping of one deep slot between teeth at different potentials, less a step of the "
    "potential in Carter's gap and the slot's straight field; finite elements repeat it",
    valid="smooth iron rotor, slots deep against their opening, gap below a tenth of the slot pitch to 5 %",
)
def slot_mouth_permeance(*, h_l, b_u, g):
    """Return the permeance of lip and mouth that is left beside differential leakage in Carter's gap; may be negative.

    The differential leakage takes the force to step at the slot's middle, which is more than an open mouth has.

    Examples
    --------
    A lip 0.5 mm high, 3 mm open, gap 0.3 mm.

    >>> round(float(slot_mouth_permeance(h_l=0.5e-3, b_u=3e-3, g=0.3e-3)), 3)
    -0.181
    """
    u = b_u / (2 * g)
    return h_l / b_u + (sp.atan(u) / u + sp.log(1 + 1 / u**2) / 2 - sp.log(4)) / sp.pi


@formula(
    "q_Q",
    source="derived: field energy of the currents, d_s/3 of the slot's depth over its width, the tooth tips' permeance "
    "in every slot, and the bundle of a pole and phase in the end turns; the winding's rms linear current density",
    valid="slots with parallel sides in ideal iron, tips unsaturated; differential leakage apart",
)
def leakage_reactive_power(*, omega, A_rms, d_s, phi_t, lambda_t, tau_u, lambda_e, e, tau):
    """Return the reactive power of slots, tooth tips and end turns per bore area of a three-phase winding.

    Examples
    --------
    30 kA/m in slots 15 mm deep, 13 mm apart, end turns as long as the core: 8.7 kvar/m².

    >>> given = {"A_rms": 30e3, "d_s": 0.015, "phi_t": 0.5, "lambda_e": 0.4, "e": 1.0, "tau": 0.08}
    >>> round(float(leakage_reactive_power(omega=314.2, lambda_t=0.3, tau_u=0.013, **given)))
    8730
    """
    return omega * mu_0 * A_rms**2 * (d_s / (3 * (1 - phi_t)) + tau_u * lambda_t + lambda_e * e * tau / 3)


@formula(
    "sigma_d",
    source="derived: mean square of the steps of magnetomotive force from tooth to tooth, their phasors the points of "
    "a hexagon, over that of the fundamental; tests sum the harmonics",
    valid="three phases, full pitch, whole slots per pole and phase, narrow openings, thin gap; rotor does not damp",
)
def winding_differential_leakage(*, c_q):
    """Return the differential leakage of a stator winding: reactance of all other waves over the fundamental's.

    Examples
    --------
    Textbook values, from memory.

    >>> winding_differential_leakage(c_q=[1, 2, 3]).round(4).tolist()
    [0.0966, 0.0284, 0.0141]
    """
    return 2 * sp.pi**2 * (5 * c_q**2 + 1) * sp.sin(sp.pi / (6 * c_q)) ** 2 / 27 - 1


@formula(
    "sigma_d",
    source="derived: mean square of the steps of magnetomotive force from tooth to tooth over that of the "
    "fundamental; tests sum the harmonics",
    valid="more than two bars a pole pair, narrow openings, thin gap",
)
def cage_differential_leakage(*, p, N_2):
    """Return the differential leakage of a cage: reactance of all other waves of its bars over the fundamental's.

    Examples
    --------
    Eleven bars a pole pair.

    >>> round(float(cage_differential_leakage(p=2, N_2=22)), 4)
    0.0276
    """
    a = sp.pi * p / N_2
    return (a / sp.sin(a)) ** 2 - 1


@formula(
    "sigma_k",
    source="derived: both ways across the gap the fundamental is averaged over the skew",
    valid="uniform skew of one side against the other, above 0; fundamental only",
)
def skew_leakage(*, alpha_k):
    """Return the leakage of skewed slots, the share of the magnetising reactance that skew uncouples.

    Examples
    --------
    One slot pitch of twelve slots a pole pair.

    >>> round(float(skew_leakage(alpha_k=0.5236)), 4)
    0.0226
    """
    return 1 - (sp.sin(alpha_k / 2) / (alpha_k / 2)) ** 2


@formula(
    "q_Q",
    source="derived: a share of the reactive power of the open gap",
    valid="as the differential leakage; in a wide gap the other waves fall more slowly than this takes them to",
)
def differential_reactive_power(*, sigma_d, v_s, A, k, g_m):
    """Return the reactive power of differential leakage per gap area; of a share of 1, that of the open gap."""
    return sigma_d * v_s * mu_0 * A**2 / (2 * sp.tanh(k * g_m))
