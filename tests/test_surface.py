"""Laws of a rotor given by its surface admittance, against the field in layers and against textbook limits."""

import numpy as np
import pytest
import sympy as sp

from scaling.field import Layer, travelling_wave
from scaling.ground.constants import VALUES
from scaling.ground.symbols import symbol
from scaling.laws import geometry, hysteresis, induction, surface
from scaling.laws import stator as stator_laws

MU_0 = VALUES["mu_0"]


def small(expression):
    """Return an expression's limit for a thin gap, k times the gap small."""
    scale = sp.Symbol("scale", positive=True)
    return sp.simplify(sp.limit(expression.subs(symbol("g_m"), scale * symbol("g_m")) / scale, scale, 0))


def test_gaps_of_field_and_stress_are_the_gap_where_it_is_thin():
    assert small(surface.field_gap.expr) == symbol("g_m")
    assert small(surface.traction_gap.expr) == symbol("g_m")


@pytest.mark.parametrize("kg", [1e-3, 0.1, 1.0, 5.0])
@pytest.mark.parametrize("x", [0.1, 1.0, 10.0])
def test_conducting_sheet_takes_the_thin_gap_laws_with_the_two_gaps(kg, x):
    """A sheet of no thickness on iron: every law of induction stays, with the gap of the field or of the stress."""
    k, A, g_m = 30.0, 4e4, kg / 30.0
    Y_i = x * np.tanh(kg)
    g_f, g_t = surface.field_gap(k=k, g_m=g_m), surface.traction_gap(k=k, g_m=g_m)
    response = induction.induction_response(x=x)
    by_law = stator_laws.shear_stress(A=A, k=k, g_m=g_t, Lambda=response)
    assert surface.surface_shear_stress(A=A, k=k, g_m=g_m, Y_r=0.0, Y_i=Y_i) == pytest.approx(by_law, rel=1e-12)
    open_field = MU_0 * A / (k * g_f)
    found = surface.surface_gap_field(A=A, k=k, g_m=g_m, Y_r=0.0, Y_i=Y_i)
    assert found == pytest.approx(open_field * np.sqrt((1 + x**2 * np.tanh(kg) ** 4) / (1 + x**2)), rel=1e-12)


@pytest.mark.parametrize("kg", [0.01, 0.3, 2.0])
def test_surface_of_iron_and_of_air(kg):
    """Iron gives the field of a smooth gap; air that of a sheet on iron alone, whatever the gap."""
    given = {"A": 1.0, "k": 20.0, "g_m": kg / 20.0}
    assert surface.surface_gap_field(Y_r=0.0, Y_i=0.0, **given) == pytest.approx(MU_0 / np.tanh(kg), rel=1e-12)
    assert surface.surface_gap_field(Y_r=1.0, Y_i=0.0, **given) == pytest.approx(MU_0, rel=1e-12)
    assert surface.surface_shear_stress(Y_r=1.0, Y_i=0.0, **given) == 0.0


@pytest.mark.parametrize("thickness", [1e-4, 1e-3, 1e-2])
@pytest.mark.parametrize("slip", [0.02, 0.3, 1.0])
def test_stress_and_field_from_the_admittance_are_those_of_the_layered_field(thickness, slip):
    case = {"pole_pitch": 0.08, "frequency": 60.0, "gap": 0.004, "sheet_current_peak": 3e4, "slip": slip}
    sheet = Layer(thickness=thickness, conductivity=4e7)
    wave = travelling_wave(layers=[sheet], behind_rotor="iron", **case)
    k, diffusion = np.pi / 0.08, 2j * np.pi * 60.0 * slip * MU_0 * 4e7
    gamma = np.sqrt(k**2 + diffusion)
    Y = gamma / k * np.tanh(gamma * thickness)
    given = {"A": 3e4, "k": k, "g_m": 0.004, "Y_r": Y.real, "Y_i": Y.imag}
    assert surface.surface_shear_stress(**given) == pytest.approx(wave.shear_stress, rel=1e-9)
    assert surface.surface_gap_field(**given) == pytest.approx(wave.gap_field_peak, rel=1e-9)


# Bars


def bars(z, **changed):
    given = {"phi_r": 0.5, "k": 40.0, "t": 0.01, "z_b": z} | changed
    return surface.bar_leakage(**given), surface.bar_conductance(**given)


@pytest.mark.parametrize("z", [0.1, 0.5, 1.0, 2.0, 5.0, 50.0])
def test_bars_have_the_resistance_and_reactance_of_deep_bars(z):
    """Impedance over direct-current resistance: the functions of every textbook on machines (Field 1905; from memory).

    Resistance z*(sinh 2z + sin 2z)/(cosh 2z - cos 2z); reactance with sinh 2z - sin 2z.
    """
    impedance = 2 * z**2 * 0.5 / (40.0 * 0.01) / (bars(z)[1] - 1j * bars(z)[0])
    down = 1.0 if z > 20 else np.cosh(2 * z) - np.cos(2 * z)
    up = [1.0, 1.0] if z > 20 else [np.sinh(2 * z) + np.sin(2 * z), np.sinh(2 * z) - np.sin(2 * z)]
    assert impedance.real == pytest.approx(z * up[0] / down, rel=1e-9)
    assert abs(impedance.imag) == pytest.approx(z * up[1] / down, rel=1e-6)


