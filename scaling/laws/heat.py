"""Heat transfer from the outside: still air, radiation, moving air or water, a medium, a jacket, a flange; a fan."""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

_AIR = "dry air near atmospheric pressure, 200 to 600 K"
_WHITE = "White, Viscous Fluid Flow, ch. 1 (Sutherland constants from memory; agrees with tables to 2 %)"


@formula("T_f", source="common practice: mean of surface and ambient", valid="always")
def film_temperature(*, T_a, theta):
    """Return the film temperature at which coolant properties are taken."""
    return T_a + theta / 2


@formula("eta_f", source=_WHITE, valid=_AIR)
def air_viscosity(*, T_f, eta_0, T_0, T_eta):
    """Return the dynamic viscosity of air."""
    return eta_0 * (T_f / T_0) ** sp.Rational(3, 2) * (T_0 + T_eta) / (T_f + T_eta)


@formula("lambda_f", source=_WHITE, valid=_AIR)
def air_conductivity(*, T_f, lambda_0, T_0, T_lambda):
    """Return the thermal conductivity of air."""
    return lambda_0 * (T_f / T_0) ** sp.Rational(3, 2) * (T_0 + T_lambda) / (T_f + T_lambda)


@formula("rho_f", source="ideal gas law", valid=_AIR)
def air_density(*, p_a, R_a, T_f):
    """Return the density of air."""
    return p_a / (R_a * T_f)


@formula("nu_f", source="definition", valid="always")
def kinematic_viscosity(*, eta_f, rho_f):
    """Return the kinematic viscosity."""
    return eta_f / rho_f


@formula("Ra", source="definition, expansion coefficient of an ideal gas at film temperature", valid="gases")
def rayleigh_number(*, theta, ell, T_f, nu_f, Pr):
    """Return the Rayleigh number of a body of the given length: a diameter, or the root of a surface."""
    return symbol("g_n") * theta * ell**3 * Pr / (T_f * nu_f**2)


@formula(
    "Nu",
    source="Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049",
    valid="long horizontal cylinder, Ra up to 1e12",
)
def natural_nusselt_number(*, Ra, Pr):
    """Return the Nusselt number of natural convection from a long horizontal cylinder."""
    prandtl = (1 + (sp.Rational(559, 1000) / Pr) ** sp.Rational(9, 16)) ** sp.Rational(8, 27)
    return (sp.Rational(6, 10) + sp.Rational(387, 1000) * Ra ** sp.Rational(1, 6) / prandtl) ** 2


@formula(
    "Nu_0",
    source="Yovanovich's fit of conduction shape factors (from memory); within 0.5 % of a solution by charged rings",
    valid="cylinder with both ends, length up to 16 diameters; 2 % less at 32, 7 % less at 100",
)
def conduction_nusselt_number(*, D_o, L_o):
    """Return the Nusselt number of a cylinder in a medium at rest, referred to the root of its surface.

    Examples
    --------
    >>> round(float(conduction_nusselt_number(D_o=0.1, L_o=0.1)), 3)
    3.443
    """
    slender = sp.Rational(31915, 10000) + sp.Rational(27726, 10000) * (L_o / D_o) ** sp.Rational(76, 100)
    return slender / sp.sqrt(1 + 2 * L_o / D_o)


@formula(
    "G_b",
    source="derived: laminar boundary layers up the round side and up both ends, each on its own, passing heat with "
    "the integral of (width^4*sine of the slope)^(1/3) along the way, to the power 3/4",
    valid="horizontal cylinder with both ends; a sphere has 1.014",
)
def body_gravity_function(*, D_o, L_o, S_o):
    """Return what shape and position make of laminar natural convection, referred to the root of the surface.

    Examples
    --------
    >>> round(float(body_gravity_function(D_o=0.1, L_o=0.1, S_o=0.047124)), 3)
    1.051
    """
    side, ends = sp.Rational(2426, 1000) * L_o, sp.Rational(1652, 1000) * D_o
    return (side + ends) * D_o ** sp.Rational(3, 4) / S_o ** sp.Rational(7, 8)


@formula(
    "Nu",
    source="conduction and laminar convection added, as Yovanovich does (from memory), with the function of the "
    "Prandtl number of Churchill and Churchill (from memory)",
    valid="isothermal bodies, laminar; both referred to the root of the surface",
)
def natural_body_nusselt_number(*, Nu_0, G_b, Ra, Pr):
    """Return the Nusselt number of natural convection from a finite body."""
    prandtl = (1 + (sp.Rational(5, 10) / Pr) ** sp.Rational(9, 16)) ** sp.Rational(4, 9)
    return Nu_0 + sp.Rational(670, 1000) / prandtl * G_b * Ra ** sp.Rational(1, 4)


@formula("Re", source="definition", valid="always")
def flow_reynolds_number(*, v_f, ell, nu_f):
    """Return the Reynolds number of a flow past a body of the given length."""
    return v_f * ell / nu_f


@formula(
    "Nu",
    source="Churchill and Bernstein, J. Heat Transfer 99 (1977) 300",
    valid="cylinder across the flow, Re*Pr above 0.2",
)
def crossflow_nusselt_number(*, Re, Pr):
    """Return the Nusselt number of a cylinder across a flow."""
    prandtl = (1 + (sp.Rational(4, 10) / Pr) ** sp.Rational(2, 3)) ** sp.Rational(1, 4)
    rise = (1 + (Re / 282000) ** sp.Rational(5, 8)) ** sp.Rational(4, 5)
    return sp.Rational(3, 10) + sp.Rational(62, 100) * sp.sqrt(Re) * sp.cbrt(Pr) / prandtl * rise


