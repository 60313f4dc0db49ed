"""Published checks of scaling itself: what doubling or halving every length does."""

import math

import numpy as np

from scaling.laws import circuits, geometry, induction, magnet
from scaling.laws import heat as heat_law
from scaling.laws import stator as stator_laws


def factor_when_every_length_doubles(quantity):
    def of(scale):
        R = circuits.resistance(rho=2e-8, ell=0.3 * scale, a_c=1e-4 * scale**2)
        R_m = circuits.reluctance(mu=5e-3, ell=0.2 * scale, a_c=4e-4 * scale**2)
        merit = circuits.circuit_goodness(omega=1.0, R=R, R_m=R_m)
        return {"resistance": R, "reluctance": R_m, "merit": merit}[quantity]

    return of(2.0) / of(1.0)


def loading(scale, held):
    """Return the linear current density of a stage of a given size, with the stated quantity held."""
    d_s = 0.01 * scale
    if held == "current density":
        return 1.0 / stator_laws.winding_loading(A=1.0, k_w=1.0) * 5e6 * 0.2 * d_s
    h = heat_law.conduction_coefficient(lambda_m=0.5, S_o=scale**2, Nu_0=3.5) if held == "temperature rise" else 10.0
    passed = stator_laws.heat_allowed(h=h, theta=50.0, S_o=2 * scale**2, S_b=scale**2)
    per_square = stator_laws.winding_heat_factor(rho=2e-8, e=1.0, k_w=1.0, phi_s=0.2, d_s=d_s)
    return np.sqrt(passed / per_square)


def force_exponent(field_from, held):
    def force(scale):
        A = loading(scale, held)
        if field_from == "magnet":
            shear = magnet.magnet_shear_stress(B_m=0.5, A=A, psi=0.0)
        else:
            shear = stator_laws.shear_stress(A=A, k=30.0 / scale, g_m=1e-3 * scale, Lambda=0.3)
        return shear * geometry.bore_area(D=scale, L=scale)

    return math.log2(force(2.0) / force(1.0))


def force_per_volume_of_a_reduced_machine(pair, reduction, current_density_factor, frequency_factor):
    def density(scale, more_current, more_frequency):
        A, k, g_m = more_current * loading(scale, "current density"), 30.0 / scale, 1e-3 * scale
        sheet = induction.surface_conductance(t=1e-4 * scale, phi_r=1.0, rho=2e-8, e_r=0.0)
        G = induction.goodness(f=1e-3 * more_frequency, tau=math.pi / k, sigma_s=sheet, g_m=g_m)
        response = induction.induction_response(x=induction.slip_goodness(s=0.1, G=G))
        shear = {
            "magnet-current": magnet.magnet_shear_stress(B_m=0.5, A=A, psi=0.0),
            "current-iron": stator_laws.shear_stress(A=A, k=k, g_m=g_m, Lambda=0.3),
            "induction by current": stator_laws.shear_stress(A=A, k=k, g_m=g_m, Lambda=response),
        }[pair]
        return shear / scale

    return density(1 / reduction, current_density_factor, frequency_factor) / density(1.0, 1.0, 1.0)


CHECKS = {
    check.__name__: check
    for check in (
        factor_when_every_length_doubles,
        force_exponent,
        force_per_volume_of_a_reduced_machine,
    )
}
