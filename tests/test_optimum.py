"""The free design that `choose` finds, against a dense search over candidates written afresh in plain NumPy.

Neither may be better by more than 0.1 %: a worse one missed the optimum, a better one broke a limit.
"""

import brute_force
import numpy as np
import pytest

from scaling import Brief, choose
from scaling.models.search import bisect, maximise

DRIVE = {"supply_frequency": ("20 Hz", "400 Hz")}
BAND = {"speed": ("1000 rpm", "1400 rpm")}
WATER = {"cooling": "water", "coolant_speed": "1 m/s"}
FAN = {"cooling": "shaft fan", "fin_factor": 2.0}
BARE = {"self_starting": True, "load_inertia_ratio": 0.0}
FREE = {"self_starting": False, "gap_floor": "20 um"}
TORQUE, MASS, POWER = "torque per volume", "torque per mass", "power per volume"
ROOT, EFFICIENCY = "torque per root watt", "efficiency"

CASES = [  # kind, size, merit, brief, a limit that must be active
    ("induction", "2 mm", TORQUE, {"bearing_friction": 0.001}, "slip limit"),
    ("induction", "20 mm", TORQUE, {"slip_limit": 0.3}, "temperature rise"),
    ("induction", "20 mm", POWER, {"slip_limit": 0.3}, "temperature rise"),
    ("induction", "200 mm", TORQUE, WATER, "gap field"),
    ("induction", "60 mm", TORQUE, {**WATER, "pole_pairs": 1}, "yoke field"),
    ("induction", "200 mm", POWER, {**WATER, **DRIVE}, "rim speed"),
    ("induction", "200 mm", EFFICIENCY, DRIVE, None),
    ("induction", "200 mm", TORQUE, FAN, None),
    ("induction", "200 mm", TORQUE, {**FAN, **DRIVE}, None),
    ("induction", "20 mm", TORQUE, {**DRIVE, **BAND}, "slip limit"),
    ("induction", "350 mm", TORQUE, {**DRIVE, **BAND}, "speed asked for"),
    ("induction", "1 m", TORQUE, {"cooling": "30 W/m^2/K"}, None),
    ("induction", "100 mm", MASS, {}, "temperature rise"),
    ("induction", "20 mm", ROOT, {}, None),
    ("induction", "20 mm", TORQUE, {"induction_rotor": "sheet"}, None),
    ("induction", "200 mm", POWER, {"induction_rotor": "sheet", **DRIVE}, None),
    ("hysteresis", "2 mm", TORQUE, {}, "gap floor"),
    ("hysteresis", "20 mm", TORQUE, {}, "temperature rise"),
    ("hysteresis", "200 mm", TORQUE, WATER, "rotor thickness"),
    ("hysteresis", "20 mm", TORQUE, {**WATER, "coolant_speed": "5 m/s", "gap_field_limit": "0.3 T"}, "gap field"),
    ("hysteresis", "200 mm", POWER, DRIVE, None),
    ("hysteresis", "20 mm", EFFICIENCY, {}, None),
    ("hysteresis", "200 mm", ROOT, {}, None),
    ("hysteresis", "100 mm", MASS, FAN, None),
    ("reluctance", "2 mm", TORQUE, {}, "temperature rise"),
    ("reluctance", "200 mm", TORQUE, WATER, "gap field"),
    ("reluctance", "60 mm", TORQUE, {**WATER, "pole_pairs": 1}, "yoke field"),
    ("reluctance", "200 mm", TORQUE, DRIVE, "frequency range"),
    ("reluctance", "200 mm", POWER, DRIVE, None),
    ("reluctance", "1 m", TORQUE, {"cooling": "30 W/m^2/K"}, None),
    ("reluctance", "100 mm", EFFICIENCY, {}, None),
    ("reluctance", "20 mm", ROOT, {}, None),
    ("magnet", "2 mm", TORQUE, {}, "gap field"),
    ("magnet", "20 mm", POWER, {**DRIVE, **BAND}, None),
    ("magnet", "200 mm", EFFICIENCY, {}, None),
    ("magnet", "200 mm", TORQUE, FAN, None),
    ("magnet", "20 mm", ROOT, {"magnet": "hard ferrite"}, "rotor thickness"),
    ("magnet", "2 mm", TORQUE, BARE, None),
    ("reluctance", "0.3 mm", TORQUE, {**BARE, "slot_pitch_floor": "60 um"}, None),
]


