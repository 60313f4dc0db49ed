"""Rotors of ideal iron with poles or flux barriers under a current sheet, by finite elements of second order.

Half a pole pitch is meshed in the plane, from the q axis (x = 0) to the d axis; nothing is shared with the package.
Each axis is solved twice: the scalar potential bounds the permeance from above, the vector potential from below, so
that a result carries its own error, but for the arcs of barriers, which are meshed as chords (up to 5e-4).
"""

from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementQuad2, MeshQuad, asm
from skfem.helpers import dot, grad

HALF = 0.5  # half a pole pitch in the mesh's own unit
K = np.pi / (2 * HALF)


class Rotor(NamedTuple):
    """What is left of half a pole pitch when the iron is taken away; lengths in the mesh's unit.

    ``centres`` are the radii that separate iron segments of free potential; without them all iron is at potential 0.
    """

    mesh: MeshQuad
    gap: float
    centres: np.ndarray


class Permeance(NamedTuple):
    """Permeance relative to the smooth gap, half the distance of its two bounds, and the potentials of free iron."""

    value: float
    error: float
    segments: np.ndarray


def edges(breaks, corners, finest, coarsest, slope):
    """Return element edges through all ``breaks``, whose size grows with the distance from the nearest corner."""
    parts = [np.array(breaks[:1])]
    for start, end in zip(breaks, breaks[1:], strict=False):
        # Even steps of the integral of 1/size, on points dense at the corners.
        away = (end - start) * np.logspace(-6, 0, 400)
        dense = np.add.outer(corners, [*-away, *away]).ravel()
        at = np.unique([*dense[(dense > start) & (dense < end)], *np.linspace(start, end, 400)])
        away = np.abs(at[:, None] - np.asarray(corners)[None, :]).min(axis=1)
        density = 1 / np.minimum(coarsest, finest + slope * away)
        count = np.concatenate([[0.0], np.cumsum(np.diff(at) * (density[1:] + density[:-1]) / 2)])
        steps = max(2, int(np.ceil(count[-1])))
        inner = np.interp(np.arange(1, steps) / steps * count[-1], count, at)
        parts.append(np.append(inner, end))
    return np.concatenate(parts)


def joined(blocks):
    """Return one mesh of blocks that share nodes; finer than the library's own sum, which rounds to 1e-8."""
    starts = np.cumsum([0, *(block.p.shape[1] for block in blocks)])
    points = np.hstack([block.p for block in blocks])
    _, first, place = np.unique(points.round(12), axis=1, return_index=True, return_inverse=True)
    corners = np.hstack([block.t + start for block, start in zip(blocks, starts, strict=False)])
    return MeshQuad(np.ascontiguousarray(points[:, first]), np.ascontiguousarray(place.reshape(-1)[corners]))


def salient(*, gap, depth, arc, fine=1.0):
    """Return a salient rotor: gap and interpolar depth over the pole pitch, pole arc over the pole pitch."""
    g, h, corner = 2 * HALF * gap, 2 * HALF * depth, HALF * (1 - arc)
    finest, coarsest, slope = 2e-3 * min(g, h, corner) / fine, HALF / 16 / fine, 0.6 / fine
    x = edges([0, corner, HALF], [corner], finest, coarsest, slope)
    over = edges([0, g], [g], finest, coarsest, slope)
    below = edges([g, g + h], [g], finest, coarsest, slope)
    mesh = joined([MeshQuad.init_tensor(x, over), MeshQuad.init_tensor(x[x <= corner], below)])
    return Rotor(mesh, g, np.array([]))


