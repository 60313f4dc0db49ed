"""The travelling field by finite elements of second order, for comparison; shares no formula with the package.

``plane`` meshes one pole pitch of gap, layers and air in two dimensions, joined to itself with the sign reversed; it
knows nothing of the wave's shape beyond the current on the stator face. ``line`` takes the dependence on x as known and
meshes the direction across the gap alone, much faster.
"""

from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import (
    Basis,
    BilinearForm,
    ElementLineP2,
    ElementQuad2,
    FacetBasis,
    Functional,
    LinearForm,
    MeshLine,
    MeshQuad,
    asm,
)
from skfem.helpers import dot, grad

MU_0 = 1.25663706212e-6  # CODATA 2018


class Strip(NamedTuple):
    """A strip of one material between two values of y, and the edges of its elements."""

    edges: np.ndarray
    conductivity: float
    permeability: complex
    speed: float


class Result(NamedTuple):
    """Means per area of the gap, SI, and the potential at the nodes; the shear stress is the sheet's power over the
    field speed, and once more the mean Maxwell stress in the gap."""

    shear_stress: float
    stress_in_gap: float
    normal_stress: float
    gap_field_peak: float
    heat_by_layer: np.ndarray
    at: np.ndarray
    potential: np.ndarray


def graded(start, thickness, finest, growth, coarsest):
    """Return the edges of elements that grow from both faces of a strip to its middle."""
    sizes, size = [], finest
    while sum(sizes) + size < thickness / 2:
        sizes.append(size)
        size = min(size * growth, coarsest)
    half = np.array([*sizes, thickness / 2 - sum(sizes)]) if sizes else np.array([thickness / 2])
    half[-2:] = half[-2:].mean()  # no sliver in the middle
    return start + np.concatenate([[0], np.cumsum([*half, *half[::-1]])])


def strips(*, pole_pitch, frequency, gap, layers, behind_rotor, slip, fine, air, **_):
    """Return gap, layers and air as strips; ``fine`` elements to a skin depth, or to the thickness if it is less."""
    k, speed = np.pi / pole_pitch, 2 * pole_pitch * frequency
    found, start = [], 0.0
    parts = [(gap, 0.0, 1.0, 0.0)]
    for layer in layers:
        v = (1 - slip) * speed if layer.speed is None else layer.speed
        mu = np.conj(layer.relative_permeability) if v > speed else layer.relative_permeability
        parts.append((layer.thickness, layer.conductivity, mu, v))
    if air and behind_rotor == "air":
        parts.append((air, 0.0, 1.0, 0.0))
    for thickness, conductivity, mu, v in parts:
        decay = np.sqrt(k**2 + 1j * k * (speed - v) * MU_0 * mu * conductivity).real
        coarsest = min(1 / k, thickness) / fine
        edges = graded(start, thickness, min(1 / (decay * fine), coarsest), 1 + 1 / fine, coarsest * 2)
        found.append(Strip(edges, conductivity, mu, v))
        start = edges[-1]
    return found


