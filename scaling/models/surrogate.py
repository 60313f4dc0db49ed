"""Surrogates of slow functions: a polynomial, and distances to the known points for the kinks that it cannot follow.

    s(x) = sum of w_i*|x - x_i|**3 + sum of c_j*P_j(x),    s(x_i) = y_i,    sum of w_i*P_j(x_i) = 0

with products P_j of Legendre polynomials; or these alone, by least squares. Each is judged by leaving points out, in
closed form (Rippa, Advances in Computational Mathematics 11 (1999) 193, from memory). Coordinates run over about -1 to
1; outside they are taken at the end, for a polynomial must not be trusted there.
"""

import copy
import itertools
import math

import numpy as np

LARGEST = 4  # degree tried
FULL = 0.5  # largest share of the points that may be used up by coefficients
BLOCK = 8192  # points evaluated at once
TINY = 1e-9  # of a point that alone decides a coefficient: leaving it out says nothing
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
    """Surrogates of several outputs over the same inputs.

    For every output the total degree, up to 4, is the one that predicts points left out best, and so is whether
    distances take part. ``left_out`` holds those predictions, ``error`` their rms deviation from ``values``; an output
    without any value gives NaN.

    Parameters
    ----------
    at : (inputs, points) array
        coordinates of the known points, about -1 to 1, no two the same
    values : (outputs, points) array
        what is known there; NaN where an output has no value
    kinks : bool
        also try distances to the known points

    Examples
    --------
    >>> x = np.linspace(-1, 1, 20)[None]
    >>> made = Surrogate(x, x**2)
    >>> np.round(made(np.array([[0.5]])), 6).tolist()
    [[0.25]]
    """

    def __init__(self, at, values, kinks=True):
        self.centres = np.clip(np.asarray(at, float), -1.0, 1.0)
        values = np.atleast_2d(np.asarray(values, float))
        inputs, points = self.centres.shape
        self.degree = max((k for k in range(LARGEST + 1) if terms(inputs, k) <= FULL * points), default=0)
        self.weights = np.zeros((len(values), points + terms(inputs, self.degree)))
        self.left_out = np.full(values.shape, np.nan)
        self.error = np.full(len(values), np.nan)
        known, rows = np.isfinite(values), self.rows(self.centres)
        self.weights[~known.any(axis=1)] = np.nan
        for pattern in {row.tobytes(): row for row in known if row.any()}.values():
            same = np.flatnonzero((known == pattern).all(axis=1))
            self._fit(rows[:, pattern], values[same][:, pattern], same, np.flatnonzero(pattern), kinks)

    def _fit(self, rows, values, outputs, known, kinks):
        """Fit outputs known at the same points, with every degree that leaves points enough, and keep the best."""
        inputs, points = self.centres.shape
        distances, basis = rows[known], rows[points:]
        for degree in range(self.degree + 1):
            count = terms(inputs, degree)
            if degree and count > FULL * known.size:
                break
            some = basis[:count]
            inverse = np.linalg.pinv(some.T)
            leverage = np.einsum("ij,ji->i", some.T, inverse)
            solved = values @ inverse.T
            off = (values - solved @ some) / np.maximum(1 - leverage, TINY)
            self._keep(solved, off, values, outputs, known, range(points, points + count))
            if kinks and degree and known.size > count:
                system = np.block([[distances, some.T], [some, np.zeros((count, count))]])
                inverse = np.linalg.pinv(system, hermitian=True)[: known.size]
                solved = values @ inverse
                off = solved[:, : known.size] / np.diag(inverse)
                self._keep(solved, off, values, outputs, known, [*known, *range(points, points + count)])

    def _keep(self, solved, off, values, outputs, known, places):
        """Keep weights at places for the outputs that they predict better than those before, when left out."""
        error = np.sqrt(np.mean(off**2, axis=1))
        better = ~(error >= self.error[outputs])
        at = outputs[better]
        self.weights[at] = 0.0
        self.weights[np.ix_(at, places)] = solved[better]
        self.error[at] = error[better]
        self.left_out[np.ix_(at, known)] = (values - off)[better]

    def rows(self, at):
        """Return what the weights belong to, at points: cubed distances to the known points, then products."""
        from scipy.spatial.distance import cdist

        at = np.clip(at, -1.0, 1.0)
        distances = cdist(self.centres.T, at.T)
        return np.concatenate([distances * distances * distances, products(at, self.degree)])

    def taken(self, places):
        """Return the surrogate of some of the outputs."""
        made = copy.copy(self)
        for name in ("weights", "left_out", "error"):
            setattr(made, name, getattr(self, name)[places])
        return made

    def __call__(self, at):
        """Return the outputs at points: (inputs, points) -> (outputs, points)."""
        result = np.empty((len(self.weights), np.shape(at)[1]))
        for start in range(0, result.shape[1], BLOCK):
            part = slice(start, start + BLOCK)
            result[:, part] = self.weights @ self.rows(at[:, part])
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
