"""The explorer without a browser: every control reaches the sweep, the picture and the words."""

import base64
import io
import math
from dataclasses import replace

import nbformat
import numpy as np
import pytest
from PIL import Image
from refresh_notebooks import WIDGET_VIEW, clean, execute
from repository import ROOT
from test_notebook_hygiene import problems

from scaling import Brief, Q, choose, read_briefs, sweep
from scaling.decision.merits import MERITS
from scaling.interface.widgets import SIZES, SLIDERS, explore
from scaling.pictures import plots
from scaling.pictures.live import crossings

START = Brief(rotor_diameter="20 mm", gap_floor="20 um")
DRIVES = read_briefs(ROOT / "notebooks" / "data" / "observatory_drives.csv")
# Another value of every control, and the field it stands for.
MOVED = {
    "rotor_diameter": (5.0, {"rotor_diameter": "5 mm"}),
    "gap_floor": (100.0, {"gap_floor": "100 um"}),
    "supply_frequency": (400.0, {"supply_frequency": "400 Hz"}),
    "temperature_rise": (40.0, {"temperature_rise": "40 K"}),
    "cooling": ("water", {"cooling": "water"}),
    "merit": ("torque per mass", {}),
}


@pytest.fixture
def explorer():
    return explore(START)


def drawn(explorer):
    return {kind: thick.get_ydata() for kind, (_, thick) in explorer.view.lines.items()}


def assert_drawn_is_the_sweep_of(brief, explorer, merit="torque per volume"):
    some = next(iter(explorer.view.lines.values()))[0]
    table = sweep(brief, Q(some.get_xdata(), "mm"), merit)
    for kind, curve in drawn(explorer).items():
        expected = np.where(table.feasible[kind] & (table.merit[kind] > 0), table.merit[kind], np.nan)
        np.testing.assert_allclose(curve, expected, rtol=1e-6)


def test_first_view_is_the_sweep_of_the_brief(explorer):
    assert explorer.table.brief is START
    assert set(drawn(explorer)) == set(plots.STYLES)
    assert_drawn_is_the_sweep_of(START, explorer)


@pytest.mark.parametrize("name", MOVED)
def test_control_moves_curves_picture_and_words(name, explorer):
    value, change = MOVED[name]
    curves, picture, words, html = drawn(explorer), explorer.image.value, explorer.words, explorer.readout.value
    explorer.controls[name].value = value
    same = all(np.array_equal(curves[kind], curve, equal_nan=True) for kind, curve in drawn(explorer).items())
    assert same == (name == "rotor_diameter")  # size and length move together: only the mark moves
    assert explorer.image.value != picture
    assert explorer.words != words and explorer.readout.value != html
    assert_drawn_is_the_sweep_of(replace(START, **change), explorer, explorer.controls["merit"].value)


def test_rounding_in_the_page_is_no_move(explorer):
    table = explorer.table
    explorer.controls["rotor_diameter"].value = 20.000000000000004
    assert explorer.table is table


def test_every_control_is_tested_and_labelled(explorer):
    assert set(MOVED) == set(explorer.controls)
    for name, control in explorer.controls.items():
        assert control.description
        assert not isinstance(control.value, float) or SLIDERS[name][1]
    assert [label for label in explorer.controls["merit"].options] == list(MERITS)


@pytest.mark.parametrize("name", DRIVES)
def test_words_are_those_of_the_choice(name):
    made, words = choose(DRIVES[name]), explore(DRIVES[name]).words
    assert words["best"].startswith(made.best.kind)
    if math.isfinite(made.margin):
        assert f"{made.margin:.3g} times {made.ranking[1]}" in words["best"]
    else:
        assert "only type" in words["best"]
    assert words["limited by"] == (", ".join(made.best.limited_by) or "its own optimum")
    assert words["magnet (yardstick)"].startswith(f"{made.yardstick:.3g} times")


@pytest.mark.parametrize("name", DRIVES)
def test_sliders_start_at_the_brief_on_a_step_of_theirs(name):
    # In the page a slider off its steps moves to one, and with it the brief.
    brief = DRIVES[name]
    controls = explore(brief).controls
    for field, (_, _, one, _, _, _) in SLIDERS.items():
        slider, given = controls[field], getattr(brief.si, field)
        assert slider.value * one == pytest.approx(given[1] if isinstance(given, tuple) else given, rel=1e-12)
        place = math.log10(slider.value) if hasattr(slider, "base") else slider.value
        steps = (place - slider.min) / slider.step
        assert steps == pytest.approx(round(steps), abs=1e-6)


def test_lead_within_the_models_is_not_called_a_lead():
    *_, crossover = explore(START).table.crossovers
    level = explore(Brief(rotor_diameter=round(crossover.rotor_diameter, 5), gap_floor="20 um")).words["best"]
    assert "too near to call" in level
    assert "too near" not in explore(DRIVES["sample pump"]).words["best"]


