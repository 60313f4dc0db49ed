"""Round machines: laws of unrolled rings, and chosen designs, against the field in rings and Bessel functions."""

import math

import numpy as np
import pytest
from briefs import brief
from ring_stacks import gap_edge
from scipy import special
from scipy.integrate import quad

from scaling import choose
from scaling.decision.curve import remade
from scaling.field import Layer, Ring, rotating_wave, travelling_wave
from scaling.ground.constants import VALUES
from scaling.laws import magnet, rings
from scaling.models.bars import tapered_bars
from scaling.models.rings import port

MU_0 = VALUES["mu_0"]
SIZES = ["0.5 mm", "2 mm", "10 mm", "50 mm", "300 mm"]


def designed(kind, **given):
    """Return what was chosen and the operating point made again, as numbers."""
    choice = choose(brief(magnets_allowed=True, gap_floor="20 um", self_starting=False, **given))
    point = remade(choice, kind)
    return choice[kind], point.operation, point.stator


# Laws


@pytest.mark.parametrize("p", [1, 2, 7])
def test_unrolled_rings_have_the_field_of_plane_layers(p):
    """Where nothing conducts the torque is the same to rounding, whatever the thickness."""
    R, t, bore = 0.05, 0.03, 0.06
    made = [Ring(R - t), Ring(R, relative_permeability=20 - 12j, turns=True), Ring(bore)]
    wave = rotating_wave(pole_pairs=p, frequency=50.0, speed=0.0, rings=made, outside="iron", sheet_current_peak=2e4)
    unrolled = {name: rings.unrolled_thickness(D_i=2 * bore, D=2 * D, t=x) for name, D, x in
                (("gap", bore, bore - R), ("ring", R, t))}  # fmt: skip
    plane = travelling_wave(
        pole_pitch=math.pi * bore / p, frequency=50.0, gap=unrolled["gap"], slip=1.0, behind_rotor="air",
        layers=[Layer(unrolled["ring"], relative_permeability=20 - 12j)], sheet_current_peak=2e4,
    )  # fmt: skip
    assert wave.torque_per_length == pytest.approx(plane.shear_stress * 2 * math.pi * bore**2, rel=1e-12)


def test_volume_and_thickness_of_a_ring_belong_together():
    D, D_i, t = 0.1, 0.104, np.array([1e-6, 1e-3, 0.02, 0.05])
    t_v = rings.volume_thickness(D_i=D_i, D=D, t=t)
    assert t_v * math.pi * D_i == pytest.approx(math.pi / 4 * (D**2 - (D - 2 * t) ** 2), rel=1e-12)
    assert rings.thickness_of_volume(D_i=D_i, D=D, t_v=t_v) == pytest.approx(t, rel=1e-7)
    # The mean of (r/r_i)**2 over ln(r), by quadrature.
    t_u = rings.unrolled_thickness(D_i=D_i, D=D, t=0.02)
    mean = quad(lambda x: math.exp(2 * x) * (2 / D_i) ** 2, math.log(0.03), math.log(0.05))[0] / math.log(5 / 3)
    assert rings.radius_ratio(t_v=t_v[2], t_u=t_u) ** 2 == pytest.approx(mean, rel=1e-12)


