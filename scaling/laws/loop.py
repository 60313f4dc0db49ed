"""The hysteresis loop: a closed form of distributed pinning.

Cells of anhysteretic curves of Froelich's form, B_s*u/(H_a + u), each behind a pinning field. A share 1 - m_c of
them has pinning fields spread evenly from zero to twice the coercivity. The rest m_c is pinned in a band of half width
w_c*H_c about the coercivity and has a field constant H_b of its own, which makes the loop square. Peak and energy have
closed forms at every field: Rayleigh's law at small field (W = 4/3*mu_0*nu*H^3 with
mu_0*nu = (1 - m_c)*B_s/(4*H_a*H_c)), saturation at large. Both shares are symmetric about the coercivity, so the loop
has it too. With H_k = min(H, 2*H_c) and H_i, H_j = min(H, (1 +- w_c)*H_c) one expression serves every field. Flux
densities here leave out mu_0*H and any other reversible part.
"""

import sympy as sp
from sympy.codegen.cfunctions import log1p

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_LOOP = "alternating field; two shares of cells; reversible permeability at zero field and mu_0*H left out"
_CELLS = "derived: peak of all cells whose pinning field is overcome, summed over the even spread and the rest"


def _rest(H, H_k, H_a, least=0):
    """Return what the cells overcome, of an even spread from ``least`` to H_k, lack of saturation in sum, over H_a."""
    return log1p((H_k - least) / (H_a + H - H_k))


def _square(H, H_i, H_j, H_b, H_c, w_c):
    """Return the part of their saturation that the cells pinned near the coercivity have reached."""
    return (H_i - H_j - H_b * _rest(H, H_i, H_b, H_j)) / (2 * w_c * H_c)


@formula("B_r", source="derived: outer loop at zero field", valid=_LOOP)
def loop_remanence(*, H_a, H_b, H_c, B_s, m_c, w_c):
    """Return the remanence of the outer loop."""
    even = 1 - H_a / (2 * H_c) * sp.log(1 + 2 * H_c / H_a)
    square = 1 - H_b / (2 * w_c * H_c) * sp.log((H_b + (1 + w_c) * H_c) / (H_b + (1 - w_c) * H_c))
    return B_s * ((1 - m_c) * even + m_c * square)


@formula("B_p", source="derived: outer loop at a reversed field", valid=_LOOP + "; H up to H_c")
def demagnetised_flux_density(*, H, H_a, H_b, H_c, B_s, m_c, w_c):
    """Return the flux density that a field H against it leaves of the remanence; nothing at the coercivity."""
    even = 1 - H / H_c - H_a / (2 * H_c) * sp.log((H_a + 2 * H_c - H) / (H_a + H))
    least, most = sp.Abs((1 - w_c) * H_c - H), (1 + w_c) * H_c - H
    square = (most - least - H_b * sp.log((H_b + most) / (H_b + least))) / (2 * w_c * H_c)
    return B_s * ((1 - m_c) * even + m_c * square)


@formula("B_p", source=_CELLS, valid=_LOOP)
def loop_peak_flux_density(*, H, H_k, H_i, H_j, H_a, H_b, H_c, B_s, m_c, w_c):
    """Return the peak flux density of the loop reached with a peak field H.

    Examples
    --------
    In the Rayleigh region doubling the field gives four times the flux density.

    >>> loop = {"H_a": 5e3, "H_b": 5e2, "H_c": 10e3, "B_s": 1.6, "m_c": 0.3, "w_c": 0.25}
    >>> b1, b2 = (loop_peak_flux_density(H=h, H_k=h, H_i=h, H_j=h, **loop) for h in (10.0, 20.0))
    >>> round(float(b2 / b1), 2)
    4.0
    """
    even = (H_k - H_a * _rest(H, H_k, H_a)) / (2 * H_c)
    return B_s * ((1 - m_c) * even + m_c * _square(H, H_i, H_j, H_b, H_c, w_c))


