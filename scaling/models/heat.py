"""The heat transfer coefficient of the outside surface in each cooling mode; arrays broadcast, SI."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scaling.ground import materials
from scaling.laws import heat as law

_AIR = materials.AIR


def air_properties(ambient, rise, pressure=_AIR["p_a"]):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature [W/m/K, m²/s, kg/m³]."""
    film = law.film_temperature(T_a=ambient, theta=rise)
    eta = law.air_viscosity(T_f=film, **{n: _AIR[n] for n in ("eta_0", "T_0", "T_eta")})
    conductivity = law.air_conductivity(T_f=film, **{n: _AIR[n] for n in ("lambda_0", "T_0", "T_lambda")})
    density = law.air_density(T_f=film, p_a=pressure, R_a=_AIR["R_a"])
    return conductivity, law.kinematic_viscosity(eta_f=eta, rho_f=density), density


def water_properties(temperature):
    """Return (conductivity, kinematic viscosity, Prandtl number) of water at a temperature [W/m/K, m²/s, 1]."""
    return tuple(np.interp(temperature, materials.WATER["T"], materials.WATER[n]) for n in ("lambda_f", "nu_f", "Pr"))


def still_air_coefficient(outside_diameter, ambient, rise, emissivity, pressure=_AIR["p_a"]):
    """Return natural convection from a horizontal cylinder plus radiation [W/m²/K]."""
    conductivity, viscosity, _ = air_properties(ambient, rise, pressure)
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


def fan_coefficient(length, speed, ambient, rise, pressure=_AIR["p_a"]):
    """Return forced convection along the frame of a given length, laminar or turbulent, the larger [W/m²/K]."""
    conductivity, viscosity, _ = air_properties(ambient, rise, pressure)
    reynolds = law.flow_reynolds_number(v_f=speed, ell=length, nu_f=viscosity)
    nusselt = np.maximum(
        law.laminar_plate_nusselt_number(Re=reynolds, Pr=_AIR["Pr"]),
        law.turbulent_plate_nusselt_number(Re=reynolds, Pr=_AIR["Pr"]),
    )
    return law.convection_coefficient(Nu=nusselt, lambda_f=conductivity, ell=length)


def together(natural, forced):
    """Return natural and forced convection acting at once: cubes add (Churchill 1977, from memory)."""
    return np.cbrt(natural**3 + forced**3)


class Outside(NamedTuple):
    """The outside that passes the heat: diameter, length [m], bare area [m²], its rise [K], the rim speed [m/s]."""

    diameter: np.ndarray
    length: np.ndarray
    area: np.ndarray
    rim_speed: np.ndarray
    rise: np.ndarray


@dataclass(frozen=True)
class CoolingMode:
    """A way to cool: ``coefficient(si, outside)`` in W/m²/K, and whether it grows as the rotor turns faster."""

    name: str
    coefficient: Callable[[object, Outside], np.ndarray]
    grows_with_speed: bool


def _in_air(si, outside, forced):
    """Return a coefficient in air: still air acts in every mode, fins multiply what convection and radiation pass."""
    natural = still_air_coefficient(outside.diameter, si.ambient, outside.rise, si.emissivity, si.air_pressure)
    return si.fin_factor * together(natural, forced)


def _still_air(si, outside):
    return _in_air(si, outside, 0.0)


def _shaft_fan(si, outside):
    speed = si.fan_speed_ratio * outside.rim_speed
    return _in_air(si, outside, fan_coefficient(outside.length, speed, si.ambient, outside.rise, si.air_pressure))


def _forced_air(si, outside):
    conductivity, viscosity, _ = air_properties(si.ambient, outside.rise, si.air_pressure)
    forced = crossflow_coefficient(outside.diameter, si.coolant_speed, conductivity, viscosity, _AIR["Pr"])
    return _in_air(si, outside, forced)


def _water(si, outside):
    return crossflow_coefficient(outside.diameter, si.coolant_speed, *water_properties(si.ambient))


def _conduction(si, outside):
    return law.conduction_coefficient(lambda_m=si.medium_conductivity, S_o=outside.area)


MODES = {
    mode.name: mode
    for mode in (
        CoolingMode("still air", _still_air, grows_with_speed=False),
        CoolingMode("shaft fan", _shaft_fan, grows_with_speed=True),
        CoolingMode("forced air", _forced_air, grows_with_speed=False),
        CoolingMode("water", _water, grows_with_speed=False),
        CoolingMode("conduction", _conduction, grows_with_speed=False),
    )
}


def grows_with_speed(cooling):
    """Return whether a brief's cooling, a mode or a coefficient, grows as the rotor turns faster."""
    return isinstance(cooling, str) and MODES[cooling].grows_with_speed


def outside_coefficient(si, *, outside_diameter, length, outside_area, rim_speed, rise=None):
    """Return the heat transfer coefficient referred to the bare outside surface [W/m²/K].

    ``si.cooling`` is the name of one of MODES or a coefficient, which stands for itself. ``rise`` is the outside's over
    the coolant [K], the brief's temperature rise if not given.
    """
    if not isinstance(si.cooling, str):
        return np.broadcast_to(np.asarray(si.cooling, float), np.shape(outside_diameter))
    rise = si.temperature_rise if rise is None else rise
    return MODES[si.cooling].coefficient(si, Outside(outside_diameter, length, outside_area, rim_speed, rise))
