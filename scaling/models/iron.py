"""What iron asks for: the field strength of electrical sheet, and ampere-turns of a machine's iron beside its gap's."""

import numpy as np

from scaling.ground.constants import VALUES
from scaling.ground.materials import SHEET_MAGNETISATION

MU_0 = VALUES["mu_0"]
_PLACES, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_PLACES, _WEIGHTS = (1 + _PLACES) / 2, _WEIGHTS / 2  # of the way from 0 to 1


def _slopes(x, y, last):
    """Return slopes of a monotone curve through points, that of the last given (Fritsch and Butland's mean)."""
    step, secant = np.diff(x), np.diff(y) / np.diff(x)
    before, after = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
    inner = (before + after) / (before / secant[:-1] + after / secant[1:])
    return np.concatenate([secant[:1], inner, [last]])


_H = np.array(SHEET_MAGNETISATION["H"])
_B = np.array(SHEET_MAGNETISATION["J"]) + MU_0 * _H
_DH = _slopes(_B, _H, 1 / MU_0)


def field_strength(B):
    """Return the field strength in electrical sheet at a flux density, both peaks at 50 Hz [A/m].

    Cubic pieces through the table of `SHEET_MAGNETISATION`, rising and with a continuous slope; beyond its last point
    the sheet is saturated and the slope 1/mu_0. Odd in B; NaN passes.

    Parameters
    ----------
    B : array_like
        flux density in the sheet itself [T]; measured to 2.02 T, extrapolated by the table's source to 2.22 T

    Source
    ------
    the table's; pieces after Fritsch and Carlson 1980 with the harmonic mean of Fritsch and Butland 1984 (memory)
    """
    size = np.abs(np.asarray(B, dtype=float))
    at = np.clip(np.searchsorted(_B, size, side="right") - 1, 0, _B.size - 2)
    step = _B[at + 1] - _B[at]
    u = np.minimum((size - _B[at]) / step, 1.0)
    rest = 1 - u
    H = (_H[at] * (1 + 2 * u) + step * u * _DH[at]) * rest**2
    H = H + (_H[at + 1] * (1 + 2 * rest) - step * rest * _DH[at + 1]) * u**2
    return np.sign(B) * (H + np.maximum(size - _B[-1], 0.0) / MU_0)


def iron_ampere_turns(B, *, tau, g_m, D_i, d_s, y, phi_t, k_s, D=None, t=0.0, phi_r=None, k_r=1.0):
    """Return the peak ampere-turns of gap and iron over those of the gap, at a peak gap field.

    Along the line through the crest of a sinusoidal gap field: stator tooth, half a pole pitch of the yoke, rotor
    tooth, half a pole pitch of the rotor core, each at its own flux density. Yoke and core carry what has crossed the
    gap since the crest, B*tau/pi*sin(angle) per length, evenly over their height; it is summed at their mean diameters
    (Gauss, six points: within 1 % up to 2 T). Small fields ask for more than middling ones: the sheet's permeability
    rises from 930 to 6600 at 0.9 T.

    Parameters
    ----------
    B : array_like
        peak of the fundamental of the gap field at the bore, above zero [T]; NaN passes
    tau, g_m, D_i : array_like
        pole pitch at the bore, magnetic gap, bore diameter [m]
    d_s, y : array_like
        slot depth and yoke height of the stator [m]
    phi_t, k_s : array_like
        tooth share of the slot layer, iron over length of the stator's core
    D : array_like, optional
        rotor diameter [m]; None: no iron in the rotor, or none that counts
    t, phi_r : array_like, optional
        depth of the layer round the rotor core [m], share of bars in it at every radius; None: no teeth, as in a layer
        of magnets or sheet, which g_m holds
    k_r : array_like
        iron over length of the rotor's teeth and core; the shaft counts as iron

    Validity
    --------
    no flux beside the teeth (they carry less than reckoned above 1.9 T), yoke and core thin against their radius,
    the gap field a sinusoid although the iron flattens it

    Source
    ------
    derived: Ampere's law, conservation of flux
    """
    B = np.asarray(B, dtype=float)

    def back_iron(height, D_m, k):
        """Return the ampere-turns of half a pole pitch of a yoke of a height and mean diameter."""
        crest = np.asarray(B * tau / (np.pi * height * k))[..., None]
        mean = np.sum(_WEIGHTS * field_strength(crest * np.sin(_PLACES * np.pi / 2)), axis=-1)
        return tau / 2 * D_m / D_i * mean

    turns = field_strength(B / (phi_t * k_s)) * d_s + back_iron(y, D_i + 2 * d_s + y, k_s)
    if D is not None:
        height = D / 2 - t
        turns = turns + back_iron(height, height, k_r)
        if phi_r is not None:
            across = (
                np.asarray(D)[..., None] - 2 * np.asarray(t)[..., None] * _PLACES
            )  # diameters, from the gap inwards
            through = np.asarray(B * D_i / ((1 - phi_r) * k_r))[..., None] / across
            turns = turns + t * np.sum(_WEIGHTS * field_strength(through), axis=-1)
    gap = B * g_m / MU_0
    return 1 + turns / gap


_FINEST, _MOST = 1e-3, 4.0  # T: step and end of the tables
_GRID = np.arange(0.0, _MOST + 2 * _FINEST, _FINEST)
_TABLES = np.concatenate(  # of the field strength, and of its mean under a sine
    [
        field_strength(_GRID),
        np.sum(_WEIGHTS * field_strength(_GRID[:, None] * np.sin(_PLACES * np.pi / 2)), axis=-1),
    ]
)


_PAIRS = _TABLES + 1j * np.append(np.diff(_TABLES), 0.0)  # and its step to the next: fetched as one
_FEW = np.polynomial.legendre.leggauss(4)  # along a rotor tooth: within 1 % up to 2 T


class Iron:
    """A machine's iron for searches: ampere-turns at a gap field from tables, to 2e-3 those of `iron_ampere_turns`.

    Parameters as there; rotor and stator of one stacking factor.
    """

    def __init__(self, *, tau, D_i, d_s, y, phi_t, k_s, D=None, t=0.0, phi_r=None):
        height = None if D is None else D / 2 - t
        yokes = [(tau / (np.pi * y * k_s), tau / 2 * (D_i + 2 * d_s + y) / D_i)]
        teeth = [(1 / (phi_t * k_s), d_s)]
        if D is not None:
            yokes.append((tau / (np.pi * height * k_s), tau / 2 * height / D_i))
        if phi_r is not None:
            flux = D_i / ((1 - phi_r) * k_s)
            teeth += [(flux / (D - (1 - part) * t), weight / 2 * t) for part, weight in zip(*_FEW, strict=True)]
        shape = np.broadcast_shapes(*(np.shape(value) for pair in teeth + yokes for value in pair))
        self.density, self.length = np.empty((2, *shape, len(teeth) + len(yokes)))
        for i, (density, length) in enumerate(teeth + yokes):
            self.density[..., i], self.length[..., i] = density, length
        self.table = np.repeat([0, _GRID.size], [len(teeth), len(yokes)])

    def ampere_turns(self, B):
        """Return the peak ampere-turns at a peak gap field [A]; NaN passes."""
        at = np.minimum(self.density * (np.asarray(B) / _FINEST)[..., None], _GRID.size - 2.0)
        with np.errstate(invalid="ignore"):  # of the NaN that is to pass
            index = at.astype(np.intp)
        found = _PAIRS.take(index + self.table, mode="clip")
        return np.einsum("...i,...i->...", self.length, found.real + found.imag * (at - index))
