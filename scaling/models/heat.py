"""The heat transfer coefficient of the outside surface in each cooling mode; arrays broadcast, SI."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry
from scaling.laws import heat as law

_AIR = materials.AIR


def air_properties(ambient, rise, pressure=_AIR["p_a"]):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature [W/m/K, m²/s, kg/m³]."""
    film = law.film_temperature(T_a=ambient, theta=rise)
    eta = law.air_viscosity(T_f=film, **{n: _AIR[n] for n in ("eta_0", "T_0", "T_eta")})
    conductivity = law.air_conductivity(T_f=film, **{n: _AIR[n] for n in ("lambda_0", "T_0", "T_lambda")})
    density = law.air_density(T_f=film, p_a=pressure, R_a=_AIR["R_a"])
    return conductivity, law.kinematic_viscosity(eta_f=eta, rho_f=density), density


def liquid_properties(liquid, temperature):
    """Return (conductivity, kinematic viscosity, Prandtl number) of a liquid of the materials at a temperature."""
    return tuple(np.interp(temperature, liquid["T"], liquid[n]) for n in ("lambda_f", "nu_f", "Pr"))


def _rayleigh(ell, ambient, rise, viscosity):
    """Return the Rayleigh number of air at a body of a length."""
    film = law.film_temperature(T_a=ambient, theta=rise)
    return law.rayleigh_number(theta=rise, ell=ell, T_f=film, nu_f=viscosity, Pr=_AIR["Pr"])


def natural_coefficient(outside_diameter, ambient, rise, pressure=_AIR["p_a"], length=None):
    """Return natural convection from a horizontal cylinder [W/m²/K], a long one if no length is given.

    Of a finite one it is the larger of that of the finite body, conduction included, and that of a long cylinder,
    which knows turbulence.
    """
    conductivity, viscosity, _ = air_properties(ambient, rise, pressure)
    rayleigh = _rayleigh(outside_diameter, ambient, rise, viscosity)
    nusselt = law.natural_nusselt_number(Ra=rayleigh, Pr=_AIR["Pr"])
    long = law.convection_coefficient(Nu=nusselt, lambda_f=conductivity, ell=outside_diameter)
    if length is None:
        return long
    area = geometry.outside_area(D_o=outside_diameter, L_o=length)
    body = law.natural_body_nusselt_number(
        Nu_0=law.conduction_nusselt_number(D_o=outside_diameter, L_o=length),
        G_b=law.body_gravity_function(D_o=outside_diameter, L_o=length, S_o=area),
        Ra=_rayleigh(np.sqrt(area), ambient, rise, viscosity),
        Pr=_AIR["Pr"],
    )
    return np.maximum(long, law.convection_coefficient(Nu=body, lambda_f=conductivity, ell=np.sqrt(area)))


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


def channel_coefficient(height, length, speed, conductivity, viscosity, prandtl):
    """Return forced convection to one wall of a flat channel, laminar or turbulent, the larger [W/m²/K]."""
    width = law.hydraulic_diameter(b_j=height)
    reynolds = law.flow_reynolds_number(v_f=speed, ell=width, nu_f=viscosity)
    laminar = law.laminar_channel_nusselt_number(Re=reynolds, Pr=prandtl, D_h=width, ell=length)
    fast = np.maximum(reynolds, 1000.0)  # where the law of turbulent flow begins
    friction = law.channel_friction_factor(Re=fast)
    turbulent = law.turbulent_channel_nusselt_number(Re=fast, Pr=prandtl, f_D=friction)
    return law.convection_coefficient(Nu=np.maximum(laminar, turbulent), lambda_f=conductivity, ell=width)


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
    """A way to cool: ``coefficient(si, outside)`` from frame to coolant in W/m²/K, referred to the bare outside.

    ``grows_with_speed`` says whether a fan on the shaft, which the rotor drives, moves the coolant; ``way`` from where
    to where the coefficient counts.
    """

    name: str
    coefficient: Callable[[object, Outside], np.ndarray]
    grows_with_speed: bool
    way: str


def _in_air(si, outside, forced):
    """Return a coefficient in air: still air acts in every mode, fins multiply convection; radiation sees no fins."""
    natural = natural_coefficient(outside.diameter, si.ambient, outside.rise, si.air_pressure, outside.length)
    radiation = law.radiation_coefficient(epsilon=si.emissivity, T_a=si.ambient, theta=outside.rise)
    return si.fin_factor * together(natural, forced) + radiation


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
    return crossflow_coefficient(outside.diameter, si.coolant_speed, *liquid_properties(materials.WATER, si.ambient))


def _jacket(liquid):
    """Return the coefficient of a jacket: the coolant goes once round the core, the ends stand in still air."""

    def coefficient(si, outside):
        passed = channel_coefficient(
            si.jacket_height_ratio * outside.diameter, np.pi * outside.diameter, si.coolant_speed,
            *liquid_properties(liquid, si.ambient),
        )  # fmt: skip
        share = 1.0 - 2 * _face(outside) / outside.area
        return share * passed + (1.0 - share) * _still_air(si, outside)

    return coefficient


def _face(outside):
    """Return the surface of one end [m²]."""
    return np.pi / 4 * outside.diameter**2


def _flange(si, outside):
    """Return the coefficient of a frame bolted to a plate by one face, all the rest in still air."""
    side = outside.area - 2 * _face(outside)
    beside = 1.0 + _face(outside) / side  # the other face cools the wall as its side does
    wall = {"L_o": outside.length, "lambda_a": materials.FRAME_CONDUCTIVITY}
    wall["t_g"] = materials.FRAME_WALL_RATIO * outside.diameter
    h_s = beside * _still_air(si, outside)
    passed = law.flanged_wall_coefficient(
        h_s=h_s,
        u_f=law.wall_fin_number(h_s=h_s, **wall),
        r_f=law.joint_ratio(h_f=si.flange_conductance, D_o=outside.diameter, **wall),
    )
    return passed * side / outside.area


def _conduction(si, outside):
    shape = law.conduction_nusselt_number(D_o=outside.diameter, L_o=outside.length)
    return law.conduction_coefficient(lambda_m=si.medium_conductivity, S_o=outside.area, Nu_0=shape)


MODES = {
    mode.name: mode
    for mode in (
        CoolingMode("still air", _still_air, False, "frame to the air around"),
        CoolingMode("shaft fan", _shaft_fan, True, "frame to the air blown along it"),
        CoolingMode("forced air", _forced_air, False, "frame to the air blown across it"),
        CoolingMode("water", _water, False, "frame to the water that flows past all of it"),
        CoolingMode("water jacket", _jacket(materials.WATER), False, "frame to the water in its jacket"),
        CoolingMode("oil jacket", _jacket(materials.OIL), False, "frame to the oil in its jacket"),
        CoolingMode("flange", _flange, False, "frame to the plate it is bolted to, and to the air around"),
        CoolingMode("conduction", _conduction, False, "frame to the medium far away"),
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


def fan_power(si, outside_diameter, rim_speed, density):
    """Return the power that a fan on the shaft takes at a rim speed of the rotor [W], zero without one.

    It goes into the air: it does not warm the machine.
    """
    if not grows_with_speed(si.cooling):
        return np.zeros(np.shape(rim_speed))
    speed = si.fan_speed_ratio * rim_speed
    return law.fan_power(c_a=si.fan_loss_coefficient, rho_f=density, v_f=speed, D_o=outside_diameter)
