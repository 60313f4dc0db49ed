"""Lengths, areas, volumes and masses of the stator that all machine types share."""

import sympy as sp

from scaling.laws.formula import formula

_GEOMETRY = "plane geometry"


@formula("tau", source=_GEOMETRY, valid="gap small against the radius")
def pole_pitch(*, D, p):
    """Return the pole pitch at the rotor surface.

    Examples
    --------
    >>> round(float(pole_pitch(D=0.1, p=2)), 5)
    0.07854
    """
    return sp.pi * D / (2 * p)


@formula("k", source="definition of the wave number of a half wave tau", valid="always")
def wave_number(*, tau):
    """Return the wave number of a travelling field of pole pitch tau."""
    return sp.pi / tau


@formula("omega", source="definition", valid="always")
def angular_frequency(*, f):
    """Return the electrical angular frequency."""
    return 2 * sp.pi * f


@formula("v_s", source="two pole pitches per period", valid="always")
def field_speed(*, f, tau):
    """Return the speed of the travelling field."""
    return 2 * f * tau


@formula("Omega", source="one turn per p periods, less the slip", valid="always")
def shaft_speed(*, f, p, s):
    """Return the mechanical angular speed of a rotor at slip s."""
    return 2 * sp.pi * f * (1 - s) / p


@formula("D_o", source="definition of the outside ratio", valid="always")
def outside_diameter(*, D, g, c_D):
    """Return the outside diameter of the stator core from the bore diameter."""
    return c_D * (D + 2 * g)


@formula("y", source=_GEOMETRY, valid="positive only if the slots leave room for a yoke")
def yoke_thickness(*, D, g, D_o, d_s):
    """Return the radial thickness of the stator yoke behind the slots."""
    return (D_o - D) / 2 - g - d_s


@formula("tau_u", source="three phases, q slots per pole and phase: 6 p q slots", valid="always")
def slot_pitch(*, D, p, c_q):
    """Return the stator slot pitch at the bore."""
    return sp.pi * D / (6 * p * c_q)


@formula("S_b", source=_GEOMETRY, valid="gap small against the radius")
def bore_area(*, D, L):
    """Return the area across which the shear stress acts."""
    return sp.pi * D * L


@formula("S_o", source=_GEOMETRY, valid="plain cylinder with both ends; fins count as an area factor elsewhere")
def outside_area(*, D_o, L_o):
    """Return the bare outside surface of core and end windings, ends included."""
    return sp.pi * D_o * L_o + sp.pi * D_o**2 / 2


@formula("V", source=_GEOMETRY, valid="active parts and end windings: end shields, feet and shaft left out")
def envelope_volume(*, D_o, L_o):
    """Return the volume of the envelope of core and end windings."""
    return sp.pi * D_o**2 * L_o / 4


@formula(
    "e",
    source="end turn taken as c_e pole pitches a side; c_e about 1.5, common practice, no source",
    valid="lap or concentric winding of full pitch",
)
def end_winding_share(*, c_e, tau, L):
    """Return the conductor length outside the core over the length inside."""
    return c_e * tau / L


@formula(
    "l_e",
    source="a bundle that leaves the slots straight and slants to its next slot; 0.3 pole pitches, and 0.05 of the "
    "diameter for straight piece and insulation: common practice, no source",
    valid="lap or concentric winding of full pitch",
)
def end_overhang(*, c_o, tau, c_l, D):
    """Return how far the end winding stands out of the core on a side."""
    return c_o * tau + c_l * D


@formula("L_o", source="definition", valid="end rings no wider than the overhang")
def overall_length(*, L, l_e):
    """Return the length over the end windings."""
    return L + 2 * l_e


@formula("L", source="definition", valid="positive only if the end windings leave room for a core")
def length_between(*, L_o, l_e):
    """Return the active length that the end windings leave of a length over both."""
    return L_o - 2 * l_e


