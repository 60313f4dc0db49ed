"""Friction torque of bearing and air; arrays broadcast, SI."""

import numpy as np

from scaling.laws import friction as law


def air_torque(angular_speed, diameter, gap, length, viscosity, density):
    """Return the windage torque of a smooth rotor, creeping to turbulent: the largest of three regimes [N·m].

    Zero speed gives zero.
    """
    speed = np.maximum(angular_speed, 1e-100)
    reynolds = law.gap_reynolds_number(Omega=speed, D=diameter, g=gap, nu_f=viscosity)
    coefficient = np.maximum(
        law.laminar_torque_coefficient(Re=reynolds),
        np.maximum(
            law.vortex_torque_coefficient(Re=reynolds, g=gap, D=diameter),
            law.turbulent_torque_coefficient(Re=reynolds, g=gap, D=diameter),
        ),
    )
    torque = law.windage_torque(C_f=coefficient, rho_f=density, Omega=speed, D=diameter, L=length)
    return np.where(np.asarray(angular_speed) > 0.0, torque, 0.0)
