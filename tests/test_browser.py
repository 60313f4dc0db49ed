"""Notebooks in JupyterLab: they run, sliders answer to key and mouse, and nothing leaves the machine.

Only what nbval, which runs every notebook, cannot see: those with sliders, with what these need, and one without.

Latencies of the explorer as a table: pytest -n 0 -s tests/test_browser.py
"""

import os
import re
import statistics

import browser
import nbformat
import pytest
from repository import ROOT

NOTEBOOKS = sorted((ROOT / "notebooks").glob("[0-9]*.ipynb"))
MAKES = r"\b(explore|step_through)\("
SLIDERS = [path for path in NOTEBOOKS if re.search(MAKES, path.read_text(encoding="utf-8"))]
PLAIN = [path for path in NOTEBOOKS if path not in SLIDERS][:1]
PRESSES = 15
CEILING = 300  # ms, median from key to picture: three times what is aimed at, for slow and busy machines
EXPLORER = """\
from scaling import Brief
from scaling.interface.widgets import explore

explore(Brief(rotor_diameter="20 mm", gap_floor="20 um"))
"""
STEPPER = """\
from scaling.interface.widgets import step_through

steps = range(1, 13)
step_through(lambda ax, x: ax.plot([0, x], [0, 1]), steps, words=[f"{x} m" for x in steps], alt="a line", name="step")
"""
SPOILT = """\
import warnings

from IPython.display import HTML, display
from ipywidgets import FloatSlider

slider = FloatSlider(description="loose")
slider.observe(lambda change: 1 / 0, "value")
display(HTML('<img alt="" src="http://example.org/a.png">'), slider)
warnings.warn("spoilt")
"""

pytestmark = pytest.mark.skipif(
    browser.find_chromium() is None and "SCALING_REQUIRE_BROWSER" not in os.environ,
    reason="no chromium on the path; on Debian: apt-get install chromium",
)


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """A page at a JupyterLab that serves copies of all notebooks, cut to what sliders need, and three of our own."""
    from playwright.sync_api import sync_playwright

    assert browser.find_chromium(), "SCALING_REQUIRE_BROWSER is set, and there is no chromium on the path"
    scratch = tmp_path_factory.mktemp("lab")
    served = browser.serve_copies(scratch / "served", NOTEBOOKS, ROOT / "notebooks" / "data", MAKES)
    for name, source in {"explorer": EXPLORER, "stepper": STEPPER, "spoilt": SPOILT}.items():
        notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source)])
        notebook.metadata["kernelspec"] = {"display_name": "Python 3", "language": "python", "name": "python3"}
        nbformat.write(notebook, served / f"{name}.ipynb")
    with browser.lab(served, scratch) as (address, token), sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=browser.find_chromium(), args=browser.FLAGS)
        yield browser.Page(chromium, address, token)
        chromium.close()


@pytest.fixture
def run(page):
    """A function that opens a notebook, runs all its cells and returns the page; the notebook is closed after."""
    page.outside.clear()

    def opened(name):
        page.open(name)
        page.run_all()
        return page

    yield opened
    page.shut()


# One runs for minutes: its sliders are those of the others, and what it prints is compared without a browser.
LONG = {"07_place_the_crossover.ipynb"}


@pytest.mark.parametrize("name", [path.name for path in (*SLIDERS, *PLAIN) if path.name not in LONG])
def test_notebook_runs_and_its_sliders_answer(name, run):
    page = run(name)
    assert page.complaints() == []
    assert bool(page.sliders()) == (name in {path.name for path in SLIDERS})
    check_sliders(page)
    assert page.complaints() == []
    assert page.outside == []


def check_sliders(page):
    """Move every slider by key and by mouse, and see that its picture changes."""
    for name, handle in page.sliders():
        assert page.watch(handle), f"{name}: no picture beside the slider"
        page.press(handle)
        page.drag(handle)


@pytest.fixture(scope="module")
def explorer(page):
    """The page with the explorer running."""
    page.outside.clear()
    page.open("explorer.ipynb")
    page.run_all()
    yield page
    page.shut()


def test_explorer_starts_at_its_brief(explorer):
    assert explorer.complaints() == []
    assert [name for name, _ in explorer.sliders()] == [
        "rotor diameter",
        "gap floor",
        "supply frequency",
        "temperature rise",
    ]
    assert explorer.page.locator(".widget-readout").all_inner_texts() == ["20.0", "20.0", "50.0", "60.0"]
    assert "hysteresis up to about 2.8 mm, then induction" in readout(explorer)


def test_explorer_answers_within_the_time_a_hand_notices(explorer):
    rows = []
    for name, handle in explorer.sliders():
        assert explorer.watch(handle)
        taken = sorted(explorer.press(handle, PRESSES))
        rows.append((name, statistics.median(taken), taken[round(0.95 * (PRESSES - 1))]))
    print("\nkey to picture, ms   median    95 %")
    for name, median, high in rows:
        print(f"{name:18s} {median:8.0f} {high:7.0f}")
    assert max(median for _, median, _ in rows) < CEILING
    assert explorer.complaints() == []


def test_explorer_lists_answer(explorer):
    _, handle = explorer.sliders()[0]
    for label, option in (("cooling", "water"), ("merit", "torque per mass")):
        explorer.watch(handle)
        explorer.page.get_by_label(label, exact=True).select_option(option)
        explorer.pictures(1)
    assert "torque per mass" in readout(explorer)
    assert explorer.complaints() == []


def test_explorer_tells_what_cannot_be_made(explorer):
    (_, size), (_, gap), *_ = explorer.sliders()
    for handle, key in ((gap, "End"), (size, "Home")):
        explorer.watch(handle)
        explorer.page.keyboard.press(key)
        explorer.pictures(1)
    explorer.page.locator(".widget-html-content", has_text="cannot be made").wait_for(timeout=browser.ANSWER * 1000)
    assert "gap_floor" in readout(explorer)
    explorer.watch(size)
    explorer.page.keyboard.press("End")
    explorer.pictures(1)
    assert explorer.complaints() == [] and explorer.outside == []


def test_stepper_answers_to_buttons_and_plays(run):
    page = run("stepper.ipynb")
    ((_, handle),) = page.sliders()
    assert page.watch(handle)
    page.page.get_by_role("button", name="next", exact=True).click()
    page.pictures(1)
    page.page.get_by_role("button", name="previous", exact=True).focus()
    page.page.keyboard.press("Enter")
    page.pictures(2)
    page.page.locator(".widget-play button").first.click()
    page.pictures(5)
    assert int(readout(page).partition(" of 12")[0]) > 2
    assert page.complaints() == [] and page.outside == []


def readout(page):
    return page.page.locator(".widget-html-content").last.inner_text()


# Each check above can fail.


def test_warning_request_loose_slider_and_its_error_are_seen(run):
    page = run("spoilt.ipynb")
    assert any("UserWarning: spoilt" in complaint for complaint in page.complaints())
    assert page.outside == ["http://example.org/a.png"]
    ((_, handle),) = page.sliders()
    assert not page.watch(handle)
    page.page.keyboard.press("ArrowRight")
    page.page.wait_for_function("window.complaints.some(text => text.startsWith('ZeroDivisionError'))")
