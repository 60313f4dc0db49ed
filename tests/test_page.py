"""Answers saved as pages and tables: valid, complete, self-contained, exact; what cannot be saved is refused."""

import csv
import dataclasses
import os
import re

import browser
import numpy as np
import pytest
from briefs import brief
from pages import Checked
from repository import MACHINE_PATH, ROOT

from scaling import Q, choose, choose_each, read_briefs, size_for, sweep
from scaling.decision import alternatives, bands, field_groups
from scaling.decision.certainty import Band, Certainty, Sensitivity
from scaling.decision.figures import FIGURES
from scaling.decision.sweep import Crossover
from scaling.ground import files
from scaling.ground.units import quantity
from scaling.interface import page_figures, page_tables, page_words, report
from scaling.interface.page_csv import figure_heading
from scaling.pictures import plots

DECIDED = {"rotor_diameter": "20 mm", "temperature_rise": "class F", "torque": "1 mN*m", "pole_pairs": 2}


def saved(answer, folder, name="answer.html", **options):
    path = folder / name
    answer.save(path, **options)
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def made():
    return choose(brief(**DECIDED))


@pytest.fixture(scope="module")
def found():
    return size_for(
        brief(torque="2 N*m", cooling="shaft fan", pole_pairs=2, starting_cage="none"), between=("61 mm", "63 mm")
    )


@pytest.fixture(scope="module")
def table():
    return with_crossover(sweep(brief(gap_floor="20 um", pole_pairs=2), Q(np.array([2.5, 4.0]), "mm")))


def with_crossover(found):
    """Return a sweep with a crossover that took no search."""
    found.__dict__["crossovers"] = (Crossover(quantity(3e-3, "m"), "hysteresis", "", "so that the page has one"),)
    return found


def few_sizes(made):
    return with_crossover(sweep(made.brief, ["5 mm", "20 mm", "50 mm"], made.merit))


@pytest.fixture(scope="module")
def drives():
    return choose_each(
        {"vane, small": brief(rotor_diameter="3 mm"), "fan": brief(rotor_diameter="110 mm", cooling="shaft fan",
         supply_frequency=("10 Hz", "60 Hz")), "dream": brief(torque="1 kN*m")}
    )  # fmt: skip


@pytest.fixture(scope="module")
def html(made, tmp_path_factory):
    """The whole page of a choice, with its curve, and of a certainty; saved once."""
    options = {"title": "Pump <A & B>", "date": "1 April 2031", "certainty": sure_of(made)}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(page_figures, "sweep_around", few_sizes)
        return saved(made, tmp_path_factory.mktemp("page"), **options)


def sure_of(made):
    """Return a certainty as ``certainty`` would of a choice's brief and two assumptions."""
    known = dataclasses.replace(made.brief, tooth_field_limit=("1.6 T", "1.8 T"))
    first, second = made.ranking[:2]
    return Certainty(
        known, made.merit, 1000, 0, {first: 0.75, second: 0.25, "": 0.0}, (first, second), Band(0.9, 1.2, 2.0), "it",
        {"tooth_field_limit": Sensitivity(0.875, 1.0)}, 0.001, 0.0, inputs=known.uncertainties,
    )  # fmt: skip


def text_of(html):
    return " ".join(" ".join(Checked(html).words).split())


# What a page is


def check_page(html):
    page = Checked(html)
    assert html.startswith("<!DOCTYPE html>\n<html lang=") and page.wrong == []
    assert len(page.ids) == len(set(page.ids)) and {f"#{name}" for name in page.ids} == page.used
    assert "@import" not in html and not re.search(r"url\((?!#)", html) and not MACHINE_PATH.search(html)
    assert "nan" not in page.words and all(len(row) == len(rows[0]) for rows in page.tables for row in rows)
    return page


