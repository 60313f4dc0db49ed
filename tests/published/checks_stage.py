"""Published checks of the wound stator: gap and loadings."""

import math

from scaling.laws import geometry, magnet
from scaling.laws import stator as stator_laws


def effective_gap(slot, tooth, gap):
    return gap * stator_laws.carter_coefficient(tau_u=slot + tooth, b_u=slot, g=gap)


def sinusoidal_shear_stress(linear_current_density, mean_gap_field, winding_factor):
    """Return the shear stress at unit power factor; the mean field over a pole is 2/pi of the peak."""
    A = linear_current_density / stator_laws.winding_loading(A=1.0, k_w=winding_factor)
    return magnet.magnet_shear_stress(B_m=math.pi / 2 * mean_gap_field, A=A, psi=0.0)


def shear_stress_of_a_rated_motor(
    linear_current_density, mean_gap_field, winding_factor, efficiency, power_factor, synchronous_speed, speed
):
    apparent = sinusoidal_shear_stress(linear_current_density, mean_gap_field, winding_factor)
    return apparent * efficiency * power_factor * synchronous_speed / speed / 1e3


def output_coefficient():
    return 2 * math.pi * geometry.gap_torque(sigma_t=sinusoidal_shear_stress(1.0, 1.0, 1.0), D=1.0, L=1.0)


CHECKS = {
    check.__name__: check
    for check in (
        effective_gap,
        output_coefficient,
        shear_stress_of_a_rated_motor,
    )
}
