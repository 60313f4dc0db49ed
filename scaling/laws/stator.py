"""What the winding, the core and the cooling of the stator let through."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")


@formula(
    "k_C",
    source="Carter 1901, conformal mapping of one open slot of infinite depth facing smooth iron",
    valid="slot deep against its opening, slots far enough apart not to interact",
)
def carter_coefficient(*, tau_u, b_u, g):
    """Return Carter's coefficient, the effective over the mechanical gap.

    Examples
    --------
    Slot 12 mm, tooth 12 mm, gap 2 mm: an effective gap of 2.76 mm.

    >>> round(2 * float(carter_coefficient(tau_u=0.024, b_u=0.012, g=0.002)), 2)
    2.76
    """
    u = b_u / (2 * g)
    lost = 4 / sp.pi * (u * sp.atan(u) - sp.log(1 + u**2) / 2)
    return tau_u / (tau_u - lost * g)


@formula("k_D", source="carter_coefficient", valid="as there; slots facing a smooth stator")
def rotor_carter_coefficient(*, tau_u, b_2, g):
    """Return Carter's coefficient of the slots of a cage rotor."""
    return carter_coefficient.__wrapped__(tau_u=tau_u, b_u=b_2, g=g)


@formula("g_m", source="Carter's coefficient of the stator's slots", valid="smooth rotor surface on iron")
def slotted_gap(*, g, k_C):
    """Return the magnetic gap of a slotted stator facing a smooth rotor."""
    return g * k_C


@formula("g_m", source="Carter's coefficients of both sides", valid="slots of both sides one by one")
def cage_gap(*, g, k_C, k_D):
    """Return the magnetic gap of a slotted stator facing a cage rotor in slots."""
    return g * k_C * k_D


@formula(
    "g_m", source="a sheet or magnet is no iron: its thickness adds to the gap", valid="relative permeability near 1"
)
def layered_gap(*, g, k_C, t):
    """Return the magnetic gap of a slotted stator facing a non-magnetic layer on iron."""
    return g * k_C + t


@formula("A_rms", source="definition of the winding factor; sinusoidal current sheet", valid="fundamental only")
def winding_loading(*, A, k_w):
    """Return the winding's rms linear current density behind a fundamental of peak A."""
    return A / (sp.sqrt(2) * k_w)


@formula(
    "J_rms",
    source="the linear current density is spread over the copper of the slot layer",
    valid="current uniform in the conductor",
)
def conductor_current_density(*, A_rms, phi_s, d_s):
    """Return the rms current density in the conductor."""
    return A_rms / (phi_s * d_s)


@formula("rho", source="linear temperature law of resistance, IEC 60028 form", valid="-50 to 250 °C")
def resistivity_at(*, sigma_20, alpha_20, T, T_20):
    """Return the resistivity at a temperature.

    Examples
    --------
    >>> f"{float(resistivity_at(sigma_20=58e6, alpha_20=0.00393, T=373.15, T_20=293.15)):.3e}"
    '2.266e-08'
    """
    return (1 + alpha_20 * (T - T_20)) / sigma_20


@formula(
    "w_A",
    source="derived: Joule heat of the slot layer, end turns included, over A squared",
    valid="no skin effect in the conductors",
)
def winding_heat_factor(*, rho, e, k_w, phi_s, d_s):
    """Return the winding heat per bore area over the square of the peak linear current density."""
    return rho * (1 + e) / (2 * k_w**2 * phi_s * d_s)


@formula(
    "w_B",
    source="derived: core mass of teeth and yoke times the sheet's loss figure, which goes with B^2 and f^(3/2) "
    "between hysteresis (f) and eddy currents (f^2); common practice, no source for the exponents",
    valid="about 20 Hz to 400 Hz and up to 1.6 T for 0.5 mm sheet",
)
def core_heat_factor(*, c_b, w_1, B_1, f, f_1, rho_c, d_s, phi_t, y, tau, D, D_o, k_s):
    """Return the core heat per bore area over the square of the peak gap field.

    Sheets that fill the share k_s of the length have the flux density 1/k_s and the mass k_s.
    """
    teeth = d_s / phi_t
    yoke = y * (tau / (sp.pi * y)) ** 2 * (D_o - y) / D
    return c_b * w_1 * rho_c * (f / f_1) ** sp.Rational(3, 2) * (teeth + yoke) / (k_s * B_1**2)


@formula(
    "B_l",
    source="flux conservation: half a pole's flux B*tau/pi through the yoke",
    valid="stator yoke, or the rotor's core within its active layer: a shaft of steel carries flux too",
)
def yoke_limited_gap_field(*, B_y, y, tau, k_s):
    """Return the gap field at which the yoke reaches its largest flux density."""
    return sp.pi * B_y * y * k_s / tau