def test_a_choice_makes_a_valid_page_that_needs_nothing_else(html):
    page = check_page(html)
    assert html.count("<svg ") == 4 and len(html) < 600_000, "two sections, the curve, the losses"
    assert str(ROOT) not in html and "<title>Pump &lt;A &amp; B&gt;</title>" in html
    for rows in page.tables:
        for row in rows[1:]:
            for head, cell in zip(rows[0][1:], row[1:], strict=True):
                if re.fullmatch(r"-?[0-9.]+(e-?[0-9]+)?", cell) and head not in ("value, with its unit", "instead"):
                    assert re.search(r"\(.+\)$", head) or re.search(r"\(.+\)$", row[0]), (head, row)


def test_the_page_says_what_was_asked_and_answered(html, made):
    text = text_of(html)
    assert "rotor diameter 20 mm given" in text and "temperature rise class F given" in text
    assert "supply frequency 50 Hz default" in text and "emissivity" not in text
    assert made.reason in text and all(remark in text for remark in report.choice_remarks(made))
    assert f"{made.margin:.3g} times {made.ranking[1]}, by torque per volume" in text
    assert f"{made.band:.3g}, {'within it: a tie' if made.is_level else 'the lead is above it: a decision'}" in text
    assert ", ".join(made.best.limited_by) in text and "yardstick only" in text
    assert f"Made with scaling {__import__('scaling').__version__}, 1 April 2031." in text
    assert page_words.CAUTION in text and "of 1000 draws" in text
    for design in made.designs.values():
        assert all(reason in text for reason in design.reasons)


def test_the_cautions_are_those_of_the_readme():
    readme = " ".join((ROOT / "README.md").read_text(encoding="utf-8").replace("\n> ", " ").split())
    assert f"**Caution.** {page_words.CAUTION}" in readme


def test_figures_side_by_side_are_the_designs_own(html, made):
    rows = next(rows for rows in Checked(html).tables if rows[0][0] == "figure (unit)")
    for place, kind in enumerate(rows[0][1:], start=1):
        for row in rows[1:-1]:
            label, unit = re.fullmatch(r"(.+) \((.+)\)", row[0]).groups()
            names = [f.name for f in FIGURES.values() if label in (f.label, f.name.replace("_", " "))]
            if row[place] == "-" or not names:
                assert label == "torque per volume"
                assert float(row[place]) == pytest.approx(made[kind].merit, rel=1e-3)
                continue
            value = getattr(made[kind], names[0])
            shown = 100 * value if unit == "%" else value if unit == "1" else value.m_as(unit.replace("·", "*"))
            assert float(row[place]) == pytest.approx(float(shown), rel=6e-3)


def test_losses_add_up(html):
    rows = next(rows for rows in Checked(html).tables if rows[0][0] == "loss (unit)")
    numbers = np.array([[float(cell) for cell in row[1:]] for row in rows[1:]])
    assert numbers[:-1].sum(axis=0) == pytest.approx(numbers[-1], rel=1e-2)


@pytest.mark.parametrize("answer", ["made", "found", "table", "drives"])
def test_every_answer_makes_a_page_a_text_and_the_same_again(answer, request, tmp_path):
    answer = request.getfixturevalue(answer)
    before = dict(plots.plt.rcParams)
    quick = {"curve": False} if answer is request.getfixturevalue("made") else {}
    first = saved(answer, tmp_path, "a.html", **quick)
    check_page(first)
    assert not quick or saved(answer, tmp_path, "b.html", **quick) == first
    assert not re.search(r"20[0-9]{2}-[0-9]{2}-[0-9]{2}", first)
    assert dict(plots.plt.rcParams) == before and plots.plt.get_fignums() == [], "the reader's figures stay alone"
    text = saved(answer, tmp_path, "a.MD", **quick)
    assert text.startswith("# ") and page_words.CAUTION in text and "<svg" not in text
    blocks = re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE)
    assert len(blocks) >= 2
    for block in blocks:
        assert len({len(re.split(r"(?<!\\)\|", line)) for line in block.splitlines()}) == 1


def test_what_no_kind_meets_makes_a_page_too(tmp_path, drives):
    text = saved(drives["dream"], tmp_path, "dream.md", curve=False)
    assert "no kind meets the brief" in text and "No kind meets the brief: what it asks decides" in text


# What the answer hangs on


