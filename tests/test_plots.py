"""Figures: what is drawn, not pixels."""

import base64
import io

import numpy as np
import pytest
from PIL import Image

from scaling import Brief, Q, choose, sweep
from scaling.decision.merits import MERITS
from scaling.pictures import plots

KINDS = ("induction", "hysteresis", "reluctance", "magnet")


@pytest.fixture(scope="module")
def table():
    return sweep(Brief(rotor_diameter="20 mm", gap_floor="20 um"), Q(np.geomspace(2, 200, 24), "mm"))


@pytest.fixture
def axes():
    plots.use_style()
    fig, ax = plots.figure()
    yield ax
    plots.plt.close(fig)


def test_merit_curves_are_the_table(table, axes):
    assert plots.plot_merit(axes, table) is axes
    lines = {line.get_label(): line for line in axes.lines}
    for kind in KINDS:
        drawn = lines["magnet (yardstick)" if kind == "magnet" else kind]
        np.testing.assert_allclose(drawn.get_xdata(), table.rotor_diameters.m_as("mm"))
        expected = np.where(table.feasible[kind] & (table.merit[kind] > 0), table.merit[kind], np.nan)
        np.testing.assert_allclose(drawn.get_ydata(), expected)
        thin = lines[f"_{kind}, brief met or not"]
        np.testing.assert_allclose(thin.get_ydata(), np.where(table.merit[kind] > 0, table.merit[kind], np.nan))
    where = [line.get_xdata()[0] for line in axes.lines if line.get_label() == "_crossover"]
    np.testing.assert_allclose(where, [c.rotor_diameter.m_as("mm") for c in table.crossovers])
    assert axes.get_xscale() == axes.get_yscale() == "log"
    assert axes.get_xlabel() == "rotor diameter (mm)" and "N·m/m³" in axes.get_ylabel()


@pytest.mark.parametrize("merit", MERITS)
def test_every_merit_is_labelled_with_its_unit(merit, axes):
    small = sweep(Brief(rotor_diameter="20 mm"), ["10 mm", "20 mm"], merit)
    label = plots.plot_merit(axes, small).get_ylabel()
    assert merit in label and "**" not in label and "*" not in label


def test_a_type_is_told_without_colour():
    for part in ("color", "marker", "linestyle"):
        assert len({style[part] for style in plots.STYLES.values()}) == len(KINDS)
    assert len(set(plots.LOSS_HATCHES.values())) == len(plots.LOSS_HATCHES)


def test_heat_bars_add_to_all_losses(axes):
    designs = choose(Brief(rotor_diameter="100 mm")).designs
    plots.plot_heat(axes, designs)
    widths = np.array([[bar.get_width() for bar in container] for container in axes.containers])
    np.testing.assert_allclose(widths.sum(axis=0), 100.0)
    induction = designs["induction"]
    rotor = 100 * induction.losses["rotor"].magnitude / induction.values["loss"]
    assert widths[list(plots.LOSS_HATCHES).index("rotor"), 0] == pytest.approx(rotor)


def test_picture_carries_png_alternative_text_and_summary(table, axes):
    plots.plot_merit(axes, table)
    picture = plots.show(axes.figure, alt="merit against size")
    data, metadata = picture._repr_mimebundle_()
    image = Image.open(io.BytesIO(base64.b64decode(data["image/png"])))
    assert image.size == (800, 460) and len(picture.png) < 60_000
    assert metadata["image/png"]["alt"] == "merit against size"
    assert "rotor diameter (mm) (log)" in data["text/plain"] and "hysteresis, 24 points" in data["text/plain"]


def test_summary_tells_an_exponent_of_3_49_from_3_5(axes):
    x = np.geomspace(1, 100, 9)
    (line,) = axes.plot(x, x**3.5, label="law")
    before = plots.summarise(axes.figure)
    line.set_ydata(x**3.49)
    assert plots.summarise(axes.figure) != before


def test_named_lines_are_drawn_and_named_at_their_end(axes):
    x = np.geomspace(1, 100, 30)
    curves = {"three": x**3, "two": x**2}
    assert plots.plot_lines(axes, x, curves, xlabel="size (mm)", ylabel="force (N)") is axes
    for line, (name, y) in zip(axes.lines, curves.items(), strict=True):
        assert line.get_label() == name
        np.testing.assert_allclose(line.get_ydata(), y)
    assert [text.get_text() for text in axes.texts] == list(curves)
    assert len({line.get_linestyle() for line in axes.lines}) == 2
    (own,) = plots.plot_lines(axes, x, {"magnet, small": x}, xlabel="", ylabel="").lines[2:]
    assert own.get_color() == plots.STYLES["magnet"]["color"]
    assert axes.get_xscale() == axes.get_yscale() == "log"
    assert plots.plot_lines(axes, x, curves, xlabel="", ylabel="", log_y=False).get_yscale() == "linear"


def test_exponents_have_a_legend_and_marked_sizes(axes):
    size = np.geomspace(1, 100, 30)
    curves = {"induction": 7 - np.log10(size), "reluctance": np.full(30, 5.0)}
    assert plots.plot_exponents(axes, size, curves, marks=[22.6]) is axes
    for line, (name, y) in zip(axes.lines, curves.items(), strict=False):
        assert line.get_color() == plots.STYLES[name]["color"]
        np.testing.assert_allclose(line.get_ydata(), y)
    assert [text.get_text() for text in axes.get_legend().get_texts()] == list(curves)
    assert axes.lines[-1].get_xdata()[0] == 22.6 and [text.get_text() for text in axes.texts] == ["22.6 mm"]
    assert axes.get_xscale() == "log" and axes.get_yscale() == "linear"


def test_dots_stand_in_the_row_of_their_name(axes):
    series = {"small": [2.0, -1.0, 0.5], "large": [1.0, -0.5, 0.0]}
    assert plots.plot_dots(axes, ["slip", "gap", "length"], series, xlabel="elasticity") is axes
    drawn = {line.get_label(): line for line in axes.lines}
    for label, values in series.items():
        np.testing.assert_allclose(drawn[label].get_xdata(), values)
        np.testing.assert_allclose(drawn[label].get_ydata(), [0, 1, 2])
    assert [tick.get_text() for tick in axes.get_yticklabels()] == ["slip", "gap", "length"]
    assert axes.yaxis_inverted() and drawn["small"].get_marker() != drawn["large"].get_marker()
