"""Heat inside a machine: each resistance against a closed form, a sum or finite elements."""

import numpy as np
import pytest
from scipy.integrate import quad
from skfem import Basis, BilinearForm, ElementQuad2, Functional, LinearForm, MeshQuad, asm, condense, solve
from skfem.helpers import dot, grad

from scaling.ground.materials import CONDUCTORS
from scaling.laws import thermal as law
from scaling.models.thermal_parts import liner_thickness

SLOT = {"w_u": 6e-3, "d_s": 18e-3, "t_i": 0.25e-3, "lambda_w": 0.9, "tau_u": 12e-3, "S_b": 0.05}
LINER = 0.2  # W/(m K)


def length(slot):
    """Return the length of all slots, end to end [m]."""
    return slot["S_b"] / slot["tau_u"]


def parallel(*resistances):
    return 1 / sum(1 / R for R in resistances)


def walls(slot, lambda_i=LINER):
    """Return the resistance from the winding to sides and bottom of its slots."""
    side = law.slot_side_resistance(**slot, lambda_i=lambda_i)
    return parallel(side, law.slot_bottom_resistance(**slot, lambda_i=lambda_i))


# Slot


def test_a_slab_with_uniform_heat():
    # Mean rise q w^2/12 lambda, and half the heat through each liner.
    w, d = SLOT["w_u"] - 2 * SLOT["t_i"], SLOT["d_s"] - 2 * SLOT["t_i"]
    q = 1 / (w * d * length(SLOT))
    mean, _ = quad(lambda x: q * x * (w - x) / (2 * SLOT["lambda_w"]) / w, 0.0, w)
    liner = 0.5 / (d * length(SLOT)) * SLOT["t_i"] / LINER
    assert law.slot_side_resistance(**SLOT, lambda_i=LINER) == pytest.approx(mean + liner, rel=1e-12)
    assert law.slot_slab_resistance(**SLOT) == pytest.approx(mean, rel=1e-12)


def series(w, d):
    """Return the mean rise of a rectangle over q/lambda, sides and bottom cold, top closed: the exact double series."""
    m, n = np.meshgrid(np.arange(1, 400, 2), np.arange(1, 400, 2))  # the top is the middle of a slot twice as deep
    return np.sum(64 / (np.pi**6 * m**2 * n**2 * ((m / w) ** 2 + (n / (2 * d)) ** 2)))


@pytest.mark.parametrize(("w_over_d", "within"), [(0.05, 0.01), (0.2, 0.01), (0.5, 0.01), (1.0, 0.015), (2.0, 0.085)])
def test_a_slot_without_liner_against_the_exact_series(w_over_d, within):
    w, d = w_over_d * 0.01, 0.01
    slot = SLOT | {"w_u": w, "d_s": d, "t_i": 0.0}
    exact = series(w, d) / slot["lambda_w"] / (w * d * length(slot))
    assert walls(slot) == pytest.approx(exact, rel=within)


def finite_element_slot(slot, lambda_i, cells=24):
    """Return the mean rise of the winding for one watt in all slots: half a slot with its liner, top closed."""
    w, d, t = slot["w_u"], slot["d_s"], slot["t_i"]
    x = np.unique(np.r_[np.linspace(0, t, 5), np.linspace(t, w / 2, cells)])
    y = np.unique(np.r_[np.linspace(0, t, 5), np.linspace(t, d - t, 2 * cells), np.linspace(d - t, d, 5)])
    mesh = MeshQuad.init_tensor(x, y)
    basis = Basis(mesh, ElementQuad2())

    def inside(at):
        return ((at[0] > t) & (at[1] > t) & (at[1] < d - t)).astype(float)

    def conducts(at):
        return np.where(inside(at) > 0, slot["lambda_w"], lambda_i)

    stiffness = asm(BilinearForm(lambda u, v, at: conducts(at.x) * dot(grad(u), grad(v))), basis)
    heat = asm(LinearForm(lambda v, at: inside(at.x) * v), basis)
    cold = basis.get_dofs(lambda at: np.isclose(at[0], 0.0) | np.isclose(at[1], 0.0)).all()
    rise = solve(*condense(stiffness, heat, D=cold))
    area = asm(Functional(lambda at: inside(at.x)), basis)
    return heat @ rise / area / (2 * area * length(slot))


@pytest.mark.parametrize(
    ("change", "within"),
    [
        ({}, 0.03),
        ({"lambda_w": 0.3}, 0.02),
        ({"w_u": 3e-3, "t_i": 0.3e-3}, 0.03),
        ({"w_u": 12e-3}, 0.03),
        ({"w_u": 20e-3, "d_s": 12e-3}, 0.06),
    ],
)
def test_a_slot_with_liner_against_finite_elements(change, within):
    slot = SLOT | change
    assert walls(slot) == pytest.approx(finite_element_slot(slot, LINER), rel=within)


