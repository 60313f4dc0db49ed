"""Where heat meets resistance inside a machine: slot, liner, teeth, yoke, seat, gap, end windings and inner air.

Each resistance is that of the whole machine, from the mean temperature of one part to that of the next. Heat that
arises or arrives along a part counts with the mean of its distribution, not with its far end.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

_SLOT = "slot with parallel sides, liner on all four, wires as one body with uniform heat; tooth tips left out"
_BODY = "two bodies, losses and resistances constant"
_SMOOTH = "smooth cylinders, gap thin against the radius, no axial flow, rotor turning"
_BECKER = "Becker and Kaye, J. Heat Transfer 84 (1962) 97, from memory"

# What the slot is made of


@formula(
    "lambda_d",
    source="law of Wiedemann and Franz with Sommerfeld's number; copper 4 %, aluminium 7 % above tables (from memory)",
    valid="metals from room temperature up",
)
def conductor_conductivity(*, rho, T):
    """Return the thermal conductivity of a conductor at a temperature.

    Examples
    --------
    Copper at 20 °C: 415 W/(m K); tables have about 400.

    >>> round(float(conductor_conductivity(rho=1 / 58e6, T=293.15)))
    415
    """
    return symbol("L_0") * T / rho


@formula(
    "lambda_w",
    source="derived: Maxwell's cluster of parallel cylinders; also the lower bound of Hashin and Shtrikman",
    valid="round wires that do not touch, share below 0.6, voids counted in lambda_r",
)
def winding_conductivity(*, lambda_d, lambda_r, phi_n):
    """Return the thermal conductivity of wires and resin across the wires.

    Examples
    --------
    40 % of copper in resin of 0.2 W/(m K).

    >>> round(float(winding_conductivity(lambda_d=390.0, lambda_r=0.2, phi_n=0.4)), 2)
    0.47
    """
    more, less = 1 + phi_n, 1 - phi_n
    return lambda_r * (lambda_d * more + lambda_r * less) / (lambda_d * less + lambda_r * more)


@formula(
    "t_i",
    source="paper and film of 0.2 to 0.35 mm in motors, a tenth of the slot in small ones, down to a coating of the "
    "sheets: common practice, no source; at most a quarter of the slot",
    valid="low voltage",
)
def made_liner(*, w_u, c_i, t_k, t_m):
    """Return the thickness of a slot liner as it is made: a share of the slot between the thinnest and the usual."""
    return sp.Min(w_u / 4, sp.Max(t_k, sp.Min(t_m, c_i * w_u)))


# Winding to core


@formula(
    "R_h",
    source="derived: slab with uniform heat, mean over the wall w/6 of a half slab, liner in series; both sides",
    valid=_SLOT + "; slot deeper than wide",
)
def slot_side_resistance(*, w_u, d_s, t_i, lambda_w, lambda_i, tau_u, S_b):
    """Return the thermal resistance from the mean of the winding in its slots to the sides of the teeth."""
    return (_half_slab(w_u, t_i, lambda_w) + t_i / lambda_i) * _per_side(tau_u, d_s, t_i, S_b)


@formula("R_h", source="derived: the part of the slab in slot_side_resistance", valid=_SLOT)
def slot_slab_resistance(*, w_u, d_s, t_i, lambda_w, tau_u, S_b):
    """Return the thermal resistance from the mean of the winding in its slots to its own surface at the sides."""
    return _half_slab(w_u, t_i, lambda_w) * _per_side(tau_u, d_s, t_i, S_b)


def _half_slab(w_u, t_i, lambda_w):
    """Return what half the winding of a slot has from its mean to its surface, times area."""
    return (w_u - 2 * t_i) / (6 * lambda_w)


def _per_side(tau_u, d_s, t_i, S_b):
    """Return one over the area of all slots' sides."""
    return tau_u / (2 * (d_s - 2 * t_i) * S_b)


@formula(
    "R_h",
    source="fitted to the exact series of a rectangle with uniform heat, three walls cold: with the sides in parallel "
    "1 % up to a square slot, 8 % up to one twice as wide as deep; liner in series",
    valid=_SLOT,
)
def slot_bottom_resistance(*, w_u, d_s, t_i, lambda_w, lambda_i, tau_u, S_b):
    """Return the thermal resistance from the mean of the winding in its slots to the yoke at their bottom."""
    w, d = w_u - 2 * t_i, d_s - 2 * t_i
    inside = lambda_w * (sp.Rational(38, 10) + sp.Rational(17, 10) * w / d)
    return (1 / inside + t_i / (lambda_i * w)) * tau_u / S_b


@formula("u_n", source="fin equation of the conductors in their slots", valid="slot walls at one temperature")
def conductor_fin_number(*, L, R_h, lambda_d, phi_s, d_s, S_b):
    """Return half the core's length over the length in which a conductor gives its heat to the walls."""
    return L / sp.sqrt(4 * R_h * lambda_d * phi_s * d_s * S_b)


