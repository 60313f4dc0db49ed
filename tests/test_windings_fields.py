"""Windings that cannot be, with what to give instead, and every field of the brief that a winding reads."""

import math

import pytest
from briefs import TWO_VALUES, brief
from test_windings_voltage import KINDS, PLAIN, alone, made

from scaling import Brief, choose
from scaling.decision.brief_electrical import ELECTRICAL
from scaling.decision.optimum import best_designs
from scaling.decision.windings import winding
from scaling.interface import report_winding


@pytest.fixture(scope="module")
def plain():
    return choose(Brief(**PLAIN, voltage="400 V"))


# Why none


def test_wire_too_fine_is_told_with_the_voltage_that_can_be_wound():
    given = {"rotor_diameter": "0.5 mm", "gap_floor": "5 um"}
    found = winding(alone(Brief(**given, voltage="400 V"), "magnet"), "magnet")
    assert not found.feasible and found.conductors_per_slot is None and math.isnan(found.turns)
    told = found.reasons[0]
    assert "conductors a slot (star, 1 path) at 400 V want wire of 4" in told and "thinnest_wire lets 7 in" in told
    highest = float(told.split("good for ")[1].split(" V")[0])
    lower = winding(alone(Brief(**given, voltage=f"{highest} V", voltage_tolerance=0.1), "magnet"), "magnet")
    assert lower.conductors_per_slot in (6, 7)
    assert math.sqrt(3) * 400 * found.line_current.m * found.power_factor == pytest.approx(
        found.input_power.m, rel=1e-9
    )


def test_less_than_one_conductor_is_told_with_what_to_give():
    given = {**PLAIN, "rotor_diameter": "1500 mm"}
    found = winding(alone(Brief(**given, voltage="400 V", parallel_paths=1)), "induction")
    told = found.reasons[0]
    assert not found.feasible and told.startswith(
        "0.359 conductors a slot would suit 400 V; the nearest whole number, 1"
    )
    assert "connection='best'" in told and "more parallel paths" in told
    wants = told.split("give a voltage of ")[1].split(",")[0]
    assert winding(alone(Brief(**given, voltage=wants, parallel_paths=1)), "induction").conductors_per_slot == 1
    free = winding(alone(Brief(**given, voltage="400 V", connection="best")), "induction")
    assert free.feasible and free.parallel_paths > 1
    assert abs(free.wanted_voltage.m / 400 - 1) <= 0.05


def test_conductors_given_have_to_suit_the_voltage():
    found = winding(made(conductors_per_slot=20), "induction")
    assert not found.feasible and "leave conductors_per_slot open" in found.reasons[0]
    wants = found.reasons[0].split("want ")[1].split(",")[0]
    assert winding(made(voltage=wants, conductors_per_slot=20), "induction").conductors_per_slot == 20


def test_of_what_no_winding_follows(plain):
    with pytest.raises(ValueError, match="voltage: the brief gives none"):
        winding(alone(Brief(**PLAIN)), "induction")
    with pytest.raises(ValueError, match="main and auxiliary"):
        winding(alone(Brief(**PLAIN, voltage="230 V", supply="single-phase")), "induction")
    with pytest.raises(TypeError, match="choice"):
        winding("induction", plain)
    with pytest.raises(ValueError, match="voltage: got '5 A'"):
        Brief(**PLAIN, voltage="5 A")


# Fields


def test_no_choice_depends_on_the_voltage(plain):
    bare = choose(Brief(**PLAIN))
    delta = choose(Brief(**PLAIN, voltage="690 V", connection="delta", winding_layers=2))
    assert bare.designs == plain.designs == delta.designs and bare.reason == plain.reason
    asked = Brief(**PLAIN, voltage="690 V", winding_layers=2)  # searched afresh
    found = best_designs(asked.si, [asked.si.rotor_diameter], plain.merit, True, ("induction",))["induction"]
    assert found.figures["torque"].item() == plain["induction"].values["torque"]


@pytest.mark.parametrize("field", sorted(ELECTRICAL))
def test_every_field_changes_the_winding(field):
    first, second, base = TWO_VALUES[field]
    one, other = (winding(alone(brief(**base | {field: value})), "induction") for value in (first, second))
    assert str(report_winding.winding(one)) != str(report_winding.winding(other))


def test_a_drive_s_voltage_suffices():
    drive = {"supply_frequency": ("10 Hz", "200 Hz"), "speed": "3000 rpm", "cooling": "water"}
    for kind in KINDS:
        choice = alone(Brief(**PLAIN | drive, voltage="400 V"), kind)
        found = winding(choice, kind)
        assert found.conductors_per_slot <= found.ideal_conductors and found.wanted_voltage.m <= 400.0
        assert found.flux == 1.0 and math.isnan(found.locked_rotor_current.m)
        volts = found.phase_voltage.m * math.sqrt(3)
        assert volts <= 400.0 * (1 + 1e-9)
        assert 3 * found.phase_voltage.m * found.phase_current.m * found.power_factor == pytest.approx(
            found.input_power.m, rel=1e-9
        )


def test_etched_lines_and_a_given_fill():
    asked = Brief(rotor_diameter="1 mm", gap_floor="5 um", winding="etched", voltage="0.3 V")
    etched = winding(alone(asked, "magnet"), "magnet")
    assert etched.feasible and math.isnan(etched.wire_diameter.m) and etched.resistance_factor == 1.0
    filled = winding(made(slot_fill=0.4), "induction")
    assert filled.slot_fill <= 0.4 and filled.slot_fill > 0.36


def test_the_report_names_every_row_and_the_reasons(plain):
    text = str(report_winding.winding(*(winding(plain, kind) for kind in KINDS)))
    assert text.count("|\n") > 30 and "conductors per slot | 52, ideal 51.61 |" in text and "**Hysteresis**" in text
    with pytest.raises(TypeError, match="winding"):
        report_winding.winding()