def plane(*, pole_pitch, frequency, sheet_current_peak, across=40, fine=16, **case):
    """Solve in two dimensions over one pole pitch; air behind the rotor ends three pole pitches away."""
    stack = strips(pole_pitch=pole_pitch, frequency=frequency, fine=fine, air=3 * pole_pitch, **case)
    k = np.pi / pole_pitch
    frame = stack[1].speed  # of the first layer; what moves with it stands still here
    omega = 2 * np.pi * frequency - k * frame
    y = np.unique(np.concatenate([strip.edges for strip in stack]))
    mesh = MeshQuad.init_tensor(np.linspace(0, pole_pitch, across + 1), y)
    middle = mesh.p[1, mesh.t].mean(axis=0)

    @BilinearForm(dtype=complex)
    def stiffness(a, w, c):
        electric = 1j * omega * a + c.speed * grad(a)[0]
        return dot(grad(a), grad(w)) / (MU_0 * c.mu) + c.sigma * electric * w

    @LinearForm(dtype=complex)
    def sheet(w, c):
        return sheet_current_peak * np.exp(-1j * k * c.x[0]) * w

    bases, matrix = [], 0
    for strip in stack:
        inside = np.flatnonzero((middle > strip.edges[0]) & (middle < strip.edges[-1]))
        bases.append(Basis(mesh, ElementQuad2(), elements=inside))
        matrix = matrix + asm(
            stiffness, bases[-1], mu=strip.permeability, sigma=strip.conductivity, speed=strip.speed - frame
        )
    face = FacetBasis(mesh, ElementQuad2(), facets=mesh.facets_satisfying(lambda p: p[1] == 0))
    load = asm(sheet, face)

    # Join right to left with the sign reversed; fix the far edge of the air.
    at, size = bases[0].doflocs, matrix.shape[0]
    left, right = (np.flatnonzero(np.isclose(at[0], x, atol=1e-9 * pole_pitch)) for x in (0, pole_pitch))
    left, right = left[np.argsort(at[1, left])], right[np.argsort(at[1, right])]
    assert np.array_equal(at[1, left], at[1, right])
    source, sign = np.arange(size), np.ones(size)
    source[right], sign[right] = left, -1
    fixed = at[1] >= y[-1] * (1 - 1e-12) if case["behind_rotor"] == "air" else np.zeros(size, bool)
    free = np.unique(source[~fixed])
    column = np.full(size, -1)
    column[free] = np.arange(free.size)
    rows = np.flatnonzero(column[source] >= 0)
    join = csr_matrix((sign[rows], (rows, column[source[rows]])), shape=(size, free.size))
    potential = join @ spsolve((join.T @ matrix @ join).tocsc(), join.T @ load, permc_spec="MMD_AT_PLUS_A")

    @Functional(dtype=complex)
    def sheet_power(c):
        return 0.5j * omega * c.a * sheet_current_peak * np.exp(1j * k * c.x[0])

    @Functional
    def shear(c):
        return 0.5 * np.real(c.a.grad[0] * np.conj(c.a.grad[1])) / MU_0

    @Functional
    def pull(c):
        return 0.25 * (np.abs(c.a.grad[0]) ** 2 - np.abs(c.a.grad[1]) ** 2) / MU_0

    @Functional
    def heat(c):
        electric = np.abs(1j * omega * c.a + (c.strip.speed - frame) * c.a.grad[0]) ** 2
        lag = np.abs(np.imag(1 / c.strip.permeability)) / MU_0 * np.abs(omega - k * (c.strip.speed - frame))
        return 0.5 * c.strip.conductivity * electric + 0.5 * lag * np.sum(np.abs(c.a.grad) ** 2, axis=0)

    gap_volume = pole_pitch * stack[0].edges[-1]
    fields = [basis.interpolate(potential) for basis in bases]
    middle_of_face = np.flatnonzero((at[1] == 0) & np.isclose(at[0], pole_pitch / 2))
    return Result(
        asm(sheet_power, face, a=face.interpolate(potential)).real / (pole_pitch * omega / k),
        asm(shear, bases[0], a=fields[0]) / gap_volume,
        asm(pull, bases[0], a=fields[0]) / gap_volume,
        float(k * np.abs(potential[middle_of_face]).mean()),
        np.array(
            [
                asm(heat, basis, a=a, strip=strip) / pole_pitch
                for basis, a, strip in list(zip(bases, fields, stack, strict=True))[1 : 1 + len(case["layers"])]
            ]
        ),
        at,
        potential,
    )


def line(*, pole_pitch, frequency, sheet_current_peak, fine=24, **case):
    """Solve across the gap for the amplitude of exp(-j*k*x); air behind the rotor goes on as exp(-k*y)."""
    stack = strips(pole_pitch=pole_pitch, frequency=frequency, fine=fine, air=0.0, **case)
    omega, k = 2 * np.pi * frequency, np.pi / pole_pitch
    mesh = MeshLine(np.unique(np.concatenate([strip.edges for strip in stack])))
    middle = mesh.p[0, mesh.t].mean(axis=0)

    @BilinearForm(dtype=complex)
    def stiffness(a, w, c):
        return (grad(a)[0] * grad(w)[0] + k**2 * a * w) / (MU_0 * c.mu) + 1j * c.sigma * c.slipping * a * w

    bases, matrix = [], 0
    for strip in stack:
        inside = np.flatnonzero((middle > strip.edges[0]) & (middle < strip.edges[-1]))
        bases.append(Basis(mesh, ElementLineP2(), elements=inside, intorder=4))
        passing = omega - k * strip.speed
        matrix = matrix + asm(stiffness, bases[-1], mu=strip.permeability, sigma=strip.conductivity, slipping=passing)
    at = bases[0].doflocs[0]
    first, last = np.argmin(at), np.argmax(at)
    matrix = matrix.tolil()
    matrix[last, last] += k / MU_0 if case["behind_rotor"] == "air" else 0.0
    matrix[first, first] += k / MU_0 if case.get("behind_stator") == "air" else 0.0
    load = np.zeros(at.size, complex)
    load[first] = sheet_current_peak
    potential = spsolve(matrix.tocsc(), load)

    @Functional
    def shear(c):
        return 0.5 * k * np.imag(np.conj(c.a) * c.a.grad[0]) / -MU_0

    @Functional
    def pull(c):
        return 0.25 * (k**2 * np.abs(c.a) ** 2 - np.abs(c.a.grad[0]) ** 2) / MU_0

    @Functional
    def heat(c):
        passing = omega - k * c.strip.speed
        lag = np.abs(np.imag(1 / c.strip.permeability) * passing) / MU_0
        square = np.abs(c.a) ** 2
        return 0.5 * c.strip.conductivity * passing**2 * square + 0.5 * lag * (np.abs(c.a.grad[0]) ** 2 + k**2 * square)

    gap = stack[0].edges[-1]
    fields = [basis.interpolate(potential) for basis in bases]
    return Result(
        -0.5 * k * sheet_current_peak * potential[first].imag,
        asm(shear, bases[0], a=fields[0]) / gap,
        asm(pull, bases[0], a=fields[0]) / gap,
        k * np.abs(potential[first]),
        np.array(
            [
                asm(heat, basis, a=a, strip=strip)
                for basis, a, strip in list(zip(bases, fields, stack, strict=True))[1 : 1 + len(case["layers"])]
            ]
        ),
        at,
        potential,
    )
