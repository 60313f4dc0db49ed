"""Heat transfer from the outside surface: still air, radiation, moving air or water, a surrounding medium."""

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
def rayleigh_number(*, theta, D_o, T_f, nu_f, Pr):
    """Return the Rayleigh number of a horizontal cylinder."""
    return symbol("g_n") * theta * D_o**3 * Pr / (T_f * nu_f**2)


@formula(
    "Nu",
    source="Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049",
    valid="long horizontal cylinder, Ra up to 1e12; finite bodies below 0.1 m pass 2 to 4 times as much",
)
def natural_nusselt_number(*, Ra, Pr):
    """Return the Nusselt number of natural convection from a long horizontal cylinder."""
    prandtl = (1 + (sp.Rational(559, 1000) / Pr) ** sp.Rational(9, 16)) ** sp.Rational(8, 27)
    return (sp.Rational(6, 10) + sp.Rational(387, 1000) * Ra ** sp.Rational(1, 6) / prandtl) ** 2


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


@formula(
    "h",
    source="exact for a sphere of the same surface (Nu = 2); compact bodies differ by a few per cent",
    valid="medium at rest and large against the body, steady state",
)
def conduction_coefficient(*, lambda_m, S_o):
    """Return the heat transfer coefficient of conduction into a surrounding medium."""
    return lambda_m * sp.sqrt(4 * sp.pi / S_o)
