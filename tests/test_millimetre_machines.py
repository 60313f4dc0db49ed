"""Machines of 2 to 10 mm that were built, from publications: order of magnitude of their shear stress."""

import math

import numpy as np
import pytest
from published import frames as standard
from published.frames import TABLES

from scaling import Brief, choose


def factor(ratio):
    return np.maximum(ratio, 1 / ratio)


SMALL_MACHINES = {"10 mm": ("3 mm", "305000 rpm"), "4 mm": ("1 mm", "50000 rpm"), "2 mm": ("0.6 mm", "392000 rpm")}


def millimetre_machine(size, **given):
    """Return the choice for a radial machine of a published diameter and speed in moving air, gap 100 um.

    Sheet of 1 W/kg and no building factor: the brief's default, 0.5 mm sheet, is not made for 10 kHz. Bearings of air.
    """
    length, speed = SMALL_MACHINES[size]
    fields = {
        "rotor_diameter": size,
        "active_length": length,
        "speed": speed,
        "supply_frequency": ("100 Hz", "60 kHz"),
        "gap_floor": "100 um",
        "core_loss": "1 W/kg",
        "core_building_factor": 1.0,
        "rim_speed_limit": "250 m/s",
        "sleeved": True,
        "cooling": "forced air",
        "coolant_speed": "30 m/s",
        "bearing_friction": 0.0,
        "lubricant_viscosity": "0.02 mPa*s",
    }
    return choose(Brief(**fields | given), merit=standard.MERIT)


def test_shear_stress_of_the_published_small_machines():
    # Discs: torque = 2/3*pi*R^3*shear.
    for kind, diameter, speed, power, shear in TABLES["small_machines"]["data"]:
        if kind == "magnet":
            torque = power / (speed * math.pi / 30)
            found = torque / (2 / 3 * math.pi * (diameter / 2e3) ** 3) / 1e3
            assert found == pytest.approx(shear, rel=0.2)


def test_millimetre_machines():
    # Published: 10 mm magnet 1.1 kPa, 4 mm induction about 0.15 kPa (its speed taken as 50 000 rpm here).
    millimetre = {size: millimetre_machine(size) for size in SMALL_MACHINES}
    magnet, cage = ({size: c[kind].values for size, c in millimetre.items()} for kind in ("magnet", "induction"))
    assert factor(magnet["10 mm"]["shear_stress"] / 1.1e3) < 10
    assert factor(cage["4 mm"]["shear_stress"] / 0.15e3) < 10
    # 2 mm: 0.042 kPa is what one load took; the package's 6 kPa is 150 times that: an upper bound, no agreement.
    assert magnet["2 mm"]["shear_stress"] > 0.042e3
    # Published: magnet beats induction by 5 to 10 times and more. 13 and 17 at 4 and 2 mm, where induction runs at half
    # the field's speed. Missed at 10 mm and 305 000 rpm, 2.3 times: the iron's loss above 10 kHz holds the magnet back.
    lead = {size: magnet[size]["shear_stress"] / cage[size]["shear_stress"] for size in SMALL_MACHINES}
    assert lead["4 mm"] > 10 and lead["2 mm"] > 10
    assert 2 < lead["10 mm"] < 5


def test_ordinary_sheet_hides_the_lead_of_the_magnet():
    # The same 10 mm machine in the brief's default sheet: 1.5 times (2 to 5 in thin sheet). The law of core loss is
    # good up to 400 Hz and runs here at ten to forty thousand; the choice says so.
    made = millimetre_machine("10 mm", core_loss="4 W/kg", core_building_factor=1.7)
    lead = made["magnet"].values["shear_stress"] / made["induction"].values["shear_stress"]
    assert 0.8 < lead < 1.7
    assert any("400 Hz" in reason for reason in made["induction"].reasons)