def test_measured_changes_make_the_tie_band():
    made = choose(brief(rotor_diameter="100 mm"))
    rows, factors = zip(*bands.changes_at(made.brief, *made.ranking[:2], made.merit), strict=True)
    assert 0.1 in bands.sizes() and rows == alternatives.left_open(made.brief)
    assert bands.combined(list(rows), np.log(factors))[0] == pytest.approx(made.band, rel=1e-9)
    text = str(page_words.hanging_section(made, "measured").blocks)
    large = [row.name for row, factor in zip(rows, factors, strict=True) if abs(np.log(factor)) > page_words.MATTERS]
    assert large and all(f"('{name}'" in text or f'("{name}"' in text for name in large)


def test_what_it_hangs_on_can_be_worked_out_or_left_out(made, monkeypatch):
    few = tuple(row for row in alternatives.ASSUMPTIONS if row.name == "gap")
    monkeypatch.setattr(alternatives, "ASSUMPTIONS", few)
    shown = page_words.hanging_section(made, "worked out").blocks
    other = choose(brief(**DECIDED, gap_ratio=0.005))
    first, second = made.ranking[:2]
    change = (other[first].merit / other[second].merit) / (made[first].merit / made[second].merit)
    (row,) = shown[1].rows
    assert row[0] == "gap" and float(row[3]) == pytest.approx(change, rel=1e-2) and row[4] == other.best.kind
    assert page_words.hanging_section(made, "left out") is None


# Tables


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def same(told, values):
    """Return whether all figures read back to the last bit, NaN as NaN."""
    return all(
        np.float64(told[figure_heading(name)]).tobytes() == np.float64(values[name]).tobytes()
        or (np.isnan(values[name]) and told[figure_heading(name)] == "nan")
        for name in FIGURES
    )


def test_a_choice_reads_back_to_the_last_bit(made, tmp_path):
    saved(made, tmp_path, "c.csv")
    rows = rows_of(tmp_path / "c.csv")
    assert [row["kind of machine"] for row in rows][: len(made.ranking)] == list(made.ranking) and len(rows) == 4
    for row in rows:
        design = made[row["kind of machine"]]
        assert same(row, design.values) and float(row["torque per volume [N*m/m**3]"]) == design.merit
        assert float(row["margin of the best [1]"]) == made.margin and float(row["tie band [1]"]) == made.band
        assert row["meets the brief"] == ("yes" if design.feasible else "no")
    assert all(" " in name for name in rows[0] if name != "drive" and name not in field_groups.given(made.brief))
    (again,) = read_briefs(tmp_path / "c.csv").values()
    assert again.si == made.brief.si


def test_a_list_reads_back_as_the_list_it_was_made_of(drives, tmp_path):
    saved(drives, tmp_path, "d.csv")
    assert read_briefs(tmp_path / "d.csv") == drives.briefs
    rows = rows_of(tmp_path / "d.csv")
    assert len(rows) == 4 * len(drives) and all(same(row, drives[row["drive"]][row["kind of machine"]].values)
                                                for row in rows)  # fmt: skip


