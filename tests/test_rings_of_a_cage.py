"""End windings and end rings: currents of a ring's plate solved apart, and what is counted of overhang and rings."""

import math

import numpy as np
import pytest
from briefs import brief
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve

from scaling import choose
from scaling.decision.curve import remade
from scaling.laws import geometry
from scaling.machines.stator import round_stator

# The ring


def solved_ring_loss(k, w_e, sigma, t, cells=(160, 240)):
    """Return the loss of a flat plate per length round it that takes up a current K*cos(k*x) along one edge, K = 1 A/m.

    Laplace's equation of the potential by finite differences over half a wave length, insulated at its other edge.
    """
    across, along = cells
    h_x, h_y = math.pi / k / along, w_e / across
    at = np.arange(across * along).reshape(across, along)
    rows, columns, values = [], [], []
    for a, b, conductance in (
        (at[:, :-1], at[:, 1:], sigma * t * h_y / h_x),
        (at[:-1], at[1:], sigma * t * h_x / h_y),
    ):
        a, b = a.ravel(), b.ravel()
        rows += [a, b, a, b]
        columns += [a, b, b, a]
        values += [np.full(a.size, sign * conductance) for sign in (1, 1, -1, -1)]
    rows, columns, values = (np.concatenate(part) for part in (rows, columns, values))
    edges = np.linspace(0.0, math.pi, along + 1)
    current = np.zeros(across * along)
    current[at[0]] = np.diff(np.sin(edges)) / k  # exactly what each cell takes up
    keep = np.arange(1, across * along)  # one potential is zero
    matrix = csr_matrix((values, (rows, columns)), shape=(current.size, current.size))[keep][:, keep]
    potential = np.concatenate([[0.0], spsolve(matrix, current[keep])])
    inside = potential @ current
    half_cell = np.sum(current**2) / (sigma * t * h_x) * h_y / 2  # from the edge to the middles of the first cells
    return (inside + half_cell) / (math.pi / k)


@pytest.mark.parametrize("width", [0.1, 0.5, 1.0, 2.0, 6.0])
def test_ring_loss_is_that_of_a_plate_with_a_free_edge(width):
    """Two rings over the bars: these carry the same current density K/(phi_r*t) over the length of the core."""
    k, sigma, t, L, share = 40.0, 5e7, 4e-3, 0.1, 0.45
    bars = L / (2 * sigma * share * t)  # mean of cos**2 over a wave
    found = 2 * solved_ring_loss(k, width / k, sigma, t) / bars
    assert geometry.end_ring_share(phi_r=share, k=k, L=L, w_e=width / k) == pytest.approx(found, rel=2e-3)


def test_limits_of_a_ring():
    given = {"phi_r": 0.5, "k": 40.0, "L": 0.1}
    wide = geometry.end_ring_share(w_e=1.0, **given)
    assert wide == pytest.approx(2 * 0.5 / (40.0 * 0.1), rel=1e-9), "1/k wide where there is room"
    # A thin ring carries all of the current of a pole: round it K/k*sin over its section, loss K**2/(2*k**2*s*t*w).
    narrow = geometry.end_ring_share(w_e=1e-5, **given)
    assert narrow == pytest.approx(2 * 0.5 / (40.0**2 * 1e-5 * 0.1), rel=1e-6)
    widths = np.geomspace(1e-4, 0.3, 60)
    assert np.all(np.diff(geometry.end_ring_share(w_e=widths, **given)) < 0)


