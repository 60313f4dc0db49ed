"""Published checks of rotors in step with the field: reluctance, toothed rotors, pull-in."""

import math

import numpy as np

from scaling.ground.constants import VALUES
from scaling.laws import circuits, geometry, motion, reluctance, start
from scaling.laws import stator as stator_laws
from scaling.models.search import maximise

MU_0 = VALUES["mu_0"]
RPM = 2 * math.pi / 60
GAP = {"A": 1.0, "k": 30.0, "g_m": 1e-3}  # any: the power factor does not depend on it


def permeance(radius, arc, axial, gap):
    """Return the permeance of two gaps in series under an arc of overlap; millimetres and radians."""
    area = radius * arc * axial * 1e-6
    return 1 / circuits.reluctance(ell=2e-3 * gap, mu=MU_0, a_c=area)


def inductance_of_facing_poles(turns, radius, arc, axial, gap):
    return turns**2 * permeance(radius, math.radians(arc), axial, gap)


def torque_of_overlapping_poles(turns, current, radius, axial, gap):
    """Half of ampere-turns squared times the change of permeance with angle, which is even over the overlap."""
    return (turns * current) ** 2 / 2 * (permeance(radius, 0.6, axial, gap) - permeance(radius, 0.5, axial, gap)) / 0.1


def torque_at_a_gap_field(field, radius, axial, gap):
    return torque_of_overlapping_poles(1, field * 2e-3 * gap / MU_0, radius + gap / 2, axial, gap)


def salient_rotor_torque(mean_inductance, swing, current):
    d, q = (mean_inductance + swing) / 1e3, (mean_inductance - swing) / 1e3
    return current**2 * reluctance.reluctance_response(P_d=d, P_q=q, tan_delta=1.0)


def toothed_rotor_speed(frequency, teeth):
    return geometry.shaft_speed(f=frequency, p=teeth / 2, s=0.0) / RPM


def step_angle(teeth, phases):
    """Return the angle in degrees that a hybrid rotor turns from one full step to the next, two steps a phase."""
    return math.degrees(geometry.shaft_speed(f=1.0, p=teeth, s=0.0) / (2 * phases))


def power_factor(saliency_ratio, tan_delta):
    """Return shear stress over that of the same gap field and current in phase; resistance and leakage left out."""
    axes = {"P_d": 1.0, "P_q": 1.0 / saliency_ratio, "tan_delta": tan_delta}
    shear = stator_laws.shear_stress(Lambda=reluctance.reluctance_response(**axes), **GAP)
    return shear / (GAP["A"] * reluctance.reluctance_gap_field(**axes, **GAP) / 2)


def best_load_angle(saliency_ratio):
    return np.exp(maximise(lambda log: power_factor(saliency_ratio, np.exp(log)), -5.0, 5.0, steps=40))


def largest_power_factor(saliency_ratio):
    return power_factor(saliency_ratio, best_load_angle(saliency_ratio))


def best_load_angle_over_root_of_saliency(saliency_ratio):
    return best_load_angle(saliency_ratio) / math.sqrt(saliency_ratio)


def pull_in_slip_coefficient():
    """The slip at which kinetic energy in the field's frame is what the best angle catches, at 1 rpm, kW, kg*m², Hz."""
    number = start.pull_in_number(p=60.0, T_e=1e3 / RPM, J=1.0, omega=2 * math.pi)
    return float(np.sqrt(number / motion.favourable_pull_in_need(n_T=1.0, l_T=0.0)))


CHECKS = {
    check.__name__: check
    for check in (
        best_load_angle_over_root_of_saliency,
        inductance_of_facing_poles,
        largest_power_factor,
        pull_in_slip_coefficient,
        salient_rotor_torque,
        step_angle,
        toothed_rotor_speed,
        torque_at_a_gap_field,
        torque_of_overlapping_poles,
    )
}