@formula(
    "B_i",
    source="derived: 2/pi times the integral of sqrt(1 - (h/H)^2)*dB over a branch, as each share's ratio to its peak; "
    "the limits 1, 16/(3*pi)*sqrt(1 - c/H) and 4/pi exact, between them polynomials fitted in scaling.models.loops",
    valid=_LOOP + "; within 2e-3 of the peak; H above zero",
)
def loop_in_phase_flux_density(
    *, H, H_k, H_i, H_j, H_a, H_b, H_c, B_s, m_c, w_c, i_0, i_1, i_2, i_3, i_4, j_2, j_3, j_4
):
    """Return the part in phase with a sinusoidal field of peak H of the fundamental of the loop's flux density."""
    n, z = H_a / H_k * _rest(H, H_k, H_a), 1 - H_k / H
    even = 1 + n * (1 - n) * (sp.Rational(1, 12) + i_0 * (1 - n)) + z * (i_1 + z * (i_2 + z * (i_3 + z * i_4)))
    # A square cell has S*(16/(3*pi)*q + j_2*q^2 + ...), S its part of saturation, q = sqrt(1 - c/H): over the band,
    # where q goes from b to a, the sums of S*q^n are elementary.
    a, b, k = sp.sqrt(1 - H_j / H), sp.sqrt(1 - H_i / H), H_b / H
    second = a - b - sp.sqrt(k) * (sp.atan(a / sp.sqrt(k)) - sp.atan(b / sp.sqrt(k)))
    third = (a**2 - b**2 - k * _rest(H, H_i, H_b, H_j)) / 2
    sums = (second, third, (a**3 - b**3) / 3 - k * second, (a**4 - b**4) / 4 - k * third)
    ratio = (16 / (3 * sp.pi), j_2, j_3, j_4)
    square = (
        sum(j * ((a ** (i + 3) - b ** (i + 3)) / (i + 3) - k * sums[i]) for i, j in enumerate(ratio)) * H / (w_c * H_c)
    )
    return B_s * ((1 - m_c) * H_k / (2 * H_c) * (1 - n) * even + m_c * square)


@formula("W_h", source="derived: work against each cell's pinning field over a full reversal and back", valid=_LOOP)
def loop_energy(*, H, H_k, H_i, H_j, H_a, H_b, H_c, B_s, m_c, w_c):
    """Return the loop energy per volume and cycle."""
    even = 2 / H_c * (H_k**2 / 2 + H_a * H_k - H_a * (H_a + H) * _rest(H, H_k, H_a))
    square = (H_i**2 - H_j**2) / 2 + H_b * (H_i - H_j) - H_b * (H_b + H) * _rest(H, H_i, H_b, H_j)
    return B_s * ((1 - m_c) * even + 2 * m_c * square / (w_c * H_c))


@formula(
    "W_h",
    source="Rayleigh 1887; IEC 60050-221, 221-03-32, with mu_0*nu = (1 - m_c)*B_s/(4*H_a*H_c)",
    valid="H small against H_a and H_c",
)
def rayleigh_energy(*, H, H_a, H_c, B_s, m_c):
    """Return the loop energy per volume and cycle of a small field: the limit of the closed form."""
    return (1 - m_c) * B_s * H**3 / (3 * H_a * H_c)


@formula(
    "gamma",
    source="derived: W_h = pi*H*B_1*sin(gamma) exactly",
    valid=_LOOP,
)
def loop_angle(*, W_h, B_i, H):
    """Return the hysteresis angle of the loop's fundamental."""
    return sp.atan(W_h / (sp.pi * B_i * H))


@formula("mu_r", source="as the hysteresis angle", valid=_LOOP)
def loop_permeability(*, B_i, H, gamma):
    """Return the amplitude of the relative permeability of the loop's fundamental."""
    return B_i / (mu_0 * H * sp.cos(gamma))
