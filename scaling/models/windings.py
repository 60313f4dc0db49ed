"""The waves that a winding of sectors sends round a machine.

Sectors of uniform current density J_s*exp(j*omega*t), of width w_s round the angle theta_s, make the wave
c_n*exp(j*(omega*t - n*theta)) of every whole n but zero, with the Fourier coefficient

    c_n = 1/(2*pi) * sum over sectors of J_s*w_s*sinc(n*w_s/2)*exp(j*n*theta_s),    sinc(x) = sin(x)/x.

n above zero turns along positive angles, n below zero against them, with |n| pole pairs. Six sectors of three phases
(A, -C, B, -A, C, -B) leave n = 1, -5, 7, -11, 13 ... of 6*J/(n*pi)*sin(n*w/2); two sectors of one phase leave every
odd n and -n, of 2*J/(n*pi)*sin(n*w/2). Waves of different n add up in torque and heat.
"""

from typing import NamedTuple

import numpy as np

from scaling.ground.messages import shorten
from scaling.models.layered import number
from scaling.models.rotating_wave import MOST_POLE_PAIRS
from scaling.models.travelling_wave import check_shapes

ROUNDING = 1e-12  # of the largest wave: what is left of those that cancel


class Harmonics(NamedTuple):
    """Waves of a winding: pole pairs, sense in which they turn (1 or -1) [1], peak current density [A/m²]."""

    pole_pairs: np.ndarray
    sense: np.ndarray
    current_density_peak: np.ndarray


def sector_harmonics(*, middles, widths, current_densities, highest=25):
    """Return the waves of current of a winding made of sectors, for `rotating_wave`.

    Current density Re(J_s*exp(j*omega*t)), the same all over a sector; the formula and its derivation stand in
    ``scaling.models.windings``.

    Parameters
    ----------
    middles, widths : array_like
        Angle of the middle of each sector and its width; sectors that overlap add up [rad].
    current_densities : array_like, may be complex
        Phasor J_s of each sector, its modulus the peak [A/m²].
    highest : int
        Most pole pairs of the waves returned, up to 400. Their field falls as (r/bore)**pole_pairs into the rotor.

    Returns
    -------
    Harmonics
        ``pole_pairs``, ``sense``, ``current_density_peak``, a row of each, by pole pairs, forward before backward;
        waves that cancel are left out.

    Raises
    ------
    TypeError, ValueError
        if an argument is no number or out of range, if arguments do not broadcast, or if the currents do not add up to
        zero

    Validity
    --------
    Stranded winding, uniform current in every sector, one frequency.

    Source
    ------
    derived; tests hold it against a discrete Fourier transform, Parseval's theorem and a published benchmark

    Examples
    --------
    >>> three_phases = np.arange(6) * np.pi / 3  # A, -C, B, -A, C, -B
    >>> waves = sector_harmonics(
    ...     middles=three_phases, widths=np.pi / 4, current_densities=1e6 * np.exp(-1j * three_phases), highest=11)
    >>> (waves.pole_pairs * waves.sense).tolist(), waves.current_density_peak.round(-3).tolist()
    ([1, -5, 7, -11], [731000.0, 353000.0, 104000.0, 160000.0])
    """
    given = {
        "middles": number(middles, "middles"),
        "widths": number(widths, "widths", above=0),
        "current_densities": number(current_densities, "current_densities", kinds="iufc"),
    }
    if isinstance(highest, bool) or not isinstance(highest, (int, np.integer)) or not 1 <= highest <= MOST_POLE_PAIRS:
        raise ValueError(f"highest: got {shorten(highest)}; expected a whole number from 1 to {MOST_POLE_PAIRS}")
    check_shapes({name: value.shape for name, value in given.items()})
    middle, width, J = (np.ravel(value) for value in np.broadcast_arrays(*given.values()))
    if abs(np.sum(J * width)) > 1e-9 * np.sum(np.abs(J) * width):
        raise ValueError(
            f"current_densities: got {shorten(current_densities)}, which do not add up to zero over the sectors; "
            "expected as much current back as forth"
        )
    order, sense = np.repeat(np.arange(1, highest + 1), 2), np.tile([1, -1], highest)
    n = (order * sense)[:, None]
    c = np.sum(J * width * np.sinc(n * width / (2 * np.pi)) * np.exp(1j * n * middle), axis=1) / (2 * np.pi)
    kept = np.abs(c) > ROUNDING * np.max(np.abs(c))
    return Harmonics(order[kept], sense[kept], np.abs(c[kept]))
