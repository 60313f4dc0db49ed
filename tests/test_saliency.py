"""Salient poles and flux barriers: permeances against finite elements, limits and other routes; ribs by balances."""

import functools

import numpy as np
import pytest
from finite_elements_saliency import barriers, permeance, salient
from scipy.integrate import quad
from scipy.optimize import minimize_scalar
from scipy.sparse import diags
from scipy.sparse.linalg import spsolve

from scaling import Brief
from scaling.laws import reluctance, saliency
from scaling.laws import stator as stator_laws
from scaling.machines import reluctance as reluctance_rotor
from scaling.machines import stator as stators
from scaling.machines.fed import feed

MU_0 = 1.25663706212e-6  # CODATA 2018
PITCH = 0.1
K = np.pi / PITCH


def poles(arc, gap, depth, pitch=PITCH):
    """Return (P_d, P_q) of salient poles, gap and depth over the pole pitch."""
    part = {"alpha": arc, "k": np.pi / pitch, "g_m": gap * pitch}
    h_d, h_q = (law(**part, h_p=depth * pitch) for law in (saliency.d_axis_depth, saliency.q_axis_depth))
    return saliency.pole_d_axis_permeance(**part, h_d=h_d), saliency.pole_q_axis_permeance(**part, h_q=h_q)


def stepped(arc, gap, depth):
    """Return (P_d, P_q) of salient poles without fringing."""
    r = saliency.interpolar_permeance(k=K, g_m=gap * PITCH, h_p=depth * PITCH)
    return saliency.d_axis_permeance(alpha=arc, r=r), saliency.q_axis_permeance(alpha=arc, r=r)


def layers(number, share, gap, pitch=PITCH):
    """Return (P_d, P_q) of a barrier rotor, gap over the pole pitch."""
    k, g = np.pi / pitch, gap * pitch
    g_e = saliency.barrier_gap(g_m=g, tau=pitch, n_b=number, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=k, g_m=g, g_e=g_e)
    return P_d, saliency.barrier_q_axis_permeance(k=k, g_e=g_e, n_b=number, kappa_b=share, P_d=P_d)


@functools.cache
def elements(rotor, fine=0.7, **form):
    """Return the (d, q) results of finite elements."""
    made = rotor(**form, fine=fine)
    return permeance(made, "d"), permeance(made, "q")


def grid():
    """Return pole arc, gap and depth (over the pitch) that broadcast: thin gaps to wide, flat spaces to deep."""
    return np.linspace(0.1, 0.95, 18)[:, None, None], np.logspace(-3, 0.3, 30)[:, None], np.logspace(-4, 0.3, 40)


# The finite elements themselves


@pytest.mark.parametrize(
    ("rotor", "form"),
    [(salient, {"gap": 0.01, "depth": 0.2, "arc": 0.5}), (barriers, {"gap": 0.01, "number": 3, "share": 0.4})],
)
def test_bounds_of_the_finite_elements_close_in_on_each_other(rotor, form):
    for coarse, fine in zip(elements(rotor, fine=0.35, **form), elements(rotor, fine=0.7, **form), strict=True):
        assert 0 < fine.error < coarse.error / 2 and fine.error < 2e-4 * fine.value
        assert abs(fine.value - coarse.value) < 2 * coarse.error  # twice: the arcs are meshed as chords


# Salient poles. Another finite-element solution, three digits: pole pitch 100 mm, depth 20 mm, arc half the pitch.


@pytest.mark.parametrize(
    ("gap", "d", "q"), [(0.5, 0.842, 0.227), (1, 0.857, 0.262), (2, 0.879, 0.323), (5, 0.918, 0.461)]
)
def test_pole_permeances_against_the_table(gap, d, q):
    by_elements = elements(salient, gap=gap / 100, depth=0.2, arc=0.5)
    assert [one.value for one in by_elements] == pytest.approx([d, q], abs=6e-4)
    found_d, found_q = poles(0.5, gap / 100, 0.2)
    assert 0 <= found_d / d - 1 < 0.0135 and abs(found_q / q - 1) < 0.005


