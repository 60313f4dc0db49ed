"""Reports are Markdown tables whose every number reads back as the design's own."""

import math

import numpy as np
import pytest
from briefs import brief

from scaling import Q, choose, sweep
from scaling.ground.units import read
from scaling.interface import report

DIGITS = 6e-4  # four significant digits are printed
SHOWN = {  # row: figure and the kind of quantity it reads back as
    "torque": ("torque", "torque"),
    "speed": ("speed", "rotational speed"),
    "power": ("power", "power"),
    "frequency": ("frequency", "frequency"),
    "gap": ("gap", "length"),
    "gap field, peak": ("gap_field_peak", "flux density"),
}


def tables(text):
    """Return the rows of a Markdown text's one table as lists of cells, checking that it is a table."""
    lines = text.split("\n")
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in lines if line.startswith("|")]
    assert all(len(row) == len(rows[0]) for row in rows) and set("".join(rows[1])) == {"-"}
    assert lines[-len(rows)].startswith("|") and (len(lines) == len(rows) or lines[-len(rows) - 1] == "")
    return [rows[0], *rows[2:]]


@pytest.mark.parametrize("merit", ["torque per volume", "power per volume", "torque per mass"])
@pytest.mark.parametrize("size", ["1 mm", "20 mm", "250 mm"])
def test_every_number_of_a_choice_reads_back(size, merit):
    made = choose(brief(rotor_diameter=size, gap_floor="20 um", torque="1 nN*m"), merit)
    text = str(report.choice(made))
    head, *rows = tables(text)
    kinds = head[1:]
    assert kinds[: len(made.ranking)] == list(made.ranking) and sorted(kinds) == sorted(made.designs)
    cells = {row[0]: dict(zip(kinds, row[1:], strict=True)) for row in rows}
    for kind in kinds:
        design = made[kind]
        for row, (figure, quantity) in SHOWN.items():
            value = getattr(design, figure).m
            if value > 0:  # reading refuses a torque below zero, which printing must show
                assert read(cells[row][kind], quantity, row) == pytest.approx(value, rel=DIGITS)
            else:
                assert cells[row][kind].startswith("-")
        assert float(cells["merit"][kind].split()[0]) == pytest.approx(design.merit, rel=DIGITS)
        number, sign = cells["efficiency"][kind].split()
        assert float(number) * {"%": 0.01, "‰": 0.001}[sign] == pytest.approx(design.efficiency, rel=0.06)
        assert int(cells["pole pairs"][kind]) == design.pole_pairs
        assert cells["rotor material"][kind] == design.material
        assert cells["limited by"][kind] == (", ".join(design.limited_by) or "its own optimum")
        assert cells["meets the brief"][kind] == ("yes" if design.feasible else "no")
        assert cells["remarks"][kind] == ("; ".join(design.reasons) or "none")
    assert made.reason in text and all(f"- {remark}" in text for remark in made.remarks)
    assert f"**Choice: {made.best.kind}**" in text and f"by {merit}" in text
    assert f"yardstick, gives {made.yardstick:.3g} times" in text
    assert f"Torque is {made.torque_margin:.3g} times what is asked for" in text


def test_a_table_of_drives_has_the_answer_of_each():
    named = {
        "pump": brief(rotor_diameter="0.9 mm", gap_floor="20 um"),
        "timer": brief(rotor_diameter="22 mm", synchronous=True),
        "fan": brief(rotor_diameter="110 mm"),
        "dream": brief(rotor_diameter="22 mm", torque="1 kN*m"),
    }
    head, *rows = tables(str(report.choices(named)))
    assert [row[0] for row in rows] == list(named)
    for row, made in zip(rows, map(choose, named.values()), strict=True):
        cells = dict(zip(head, row, strict=True))
        assert read(cells["rotor"], "length", "rotor") == pytest.approx(made.brief.si.rotor_diameter, rel=DIGITS)
        assert cells["best"] == (made.best.kind if made.best else "none") and cells["why"] == made.reason
        if math.isfinite(made.margin):
            assert f"{made.margin:.3g}" in cells["margin"]
        else:
            assert "no rival" in cells["margin"] or cells["margin"] == "-"
        assert cells["limited by"] == (", ".join(made.best.limited_by) if made.best else "-")


def test_a_drive_that_no_type_meets_has_no_margin_in_the_table():
    head, row = tables(str(report.choices({"dream": brief(torque="1 kN*m")})))
    assert dict(zip(head, row, strict=True))["margin"] == "-"


def test_a_table_of_crossovers_has_the_sizes_found():
    table = sweep(brief(gap_floor="20 um", self_starting=False), Q(np.geomspace(1, 300, 40), "mm"))
    head, *rows = tables(str(report.crossovers(table)))
    assert len(rows) == len(table.crossovers) >= 1 and head[0] == "rotor diameter"
    for row, found in zip(rows, table.crossovers, strict=True):
        assert read(row[0], "length", "row") == pytest.approx(found.rotor_diameter.m_as("m"), rel=DIGITS)
        assert row[1:] == [found.below, found.above, found.because]


def test_markdown_renders_in_a_notebook_and_prints_as_text():
    made = report.choice(choose(brief()))
    assert made._repr_markdown_() == str(made) == repr(made) and "nan" not in str(made)


def test_efficiency_is_shown_in_per_mille_when_small():
    assert [report.percent(x) for x in (0.5, 0.01, 0.00123, -0.5, math.nan)] == ["50 %", "1 %", "1.2 ‰", "-50 %", "-"]
