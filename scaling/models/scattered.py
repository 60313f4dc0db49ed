"""A smooth surface through values known at scattered places of a plane.

    s(u) = sum of w_i*|u - u_i|**3 + c_0 + c_1*u_x + c_2*u_y,    s(u_i) = z_i,    sum of w_i*(1, u_x, u_y)_i = 0

The cubes alone let a surface bend without waves between its places; what is left out is told by the others in closed
form (Rippa, Advances in Computational Mathematics 11 (1999) 193, from memory).
"""

import numpy as np

BLOCK = 4096  # places evaluated at once


class Through:
    """The surface through values at places (2, n), which differ; without any value it is NaN.

    ``left_out`` holds what the others tell of each place.

    Examples
    --------
    >>> u = np.array([[0.0, 1.0, 0.0, 1.0, 0.4], [0.0, 0.0, 1.0, 1.0, 0.7]])
    >>> made = Through(u, 2.0 + u[0] - 3.0 * u[1])
    >>> np.round(made(np.array([[0.5], [0.5]])), 9).tolist()
    [1.0]
    """

    def __init__(self, places, values):
        self.places, self.values = np.asarray(places, float), np.asarray(values, float)
        n = self.values.size
        plane = np.vstack([np.ones(n), self.places])
        system = np.block([[_cubes(self.places, self.places), plane.T], [plane, np.zeros((3, 3))]])
        inverse = np.linalg.pinv(system, hermitian=True)
        self.weights = inverse[:, :n] @ self.values
        own = np.diag(inverse)[:n]
        with np.errstate(divide="ignore", invalid="ignore"):
            self.left_out = self.values - self.weights[:n] / own

    def __call__(self, u):
        """Return the values at places (2, m)."""
        u = np.asarray(u, float)
        n, result = self.places.shape[1], np.full(u.shape[1], np.nan)
        if not n:
            return result
        for start in range(0, result.size, BLOCK):
            part = u[:, start : start + BLOCK]
            plane = self.weights[n] + self.weights[n + 1 :] @ part
            result[start : start + BLOCK] = self.weights[:n] @ _cubes(self.places, part) + plane
        return result


def _cubes(a, b):
    """Return the cubed distances of places a (2, n) to places b (2, m)."""
    square = (a[0][:, None] - b[0]) ** 2 + (a[1][:, None] - b[1]) ** 2
    return square * np.sqrt(square)


def apart(places, least):
    """Return the indices of places (2, n) no two of which are nearer than ``least``; an earlier one stays.

    Examples
    --------
    >>> apart(np.array([[0.0, 0.01, 1.0], [0.0, 0.0, 0.0]]), 0.1).tolist()
    [0, 2]
    """
    kept = []
    for i, (x, y) in enumerate(np.asarray(places, float).T):
        near = np.hypot(*(places[:, kept] - [[x], [y]])) if kept else np.array([np.inf])
        if near.min() >= least:
            kept.append(i)
    return np.array(kept, int)
