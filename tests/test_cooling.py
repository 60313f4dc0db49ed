"""Cooling as a brief has it: codes of IEC 60034-6, fins that come with them, and the power of a fan on the shaft."""

from dataclasses import replace

import numpy as np
import pytest
from briefs import brief

from scaling import choose
from scaling.decision import cooling
from scaling.decision.curve import Curve, remade
from scaling.models import heat

FAN = {"rotor_diameter": "110 mm", "cooling": "shaft fan", "magnets_allowed": True}


@pytest.fixture(scope="module")
def made():
    return choose(brief(**FAN))


# Codes


@pytest.mark.parametrize(
    ("code", "mode", "fins"),
    [("410", "still air", 1.0), ("411", "shaft fan", 2.0), ("416", "forced air", 2.0), ("418", "forced air", 2.0)]
    + [("71W", "water jacket", 1.0), ("7A1W7", "water jacket", 1.0), ("3W7", "water jacket", 1.0)]
    + [("7A1U7", "oil jacket", 1.0), ("4A1A1", "shaft fan", 2.0), ("40", "still air", 1.0)],
)
def test_a_code_is_read_with_and_without_blanks_and_brings_its_fins(code, mode, fins):
    for typed in (f"IC {code}", f"IC{code}", f"ic {code.lower()}"):
        asked = brief(cooling=typed)
        assert (asked.si.cooling, asked.si.fin_factor, asked.cooling) == (mode, fins, typed)
        assert brief(cooling=typed, fin_factor=1.5).si.fin_factor == 1.5
        assert replace(asked, cooling=mode).si.fin_factor == 1.0, "a mode says nothing of fins"


def test_every_code_leads_to_a_mode_and_every_other_circuit_is_told_why_not():
    assert set(cooling.CODES.values()) < set(heat.MODES) and set(cooling.FINNED) < set(cooling.CODES)
    for circuit, why in cooling.CIRCUITS.items():
        with pytest.raises(ValueError, match=f"^cooling: got 'IC {circuit}9Q': {why}, which is not modelled; .*60 W/m"):
            brief(cooling=f"IC {circuit}9Q")
    for typed in ("IC 01", "IC 06", "IC 37", "IC 511", "IC 611", "IC 81W", "IC 86W"):
        with pytest.raises(ValueError, match="is not modelled; expected one of 'IC 410'"):
            brief(cooling=typed)


@pytest.mark.parametrize("typed", ["IC", "ICE 411", "411", "IP 55"])
def test_what_is_no_code_is_refused_as_any_other_text(typed):
    with pytest.raises(ValueError, match="cooling"):
        brief(cooling=typed)


def test_a_code_gives_what_its_mode_with_fins_gives():
    code, mode = (
        choose(brief(rotor_diameter="110 mm", **given))["induction"]
        for given in ({"cooling": "IC 411"}, {"cooling": "shaft fan", "fin_factor": 2.0})
    )
    assert code.values == pytest.approx(mode.values, nan_ok=True)


# The fan on the shaft


def test_the_power_of_a_fan_brakes_and_does_not_warm(made):
    asked = made.brief.si
    for kind, design in made.designs.items():
        point, v = remade(made, kind), design.values
        wind = v["speed"] * v["rotor_diameter"] / 2
        density = np.asarray(point.stator.air[2]).item()
        power = asked.fan_loss_coefficient * density / 2 * wind**3 * np.pi / 4 * v["outside_diameter"] ** 2
        assert v["fan loss"] == pytest.approx(power, rel=1e-3) and 0 < power < 0.1 * v["loss"]
        assert v["loss"] == pytest.approx(sum(loss.m for loss in design.losses.values()), rel=1e-9)
        assert v["efficiency"] == pytest.approx(v["power"] / (v["power"] + v["loss"]), rel=1e-9)
        passed = v["heat_coefficient"] * v["frame_rise"]
        assert passed == pytest.approx((v["loss"] - v["fan loss"]) / np.asarray(point.stator.outside_area).item(), 1e-3)


def test_without_its_power_a_fan_leaves_the_same_machine_more_torque(made):
    free = choose(replace(made.brief, fan_loss_coefficient=0.0))
    for kind, design in made.designs.items():
        a, b = free[kind].values, design.values
        assert a["fan loss"] == 0.0 and a["torque"] > b["torque"]
        assert a["torque"] - b["torque"] == pytest.approx(b["fan loss"] / b["speed"], rel=0.05)
        assert a["winding_rise"] == pytest.approx(b["winding_rise"], rel=1e-3)  # it takes nothing of the heat budget


def test_only_a_fan_on_the_shaft_has_its_power_from_the_machine():
    for mode in heat.MODES:
        loss = choose(brief(rotor_diameter="60 mm", cooling=mode))["induction"].losses["fan"].m
        assert (loss > 0) == (mode == "shaft fan")


def test_on_a_drive_a_fan_with_a_large_appetite_is_turned_slower():
    drive = FAN | {"supply_frequency": ("10 Hz", "400 Hz"), "rim_speed_limit": "200 m/s"}
    speeds = [
        choose(brief(**drive, fan_loss_coefficient=c), "power per volume")["reluctance"].speed.m for c in (0.0, 10.0)
    ]
    assert speeds[1] < 0.95 * speeds[0]


def test_the_curve_has_the_fan_with_the_square_of_the_speed(made):
    curve, point = Curve(made, "induction", 2.0), remade(made, "induction")
    bare = Curve(choose(replace(made.brief, fan_loss_coefficient=0.0)), "induction", 2.0)
    speed = point.speed.item()
    fan = point.losses["fan"].item() / speed
    for part in (0.5, 1.0):
        found = curve.friction(part * speed) - bare.friction(part * speed)
        assert found == pytest.approx(part**2 * fan, rel=0.02)
