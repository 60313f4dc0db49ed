"""Centrifugal stress: against the equations of elasticity, equilibrium, finite elements, printed values and limits."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, LinearForm, MeshQuad
from skfem.helpers import ddot, sym_grad, trace

from scaling.ground.materials import BOND_STRENGTH, OVERSPEED, STRENGTHS
from scaling.laws import geometry
from scaling.laws import strength as law

NU = 0.3


# Discs and rings


def disc(bore, nu):
    """Return radii and hoop stress over rho*v**2 of a disc of radius 1, by solving the equilibrium of plane stress.

    Unknown are the radial displacement and the radial stress (modulus and density 1).
    """

    def slope(r, y):
        u, radial = y
        hoop = u / r + nu * radial
        return np.vstack([(radial * (1 - nu**2) - nu * u / r), (hoop - radial) / r - r])

    r = np.linspace(bore, 1, 400)
    solved = solve_bvp(slope, lambda a, b: np.array([a[1], b[1]]), r, np.zeros((2, r.size)), tol=1e-8)
    assert solved.success
    return solved.x, solved.y[0] / solved.x + nu * solved.y[1]


@pytest.mark.parametrize("bore", [0.05, 0.2, 0.6, 0.9])
@pytest.mark.parametrize("nu", [0.2, 0.35])
def test_bored_disc_has_its_largest_stress_at_the_bore(bore, nu):
    r, hoop = disc(bore, nu)
    assert hoop.argmax() == 0
    assert law.bored_disc_coefficient(nu_p=nu, D_b=bore, D=1.0) == pytest.approx(hoop[0], rel=1e-4)
    assert np.trapezoid(hoop, r) == pytest.approx((1 - bore**3) / 3, rel=1e-4)  # equilibrium of half the disc


def test_thin_ring_pin_hole_and_solid_disc():
    solid = law.solid_disc_coefficient(nu_p=NU)
    assert law.bored_disc_coefficient(nu_p=NU, D_b=1.0, D=1.0) == pytest.approx(1.0)
    assert law.bored_disc_coefficient(nu_p=NU, D_b=1e-9, D=1.0) == pytest.approx(2 * solid)


@pytest.mark.parametrize("nu", [0.2, 0.3, 0.4])
def test_long_body_is_in_plane_strain(nu):
    """Timoshenko and Goodier's long cylinder with free ends: (3 - 2*nu)/(8*(1 - nu)) at the centre (from memory)."""
    plane = law.long_body_poisson_ratio(nu_p=nu)
    assert law.solid_disc_coefficient(nu_p=plane) == pytest.approx((3 - 2 * nu) / (8 * (1 - nu)))


# Segments on a hub


@pytest.mark.parametrize("t", [0.01, 0.1, 0.3])
def test_bond_carries_a_segment(t):
    """Equilibrium of a sector of a small angle: mass times acceleration over the inner face; radius 1."""
    pull = quad(lambda r: r * r, 1 - t, 1)[0] / (1 - t)
    assert law.bond_coefficient(t=t, D=2.0) == pytest.approx(pull, rel=1e-9)


@pytest.mark.parametrize(("t", "t_n"), [(0.1, 0.02), (0.2, 0.1), (0.02, 0.2)])
def test_band_carries_segments_and_itself(t, t_n):
    """Half the rotor hangs on the band's two cuts: integral of density*r**2*sin(angle) over the half ring."""
    own, segments = 1600.0, 7500.0
    half = 2 * (own * quad(lambda r: r * r, 1 - t_n, 1)[0] + segments * quad(lambda r: r * r, 1 - t_n - t, 1 - t_n)[0])
    found = law.band_coefficient(t=t, t_n=t_n, D=2.0, rho_b=own, rho_m=segments)
    assert found == pytest.approx(half / (2 * t_n * own), rel=1e-9)


def test_thin_bands_bonds_and_bands_alone():
    thin = {"t": 1e-4, "D": 1.0}
    assert law.bond_coefficient(**thin) == pytest.approx(2e-4, rel=1e-3)
    assert law.band_coefficient(t_n=1e-4, rho_b=1600.0, rho_m=7500.0, **thin) == pytest.approx(1 + 75 / 16, rel=1e-3)
    alone = law.band_coefficient(t=1e-12, t_n=0.1, D=1.0, rho_b=1.0, rho_m=1.0)
    assert alone == pytest.approx(np.trapezoid(disc(0.8, NU)[1], disc(0.8, NU)[0]) / 0.2, rel=1e-3)


# Ribs of a rotor with flux barriers, against finite elements. Circles that cross the rotor's surface at right angles
# are circles about the origin of a half plane, w = (1 - z)/(1 + z): there the mesh is a grid, log(abs(z)) by angle.