def test_drive_keeps_its_lowest_frequency_and_its_length():
    brief = DRIVES["filter wheel"]  # 5 Hz to 200 Hz, half as long as wide
    explorer = explore(brief)
    assert explorer.controls["supply_frequency"].description == "supply up to"
    explorer.controls["supply_frequency"].value = 100.0
    explorer.controls["rotor_diameter"].value = 60.0
    si = explorer.table.brief.si
    assert si.supply_frequency == pytest.approx((5.0, 100.0))
    assert (si.rotor_diameter, si.active_length) == pytest.approx((0.06, 0.03))


def test_coefficient_of_the_brief_is_in_the_list():
    explorer = explore(replace(START, cooling="25 W/m^2/K"))
    assert explorer.controls["cooling"].options[0][0] == "25 W/m²/K"
    explorer.controls["gap_floor"].value = 30.0
    assert explorer.table.brief.si.cooling == 25.0


def test_magnet_competes_where_it_is_allowed():
    words = explore(replace(START, magnets_allowed=True)).words
    assert words["best"].startswith("magnet") and "magnet (yardstick)" not in words


def test_machine_that_cannot_be_made_is_told_and_blanks_the_curves(explorer, capfd):
    explorer.controls["gap_floor"].value = 600.0
    explorer.controls["rotor_diameter"].value = 1.0
    assert "cannot be made" in explorer.words["best"] and "gap_floor" in explorer.words["because"]
    assert "gap_floor" in explorer.readout.value and "<b>" in explorer.readout.value
    assert all(np.isnan(curve).all() for curve in drawn(explorer).values())
    assert explorer.table is None and "gap_floor" in repr(explorer)
    explorer.controls["gap_floor"].value = 20.0
    explorer.controls["rotor_diameter"].value = 20.0
    assert_drawn_is_the_sweep_of(START, explorer)
    assert capfd.readouterr() == ("", "")


def test_brief_that_no_type_meets_is_told_with_the_reason():
    explorer = explore(replace(START, torque="1 N*m"))
    assert explorer.words["best"] == "none at 20 mm"
    assert "of the 1 N·m asked for" in explorer.words["because"]
    assert "none up to" in explorer.words["by size"]


def test_words_cannot_break_the_page(explorer):
    explorer._say({"best": "<script>"})
    assert "<script>" not in explorer.readout.value and "&lt;script&gt;" in explorer.readout.value


@pytest.mark.parametrize("brief", ["20 mm", 0.02])
def test_anything_but_a_brief_is_refused(brief):
    with pytest.raises(TypeError, match="brief"):
        explore(brief)


def test_unknown_merit_is_refused():
    with pytest.raises(ValueError, match="merit"):
        explore(START, "price")


def test_without_a_brief_it_starts_at_a_plain_one():
    assert explore().table.brief == Brief(rotor_diameter="20 mm")


def test_reader_without_kernel_gets_picture_and_drawn_data(explorer):
    data, metadata = explorer._repr_mimebundle_()
    picture = base64.b64decode(data["image/png"])
    assert len(picture) < 60_000
    assert Image.open(io.BytesIO(picture)).size == Image.open(io.BytesIO(explorer.image.value)).size
    assert "rotor diameter" in metadata["image/png"]["alt"]
    assert WIDGET_VIEW in data
    text = data["text/plain"]
    assert (
        f"hysteresis, {SIZES} points" in text
        and str(crossings(explorer.table)[0]) in text
        and "best: induction at 20 mm" in text
    )
    explorer.controls["gap_floor"].value = 21.0
    assert explorer._repr_mimebundle_()[0]["text/plain"] != text


def test_axes_stay_where_they_are_when_drawn_anew():
    plots.use_style()  # with a layout that moves axes, which saving a figure switches on
    explorer = explore(START)
    place = explorer.view.axes.get_position().bounds
    explorer._repr_mimebundle_()
    explorer.controls["merit"].value = "torque per mass"
    assert "torque per mass" in explorer.view.axes.get_ylabel()
    assert explorer.view.axes.get_position().bounds == place


def test_stored_notebook_is_sound_and_the_same_in_every_run(tmp_path):
    notebook = nbformat.v4.new_notebook()
    names = ("from scaling.interface.widgets import explore", "from scaling.pictures import plots")
    source = "\n".join([*names, "plots.use_style()", "explore()"])
    notebook.cells = [nbformat.v4.new_code_cell(source), nbformat.v4.new_markdown_cell("**In words:** a figure.")]
    assert execute(notebook, tmp_path) == []
    stored = tmp_path / "90_explore_a_brief.ipynb"
    stored.write_text(nbformat.writes(clean(notebook)), encoding="utf-8")
    assert problems(stored) == []
    (output,) = nbformat.read(stored, as_version=4).cells[0].outputs
    plots.use_style()
    here, _ = explore()._repr_mimebundle_()
    assert output.data == {form: here[form] for form in ("image/png", "text/plain")}
