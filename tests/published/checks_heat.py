"""Published checks of what binds by size: heat, conductors, enamel, spinning discs."""

import math

from scaling.ground.insulation import COOLANT, read
from scaling.ground.materials import CONDUCTORS, ENAMEL, T_20
from scaling.laws import heat as heat_law
from scaling.laws import stator as stator_laws
from scaling.laws import strength, wire
from scaling.laws import thermal as heat_rise
from scaling.models import heat

KELVIN = 273.15
RPM = 2 * math.pi / 60


def heat_of_a_pipe_per_length(diameter, surface, ambient, emissivity):
    rise = surface - ambient
    natural = heat.natural_coefficient(diameter, ambient + KELVIN, rise)
    radiation = heat_law.radiation_coefficient(epsilon=emissivity, T_a=ambient + KELVIN, theta=rise)
    return (natural + radiation) * rise * math.pi * diameter


def conductor_record(conductor, quantity):
    metal = CONDUCTORS[conductor]
    cold, hot = (
        stator_laws.resistivity_at(sigma_20=metal.conductivity, alpha_20=metal.temperature_coefficient, T=T, T_20=T_20)
        for T in (T_20, T_20 + 100)
    )
    return 1e-6 / cold if quantity == "conductivity" else (hot / cold - 1) / 100


def rotating_disc_stress(bore, diameter, speed, density, poisson):
    """Bore 0 is the solid disc, a bore as wide as the disc the thin ring."""
    solid = strength.solid_disc_coefficient(nu_p=poisson)
    c_v = strength.bored_disc_coefficient(nu_p=poisson, D_b=bore, D=diameter) if bore else solid
    v_r = strength.rim_speed(Omega=speed * RPM, D=diameter / 1e3)
    return strength.centrifugal_stress(c_v=c_v, rho_b=density, v_r=v_r) / 1e6


def conductor_in_enamel(overall):
    return wire.conductor_diameter(d_i=overall, phi_w=wire.wire_copper_share(d_i=overall / 1e3, **ENAMEL))


def skin_depth_of(conductor, frequency):
    return wire.skin_depth(rho=1 / CONDUCTORS[conductor].conductivity, f=frequency) * 1e3


def reynolds_number_of_a_rotor_in_water(diameter):
    """Turning at 100 Hz, referred to its radius in mm; water of 1e-6 m²/s."""
    a = diameter / 2e3
    return heat_law.flow_reynolds_number(v_f=2 * math.pi * 100 * a, ell=a, nu_f=1e-6)


def thermal_class(celsius, coolant):
    """The rise by resistance that the class of a number allows over a coolant."""
    named = read(f"class {celsius:g}", "temperature_rise")
    return heat_rise.class_rise(theta_c=named.rise, T_a=coolant + KELVIN, **COOLANT)


CHECKS = {
    check.__name__: check
    for check in (
        conductor_in_enamel,
        conductor_record,
        heat_of_a_pipe_per_length,
        reynolds_number_of_a_rotor_in_water,
        rotating_disc_stress,
        skin_depth_of,
        thermal_class,
    )
}