def test_liners_from_small_slots_to_large_ones():
    assert liner_thickness(np.array([20e-6, 60e-6, 1e-3, 10e-3])) == pytest.approx([5e-6, 10e-6, 0.1e-3, 0.25e-3])


# Wires


def test_conductors_against_tables():
    # Handbooks, from memory: copper 401, aluminium 237 W/(m K) at 300 K.
    for name, table in (("copper", 401), ("aluminium", 237)):
        metal = CONDUCTORS[name]
        rho = (1 + metal.temperature_coefficient * 6.85) / metal.conductivity
        assert law.conductor_conductivity(rho=rho, T=300.0) == pytest.approx(table, rel=0.08)


def test_wires_in_resin_between_their_limits():
    def across(phi, metal=400.0):
        return law.winding_conductivity(lambda_d=metal, lambda_r=0.2, phi_n=phi)

    assert across(0.0) == pytest.approx(0.2, rel=1e-12)
    assert across(1.0) == pytest.approx(400.0, rel=1e-12)
    assert across(0.3, metal=0.2) == pytest.approx(0.2, rel=1e-12)
    assert across(0.01) == pytest.approx(0.2 * (1 + 2 * 0.01), rel=2e-3)  # every wire alone in its field
    # Rayleigh's square of wires (1892, next term): 0.3058 phi^4 is what Maxwell's leaves out.
    phi = 0.5
    rayleigh = 0.2 * (1 + 2 * phi / (1 - phi - 0.3058 * phi**4))
    assert across(phi, metal=1e9) == pytest.approx(rayleigh, rel=0.04)


# Along the conductors


def along(e, u, cells=4000):
    """Return (mean of end turns, mean in slots) where each of both has its share of one watt, by differences.

    A conductor from the middle of the core (0) through its end (1) to the middle of the end turn (1 + e); its walls
    pass 1/R over the core for R = 1, so that half the core's length over the decay length is ``u``.
    """
    step = 1.0 / cells
    n = cells + round(e * cells)
    at = (np.arange(n) + 0.5) * step
    core = at < 1
    conducts = 1 / (u**2 * step)  # between neighbours, for walls of conductance 1 along the core
    matrix = np.diag(np.where(core, step, 0.0))
    i = np.arange(n - 1)
    matrix[i, i] += conducts
    matrix[i + 1, i + 1] += conducts
    matrix[i, i + 1] -= conducts
    matrix[i + 1, i] -= conducts
    rise = np.linalg.solve(matrix, np.full(n, 1 / n))
    return rise[~core].mean(), rise[core].mean()


@pytest.mark.parametrize(("e", "u"), [(0.5, 0.3), (1.0, 1.5), (2.0, 4.0)])
def test_slots_and_end_turns_as_a_fin(e, u):
    # u = L/sqrt(4 R a) with a the conductance of a unit length of all conductors: R = 1, L = 2, a = 1/u^2.
    a = 1 / u**2
    bar = {"lambda_d": a, "phi_s": 0.5, "d_s": 2.0, "S_b": 1.0, "L": 2.0}
    assert law.conductor_fin_number(R_h=1.0, **bar) == pytest.approx(u)
    entry = law.slot_end_resistance(R_h=1.0, u_n=u)
    turns = law.end_turn_resistance(e=e, **bar)
    in_ends = e / (1 + e)
    ends, slots = along(e, u, cells=1500)
    assert slots == pytest.approx(1.0, rel=1e-6)  # all heat leaves by the walls of the slots
    assert ends == pytest.approx(1.0 + in_ends * (entry + turns), rel=2e-3)


# Core


def test_tooth_and_yoke():
    tooth = {"d_s": 20e-3, "lambda_c": 28.0, "k_s": 0.96, "phi_t": 0.5, "S_b": 0.05}
    face = 28.0 * 0.96 * 0.5 * 0.05
    mean, _ = quad(lambda x: (20e-3 * x - x**2 / 2) / 20e-3 / face / 20e-3, 0.0, 20e-3)  # root cold, uniform heat
    assert law.tooth_resistance(**tooth) == pytest.approx(mean, rel=1e-12)
    whole = law.tooth_resistance(**tooth) + law.tooth_tip_resistance(**tooth)
    assert whole == pytest.approx(20e-3 / face, rel=1e-12)
    inner, outer = 80e-3, 105e-3
    wall, _ = quad(lambda r: 1 / (2 * np.pi * r * 0.12 * 28.0 * 0.96), inner, outer)
    found = law.yoke_resistance(D_o=2 * outer, y=outer - inner, L=0.12, lambda_c=28.0, k_s=0.96)
    assert found == pytest.approx(wall, rel=1e-12)


