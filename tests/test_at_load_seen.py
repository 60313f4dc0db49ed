"""A machine over its load as it is drawn and told."""

import functools

import numpy as np
import pytest
from briefs import brief
from matplotlib.text import Text

from scaling import choose
from scaling.decision.at_load import asked_load, load_curve
from scaling.interface.report_load import load, words
from scaling.pictures import plots
from scaling.pictures.load import LINES, plot_load


@functools.cache
def made():
    asked = {"torque": "9 N*m", "starting_torque_ratio": 0.4, "magnets_allowed": True}
    return choose(brief(rotor_diameter="110 mm", cooling="shaft fan", pole_pairs=2, **asked))


@functools.cache
def curve(kind):
    return load_curve(made()[kind], points=31)


@pytest.fixture
def axes():
    plots.use_style()
    fig, ax = plots.figure()
    yield ax
    plots.plt.close(fig)


def test_the_picture_shows_the_curve_its_rating_and_what_is_asked(axes):
    assert plot_load(axes, curve("induction"), {"asked": asked_load(made()["induction"])}) is axes
    lines = {line.get_label(): line for line in axes.lines}
    own = made()["induction"].values
    for name, (figure, over, *_) in LINES.items():
        np.testing.assert_allclose(lines[name].get_xdata(), curve("induction").values["torque"])
        expected = curve("induction").values[figure] / (own[figure] if over else 1.0)
        np.testing.assert_allclose(lines[name].get_ydata(), expected)
        rated = np.interp(own["torque"], lines[name].get_xdata(), lines[name].get_ydata())
        assert rated == pytest.approx(1.0 if over else own[figure], rel=1e-9)
    assert lines["_rated"].get_xdata()[0] == pytest.approx(own["torque"])
    assert lines["_asked"].get_xdata()[0] == pytest.approx(9.0)
    assert "N·m" in axes.get_xlabel()


def test_every_line_is_named_at_its_end_and_told_without_colour(axes):
    plot_load(axes, curve("induction"))
    axes.figure.canvas.draw()
    named = {text.get_text(): text for text in axes.texts}
    assert set(LINES) <= set(named)
    boxes = [Text.get_window_extent(named[name]) for name in LINES]  # without the line to the end
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])
    for part in (3, 4):
        assert len({str(line[part]) for line in LINES.values()}) == len(LINES)


def test_a_rotor_in_step_has_no_slip_to_draw(axes):
    plot_load(axes, curve("magnet"))
    assert "slip over rated" not in {line.get_label() for line in axes.lines}


def test_what_cannot_be_drawn_is_refused(axes):
    with pytest.raises(ValueError, match="curve: got one load"):
        plot_load(axes, asked_load(made()["induction"]))
    short = load_curve(made()["induction"], most=0.2, points=3)
    with pytest.raises(ValueError, match="'asked' lies beyond the curve"):
        plot_load(axes, short, {"asked": asked_load(made()["induction"])})


def test_the_report_puts_rating_and_what_is_asked_side_by_side():
    text = load(made()["induction"], made()["hysteresis"], shares=(0.0,)).text
    head, _, *rows = text.splitlines()
    columns = [cell.strip() for cell in head.split("|")[1:-1]]
    assert columns == [
        "", "induction, rated", "induction asked", "induction without load",
        "hysteresis, rated", "hysteresis asked", "hysteresis without load",
    ]  # fmt: skip
    cells = {row.split("|")[1].strip(): [cell.strip() for cell in row.split("|")[2:-1]] for row in rows if "|" in row}
    assert cells["torque"][1:3] == ["9 N·m", "0 N·m"] and cells["load over the rating"][0] == "1"
    assert cells["for ever, in the brief's duty"][0] == "yes"
    assert cells["torque"][4] == "-" and "Hysteresis asked: beyond its largest torque." in text
    assert "fixed" not in cells["speed"] and "voltage and frequency stay" in text
    with pytest.raises(TypeError, match="expected designs"):
        load(made())


def test_words_say_what_the_curve_holds():
    told = words(made()["induction"])
    half = made()["induction"].at(torque=0.5 * made()["induction"].torque)
    assert f"power factor {half.power_factor:.2f} against" in told and "It slips by" in told
    assert "it may stay on from no load to 1 times that" in told
    assert "It slips" not in words(made()["reluctance"])