@formula(
    "Nu",
    source="laminar boundary layer on a plate, mean value, Pohlhausen; textbook constant 0.664",
    valid="Re below about 5e5, Pr above 0.6",
)
def laminar_plate_nusselt_number(*, Re, Pr):
    """Return the mean Nusselt number of a plate along a laminar flow."""
    return sp.Rational(664, 1000) * sp.sqrt(Re) * sp.cbrt(Pr)


@formula(
    "Nu",
    source="turbulent boundary layer on a plate, mean value; textbook constant 0.037",
    valid="tripped turbulent flow, Re up to 1e7, Pr above 0.6",
)
def turbulent_plate_nusselt_number(*, Re, Pr):
    """Return the mean Nusselt number of a plate along a turbulent flow."""
    return sp.Rational(37, 1000) * Re ** sp.Rational(4, 5) * sp.cbrt(Pr)


@formula("h", source="definition of the Nusselt number", valid="always")
def convection_coefficient(*, Nu, lambda_f, ell):
    """Return the heat transfer coefficient of a Nusselt number referred to a length."""
    return Nu * lambda_f / ell


@formula(
    "h",
    source="Stefan-Boltzmann law between a small grey body and large surroundings",
    valid="surroundings at ambient temperature",
)
def radiation_coefficient(*, epsilon, T_a, theta):
    """Return the heat transfer coefficient of radiation."""
    hot = T_a + theta
    return epsilon * symbol("sigma_SB") * (hot**2 + T_a**2) * (hot + T_a)


@formula("h", source="definition of the shape factor", valid="medium at rest and large against the body, steady state")
def conduction_coefficient(*, lambda_m, S_o, Nu_0):
    """Return the heat transfer coefficient of conduction into a surrounding medium."""
    return lambda_m * Nu_0 / sp.sqrt(S_o)


# A jacket: a channel round the core, much wider than high, one of its walls hot


@formula("D_h", source="definition: four times the section over its edge", valid="channel much wider than high")
def hydraulic_diameter(*, b_j):
    """Return the hydraulic diameter of a flat channel of a height."""
    return 2 * b_j


@formula(
    "Nu",
    source="4.861 far inside (Shah and London, from memory); at the entry 1.849*(Re*Pr*D_h/ell)^(1/3), derived after "
    "Leveque; cubes added",
    valid="laminar flow, formed at the entry, one wall at one temperature, the other passes no heat",
)
def laminar_channel_nusselt_number(*, Re, Pr, D_h, ell):
    """Return the mean Nusselt number of laminar flow in a flat channel of a length, referred to D_h."""
    entry = sp.Rational(1849, 1000) ** 3 * Re * Pr * D_h / ell
    return sp.cbrt(sp.Rational(4861, 1000) ** 3 + entry)


@formula("f_D", source="Petukhov (from memory)", valid="smooth channels, Re from 3000 to 5e6")
def channel_friction_factor(*, Re):
    """Return Darcy's friction factor of turbulent flow in a channel."""
    return (sp.Rational(79, 100) * sp.log(Re) - sp.Rational(164, 100)) ** -2


@formula(
    "Nu",
    source="Gnielinski, International Chemical Engineering 16 (1976) 359 (from memory)",
    valid="Re from 3000 to 5e6, Pr from 0.5 to 2000; zero at Re = 1000",
)
def turbulent_channel_nusselt_number(*, Re, Pr, f_D):
    """Return the Nusselt number of turbulent flow in a channel, referred to D_h."""
    slow = 1 + sp.Rational(127, 10) * sp.sqrt(f_D / 8) * (Pr ** sp.Rational(2, 3) - 1)
    return f_D / 8 * (Re - 1000) * Pr / slow


# A flange: the frame's wall as a fin, heated along its length, cooled by a joint at one end and along its side


@formula("u_f", source="fin equation", valid="thin wall")
def wall_fin_number(*, L_o, h_s, lambda_a, t_g):
    """Return the length of a wall over that in which it gives its heat to its side."""
    return L_o * sp.sqrt(h_s / (lambda_a * t_g))


@formula("r_f", source="definition; of the joint, D_o/4 of area per edge", valid="joint over the whole face")
def joint_ratio(*, L_o, h_f, D_o, lambda_a, t_g):
    """Return the thermal resistance of a joint at the face of a cylinder over that of its wall along it."""
    return 4 * lambda_a * t_g / (h_f * D_o * L_o)


@formula(
    "h",
    source="derived: heat uniform along a fin, mean rise over that of the plate; exact",
    valid="air and plate at one temperature",
)
def flanged_wall_coefficient(*, h_s, u_f, r_f):
    """Return the heat transfer coefficient of a wall's side that a joint at its end helps, for the mean rise.

    Examples
    --------
    >>> round(float(flanged_wall_coefficient(h_s=10.0, u_f=1.0, r_f=0.0)), 2)
    41.95
    """
    along = sp.tanh(u_f)
    return h_s / (1 - along / (u_f * (1 + r_f * u_f * along)))


# A fan on the shaft


@formula(
    "P_u",
    source="stream of air through the section of the machine's outside; the coefficient is common practice, no source",
    valid="fan under a cowl, blades for both directions",
)
def fan_power(*, c_a, rho_f, v_f, D_o):
    """Return the power that a fan on the shaft takes.

    Examples
    --------
    >>> round(float(fan_power(c_a=0.6, rho_f=1.1, v_f=10.7, D_o=0.21)), 1)
    14.0
    """
    return c_a * rho_f / 2 * v_f**3 * sp.pi / 4 * D_o**2
