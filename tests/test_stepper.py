"""Stepping through pictures, without a browser: every control reaches the picture and the words."""

import base64
import io
import time

import nbformat
import numpy as np
import pytest
from PIL import Image
from refresh_notebooks import WIDGET_VIEW, clean, execute
from test_notebook_hygiene import problems

from scaling.field import Layer, travelling_wave
from scaling.interface.widgets import step_through
from scaling.pictures import plots
from scaling.pictures.fields import draw_field_lines
from scaling.pictures.frames import PRINTED, frames, strip

STEPS = 8
INSTANTS = np.arange(STEPS) / STEPS
WORDS = [f"{instant:g} of a period" for instant in INSTANTS]
SIZE = {"figsize": (4.0, 2.0), "margins": {"left": 0.2, "right": 0.9, "bottom": 0.2, "top": 0.9}}


def draw(ax, instant):
    x = np.linspace(0, 1, 50)
    ax.plot(x, np.cos(2 * np.pi * (x - instant)), label="wave")
    ax.set(xlabel="place (m)", ylabel="height (m)")


def pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


@pytest.fixture
def stepper():
    return step_through(draw, INSTANTS, words=WORDS, alt="a wave that travels", name="instant")


# Frames


def test_frames_are_the_pictures_that_fresh_figures_show():
    made = frames(draw, INSTANTS, **SIZE)  # each drawn over the one before, which must be gone
    assert len(set(made)) == STEPS
    for number in (0, 5):
        fig, ax = plots.kept_figure(**SIZE)
        draw(ax, INSTANTS[number])
        full = io.BytesIO()
        fig.savefig(full, format="png")
        off = np.abs(pixels(made[number]) - pixels(full.getvalue())).max(axis=-1)
        assert (off > 20).mean() < 0.003  # colours are rounded to a palette


@pytest.mark.parametrize(("count", "shown"), [(2, [0, 1]), (6, [0, 1, 2, 3, 4, 5]), (24, [0, 4, 8, 12, 16, 20])])
def test_strip_shows_frames_spread_over_all(count, shown):
    fig = strip(draw, np.arange(count) / count, [f"number {i}" for i in range(count)], figsize=(8, 5))
    assert [ax.get_title() for ax in fig.axes] == [f"number {i}" for i in shown]
    assert len(fig.axes) <= PRINTED
    for ax, number in zip(fig.axes, shown, strict=True):
        x, y = ax.lines[0].get_data()
        np.testing.assert_allclose(y, np.cos(2 * np.pi * (x - number / count)))
    plots.plt.close(fig)


# The widget


def test_stepping_does_not_draw_again():
    # The names a function uses may mean something else by then.
    drawn = []
    stepper = step_through(lambda ax, x: (drawn.append(x), draw(ax, x)), INSTANTS, words=WORDS, alt="a wave")
    assert drawn == list(INSTANTS)
    for number in range(STEPS):
        stepper.controls["slider"].value = number
    assert len(drawn) == STEPS


def test_it_starts_at_the_first_picture(stepper):
    assert stepper.words == WORDS[0] and f"1 of {STEPS}" in stepper.readout.value
    assert stepper.image.value == stepper.frames[0]


def test_slider_moves_picture_and_words(stepper):
    stepper.controls["slider"].value = 3
    assert stepper.image.value == stepper.frames[3] != stepper.frames[0]
    assert stepper.words == WORDS[3] and WORDS[3] in stepper.readout.value


def test_buttons_step_and_go_round(stepper):
    slider = stepper.controls["slider"]
    for button, expected in (("next", 1), ("next", 2), ("previous", 1), ("previous", 0), ("previous", STEPS - 1)):
        stepper.controls[button].click()
        assert slider.value == expected and stepper.image.value == stepper.frames[expected]
    stepper.controls["next"].click()
    assert slider.value == 0


def test_every_control_reaches_every_step(stepper):
    assert set(stepper.controls) == {"slider", "previous", "next", "play"}
    for name in ("slider", "play"):
        assert (stepper.controls[name].min, stepper.controls[name].max) == (0, STEPS - 1)
    assert stepper.controls["slider"].description == "instant"


def test_words_cannot_break_the_page():
    stepper = step_through(draw, INSTANTS[:2], words=["<script>", "b"], alt="a wave")
    assert "<script>" not in stepper.readout.value and "&lt;script&gt;" in stepper.readout.value


def test_reader_without_kernel_gets_a_strip_and_its_data(stepper):
    data, metadata = stepper._repr_mimebundle_()
    image = Image.open(io.BytesIO(base64.b64decode(data["image/png"])))
    assert image.size == (760, 460)
    assert metadata["image/png"]["alt"] == "a wave that travels" and WIDGET_VIEW in data
    assert data["text/plain"].count("wave, 50 points") == PRINTED
    assert all(word in data["text/plain"] for word in (WORDS[0], WORDS[6]))


@pytest.mark.parametrize(
    ("given", "error", "says"),
    [
        ({"draw": "a picture"}, TypeError, "draw.*function"),
        ({"values": [1.0], "words": ["one"]}, ValueError, "values.*at least two"),
        ({"words": WORDS[:-1]}, ValueError, f"words.*{STEPS} texts"),
        ({"words": "abcdefgh"}, ValueError, "words"),
    ],
)
def test_bad_input_is_refused(given, error, says):
    with pytest.raises(error, match=says):
        step_through(**{"draw": draw, "values": INSTANTS, "words": WORDS, "alt": "a wave"} | given)


def test_field_lines_are_drawn_and_stepped_within_the_time_a_hand_notices():
    # 65 ms a picture and 0.1 ms a step when nothing else runs; the ceilings are for busy machines.
    plots.use_style()
    sheet = Layer(thickness=2e-3, conductivity=35.4e6)
    stage = {"pole_pitch": 0.1, "frequency": 50.0, "gap": 3e-3, "sheet_current_peak": 5e4, "behind_rotor": "iron"}
    wave = travelling_wave(layers=[sheet], slip=0.2, **stage)
    start = time.perf_counter()
    stepper = step_through(
        lambda ax, t: draw_field_lines(ax, wave, time=t, marks=True), INSTANTS / 50, words=WORDS, alt="field lines"
    )
    made = time.perf_counter()
    for number in range(STEPS):
        stepper.controls["slider"].value = number
    assert (made - start) / STEPS < 0.5 and (time.perf_counter() - made) / STEPS < 0.02


def test_stored_notebook_is_sound_and_the_same_in_every_run(tmp_path):
    notebook = nbformat.v4.new_notebook()
    lines = [
        "from scaling.interface.widgets import step_through",
        "from scaling.pictures import plots",
        "plots.use_style()",
        "def draw(ax, x):",
        "    ax.plot([0, x], [0, 1], label='leans')",
        "step_through(draw, [1.0, 2.0, 3.0], words=['a', 'b', 'c'], alt='a line')",
    ]
    notebook.cells = [
        nbformat.v4.new_code_cell("\n".join(lines)),
        nbformat.v4.new_markdown_cell("**In words:** it leans."),
    ]
    assert execute(notebook, tmp_path) == []
    stored = tmp_path / "90_step_through_it.ipynb"
    stored.write_text(nbformat.writes(clean(notebook)), encoding="utf-8")
    assert problems(stored) == []
    (output,) = nbformat.read(stored, as_version=4).cells[0].outputs
    assert set(output.data) == {"image/png", "text/plain"} and output.data["text/plain"].count("leans") == 3
