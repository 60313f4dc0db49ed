"""The current of a magnet machine that leaves a reserve of pull-out torque on a fixed voltage: arrays broadcast."""

import numpy as np

from scaling.models.search import root

STEPS = 9  # of false position, which leave 1e-6 of the angle


def reserved_angle(m, admittance, R, X):
    """Return the least angle from 0 by which a current has to magnetise to leave a reserve; NaN passes.

    Parameters
    ----------
    m : float
        largest torque at the voltage over the torque of the current, above 1
    admittance : callable
        current over the voltage of the magnets' field at an angle [S], which does not grow with it
    R, X : array_like
        resistance and reactance [ohm]; all three may be per gap area and square of the loading

    Source
    ------
    root of `scaling.laws.reserve.magnet_pull_out` = m, written as a quadratic of the voltage
    """
    Z = np.hypot(R, X)
    rho, phi = R / Z, np.arctan2(X, R)

    def spare(psi):
        a = Z * admittance(psi)
        return 1 + a**2 + 2 * a * np.cos(psi - phi) - (m * a * np.cos(psi) + rho) ** 2

    quarter = np.where(np.isnan(spare(0.0)), np.nan, np.pi / 2)
    return root(spare, 0.0 * quarter, quarter, steps=STEPS)
