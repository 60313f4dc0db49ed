"""Shaded poles: a shorted ring round a part of every pole lets its flux lag, so that the field turns; it costs heat.

A pole is driven by one phase. Of its arc, pi electrical degrees wide, the ring encloses the share a_s at one edge. The
magnetomotive force across the gap is the winding's in the open part and the winding's less the ring's in the other, so
that the flux density there is cos(phi) of the open part's and lags by phi, whose tangent is the gap's reactance over
the ring's resistance. Centres of the two parts are a quarter of a wave apart.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_POLE = "salient poles on one phase, gap as wide everywhere, ring without reactance; the rotor's own field left out"


@formula(
    "epsilon_t",
    source="derived: fundamentals of both parts' fluxes as waves, with the ring of most turning share, whose lag has "
    "the tangent 1/cos(pi*a_s/2); tests build the field step by step",
    valid=_POLE,
)
def shaded_turning_share(*, a_s):
    """Return the turning share of the field of shaded poles.

    Examples
    --------
    A third of the pole, and half of it.

    >>> shaded_turning_share(a_s=[1 / 3, 0.5]).round(3).tolist()
    [0.268, 0.414]
    """
    return sp.tan(sp.pi * a_s / 4)


@formula(
    "w_s",
    source="derived: heat of that ring, omega*flux^2*tan(phi)/2 over the permeance of its part of the gap",
    valid=_POLE,
)
def shading_heat_factor(*, a_s, omega, g_m):
    """Return the heat of shading rings per bore area over the squares of both waves' peak gap fields.

    Examples
    --------
    A third of the poles, 50 Hz, gap of 0.3 mm: 8.9 kW/m² at 1 T.

    >>> round(float(shading_heat_factor(a_s=1 / 3, omega=314.16, g_m=0.3e-3)), -2)
    8900.0
    """
    return sp.pi**2 * a_s * omega * g_m / (32 * mu_0 * sp.cos(sp.pi * a_s / 2))
