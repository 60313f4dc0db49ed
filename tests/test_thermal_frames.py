"""Ratings with the ways of heat inside: drives cooled by water, fast spindles. Frames: ``test_frames``."""

import pytest

from scaling import Brief, choose

TRACTION = {
    "rotor_diameter": "160 mm", "active_length": "150 mm", "gap_floor": "0.7 mm", "speed": "4500 rpm",
    "supply_frequency": ("10 Hz", "1 kHz"), "temperature_rise": "100 K", "ambient": "65 degC", "self_starting": False,
    "magnets_allowed": True, "sleeved": True,
}  # fmt: skip


def traction(drop, coefficient):
    made = choose(Brief(**TRACTION, temperature_drop=drop, cooling=coefficient), "power per volume")
    return made["magnet"].merit / made["induction"].merit, made


def test_a_wall_cooled_ever_better_does_not_decide_the_kind():
    # Magnet over induction: as built 1.21, 1.25 at 1500 and 3000 W/m²K; of one temperature 0.9, 0.68.
    built = [traction("as built", h)[0] for h in ("1500 W/m^2/K", "3000 W/m^2/K")]
    one = [traction("none", h)[0] for h in ("1500 W/m^2/K", "3000 W/m^2/K")]
    assert built == pytest.approx([1.21, 1.25], abs=0.1)
    assert one[0] < 1 and one[1] < 0.8


def test_current_densities_behind_water_are_those_of_jackets():
    # 9.5 and 11 A/mm²; 10 to 20 in continuous duty behind a jacket (common practice, from memory). Of one temperature
    # 50 and more.
    for kind in ("induction", "magnet"):
        dense, mad = (
            traction(drop, "3000 W/m^2/K")[1][kind].current_density_rms.m_as("A/mm**2") for drop in ("as built", "none")
        )
        assert 9 < dense < 20 and mad > 40


def test_a_spindle_behind_water():
    # 60 000 rpm, rotor 30 x 60 mm: 39 to 47 A/mm² as built, 230 to 280 of one temperature. Practice has 8 to 15 (from
    # memory) in stators with more copper, which is not searched.
    given = {
        "rotor_diameter": "30 mm", "active_length": "60 mm", "gap_floor": "0.3 mm", "speed": "60000 rpm",
        "supply_frequency": ("100 Hz", "4 kHz"),
        "cooling": "water", "temperature_rise": "80 K", "sleeved": True, "self_starting": False,
        "rim_speed_limit": "150 m/s", "magnets_allowed": True, "core_loss": "2.5 W/kg",
    }  # fmt: skip
    built, one = (choose(Brief(**given, temperature_drop=drop), "power per volume") for drop in ("as built", "none"))
    assert built.best.kind == "magnet" and one.best.kind == "induction"
    for kind in ("induction", "magnet"):
        assert built[kind].power.m < 0.3 * one[kind].power.m
        assert built[kind].current_density_rms.m < 0.3 * one[kind].current_density_rms.m