def test_a_thin_seat_is_a_film():
    found = law.seat_resistance(t_a=0.03e-3, lambda_f=0.028, D_o=0.2, L=0.12)
    film = 0.03e-3 / 0.028 / (np.pi * 0.2 * 0.12)
    assert found == pytest.approx(film, rel=1e-12)


def test_seats_grow_as_tolerances_do():
    # Grade 7 of ISO 286-1, from memory: µm up to a diameter in mm; each range by its geometric mean.
    table = {(6, 10): 15, (18, 30): 21, (50, 80): 30, (120, 180): 40, (315, 400): 57, (400, 500): 63}
    for (low, high), width in table.items():
        found = law.made_seat(t_b=35e-6, D_1=0.098, D_o=np.sqrt(low * high) * 1e-3)
        assert found == pytest.approx(width * 1e-6, rel=0.06)


# Rotor and inner air


def test_gap_at_rest_conducts_and_then_whirls():
    taylor = law.taylor_number(v_r=np.array([0.0, 1.0, 10.0, 30.0]), D=0.1, g=0.4e-3, nu_f=2e-5)
    nusselt = law.gap_nusselt_number(Ta=taylor)
    assert nusselt[0] == 2.0  # the layer's own conductance, referred to twice its thickness
    assert np.all(np.diff(nusselt) >= 0)
    at = np.array([1700.0, 1e4])  # pieces meet there, to the digits of their constants
    assert 0.128 * at[0] ** 0.367 == pytest.approx(2.0, rel=0.02)
    assert 0.128 * at[1] ** 0.367 == pytest.approx(0.409 * at[1] ** 0.241, rel=0.02)


def test_the_taylor_number_is_that_of_the_angular_speed():
    D, g, nu, speed = 0.1, 0.5e-3, 2e-5, 157.0
    taylor = speed**2 * (D / 2) * g**3 / nu**2
    assert law.taylor_number(v_r=speed * D / 2, D=D, g=g, nu_f=nu) == pytest.approx(taylor, rel=1e-12)


def test_inner_air_conducts_at_rest_in_small_machines():
    h = law.inner_coefficient(h_i=0.0, v_r=0.0, v_i=1.0, lambda_f=0.028, d_s=1e-4)
    assert h == pytest.approx(280.0)
    assert law.inner_coefficient(h_i=15.5, v_r=10.0, v_i=1 / 0.29, lambda_f=0.0, d_s=1.0) == pytest.approx(60.45)


def test_areas_are_those_of_their_solids():
    # A tube: both cylinders and one end face, twice.
    D_i, d, l_e = 0.1, 0.02, 0.03
    tube = 2 * (np.pi * D_i * l_e + np.pi * (D_i + 2 * d) * l_e + np.pi * ((D_i + 2 * d) ** 2 - D_i**2) / 4)
    assert law.end_winding_area(D_i=D_i, d_s=d, l_e=l_e) == pytest.approx(tube, rel=1e-12)
    assert law.inner_frame_area(D_o=0.2, l_e=l_e) == pytest.approx(2 * (np.pi * 0.04 / 4 + np.pi * 0.2 * l_e))
    assert law.rotor_end_area(D=0.1, l_e=l_e) == pytest.approx(2 * (np.pi * 0.01 / 4 + np.pi * 0.1 * l_e / 2))
    rods = 0.5 * (l_e + 0.03) / (45.0 * np.pi * 0.03**2 / 4)
    assert law.shaft_resistance(lambda_s=45.0, D_s=0.03, l_e=l_e) == pytest.approx(rods, rel=1e-12)


def test_every_resistance_of_conduction_halves_as_lengths_double():
    """Conduction in similar bodies: resistance over one length; films that stay as thick, over an area."""
    double = {name: 2 * SLOT[name] for name in ("w_u", "d_s", "t_i", "tau_u")} | {"S_b": 4 * SLOT["S_b"]}
    assert walls(SLOT) / walls(SLOT | double) == pytest.approx(2.0, rel=1e-12)
    tooth = {"lambda_c": 28.0, "k_s": 0.96, "phi_t": 0.5}
    small, large = law.tooth_resistance(d_s=0.02, S_b=0.05, **tooth), law.tooth_resistance(d_s=0.04, S_b=0.2, **tooth)
    assert small / large == pytest.approx(2.0, rel=1e-12)
    seat = [law.seat_resistance(t_a=3e-5, lambda_f=0.028, D_o=D, L=D) for D in (0.1, 0.2)]
    assert seat[0] / seat[1] == pytest.approx(4.0, rel=1e-12)
