"""The closed-form loop: its limits, its record, its energy by a second route, its fundamental."""

import numpy as np
import pytest
import sympy as sp

from scaling.ground.materials import LOOP_MATERIALS
from scaling.ground.symbols import symbol
from scaling.laws import loop as law
from scaling.models.loops import energy, falling_branch, fitted, peak_flux_density
from scaling.models.search import root

H, H_a, H_c, B_s = map(symbol, ("H", "H_a", "H_c", "B_s"))
EACH = pytest.mark.parametrize("material", LOOP_MATERIALS.values(), ids=LOOP_MATERIALS)
# Remanence over saturation, which alone shapes the loop, is smallest, middling and largest in these.
THREE = pytest.mark.parametrize("name", ["cast iron", "36 % cobalt steel", "cast AlNiCo 5"])
PEAK, ENERGY = law.loop_peak_flux_density.expr.rewrite(sp.log), law.loop_energy.expr.rewrite(sp.log)
RAYLEIGH = B_s / (4 * H_a * H_c)  # magnetic constant times the Rayleigh constant nu


def field_of(flux_density, loop):
    """Return the peak field at which a loop reaches a peak flux density."""
    width = np.log(loop["H_c"])
    return np.exp(root(lambda at: peak_flux_density(np.exp(at), loop) - flux_density, width - 9, width + 9, steps=80))


def fundamental(H_m, loop, steps=2000, cells=400):
    """Return the parts of the fundamental of B in phase and in quadrature with a field of amplitude H_m."""
    angle = (np.arange(steps) + 0.5) * np.pi / steps
    B = falling_branch(H_m * np.cos(angle), H_m, loop, cells)
    return 2 * np.mean(B * np.cos(angle)), 2 * np.mean(B * np.sin(angle))


# Limits


def test_small_loop_is_rayleighs():
    """IEC 60050-221, 221-03-32: loop area 4/3*mu_0*nu*H**3; the peak beyond the initial permeability mu_0*nu*H**2."""
    small = {symbol("H_k"): H}
    assert sp.series(ENERGY.subs(small), H, 0, 4).removeO() == sp.Rational(4, 3) * RAYLEIGH * H**3
    assert law.rayleigh_energy.expr == sp.Rational(4, 3) * RAYLEIGH * H**3
    assert sp.series(PEAK.subs(small), H, 0, 3).removeO() == RAYLEIGH * H**2


def test_large_loop_is_a_rectangle():
    outer = {symbol("H_k"): 2 * H_c}
    assert sp.limit(PEAK.subs(outer), H, sp.oo) == B_s
    assert sp.simplify(sp.limit(ENERGY.subs(outer), H, sp.oo) - 4 * B_s * H_c) == 0


@THREE
def test_numerical_loop_is_rayleighs_at_small_field(name):
    loop = fitted(LOOP_MATERIALS[name])
    constant = loop["B_s"] / (4 * loop["H_a"] * loop["H_c"])
    small = 1e-3 * loop["H_a"]
    assert energy(small, loop) == pytest.approx(4 / 3 * constant * small**3, rel=2e-3)
    assert peak_flux_density(small, loop) == pytest.approx(constant * small**2, rel=2e-3)


def test_loop_keeps_its_digits_at_very_small_field():
    loop = fitted(LOOP_MATERIALS["cast AlNiCo 8"])
    constant = loop["B_s"] / (4 * loop["H_a"] * loop["H_c"])
    small = 1e-6 * loop["H_a"]
    assert energy(small, loop) == pytest.approx(4 / 3 * constant * small**3, rel=1e-2)


@EACH
def test_flux_and_energy_rise_with_the_field(material):
    loop = fitted(material)
    fields = np.geomspace(1e-3, 1e3, 400) * loop["H_c"]
    assert (np.diff(peak_flux_density(fields, loop)) > 0).all() and peak_flux_density(fields, loop)[-1] < loop["B_s"]
    assert (np.diff(energy(fields, loop)) > 0).all() and energy(fields, loop)[-1] < 4 * loop["B_s"] * loop["H_c"]


# The record


@EACH
def test_fitted_loop_has_the_remanence_and_the_width_of_its_record(material):
    loop = fitted(material)
    assert loop["B_s"] == material.saturation
    assert law.loop_remanence(**loop) == pytest.approx(material.remanence, rel=1e-9)
    assert (material.coercivity is None) != (material.energy_at_1_T is None)
    if material.coercivity is None:
        assert energy(field_of(1.0, loop), loop) == pytest.approx(material.energy_at_1_T, rel=1e-9)
    else:
        assert loop["H_c"] == material.coercivity