def name(case):
    return "-".join(str(part) for part in (*case[:3], *case[3].values()))


@pytest.mark.parametrize("case", CASES, ids=name)
def test_choose_finds_what_a_dense_search_finds(case):
    kind, size, merit, given, limit = case
    brief = Brief(rotor_diameter=size, **{**FREE, **given})
    design = choose(brief, merit)[kind]
    found = brute_force.search(kind, brief.si, merit)
    assert found is not None and design.feasible
    assert design.merit == pytest.approx(found.merit, rel=1e-3)
    if limit is not None:
        assert limit in design.limited_by


def test_every_bound_is_active_in_some_case():
    wanted = {"slip limit", "gap field", "yoke field", "rotor thickness", "frequency range", "rim speed"}
    assert wanted | {"speed asked for", "temperature rise", "gap floor"} <= {case[4] for case in CASES}


@pytest.mark.parametrize("case", CASES, ids=name)
def test_energy_closes_and_heat_keeps_to_the_budget(case):
    kind, size, merit, given, _ = case
    brief = Brief(rotor_diameter=size, **{**FREE, **given})
    v = choose(brief, merit)[kind].values
    crossing = v["shear_stress"] * 2 * v["frequency"] * np.pi / v["wave_number"] * np.pi * v["rotor_diameter"]
    electric = crossing * v["active_length"] + v["winding loss"] + v["core loss"]
    assert electric == pytest.approx(v["power"] + v["loss"], rel=1e-9)
    allowed = v["heat_coefficient"] * brief.si.temperature_rise
    assert v["heat_flux"] <= allowed * (1 + 2e-3)
    if merit in (TORQUE, MASS, POWER) and "temperature rise" in choose(brief, merit)[kind].limited_by:
        assert v["heat_flux"] == pytest.approx(allowed, rel=0.03)


@pytest.mark.parametrize("kind", ["induction", "hysteresis", "reluctance", "magnet"])
def test_no_given_pole_number_beats_the_best_one(kind):
    best = choose(Brief(rotor_diameter="50 mm", **FREE))[kind].merit
    given = [choose(Brief(rotor_diameter="50 mm", pole_pairs=p, **FREE))[kind].merit for p in (1, 2, 3, 4, 6, 8)]
    assert max(given) == pytest.approx(best, rel=1e-9) or max(given) < best


@pytest.mark.parametrize("top", [-3.0, 0.0, 0.3, 2.0, 5.0])
def test_maximise_finds_smooth_tops_kinks_and_ends(top):
    low, high = np.full(3, -1.0), np.full(3, 3.0)
    at = maximise(lambda x: -((x - top) ** 2), low, high)
    np.testing.assert_allclose(at, np.clip(top, -1, 3), atol=1e-3)
    kink = maximise(lambda x: np.minimum(x - top, 3 * (top - x)), low, high)
    np.testing.assert_allclose(kink, np.clip(top, -1, 3), atol=1e-4)


def test_maximise_takes_nan_as_worst():
    at = maximise(lambda x: np.where(x > 1.0, np.nan, x), np.zeros(2), np.full(2, 4.0), steps=40)
    np.testing.assert_allclose(at, 1.0, atol=1e-6)


def test_bisect_finds_each_element_its_own_root_or_the_nearer_end():
    root = np.array([0.2, 0.9, 5.0, -5.0])
    found = bisect(lambda x: x**3 - root**3, np.zeros(4), np.ones(4))
    np.testing.assert_allclose(found, [0.2, 0.9, 1.0, 0.0], atol=1e-10)