@BilinearForm
def stiffness(u, v, w):
    """Plane stress, modulus 1."""
    return NU / (1 - NU**2) * trace(sym_grad(u)) * trace(sym_grad(v)) + ddot(sym_grad(u), sym_grad(v)) / (1 + NU)


@LinearForm
def inertia(v, w):
    """Density 1, angular speed 1."""
    return w.x[0] * v[0] + w.x[1] * v[1]


def half_plane(w):
    return (1 - w) / (1 + w)


def graded(*parts):
    """Return edges: (start, end, number) one after the other."""
    return np.unique(np.concatenate([np.linspace(start, end, number + 1) for start, end, number in parts]).round(12))


def quarter(beta, kappa, number, t):
    """Return (mesh, log(abs(z)) of its elements, that of the innermost mouth's edges): a quarter of a two-pole rotor.

    The radius is 1. Mesh lines follow the barriers, and ribs of even thickness.
    """
    pitch = beta / number
    mouths = [np.log(np.tan((i + np.array([-1, 1]) * kappa / 2) * pitch / 2)) for i in range(1, number + 1)]
    edges = np.concatenate(mouths)
    first, last = edges[0], edges[-1]
    grid = graded(
        (first - 5, first - 0.5, 14),
        (first - 0.5, first, 8),
        *((a, b, 8) for a, b in zip(edges, edges[1:], strict=False)),
        (last, 0.8 * last, 8),
        (0.8 * last, 0, 10),
    )
    thick = thickness(t, first)
    mesh = MeshQuad.init_tensor(grid, graded((0, 1 - 6 * thick, 12), (1 - 6 * thick, 1 - thick, 10), (1 - thick, 1, 4)))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    slots = np.any([(middle[0] > a) & (middle[0] < b) for a, b in mouths], axis=0) & (middle[1] < 1 - thick)
    mesh = mesh.remove_elements(np.flatnonzero(slots))
    rib, depth = thickness(t, np.clip(mesh.p[0], first, last)), 1 - mesh.p[1]
    inside = rib + (depth - thick) / (1 - thick) * (np.pi / 2 - rib)
    angle = np.pi / 2 - np.where(depth <= thick * (1 + 1e-9), depth / thick * rib, inside)
    w = half_plane(np.exp(mesh.p[0] - 1j * angle))
    return MeshQuad(np.array([w.real, w.imag]), mesh.t), mesh.p[0, mesh.t].mean(axis=0), mouths[-1]


def thickness(t, size):
    """Return the angle of z that a rib of thickness t takes at log(abs(z))."""
    return t / np.sin(2 * np.arctan(np.exp(size)))


def rib_by_elements(beta, kappa, number, t):
    """Return the mean stress over rho*v**2 across the middle of a rib of the innermost barrier."""
    mesh, place, (low, high) = quarter(beta, kappa, number, t)
    element = ElementVector(ElementQuad2())
    basis = Basis(mesh, element, intorder=5)
    held = [basis.get_dofs(lambda x, i=i: np.abs(x[i]) < 1e-9).all([f"u^{i + 1}"]) for i in (0, 1)]
    free = np.setdiff1d(np.arange(basis.N), np.concatenate(held))
    u, stiff = np.zeros(basis.N), stiffness.assemble(basis)
    u[free] = spsolve(stiff[free][:, free].tocsc(), inertia.assemble(basis)[free])
    along_x = np.isin(np.arange(basis.N), basis.get_dofs(elements=np.arange(mesh.nelements)).all(["u^1"]))
    x, y = basis.doflocs
    z = half_plane(x - 1j * y)

    # What holds the part outside a cut through the rib: the nodes' forces that its own elements leave unbalanced.
    cut = (low + high) / 2
    part = Basis(mesh, element, elements=np.flatnonzero(place < cut - 1e-9), intorder=5)
    force = stiffness.assemble(part) @ u - inertia.assemble(part)
    rib = thickness(t, cut)
    near = (np.abs(np.log(np.abs(z) + 1e-300) - cut) < 1e-3) & (np.angle(z) > np.pi / 2 - 1.02 * rib)
    centre = half_plane(np.exp(cut - 1j * (np.pi / 2 - rib / 2)))
    pull = force[near & along_x].sum() + 1j * force[near & ~along_x].sum()
    return (pull * (1j * centre / np.abs(centre)).conjugate()).real / t


FORMS = [  # half angle, barrier share, barriers, rib thickness over the radius
    (0.524, 0.3, 1, 0.01),
    (0.524, 0.5, 1, 0.02),
    (0.262, 0.3, 1, 0.02),
    (0.628, 0.3, 2, 0.02),
    (0.628, 0.5, 2, 0.005),
    (0.673, 0.4, 3, 0.01),
    (0.337, 0.4, 3, 0.01),
    (0.698, 0.3, 4, 0.02),
]


