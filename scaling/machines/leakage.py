"""Leakage reactance of a stator: per gap area and square of the peak loading, so that X_l*A**2/2 is reactive power."""

from scaling.laws import geometry
from scaling.laws import leakage as law


def leakage_reactance(stator, frequency, magnetic_gap):
    """Return the leakage reactance at a frequency [ohm]: slots, tooth tips, end turns, and the winding's other waves.

    The last depends on the rotor by its magnetic gap, unrolled.
    """
    own, share = stator.own_leakage
    waves = law.differential_reactive_power(
        sigma_d=share, v_s=geometry.field_speed(f=frequency, tau=stator.tau), A=1.0, k=stator.k, g_m=magnetic_gap
    )
    return own * frequency + 2 * waves
