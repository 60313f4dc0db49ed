"""The field over a section: against rings in closed form, finite elements of poles and barriers, and its own work."""

import numpy as np
import pytest
from finite_elements_saliency import barriers, permeance, salient

from scaling.field import Ring, rotating_wave
from scaling.laws import magnet, saliency
from scaling.models.section_field import MU_0, Cells, graded, section_field

IRON = 1e-6
LOADING = 3e4


def solved(p, rims, materials, *, edges=(), gap=1, size=1, sources=None, loading=LOADING):
    """Return the field over rings and poles; ``materials`` gives nu (or a function of the angle) and conductance.

    ``gap`` is the place in ``rims`` of the rotor's surface, the sheet lies on the next rim.
    """
    pole = np.pi / p
    fine = np.log(rims[gap + 1] / rims[gap]) / (6 * size)
    grid = {"finest": min(fine, pole / 60), "coarsest": pole / 60 / size, "slope": 0.2 / size}
    radii = np.exp(graded(np.log(rims), np.log(rims[gap : gap + 2]), **grid))
    corners = np.unique([*np.negative(edges), *edges])
    angles = graded(np.unique([-pole / 2, *corners, pole / 2]), corners, **grid)
    ring = np.searchsorted(rims, (radii[1:] + radii[:-1]) / 2) - 1
    middle = (angles[1:] + angles[:-1]) / 2
    r = np.sqrt(radii[1:] * radii[:-1])
    blank = np.zeros((r.size, middle.size))
    nu = np.array([np.broadcast_to(materials[i][0](r_, middle), middle.shape) for i, r_ in zip(ring, r, strict=True)])
    conductance = np.array([materials[i][1] for i in ring])[:, None] + blank
    M_r, M_theta = (blank, blank) if sources is None else sources(r[:, None], middle[None, :])
    cells = Cells(nu, nu, conductance, M_r + blank, M_theta + blank)
    at = int(np.argmin(np.abs(radii / rims[gap + 1] - 1)))
    return section_field(
        radii=radii, angles=angles, cells=cells, sheet_radius=radii[at], sheet_current_peak=loading
    ), at


def plain(nu, conductance=0.0):
    return (lambda r, angle: nu), conductance


def fundamental(field, row, values):
    """Return the complex fundamental of what stands at the nodes of a row, by the trapezoid."""
    p = np.pi / np.ptp(field.angles)
    return np.trapezoid(values[row] * np.exp(1j * p * field.angles), field.angles) * 2 * p / np.pi / 2


ROUND = {
    "sleeve on iron": {"conductivity": 3.5e7},
    "hysteretic ring": {"relative_permeability": 25 - 18j},
    "conducting steel": {"conductivity": 2e6, "relative_permeability": 30.0},
}


@pytest.mark.parametrize("p", [1, 4])
@pytest.mark.parametrize("name", ROUND)
def test_smooth_rotor_has_the_field_and_torque_of_rings_in_closed_form(name, p):
    ring, frequency, slip = ROUND[name], 50.0, 0.3
    mu, sigma = ring.get("relative_permeability", 1.0), ring.get("conductivity", 0.0)
    rims = np.array([1e-5, 0.024, 0.030, 0.032, 0.05])
    omega = 2 * np.pi * frequency
    materials = [plain(1e-3), plain(1 / mu, slip * omega * sigma), plain(1.0), plain(IRON)]
    field, row = solved(p, rims, materials, gap=2, size=2)
    wave = rotating_wave(
        pole_pairs=p,
        frequency=frequency,
        speed=(1 - slip) * omega / p,
        outside="iron",
        sheet_current_peak=LOADING,
        rings=[Ring(0.024, relative_permeability=1e3, turns=True), Ring(0.030, turns=True, **ring), Ring(0.032)],
    )
    # Cells of a 120th of the pole: (pi/120)**2 is 7e-4.
    assert field.torque_per_length(0.031) == pytest.approx(wave.torque_per_length, rel=2e-3)
    phase = 0.7
    for i in range(0, row + 1, 9):
        exact = wave.field_at(field.radii[i], field.angles, phase / omega).A_z
        assert np.abs(field.potential(phase)[i] - exact).max() < 2e-3 * np.abs(field.driven).max()


