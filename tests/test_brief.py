"""Bad input is refused at once with field, value and remedy; impossible briefs are answered with reasons."""

import math
import re
import time

import numpy as np
import pytest
from briefs import FIELDS, FLAGS, NAMES, RATIOS, TWO_VALUES, UNITS_DUE, brief

from scaling import Brief, Q, choose, sweep
from scaling.interface import report

PLAIN = brief()
REMEDY = re.compile("expected|Give |give |did you mean|lists the fields")


def check_refusal(call, field, value, hint=""):
    """Check that a call is refused within a second by a message with field, value and what is expected."""
    started = time.perf_counter()
    with pytest.raises((TypeError, ValueError)) as caught:
        call()
    assert time.perf_counter() - started < 1
    message = str(caught.value)
    shown = repr(value)[: 20 if isinstance(value, str) else 5]
    assert message.startswith(f"{field}: got ") and shown in message, message
    assert REMEDY.search(message) and hint in message and len(message) < 500 and "\n" not in message, message


def cells(table):
    """Return (first, text) for each text of a table with rows: first | text | text ..."""
    rows = [line.split(" | ") for line in table.strip().splitlines()]
    return [(first, text) for first, *texts in rows for text in texts]


# Bad values

ENDLESS = ("1" * 10**6, "2 " + "m*" * 10**6 + "m", "(" * 10**6, "x" * 10**6)
NOT_QUANTITIES = [20, 20.0, True, 1j, b"20 mm", {"20 mm": 1}, math.nan, math.inf, np.ones(3), 10**400]
NOT_RATIOS = ["two", "", "nan", "0.5 mm", "40 percent", "40 %", "0,4", "1e400", "9**9**7", -0.1, math.nan, -math.inf]
NOT_RATIOS += [1e7, True, None, 1j, [0.5], (0.2, 0.1), b"0.5", np.ones(3), 10**400, *ENDLESS]
NOT_FLAGS = ["True", "yes", "false", "", 1, 0, 1.0, None, np.True_, [], "x" * 10**6]
NOT_NAMES = ["coper", "", " copper", "Copper", 5, None, True, ["copper"], b"copper", *ENDLESS]
NOT_COUNTS = [0, 1.5, -2, True, None, "two", "1.5", "0", math.nan, math.inf, 10**400, [1], "x" * 10**6, 1000]
NOT_COOLING = ["breeze", "stil air", "", "25", "-5 W/m^2/K", "0 W/m^2/K", "25 W/m^2", "25 K", 25, 2.5, None, True]
NOT_COOLING += [("water",), b"water", "1e400 W/m^2/K", "9**9**7 W/m^2/K", "2,5 W/m^2/K", *ENDLESS]


def with_unit(field, number):
    unit = "K" if field == "ambient" else TWO_VALUES[field][0].split()[1]
    return f"{number} {unit}"


def test_the_table_of_values_covers_every_field():
    assert sorted(TWO_VALUES) == sorted(FIELDS)
    counts = {"pole_pairs", "slots_per_pole_and_phase", "barriers", "conductors_per_slot"}
    counts |= {"parallel_paths", "winding_layers"}
    groups = {*UNITS_DUE, *RATIOS, *FLAGS, *NAMES, *counts, "cooling"}
    assert groups == set(FIELDS)


@pytest.mark.parametrize("number", ["0", "-3", "nan", "inf", "-inf", "1e400", "1e-400", "3,5", "9**9**7", "1e300", "x"])
@pytest.mark.parametrize("field", UNITS_DUE)
def test_impossible_numbers_are_refused(field, number):
    text = with_unit(field, number)
    check_refusal(lambda: brief(**{field: text}), field, text)


@pytest.mark.parametrize("field", UNITS_DUE)
def test_bare_numbers_endless_texts_and_other_types_are_refused_where_a_unit_is_due(field):
    for value in (*NOT_QUANTITIES, *ENDLESS, "", "20", "20 mmm", "20 __class__", "mm", with_unit(field, "20 20")):
        check_refusal(lambda value=value: brief(**{field: value}), field, value)


BAD_VALUES = {"pole_pairs": NOT_COUNTS, "slots_per_pole_and_phase": NOT_COUNTS, "cooling": NOT_COOLING}
BAD_VALUES |= dict.fromkeys(RATIOS, NOT_RATIOS) | dict.fromkeys(FLAGS, NOT_FLAGS) | dict.fromkeys(NAMES, NOT_NAMES)