@EACH
def test_outer_branch_passes_through_remanence_and_coercivity(material):
    loop = fitted(material)
    outer = 20 * loop["H_c"]
    assert falling_branch(0.0, outer, loop) == pytest.approx(material.remanence, rel=1e-4)
    crossing = root(lambda field: falling_branch(field, outer, loop), -2 * loop["H_c"], 0.0, steps=60)
    assert -crossing == pytest.approx(loop["H_c"], rel=1e-9)


# Energy


@THREE
@pytest.mark.parametrize("coercivities", [0.3, 1.0, 2.0, 3.0, 10.0])
def test_closed_energy_is_the_area_of_the_loop(name, coercivities):
    """The rising branch mirrors the falling one, so the area is twice the integral of one of them."""
    loop = fitted(LOOP_MATERIALS[name])
    H_m = coercivities * loop["H_c"]
    fields = np.linspace(-H_m, H_m, 2001)
    area = 2 * np.trapezoid(falling_branch(fields, H_m, loop), fields)
    assert area == pytest.approx(energy(H_m, loop), rel=1e-3)
    assert falling_branch(H_m, H_m, loop) == pytest.approx(peak_flux_density(H_m, loop), rel=1e-3)


@EACH
def test_rectangle_of_peak_and_coercivity_against_the_energy(material):
    """4*B*H_c is 1.0 to 1.3 times the energy once all cells take part, within 10 % above four coercivities.

    Derived for the project from loops of several cells. 1.3 has two digits: cast iron stands at 1.33.
    """
    loop = fitted(material)
    parts = np.array([2.0, 2.5, 3.0, 4.0, 6.0, 10.0, 100.0])
    ratio = 4 * peak_flux_density(parts * loop["H_c"], loop) * loop["H_c"] / energy(parts * loop["H_c"], loop)
    assert (ratio >= 1.0).all() and (ratio.round(1) <= 1.3).all()
    assert (ratio[parts >= 4] < 1.1).all()
    assert (np.diff(ratio) < 0).all() and ratio[0] > 1.05


def test_rectangle_of_remanence_and_coercivity_is_neither_a_bound_nor_close():
    loop = fitted(LOOP_MATERIALS["cast iron"])
    box = 4 * law.loop_remanence(**loop) * loop["H_c"]
    assert energy(100 * loop["H_c"], loop) > 1.5 * box and energy(loop["H_c"], loop) < box / 1.5


@pytest.mark.parametrize("name", [n for n, m in LOOP_MATERIALS.items() if m.energy_at_1_T is not None])
def test_energy_goes_about_with_steinmetz_power_of_the_flux_density(name):
    """Steinmetz 1897, par. 80: loss per cycle goes with B**1.6, here between 0.2 and 1 T."""
    loop = fitted(LOOP_MATERIALS[name])
    B = np.geomspace(0.2, 1.0, 9)
    exponent = np.polyfit(np.log(B), np.log(energy(field_of(B, loop), loop)), 1)[0]
    assert 1.4 < exponent < 1.9


# The fundamental


@THREE
@pytest.mark.parametrize("coercivities", [0.3, 1.0, 2.0, 5.0, 100.0])
def test_fundamental_of_the_loop(name, coercivities):
    """The quadrature part carries the energy exactly; the peak taken as the part in phase is at most 4/pi too low."""
    loop = fitted(LOOP_MATERIALS[name])
    H_m = coercivities * loop["H_c"]
    in_phase, quadrature = fundamental(H_m, loop)
    peak = peak_flux_density(H_m, loop)
    assert np.pi * H_m * quadrature == pytest.approx(energy(H_m, loop), rel=1e-3)
    assert 1.0 <= in_phase / peak <= 4 / np.pi  # 27 % for a square loop
    assert in_phase / peak < 1.04 or coercivities > 2
    angle = law.loop_angle(W_h=energy(H_m, loop), B_i=peak, H=H_m)
    assert np.tan(angle) == pytest.approx(quadrature / peak, rel=1e-3)


def test_peak_is_the_part_in_phase_in_the_rayleigh_region():
    loop = fitted(LOOP_MATERIALS["36 % cobalt steel"])
    small = 0.01 * loop["H_a"]
    in_phase, quadrature = fundamental(small, loop, cells=20000, steps=400)
    assert in_phase / peak_flux_density(small, loop) == pytest.approx(1, abs=2e-3)
    assert quadrature / in_phase == pytest.approx(4 / (3 * np.pi), rel=5e-3)  # W = 4/3*c*H**3 against B = c*H**2
