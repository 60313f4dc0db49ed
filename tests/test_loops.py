"""The closed-form loop: its limits, its record, its energy by a second route, its fundamental."""

import dataclasses
import re

import brute_loops
import numpy as np
import pytest
import sympy as sp

from scaling.ground.constants import VALUES
from scaling.ground.materials import CONDUCTORS, LOOP_MATERIALS, MAGNETS
from scaling.ground.symbols import symbol
from scaling.laws import loop as law
from scaling.models.loops import (
    energy,
    energy_product,
    falling_branch,
    fitted,
    in_phase_flux_density,
    peak_flux_density,
)
from scaling.models.search import root

H, H_a, H_c, B_s, m_c = map(symbol, ("H", "H_a", "H_c", "B_s", "m_c"))
EACH = pytest.mark.parametrize("material", LOOP_MATERIALS.values(), ids=LOOP_MATERIALS)
# The loop is roundest, middling and squarest in these.
THREE = pytest.mark.parametrize("name", ["cast iron", "36 % cobalt steel", "cast AlNiCo 5"])
PEAK, ENERGY = law.loop_peak_flux_density.expr.rewrite(sp.log), law.loop_energy.expr.rewrite(sp.log)
RAYLEIGH = (1 - m_c) * B_s / (4 * H_a * H_c)  # magnetic constant times the Rayleigh constant nu
SHARE_OF_PEAK = 2e-3  # how near the part in phase is to that of the branch


def outer(loop):
    """Return what of a loop's parameters shapes its outer branch."""
    return {name: loop[name] for name in law.loop_remanence.args}


def rayleigh(loop):
    return (1 - loop["m_c"]) * loop["B_s"] / (4 * loop["H_a"] * loop["H_c"])


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
    small = {symbol("H_k"): H, symbol("H_i"): H, symbol("H_j"): H}
    expected = sp.Rational(4, 3) * RAYLEIGH * H**3
    assert sp.simplify(sp.series(ENERGY.subs(small), H, 0, 4).removeO() - expected) == 0
    assert sp.simplify(law.rayleigh_energy.expr - expected) == 0
    assert sp.simplify(sp.series(PEAK.subs(small), H, 0, 3).removeO() - RAYLEIGH * H**2) == 0


def test_large_loop_is_a_rectangle():
    w_c = symbol("w_c")
    large = {symbol("H_k"): 2 * H_c, symbol("H_i"): (1 + w_c) * H_c, symbol("H_j"): (1 - w_c) * H_c}
    assert sp.simplify(sp.limit(PEAK.subs(large), H, sp.oo) - B_s) == 0
    assert sp.simplify(sp.limit(ENERGY.subs(large), H, sp.oo) - 4 * B_s * H_c) == 0


@THREE
def test_numerical_loop_is_rayleighs_at_small_field(name):
    loop = fitted(LOOP_MATERIALS[name])
    constant = rayleigh(loop)
    small = 1e-3 * loop["H_a"]
    assert energy(small, loop) == pytest.approx(4 / 3 * constant * small**3, rel=2e-3)
    assert law.rayleigh_energy(H=small, **{n: loop[n] for n in ("H_a", "H_c", "B_s", "m_c")}) == pytest.approx(
        4 / 3 * constant * small**3, rel=1e-12
    )
    assert peak_flux_density(small, loop) == pytest.approx(constant * small**2, rel=2e-3)


def test_loop_keeps_its_digits_at_very_small_field():
    loop = fitted(LOOP_MATERIALS["cast AlNiCo 8"])
    constant = rayleigh(loop)
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
def test_fitted_loop_meets_its_record(material):
    loop = fitted(material)
    assert loop["B_s"] == material.saturation
    assert law.loop_remanence(**outer(loop)) == pytest.approx(material.remanence, rel=1e-9)
    assert (material.coercivity is None) != (material.energy_at_1_T is None)
    if material.coercivity is None:
        assert energy(field_of(1.0, loop), loop) == pytest.approx(material.energy_at_1_T, rel=1e-9)
    else:
        assert loop["H_c"] == material.coercivity
    if material.energy_product is None:
        assert loop["m_c"] == 0
    else:
        assert energy_product(loop) == pytest.approx(material.energy_product, rel=1e-9)
        assert 0.2 < loop["m_c"] < 0.9 and loop["H_a"] < 6 * loop["H_c"]


def test_every_material_has_the_same_parameters_as_floats():
    loops = [fitted(material) for material in LOOP_MATERIALS.values()]
    assert all(list(loop) == list(loops[0]) for loop in loops)
    assert all(type(value) is float for loop in loops for value in loop.values())