@pytest.mark.parametrize("field", BAD_VALUES)
def test_wrong_values_and_types_are_refused_where_no_unit_is_due(field):
    optional = Brief.__dataclass_fields__[field].default is None
    for value in (v for v in BAD_VALUES[field] if not (optional and v is None)):
        check_refusal(lambda value=value: brief(**{field: value}), field, value)


WRONG_UNITS = """
rotor_diameter | 20 kg | 20 mm^2 | 20 s | 2 km | 0.1 nm | 20 degC
gap_floor | 20 K | 20 um/s
supply_frequency | 3000 rpm | 314 rad/s | 50 turn/s | 50 1/s
speed | 50 Hz | 50 kHz | 5 m/s | 50 s^-1
torque | 5 J | 5 mJ | 5 W*s | 5 N | 5 kg*m | 5 kWh
starting_torque | 5 J | 5 N
temperature_rise | 60 degC | 60 degF | 60 W
ambient | 20 delta_degC | -300 degC | 20 m
cooling | 25 W/m^2 | 25 W/m/K | 25 degC
coolant_speed | 3 m^3/s | 3 Hz
medium_conductivity | 0.5 S/m | 0.5 W/m^2/K
flange_conductance | 1000 W/m/K | 1000 W/m^2
rim_speed_limit | 3000 rpm | 100 Hz
gap_field_limit | 9 kG | 0.9 A/m | 0.9 Wb
core_loss | 4 W | 4 W/m^3
"""


@pytest.mark.parametrize(("field", "text"), cells(WRONG_UNITS))
def test_a_unit_of_another_kind_is_refused(field, text):
    check_refusal(lambda: brief(**{field: text}), field, text)


def test_remedies_name_what_people_mix_up():
    for given_, hint in (
        ({"torque": "5 J"}, "not an energy"),
        ({"speed": "50 Hz"}, "not hertz"),
        ({"supply_frequency": "3000 rpm"}, "in hertz"),
        ({"temperature_rise": "60 degC"}, "difference"),
        ({"rotor_diameter": "3,5 mm"}, "decimal point"),
        ({"conductor": "coper"}, "did you mean 'copper'"),
        ({"cooling": "stil air"}, "did you mean 'still air'"),
        ({"self_starting": "True"}, "True or False"),
    ):
        ((field, value),) = given_.items()
        check_refusal(lambda given_=given_: brief(**given_), field, value, hint)


def test_the_refusal_of_pole_pairs_offers_best():
    check_refusal(lambda: brief(pole_pairs="Best"), "pole_pairs", "Best", "'best'")


def test_what_is_gone_is_told_with_what_is_in_its_place():
    told = "'starting_current_ratio'.* any more: the current at standstill follows from .* figure starting_current;"
    with pytest.raises(TypeError, match=told):
        brief(starting_current_ratio=6.0)
    with pytest.raises(AttributeError, match=told):
        _ = PLAIN.starting_current_ratio


def test_the_refusal_of_a_bare_number_as_cooling_offers_the_modes():
    check_refusal(lambda: brief(cooling=25), "cooling", 25, "still air")


LOW_HIGH = ("supply_frequency", "speed")


@pytest.mark.parametrize("field", LOW_HIGH)
def test_pairs_are_two_values_low_first(field):
    low, high = (with_unit(field, number) for number in (40, 60))
    read = getattr(brief(**{field: (low, high)}).si, field)
    assert read[0] < read[1] and brief(**{field: [low, high]}).si == brief(**{field: (low, high)}).si
    check_refusal(lambda: brief(**{field: (high, low)}), field, (high, low), "upside down")
    for bad in ((), (low,), (low, low, high), [low] * 10**6):
        with pytest.raises(
            ValueError, match=f"^{field}: got {len(bad)} values; expected one value or a .low, high. pair"
        ):
            brief(**{field: bad})
    for part in (60, None, "60", "60 mm", "-60 Hz", with_unit(field, "nan"), (low, high)):
        check_refusal(lambda part=part: brief(**{field: (low, part)}), field, part)