@formula(
    "e_r",
    source="derived: current that enters along the inner edge of a plate of the bars' depth spreads over it by "
    "Laplace's equation; 2*phi_r/(k*L) for wide rings; tests repeat it",
    valid="rings of the bars' depth and of their material at both ends; sheet rotors that stand out as far",
)
def end_ring_share(*, phi_r, k, L, w_e):
    """Return the end-ring loss over the loss in the bars or the sheet.

    Examples
    --------
    Two pole pairs, 100 mm, half copper, rings 20 mm wide.

    >>> round(float(end_ring_share(phi_r=0.5, k=40.0, L=0.1, w_e=0.02)), 3)
    0.376
    """
    return 2 * phi_r / (k * L * sp.tanh(k * w_e))


@formula("m_e", source=_GEOMETRY, valid="rings of the bars' depth at both ends")
def end_ring_mass(*, D, t, w_e, rho_w):
    """Return the mass of two end rings of the outer diameter D, t deep and w_e wide."""
    return 2 * rho_w * sp.pi * (D - t) * t * w_e


@formula(
    "m",
    source=_GEOMETRY + ": rotor, teeth, yoke and conductors with their end turns",
    valid="the rotor counted as a solid cylinder of core density, whatever its type",
)
def active_mass(*, D, D_i, L, y, D_o, d_s, phi_s, phi_t, k_s, e, rho_c, rho_w):
    """Return the mass of the active parts."""
    S_b = sp.pi * D_i * L
    core = _cylinder(D, L) + k_s * (_layer(S_b, d_s, phi_t) + _ring(D_o, y, L))
    return rho_c * core + rho_w * _layer(S_b, d_s, phi_s) * (1 + e)


@formula("m", source="plane geometry", valid="as active_mass")
def winding_mass(*, rho_w, phi_s, d_s, S_b, e):
    """Return the mass of the conductors, end turns included."""
    return rho_w * _layer(S_b, d_s, phi_s) * (1 + e)


@formula("V_w", source="plane geometry", valid="as active_mass")
def winding_volume(*, phi_s, d_s, S_b, e):
    """Return the volume of the conductors, end turns included."""
    return _layer(S_b, d_s, phi_s) * (1 + e)


@formula("m", source="plane geometry", valid="bars, ring or magnets that fill a share of a layer")
def layer_mass(*, rho_b, phi_r, t_v, S_b):
    """Return the mass of what fills a share of a layer of the rotor."""
    return rho_b * _layer(S_b, t_v, phi_r)


@formula("V_i", source="plane geometry", valid="always")
def bore_volume(*, D_i, L):
    """Return the volume of the bore, over the active length."""
    return _cylinder(D_i, L)


@formula("m", source="plane geometry", valid="as active_mass")
def teeth_mass(*, rho_c, k_s, phi_t, d_s, S_b):
    """Return the mass of the teeth."""
    return rho_c * k_s * _layer(S_b, d_s, phi_t)


@formula("m", source="plane geometry", valid="as active_mass")
def yoke_mass(*, rho_c, k_s, D_o, y, L):
    """Return the mass of the stator's yoke."""
    return rho_c * k_s * _ring(D_o, y, L)


@formula("m", source="plane geometry", valid="the rotor counted as a solid cylinder of core density")
def rotor_mass(*, rho_c, D, L):
    """Return the mass of the rotor."""
    return rho_c * _cylinder(D, L)


def _cylinder(D, L):
    """Return the volume of a cylinder."""
    return sp.pi * D**2 * L / 4


def _layer(S_b, d_s, share):
    """Return the volume of a share of the slots' layer on the bore."""
    return S_b * d_s * share


def _ring(D_o, y, L):
    """Return the volume of the yoke."""
    return sp.pi * (D_o - y) * y * L


@formula(
    "J",
    source="solid cylinder, mass times radius squared over two",
    valid="rotor as a solid cylinder of core density",
)
def rotor_inertia(*, rho_c, D, L):
    """Return the moment of inertia of the rotor."""
    return rho_c * sp.pi * L * D**4 / 32


@formula("T_e", source="shear stress times bore area times radius", valid="gap small against the radius")
def gap_torque(*, sigma_t, D, L):
    """Return the electromagnetic torque of a shear stress on the rotor surface.

    Examples
    --------
    >>> round(float(gap_torque(sigma_t=10e3, D=0.1, L=0.1)), 2)
    15.71
    """
    return sp.pi * D**2 * L * sigma_t / 2