def test_shallow_bars_are_a_sheet_of_their_conductance():
    f, s, rho, t, phi_r, k = 50.0, 0.03, 2.2e-8, 1e-3, 0.5, 40.0
    z = surface.bar_depth_ratio(t=t, s=s, f=f, rho=rho, e_r=0.2)
    leakage, conductance = bars(z, phi_r=phi_r, k=k, t=t)
    sheet = induction.surface_conductance(t=t, phi_r=phi_r, rho=rho, e_r=0.2)
    assert conductance == pytest.approx(MU_0 * sheet * 2 * np.pi * f * s / k, rel=1e-6)
    assert leakage < 1e-3 * conductance
    tau = np.pi / k
    G = induction.goodness(f=f, tau=tau, sigma_s=sheet, g_m=surface.field_gap(k=k, g_m=5e-4))
    assert conductance / np.tanh(k * 5e-4) == pytest.approx(s * G, rel=1e-6)


def test_slot_leakage_of_shallow_bars_is_a_third_of_their_depth():
    """The textbook's permeance of a slot filled by its bar, depth/(3*width): here over the layer, bars phi_r of it."""
    z, t, k, phi_r = 0.05, 0.01, 40.0, 0.5
    leakage, conductance = bars(z, phi_r=phi_r, k=k, t=t)
    assert leakage / conductance**2 == pytest.approx(k * t / (3 * phi_r), rel=1e-3)


def test_bars_are_slots_of_iron_filled_with_metal():
    """Homogenised: a layer that the field enters along the bars only, a'' = j*omega*mu_0*sigma*a, by small steps."""
    z, steps = 1.3, 20000
    gamma, t, phi_r, k = (1 + 1j) * z / 0.01, 0.01, 0.5, 40.0
    a, slope, step = 1.0 + 0j, 0j, t / steps
    for _ in range(steps):  # leapfrog from the bottom of the slots
        slope += gamma**2 * a * step / 2
        a += slope * step
        slope += gamma**2 * a * step / 2
    Y = phi_r * slope / (k * a)
    assert bars(z) == pytest.approx((Y.real, Y.imag), rel=1e-6)


def test_bars_at_standstill_and_at_no_slip():
    assert bars(0.0) == (0.0, 0.0)
    deep = bars(300.0)
    assert deep[0] == pytest.approx(deep[1], rel=1e-12) and np.isfinite(deep).all()


# The ring in the field of layers

RINGS = [(0.05, 0.02), (0.3, 0.02), (0.3, 0.4), (0.5, 0.1), (0.5, 1.5)]  # k*t, k*g


@pytest.mark.parametrize(("kt", "kg"), RINGS)
@pytest.mark.parametrize(("size", "lag"), [(1.5, 0.1), (12.0, 0.5), (60.0, 0.8)])
def test_ring_loading_and_gap_field_are_those_of_the_layered_field(kt, kg, size, lag):
    """From the heat of the layer at rest comes the mean square of its field; from that the laws give the loading."""
    k, f, A = 25.0, 50.0, 2e4
    tau, t, g_m = np.pi / k, kt / k, kg / k
    mu = size * np.exp(-1j * lag)
    ring = Layer(thickness=t, relative_permeability=mu)
    wave = travelling_wave(
        pole_pitch=tau, frequency=f, gap=g_m, layers=[ring], sheet_current_peak=A, behind_rotor="air", slip=1.0
    )
    H = np.sqrt(2 * wave.heat / (2 * np.pi * f * MU_0 * -mu.imag * t))
    made = {"H": H, "k": k, "g_m": g_m, "t": t, "B_i": MU_0 * mu.real * H, "W_h": np.pi * MU_0 * -mu.imag * H**2}
    assert hysteresis.layered_ring_loading(**made) == pytest.approx(A, rel=1e-9)
    assert hysteresis.layered_ring_gap_field(**made) == pytest.approx(wave.gap_field_peak, rel=1e-9)
    by_energy = hysteresis.steinmetz_shear_stress(t=t, W_h=made["W_h"], tau=geometry.pole_pitch(D=2 * tau / np.pi, p=1))
    assert by_energy == pytest.approx(wave.shear_stress, rel=1e-9)


@pytest.mark.parametrize("thin", [1e-2, 1e-3])
def test_thin_ring_and_gap_are_the_limit(thin):
    """What remains is of the order of k*g and of the hub's field, one over permeability times k*t."""
    k, H, lag = 25.0, 2e3, 0.5
    size = 1 / thin**2  # a ring number of one
    made = {"k": k, "g_m": thin / k, "H": H, "t": thin / k}
    made |= {"B_i": MU_0 * size * np.cos(lag) * H, "W_h": np.pi * MU_0 * size * np.sin(lag) * H**2}
    N = hysteresis.ring_number(k=k, g_m=thin / k, t=thin / k, mu_r=size)
    A, B = hysteresis.layered_ring_loading(**made), hysteresis.layered_ring_gap_field(**made)
    assert pytest.approx(hysteresis.ring_loading(H=H, N=N, gamma=lag), rel=2 * thin) == A
    assert pytest.approx(hysteresis.ring_gap_field(k=k, t=thin / k, mu_r=size, H=H), rel=2 * thin) == B
    assert hysteresis.thin_ring_gap_field(**made) == pytest.approx(B, rel=thin**2)


@pytest.mark.parametrize(("kt", "kg"), RINGS)
def test_laws_of_the_thin_ring_that_start_the_search(kt, kg):
    """Good to the square of k*t: within 10 % over all thicknesses that are tried (k*t up to 0.5)."""
    k, H = 25.0, 2e4
    made = {"k": k, "g_m": kg / k, "H": H, "t": kt / k, "B_i": 0.4, "W_h": 2e4}
    A, B = hysteresis.layered_ring_loading(**made), hysteresis.layered_ring_gap_field(**made)
    assert hysteresis.thin_ring_gap_field(**made) == pytest.approx(B, rel=0.1)
    heat = hysteresis.ring_heat(w_A=2e-6, w_B=300.0, f_b=0.0, **made)
    assert heat == pytest.approx(2e-6 * A**2 + 300.0 * B**2, rel=0.2)
