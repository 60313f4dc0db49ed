"""The field over a section that need not be round: salient poles, flux barriers, magnets; a current sheet drives it.

In x = ln(r) and theta Laplace's equation is that of the plane, radii drop out:

    d/dx(nu_theta*dA/dx) + d/dtheta(nu_r*dA/dtheta) + r²*J + r*dM_theta/dx - r*dM_r/dtheta = 0, nearly

(exactly: the work of J and M on A_z). One pole is cut into cells between nodes ln(r_i), theta_j, each of one material;
the next pole is the same with the opposite sign. Every cell adds its reluctivity to the four edges around it (finite
volumes, five points), and its currents and magnetisation to its nodes. A_z is zero on the outermost circle, where no
flux leaves; no field runs along the innermost, which lies so deep that hardly any reaches it.

All is told in the frame of the rotor, in which the sheet A*cos(phase - p*theta) alternates or rests. Permeabilities and
currents may lag, so A_z = Re(driven*exp(j*phase)) + own, the latter from the magnetisation.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from scaling.ground.constants import VALUES

MU_0 = VALUES["mu_0"]


@dataclass(frozen=True)
class Cells:
    """What the cells hold, arrays over (radius, angle): reluctivities over that of air, and sources.

    ``nu_r`` is met by flux along the radius, ``nu_theta`` by flux round the axis. ``conductance`` is conductivity times
    the angular frequency that the rotor feels [S/(m*s)], ``M_r`` and ``M_theta`` magnetisation [A/m].
    """

    nu_r: np.ndarray
    nu_theta: np.ndarray
    conductance: np.ndarray
    M_r: np.ndarray
    M_theta: np.ndarray


@dataclass(frozen=True)
class SectionField:
    """The solved field over one pole: nodes, and the potential at each that is driven, and that the magnets own [Wb/m].

    The last angle is the first of the next pole.
    """

    radii: np.ndarray
    angles: np.ndarray
    cells: Cells
    driven: np.ndarray
    own: np.ndarray

    def potential(self, phase=0.0):
        """Return A_z at the nodes where the sheet stands at a phase [Wb/m]."""
        return np.real(self.driven * np.exp(1j * phase)) + self.own

    def torque_per_length(self, radius, phase=0.0):
        """Return the torque on all that a circle surrounds, along positive angles: Maxwell stress on it [N*m/m]."""
        i = np.searchsorted(self.radii, radius) - 1
        A, poles = self.potential(phase)[i : i + 2], round(2 * np.pi / np.ptp(self.angles))
        step, wide = np.log(self.radii[i + 1] / self.radii[i]), np.diff(self.angles)
        along = np.diff(A, axis=1).mean(axis=0) / wide  # r*B_r
        across = -(A[1] - A[0]) / step  # r*B_theta
        across = (across[1:] + across[:-1]) / 2
        return poles * np.sum(along * across * np.real(self.cells.nu_theta[i]) * wide) / MU_0


def graded(breaks, corners, *, finest, coarsest, slope=0.25):
    """Return nodes through all breaks, their steps growing from the nearest corner on, from finest to coarsest.

    ``coarsest`` is one step, or one for each interval between breaks.
    """
    parts = [np.asarray(breaks[:1], float)]
    for start, end, most in zip(breaks[:-1], breaks[1:], np.broadcast_to(coarsest, len(breaks) - 1), strict=True):
        near = np.geomspace(1e-4 * finest, max(end - start, finest), 200)
        dense = np.add.outer(corners, [*-near, 0.0, *near]).ravel()
        at = np.unique([start, end, *dense[(dense > start) & (dense < end)], *np.linspace(start, end, 200)])
        middle = (at[1:] + at[:-1]) / 2
        away = np.min(np.abs(np.subtract.outer(middle, corners)), axis=1, initial=np.inf)
        count = np.append(0.0, np.cumsum(np.diff(at) / np.minimum(most, finest + slope * away)))
        steps = max(2, int(np.ceil(count[-1])))
        parts.append(np.append(np.interp(np.arange(1, steps) / steps * count[-1], count, at), end))
    return np.concatenate(parts)


def section_field(*, radii, angles, cells, sheet_radius, sheet_current_peak):
    """Return the field of a current sheet A*cos(phase - p*theta) over a section, and of its own magnetisation.

    Parameters
    ----------
    radii : ndarray
        of the nodes, from the inside outwards; the sheet lies on one of them [m]
    angles : ndarray
        of the nodes, over exactly one pole [rad]
    cells : Cells
        what lies between them: one less each way
    sheet_radius, sheet_current_peak : float
        of the sheet, which is at rest outside [m, A/m]

    Returns
    -------
    SectionField
        ``potential(phase)`` at the nodes, ``torque_per_length(radius, phase)``

    Validity
    --------
    Linear, long machine. At edges of iron the field is as sharp as the cells: in the tests a permeance is right within
    1 %, a smooth rotor's torque within a part in a thousand.

    Source
    ------
    derived; tests hold it against ``rotating_wave``, the laws of saliency and, through them, finite elements
    """
    x = np.log(radii)
    matrix = _stiffness(x, angles, cells) + _conduction(radii, angles, cells)
    p = np.pi / np.ptp(angles)
    wide = np.diff(angles)
    share = (wide + np.roll(wide, 1)) / 2
    drive = np.zeros((radii.size, wide.size), complex)
    row = int(np.argmin(np.abs(radii - sheet_radius)))
    drive[row] = sheet_current_peak * radii[row] * share * np.exp(-1j * p * angles[:-1])
    own = _magnetised(radii, angles, cells)
    free = (radii.size - 1) * wide.size  # A_z = 0 on the outermost circle
    solve = splu(matrix[:free, :free].tocsc(), permc_spec="MMD_AT_PLUS_A").solve
    driven = solve(drive.ravel()[:free].astype(complex)) if np.iscomplexobj(matrix.data) else _parts(solve, drive, free)
    own = np.real(solve(own.ravel()[:free].astype(matrix.dtype))) if np.any(own) else np.zeros(free)
    return SectionField(radii, angles, cells, _closed(driven, wide.size), _closed(own, wide.size))


def _parts(solve, load, free):
    """Return the complex solution of a real matrix."""
    load = load.ravel()[:free]
    real, imaginary = solve(np.column_stack([load.real, load.imag])).T
    return real + 1j * imaginary


def _closed(potential, columns):
    """Return potentials on the whole grid: with the outermost circle, and the next pole's first line."""
    grid = np.vstack([potential.reshape(-1, columns), np.zeros(columns)])
    return np.hstack([grid, -grid[:, :1]])


