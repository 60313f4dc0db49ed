"""What can be wound in a slot: what liner, wedge, enamel and packing leave of it, or what is etched into it; eddies."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula
from scaling.laws.winding import induced_voltage, pole_flux

mu_0 = symbol("mu_0")
_SLOT = "slot with parallel sides, liner on all four"
_TURNS = "voltage drop left out; one path in parallel"
_CELLS = "cells as wide as high"
_ETCHED = "rotors below a few millimetres; any number of layers"
_IRON = "slot with parallel sides in ideal iron, field straight across it; turns in series"


@formula(
    "phi_w",
    source="fitted to overall diameters of IEC 60317-0-1, grade 1 (0.02, 0.05, 0.1, 0.15 mm seen in copies, 0.2, 0.5, "
    "1 mm from memory); held against 0.018-0.1 mm of it and 0.3-1.8 mm of IS 13730-0-1, both seen in makers' tables",
    valid="0.018-1.8 mm conductor, diameter within 1.2 % (3.3 % below 0.05 mm, where tables are rounded); finer wires "
    "keep a build of u_e times the overall diameter, thicker ones one that goes with its square root",
)
def wire_copper_share(*, d_i, u_e, d_e):
    """Return the copper share of a round enamelled wire.

    Examples
    --------
    A wire of 0.1 mm, 0.117 mm over its enamel: 0.731.

    >>> round(float(wire_copper_share(d_i=0.117e-3, u_e=0.17, d_e=0.117e-3)), 3)
    0.735
    """
    return (1 - u_e / (1 + (d_i / d_e) ** 2) ** sp.Rational(1, 4)) ** 2


@formula("d_w", source="definition of the copper share", valid="round wire")
def conductor_diameter(*, d_i, phi_w):
    """Return the diameter of the conductor of an enamelled wire."""
    return d_i * sp.sqrt(phi_w)


@formula("w_u", source="definition of the tooth share", valid="slot with parallel sides, curvature neglected")
def slot_width(*, tau_u, phi_t):
    """Return the width of a slot."""
    return (1 - phi_t) * tau_u


@formula(
    "d_v",
    source="wedge or cover 1 to 3 mm high and a strip between two coil sides in slots 10 to 40 mm deep, in small ones "
    "folded film: about a tenth of the depth; common practice, no source",
    valid="slots wound at random with round wire",
)
def wound_depth(*, d_s, c_w):
    """Return the depth of a slot that wedge and separator leave to liner and wires."""
    return (1 - c_w) * d_s


@formula("S_n", source="plane geometry", valid=_SLOT)
def wire_room(*, w_u, d_s, t_i):
    """Return the room that the liner leaves for wires; nothing in slots not wider than two liners."""
    return w_u * d_s * _unlined(w_u, t_i) * _unlined(d_s, t_i)


def _unlined(length, t_i):
    return sp.Max(1 - 2 * t_i / length, 0)


@formula("w_t", source="induced_voltage, with the flux of a pole", valid=_TURNS)
def turns_per_phase(*, U, f, k_w, B, tau, L):
    """Return the turns in series that a voltage asks for at a peak gap field.

    Examples
    --------
    >>> round(float(turns_per_phase(U=230.0, f=50.0, k_w=0.95, B=0.8, tau=0.08, L=0.1)))
    267
    """
    flux = pole_flux.__wrapped__(B=B, tau=tau, L=L)
    return U / induced_voltage.__wrapped__(f=f, k_w=k_w, w_t=1, Phi=flux)


@formula("z_s", source="three phases, 6*p*c_q slots, two conductors a turn", valid=_TURNS)
def conductors_per_slot(*, w_t, p, c_q):
    """Return the conductors per slot."""
    return w_t / (p * c_q)


@formula("d_i", source="definition of the packing factor", valid="round wires of one diameter, many in a slot")
def overall_diameter(*, k_p, S_n, z_s):
    """Return the overall diameter of the wire of which so many fill the room."""
    return 2 * sp.sqrt(k_p * S_n / (sp.pi * z_s))


@formula("d_i", source="definition of the copper share", valid="round wire")
def enamelled_diameter(*, d_w, phi_w):
    """Return the diameter over its enamel of a wire of a conductor's diameter."""
    return d_w / sp.sqrt(phi_w)


@formula("z_w", source="definition of the packing factor", valid="round wires of one diameter, many in a slot")
def wires_in_slot(*, k_p, S_n, d_i):
    """Return how many wires of an overall diameter fill the room; a fraction is a mean over the slots."""
    return 4 * k_p * S_n / (sp.pi * d_i**2)