def test_a_sweep_reads_back_at_every_size(table, tmp_path):
    saved(table, tmp_path, "s.csv")
    rows, briefs = rows_of(tmp_path / "s.csv"), read_briefs(tmp_path / "s.csv")
    assert [one.si.rotor_diameter for one in briefs.values()] == table.rotor_diameters.m_as("m").tolist()
    assert [row["kind of machine"] for row in rows if row["best at this size"] == "yes"] == table.best.tolist()
    for place, row in enumerate(rows):
        figures = table.figures[row["kind of machine"]]
        assert same(row, {name: figures[name][place // 4] for name in FIGURES})


def test_a_sizing_reads_back_with_the_brief_of_every_kind(found, tmp_path):
    saved(found, tmp_path, "z.csv")
    briefs = read_briefs(tmp_path / "z.csv")
    for row in rows_of(tmp_path / "z.csv"):
        kind = row["kind of machine"]
        assert same(row, found[kind].values) and briefs[kind].si == found.briefs.get(kind, found.brief).si


def test_a_range_of_any_number_is_read_from_a_file(tmp_path):
    path = tmp_path / "d.csv"
    path.write_text("drive,rotor_diameter,gap_floor\nfan,20 mm,20 um to 40 um\n", encoding="utf-8")
    assert read_briefs(path)["fan"] == brief(gap_floor=("20 um", "40 um"))


def test_numbers_of_a_row_share_the_unit_of_its_heading():
    unit, texts = page_tables.in_one_unit([quantity(torque, "N*m") for torque in (np.nan, 2e-3, 0.5)])
    assert (unit, texts) == ("mN·m", ["-", "2", "500"])


# Refusals, and files whole or not at all


@pytest.mark.parametrize(
    ("name", "options", "error", "said"),
    [
        ("c.pdf", {}, ValueError, r"c\.pdf.*ends in \.html, \.md, \.csv"),
        ("choice", {}, ValueError, "ends in"),
        ("there/c.html", {}, FileNotFoundError, "folder does not exist: make it first"),
        (".", {}, ValueError, "ends in"),
        ("folder.html", {}, ValueError, "which is a folder"),
        ("c.html", {"title": 3}, TypeError, "title: got 3; expected a text"),
        ("c.csv", {"date": None}, TypeError, "date: got None"),
        ("c.csv", {"assumptions": "none"}, ValueError, "assumptions: got 'none'.*'measured', 'worked out', 'left out'"),
        ("c.md", {"certainty": 0.9}, TypeError, r"certainty: got 0\.9; expected what certainty"),
    ],
)
def test_what_cannot_be_saved_is_refused(made, tmp_path, name, options, error, said):
    (tmp_path / "folder.html").mkdir()
    with pytest.raises(error, match=said):
        made.save(tmp_path / name, **options)
    assert os.listdir(tmp_path) == ["folder.html"]


def test_no_path_and_the_certainty_of_another_brief_are_refused(made, tmp_path):
    with pytest.raises(TypeError, match="path: got 3; expected a file's name"):
        made.save(3)
    sure = sure_of(made)
    other = dataclasses.replace(sure, brief=dataclasses.replace(sure.brief, gap_floor=("30 um", "40 um")))
    with pytest.raises(ValueError, match=r"another brief or merit \(gap_floor\)"):
        made.save(tmp_path / "c.html", certainty=other)
    with pytest.raises(ValueError, match=r"another brief or merit \(merit\)"):
        made.save(tmp_path / "c.html", certainty=dataclasses.replace(sure, merit="efficiency"))


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "a.md"
    files.write(path, "first")
    files.write(path, "second")
    assert path.read_text(encoding="utf-8") == "second"
    mode = path.stat().st_mode

    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        files.write(path, "third")
    assert path.read_text(encoding="utf-8") == "second" and os.listdir(tmp_path) == ["a.md"]
    assert path.stat().st_mode == mode


# In a browser


@pytest.mark.skipif(
    browser.find_chromium() is None and "SCALING_REQUIRE_BROWSER" not in os.environ,
    reason="no chromium on the path; on Debian: apt-get install chromium",
)
def test_the_page_prints_on_two_sides_reads_in_the_dark_and_asks_for_nothing(html, tmp_path):
    from playwright.sync_api import sync_playwright

    path, asked = tmp_path / "page.html", []
    path.write_text(html, encoding="utf-8")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=browser.find_chromium(), args=browser.FLAGS)
        page = chromium.new_page(viewport={"width": 420, "height": 800}, color_scheme="dark")
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: asked.append(message.text))
        page.goto(path.as_uri())
        assert asked == [path.as_uri()]
        assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) == 2
        colour = "name => getComputedStyle(document.documentElement).backgroundColor"
        assert page.evaluate(colour) == "rgb(21, 24, 28)"
        assert page.evaluate("document.documentElement.scrollWidth") <= 420, "nothing sticks out of a narrow screen"
        page.emulate_media(color_scheme="light")
        assert page.evaluate(colour) == "rgb(255, 255, 255)"
        chromium.close()