def test_every_value_of_a_record_has_a_source_and_a_status():
    """Every name of a value stands in front of a source that ends in its status."""
    for record in (*LOOP_MATERIALS.values(), *CONDUCTORS.values(), *MAGNETS.values()):
        for field in dataclasses.fields(record):
            if field.name not in ("name", "source", "strength", "oriented") and getattr(record, field.name) is not None:
                value = field.name.replace("_", " ")
                pattern = rf"\b{value}\b[^:;]*: (memory|[^;]*\((published|memory|common practice)\))"
                assert re.search(pattern, record.source), (record.name, value)


@EACH
def test_outer_branch_passes_through_remanence_and_coercivity(material):
    loop = fitted(material)
    top = 20 * loop["H_c"]
    assert falling_branch(0.0, top, loop) == pytest.approx(material.remanence, rel=1e-4)
    crossing = root(lambda field: falling_branch(field, top, loop), -2 * loop["H_c"], 0.0, steps=60)
    assert -crossing == pytest.approx(loop["H_c"], rel=1e-9)


@EACH
def test_energy_product_is_that_of_the_branch(material):
    """The branch is summed cell by cell; mu_0*H counts."""
    loop = fitted(material)
    fields = np.linspace(-loop["H_c"], 0, 501)
    B = falling_branch(fields, 20 * loop["H_c"], loop) + VALUES["mu_0"] * fields
    assert np.max(-fields * B) == pytest.approx(energy_product(loop), rel=1e-4)


@EACH
def test_a_second_fit_finds_the_same_loop(material):
    """Cells summed, bisection over the share of sharp cells."""
    loop, other = fitted(material), vars(brute_loops.fit(material))
    assert other == pytest.approx({name: loop[name] for name in other}, rel=1e-3)


@pytest.mark.parametrize(("product", "share"), [(1e2, 0.0), (40e3, 0.62)])
def test_an_energy_product_out_of_reach_gives_the_nearest_loop(product, share):
    """The share ends at remanence over saturation: the rest of the cells then no longer counts."""
    steel = dataclasses.replace(LOOP_MATERIALS["17 % cobalt steel"], energy_product=product)
    loop = fitted(steel)
    assert loop["m_c"] == pytest.approx(share, abs=0.01)
    assert law.loop_remanence(**outer(loop)) == pytest.approx(steel.remanence, rel=1e-9)


def test_tungsten_steel_has_the_coercivity_of_handbooks():
    """5.2 to 5.9 kA/m in handbook tables (memory): Steinmetz's energy at 1 T and the energy product agree."""
    assert 5.2e3 < fitted(LOOP_MATERIALS["hardened tungsten steel"])["H_c"] < 5.9e3


@EACH
def test_fullness_of_the_record(material):
    """Energy product over remanence times coercivity: 1/4 for a straight line, 1 for a rectangle, less mu_0*H."""
    if material.energy_product is not None:
        fullness = material.energy_product / material.remanence / fitted(material)["H_c"]
        assert 0.32 < fullness < 0.66


def test_coercivity_of_the_flux_density_is_that_of_the_trade_table():
    """Isotropic AlNiCo 8, grade LNGT18 of a trade table: 90 kA/m of B; the record holds that of the polarisation."""
    loop = fitted(LOOP_MATERIALS["isotropic AlNiCo 8"])

    def flux_density(field):
        return falling_branch(field, 20 * loop["H_c"], loop) + VALUES["mu_0"] * field

    assert -root(flux_density, -loop["H_c"], 0.0, steps=60) == pytest.approx(90e3, rel=5e-3)


def test_isotropic_grades_keep_about_half_of_their_saturation_and_oriented_ones_more():
    """Particles of one domain at random keep half (Stoner and Wohlfarth 1948); nothing is left for a field across."""
    for name, material in LOOP_MATERIALS.items():
        squareness = material.remanence / material.saturation
        if "isotropic" in name:
            assert not material.oriented and 0.5 < squareness < 0.65
        assert not material.oriented or squareness > 0.7


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
    assert (np.diff(ratio) < 0).all() and ratio[0] > (1.005 if loop["m_c"] > 0.5 else 1.05)


def test_rectangle_of_remanence_and_coercivity_is_neither_a_bound_nor_close():
    loop = fitted(LOOP_MATERIALS["cast iron"])
    box = 4 * law.loop_remanence(**outer(loop)) * loop["H_c"]
    assert energy(100 * loop["H_c"], loop) > 1.5 * box and energy(loop["H_c"], loop) < box / 1.5