@formula(
    "d_i",
    source="one wire a conductor; strands in parallel where that is too thick to bend, and no finer than can be wound: "
    "common practice, no source",
    valid="low voltage, wound at random",
)
def usual_wire(*, d_i, d_f, d_m, d_n):
    """Return the overall diameter of a usual winding's wire from that of one wire a conductor.

    Examples
    --------
    Conductors of 2.4 mm in a slot 10 mm wide become strands of 1.5 mm.

    >>> float(usual_wire(d_i=2.4e-3, d_f=25e-6, d_m=1.5e-3, d_n=9.5e-3))
    0.0015
    """
    return sp.Max(d_f, sp.Min(d_i, d_m, d_n))


@formula("phi_n", source="derived: packing and enamel in turn", valid=_SLOT + "; round enamelled wire")
def slot_copper_share(*, k_p, phi_w, S_n, w_u, d_s):
    """Return the copper share of a slot; it falls to nothing where the liners leave no room."""
    return k_p * phi_w * S_n / (w_u * d_s)


@formula("d_w", source="definition of the copper share", valid="round wire")
def wire_of_share(*, phi_n, w_u, d_s, z_s):
    """Return the diameter of the conductor of which so many give a copper share of the slot."""
    return 2 * sp.sqrt(phi_n * w_u * d_s / (sp.pi * z_s))


# Flat coils made by etching or plating


@formula(
    "z_s",
    source="smallest space and smallest line alike, as in rules for printed and plated lines: common practice, no "
    "source; " + _CELLS,
    valid=_ETCHED,
)
def etched_conductors(*, z_u, S_n, s_e):
    """Return the conductors of an etched slot: the usual number, or as many as its spaces let in."""
    return sp.Min(z_u, S_n / (2 * s_e) ** 2)


@formula("tau_e", source=_CELLS, valid=_ETCHED)
def etched_pitch(*, S_n, z_s):
    """Return the pitch of the lines of an etched slot, a line and a space."""
    return sp.sqrt(S_n / z_s)


@formula("phi_n", source="derived: a space beside every line, insulation on it; " + _CELLS, valid=_ETCHED)
def etched_copper_share(*, S_n, tau_e, s_e, t_e, w_u, d_s):
    """Return the copper share of a slot with an etched or plated coil.

    Examples
    --------
    Lines 20 µm wide, 10 µm apart, 3 µm of insulation from layer to layer, over all of the slot: 60 %.

    >>> round(float(etched_copper_share(S_n=1e-8, tau_e=30e-6, s_e=10e-6, t_e=3e-6, w_u=1e-4, d_s=1e-4)), 6)
    0.6
    """
    return S_n / (w_u * d_s) * sp.Max(1 - s_e / tau_e, 0) * sp.Max(1 - t_e / tau_e, 0)


# Teeth included


@formula("phi_s", source="definition of the tooth share", valid="always")
def layer_copper_share(*, phi_n, phi_t):
    """Return the copper share of the slot layer, teeth included."""
    return (1 - phi_t) * phi_n


# Alternating current


@formula("delta", source="diffusion into a flat conductor, every textbook", valid="conductor not magnetic")
def skin_depth(*, rho, f):
    """Return the skin depth.

    Examples
    --------
    Copper of 58 MS/m at 50 Hz: 9.35 mm.

    >>> round(1e3 * float(skin_depth(rho=1 / 58e6, f=50.0)), 2)
    9.35
    """
    return sp.sqrt(rho / (sp.pi * f * mu_0))


@formula(
    "k_R",
    source="derived: eddy loss pi*d_w**4*omega**2*B**2/(128*rho) of a thin wire in the slot's field, mean over depth",
    valid=_IRON + "; many wires no thicker than two skin depths: the excess 11 % high at two skin depths, 1 % at one",
)
def strands_resistance_factor(*, d_w, phi_n, d_s, delta):
    """Return the resistance factor of round wires spread over a slot: their proximity effect.

    Examples
    --------
    Wires of 1 mm over 40 % of a slot 25 mm deep at 400 Hz, skin depth 3.3 mm: 7 % more.

    >>> round(float(strands_resistance_factor(d_w=1e-3, phi_n=0.4, d_s=0.025, delta=3.3e-3)), 3)
    1.07
    """
    return 1 + (phi_n * d_s * d_w) ** 2 / (12 * delta**4)


@formula("k_R", source="derived: the field of the slots ends with them", valid="conductors as long outside as e says")
def winding_resistance_factor(*, k_R, e):
    """Return the resistance factor of a winding from that of its conductors in the slots."""
    return (k_R + e) / (1 + e)
