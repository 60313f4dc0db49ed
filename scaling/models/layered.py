"""One layer in a travelling field: its admittance from the back to the front, its field and its losses.

In every layer A_z = a(y)*exp(j*(omega*t - k*x)) with y from the stator into the rotor, so that B_x = a', B_y = j*k*a,
H_x = a'/mu. The layer sees the frequency omega' = omega - k*v of its own frame, and

    a'' = gamma**2 * a,    gamma**2 = k**2 + j*omega'*mu*sigma.

Everything is counted in the wave number k and mu_0: c = gamma/k, zeta = c/mu_r, and the admittance of a surface is
w = -(mu_0/k)*H_x/a: 0 for ideal iron, 1 for air without end. With w_b at the back of a layer of thickness d and
z = gamma*d, the solution that meets w_b is a = a_b*(cosh(gamma*(d - y)) + (w_b/zeta)*sinh(gamma*(d - y))), hence

    w = (w_b + zeta*T)/(1 + w_b*T/zeta),    T = tanh(z),    a_b/a = 1/(cosh(z)*(1 + w_b*T/zeta)).

Only tanh(z) and exp(-z) are formed, and Re z > 0, so nothing overflows. Im w carries the power and may be tiny beside
Re w (a loss seen through a thick lossless layer). Multiplied out with the conjugate denominator and z = u + j*v it is

    Im w = (Im(w_b)/|cosh(z)|**2 + catch)/|1 + w_b*T/zeta|**2
    catch = Im(zeta*T) - |w_b|**2*Im(T/zeta) + 2*|T/zeta|**2*Im(zeta)*Re(w_b*conj(zeta))
            - 2*Im(w_b)*sin(v)**2/|cosh(z)|**2

The first term is what goes on to the layers behind, the catch what stays in this one. When omega' > 0 and
mu_r = mu' - j*mu'', w_b and zeta lie in the first quadrant and only the last term of the catch is negative, always
small beside the others: nothing cancels.
"""

import functools
from dataclasses import dataclass

import numpy as np

from scaling.ground.messages import shorten

NEAR = 1 / 16  # |z|² below which series take over


@dataclass(frozen=True)
class Layer:
    """A layer of the rotor, SI numbers or arrays.

    Parameters
    ----------
    thickness : array_like
        Thickness, above zero [m].
    conductivity : array_like
        Electrical conductivity, zero or more [S/m].
    relative_permeability : array_like, may be complex
        mu' - j*mu'' with mu' > 0 and mu'' >= 0; the hysteresis angle is atan(mu''/mu') [1].
    speed : array_like, optional
        Speed of this layer along the field [m/s]; without it the layer moves at the slip of the call.

    Examples
    --------
    >>> Layer(thickness=2e-3, relative_permeability=20 - 10j).conductivity
    0.0
    """

    thickness: object
    conductivity: object = 0.0
    relative_permeability: object = 1.0
    speed: object = None


def checked(layer, field, slip):
    """Return the layer with arrays for numbers, or raise naming its place in the list."""
    if slip is None and layer.speed is None:
        raise ValueError(f"{field}.speed: got None without a slip; give the slip, or the speed of every layer")
    if slip is not None and layer.speed is not None:
        raise ValueError(f"{field}.speed: got {shorten(layer.speed)} besides a slip; give one of them")
    mu = number(layer.relative_permeability, f"{field}.relative_permeability", kinds="iufc")
    if not ((mu.real > 0) & (mu.imag <= 0)).all():
        raise ValueError(
            f"{field}.relative_permeability: got {shorten(layer.relative_permeability)}; expected mu' - j*mu'' "
            "with mu' above zero and mu'' zero or more"
        )
    return Layer(
        thickness=number(layer.thickness, f"{field}.thickness", above=0),
        conductivity=number(layer.conductivity, f"{field}.conductivity", least=0),
        relative_permeability=mu,
        speed=None if layer.speed is None else number(layer.speed, f"{field}.speed"),
    )


def number(value, field, *, above=None, least=None, kinds="iuf"):
    """Return a number or array as a NumPy array, or raise naming the field, the value and what is expected."""
    limit = f"above {above}" if above is not None else f"of at least {least}" if least is not None else ""
    expected = f"expected finite SI numbers {limit}".rstrip()
    try:
        if hasattr(value, "magnitude"):
            raise TypeError("a quantity with a unit")
        array = np.asarray(value)
    except (TypeError, ValueError):  # a unit, or lists of unequal length
        raise TypeError(f"{field}: got {shorten(value)}; {expected}, without unit") from None
    if array.dtype.kind not in kinds:
        raise TypeError(f"{field}: got {shorten(value)}; {expected}, without unit")
    array = array.astype(complex if array.dtype.kind == "c" else float)
    within = np.isfinite(array)
    if above is not None:
        within &= array > above
    elif least is not None:
        within &= array >= least
    if not within.all():
        raise ValueError(f"{field}: got {shorten(value)}; {expected}")
    return array


def seen(permeability, past):
    """Return the permeability a field meets that passes a layer at a speed: conjugate where the layer outruns it."""
    mu = np.asarray(permeability)
    return np.where(past < 0, np.conj(mu), mu) if np.iscomplexobj(mu) else mu.astype(float)


def square(value):
    """Return the squared magnitude."""
    return value.real**2 + value.imag**2


