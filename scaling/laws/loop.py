"""The hysteresis loop: a closed form of distributed pinning.

Cells of one anhysteretic curve of Froelich's form, B_s*u/(H_a + u), each behind a pinning field, the
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


@formula(
    "gamma",
    source="derived: W_h = pi*H*B_1*sin(gamma) exactly, the part of the fundamental in phase with H taken as the peak",
    valid=_LOOP + "; the part in phase is exact in the Rayleigh region and up to 27 % low for a square loop",
)
def loop_angle(*, W_h, B_i, H):
    """Return the hysteresis angle of the loop's fundamental."""
    return sp.atan(W_h / (sp.pi * B_i * H))


@formula("mu_r", source="as the hysteresis angle", valid=_LOOP)
def loop_permeability(*, B_i, H, gamma):
    """Return the amplitude of the relative permeability of the loop's fundamental."""
    return B_i / (mu_0 * H * sp.cos(gamma))