@pytest.mark.parametrize("arc", [0.2, 0.35, 0.5, 0.65, 0.95])
@pytest.mark.parametrize(("gap", "depth"), [(0.002, 0.08), (0.01, 0.16), (0.02, 0.05), (0.05, 0.16), (0.1, 0.16)])
def test_pole_permeances_against_finite_elements(arc, gap, depth):
    d, q = elements(salient, gap=gap, depth=depth, arc=arc)
    found_d, found_q = poles(arc, gap, depth)
    assert -d.error < found_d / d.value - 1 < (0.02 if gap <= 0.02 else 0.035)
    assert abs(found_q / q.value - 1) < 0.012
    # Fringing left out: low, and further off.
    assert all(found > new for found, new in zip((found_d, found_q), stepped(arc, gap, depth), strict=True))


@pytest.mark.parametrize(
    ("arc", "gap", "depth"), [(0.35, 0.05, 0.4), (0.5, 0.05, 2.0), (0.65, 0.01, 0.4), (0.35, 0.2, 1.6), (0.8, 0.1, 0.8)]
)
def test_pole_permeances_of_deep_spaces(arc, gap, depth):
    """Far beyond a sixth of the pitch, where the logarithm of the fringing alone would be up to 60 % high."""
    for found, exact, most in zip(
        poles(arc, gap, depth), elements(salient, gap=gap, depth=depth, arc=arc), (0.05, 0.021), strict=True
    ):
        assert abs(found / exact.value - 1) < most


@pytest.mark.parametrize("ratio", [0.02, 0.1, 0.5, 0.9])
def test_fringing_width_by_integration_of_the_mapping(ratio):
    """Upper half plane to the stepped gap: dz/dt = (H/pi)/t*sqrt((t - a**2)/(t - 1)), edges at t = a**2 and 1."""

    def wide(v):  # t = 1 + v**2
        return 2 / (1 + v**2) * (np.sqrt(1 - ratio**2 + v**2) - v)

    def narrow(t):
        return (np.sqrt((1 - t / ratio**2) / (1 - t)) - 1) / t

    excess = -quad(wide, 0, np.inf)[0] - quad(narrow, 0, ratio**2)[0] - np.log(ratio**2)
    found = saliency.fringing_width(g_m=ratio, h_p=1 - ratio) / ratio
    assert found == pytest.approx(excess / np.pi, rel=1e-6)


def test_flat_spaces_and_wide_gaps_leave_no_saliency():
    arc, gap, _ = grid()
    assert np.stack(poles(arc, gap, 1e-9)) == pytest.approx(1, abs=1e-5)
    assert np.stack(poles(arc, 6.0, 1.0)) == pytest.approx(1, abs=1e-6)


def test_permeances_fall_with_depth_and_rise_with_gap_and_arc():
    found = np.stack(np.broadcast_arrays(*poles(*grid())))
    assert (np.diff(found, axis=3) < 2e-5).all()
    assert (np.diff(found, axis=2) > -1e-9).all() and (np.diff(found, axis=1) > -1e-9).all()
    assert (found[1] <= found[0] + 1e-12).all() and (found <= 1 + 1e-12).all() and (found > 0).all()


def test_fringing_adds_to_the_stepped_permeance_and_vanishes_beside_a_thin_gap():
    arc, gap, depth = grid()
    step = stepped(arc, gap, depth)
    assert all((new >= old - 1e-12).all() for new, old in zip(poles(arc, gap, depth), step, strict=True))
    assert np.stack(poles(0.5, 1e-6, 0.1)) == pytest.approx(np.stack(stepped(0.5, 1e-6, 0.1)), abs=1e-4)