def barriers(*, gap, number, share, fine=1.0):
    """Return a barrier rotor: ``number`` half rings of air round the q axis, ``share`` of the depth, even pitch."""
    g, pitch = 2 * HALF * gap, 2 * HALF / (2 * number + 1)
    centres = pitch * np.arange(1, number + 1)
    width = share * pitch
    mouths = np.sort(np.concatenate([centres - width / 2, centres + width / 2]))
    finest, coarsest, slope = 4e-3 * min(g, width) / fine, HALF / 16 / fine, 0.8 / fine
    x = edges([0, *mouths, HALF], mouths, finest, coarsest, slope)
    blocks = [MeshQuad.init_tensor(x, edges([0, g], [g], finest, coarsest, slope))]
    for inner, outer in mouths.reshape(-1, 2):
        r = x[(x >= inner) & (x <= outer)]
        turn = edges([0, np.pi / 2], [0], finest / inner, np.pi / 40 / fine, slope)
        ring = MeshQuad.init_tensor(r, turn)
        radius, angle = ring.p
        across = np.where(angle == turn[-1], 0.0, radius * np.cos(angle))
        blocks.append(MeshQuad(np.array([across, g + radius * np.sin(angle)]), ring.t))
    return Rotor(joined(blocks), g, centres)


@BilinearForm
def stiffness(u, w, c):
    return dot(grad(u), grad(w))


def permeance(rotor, axis):
    """Return the permeance of the ``"d"`` or ``"q"`` axis."""
    mesh, gap, centres = rotor
    basis = Basis(mesh, ElementQuad2())
    matrix = asm(stiffness, basis).tocsr()
    smooth = K / np.tanh(K * gap) * HALF / 2
    middle = mesh.p[:, mesh.facets].mean(axis=1)
    bound = mesh.boundary_facets()
    x, y = middle[:, bound]
    stator, q_line, d_line = y == 0, x == 0, np.isclose(x, HALF, rtol=1e-12)
    iron = bound[~(stator | q_line | d_line)]
    drive, change = (np.sin, np.cos) if axis == "d" else (np.cos, np.sin)

    # Scalar potential: given on the stator, 0 on the line it is odd about, constant on each piece of iron.
    on_stator = basis.get_dofs(bound[stator]).flatten()
    potential = np.zeros(basis.N)
    potential[on_stator] = drive(K * basis.doflocs[0, on_stator])
    fixed = [on_stator, basis.get_dofs(bound[q_line if axis == "d" else d_line]).flatten()]
    segment = np.searchsorted(centres, np.hypot(middle[0, iron], middle[1, iron] - gap))
    free_iron = np.unique(segment)[:-1] if axis == "q" else []  # the outermost stands on the d axis
    pieces = [basis.get_dofs(iron[segment == i]).flatten() for i in free_iron]
    fixed += [basis.get_dofs(iron[~np.isin(segment, free_iron)]).flatten()]
    column = np.arange(basis.N)
    for dofs in pieces:
        column[dofs] = dofs[0]
    column[np.concatenate(fixed)] = -1
    kept, place = np.unique(column[column >= 0], return_inverse=True)
    rows = np.flatnonzero(column >= 0)
    join = csr_matrix((np.ones(rows.size), (rows, place)), shape=(basis.N, kept.size))
    potential += join @ _solve(join.T @ matrix @ join, -join.T @ (matrix @ potential))
    above = potential @ matrix @ potential / smooth

    # Vector potential: the current sheet drives it, iron needs nothing, 0 on the line no flux crosses.
    load = np.zeros(basis.N)
    ends = mesh.facets[:, bound[stator]]
    length = np.abs(np.diff(mesh.p[0, ends], axis=0)[0])
    nodes = [*basis.nodal_dofs[0, ends], basis.facet_dofs[0, bound[stator]]]
    for dofs, weight in zip(nodes, (1 / 6, 1 / 6, 2 / 3), strict=True):
        np.add.at(load, dofs, weight * length * K * change(K * basis.doflocs[0, dofs]))  # Simpson's rule
    closed = basis.get_dofs(bound[d_line if axis == "d" else q_line]).flatten()
    free = np.setdiff1d(np.arange(basis.N), closed)
    flux = np.zeros(basis.N)
    flux[free] = _solve(matrix[free][:, free], load[free])
    below = load @ flux / smooth
    segments = np.array([potential[dofs[0]] for dofs in pieces])
    return Permeance((above + below) / 2, (above - below) / 2, segments)


def _solve(matrix, load):
    return spsolve(matrix.tocsc(), load, permc_spec="MMD_AT_PLUS_A")
