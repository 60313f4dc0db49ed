"""What enamel, liner and skin effect leave of a slot: copper share against size, resistance against frequency."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_SLOT = "slot with parallel sides, liner on all four"
_TURNS = "voltage drop left out; one path in parallel"
_IRON = "slot with parallel sides in ideal iron, field straight across it; turns in series"


@formula(
    "phi_w",
    source="fitted to overall diameters of IEC 60317-0-1, grade 1 (0.05, 0.1, 0.15 mm published; 0.02, 0.2, 0.5, 1 mm "
    "from memory)",
    valid="0.02-1 mm conductor, enamel build within 5 %, copper share 2 %; finer wires keep a build of u_e times the "
    "overall diameter, thicker ones one that goes with its square root",
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


@formula("S_n", source="plane geometry", valid=_SLOT)
def wire_room(*, w_u, d_s, t_i):
    """Return the room that the liner leaves for wires; nothing in slots not wider than two liners."""
    return w_u * d_s * _unlined(w_u, t_i) * _unlined(d_s, t_i)


def _unlined(length, t_i):
    return sp.Max(1 - 2 * t_i / length, 0)


@formula("w_t", source="induced voltage of a sinusoidal field, flux of a pole 2/pi*B*tau*L", valid=_TURNS)
def turns_per_phase(*, U, f, k_w, B, tau, L):
    """Return the turns in series that a voltage asks for at a peak gap field.

    Examples
    --------
    >>> round(float(turns_per_phase(U=230.0, f=50.0, k_w=0.95, B=0.8, tau=0.08, L=0.1)))
    267
    """
    return U / (2 * sp.sqrt(2) * f * k_w * B * tau * L)


@formula("z_s", source="three phases, 6*p*c_q slots, two conductors a turn", valid=_TURNS)
def conductors_per_slot(*, w_t, p, c_q):
    """Return the conductors per slot."""
    return w_t / (p * c_q)


@formula("d_i", source="definition of the packing factor", valid="round wires of one diameter, many in a slot")
def overall_diameter(*, k_p, S_n, z_s):
    """Return the overall diameter of the wire of which so many fill the room."""
    return 2 * sp.sqrt(k_p * S_n / (sp.pi * z_s))


@formula("phi_n", source="derived: packing, enamel and liner in turn", valid=_SLOT + "; round enamelled wire")
def slot_copper_share(*, k_p, phi_w, w_u, d_s, t_i):
    """Return the copper share of a slot; it falls to nothing where the slot is no wider than two liners."""
    return k_p * phi_w * _unlined(w_u, t_i) * _unlined(d_s, t_i)


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