@pytest.mark.parametrize("p", [1, 2, 3, 12])
def test_magnets_against_thin_rings_of_the_current_that_stands_for_them(p):
    """A magnetisation M*cos(p*theta) along the radius is a current p*M/r*sin(p*theta), here in eighty rings."""
    R, t, bore, B_r, count = 0.03, 0.004, 0.032, 1.2, 80
    edges = np.linspace(R - t, R, count + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    fundamental = 4 / math.pi * math.sin(0.4 * math.pi) * B_r
    magnets = [
        Ring(r, current_density_peak=p * fundamental / (MU_0 * m)) for r, m in zip(edges[1:], middle, strict=True)
    ]
    wave = rotating_wave(
        pole_pairs=p, frequency=50.0, speed=0.0, outside="iron",
        rings=[Ring(R - t, relative_permeability=1e12), *magnets, Ring(bore)],
    )  # fmt: skip
    around = [wave.field_at(bore * (1 - 1e-12), angle).B_r for angle in (0.0, math.pi / (2 * p))]
    g_m = rings.unrolled_thickness(D_i=2 * bore, D=2 * bore, t=bore - R)
    made = magnet.round_magnet_gap_field(B_r=B_r, alpha=0.8, p=p, D=2 * R, D_i=2 * bore, t=t, g_m=g_m)
    assert np.hypot(*around) == pytest.approx(made, rel=1e-4)


def test_magnets_of_many_poles_are_those_of_the_plane():
    made = {"B_r": 1.2, "alpha": 0.8, "t": 1e-3, "g_m": 5e-4}
    off = []
    for p in (100, 200, 400):
        D_i = 0.05 * 2 * p / math.pi
        ring = magnet.round_magnet_gap_field(p=p, D=D_i - 1e-3, D_i=D_i, **made)
        off.append(ring / magnet.magnet_gap_field(k=math.pi / 0.05, **made) - 1)
    assert abs(off[-1]) < 1e-3
    assert [off[0] / off[1], off[1] / off[2]] == pytest.approx([2, 2], rel=0.02)


# Bars


def by_bessel(inner, outer, kappa):
    a, b = kappa * outer, kappa * inner
    # ive takes off the exponent's real part only, kve the whole exponent.
    away = np.exp(b - a + (b - a).real)
    I_1, I_0, K_1, K_0 = special.ive(1, a), special.ive(0, a), special.kve(1, a), special.kve(0, a)
    i_1, k_1 = special.ive(1, b), special.kve(1, b)
    return a * (I_1 * k_1 - K_1 * i_1 * away) / (I_0 * k_1 + K_0 * i_1 * away)


@pytest.mark.parametrize(("depth", "off"), [(0.02, 1e-7), (0.1, 1.1e-5), (0.2, 1e-4), (0.4, 8e-4)])
def test_tapered_bars_against_bessel_functions(depth, off):
    ratio = np.geomspace(0.01, 100, 60)  # depth over skin depth
    kappa = (1 + 1j) * ratio / depth
    exact, found = by_bessel(1 - depth, 1.0, kappa), tapered_bars(1 - depth, 1.0, kappa**2)
    np.testing.assert_array_less(np.abs(found / exact - 1), off)
    assert found.imag == pytest.approx(exact.imag, rel=off)


def test_tapered_bars_without_much_current_are_a_resistance_and_with_a_large_radius_straight():
    kappa_2 = 1j * np.array([1e-6, 1e-3])
    assert tapered_bars(0.8, 1.0, kappa_2).imag == pytest.approx(kappa_2.imag * (1 - 0.64) / 2, rel=1e-4)
    assert tapered_bars(0.8, 1.0, 0j) == pytest.approx(0, abs=1e-15)
    kappa = (1 + 1j) * np.array([0.1, 1.0, 5.0])
    straight = 1e5 * kappa * np.tanh(kappa)
    assert tapered_bars(1e5 - 1.0, 1e5, kappa**2) == pytest.approx(straight, rel=1e-4)
    assert np.isnan(tapered_bars(0.8, 1.0, np.array([np.nan, 1j]))).tolist() == [True, False]


def test_a_ring_without_waves_along_the_angle_is_a_slot():
    """The field in rings goes over into that of the slots as its number of pole pairs goes to zero."""
    p = np.array(1e-5)
    met, *_ = port(p, np.array(0.8), np.array(1.0), np.array(1.0), np.array(200j)).seen(np.zeros(()))
    assert tapered_bars(0.8, 1.0, 200j) == pytest.approx(p * met, rel=1e-3)


# Chosen designs


@pytest.mark.parametrize("size", SIZES)
def test_a_hysteresis_design_is_a_ring_of_its_complex_permeability(size):
    found, op, st = designed("hysteresis", rotor_diameter=size)
    H, lag = op.ring_field.item(), op.load_angle.item()
    R, t, p, A = st.D.item() / 2, op.thickness.item(), st.p.item(), op.ideal_loading.item()
    edge, bore = gap_edge(st), st.bore.item() / 2

    def solved(mu):
        return rotating_wave(
            pole_pairs=p, frequency=found.values["frequency"], speed=0.0, outside="iron",
            rings=[Ring(R - t), Ring(R, relative_permeability=mu, turns=True), Ring(edge)],
            sheet_current_peak=A * bore / edge,
        )  # fmt: skip

    # The permeability whose lag and gap torque are the design's: the torque gives mu'' at the field H.
    torque = found.values["gap_torque"] / st.width.item()
    mu_2 = 2 * torque / (math.pi * MU_0 * H**2 * p * t * (2 * R - t))  # torque = p*mu_0*mu''*H²/2 times the volume
    mu = mu_2 / math.tan(lag) - 1j * mu_2
    assert solved(mu).torque_per_length == pytest.approx(torque, rel=1e-6)
    node, weight = np.polynomial.legendre.leggauss(20)
    r = R - t / 2 + t / 2 * node
    quarters = [solved(mu).field_at(r, angle) for angle in (0.0, math.pi / (2 * p))]
    square = sum(part.B_r**2 + part.B_theta**2 for part in quarters) / (MU_0 * abs(mu)) ** 2
    assert math.sqrt(np.sum(weight * square * r) / np.sum(weight * r)) == pytest.approx(H, rel=1e-6)


@pytest.mark.parametrize("size", SIZES)
def test_a_magnet_design_is_a_current_sheet_in_the_field_of_its_magnets(size):
    found, op, st = designed("magnet", rotor_diameter=size)
    R, t, p, A = st.D.item() / 2, op.thickness.item(), st.p.item(), op.loading.item()
    edge, bore = gap_edge(st), st.bore.item() / 2
    own = rotating_wave(
        pole_pairs=p, frequency=50.0, speed=0.0, outside="iron", sheet_current_peak=A * bore / edge,
        rings=[Ring(R - t, relative_permeability=1e12), Ring(edge)],
    )  # fmt: skip
    around = [own.field_at(edge, angle).B_r for angle in (0.0, math.pi / (2 * p))]
    B_own = np.hypot(*around) * edge / bore
    psi = math.pi / 2 - op.load_angle.item()  # the current leads as far as the pull-out reserve needs it
    B_m = math.sqrt(found.values["gap_field_peak"] ** 2 - (B_own * math.cos(psi)) ** 2) - B_own * math.sin(psi)
    torque = B_m * math.cos(psi) * A / 2 * 2 * math.pi * bore**2 * st.width.item()
    assert found.values["gap_torque"] == pytest.approx(torque, rel=1e-9)


@pytest.mark.parametrize("kind", ["induction", "hysteresis", "reluctance", "magnet"])
def test_curvature_changes_a_rotor_little_where_it_has_many_poles_and_no_depth(kind):
    given = {"rotor_diameter": "300 mm", "gap_ratio": 1e-4, "gap_floor": "1 um", "rotor_depth_ratio": 0.004,
             "pole_pairs": 6, "rib_ratio": 1e-4, "self_starting": False}  # fmt: skip
    flat = choose(brief(magnets_allowed=True, field_geometry="plane", **given))[kind]
    assert choose(brief(magnets_allowed=True, **given))[kind].merit == pytest.approx(flat.merit, rel=0.012)
