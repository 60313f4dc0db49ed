"""Thermal classes as a brief takes them: the table, the coolant, what is refused, what is told."""

from dataclasses import replace

import numpy as np
import pytest
from briefs import brief

from scaling import Q, certainty, choose, sweep
from scaling.ground.insulation import CLASSES
from scaling.interface import report
from scaling.laws import thermal

RISES = {"A": 60.0, "E": 75.0, "B": 80.0, "F": 105.0, "H": 125.0}  # K at 40 °C, by resistance
CELSIUS = {"Y": 90, "A": 105, "E": 120, "B": 130, "F": 155, "H": 180, "N": 200, "R": 220, "250": 250}


def test_the_table_is_that_of_the_standard():
    assert {name: one.celsius for name, one in CLASSES.items()} == CELSIUS
    assert {name: one.rise for name, one in CLASSES.items() if one.rise} == RISES
    for name, rise in RISES.items():  # coolant, mean rise, and 5 to 15 K for the hottest place make the class
        assert 5.0 <= CELSIUS[name] - 40.0 - rise <= 15.0


@pytest.mark.parametrize("name", RISES)
@pytest.mark.parametrize("form", ["class {0}", "{0}", "{1} ({0})", "class {1}", "class {1} ({0})", " class {0} "])
def test_every_way_to_write_a_class_is_read(name, form):
    typed = form.format(name, CELSIUS[name])
    made = brief(temperature_rise=typed)
    assert (made.si.thermal_class, made.temperature_rise) == (name, typed)
    assert made.si.temperature_rise == pytest.approx(RISES[name], abs=1e-9)


def test_a_plain_rise_has_no_class():
    assert brief(temperature_rise="80 K").si.thermal_class is None
    assert brief(temperature_rise="60 K +/- 10 K").si.thermal_class is None
    assert replace(brief(temperature_rise="class B"), temperature_rise="80 K").si.thermal_class is None


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("class C", "did you mean 'class B', of 130 °C"),
        ("G", "did you mean 'class F', of 155 °C"),
        ("class 140", "did you mean 'class B', of 130 °C"),
        ("class 160", "did you mean 'class F', of 155 °C"),
        ("130 (F)", "did you mean 'class B', of 130 °C"),
        ("class N", "no rise by resistance"),
        ("Y", "no rise by resistance"),
        ("class 220", "no rise by resistance"),
        ("class 250", "no rise by resistance"),
        ("130", "the unit is missing"),
        ("105", "the unit is missing"),
        ("class B +/- 5 K", "class B"),
        ("class", "not one number and one unit"),
        ("60 degC", "difference"),
        ("60 W", "Or a thermal class"),
    ],
)
def test_what_is_no_class_or_has_no_rise_is_refused(typed, told):
    with pytest.raises(ValueError, match="temperature_rise: got") as caught:
        brief(temperature_rise=typed)
    assert told in str(caught.value) and "'class F' (105 K)" in str(caught.value)


def test_a_bare_number_is_still_refused():
    with pytest.raises(TypeError, match="neither a text with a unit nor a quantity"):
        brief(temperature_rise=130)


# The coolant


@pytest.mark.parametrize(
    ("ambient", "rise"),
    [("40 degC", 105), ("50 degC", 95), ("60 degC", 85), ("25 degC", 120), ("10 degC", 135), ("-20 degC", 135)],
)
def test_another_coolant_moves_the_rise_by_its_difference(ambient, rise):
    made = brief(temperature_rise="class F", ambient=ambient)
    assert made.si.temperature_rise == pytest.approx(rise, abs=1e-9)
    assert thermal.class_rise(theta_c=105.0, T_a=made.si.ambient, T_40=313.15, theta_u=30.0) == pytest.approx(
        rise, abs=1e-9
    )


def test_above_60_degrees_the_standard_leaves_it_to_agreement():
    with pytest.raises(ValueError, match="above 60 °C to agreement"):
        brief(temperature_rise="class F", ambient="61 degC")
    assert brief(temperature_rise="85 K", ambient="61 degC").si.temperature_rise == 85.0


def test_thin_air_cools_less_and_leaves_the_rise():
    low, high = (brief(temperature_rise="class F", air_pressure=p) for p in ("101.325 kPa", "70 kPa"))
    assert low.si.temperature_rise == high.si.temperature_rise
    assert choose(high)["induction"].torque < choose(low)["induction"].torque


# What it means to a choice


def test_a_class_is_chosen_for_as_its_rise_and_never_in_silence():
    made = {typed: choose(brief(rotor_diameter="60 mm", temperature_rise=typed)) for typed in ("class F", "105 K")}
    for kind, design in made["class F"].designs.items():
        assert design.torque.m == pytest.approx(made["105 K"][kind].torque.m, rel=1e-9)
    assert "Class F: 105 K at 40 °C (rise by resistance, IEC 60034-1)." in made["class F"].remarks
    assert "Class F: 105 K at 40 °C" in str(report.choice(made["class F"]))
    assert not any("lass F" in remark for remark in made["105 K"].remarks)
    warm = choose(brief(rotor_diameter="60 mm", temperature_rise="class F", ambient="50 degC"))
    assert "Class F: 105 K at 40 °C, 95 K at 50 °C (rise by resistance, IEC 60034-1)." in warm.remarks
    none = choose(brief(temperature_rise="class F", torque="1 kN*m"))
    assert not none.feasible and any("Class F" in remark for remark in none.remarks)


def test_a_place_hotter_than_its_class_is_a_caution_and_no_refusal():
    """In water the drop inside is large: the hottest place is more than the 10 K of the standard above the mean."""
    hot, plain = (
        choose(brief(rotor_diameter="200 mm", temperature_rise=t, cooling="water", slot_fill=0.25, self_starting=False))
        for t in ("class F", "105 K")
    )
    for kind, design in hot.designs.items():
        told = [reason for reason in design.reasons if "above the 155 °C of class F" in reason]
        assert bool(told) == (40.0 + design.hot_spot_rise.m > 155.0), kind
        assert not any("hottest place" in reason for reason in plain[kind].reasons)
    assert any("hottest place" in reason for reason in hot["induction"].reasons) and hot["induction"].feasible
    still = choose(brief(temperature_rise="class F"))
    assert not any("hottest place" in reason for design in still.designs.values() for reason in design.reasons)


def test_sweeps_and_certainty_take_a_class():
    named, plain = (sweep(brief(temperature_rise=t), Q([5, 50], "mm")).merit for t in ("class F", "105 K"))
    for kind in named:
        np.testing.assert_allclose(named[kind], plain[kind], rtol=1e-9)
    rough = brief(temperature_rise="class F", ambient=("20 degC", "50 degC"))
    drawn = rough.drawn({"ambient": np.array([293.15, 313.15, 323.15])})
    np.testing.assert_allclose(drawn.temperature_rise, [125.0, 105.0, 95.0])
    assert certainty(rough, draws=1000).probability