def test_torque_does_not_depend_on_the_circle_nor_on_time_where_the_rotor_is_smooth():
    rims = np.array([1e-3, 0.024, 0.030, 0.032, 0.05])
    field, _ = solved(2, rims, [plain(1e-3), plain(1.0, 3e9), plain(1.0), plain(IRON)], gap=2)
    circles = [field.torque_per_length(r, phase) for r in (0.0301, 0.031, 0.0319) for phase in (0.0, 1.0)]
    np.testing.assert_allclose(circles, circles[0], rtol=3e-3)  # the discrete stress, not the field, varies
    assert field.torque_per_length(0.0239) == pytest.approx(0.0, abs=1e-3 * circles[0])


# Permeances, in the plane that ln(r) and the angle are


POLE_PITCH = np.pi / 6


def permeances(gap, nu_of, edges, depth=0.5, size=1.0):
    """Return (P_d, P_q) of a rotor with ``nu_of(depth below the surface, angle)``, lengths over the pole pitch."""
    rims = np.exp(POLE_PITCH * np.array([-1.5, -depth, 0.0, gap, gap + 0.7]))

    def rotor(r, angle):
        return nu_of(-np.log(r) / POLE_PITCH, angle / POLE_PITCH)

    materials = [plain(IRON), (rotor, 0.0), plain(1.0), plain(IRON)]
    field, row = solved(6, rims, materials, gap=2, edges=np.multiply(edges, POLE_PITCH), size=size)
    smooth = MU_0 * LOADING * rims[3] / (6 * np.tanh(np.pi * gap))
    d, q = (np.abs(fundamental(field, row, field.potential(phase))) * 2 / smooth for phase in (np.pi / 2, 0.0))
    return d, q


def with_poles(arc):
    return lambda depth, angle: np.where(np.abs(angle) < arc / 2, IRON, 1.0)


@pytest.mark.parametrize(("gap", "depth", "arc"), [(0.01, 0.1, 0.5), (0.03, 0.15, 0.35), (0.05, 0.1, 0.7)])
def test_salient_poles_have_the_permeances_of_finite_elements_and_of_the_laws(gap, depth, arc):
    P_d, P_q = permeances(gap, with_poles(arc), [arc / 2], depth=depth)
    exact = [permeance(salient(gap=gap, depth=depth, arc=arc), axis) for axis in "dq"]
    # The sharp edge of a pole, in cells of a sixth of the gap, costs some parts in a thousand.
    np.testing.assert_allclose([P_d, P_q], [axis.value for axis in exact], rtol=6e-3)
    poles = {"alpha": arc, "k": np.pi, "g_m": gap}
    h_d, h_q = (law(h_p=depth, **poles) for law in (saliency.d_axis_depth, saliency.q_axis_depth))
    assert P_d == pytest.approx(saliency.pole_d_axis_permeance(h_d=h_d, **poles), rel=0.04)  # as the law says of itself
    assert P_q == pytest.approx(saliency.pole_q_axis_permeance(h_q=h_q, **poles), rel=0.02)


@pytest.mark.parametrize(("number", "share"), [(2, 0.5), (3, 0.4)])
def test_barriers_have_the_permeances_of_finite_elements_and_of_the_laws(number, share):
    gap, pitch = 0.02, 1 / (2 * number + 1)
    middles = pitch * np.arange(1, number + 1)

    def nu(depth, angle):
        away = np.hypot(depth, 0.5 - np.abs(angle))
        return np.where((np.abs(away[..., None] - middles) < share * pitch / 2).any(axis=-1), 1.0, IRON)

    mouths = 0.5 - np.concatenate([middles - share * pitch / 2, middles + share * pitch / 2])
    found = permeances(gap, nu, mouths, size=2)
    exact = [permeance(barriers(gap=gap, number=number, share=share), axis) for axis in "dq"]
    # Round barriers in cells: their width, and with it P_q, is right within a cell in about twenty, evened out.
    assert found[0] == pytest.approx(exact[0].value, rel=5e-3)
    assert found[1] == pytest.approx(exact[1].value, rel=0.03)
    g_e = saliency.barrier_gap(g_m=gap, tau=1.0, n_b=number, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=np.pi, g_m=gap, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=np.pi, g_e=g_e, n_b=number, kappa_b=share, P_d=P_d)
    assert found[0] == pytest.approx(P_d, rel=0.015)
    assert found[1] == pytest.approx(P_q, rel=0.05)


# Magnets


