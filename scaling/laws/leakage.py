"""Leakage reactance: what the current of a winding magnetises without driving the rotor.

Slots, tooth tips and end turns have a permeance each; the waves that the winding sets up beside its fundamental count
as a share of the fundamental's own field (differential leakage). Losses of iron and damping by the rotor left out.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")


@formula(
    "lambda_t", source="derived: field straight across the opening", valid="opening narrow against the lips' width"
)
def lip_permeance(*, h_l, b_u):
    """Return the permeance of the lips of a slot's opening.

    Examples
    --------
    >>> round(float(lip_permeance(h_l=0.5e-3, b_u=3e-3)), 3)
    0.167
    """
    return h_l / b_u


@formula(
    "lambda_t",
    source="derived: conformal mapping of one deep slot between teeth at different potentials, less a step of the "
    "potential in Carter's gap and the slot's straight field; finite elements repeat it",
    valid="smooth iron rotor, slots deep against their opening, gap below a tenth of the slot pitch to 5 %",
)
def slot_mouth_permeance(*, b_u, g):
    """Return the permeance of a slot's mouth that is left beside differential leakage in Carter's gap; may be negative.

    The differential leakage takes the force to step at the slot's middle, which is more than an open mouth has.

    Examples
    --------
    3 mm open, gap 0.3 mm.

    >>> round(float(slot_mouth_permeance(b_u=3e-3, g=0.3e-3)), 3)
    -0.348
    """
    u = b_u / (2 * g)
    return (sp.atan(u) / u + sp.log(1 + 1 / u**2) / 2 - sp.log(4)) / sp.pi


@formula(
    "q_Q",
    source="derived: field energy of the currents, d_s/3 of the slot's depth over its width, and the bundle of a pole "
    "and phase in the end turns; the winding's rms linear current density",
    valid="slots with parallel sides in ideal iron; tooth tips and differential leakage apart",
)
def leakage_reactive_power(*, omega, A_rms, d_s, phi_t, lambda_e, e, tau):
    """Return the reactive power of slots and end turns per bore area of a three-phase winding.

    Examples
    --------
    30 kA/m in slots 15 mm deep, end turns as long as the core: 7.3 kvar/m².

    >>> given = {"A_rms": 30e3, "d_s": 0.015, "phi_t": 0.5, "lambda_e": 0.4, "e": 1.0, "tau": 0.08}
    >>> round(float(leakage_reactive_power(omega=314.2, **given)))
    7344
    """
    return omega * mu_0 * A_rms**2 * (d_s / (3 * (1 - phi_t)) + lambda_e * e * tau / 3)


@formula(
    "q_Q",
    source="derived: field energy of a slot's current in the permeance of its lips or mouth",
    valid="tips unsaturated",
)
def tip_reactive_power(*, omega, A_rms, lambda_t, tau_u):
    """Return the reactive power of tooth tips per bore area, of a permeance in every slot.

    Examples
    --------
    30 kA/m in slots 13 mm apart: 1.4 kvar/m².

    >>> round(float(tip_reactive_power(omega=314.2, A_rms=30e3, lambda_t=0.3, tau_u=0.013)))
    1386
    """
    return omega * mu_0 * A_rms**2 * tau_u * lambda_t


@formula(
    "u_s",
    source="Ampere's law: the peak current of a slot along the path's air",
    valid="full-pitch winding, or bars against the opposite current of a winding",
)
def leakage_saturation(*, A, tau_u, w_a, B_s):
    """Return the flux density that a slot's current drives along a leakage path, iron left out, over saturation.

    Across a slot's opening the path is as long as that; between slots of both sides it crosses the gap twice.

    Examples
    --------
    250 kA/m, as at rest, in slots 20 mm apart; gap of 0.9 mm: 3.5 T where 2 T saturate.

    >>> round(float(leakage_saturation(A=250e3, tau_u=0.02, w_a=1.8e-3, B_s=2.0)), 2)
    1.75
    """
    return mu_0 * A * tau_u / (w_a * B_s)


_SATURATED = "iron of infinite permeability up to saturation, of mu_0 above; the current sinusoidal"


@formula(
    "c_s",
    source="derived: fundamental of a flux that rises up to saturation, and r_a times as steeply beyond; tests add up "
    "the wave",
    valid=_SATURATED,
)
def saturated_lip_share(*, u_s, r_a):
    """Return what saturation leaves of the leakage across the lips of a slot's opening.

    Examples
    --------
    Twice the current that saturates, in an opening a quarter of the slot pitch wide.

    >>> saturated_lip_share(u_s=[0.5, 1.0, 2.0], r_a=0.25).round(3).tolist()
    [1.0, 1.0, 0.707]
    """
    c = 1 / sp.Max(u_s, 1)
    return r_a + (1 - r_a) * 2 * (sp.asin(c) + c * sp.sqrt(1 - c**2)) / sp.pi


@formula(
    "c_s",
    source="derived: the same, of fluxes from tooth to tooth whose force rises evenly from none to that of a slot's "
    "current, as the teeth of both sides stand; tests add up tooth by tooth",
    valid=_SATURATED,
)
def saturated_gap_share(*, u_s, r_a):
    """Return what saturation of the tooth tips leaves of the leakage through the gap: mouths and other waves.

    Examples
    --------
    >>> saturated_gap_share(u_s=[0.5, 1.0, 2.0], r_a=0.0).round(3).tolist()
    [1.0, 1.0, 0.78]
    """
    c = 1 / sp.Max(u_s, 1)
    b = sp.sqrt(1 - c**2)
    return r_a + (1 - r_a) * 2 / sp.pi * (sp.asin(c) + 2 * c * b + c**3 * sp.log(c / (1 + b)))


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