@formula(
    "B_l", source="flux conservation: what crosses a slot pitch runs through its tooth", valid="no flux in the slot"
)
def tooth_limited_gap_field(*, B_t, phi_t, k_s):
    """Return the gap field at which the teeth reach their largest flux density."""
    return B_t * phi_t * k_s


@formula(
    "B_l",
    source="flux conservation: teeth between bars of the same share at every radius are narrowest at their roots",
    valid="no flux in the slot, none lost along the tooth",
)
def rotor_tooth_limited_gap_field(*, B_t, phi_r, k_s, D, D_i, t):
    """Return the gap field at the bore at which the roots of the rotor's teeth reach their largest flux density."""
    return B_t * k_s * (1 - phi_r) * (D - 2 * t) / D_i


@formula(
    "q_b",
    source="heat balance: what the outside passes, per bore area",
    valid="winding and outside surface at one temperature",
)
def heat_allowed(*, h, theta, S_o, S_b):
    """Return the heat the outside surface passes at its temperature rise, per bore area."""
    return h * theta * S_o / S_b


@formula("q_o", source="the same heat, referred to the outside", valid="winding heat alone")
def heat_per_surface(*, q_w, S_b, S_o):
    """Return the winding heat per outside area."""
    return q_w * S_b / S_o


@formula("q_w", source="definition of the winding heat factor", valid="as the winding heat factor")
def winding_heat(*, w_A, A):
    """Return the winding heat per bore area."""
    return w_A * A**2


@formula("q_c", source="definition of the core heat factor", valid="as the core heat factor")
def core_heat(*, w_B, B):
    """Return the core heat per bore area."""
    return w_B * B**2


@formula(
    "q_r",
    source="power across the gap sigma_t*v_s, of which the share s stays in the rotor",
    valid="every rotor in a travelling field",
)
def rotor_heat(*, s, sigma_t, v_s):
    """Return the slip heat of the rotor per bore area."""
    return s * sigma_t * v_s


@formula(
    "sigma_t",
    source="Maxwell stress of a thin gap: half of mu_0*A^2/(k*g_m) times the rotor's response",
    valid="k*g_m below about 0.3; current sheet on ideal iron",
)
def shear_stress(*, A, k, g_m, Lambda):
    """Return the shear stress that a current sheet exerts on a rotor of response Lambda.

    Examples
    --------
    >>> round(float(shear_stress(A=40e3, k=40, g_m=0.6e-3, Lambda=0.2)))
    8378
    """
    return mu_0 * A**2 * Lambda / (2 * k * g_m)


@formula(
    "x_psi",
    source="derived: mean of field times current along the bore, both sinusoidal, is half the product of their peaks "
    "times the cosine of the angle between them",
    valid="field at the winding; the stress of its own wave alone",
)
def loading_cosine(*, sigma_t, A, B):
    """Return the cosine of the angle between gap field and winding current along the bore.

    Examples
    --------
    0.8 T and 40 kA/m, peaks, that lie 60 degrees apart: 8 kPa.

    >>> round(float(loading_cosine(sigma_t=8e3, A=40e3, B=0.8)), 6)
    0.5
    """
    return 2 * sigma_t / (A * B)


@formula(
    "x_B",
    source="derived: a current sheet A alone sets up mu_0*A/(k*g_m) in a thin gap between ideal iron",
    valid="a thin gap; with magnets it counts their field, too",
)
def field_over_open_gap(*, B, A, k, g_m):
    """Return the gap field over what the winding alone would set up in its gap."""
    return B * k * g_m / (mu_0 * A)


@formula(
    "rho",
    source="Joule heat of a conductor of one current density, solved for its resistivity",
    valid="with skin effect, harmonics or a second wave in the heat it is an effective one",
)
def effective_resistivity(*, P_w, J_rms, V_w):
    """Return the resistivity that a winding's loss, current density and volume make."""
    return P_w / (J_rms**2 * V_w)


@formula(
    "chi",
    source="derived: loading that the heat alone allows over loading that sets up the field limit",
    valid="k*g_m below about 0.3",
)
def loading_ratio(*, q_b, w_A, B_l, k, g_m):
    """Return the heat-limited over the field-limited linear current density."""
    return sp.sqrt(q_b / w_A) * mu_0 / (B_l * k * g_m)


@formula(
    "beta_w",
    source="derived: slip heat over winding heat, both per square of the loading",
    valid="k*g_m below about 0.3",
)
def slip_heat_ratio(*, v_s, k, g_m, w_A):
    """Return the gap power scale over the winding heat."""
    return mu_0 * v_s / (2 * k * g_m * w_A)


@formula(
    "beta_c",
    source="derived: core heat at the open gap field over winding heat",
    valid="k*g_m below about 0.3",
)
def core_heat_ratio(*, w_B, w_A, k, g_m):
    """Return the core heat of the unloaded gap over the winding heat."""
    return w_B * (mu_0 / (k * g_m)) ** 2 / w_A
