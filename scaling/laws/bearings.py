"""Load and friction of the shaft's two bearings: side pull of the field, oil film, touch, rolling."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

_FILM = "laminar film of one viscosity in a round bearing, at most half as long as wide"
_TWO = "two equal bearings that share the load"


@formula(
    "F_s",
    source="derived: Maxwell's stress B**2/(2*mu_0) over the bore, B going with one over the gap; "
    "scaling/models/eccentric.py solves it",
    valid="two pole pairs or more (one: half of it), both sides of ideal iron, magnetic gap thin beside the pole "
    "pitch (a tenth of the radius and up to four pole pairs: within 8 %, B taken at the bore; wider: too large), "
    "first order in the eccentricity; saturation, damper cages and parallel paths of the winding make it less",
)
def unbalanced_pull(*, D, L, B, e_g, g, g_m):
    """Return the side pull of a travelling field of peak B on a rotor that is out of centre by e_g*g.

    What is magnet or non-magnetic ring in the magnetic gap g_m keeps the field from following the clearance g.
    """
    return sp.pi * D * L * B**2 * e_g * g / (4 * symbol("mu_0") * g_m)


@formula(
    "F_j", source="derived: mean square over all directions of the pull", valid="horizontal shaft, nothing hung on it"
)
def bearing_load(*, F_w, F_s):
    """Return the load of weight and side pull, whose direction nobody knows."""
    return sp.sqrt(F_w**2 + F_s**2)


@formula(
    "S_j",
    source="definition, (r/c)**2*eta*n/P; seen: the encyclopaedia's article Sommerfeld number, in a public copy",
    valid=_TWO,
)
def sommerfeld_number(*, d_j, l_j, c_j, eta_l, Omega, F_j):
    """Return the Sommerfeld number: viscous pressure, by turns per second, over the load on length by width."""
    return (d_j / (2 * c_j)) ** 2 * eta_l * Omega / (2 * sp.pi) * 2 * l_j * d_j**2 / F_j


@formula(
    "h_j",
    source="derived: joins the limits of a short bearing, h = c at no load and c*l*sqrt(pi*S) at high load, in "
    "squares; within 15 % of it between",
    valid=_FILM
    + "; as long as wide it is 10 % too thick at 0.6 of the clearance, twice at a tenth (Raimondi and Boyd)",
)
def film_thickness(*, c_j, l_j, S_j):
    """Return the smallest thickness of the oil film: the clearance at no load, nothing at rest."""
    return c_j / sp.sqrt(1 + 1 / (sp.pi * l_j**2 * S_j))


@formula(
    "M_v",
    source="Petroff's law over the mean of clearance over thickness, 1/sqrt(1 - e**2), derived; Petroff's law seen: "
    "the encyclopaedia's article Sommerfeld number, in a public copy",
    valid=_FILM + "; moment of the load about the bearing left out: 5 % low at h_j of 0.6 of the clearance, "
    "half at a tenth, as long as wide (Raimondi and Boyd)",
)
def film_torque(*, d_j, l_j, c_j, h_j, eta_l, Omega):
    """Return the viscous torque of one plain bearing, shaft out of centre until the film is h_j thin."""
    return sp.pi * eta_l * Omega * l_j * d_j**4 / (4 * sp.sqrt(h_j * (2 * c_j - h_j)))


@formula(
    "M_j", source="Coulomb friction on the bearing radius", valid="plain: surfaces that touch; ball: its load part"
)
def load_torque(*, c_f, F_j, d_j):
    """Return the friction torque that goes with the load of the bearings."""
    return c_f * F_j * d_j / 2


@formula(
    "M_f",
    source="derived: a sum in which touching surfaces carry exp(-h_j/h_c), a twentieth at three times the roughness, "
    "where a film counts as full (common practice, no source)",
    valid=_TWO + "; Stribeck's curve: falls from rest to a least, then rises with speed",
)
def plain_bearing_torque(*, M_v, M_j, h_j, h_c):
    """Return the friction torque of two plain bearings, from touch at rest to a full film."""
    return 2 * M_v + M_j * sp.exp(-h_j / h_c)


@formula(
    "M_v",
    source="Palmgren: M0 = 1e-7*f0*(nu*n)**(2/3)*dm**3 in N*mm, mm**2/s, 1/min, mm from nu*n = 2000 on; seen "
    "second-hand, in public notes that quote it for an axle box",
    valid="nu_l*Omega from q_0 on; below it is as there, grease and churned oil still to be moved",
)
def ball_bearing_drag(*, f_0, p_0, q_0, nu_l, Omega, d_p):
    """Return the viscous torque of one ball bearing without load."""
    return f_0 * p_0 * d_p**3 * (nu_l * Omega / q_0) ** sp.Rational(2, 3)


@formula("M_f", source="Palmgren: sum of both parts; seen second-hand as above", valid=_TWO)
def ball_bearing_torque(*, M_v, M_j):
    """Return the friction torque of two ball bearings."""
    return 2 * M_v + M_j
