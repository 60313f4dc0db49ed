"""Polynomials that stand for a slow function: least squares on Legendre products, each judged by leaving points out.

Coordinates run over about -1 to 1; outside they are taken at the end, for a polynomial must not be trusted there.
"""

import copy
import itertools
import math

import numpy as np

LARGEST = 4  # degree tried
FULL = 0.5  # largest share of the points that may be used up by coefficients
BLOCK = 8192  # points evaluated at once
LEVEL = 1e-9  # deviation over mean below which an output counts as not varying


def terms(inputs, degree):
    """Return the number of products of a total degree at most.

    Examples
    --------
    >>> terms(3, 2)
    10
    """
    return math.comb(inputs + degree, degree)


def powers(inputs, degree):
    """Return the degrees of each input in each product, products of low total degree first.

    Examples
    --------
    >>> powers(2, 1)
    [(0, 0), (0, 1), (1, 0)]
    """
    found = []
    for total in range(degree + 1):
        for chosen in itertools.combinations_with_replacement(range(inputs), total):
            found.append(tuple(chosen.count(i) for i in range(inputs)))
    return sorted(found, key=lambda each: (sum(each), each))


def products(at, degree):
    """Return the products of Legendre polynomials at points: (inputs, points) -> (products, points)."""
    at = np.clip(at, -1.0, 1.0)
    single = np.polynomial.legendre.legvander(at, degree).transpose(0, 2, 1)  # input, degree, point
    result = np.empty((terms(len(at), degree), at.shape[1]))
    for row, each in zip(result, powers(len(at), degree), strict=True):
        factors = [single[i, k] for i, k in enumerate(each) if k]
        row[:] = factors[0] if factors else 1.0
        for factor in factors[1:]:
            row *= factor
    return result


class Surrogate:
    """Polynomials of several outputs over the same inputs.

    Parameters
    ----------
    at : (inputs, points) array
        coordinates of the known points, about -1 to 1
    values : (outputs, points) array
        what is known there; NaN where an output has no value

    For every output the total degree is the one, up to 4, that predicts points left out best. ``left_out`` holds those
    predictions, ``error`` their rms deviation from ``values``; an output with hardly any values gives NaN.

    Examples
    --------
    >>> x = np.linspace(-1, 1, 20)[None]
    >>> made = Surrogate(x, x**2)
    >>> np.round(made(np.array([[0.5]])), 6).tolist()
    [[0.25]]
    """

    def __init__(self, at, values):
        values = np.atleast_2d(np.asarray(values, float))
        inputs, points = np.shape(at)
        self.degree = max((k for k in range(LARGEST + 1) if terms(inputs, k) <= max(1, FULL * points)), default=0)
        basis = products(at, self.degree).T
        self.coefficients = np.full((len(values), basis.shape[1]), np.nan)
        self.left_out = np.full(values.shape, np.nan)
        self.error = np.full(len(values), np.nan)
        known = np.isfinite(values)
        for pattern in {row.tobytes(): row for row in known}.values():
            same = np.flatnonzero((known == pattern).all(axis=1))
            self._fit(basis[pattern], values[same][:, pattern].T, same, pattern, inputs)

    def _fit(self, basis, values, places, pattern, inputs):
        """Fit outputs known at the same points, with every degree that leaves points enough, and keep the best."""
        for degree in range(self.degree + 1):
            count = terms(inputs, degree)
            if count > max(1, FULL * len(basis)) or not len(basis):
                break
            q, r = np.linalg.qr(basis[:, :count])
            if np.abs(np.diag(r)).min() < 1e-9 * np.abs(np.diag(r)).max():
                break
            fitted = q @ (q.T @ values)
            leverage = np.minimum((q**2).sum(axis=1), 1 - 1e-9)
            predicted = values - (values - fitted) / (1 - leverage)[:, None]
            error = np.sqrt(np.mean((predicted - values) ** 2, axis=0))
            better = ~(error >= self.error[places])
            at = places[better]
            self.coefficients[at] = 0.0
            self.coefficients[at, :count] = np.linalg.solve(r, q.T @ values[:, better]).T
            self.error[at] = error[better]
            self.left_out[np.ix_(at, np.flatnonzero(pattern))] = predicted[:, better].T

    def taken(self, places):
        """Return the surrogate of some of the outputs."""
        made = copy.copy(self)
        for name in ("coefficients", "left_out", "error"):
            setattr(made, name, getattr(self, name)[places])
        return made

    def of(self, basis):
        """Return the outputs from products of at least this degree."""
        return self.coefficients @ basis[: self.coefficients.shape[1]]

    def __call__(self, at):
        """Return the outputs at points: (inputs, points) -> (outputs, points)."""
        result = np.empty((len(self.coefficients), np.shape(at)[1]))
        for start in range(0, result.shape[1], BLOCK):
            part = slice(start, start + BLOCK)
            result[:, part] = self.of(products(at[:, part], self.degree))
        return result


def sobol_indices(function, distributions, points, seed):
    """Return (first-order, total) Sobol' indices of the outputs of a function, arrays (outputs, inputs), from 0 to 1.

    Parameters
    ----------
    function : callable
        (inputs, points) -> (outputs, points)
    distributions : list
        of each input, independent; any object with ``ppf``
    points : int
        a power of two; the function is called at inputs + 2 times as many
    seed : int
        of the scrambled sequence

    An output that does not vary gives zeros. Saltelli et al., Computer Physics Communications 181 (2010) 259, from
    memory, as ``scipy.stats`` has it.
    """
    from scipy import stats

    calls = []

    def kept(x):
        calls.append(np.array(np.atleast_2d(function(x)), float))
        return calls[-1].copy()  # the caller changes what it is given

    inputs = len(distributions)
    if inputs == 1:  # all there is to blame
        kept(distributions[0].ppf((np.arange(points) + 0.5) / points)[None])
        first = total = np.ones(len(calls[0]))
    else:
        found = stats.sobol_indices(func=kept, n=points, dists=distributions, rng=np.random.default_rng(seed))
        first, total = found.first_order, found.total_order
    varies = calls[0].std(axis=1) > LEVEL * (1 + np.abs(calls[0].mean(axis=1)))
    return tuple(np.where(varies[:, None], np.clip(np.reshape(s, (-1, inputs)), 0.0, 1.0), 0.0) for s in (first, total))
