"""Electrical sheet and the ampere-turns of a machine's iron: the table, its limits, the sum by another route."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from scaling.ground.constants import VALUES
from scaling.ground.materials import SHEET_MAGNETISATION
from scaling.models.iron import field_strength, iron_ampere_turns

MU_0 = VALUES["mu_0"]
H = np.array(SHEET_MAGNETISATION["H"])
B = np.array(SHEET_MAGNETISATION["J"]) + MU_0 * H
STATOR = {"tau": 0.08, "g_m": 0.7e-3, "D_i": 0.102, "d_s": 0.015, "y": 0.02, "phi_t": 0.5, "k_s": 0.96}
ROTOR = {"D": 0.1, "t": 0.012, "phi_r": 0.5, "k_r": 0.96}
MACHINE = STATOR | ROTOR


# The sheet


def test_curve_meets_its_table():
    assert field_strength(B) == pytest.approx(H, rel=1e-12)
    assert field_strength(-B) == pytest.approx(-H, rel=1e-12)


def test_sheet_polarises_at_least_as_its_grade_asks():
    """EN 10106, 50A grades of 4 W/kg: at least 1.53, 1.63 and 1.73 T at 2.5, 5 and 10 kA/m (memory)."""
    for field, least in ((2.5e3, 1.53), (5e3, 1.63), (10e3, 1.73)):
        assert field_strength(least) < field < field_strength(least + 0.06)


def test_curve_rises_and_its_slope_has_no_jump_and_is_never_above_that_of_vacuum():
    at = np.linspace(0.0, 2.6, 52001)
    slope = np.diff(field_strength(at)) / np.diff(at)
    assert (slope > 0).all() and slope.max() < (1 + 1e-9) / MU_0
    assert np.abs(np.diff(slope)).max() < 4e-3 / MU_0  # a kink of the table's chords is up to 0.5/mu_0
    chords = np.diff(H) / np.diff(B)
    assert np.abs(np.diff(chords)).max() > 0.4 / MU_0


def test_saturated_sheet_adds_no_more_than_vacuum():
    assert field_strength(3.0) - field_strength(2.5) == pytest.approx(0.5 / MU_0, rel=1e-12)
    assert 3.0 - MU_0 * field_strength(3.0) == pytest.approx(SHEET_MAGNETISATION["J"][-1], rel=1e-9)


def test_curve_is_that_of_a_shape_preserving_interpolation():
    inner = np.linspace(B[1], B[-2], 2000)  # the outermost pieces end in slopes of their own
    assert field_strength(inner) == pytest.approx(PchipInterpolator(B, H)(inner), rel=1e-9)


def test_nan_passes_and_shapes_broadcast():
    assert np.isnan(field_strength(np.array([np.nan, 1.0]))).tolist() == [True, False]
    found = iron_ampere_turns(np.array([[0.5], [np.nan]]), **MACHINE | {"tau": np.array([0.04, 0.08, np.nan])})
    assert np.isnan(found).tolist() == [[False, False, True], [True, True, True]]
    assert found[0, 1] == pytest.approx(iron_ampere_turns(0.5, **MACHINE), rel=1e-12)


# The machine


def trapezoid(values, over):
    return np.trapezoid(values, over) / (over[-1] - over[0])


@pytest.mark.parametrize(("field", "tolerance"), [(0.3, 1e-4), (0.6, 1e-3), (0.72, 2e-3)])
def test_ampere_turns_are_those_added_up_by_hand(field, tolerance):
    """Four poles on a bore of 102 mm: lengths worked out by hand, integrals by the trapezoid rule, inside the table."""
    sheet = PchipInterpolator(B, H)
    angle = np.linspace(0, np.pi / 2, 4001)
    tooth = 15e-3 * sheet(field / 0.48)
    yoke = 59.69e-3 * trapezoid(sheet(field * 80.11 / np.pi / 19.2 * np.sin(angle)), angle)  # an eighth of 152*pi
    core = 14.92e-3 * trapezoid(sheet(field * 80.11 / np.pi / 36.48 * np.sin(angle)), angle)  # an eighth of 38*pi
    radius = np.linspace(38e-3, 50e-3, 4001)
    teeth = 12e-3 * trapezoid(sheet(field * 51e-3 / 0.48 / radius), radius)
    gap = field / MU_0 * 0.7e-3
    machine = MACHINE | {"tau": np.pi * 0.102 / 4}
    by_hand = 1 + (tooth + yoke + teeth + core) / gap
    assert iron_ampere_turns(field, **machine) == pytest.approx(by_hand, rel=tolerance)


def test_iron_counts_for_nothing_beside_a_wide_gap():
    for gap in (1e-3, 1e-2, 1.0):
        assert iron_ampere_turns(0.3, **MACHINE | {"g_m": gap}) - 1 == pytest.approx(0.0271 * 1e-3 / gap, rel=1e-2)


def test_a_small_field_sees_the_initial_permeability():
    """J over H of the table's first point: 933, so all lengths of iron over it add to the gap."""
    mu_r = B[1] / H[1] / MU_0
    assert mu_r == pytest.approx(934, rel=1e-3)
    yoke = 0.04 * 0.152 / 0.102 * (2 / np.pi) * 0.08 / (np.pi * 0.02 * 0.96)
    length = 0.015 / 0.48 + yoke
    assert iron_ampere_turns(1e-5, **STATOR) == pytest.approx(1 + length / mu_r / 0.7e-3, rel=1e-3)


def test_share_of_the_iron_falls_to_the_largest_permeability_and_rises_from_there():
    field = np.linspace(0.02, 1.2, 400)
    share = iron_ampere_turns(field, **MACHINE)
    least = int(np.argmin(share))
    assert 0.3 < field[least] < 0.6 and share[least] < 1.05
    assert (np.diff(share[:least]) < 0).all() and (np.diff(share[least:]) > 0).all()


def test_every_part_of_the_iron_adds():
    whole = iron_ampere_turns(0.7, **MACHINE)
    without_teeth = iron_ampere_turns(0.7, **MACHINE | {"phi_r": None})
    stator = iron_ampere_turns(0.7, **STATOR)
    assert 1 < stator < without_teeth < whole
    assert iron_ampere_turns(0.7, **MACHINE | {"k_s": 0.9}) > whole > iron_ampere_turns(0.7, **MACHINE | {"y": 0.03})