def _onto_rows(cells):
    """Return what edges or nodes on the circles gather from the halves of cells inside and outside of them."""
    return (np.pad(cells, ((1, 0), (0, 0))) + np.pad(cells, ((0, 1), (0, 0)))) / 2


def _onto_columns(cells, sign=1.0):
    """Return what edges or nodes on the rays gather from the halves of cells before and behind them.

    What stands for a quantity that changes sign with the pole takes ``sign`` -1.
    """
    before = np.roll(cells, 1, axis=1)
    before[:, 0] *= sign
    return (cells + before) / 2


def _stiffness(x, angles, cells):
    """Return the matrix of the reluctivities."""
    tall, wide = np.diff(x)[:, None], np.diff(angles)[None, :]
    outwards = _onto_columns(cells.nu_theta * wide) / tall / MU_0
    around = _onto_rows(cells.nu_r * tall) / wide / MU_0
    node = np.arange((tall.size + 1) * wide.size).reshape(-1, wide.size)
    sign = np.ones(wide.size)
    sign[-1] = -1.0  # to the next pole
    edges = [(node[:-1], node[1:], outwards, np.ones(wide.size)), (node, np.roll(node, -1, axis=1), around, sign)]
    rows, columns, values = [], [], []
    for start, end, weight, turn in edges:
        rows += [start, end, start, end]
        columns += [start, end, end, start]
        values += [weight, weight, -weight * turn, -weight * turn]
    rows, columns, values = (np.concatenate([part.ravel() for part in parts]) for parts in (rows, columns, values))
    return coo_matrix((values, (rows, columns)), shape=(node.size, node.size)).tocsr()


def _conduction(radii, angles, cells):
    """Return the diagonal matrix of the induced currents, nothing where none flow."""
    size = radii.size * (angles.size - 1)
    at = np.arange(size)
    if not np.any(cells.conductance):
        return coo_matrix((size, size)).tocsr()
    area = np.diff(radii**2)[:, None] / 2 * np.diff(angles)
    value = 1j * _onto_columns(_onto_rows(cells.conductance * area))
    return coo_matrix((value.ravel(), (at, at)), shape=(size, size)).tocsr()


def _magnetised(radii, angles, cells):
    """Return the load of the magnetisation: its work on the flux density of each node's potential."""
    middle = (radii[1:] + radii[:-1])[:, None] / 2
    radial = _onto_rows(cells.M_r * np.diff(radii)[:, None])  # on the edges between rays
    load = -radial
    load[:, 1:] += radial[:, :-1]
    load[:, 0] -= radial[:, -1]
    round_it = _onto_columns(cells.M_theta * middle * np.diff(angles), sign=-1.0)
    load[1:] -= round_it
    load[:-1] += round_it
    return load