@formula(
    "R_h",
    source="derived: fin of half the core's length that passes what enters at its end to its walls; exact",
    valid="slot walls at one temperature, heat uniform along the conductor",
)
def slot_end_resistance(*, R_h, u_n):
    """Return the thermal resistance from where the conductors leave the core to their mean in the slots."""
    return R_h * (u_n / sp.tanh(u_n) - 1)


@formula(
    "R_h",
    source="derived: half end turns with uniform heat, mean over their ends a third of their length",
    valid="end turns that give most of their heat to the slots, or little more than that",
)
def end_turn_resistance(*, e, L, lambda_d, phi_s, d_s, S_b):
    """Return the thermal resistance from the mean of the end turns to where they enter the core."""
    return e * L**2 / (12 * lambda_d * phi_s * d_s * S_b)


# Core


@formula(
    "R_h",
    source="derived: heat that enters along the tooth, or arises in it, uniformly",
    valid="teeth with parallel sides, heat along the sheet",
)
def tooth_resistance(*, d_s, lambda_c, k_s, phi_t, S_b):
    """Return the thermal resistance from the mean of the teeth to the yoke."""
    return d_s / (3 * lambda_c * k_s * phi_t * S_b)


@formula(
    "R_h",
    source="derived: what a tooth has from its tip to its root, less what it has from its mean",
    valid="as tooth_resistance; heat that enters at the tip warms the mean by a sixth of the tooth too little",
)
def tooth_tip_resistance(*, d_s, lambda_c, k_s, phi_t, S_b):
    """Return the thermal resistance from the tips of the teeth to their mean."""
    return 2 * d_s / (3 * lambda_c * k_s * phi_t * S_b)


@formula("R_h", source="derived: cylinder wall", valid="heat along the sheet, from the inner surface to the outer")
def yoke_resistance(*, D_o, y, L, lambda_c, k_s):
    """Return the thermal resistance across the yoke."""
    return sp.log(D_o / (D_o - 2 * y)) / (2 * sp.pi * lambda_c * k_s * L)


@formula(
    "kappa_t",
    source="derived: core_heat_factor of laws.stator, its two terms",
    valid="as there",
)
def tooth_loss_share(*, d_s, phi_t, y, tau, D, D_o):
    """Return the share of the core loss that arises in the teeth."""
    teeth = d_s / phi_t
    yoke = y * (tau / (sp.pi * y)) ** 2 * (D_o - y) / D
    return teeth / (teeth + yoke)


@formula(
    "t_a",
    source="as the tolerance of fits, 0.45*D^(1/3) + 0.001*D in µm and mm (ISO 286-1, from memory); that the film of a "
    "seat grows like it: common practice, no source",
    valid="seats turned or ground, from 1 mm to 0.5 m; beyond it tolerances grow a little faster",
)
def made_seat(*, t_b, D_1, D_o):
    """Return the film of air that the seat of a core is worth, from that at another diameter.

    Examples
    --------
    Grade 7 has 35 µm at 100 mm and 57 µm at 360 mm (ISO 286-1, from memory).

    >>> round(float(made_seat(t_b=35e-6, D_1=0.1, D_o=0.36)) * 1e6)
    57
    """
    linear = sp.Rational(1, 22)  # of the tolerance at 100 mm
    return t_b * ((1 - linear) * sp.cbrt(D_o / D_1) + linear * D_o / D_1)


@formula(
    "R_h",
    source="an equivalent film of air; 0.01 to 0.08 mm of pressed or shrunk cores: common practice, no source",
    valid="core seated along its length",
)
def seat_resistance(*, t_a, lambda_f, D_o, L):
    """Return the thermal resistance from the core to the frame."""
    return t_a / (lambda_f * sp.pi * D_o * L)


# Rotor and inner air


@formula("Ta", source="definition, the radius that of the rotor", valid=_SMOOTH)
def taylor_number(*, v_r, D, g, nu_f):
    """Return the Taylor number of the gap, from the speed of the rotor's surface."""
    return 2 * v_r**2 * g**3 / (D * nu_f**2)


@formula(
    "Nu",
    source=_BECKER + ": 2 up to 1700, 0.128*Ta^0.367, above 1e4 0.409*Ta^0.241; at rest conduction, exact",
    valid=_SMOOTH + "; Ta up to 1e7, referred to twice the gap",
)
def gap_nusselt_number(*, Ta):
    """Return the Nusselt number of the gap, referred to twice its width, from rotor to stator.

    Examples
    --------
    >>> [round(float(gap_nusselt_number(Ta=Ta)), 2) for Ta in (0.0, 1e4, 1e6)]
    [2.0, 3.76, 11.42]
    """
    vortices = sp.Rational(128, 1000) * Ta ** sp.Rational(367, 1000)
    turbulent = sp.Rational(409, 1000) * Ta ** sp.Rational(241, 1000)
    return sp.Max(2, sp.Min(vortices, turbulent))


