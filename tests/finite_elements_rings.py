"""The rotating field by finite elements of second order along the radius, for comparison with the package.

The dependence on the angle is taken as known; the mesh goes from the axis to the last ring. Shares no formula with the
package: the torque is the Maxwell stress averaged over an idle ring, the heat the integral of the losses.
"""

import numpy as np
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementLineP2, Functional, LinearForm, MeshLine, asm
from skfem.helpers import grad

MU_0 = 1.25663706212e-6  # CODATA 2018


def radial(*, pole_pairs, frequency, speed, rings, outside, sense=1, sheet_current_peak=0.0, gap, elements=400):
    """Return (torque through the ring at place `gap`, heat by ring, nodes, potential there)."""
    p, omega = pole_pairs, 2 * np.pi * frequency
    ends = np.array([0.0, *(ring.outer_radius for ring in rings)])
    # Finer towards both ends of each ring: the field falls off from there.
    share = (1 - np.cos(np.linspace(0, np.pi, elements + 1))) / 2
    pieces = [start + (end - start) * share for start, end in zip(ends, ends[1:], strict=False)]
    mesh = MeshLine(np.unique(np.concatenate(pieces)))
    middle = mesh.p[0, mesh.t].mean(axis=0)

    @BilinearForm(dtype=complex)
    def stiffness(a, v, c):
        r = c.x[0]
        bending = grad(a)[0] * grad(v)[0] * r + p**2 * a * v / r
        return bending / (MU_0 * c.mu) + 1j * c.sigma * c.past * a * v * r

    @LinearForm(dtype=complex)
    def current(v, c):
        return c.J * v * c.x[0]

    bases, matrix, load, given = [], 0, 0, []
    for ring, start, end in zip(rings, ends, ends[1:], strict=False):
        bases.append(
            Basis(mesh, ElementLineP2(), elements=np.flatnonzero((middle > start) & (middle < end)), intorder=6)
        )
        past = omega - sense * p * speed * ring.turns
        mu = np.conj(ring.relative_permeability) if past < 0 else ring.relative_permeability
        given.append({"mu": mu, "sigma": ring.conductivity, "past": past})
        matrix = matrix + asm(stiffness, bases[-1], **given[-1])
        load = load + asm(current, bases[-1], J=ring.current_density_peak)
    at = bases[0].doflocs[0]
    last = np.argmax(at)
    matrix, load = matrix.tolil(), np.asarray(load, complex)
    matrix[last, last] += p / MU_0 if outside == "air" else 0.0
    load[last] += sheet_current_peak * ends[-1]
    free = np.flatnonzero(at > 0)
    potential = np.zeros(at.size, complex)
    potential[free] = spsolve(matrix.tocsc()[np.ix_(free, free)], load[free])

    @Functional
    def stress(c):
        return np.pi * sense * p * c.x[0] * np.real(1j * c.a * np.conj(c.a.grad[0])) / MU_0

    @Functional
    def heat(c):
        r, square = c.x[0], np.abs(c.a) ** 2
        lag = np.abs(np.imag(1 / c.mu) * c.past) / MU_0
        return np.pi * (c.sigma * c.past**2 * square * r + lag * (np.abs(c.a.grad[0]) ** 2 * r + p**2 * square / r))

    fields = [basis.interpolate(potential) for basis in bases]
    torque = asm(stress, bases[gap], a=fields[gap]) / (ends[gap + 1] - ends[gap])
    heats = [asm(heat, basis, a=a, **ring) for basis, a, ring in zip(bases, fields, given, strict=True)]
    return torque, np.array(heats), at, potential