def over(value, divisor):
    """Return a complex quotient; NumPy's complex division warns of the NaN that is to pass."""
    with np.errstate(invalid="ignore"):
        return value / divisor


class Section:
    """A layer (or the gap) of normalised thickness k*d, seen from its front; arrays broadcast, NaN passes.

    ``behind`` is the admittance at the back, ``permeability`` the relative one, ``reynolds`` the magnetic Reynolds
    number mu_0*sigma*omega'/k², None in the gap. ``admittance`` is the one at the front, ``catch`` the part of its
    imaginary part that stays in this layer.
    """

    def __init__(self, depth, behind, permeability=1.0, reynolds=None):
        self.depth, self.behind, self.permeability, self.reynolds = depth, behind, permeability, reynolds
        growth = 1.0 if reynolds is None else 1 + 1j * permeability * reynolds  # (gamma/k)²
        reluctivity = over(1.0, permeability)
        self.rate = np.sqrt(growth)
        self.zeta = self.rate * reluctivity
        z = self.rate * depth
        self.decay = np.exp(-z)
        self.cosh_scaled = (1 + self.decay**2) / 2  # cosh(z)*exp(-z)
        ratio = depth * _tanh_ratio(z, self.decay**2)
        slack, stiff = ratio * permeability, ratio * (growth * reluctivity)  # T/zeta and zeta*T
        self.denominator = 1 + behind * slack
        self.catch = self._caught(slack, stiff)
        passed = behind.imag * square(self.transfer) if np.iscomplexobj(behind) else 0.0
        self.admittance = np.asarray(over(behind + stiff, self.denominator), complex)
        self.admittance.imag = self.catch + passed

    def _caught(self, slack, stiff):
        if self.reynolds is None:
            return 0.0
        catch, behind, zeta = stiff.imag, self.behind, self.zeta
        if np.any(behind):
            catch = catch - square(behind) * slack.imag
            catch = catch + 2 * square(slack) * zeta.imag * (behind.real * zeta.real + behind.imag * zeta.imag)
            catch = catch - 2 * behind.imag * self.decay.imag**2 / square(self.cosh_scaled)
        return catch / square(self.denominator)

    @functools.cached_property
    def transfer(self):
        """The potential at the back over that at the front."""
        return over(self.decay, self.cosh_scaled * self.denominator)

    def inside(self, depth):
        """Return (a, a'/k) at a normalised depth behind the front, per potential at the front."""
        rest = self.rate * (self.depth - depth)
        tanh, ratio = np.tanh(rest), over(self.behind, self.zeta)
        scale = np.exp(-self.rate * depth) * (1 + np.exp(-2 * rest)) / 2
        scale = over(scale, self.cosh_scaled * self.denominator)
        return scale * (1 + ratio * tanh), -self.rate * scale * (tanh + ratio)

    def losses(self):
        """Return (Joule, hysteresis) loss as imaginary admittance, by integration over the layer.

        The integrals of |a|² and |a'/k|² over the normalised thickness, per |a|² at the front, are sums of those of
        |cosh(z*n)|², |sinh(z*n)|² and cosh(z*n)*conj(sinh(z*n)) over 0 < n < 1: half of sinh(2u)/2u + sin(2v)/2v,
        sinh(2u)/2u - sin(2v)/2v and sinh(u)²/u - j*sin(v)²/v, all scaled by exp(-2u) here.
        """
        z = self.rate * self.depth
        u, v = z.real, z.imag
        scale = np.exp(-2 * u)
        hyperbolic = -np.expm1(-4 * u) / (4 * u)
        circular = scale * np.sinc(2 * v / np.pi)
        near = scale * (_excess(np.minimum(4 * u**2, 1)) - _excess(-np.minimum(4 * v**2, 1)))
        cosh = (hyperbolic + circular) / 2
        sinh = np.where(square(z) < NEAR, near, hyperbolic - circular) / 2
        cross = (np.expm1(-2 * u) ** 2 / (4 * u) - 1j * scale * v * np.sinc(v / np.pi) ** 2) / 2
        ratio = over(self.behind, self.zeta)
        weight = self.depth / square(self.cosh_scaled * self.denominator)
        potential = weight * (cosh + square(ratio) * sinh + 2 * (np.conj(ratio) * cross).real)
        slope = weight * square(self.rate) * (sinh + square(ratio) * cosh + 2 * (ratio * cross).real)
        lag = -np.imag(self.permeability) / square(self.permeability)
        return self.reynolds * potential, lag * (potential + slope)


def _tanh_ratio(z, square_of_decay):
    """Return tanh(z)/z; near zero Lambert's continued fraction to z²/11, as the imaginary part would cancel."""
    ratio = np.asarray(over(1 - square_of_decay, (1 + square_of_decay) * z))
    near = square(z) < NEAR
    if near.any():
        x = np.asarray(z)[near] ** 2
        ratio[near] = (10395 + x * (1260 + 21 * x)) / (10395 + x * (4725 + x * (210 + x)))
    return ratio


def _excess(square_of_x):
    """Return sinh(x)/x - 1 from x² between -1 and 1 (negative: sin), where the difference itself would cancel."""
    total = 1.0
    for n in (8, 7, 6, 5, 4, 3, 2):
        total = 1 + square_of_x / (2 * n * (2 * n + 1)) * total
    return square_of_x / 6 * total
