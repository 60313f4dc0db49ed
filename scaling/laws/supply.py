"""What the supply adds: a pulsating field as two opposing waves, reactive power of a wave, and the ripple of slots."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula
from scaling.laws.induction import induction_response

mu_0 = symbol("mu_0")
_OPPOSED = "linear rotor and core, so that forward and backward wave act one by one"


@formula("c_r", source="definition of the turning share", valid="1 three-phase, 0 one phase alone")
def backward_ratio(*, epsilon_t):
    """Return the backward over the forward wave of a winding's current sheet.

    Capacitor motors have a turning share of 0.7 to 1, shaded poles of about 0.3 (common practice, no source).

    Examples
    --------
    >>> [round(float(backward_ratio(epsilon_t=share)), 2) for share in (1.0, 0.8, 0.0)]
    [0.0, 0.11, 1.0]
    """
    return (1 - epsilon_t) / (1 + epsilon_t)


@formula(
    "Lambda",
    source="derived: the response at slip s less that at slip 2 - s, the backward wave weighed by its square",
    valid=_OPPOSED + "; thin gap, current-fed",
)
def opposed_response(*, s, G, c_r):
    """Return the response of a conducting rotor to two opposing waves, referred to the forward one.

    Examples
    --------
    One phase alone: no torque at rest, and none below the goodness that `opposed_goodness_need` gives.

    >>> opposed_response(s=[1.0, 0.1], G=[5.0, 5.0], c_r=1.0).round(3).tolist()
    [0.0, 0.296]
    """
    response = induction_response.__wrapped__
    return response(x=s * G) - c_r**2 * response(x=(2 - s) * G)


@formula("G", source="derived: the responses at s and 2 - s are equal", valid=_OPPOSED + "; thin gap, current-fed")
def opposed_goodness_need(*, s):
    """Return the goodness above which a pulsating field drives a conducting rotor at a slip.

    Examples
    --------
    >>> round(float(opposed_goodness_need(s=0.1)), 2)
    2.29
    """
    return 1 / sp.sqrt(s * (2 - s))


@formula(
    "sigma_t",
    source="derived: each wave leaves a loop energy per cycle that goes with the square of its field",
    valid="loop energy going with the square of the field; a real loop at small field loses less, down to nothing",
)
def opposed_hysteresis_stress(*, sigma_t, c_r):
    """Return the shear stress of a hysteretic ring in two opposing waves from that of the forward one.

    One phase alone gives none, at any speed.
    """
    return sigma_t * (1 - c_r**2)


@formula("f_b", source="derived: at synchronous speed the ring passes two backward waves a period", valid="as above")
def backward_loops(*, f, c_r):
    """Return the loops a second that the backward wave drives in a ring at synchronous speed, weighed by energy."""
    return 2 * f * c_r**2


@formula(
    "q_Q",
    source="derived: what is apparent in the gap and does not cross it",
    valid="every rotor in a travelling field",
)
def wave_reactive_power(*, A, B, sigma_t, v_s):
    """Return the reactive power of one wave of gap and rotor per gap area."""
    return v_s * sp.sqrt(sp.Max((A * B / 2) ** 2 - sigma_t**2, 0))


@formula(
    "k_v",
    source="Heller and Hamata, Harmonic Field Effects in Induction Machines (1977), ch. 2, from memory: conformal "
    "mapping of one open slot; Carter's coefficient turns its largest into its mean field",
    valid="slots without wedge; slot opening up to 0.6 of the pitch",
)
def slot_ripple(*, tau_u, b_u, g, k_C):
    """Return the fundamental of the slot ripple at a smooth rotor over the mean field.

    Examples
    --------
    Openings of a quarter of the pitch, thirteen gaps wide.

    >>> round(float(slot_ripple(tau_u=26e-3, b_u=6.5e-3, g=0.5e-3, k_C=1.18)), 2)
    0.36
    """
    u = b_u / (2 * g) + sp.sqrt(1 + (b_u / (2 * g)) ** 2)
    beta = (1 + u**2 - 2 * u) / (2 * (1 + u**2))
    part = b_u / tau_u
    shape = sp.Rational(1, 2) + part**2 / (sp.Rational(78, 100) - 2 * part**2)
    return k_C * beta * 4 / sp.pi * shape * sp.sin(sp.Rational(16, 10) * sp.pi * part)


@formula(
    "w_v",
    source="derived: diffusion of a wave of given normal field into a solid half space",
    valid="layer thicker than slot pitch over 2*pi; reaction on the field in the gap left out",
)
def ripple_surface_heat(*, v_v, k_v, tau_v, mu_r, sigma):
    """Return the heat that the slot ripple leaves in a solid rotor's surface, per bore area and gap field squared.

    It goes with the mean square of the gap field; the shaft pays for it.
    """
    k = 2 * sp.pi / tau_v
    reynolds = mu_0 * mu_r * sigma * v_v / k
    diffusion = reynolds / sp.sqrt(2 * (sp.sqrt(1 + reynolds**2) + 1))  # imaginary part of sqrt(1 + j*reynolds)
    return v_v * (k_v**2 / 2) * diffusion / (2 * mu_0 * mu_r)
