"""The heat transfer coefficient of the outside surface in each cooling mode; arrays broadcast, SI."""

import numpy as np

from scaling.ground import materials
from scaling.laws import heat as law

MODES = ("still air", "shaft fan", "forced air", "water", "conduction")
_AIR = materials.AIR


def air_properties(ambient, rise):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature [W/m/K, m²/s, kg/m³]."""
    film = law.film_temperature(T_a=ambient, theta=rise)
    eta = law.air_viscosity(T_f=film, **{n: _AIR[n] for n in ("eta_0", "T_0", "T_eta")})
    conductivity = law.air_conductivity(T_f=film, **{n: _AIR[n] for n in ("lambda_0", "T_0", "T_lambda")})
    density = law.air_density(T_f=film, p_a=_AIR["p_a"], R_a=_AIR["R_a"])
    return conductivity, law.kinematic_viscosity(eta_f=eta, rho_f=density), density


def still_air_coefficient(outside_diameter, ambient, rise, emissivity):
    """Return natural convection from a horizontal cylinder plus radiation [W/m²/K]."""
    conductivity, viscosity, _ = air_properties(ambient, rise)
    film = law.film_temperature(T_a=ambient, theta=rise)
    rayleigh = law.rayleigh_number(theta=rise, D_o=outside_diameter, T_f=film, nu_f=viscosity, Pr=_AIR["Pr"])
    nusselt = law.natural_nusselt_number(Ra=rayleigh, Pr=_AIR["Pr"])
    convection = law.convection_coefficient(Nu=nusselt, lambda_f=conductivity, ell=outside_diameter)
    return convection + law.radiation_coefficient(epsilon=emissivity, T_a=ambient, theta=rise)


def crossflow_coefficient(outside_diameter, speed, conductivity, viscosity, prandtl):
    """Return forced convection of a cylinder across a flow [W/m²/K]."""
    reynolds = law.flow_reynolds_number(v_f=speed, ell=outside_diameter, nu_f=viscosity)
    nusselt = law.crossflow_nusselt_number(Re=reynolds, Pr=prandtl)
    return law.convection_coefficient(Nu=nusselt, lambda_f=conductivity, ell=outside_diameter)


def fan_coefficient(length, speed, ambient, rise):
    """Return forced convection along the frame of a given length, laminar or turbulent, the larger [W/m²/K]."""
    conductivity, viscosity, _ = air_properties(ambient, rise)
    reynolds = law.flow_reynolds_number(v_f=speed, ell=length, nu_f=viscosity)
    nusselt = np.maximum(
        law.laminar_plate_nusselt_number(Re=reynolds, Pr=_AIR["Pr"]),
        law.turbulent_plate_nusselt_number(Re=reynolds, Pr=_AIR["Pr"]),
    )
    return law.convection_coefficient(Nu=nusselt, lambda_f=conductivity, ell=length)


def together(natural, forced):
    """Return natural and forced convection acting at once: cubes add (Churchill 1977, from memory)."""
    return np.cbrt(natural**3 + forced**3)


def outside_coefficient(brief, *, outside_diameter, length, outside_area, rim_speed):
    """Return the heat transfer coefficient referred to the bare outside surface [W/m²/K].

    ``brief.cooling`` is one of MODES or a coefficient. Still air and radiation act in every air mode; the fin factor
    multiplies what convection and radiation pass. Water, a medium and a given coefficient stand alone.
    """
    mode, ambient, rise = brief.cooling, brief.ambient, brief.temperature_rise
    if not isinstance(mode, str):
        return np.broadcast_to(np.asarray(mode, float), np.shape(outside_diameter))
    if mode == "conduction":
        return law.conduction_coefficient(lambda_m=brief.medium_conductivity, S_o=outside_area)
    if mode == "water":
        water = materials.WATER
        return crossflow_coefficient(
            outside_diameter, brief.coolant_speed, water["lambda_f"], water["nu_f"], water["Pr"]
        )
    natural = still_air_coefficient(outside_diameter, ambient, rise, brief.emissivity)
    if mode == "still air":
        forced = 0.0
    elif mode == "shaft fan":
        forced = fan_coefficient(length, brief.fan_speed_ratio * rim_speed, ambient, rise)
    else:
        conductivity, viscosity, _ = air_properties(ambient, rise)
        forced = crossflow_coefficient(outside_diameter, brief.coolant_speed, conductivity, viscosity, _AIR["Pr"])
    return brief.fin_factor * together(natural, forced)