CONTRADICTIONS = [
    ({"gap_floor": "11 mm"}, "gap_floor: a gap of 11 mm is not below the radius of rotor_diameter='20 mm'"),
    ({"gap_floor": "10 mm"}, "gap_floor: a gap of 10 mm is not below"),
    ({"rotor_diameter": "0.09 mm"}, "gap_floor: a gap of 50 µm is not below the radius of rotor_diameter='0.09 mm'"),
    ({"outside_ratio": 1.2}, "outside_ratio: got 1.2, .* slot_depth_ratio=0.15; expected more than 1.3"),
    ({"slot_depth_ratio": 0.4}, "outside_ratio: got 1.7, .* slot_depth_ratio=0.4; expected more than 1.8"),
    ({"slot_fill": 0.95}, "slot_fill: got 0.95; expected at most 0.907"),
    ({"gap_ratio": 0.3}, "gap_ratio: got 0.3; expected at most 0.2"),
    ({"fin_factor": 0.5}, "fin_factor: got 0.5; expected at least 1 and at most 20"),
    ({"slip_limit": 1.0}, "slip_limit: got 1.0; expected at most 0.99"),
]


@pytest.mark.parametrize(("given_", "message"), CONTRADICTIONS)
def test_fields_that_contradict_each_other_or_their_bounds_are_refused(given_, message):
    with pytest.raises(ValueError, match=f"^{message}"):
        brief(**given_)


def test_unknown_missing_and_positional_fields_are_type_errors():
    with pytest.raises(TypeError, match="'rotor_diametre' is not a field of Brief; did you mean rotor_diameter"):
        Brief(rotor_diametre="20 mm")
    with pytest.raises(TypeError, match="'selfstarting' is not a field of Brief; did you mean self_starting"):
        brief(selfstarting=True)
    with pytest.raises(TypeError, match=r"'qq' is not a field of Brief; Brief.describe\(\) lists the fields"):
        brief(qq=1)
    with pytest.raises(TypeError, match="is not a field of Brief"):
        brief(si=1)
    with pytest.raises(TypeError, match="rotor_diameter is missing; expected a length such as '20 mm'"):
        Brief()
    with pytest.raises(TypeError, match="positional"):
        Brief("20 mm")
    started = time.perf_counter()
    with pytest.raises(TypeError, match="is not a field of Brief") as caught:
        brief(**{"x" * 10**6: 1})
    assert time.perf_counter() - started < 1 and len(str(caught.value)) < 200


@pytest.mark.parametrize("call", [choose, lambda *a: sweep(a[0], ["2 mm", "3 mm"], *a[1:])])
def test_choose_and_sweep_refuse_what_is_no_brief_and_unknown_merits(call):
    for value in ("20 mm", None, {"rotor_diameter": "20 mm"}, Brief, 20):
        check_refusal(lambda value=value: call(value), "brief", value, "expected a Brief")
    for value in ("torque", "", "Efficiency", "x" * 10**6, None, 3, ["efficiency"]):
        check_refusal(lambda value=value: call(PLAIN, value), "merit", value, "'torque per volume'")


SIZES = [None, "20 mm", 20, [1, 2], ["20 mm", 30], ["20 mm", None], {"20 mm"}, np.geomspace(1, 2, 3), ["2 mm", "x"]]
SIZES += [Q("3 mm"), Q([3, 5], "kg"), Q(np.ones((2, 2)), "mm"), ["2 mm", "nan mm"], ["-2 mm", "2 mm"], [PLAIN, PLAIN]]
SIZES += [["2 mm", "1e400 mm"], ["2 mm", "x" * 10**6], ["2 mm", "3,5 mm"], ["0 mm", "2 mm"], ["2 mm", "9**9**7 mm"]]


@pytest.mark.parametrize("sizes", SIZES, ids=range(len(SIZES)))
def test_sweep_refuses_what_is_no_list_of_lengths(sizes):
    started = time.perf_counter()
    with pytest.raises((TypeError, ValueError), match='^rotor_diameters: got .*Give length as .* "20 mm"'):
        sweep(PLAIN, sizes)
    assert time.perf_counter() - started < 1


NOT_RISING = [[], ["20 mm"], ["30 mm", "20 mm"], ["20 mm", "20 mm"], Q([1, 3, 2], "mm"), ["1 mm", "1000 um"]]


@pytest.mark.parametrize("sizes", NOT_RISING, ids=range(len(NOT_RISING)))
def test_sweep_refuses_sizes_that_do_not_rise(sizes):
    with pytest.raises(ValueError, match="^rotor_diameters: .*expected at least two sizes, each larger"):
        sweep(PLAIN, sizes)


def test_the_refusal_of_sizes_that_do_not_rise_shows_them():
    check_refusal(lambda: sweep(PLAIN, ["30 mm", "20 mm"]), "rotor_diameters", ["30 mm", "20 mm"])


