"""Words of the trade for fields and for the names they take: answered with what is meant, never taken."""

import math
import re

import pytest
from briefs import FIELDS, brief

from scaling import Brief, read_briefs
from scaling.decision import trade_words
from scaling.decision.fields import read
from scaling.decision.figures import FIGURES

BESIDE = {"shaded_share": {"supply": "single-phase"}, "turning_share": {"supply": "single-phase"}}
BESIDE["supply"] = {"supply_frequency": ("10 Hz", "100 Hz")}


@pytest.mark.parametrize("word", trade_words.TABLE, ids=lambda word: word.words.split()[0])
def test_every_word_leads_to_fields_whose_examples_are_read(word):
    for field, example in word.fields.items():
        assert field in FIELDS
        beside = BESIDE.get(field, {}) if example != "three-phase" else {}
        assert getattr(Brief(**{"rotor_diameter": "200 mm", **beside, field: example}), field) == example
    first = next(iter(word.fields))
    for typed, said in word.says.items():
        assert said in Brief.__dataclass_fields__[first].metadata.get("choices", (said,)), typed
        read(Brief.__dataclass_fields__[first], said)
    if word.unit:
        beside = word.suggestion(1.5, lambda field, given: True)
        assert f'{first}="1.5 {word.unit}"' in beside
        read(Brief.__dataclass_fields__[first], f"{word.fields[first].split()[0]} {word.unit}")


def test_a_word_stands_once_and_is_no_field():
    names = [trade_words.plain(name) for word in trade_words.TABLE for name in word.words.split()]
    assert len(names) == len(set(names)) and not set(names) & {trade_words.plain(field) for field in FIELDS}
    assert not set(names) & set(trade_words.RESULTS) and set(trade_words.RESULTS.values()) <= set(FIGURES)


@pytest.mark.parametrize("name", [*trade_words.WORDS, *trade_words.RESULTS])
def test_a_word_is_answered_and_never_taken(name):
    for value in ("20 mm", 4, None, "x" * 10**6, 10**5000, math.nan, True, [1], b"3"):
        with pytest.raises(
            TypeError, match=f"^'{name}' is not a field of Brief; (?:did you mean [a-z_]+=|it is a fig)"
        ) as caught:
            brief(**{name: value})
        assert len(str(caught.value)) < 300


MEANT = [
    ("bore", "60 mm", 'rotor_diameter="60 mm"'),
    ("diameter", 20, 'rotor_diameter="20 mm"'),
    ("stack_length", '2"', """active_length='2"'?"""),
    ("length", "kg", 'active_length="20 mm"'),
    ("airgap", "0.3 mm", 'gap_floor="0.3 mm"'),
    ("Air_Gap", "0.3 mm", 'gap_floor="0.3 mm"'),
    ("gap", 0.3, 'gap_floor="0.3 mm"'),
    ("poles", 4, "pole_pairs=2"),
    ("poles", "6", "pole_pairs=3"),
    ("poles", 5, "pole_pairs=2? half"),
    ("number_of_poles", 8.0, "pole_pairs=4"),
    ("frequency", 60, 'supply_frequency="60 Hz"'),
    ("f", ("10 Hz", "20 Hz"), 'supply_frequency="50 Hz"'),
    ("rpm", 1500, 'speed="1500 rpm"'),
    ("speed_rpm", "1500", 'speed="1500 rpm"'),
    ("temp_rise", 80, 'temperature_rise="80 K"'),
    ("insulation_class", "F", 'temperature_rise="class F"'),
    ("insulation_class", "155 (F)", 'temperature_rise="155 (F)"'),
    ("ambient_temperature", "40 C", 'ambient="40 C"'),
    ("ambient_c", 40, 'ambient="40 degC"'),
    ("fill_factor", "40 %", "slot_fill=0.4?"),
    ("slot_filling", 0.45, "slot_fill=0.45"),
    ("lamination", "M400-50A", 'core_loss="4 W/kg" or stacking_factor=0.96'),
    ("shaft_height", "132 mm", 'rotor_diameter="132 mm"'),
    ("radius", "10 mm", 'rotor_diameter="20 mm"? twice'),
    ("load", "2 N*m", 'torque="2 N*m" or power='),
    ("torque_nm", 2, 'torque="2 N*m"'),
    ("power_kw", 2, 'power="2 kW"'),
    ("rotor_diameter_mm", 35, 'rotor_diameter="35 mm"'),
    ("inertia", 0.01, "load_inertia_ratio=1.0"),
    ("material", "copper", 'rotor_material="copper" or conductor='),
    ("magnet_grade", "N42", 'magnet="sintered neodymium"'),
    ("phases", 1, 'supply="single-phase"'),
    ("phase", "3", 'supply="three-phase"'),
    ("mains", "60 Hz", 'supply_frequency="60 Hz" or supply='),
    ("duty_cycle", "25 %", "duty_factor=0.25"),
    ("slip", "3%", "slip_limit=0.03"),
    ("frequncy", "50 Hz", 'supply_frequency="50 Hz"'),
    ("efficiency", 0.9, "choose(brief).best.efficiency"),
    ("cos_phi", 0.8, "choose(brief).best.power_factor"),
    ("RotorDiameter", "20 mm", 'rotor_diameter="20 mm"'),
    ("polepairs", 2, "pole_pairs=2"),
    ("rotor_diamter", "20 mm", "did you mean rotor_diameter?"),
]


@pytest.mark.parametrize(("name", "value", "told"), MEANT, ids=range(len(MEANT)))
def test_a_word_is_answered_with_the_field_meant_and_how_to_write_it(name, value, told):
    with pytest.raises(TypeError) as caught:
        brief(**{name: value})
    assert str(caught.value).startswith(f"'{name}' is not a field of Brief; ") and told in str(caught.value)


@pytest.mark.parametrize("field", trade_words.VALUES)
def test_a_word_for_a_value_is_answered_with_the_name_meant(field):
    for word, name in trade_words.VALUES[field].items():
        beside = {"supply_frequency": ("10 Hz", "50 Hz")} if name == "drive" else {}
        assert getattr(brief(**beside, **{field: name}), field) == name
        for typed in (word, word.upper(), f" {word} "):
            with pytest.raises(ValueError, match=f"^{field}: got .*did you mean '{re.escape(name)}'"):
                brief(**beside, **{field: typed})


def test_a_column_of_a_list_is_answered_as_a_keyword_is(tmp_path):
    path = tmp_path / "drives.csv"
    path.write_text("drive,bore\nfan,20 mm\n", encoding="utf-8")
    with pytest.raises(ValueError, match="unknown column 'bore'; did you mean rotor_diameter="):
        read_briefs(path)
    path.write_text('drive,rotor_diameter,ambient,speed\nfan,"2""",40 C,1400 min^-1 to 1500 1/min\n', encoding="utf-8")
    made = read_briefs(path)["fan"]
    assert made.si.rotor_diameter == pytest.approx(0.0508) and made.si.ambient == pytest.approx(313.15)
    assert made.si.speed == pytest.approx((1400 * math.pi / 30, 1500 * math.pi / 30))