def test_only_ratios_of_lengths_matter():
    for pitch in (1e-3, 1.0):
        assert poles(0.5, 0.01, 0.1, pitch) == pytest.approx(poles(0.5, 0.01, 0.1), rel=1e-12)
        assert layers(4, 0.4, 0.01, pitch) == pytest.approx(layers(4, 0.4, 0.01), rel=1e-12)


@pytest.mark.parametrize("gap", [0.001, 0.005, 0.02])
def test_a_narrow_deep_space_is_carters_slot(gap):
    """It lies where the q axis has its peak: the lost flux weighs twice, a slot pitch of half the pole pitch."""
    k_C = stator_laws.carter_coefficient(tau_u=PITCH / 2, b_u=0.05 * PITCH, g=gap * PITCH)
    assert poles(0.95, gap, 0.5)[1] == pytest.approx(1 / k_C, abs=0.01)


# Flux barriers

FORMS = [
    (2, 0.4, 0.01),
    (3, 0.3, 0.003),
    (3, 0.5, 0.03),
    (4, 0.4, 0.01),
    (4, 0.65, 0.001),
    (6, 0.4, 0.03),
    (6, 0.5, 0.1),
]
EACH_FORM = pytest.mark.parametrize(("number", "share", "gap"), FORMS)


@EACH_FORM
def test_barrier_permeances_against_finite_elements(number, share, gap):
    d, q = elements(barriers, number=number, share=share, gap=gap)
    found_d, found_q = layers(number, share, gap)
    assert found_d == pytest.approx(d.value, rel=0.003)
    assert found_q == pytest.approx(q.value, rel=0.025 if number == 2 else 0.01)


@EACH_FORM
def test_potential_of_the_innermost_iron_against_finite_elements(number, share, gap):
    """It weighs the ribs' flux; that of the fundamental alone, 1 - P_q/P_d, is up to 10 % low for a gap of 2 %."""
    P_d, P_q = layers(number, share, gap)
    g_e = saliency.barrier_gap(g_m=gap * PITCH, tau=PITCH, n_b=number, kappa_b=share)
    mean = saliency.innermost_potential(k=K, g_e=g_e, n_b=number, kappa_b=share)
    low = 1 - mean * (1 - P_q / P_d) / elements(barriers, number=number, share=share, gap=gap)[1].segments[0]
    assert -0.01 < low < (0.03 if gap <= 0.01 else 0.05 if gap <= 0.03 else 0.11)


@pytest.mark.parametrize("number", [2, 4, 9])
def test_innermost_iron_under_a_vanishing_gap_has_the_mean_potential_of_the_stator_before_it(number):
    half = 0.8 * np.pi / (2 * number + 1)  # barriers of 40 %: the iron ends a fifth of the pitch before their middle
    found = saliency.innermost_potential(k=K, g_e=1e-9 * PITCH, n_b=number, kappa_b=0.4)
    assert found == pytest.approx(np.sin(half) / half, rel=1e-6)


@pytest.mark.parametrize("epsilon", [0.003, 0.03, 0.3, 3.0])
def test_many_barriers_under_a_thin_gap_by_finite_differences(epsilon):
    """(theta*u')' = (u - cos(theta))/epsilon, u(pi/2) = 0, epsilon = pi*k*g_m/(2*kappa_b): a rotor of fine sheets."""
    points = 4000
    step = np.pi / 2 / points
    at = step * np.arange(points)  # u is zero at the next one
    weight = np.full(points, step)
    weight[0] /= 2
    between = (at + step / 2) / step
    slope = diags([between + np.append(0, between[:-1]), -between[:-1], -between[:-1]], [0, -1, 1])
    u = spsolve((diags(weight) + epsilon * slope).tocsc(), weight * np.cos(at))
    exact = 1 - weight * np.cos(at) @ u / (np.pi / 4)
    kg = 1e-4
    found = saliency.barrier_q_axis_permeance(k=kg, g_e=1.0, n_b=1e5, kappa_b=np.pi * kg / (2 * epsilon), P_d=1.0)
    assert exact * (1 - 1e-4) < found < exact * 1.02  # a least energy over few potentials: never below
    if epsilon == 0.003:
        assert found == pytest.approx((np.pi**2 / 4 + 1) / np.pi * epsilon, rel=0.03)  # 1.73*k*g_m/kappa_b


