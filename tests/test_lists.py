"""Reading a list of briefs from a file, and the reports made of it."""

import pytest
from repository import ROOT

from scaling import choose, read_briefs
from scaling.interface import report

OBSERVATORY = ROOT / "notebooks" / "data" / "observatory_drives.csv"


def write(folder, text):
    path = folder / "drives.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_observatory_has_eight_drives_across_the_range():
    drives = read_briefs(OBSERVATORY)
    sizes = [brief.si.rotor_diameter for brief in drives.values()]
    assert len(drives) == 8 and min(sizes) < 1e-3 and max(sizes) > 1.0
    assert {choose(brief).best.kind for brief in drives.values()} == {"induction", "hysteresis", "reluctance"}
    assert drives["sample pump"].si.supply_frequency == (50.0, 1000.0)
    assert drives["chart timer"].synchronous and not drives["hoist"].synchronous
    assert drives["hoist"].si.gap_ratio == 0.003  # an empty cell takes the default


def test_list_report_has_a_row_for_every_drive():
    drives = read_briefs(OBSERVATORY)
    rows = report.choices(drives).text.splitlines()[2:]
    assert len(rows) == len(drives)
    for row, (name, brief) in zip(rows, drives.items(), strict=True):
        made = choose(brief)
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        assert cells[0] == name and cells[2] == made.best.kind and cells[-1] == made.reason


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        ("drive,rotor_diameter\nfan,20\n", ValueError, "fan.*rotor_diameter.*20.*unit is missing"),
        ("drive,rotor_diameter\nfan,\n", TypeError, "fan.*rotor_diameter is missing"),
        ("drive,rotor_diameters\nfan,20 mm\n", ValueError, "unknown column 'rotor_diameters'"),
        ("name,rotor_diameter\nfan,20 mm\n", ValueError, "column"),
        ("", ValueError, "no column 'drive'"),
        ("drive,rotor_diameter\nfan,20 mm\nfan,30 mm\n", ValueError, "fan.*twice"),
        ("drive,rotor_diameter,synchronous\nfan,20 mm,maybe\n", TypeError, "fan.*synchronous.*maybe.*True or False"),
        ("drive,rotor_diameter,supply_frequency\nfan,20 mm,9 Hz to 5 Hz\n", ValueError, "fan.*upside down"),
    ],
)
def test_bad_rows_are_named(tmp_path, text, error, said):
    with pytest.raises(error, match=said):
        read_briefs(write(tmp_path, text))


def test_a_description_column_is_ignored(tmp_path):
    path = write(tmp_path, "drive,rotor_diameter,what it does\nfan,20 mm,blows\n")
    assert read_briefs(path)["fan"].si.rotor_diameter == 0.02