@pytest.mark.parametrize(("beta", "kappa", "number", "t"), FORMS)
def test_rib_against_finite_elements(beta, kappa, number, t):
    pull = rib_by_elements(beta, kappa, number, t)
    form = {"beta_r": beta, "kappa_b": kappa, "n_b": number, "D": 2.0, "t_r": t}
    assert 1 <= law.rib_pull_coefficient(**form) / pull < (1.45 if beta > 0.5 else 2.2)


def test_rib_of_a_narrow_segment_carries_half_a_disc():
    """Lens of a small angle: half a disc of radius beta at radius 1, force pi/2*beta**2, on two ribs at an angle."""
    beta = 1e-4
    pull = law.rib_pull_coefficient(beta_r=beta, kappa_b=1e-9, n_b=1.0, D=2.0, t_r=1e-6)
    assert pull == pytest.approx(np.pi / 2 * beta**2 / (2 * np.sin(beta) * 1e-6), rel=1e-3)


def test_iron_of_the_lens_by_integration():
    """First moment of the rotor inside the barrier's circle, centre 1/cos(beta), radius tan(beta)."""
    beta = 0.6

    def strip(x):
        return 2 * x * np.sqrt(max(min(1 - x * x, np.tan(beta) ** 2 - (x - 1 / np.cos(beta)) ** 2), 0.0))

    moment = quad(strip, 1 / np.cos(beta) - np.tan(beta), 1, points=[np.cos(beta)])[0]
    pull = law.rib_pull_coefficient(beta_r=beta, kappa_b=1e-12, n_b=1.0, D=2.0, t_r=0.01)
    assert pull == pytest.approx(moment / (2 * np.sin(beta) * 0.01), rel=1e-6)


def test_ribs_and_barriers_share_the_pole_pitch():
    """Two half angles of ribs, and the iron between two poles, make up a pole."""
    p, number, D = 3.0, 4.0, 0.2
    tau = geometry.pole_pitch(D=D, p=p)
    beta = law.rib_half_angle(p=p, n_b=number)
    assert D * beta + tau / (2 * number + 1) == pytest.approx(tau)


# Speed limits


def test_limit_is_where_the_overspeed_reaches_the_proof_stress():
    steel = STRENGTHS["electrical sheet"]
    c_v = law.solid_disc_coefficient(nu_p=steel.poisson_ratio)
    limit = law.rim_speed_limit(c_v=c_v, rho_b=steel.density, sigma_p=steel.proof_stress, n_o=OVERSPEED)
    at_test = law.centrifugal_stress(c_v=c_v, rho_b=steel.density, v_r=OVERSPEED * limit)
    assert at_test == pytest.approx(steel.proof_stress)


def test_rim_speed_limit_does_not_depend_on_size_until_the_rib_stops_shrinking():
    def limit(D, t_r):
        form = {"beta_r": law.rib_half_angle(p=2.0, n_b=3.0), "kappa_b": 0.4, "n_b": 3.0}
        c_v = law.rib_pull_coefficient(D=D, t_r=t_r, **form)
        return law.rim_speed_limit(c_v=c_v, rho_b=7700.0, sigma_p=300e6, n_o=1.2)

    assert limit(0.1, 0.5e-3) == pytest.approx(limit(1e-3, 5e-6))
    assert limit(0.02, 0.3e-3) > 1.5 * limit(0.2, 1e-3)  # a floor of 0.3 mm: 1.5 % of the small one's diameter


def test_order_of_the_materials():
    """A plain sheet rotor outruns cast cages and rings of magnet; these values are from memory, so only the order."""

    def ring(name):
        part = STRENGTHS[name]
        c_v = law.bored_disc_coefficient(nu_p=part.poisson_ratio, D_b=0.9, D=1.0)
        return law.rim_speed_limit(c_v=c_v, rho_b=part.density, sigma_p=part.proof_stress, n_o=OVERSPEED)

    assert ring("carbon fibre band") > ring("hardened steel") > ring("electrical sheet")
    assert ring("electrical sheet") > ring("aluminium") > ring("copper") > 60
    assert ring("sintered neodymium") > ring("cast AlNiCo 5") > 50
    thin = law.bond_coefficient(t=0.02, D=1.0)
    glued = law.rim_speed_limit(c_v=thin, rho_b=7500.0, sigma_p=BOND_STRENGTH, n_o=OVERSPEED)
    assert glued > ring("sintered neodymium")  # segments glued on stand more than a ring that must hold itself