def test_radial_magnetisation_is_the_current_it_stands_for():
    # M*cos(p*theta) along r is the current density p*M/r*sin(p*theta): many thin rings of constant density.
    p, M = 2, 8e5
    rims = np.array([1e-3, 0.024, 0.030, 0.032, 0.05])

    def sources(r, angle):
        return np.where((r > rims[1]) & (r < rims[2]), M * np.cos(p * angle), 0.0), 0.0

    field, row = solved(
        p, rims, [plain(1e-3), plain(1.0), plain(1.0), plain(IRON)], gap=2, sources=sources, loading=0.0
    )
    thin = np.linspace(rims[1], rims[2], 41)
    rings = [Ring(rims[1], relative_permeability=1e3)]
    rings += [Ring(b, current_density_peak=p * M / ((a + b) / 2)) for a, b in zip(thin, thin[1:], strict=False)]
    wave = rotating_wave(pole_pairs=p, frequency=0, speed=0, outside="iron", rings=[*rings, Ring(rims[3])])
    later = np.pi / (2 * p)  # cosine there, sine here
    exact = wave.field_at(rims[3], field.angles - later).A_z
    assert np.abs(field.own[row] - exact).max() < 2e-3 * np.abs(exact).max()


def test_block_magnets_have_the_fundamental_of_the_law_where_the_rotor_is_nearly_flat():
    p, arc, t, gap = 40, 0.7, 0.2, 0.1  # thickness and gap over the pole pitch
    pole = np.pi / p
    rims = np.exp(pole * np.array([-1.5, -t, 0.0, gap, gap + 0.7]))
    half = arc * pole / 2

    def sources(r, angle):
        inside = (r > rims[1]) & (r < rims[2]) & (np.abs(angle) < half)
        return np.where(inside, 1.2 / MU_0, 0.0), 0.0

    materials = [plain(IRON), plain(1.0), plain(1.0), plain(IRON)]
    field, row = solved(p, rims, materials, gap=2, edges=[half], sources=sources, loading=0.0)
    B = p / rims[3] * np.abs(fundamental(field, row, field.own)) * 2
    law = magnet.magnet_gap_field(B_r=1.2, k=np.pi, t=t, g_m=gap, alpha=arc)
    assert 0.98 < B / law < 1.0  # the magnets' middle lies 1.6 % of the radius inside the bore


def test_what_a_magnet_does_to_the_sheet_the_sheet_does_to_the_magnet():
    # The sheet's work on the magnets' potential is the magnetisation's work on the sheet's flux density, cell by cell.
    rims = np.array([0.01, 0.024, 0.030, 0.032, 0.05])
    random = np.random.default_rng(3)
    size = []

    def sources(r, angle):
        inside = (r > rims[1]) & (r < rims[2])
        size[:] = [np.where(inside, random.normal(size=(r.size, angle.size)), 0.0) for _ in range(2)]
        return size

    field, row = solved(3, rims, [plain(1e-3), plain(0.2), plain(1.0), plain(IRON)], gap=2, sources=sources)
    A, r, wide = field.potential(0.4) - field.own, field.radii, np.diff(field.angles)
    rows, columns = (A[1:] + A[:-1]) / 2, (A[:, 1:] + A[:, :-1]) / 2
    middle, tall = (r[1:] + r[:-1])[:, None] / 2, np.diff(r)[:, None]
    B_r, B_theta = np.diff(rows, axis=1) / wide / middle, -np.diff(columns, axis=0) / tall
    by_magnets = np.sum((size[0] * B_r + size[1] * B_theta) * middle * tall * wide)
    sheet = LOADING * np.cos(0.4 - 3 * field.angles) * field.own[row] * r[row]
    assert by_magnets == pytest.approx(np.sum((sheet[1:] + sheet[:-1]) / 2 * wide), rel=1e-9)


def test_nodes_pass_all_breaks_and_grow_from_the_corners_on():
    nodes = graded([0.0, 0.3, 1.0], [0.3], finest=0.01, coarsest=[0.05, 0.1])
    assert {0.0, 0.3, 1.0} <= set(nodes)
    steps = np.diff(nodes)
    corner = np.searchsorted(nodes, 0.3)
    assert 0.005 < steps[corner] < 0.015 and steps[:corner].max() < 0.055 and 0.06 < steps.max() < 0.11
    assert np.all(np.diff(steps[:corner]) < 1e-9) and np.all(np.diff(steps[corner:]) > -1e-9)