@pytest.mark.parametrize("number", [2, 4, 9])
def test_under_a_vanishing_gap_only_the_zigzag_is_left(number):
    P_d, P_q = layers(number, 0.4, 1e-7)
    half = 0.6 * np.pi / (2 * number + 1) / 2
    assert P_d == pytest.approx(0.6, abs=1e-4)
    assert P_q / P_d == pytest.approx(1 - (np.sin(half) / half) ** 2, abs=1e-5)


def test_thin_barriers_and_wide_gaps_leave_no_saliency():
    P_d, P_q = layers(4, 1e-6, np.logspace(-3, 0, 7))
    assert P_d == pytest.approx(1, abs=1e-4) and P_q == pytest.approx(P_d, abs=1e-2)
    assert layers(4, 0.4, 6.0) == pytest.approx((1, 1), abs=1e-6)


def test_barrier_permeances_are_ordered():
    number, share, gap = np.array([2, 3, 4, 6, 9])[:, None, None], np.linspace(0.1, 0.7, 13)[:, None], grid()[1].T
    P_d, P_q = layers(number, share, gap)
    assert ((P_q > 0) & (P_q < P_d) & (P_d <= 1)).all()
    assert (np.diff(P_d, axis=1) < 0).all() and (np.diff(P_q, axis=1) < 0).all()  # wider barriers
    assert (np.diff(P_d, axis=2) > 0).all() and (np.diff(P_q, axis=2) > 0).all()  # wider gap
    assert (np.diff(P_d, axis=0) > 0).all()  # narrower mouths


# Ribs

CASE = {"P_d": 0.74, "P_q": 0.063}


def test_without_ribs_a_barrier_rotor_is_any_reluctance_rotor():
    angle = {"tan_delta": np.linspace(0.1, 5, 9)}
    with_ribs, without = (
        saliency.barrier_response(**CASE, **angle, zeta=0),
        reluctance.reluctance_response(**CASE, **angle),
    )
    assert with_ribs == pytest.approx(without, rel=1e-12)
    stand = {"A": 3e4, "k": K, "g_m": 5e-4} | CASE | angle
    field = reluctance.reluctance_gap_field(**stand)
    assert saliency.barrier_gap_field(**stand, zeta=0) == pytest.approx(field, rel=1e-12)


@pytest.mark.parametrize("zeta", [0.0, 0.1, 0.4])
def test_torque_of_a_ribbed_rotor_by_two_routes(zeta):
    A, g, delta = 3e4, 5e-4, 0.9
    here = {"tan_delta": np.tan(delta), "zeta": zeta} | CASE
    B_d = CASE["P_d"] * MU_0 * A / (K * g) * np.cos(delta)
    B_q = np.sqrt(saliency.barrier_gap_field(A=A, k=K, g_m=g, **here) ** 2 - B_d**2)
    stress = stator_laws.shear_stress(A=A, k=K, g_m=g, Lambda=saliency.barrier_response(**here))
    assert stress == pytest.approx(A * (B_d * np.sin(delta) - B_q * np.cos(delta)) / 2, rel=1e-9)


def test_ribs_that_are_not_saturated_leave_iron_of_one_potential():
    here = {"tan_delta": 1.5} | CASE
    for zeta in (0.9, 5.0):
        assert saliency.barrier_response(**here, zeta=zeta) == 0
        field = saliency.barrier_gap_field(A=1e4, k=K, g_m=5e-4, **here, zeta=zeta)
        assert field == pytest.approx(CASE["P_d"] * MU_0 * 1e4 / (K * 5e-4), rel=1e-9)


