"""Enamel, liner and skin effect: against tables, exact fields solved another way, and limits."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import solve_banded
from scipy.special import jve

from scaling.ground.materials import ENAMEL, PACKING, SLOT_LINER
from scaling.laws import geometry
from scaling.laws import wire as law
from scaling.laws.surface import bar_conductance, bar_leakage


def share(overall):
    """Return the copper share of a wire of an overall diameter in mm."""
    return law.wire_copper_share(d_i=1e-3 * np.asarray(overall), **ENAMEL)


# Enamel


def test_enamel_of_the_finest_wire_scales_with_it_and_of_thick_wire_with_the_root():
    fine, thick = np.array([1e-4, 1e-3]), np.array([10.0, 40.0])
    assert 1 - np.sqrt(share(fine)) == pytest.approx(ENAMEL["u_e"], rel=1e-3)
    build = (1 - np.sqrt(share(thick))) * thick
    assert build[1] / build[0] == pytest.approx(2, rel=1e-3)
    grid = share(np.geomspace(1e-3, 100, 200))
    assert (np.diff(grid) > 0).all() and grid[-1] < 1


# Packing and liner


def test_packing_of_ordered_wires_by_counting():
    """Circles of diameter 1 in a square of 40: rows above each other, and rows in each other's hollows."""
    side = 400
    rows = int((side - 1) / (np.sqrt(3) / 2)) + 1
    inside = {"square": side**2, "hexagonal": sum(side - i % 2 for i in range(rows))}
    for name, count in inside.items():
        assert count * np.pi / 4 / side**2 == pytest.approx(PACKING[name], rel=0.005)
    assert PACKING["random"] < PACKING["square"]


def slot(width, depth, liner, conductors):
    """Return (copper share of the slot, wire diameter over its enamel) of a slot; PACKING at random."""
    room = law.wire_room(w_u=width, d_s=depth, t_i=liner)
    d_i = law.overall_diameter(k_p=PACKING["random"], S_n=room, z_s=conductors)
    phi_w = law.wire_copper_share(d_i=d_i, **ENAMEL)
    given = {"k_p": PACKING["random"], "phi_w": phi_w, "w_u": width, "d_s": depth, "t_i": liner}
    return law.slot_copper_share(**given), d_i


@pytest.mark.parametrize(("width", "depth", "number"), [(6e-3, 20e-3, 40), (2e-3, 5e-3, 150), (0.9e-3, 3e-3, 12)])
def test_copper_share_is_the_copper_of_the_wires_over_the_slot(width, depth, number):
    found, d_i = slot(width, depth, SLOT_LINER, number)
    copper = number * np.pi / 4 * law.conductor_diameter(d_i=d_i, phi_w=law.wire_copper_share(d_i=d_i, **ENAMEL)) ** 2
    assert found == pytest.approx(copper / (width * depth), rel=1e-12)
    assert law.layer_copper_share(phi_n=found, phi_t=0.5) == pytest.approx(found / 2)
    assert law.slot_width(tau_u=2 * width, phi_t=0.5) == pytest.approx(width)


def test_fill_collapses_where_two_liners_meet():
    width = np.array([0.1, 0.3, 0.5, 0.52, 0.6, 1.0, 2.0, 5.0, 1000.0]) * 1e-3
    found, _ = slot(width, 3 * width, 0.25e-3, 50)
    assert (found[:3] == 0).all() and (np.diff(found[2:]) > 0).all()
    assert found[-1] == pytest.approx(PACKING["random"], rel=0.01)
    near = slot(np.array([0.501, 0.502]) * 1e-3, 5e-3, 0.25e-3, 1)[0]
    assert near[1] / near[0] == pytest.approx(2, rel=0.02)  # in proportion to the room that is left


