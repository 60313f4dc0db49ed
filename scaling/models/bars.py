"""The bars of a round cage: slots that narrow towards the shaft, the field along their sides."""

import numpy as np

from scaling.models.layered import over

PARTS = 2  # of the slots' depth, each with its own mean of 1/r²


def tapered_bars(inner, outer, diffusion):
    """Return r*a'/a on the surface of slots between ideal teeth, filled by bars of the same share at every radius.

    No field turns aside in a slot: a'' + a'/r = kappa²*a, whose solutions are Bessel functions of order 0. With
    u = a*sqrt(r) it is u'' = (kappa² - 1/(4*r²))*u, solved here in two parts of one ratio of radii, in each with the
    mean of 1/r²: within 1e-4 up to a depth of a fifth of the radius, 1e-3 at two fifths, whatever the frequency. What
    it gives without a current is taken off.

    Parameters
    ----------
    inner, outer : array_like
        radii of the slots' bottom and of the surface [m]
    diffusion : array_like, may be complex
        kappa² = j*omega'*mu_0*sigma [1/m²]; NaN passes

    Source
    ------
    derived; tests hold it against Bessel functions and straight bars
    """
    ratio = (outer / inner) ** (1 / PARTS)
    kappa_2 = np.asarray(diffusion, complex)
    slope = idle = 1 / (2 * inner)  # u'/u where no field turns in from below: a' = 0
    with np.errstate(invalid="ignore"):  # of the NaN that is to pass
        for part in range(PARTS):
            low = inner * ratio**part
            depth, square = low * (ratio - 1), 1 / (4 * low**2 * ratio)
            rate = np.sqrt(kappa_2 - square)
            bend = np.tanh(rate * depth)
            slope = over(slope + rate * bend, 1 + over(slope * bend, rate))
            still, wave = np.tan(np.sqrt(square) * depth), np.sqrt(square)
            idle = (idle - wave * still) / (1 + idle * still / wave)
        return outer * (slope - idle)