@pytest.mark.parametrize("zeta", [0.0, 0.05, 0.3, 0.9])
def test_rib_load_angle_is_the_best(zeta):
    best = minimize_scalar(
        lambda delta: -saliency.barrier_response(**CASE, zeta=zeta, tan_delta=np.tan(delta)),
        bounds=(np.arcsin(zeta) + 1e-6, np.pi / 2 - 1e-6),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert np.arctan(saliency.rib_load_angle(zeta=zeta)) == pytest.approx(best.x, abs=1e-6)


def rib(pitch, loading, thickness=0.5e-3):
    """Return (P_d, P_q, zeta) of four barriers, 40 % of the depth, gap 0.5 % of the pitch, ribs saturated at 2 T."""
    P_d, P_q = layers(4, 0.4, 0.005, pitch)
    g_e = saliency.barrier_gap(g_m=0.005 * pitch, tau=pitch, n_b=4, kappa_b=0.4)
    inner = saliency.innermost_potential(k=np.pi / pitch, g_e=g_e, n_b=4, kappa_b=0.4)
    B_e = saliency.rib_gap_field(B_rib=2.0, t_r=thickness, tau=pitch, c_0=inner)
    return P_d, P_q, saliency.rib_share(B_e=B_e, A=loading, k=np.pi / pitch, g_m=0.005 * pitch, P_d=P_d)


@pytest.mark.parametrize("loading", [1e4, 2e4, 4e4])
def test_ordinary_barrier_rotors_have_a_saliency_of_5_to_10(loading):
    """Common practice, no source: 5 to 10 as measured, that is with ribs; here at 45 degrees, pole pitch 100 mm."""
    P_d, P_q, zeta = rib(0.1, loading)
    assert 5 < P_d / (P_q + (P_d - P_q) * zeta * np.sqrt(2)) < 10 < P_d / P_q


def test_ribs_that_cannot_be_made_thinner_stop_small_rotors():
    pitches = np.array([0.1, 0.03, 0.01, 0.003])
    P_d, P_q, zeta = rib(pitches, 1e4)
    assert zeta * pitches == pytest.approx(np.full(4, zeta[0] * 0.1), rel=1e-9)
    response = saliency.barrier_response(P_d=P_d, P_q=P_q, zeta=zeta, tan_delta=1.2)
    assert (np.diff(response) <= 0).all() and response[0] > 0.25 and response[-1] == 0


def test_segments_carry_what_enters_between_two_mouths():
    assert saliency.barrier_limited_gap_field(kappa_b=0.4, B_y=1.5, k_s=0.96) == pytest.approx(0.9 * 0.96)


def test_machine_with_ribs_has_the_field_and_response_of_the_laws():
    """The loading is the root of a quadratic; put back, the laws of field and heat fill one of the limits."""
    si = Brief(rotor_diameter="100 mm", reluctance_rotor="flux barriers", cooling="shaft fan").si
    laid_out = stators.round_stator(si, np.array([0.1]), np.array([[2.0]]))
    given = {"barred": np.array([[True]]), "iron": np.array([[0.5]]), "depth": 1.0}
    iron, tan_delta, k = reluctance_rotor._iron(feed(laid_out, 50.0), given), np.array([[1.3]]), laid_out.k
    fed = feed(laid_out, 50.0)
    A, zeta = reluctance_rotor._loading(fed, iron, tan_delta, 1.0)  # all that the limits allow
    assert 0 < zeta < 0.5
    B = saliency.barrier_gap_field(A=A, k=k, g_m=iron.field_gap, zeta=zeta, tan_delta=tan_delta, **iron.axes)
    heat = fed.winding_heat_factor * A**2 + fed.both_waves_heat_factor * B**2
    full = heat / fed.budget, B / iron.field_limit.value
    assert max(full) == pytest.approx(1.0, rel=1e-12) and min(full) < 1.0, "one limit is full, the other is not"