@formula(
    "h",
    source="15.5*(1 + 0.29 v) in W/(m² K), m/s: Mellor, Roberts and Turner, IEE Proc. B 138 (1991) 205, from memory; "
    "other forms in use give 0.7 to 1.7 times that at 10 m/s (from memory). Conduction across still air: derived",
    valid="closed machines with blades on the rotor; a small machine has the conduction alone",
)
def inner_coefficient(*, h_i, v_r, v_i, lambda_f, d_s):
    """Return the heat transfer coefficient to the inner air, from the speed of the rotor's surface."""
    return h_i * (1 + v_r / v_i) + lambda_f / d_s


@formula("S_h", source="plane geometry: ring of the slots' depth, all sides but that at the core", valid="both sides")
def end_winding_area(*, D_i, d_s, l_e):
    """Return the surface of the end windings."""
    return 2 * sp.pi * (D_i + d_s) * (2 * l_e + d_s)


@formula("S_h", source="plane geometry: faces, and rings half as wide as the overhang", valid="both sides")
def rotor_end_area(*, D, l_e):
    """Return the surface of the rotor's ends."""
    return sp.pi * D * (D / 2 + l_e)


@formula("S_h", source="plane geometry: shields, and the frame over the end windings", valid="both sides")
def inner_frame_area(*, D_o, l_e):
    """Return the surface of the frame that faces the inner air."""
    return sp.pi * D_o * (D_o / 2 + 2 * l_e)


@formula("R_h", source="definition of the heat transfer coefficient", valid="surface at one temperature")
def surface_resistance(*, h, S_h):
    """Return the thermal resistance of a surface."""
    return 1 / (h * S_h)


@formula(
    "R_h",
    source="derived: rod from the core's end to a bearing as far out as the overhang and a shaft's diameter; both ends",
    valid="resistance of the bearings left out",
)
def shaft_resistance(*, lambda_s, D_s, l_e):
    """Return the thermal resistance of the shaft from the rotor to the frame."""
    return 2 * (l_e + D_s) / (sp.pi * lambda_s * D_s**2)


# What holds heat


@formula("C_h", source="definition of the specific heat", valid="one temperature")
def heat_capacity(*, m, c_h):
    """Return the heat capacity of a part."""
    return m * c_h


@formula(
    "C_h",
    source="definition, fins counted in the wall; iron holds 3.3, aluminium 2.4 MJ/(m³ K)",
    valid="frames of cast iron or aluminium",
)
def frame_heat_capacity(*, c_m, t_g, S_o):
    """Return the heat capacity of the frame and its shields, from that per volume of its wall."""
    return c_m * t_g * S_o


# Two bodies: the winding, and all the rest


@formula(
    "t_f",
    source="derived: roots of the heat balance of both bodies",
    valid=_BODY,
)
def fast_time_constant(*, C_w, C_r, R_w, R_r):
    """Return the time constant in which the winding runs ahead of the rest."""
    return 2 / _sum_and_root(C_w, C_r, R_w, R_r)


@formula("t_h", source="derived: the product of the roots", valid=_BODY)
def slow_time_constant(*, C_w, C_r, R_w, R_r):
    """Return the time constant in which winding and rest warm together."""
    return C_w * R_w * C_r * R_r * _sum_and_root(C_w, C_r, R_w, R_r) / 2


def _sum_and_root(C_w, C_r, R_w, R_r):
    total = 1 / (C_w * R_w) + 1 / (C_r * R_w) + 1 / (C_r * R_r)
    return total + sp.sqrt(total**2 - 4 / (C_w * R_w * C_r * R_r))


@formula(
    "R_h",
    source="derived: both parts add up to the end, and their slopes at the start to that of the winding's own heat",
    valid=_BODY,
)
def fast_part_of_winding_heat(*, R_w, R_r, C_w, t_f, t_h):
    """Return the fast part of the winding's rise over its own loss; the slow one is R_w + R_r less that."""
    return (1 / C_w - (R_w + R_r) / t_h) / (1 / t_f - 1 / t_h)


@formula("R_h", source="derived: no slope at the start", valid=_BODY)
def fast_part_of_other_heat(*, R_r, t_f, t_h):
    """Return how much less than nothing is the fast part of the winding's rise over a loss in the rest."""
    return R_r * t_f / (t_h - t_f)


# What insulation stands


@formula(
    "theta",
    source="IEC 60034-1 (from memory): up by what a coolant is below 40 °C, 30 K at most, down by what it is above",
    valid="coolant up to 60 °C; below 0 °C the standard leaves it to agreement",
)
def class_rise(*, theta_c, T_a, T_40, theta_u):
    """Return the temperature rise that a thermal class allows over a coolant, from that at 40 °C.

    Examples
    --------
    Class F at 40 °C, at 50 °C and at 0 °C.

    >>> at_40 = {"theta_c": 105.0, "T_40": 313.15, "theta_u": 30.0}
    >>> [round(float(class_rise(T_a=273.15 + cool, **at_40)), 6) for cool in (40, 50, 0)]
    [105.0, 95.0, 135.0]
    """
    return theta_c + sp.Min(theta_u, T_40 - T_a)