@pytest.mark.parametrize("name", [n for n, m in LOOP_MATERIALS.items() if m.energy_at_1_T is not None])
def test_energy_goes_about_with_steinmetz_power_of_the_flux_density(name):
    """Steinmetz 1897, par. 80: loss per cycle goes with B**1.6, here between 0.2 and 1 T.

    Cells pinned at one field cost in proportion to B once they move: where they are many, the exponent is too small.
    """
    loop = fitted(LOOP_MATERIALS[name])
    B = np.geomspace(0.2, 1.0, 9)
    exponent = np.polyfit(np.log(B), np.log(energy(field_of(B, loop), loop)), 1)[0]
    assert (1.4 if loop["m_c"] == 0 else 1.25) < exponent < 1.9


# The fundamental


@THREE
@pytest.mark.parametrize("coercivities", [0.3, 0.95, 1.05, 2.0, 5.0, 100.0])
def test_fundamental_of_the_loop(name, coercivities):
    """The part in quadrature carries the energy exactly, the angle follows."""
    loop = fitted(LOOP_MATERIALS[name])
    H_m = coercivities * loop["H_c"]
    in_phase, quadrature = fundamental(H_m, loop, steps=4000, cells=100)
    assert np.pi * H_m * quadrature == pytest.approx(energy(H_m, loop), rel=4e-3)
    angle = law.loop_angle(W_h=energy(H_m, loop), B_i=in_phase_flux_density(H_m, loop), H=H_m)
    assert np.degrees(angle) == pytest.approx(np.degrees(np.arctan2(quadrature, in_phase)), abs=0.2)


@EACH
def test_part_in_phase_is_that_of_the_branch(material):
    """By direct quadrature over a half cycle, from a thousandth to a thousand coercivities."""
    loop = fitted(material)
    parts = np.concatenate([np.geomspace(1e-3, 1e3, 25), np.linspace(0.95, 2.5, 12), 1 + np.geomspace(1e-4, 3e-2, 6)])
    for H_m in parts * loop["H_c"]:
        in_phase, _ = fundamental(H_m, loop, steps=4000, cells=100)
        found, peak = in_phase_flux_density(H_m, loop), peak_flux_density(H_m, loop)
        assert abs(found - in_phase) < SHARE_OF_PEAK * peak


@EACH
def test_ratio_of_the_part_in_phase_keeps_within_its_limits(material):
    """1 in the Rayleigh region, 4/pi of a rectangle in a large field, never above."""
    loop = fitted(material)
    fields = np.geomspace(1e-6, 1e9, 4000) * loop["H_c"]
    ratio = in_phase_flux_density(fields, loop) / peak_flux_density(fields, loop)
    assert ratio[0] == pytest.approx(1, abs=1e-5) and ratio[-1] == pytest.approx(4 / np.pi, abs=1e-5)
    assert (ratio <= 4 / np.pi + 1e-6).all()
    if loop["m_c"] == 0:
        assert (ratio >= 1 - 1e-9).all()


def test_parameters_of_materials_stack():
    loops = [fitted(material) for material in LOOP_MATERIALS.values()]
    stacked = {name: np.array([loop[name] for loop in loops])[:, None] for name in loops[0]}
    fields = np.geomspace(1, 1e6, 50)
    for figure in (peak_flux_density, energy, in_phase_flux_density):
        assert figure(fields, stacked) == pytest.approx(np.stack([figure(fields, loop) for loop in loops]), rel=1e-13)


def test_peak_is_the_part_in_phase_in_the_rayleigh_region():
    loop = fitted(LOOP_MATERIALS["36 % cobalt steel"])
    small = 0.01 * loop["H_a"]
    in_phase, quadrature = fundamental(small, loop, steps=400)
    assert in_phase / peak_flux_density(small, loop) == pytest.approx(1, abs=2e-3)
    assert quadrature / in_phase == pytest.approx(4 / (3 * np.pi), rel=5e-3)  # W = 4/3*c*H**3 against B = c*H**2


def largest_angle(loop):
    """Return (largest hysteresis angle in degrees, field over coercivity where it is)."""
    parts = np.concatenate([np.geomspace(0.05, 0.99, 100), 1 + np.geomspace(1e-3, 20, 2000)])
    fields = parts * loop["H_c"]
    in_phase = in_phase_flux_density(fields, loop) + VALUES["mu_0"] * fields
    angle = law.loop_angle(W_h=energy(fields, loop), B_i=in_phase, H=fields)
    return np.degrees(angle.max()), parts[angle.argmax()]


@EACH
def test_a_square_loop_lags_by_most_where_its_band_opens(material):
    """A loop of evenly spread cells alone lags by at most 27 degrees, where its last cells start to move."""
    loop = fitted(material)
    angle, at = largest_angle(loop)
    if loop["m_c"] == 0:
        assert 24 < angle < 27 and at == pytest.approx(2, rel=0.05)
    else:
        assert 34 < angle < 62 and 0.9 < at < 1.2
