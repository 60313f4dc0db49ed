"""The fields of a brief in groups, and as text."""

import re

import pytest
from briefs import brief

from scaling import Q
from scaling.decision import field_groups
from scaling.decision.lists import _cell
from scaling.interface import report


def test_every_field_is_in_one_group_and_ten_are_essential():
    named = [name for names in field_groups.GROUPS.values() for name in names]
    assert len(named) == len(set(named)) and set(named) == set(field_groups._fields(type(brief())))
    assert len(field_groups.GROUPS["essentials"]) == 10 and list(field_groups.GROUPS)[0] == "essentials"


def test_a_group_is_described_alone():
    whole, heat = type(brief()).describe(), type(brief()).describe("heat")
    assert whole.startswith("**essentials**") and heat.startswith("**heat**\n\n| field |") and heat in whole
    assert re.findall(r"^\| `(\w+)`", heat, re.MULTILINE) == list(field_groups.GROUPS["heat"])
    with pytest.raises(ValueError, match="group: got 'heatt' .did you mean 'heat'.*'essentials', 'load'"):
        type(brief()).describe("heatt")
    with pytest.raises(TypeError, match="group: got 3"):
        type(brief()).describe(3)


def test_a_report_of_a_brief_has_what_was_given_and_what_matters():
    lines = report.brief(brief(torque="1 N*m", emissivity=0.3)).text.splitlines()[2:]
    rows = {line.split(" | ")[0].strip("| "): line.strip("| ").split(" | ")[1:] for line in lines}
    assert rows["torque"] == ["1 N*m", "given"] and rows["emissivity"] == ["0.3", "given"]
    assert rows["cooling"] == ["still air", "default"] and "speed" not in rows and "duty" not in rows


def test_what_was_typed_reads_back_as_it_was_read():
    typed = brief(
        rotor_diameter=Q(2, "cm"), ambient=Q(77, "degF"), cooling=Q(25, "W/m^2/K"), gap_floor=(Q(20, "um"), "40 um"),
        supply_frequency=("10 Hz", "0.2 kHz"), core_loss="4 W/kg +/- 10 %", pole_pairs=2, self_starting=False,
    )  # fmt: skip
    fields = field_groups._fields(type(typed))
    row = {name: field_groups.written(typed, name) for name in field_groups.given(typed)}
    again = brief(**{name: _cell(text, fields[name]) for name, text in row.items()})
    assert len(row) == 8 and again.si == typed.si and again.uncertainties == typed.uncertainties