def test_wire_thins_with_the_square_of_size_at_a_given_voltage():
    """Turns go with 1/(pole pitch*length), the room with both widths: the wire's diameter with size squared."""

    def wire(size):
        tau = geometry.pole_pitch(D=0.1 * size, p=2.0)
        turns = law.turns_per_phase(U=230.0, f=50.0, k_w=0.95, B=0.7, tau=tau, L=0.1 * size)
        number = law.conductors_per_slot(w_t=turns, p=2.0, c_q=3.0)
        room = law.wire_room(w_u=4e-3 * size, d_s=15e-3 * size, t_i=1e-12)
        return law.overall_diameter(k_p=0.6, S_n=room, z_s=number)

    assert wire(0.5) / wire(1.0) == pytest.approx(1 / 4)
    assert 0.5e-3 < wire(1.0) < 1.5e-3 and wire(0.1) < 20e-6  # mains on a rotor of 10 mm: wire that cannot be wound


def test_induced_voltage_of_the_turns():
    """Rate of change of the flux of a full-pitch turn, integrated over the pole."""
    flux = quad(lambda x: 0.7 * np.sin(np.pi * x / 0.08), 0, 0.08)[0] * 0.1
    turns = law.turns_per_phase(U=230.0, f=50.0, k_w=0.95, B=0.7, tau=0.08, L=0.1)
    assert turns * 0.95 * flux * 2 * np.pi * 50 / np.sqrt(2) == pytest.approx(230)


# Alternating current


def layers(depth_ratio, number, steps=4000):
    """Return the resistance factor of layers by finite differences: H'' = 2j*H (skin depth 1), H rises by 1 a layer."""
    loss, y = 0.0, np.linspace(0, depth_ratio, steps + 1)
    h = y[1]
    for layer in range(number):
        rows = np.zeros((3, steps - 1), dtype=complex)
        rows[0, 1:] = rows[2, :-1] = 1
        rows[1] = -2 - 2j * h**2
        right = np.zeros(steps - 1, dtype=complex)
        right[0], right[-1] = -layer, -(layer + 1)
        H = np.concatenate([[layer], solve_banded((1, 1), rows, right), [layer + 1]])
        loss += np.sum(np.abs(np.diff(H)) ** 2) / h
    return loss / (number / depth_ratio)


def test_one_layer_is_the_deep_bar_of_the_cage():
    form = {"phi_r": 0.5, "k": 40.0, "t": 0.01}
    for z in (0.2, 1.0, 3.0):
        impedance = 2 * z**2 * 0.5 / (40.0 * 0.01) / (bar_conductance(z_b=z, **form) - 1j * bar_leakage(z_b=z, **form))
        assert layers(z, 1) == pytest.approx(impedance.real, rel=1e-4)


def test_strands_are_many_layers_of_little_height():
    """Square wires of the area of round ones, m**2/9*z**4: Dowell's approximation is 5 % above the exact round wire."""
    d_w, delta, depth, rows, columns, width = 0.5e-3, 3e-3, 0.02, 30, 8, 6e-3
    phi_n = rows * columns * np.pi / 4 * d_w**2 / (width * depth)
    side = np.sqrt(np.pi) / 2 * d_w
    bars = layers(side * np.sqrt(columns * side / width) / delta, rows) - 1
    strands = law.strands_resistance_factor(d_w=d_w, phi_n=phi_n, d_s=depth, delta=delta) - 1
    assert bars / strands == pytest.approx(np.pi / 3, rel=2e-3)


@pytest.mark.parametrize(("ratio", "high"), [(0.25, 0.001), (0.5, 0.01), (1.0, 0.12)])
def test_strands_against_a_round_wire_in_a_cross_field(ratio, high):
    """Exact eddy loss per length 2*pi*rho*H**2*abs(Re(z*J1(z)/J0(z))) (textbook), over the slot's mean square field."""
    rho, delta, phi_n, depth = 2e-8, 2e-3, 0.4, 0.03
    d_w = 2 * ratio * delta
    z = (1 - 1j) * ratio
    current, width = 1.0, 5e-3
    number = phi_n * width * depth / (np.pi / 4 * d_w**2)
    mean_square = (number * current / width) ** 2 / 3
    eddy = 2 * np.pi * rho * mean_square * abs((z * jve(1, z) / jve(0, z)).real)
    exact = eddy / (rho * current**2 / 2 / (np.pi / 4 * d_w**2))
    found = law.strands_resistance_factor(d_w=d_w, phi_n=phi_n, d_s=depth, delta=delta) - 1
    assert 0 <= found / exact - 1 < high
