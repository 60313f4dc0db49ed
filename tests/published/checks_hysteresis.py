"""Published checks of loops, their materials, and the hysteresis motor."""

import math

import numpy as np
import sympy as sp

from scaling import Q
from scaling.ground.constants import VALUES
from scaling.ground.materials import LOOP_MATERIALS
from scaling.ground.symbols import symbol
from scaling.laws import geometry, hysteresis
from scaling.laws import loop as loop_law
from scaling.models import loops

MU_0 = VALUES["mu_0"]
RPM = 2 * math.pi / 60


def field_at(flux_density, loop):
    return np.exp(loops.root(lambda at: loops.peak_flux_density(np.exp(at), loop) - flux_density, 0.0, 16.0, steps=80))


def loop_energy_at_one_tesla(material):
    loop = loops.fitted(LOOP_MATERIALS[material])
    return loops.energy(field_at(1.0, loop), loop)


def lag_angle(material, flux_density):
    """Steinmetz's: flux density a sine, the distorted current replaced by the sine of its root mean square."""
    loop = loops.fitted(LOOP_MATERIALS[material])
    H = field_at(flux_density, loop)
    field = np.linspace(H, -H, 20001)
    angle = np.arccos(np.clip(loops.falling_branch(field, H, loop) / flux_density, -1, 1))
    equivalent = np.sqrt(2 * np.trapezoid(field**2, angle) / math.pi)
    return math.degrees(math.asin(loops.energy(H, loop) / (math.pi * flux_density * equivalent)))


def rayleigh_energy(rayleigh_constant, field):
    """A loop with mu_0*nu = B_s/(4*H_a*H_c), so far below its field constant that 15 digits would not do."""
    loop = dict.fromkeys(("H", "H_k", "H_i", "H_j"), field) | dict.fromkeys(("H_a", "H_b", "H_c"), 1e9 * field)
    loop |= {"m_c": 0.0, "w_c": 0.1, "B_s": 4 * loop["H_c"] ** 2 * MU_0 * rayleigh_constant}
    return loop_law.loop_energy.expr.evalf(60, subs={symbol(name): sp.Float(v, 60) for name, v in loop.items()})


def hysteresis_motor(quantity):
    p = 16
    torque = hysteresis.steinmetz_torque(p=p, V_r=1e-5, W_h=0.8 / p / 1e-5)  # p cycles a revolution
    speed = geometry.shaft_speed(f=60.0, p=p, s=0.0)
    return {"torque": torque, "speed": speed / RPM, "power": torque * speed}[quantity]


def material_record(material, quantity):
    """Of the flux density B, mu_0*H included."""
    loop = loops.fitted(LOOP_MATERIALS[material])
    outer = {name: loop[name] for name in loop_law.loop_remanence.args}
    if quantity == "remanence":
        return loop_law.loop_remanence(**outer)
    if quantity == "energy product":
        return loops.energy_product(loop) / 1e3
    return loops.root(lambda H: MU_0 * H - loop_law.demagnetised_flux_density(H=H, **outer), 0.0, loop["H_c"]) / 1e3


def energy_of_a_plotted_loop(area, field_per_length, flux_density_per_length):
    """Centimetres on paper: the package's units know that A/m times T is J/m³."""
    return (Q(area, "cm**2") * Q(field_per_length, "A/m/cm") * Q(flux_density_per_length, "T/cm")).m_as("J/m**3")


def specific_loss(energy, frequency, density):
    """Torque times speed of a ring of 1 kg, one pole pair."""
    torque = hysteresis.steinmetz_torque(p=1, V_r=1 / density, W_h=energy)
    return torque * geometry.shaft_speed(f=frequency, p=1, s=0.0)


CHECKS = {
    check.__name__: check
    for check in (
        energy_of_a_plotted_loop,
        hysteresis_motor,
        lag_angle,
        loop_energy_at_one_tesla,
        material_record,
        rayleigh_energy,
        specific_loss,
    )
}