def test_unknown_types_and_figures_are_named():
    choice = choose(PLAIN)
    with pytest.raises(KeyError, match="'stepper' is not a machine type; expected one of induction, hysteresis"):
        choice["stepper"]
    with pytest.raises(AttributeError, match="no figure 'torqe'; it has .*torque"):
        _ = choice.best.torqe


# Impossible briefs are answered

HOT = {"temperature_rise": "0.01 K", "supply_frequency": "5 kHz"}
SYNCHRONOUS = {"synchronous": True, "rotor_diameter": "100 mm", "starting_cage": "none"}
IMPOSSIBLE = {
    "speed above what the supply reaches": ({"speed": "30000 rpm"}, "no frequency of the supply"),
    "speed below what the supply reaches": ({"speed": "0.1 rpm"}, "no frequency of the supply"),
    "speed above the rim speed": ({"rim_speed_limit": "1 mm/s"}, "rim_speed_limit"),
    "drive that cannot reach": ({"speed": "9000 rpm", "supply_frequency": ("10 Hz", "60 Hz")}, "no frequency"),
    "torque far too high": ({"torque": "1 MN*m"}, "of the 1 MN·m asked for"),
    "starting torque too high": ({"starting_torque": "1 kN*m"}, "standstill"),
    "slots wider than the bore": ({"slot_pitch_floor": "50 mm"}, "slot_pitch_floor"),
    "more poles than slots fit": ({"pole_pairs": 200}, "finer than slot_pitch_floor"),
    "no cooling to speak of": (HOT | {"pole_pairs": 4}, "friction alone makes more heat"),
    "no field allowed": ({"gap_field_limit": "1 uT"}, "friction takes all"),
    "bearing too rough": (
        {"rotor_diameter": "0.9 mm", "bearing_friction": 1.0, "bearing_diameter_ratio": 0.5},
        "friction",
    ),
    # Of the types that hold synchronous speed only hysteresis starts here without a cage, and it is too weak.
    "synchronous, but only induction is strong": (SYNCHRONOUS | {"torque": "3 N*m"}, "it slips"),
}


@pytest.mark.parametrize(("given_", "why"), IMPOSSIBLE.values(), ids=IMPOSSIBLE)
@pytest.mark.parametrize("merit", ["torque per volume", "power per volume"])
def test_impossible_briefs_are_answered_with_reasons(given_, why, merit):
    choice = choose(brief(**given_), merit)
    assert choice.best is None and not choice.feasible and choice.ranking == ()
    assert math.isnan(choice.margin) and math.isnan(choice.torque_margin)
    assert choice.reason.startswith("No type meets the brief.") and why in choice.reason
    for kind in ("induction", "hysteresis", "reluctance"):
        assert not choice[kind].feasible and choice[kind].reasons[0] in choice.reason
    assert "none" in repr(choice) and report.choice(choice).text.startswith("**No type meets the brief.**")
    size = choice.brief.si.rotor_diameter
    table = sweep(choice.brief, Q([0.95 * size, size], "m"), merit)
    assert list(table.best) == ["", ""] and table.crossovers == ()


def test_where_only_induction_is_strong_enough_dropping_synchronous_helps():
    given_, _ = IMPOSSIBLE["synchronous, but only induction is strong"]
    assert choose(brief(**given_ | {"synchronous": False})).best.kind == "induction"


def test_the_reason_given_is_one_that_no_number_of_poles_removes():
    assert "friction alone makes more heat" in choose(brief(**HOT, pole_pairs=4)).reason
    assert "no frequency of the supply" not in choose(brief(**HOT)).reason


def test_a_brief_too_cold_for_the_resistance_law_is_refused_or_answered():
    try:
        choice = choose(brief(ambient="4.2 K", temperature_rise="10 K"))
    except ValueError as error:
        assert "ambient" in str(error)
    else:
        assert not choice.feasible or all(math.isfinite(choice[kind].merit) for kind in choice.ranking)


def test_a_brief_with_next_to_no_winding_is_refused_or_answered():
    try:
        choose(brief(rotor_diameter="0.4 mm", gap_floor="0.1 um", gap_ratio=0.0, winding_factor=3e-8))
    except ValueError as error:
        assert "winding_factor" in str(error)


def test_a_brief_with_next_to_no_field_is_refused_or_answered():
    given_ = {"rotor_diameter": "2 m", "active_length": "3 mm", "yoke_field_limit": "2 nT", "induction_rotor": "sheet"}
    try:
        choice = choose(brief(**given_))
    except ValueError as error:
        assert "yoke_field_limit" in str(error)
    else:
        assert not choice.feasible
