"""One ring in a rotating field: from its inner to its outer radius, whatever it is made of.

In every ring A_z = a(r)*exp(j*(omega*t - s*p*theta)), so that B_r = -j*s*p*a/r, B_theta = -a', H_theta = B_theta/mu.
The ring sees the frequency omega' = omega - s*p*Omega of its own frame. With x = ln(r), h = (da/dx)/(p*mu_r) and
kappa**2 = j*omega'*mu*sigma

    da/dx = p*mu_r*h,    dh/dx = (p**2 + kappa**2*r**2)*a/(p*mu_r) - mu_0*J*r**2/p,

the plane layer of ``layered`` with p for k and x for y, but for r**2. Without source both ends of a ring are bound by

    a_2 = C*a_1 + S*h_1,    h_2 = C'*a_1 + S'*h_1,    S'*C - C'*S = 1,

kept as ``Port`` in units of the growth 1/e, e = I(kappa*r_1)/I(kappa*r_2), so that nothing overflows. Three ways to it:

    nothing conducts      C = S' = cosh(p*L), S = mu_r*sinh(p*L), C' = sinh(p*L)/mu_r, L = ln(r_2/r_1)
    currents rule         with i = z*I'(z)/(p*I(z)), k = -z*K'(z)/(p*K(z)), z = kappa*r, I and K of order p, and
                          rho = e**2*(i_1 + k_1)/(i_2 + k_2), which is (I_1/I_2)*(K_2/K_1) as I*K*(i + k) = 1/p:
                          C = (k_1 + i_1*rho)/n, S = mu_r*(1 - rho)/n, C' = (i_2*k_1 - k_2*i_1*rho)/(mu_r*n),
                          S' = (i_2 + k_2*rho)/n, n = i_1 + k_1
    thin, or currents     power series in r/r_1 - 1 in steps short enough: the differences of Bessel functions above
    too weak to matter    would lose the small imaginary part, which carries all power

The loss of a ring (the torque on it per s*pi*p**2/mu_0) is Im(h_2*conj(a_2)) - Im(h_1*conj(a_1)), that is
A*|a_1|**2 + B*|h_1|**2 + D*Re(h_1*conj(a_1)) + F*Im(h_1*conj(a_1)), A, B, D, F from C, S, C', S' without cancelling. An
admittance w = h/a, seen from the ring into what it surrounds, is carried outwards by

    w_2 = (C' + w_1*S')/(C + w_1*S),    a_1/a_2 = 1/(C + w_1*S).

Everything here is derived; tests hold it against arithmetic with many digits.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy import special

from scaling.ground.messages import shorten
from scaling.models.layered import number, over, square

WEAK = 0.3  # |kappa*r_2|/p below which currents hardly bend the field, and power series take over
THIN = 1.0  # depth sqrt(p² + |kappa*r_2|²)*L below which they do as well
FAR = 1e6  # |z| above which asymptotic series give i and k
FARTHEST = 1e8  # |z| above which they give the ratio of two Bessel functions, too
DEEP = 40.0  # depth of a weak ring above which its middle is no place of loss: exp(-2*20) is below rounding
STEP, TERMS = 0.22, 30  # longest step in ln(r) of the power series, and their terms


@dataclass(frozen=True)
class Ring:
    """A ring round the axis, from the outer radius of the one before it (or the axis), SI numbers or arrays.

    Parameters
    ----------
    outer_radius : array_like
        Outer radius, above that of the ring before [m].
    conductivity : array_like
        Electrical conductivity along the axis, zero or more [S/m].
    relative_permeability : array_like, may be complex
        mu' - j*mu'' with mu' > 0 and mu'' >= 0; the hysteresis angle is atan(mu''/mu') [1].
    turns : bool
        Whether the ring turns with the speed of the call, or stays at rest.
    current_density_peak : array_like
        Peak current density of a winding spread over the ring; stranded, so its ring has neither conductivity nor
        hysteresis [A/m²].

    Examples
    --------
    >>> Ring(outer_radius=0.03, conductivity=3.72e7, turns=True).relative_permeability
    1.0
    """

    outer_radius: object
    conductivity: object = 0.0
    relative_permeability: object = 1.0
    turns: bool = False
    current_density_peak: object = 0.0


def checked(ring, field):
    """Return the ring with arrays for numbers, or raise naming its place in the list."""
    mu = number(ring.relative_permeability, f"{field}.relative_permeability", kinds="iufc")
    if not ((mu.real > 0) & (mu.imag <= 0)).all():
        raise ValueError(
            f"{field}.relative_permeability: got {shorten(ring.relative_permeability)}; expected mu' - j*mu'' "
            "with mu' above zero and mu'' zero or more"
        )
    if not isinstance(ring.turns, (bool, np.bool_)):
        raise TypeError(f"{field}.turns: got {shorten(ring.turns)}; expected True or False")
    sigma = number(ring.conductivity, f"{field}.conductivity", least=0)
    J = number(ring.current_density_peak, f"{field}.current_density_peak")
    if np.any(J) and (np.any(sigma) or np.any(mu.imag)):
        raise ValueError(
            f"{field}.current_density_peak: got {shorten(ring.current_density_peak)} in a ring that conducts or has "
            "hysteresis; expected a stranded winding: leave out conductivity and the imaginary part of "
            "relative_permeability, or put the current into a ring of its own"
        )
    return Ring(number(ring.outer_radius, f"{field}.outer_radius", above=0), sigma, mu, bool(ring.turns), J)


def check_order(stack, typed):
    """Raise naming the first ring that does not lie outside the one before it; ``typed`` are the rings as given."""
    for i, (ring, next_ring) in enumerate(zip(stack, stack[1:], strict=False)):
        if not (ring.outer_radius < next_ring.outer_radius).all():
            raise ValueError(
                f"rings[{i + 1}].outer_radius: got {shorten(typed[i + 1].outer_radius)}; expected more than that "
                f"of the ring before, {shorten(typed[i].outer_radius)}; list the rings from the axis outwards"
            )


def sheet_place(sheet_radius, stack):
    """Return the place of the ring on whose outer radius the sheet lies."""
    if sheet_radius is None:
        return len(stack) - 1
    radius = number(sheet_radius, "sheet_radius", above=0)
    for i, ring in enumerate(stack):
        try:
            if np.allclose(ring.outer_radius, radius, rtol=1e-12, atol=0):
                return i
        except ValueError:  # shapes that do not broadcast
            break
    raise ValueError(
        f"sheet_radius: got {shorten(sheet_radius)}; expected the outer_radius of one of the rings, "
        "the same one in all cases"
    )


class Port(NamedTuple):
    """What binds a and h at the two radii of a ring, and its loss; C, S, C', S' times the decay e."""

    C: np.ndarray
    S: np.ndarray
    C_slope: np.ndarray
    S_slope: np.ndarray
    decay: np.ndarray
    loss: tuple  # A, B, D, F times |e|²

    def seen(self, behind):
        """Return (w_2, a_1/a_2, S*a_1/a_2, loss per |a_2|²) over what the ring surrounds, of admittance w_1."""
        denominator = self.C + behind * self.S
        transfer = over(self.decay, denominator)
        w = np.asarray(over(self.C_slope + behind * self.S_slope, denominator), complex)
        A, B, D, F = self.loss
        catch = (A + B * square(behind) + D * behind.real + F * behind.imag) / square(denominator)
        w = w.real + 1j * (catch + behind.imag * square(transfer))
        return w, transfer, over(self.S, denominator), catch

    def caught(self, a_1, h_1, a_2):
        """Return the loss of the ring in any field, from both sides or not."""
        A, B, D, F = self.loss
        crossing = h_1 * np.conj(a_1)
        thin = A * square(a_1) + B * square(h_1) + D * crossing.real + F * crossing.imag
        with np.errstate(divide="ignore", invalid="ignore"):
            inner, outer, across = (value / self.S for value in (self.C, self.S_slope, self.decay))
            thick = outer.imag * square(a_2) + inner.imag * square(a_1) - 2 * across.imag * (a_1 * np.conj(a_2)).real
            return np.where(np.abs(self.C) < 2 * np.abs(self.decay), thin / square(self.decay), thick)


def port(pole_pairs, inner, outer, permeability, diffusion):
    """Return the Port of a ring; ``diffusion`` is kappa**2 [1/m²], None where nothing conducts. NaN passes."""
    if diffusion is None:
        return _idle(pole_pairs, inner, outer, permeability)
    given = np.broadcast_arrays(pole_pairs, inner, outer, permeability, diffusion)
    p, r_1, r_2, mu, kappa_2 = (value.ravel() for value in given)
    size, depth = _size_and_depth(p, r_1, r_2, kappa_2)
    gentle = size < WEAK * p
    deep = gentle & (depth > DEEP)
    series = (gentle & ~deep) | (depth < THIN)
    ways = ((series, _stepped), (deep, _deep), (~(series | deep), _bessel))
    if series.all():
        found = _flat(_stepped(p, r_1, r_2, mu, kappa_2))
    elif not (series | deep).any():
        found = _flat(_bessel(p, r_1, r_2, mu, kappa_2))
    else:
        found = np.full((9, p.size), complex(np.nan, np.nan))
        for where, way in ways:
            if where.any():
                found[:, where] = _flat(way(p[where], r_1[where], r_2[where], mu[where], kappa_2[where]))
    found = [value.reshape(given[0].shape) for value in found]
    return Port(*found[:5], tuple(value.real for value in found[5:]))


def _flat(found):
    return (*found[:5], *found.loss)


def _size_and_depth(p, r_1, r_2, kappa_2):
    size = np.sqrt(np.abs(kappa_2)) * r_2
    return size, np.hypot(p, size) * np.log1p((r_2 - r_1) / r_1)


def core(pole_pairs, radius, permeability, diffusion):
    """Return the admittance w of a solid cylinder."""
    if diffusion is None:
        return over(1.0 + 0j, permeability + 0.0 * pole_pairs)
    return over(growing(*np.broadcast_arrays(pole_pairs, np.sqrt(diffusion + 0j) * radius)), permeability)


def _idle(p, r_1, r_2, mu):
    depth = p * np.log1p((r_2 - r_1) / r_1)
    cosh, sinh = (1 + np.exp(-2 * depth)) / 2, -np.expm1(-2 * depth) / 2
    return _real_decay(cosh, mu * sinh, sinh / mu, cosh, np.exp(-depth))


def _real_decay(C, S, C_slope, S_slope, decay):
    """Return the Port where e is real, and F so without cancelling: 2*(Im C*Im S' - Im S*Im C')."""
    imag = [np.imag(value) for value in (C, S, C_slope, S_slope)]
    return Port(
        C, S, C_slope, S_slope, decay, (*_losses(C, S, C_slope, S_slope), 2 * (imag[0] * imag[3] - imag[1] * imag[2]))
    )


def _losses(C, S, C_slope, S_slope):
    conj_C, conj_S = np.conj(C), np.conj(S)
    return np.imag(C_slope * conj_C), np.imag(S_slope * conj_S), np.imag(S_slope * conj_C) + np.imag(C_slope * conj_S)


def weights(pole_pairs, inner, outer):
    """Return the integrals of r*D, D the idle field that is one at the inner (outer) radius and zero at the other."""
    p, length = np.asarray(pole_pairs, float), np.maximum(np.log1p((outer - inner) / inner), 1e-300)
    p, length = np.broadcast_arrays(p, length)
    depth = p * length
    decay, slack = np.exp(-depth), -np.expm1(-2 * depth)
    steep = -np.expm1(-(p + 2) * length) / (p + 2)
    flat = np.exp(-2 * length) * np.where(p == 2, length, -np.expm1((2 - p) * length) / np.where(p == 2, 1, p - 2))
    thick = (flat - decay * steep) / slack, (steep - decay * flat) / slack
    # The differences above cancel in a thin ring; there Gauss's rule is exact to rounding.
    node, weight = (value.reshape(-1, *(1,) * depth.ndim) for value in np.polynomial.legendre.leggauss(10))
    u, near = (1 + node) / 2, np.minimum(depth, 1)
    weight = weight / 2 * length * np.exp(-2 * np.minimum(length, 1) * u)
    thin = (np.sum(weight * np.sinh(near * part) / np.sinh(near), axis=0) for part in (u, 1 - u))
    return [outer**2 * np.where(depth < 0.5, one, other) for one, other in zip(thin, thick, strict=True)]


# Where currents rule


@np.errstate(invalid="ignore")  # of the NaN that is to pass
def _bessel(p, r_1, r_2, mu, kappa_2):
    kappa = np.sqrt(kappa_2)
    z_1, z_2 = kappa * r_1, kappa * r_2
    i_1, i_2, k_1, k_2 = growing(p, z_1), growing(p, z_2), falling(p, z_1), falling(p, z_2)
    decay = _growth(p, z_1, z_2, kappa * (r_2 - r_1), r_2 / r_1)
    n = i_1 + k_1
    rho = decay**2 * n / (i_2 + k_2)
    C, S = (k_1 + i_1 * rho) / n, mu * (1 - rho) / n
    C_slope, S_slope = (i_2 * k_1 - k_2 * i_1 * rho) / (mu * n), (i_2 + k_2 * rho) / n
    F = np.real(S_slope * np.conj(C)) - np.real(C_slope * np.conj(S)) - square(decay)
    return Port(C, S, C_slope, S_slope, decay, (*_losses(C, S, C_slope, S_slope), F))


def _growth(p, z_1, z_2, depth, ratio):
    """Return I(z_1)/I(z_2)."""
    far = np.abs(z_2) > FARTHEST
    scaled = np.exp(-depth.real)
    if not far.any():
        return over(special.ive(p, z_1), special.ive(p, z_2)) * scaled
    near = over(special.ive(p, np.where(far, 1, z_1)), special.ive(p, np.where(far, 1, z_2))) * scaled
    return np.where(far, np.sqrt(ratio) * np.exp(-depth), near)


def growing(p, z):
    """Return i = z*I'(z)/(p*I(z)), which is 1 + (z/p)*I_(p+1)/I_p, for |arg z| up to 45 degrees."""
    return _piecewise(p, z, _growing_near, lambda p, z: 1 + z / p * over(special.ive(p + 1, z), special.ive(p, z)), -1)


def falling(p, z):
    """Return k = -z*K'(z)/(p*K(z)), which is 1 + (z/p)*K_(p-1)/K_p."""
    return _piecewise(p, z, _falling_near, lambda p, z: 1 + z / p * over(special.kve(p - 1, z), special.kve(p, z)), 1)


def _piecewise(p, z, near, middle, sign):
    size = np.abs(z)
    small, large = size < WEAK * p, size > FAR
    if not (small | large).any():
        return middle(p, z)
    found = np.empty(z.shape, complex)
    ways = ((small, near), (~(small | large), middle), (large, lambda p, z: _far(p, z, sign)))
    for where, way in ways:
        if where.any():
            found[where] = way(p[where], z[where])
    return found


def _far(p, z, sign):
    """Return the asymptotic series of y/p from the equation of the logarithmic derivative, z*y' + y² = z² + p²."""
    q = p**2 - 0.25
    return (z + sign * 0.5 + q / 2 / z * (1 - sign / z - (q - 6) / 4 / z**2)) / p


def _growing_near(p, z):
    x, rest = z**2, 0.0
    for n in range(12, 0, -1):  # Gauss's continued fraction; each level is good for a factor 40
        rest = x / (2 * (p + n) + rest)
    return 1 + rest / p


def _falling_near(p, z):
    """Go up z*K_(n-1)/K_n from n = 1, or from 24 orders below, which are enough to forget where it began."""
    x = z**2
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        first = z * special.kve(0, z) / special.kve(1, z)
    f = np.where((p > 24) | (z == 0), 0.0, first)
    for down in range(24, 0, -1):
        n = p - down
        f = np.where(n >= 1, x / (2 * np.maximum(n, 1) + f), f)
    return 1 + f / p


# Where they are weak, or the ring is thin


def _stepped(p, r_1, r_2, mu, kappa_2):
    """Return the product of the Ports of steps in geometric progression, each by power series."""
    length = np.log1p((r_2 - r_1) / r_1)
    _, depth = _size_and_depth(p, r_1, r_2, kappa_2)
    steps = max(1, int(np.ceil(max((depth / THIN).max(), (length / STEP).max()))))
    step = np.maximum(np.expm1(length / steps), 1e-30)  # of no length, it still divides
    start = r_1 * np.exp(np.arange(steps)[:, None] * (length / steps))
    found = _series(p, step, kappa_2 * start**2)
    C, S, C_slope, S_slope = (value[0] for value in found)
    for c, s, c_slope, s_slope in zip(*(value[1:] for value in found), strict=True):
        C, C_slope = c * C + s * C_slope, c_slope * C + s_slope * C_slope
        S, S_slope = c * S + s * S_slope, c_slope * S + s_slope * S_slope
    return _real_decay(C, mu * S, C_slope / mu, S_slope, np.ones(p.shape))


def _series(p, step, x):
    """Return C, S, C', S' of steps from r to r*(1 + step) where x is (kappa*r)²; for mu_r = 1.

    a = sum of c_n*t**n, t = (r/r_1 - 1)/step, starts with (1, 0) for C and C', with (0, p*step) for S and S'.
    """
    shape = np.shape(x)
    c = np.zeros((TERMS + 3, 2, *shape), complex)  # two zeros in front
    c[2, 0], c[3, 1] = 1.0, p * step
    even, odd, last = step**2 * (p**2 + x), 2 * x * step**3, x * step**4
    for n in range(TERMS - 1):
        ahead = (even - (n * step) ** 2) * c[n + 2] + odd * c[n + 1] + last * c[n]
        c[n + 4] = (ahead - step * ((n + 1) * (2 * n + 1)) * c[n + 3]) / ((n + 1) * (n + 2))
    c = c[2:]
    value = c[::-1].sum(axis=0)
    slope = (c * np.arange(len(c)).reshape(-1, 1, *(1,) * len(shape)))[::-1].sum(axis=0) * ((1 + step) / (step * p))
    return value[0], value[1], slope[0], slope[1]


def _deep(p, r_1, r_2, mu, kappa_2):
    """Return the Port of a weak ring so deep that only its two rims lose anything."""
    rim = np.exp(DEEP / 2 / np.hypot(p, np.sqrt(np.abs(kappa_2)) * r_2))
    parts = [
        _stepped(p, r_1, r_1 * rim, mu, kappa_2),
        _idle(p, r_1 * rim, r_2 / rim, mu),
        _stepped(p, r_2 / rim, r_2, mu, kappa_2),
    ]
    C, S, C_slope, S_slope = parts[0][:4]
    for part in parts[1:]:
        C, C_slope = part.C * C + part.S * C_slope, part.C_slope * C + part.S_slope * C_slope
        S, S_slope = part.C * S + part.S * S_slope, part.C_slope * S + part.S_slope * S_slope
    return _real_decay(C, S, C_slope, S_slope, parts[1].decay)