@pytest.mark.parametrize("form", ["cage", "sheet"])
@pytest.mark.parametrize("size", ["20 mm", "200 mm"])
def test_rings_stand_under_the_end_winding_and_count_in_mass_alone(form, size):
    choice = choose(brief(rotor_diameter=size, induction_rotor=form, starting_cage="none"))
    design, point = choice["induction"], remade(choice, "induction")
    D, stator = design.rotor_diameter.m, point.stator
    overhang = (design.overall_length.m - design.active_length.m) / 2
    assert 0 < design.end_ring_width.m <= min(0.2 * D, overhang) * (1 + 1e-12)
    lip = 0.0 if form == "sheet" else stator.tip.item()
    area = math.pi / 4 * ((D - 2 * lip) ** 2 - (D - 2 * design.rotor_thickness.m) ** 2)
    rings = 2 * design.end_ring_width.m * area * point.properties["density"].item()
    assert design.mass.m - stator.mass.item() == pytest.approx(rings, rel=1e-9)
    assert stator.inertia.item() == pytest.approx(7700 * math.pi / 32 * D**4 * design.active_length.m, rel=1e-9)
    for other in ("hysteresis", "reluctance", "magnet"):
        made = remade(choice, other)
        assert choice[other].mass.m == pytest.approx(made.stator.mass.item(), rel=1e-12)
        assert math.isnan(choice[other].end_ring_width.m)


def test_wider_rings_cost_less_and_weigh_more():
    wide, narrow = (choose(brief(end_ring_ratio=ratio, pole_pairs=1))["induction"] for ratio in (0.2, 0.03))
    assert wide.torque.m > narrow.torque.m and wide.volume.m == pytest.approx(narrow.volume.m, rel=1e-12)
    assert narrow.end_ring_width.m <= 0.03 * 0.02 * (1 + 1e-12) < wide.end_ring_width.m


# Overhang


def test_the_end_winding_lengthens_the_machine_and_cools_it():
    given = {"end_overhang_ratio": 0.4, "end_clearance_ratio": 0.1}
    si = brief(rotor_diameter="100 mm", active_length="80 mm", gap_floor="1 mm", **given).si
    found = round_stator(si, np.array([0.1]), np.array([[1.0], [2.0], [8.0]]))
    pitch = math.pi * 0.102 / (2 * np.array([[1.0], [2.0], [8.0]]))
    length = 0.08 + 2 * (0.4 * pitch + 0.1 * 0.1)
    outside = 1.7 * 0.102
    np.testing.assert_allclose(found.length, length, rtol=1e-12)
    np.testing.assert_allclose(found.volume, math.pi / 4 * outside**2 * length, rtol=1e-12)
    np.testing.assert_allclose(found.outside_area, math.pi * outside * length + math.pi * outside**2 / 2, rtol=1e-12)
    np.testing.assert_allclose(found.area, math.pi * 0.102 * 0.08, rtol=1e-12)


def test_a_longer_overhang_fills_more_volume_and_passes_more_heat():
    short, long = (choose(brief(end_overhang_ratio=ratio, pole_pairs=2, starting_cage="none")) for ratio in (0.2, 0.6))
    for kind in short.designs:
        a, b = short[kind], long[kind]
        assert b.volume.m > a.volume.m and b.torque.m > a.torque.m
        if kind != "induction":  # whose rings have more room, too
            assert b.mass.m == pytest.approx(a.mass.m, rel=1e-12), "the end turns are as long as end_turn_ratio says"


# Stacking


def test_the_stacking_factor_thins_iron_in_every_limit_in_mass_and_raises_its_heat():
    from scaling.machines.fed import feed

    full, thin = (
        round_stator(brief(rotor_diameter="100 mm", stacking_factor=k).si, np.array([0.1]), np.array([[2.0]]))
        for k in (1.0, 0.9)
    )
    assert thin.tooth_limit == pytest.approx(0.9 * full.tooth_limit)
    assert thin.field_limit.value == pytest.approx(0.9 * full.field_limit.value)
    assert thin.core_limit(0.01) == pytest.approx(0.9 * full.core_limit(0.01))
    assert feed(thin, 50.0).core_factor == pytest.approx(feed(full, 50.0).core_factor / 0.9)
    stacked = full.mass - thin.mass
    teeth = 0.5 * math.pi * 0.1006 * 0.015 * 0.1
    yoke = math.pi / 4 * ((1.7 * 0.1006) ** 2 - (0.1006 + 0.03) ** 2) * 0.1
    assert stacked == pytest.approx(0.1 * 7700 * (teeth + yoke), rel=1e-9), "teeth and yoke; the rotor counts as solid"
