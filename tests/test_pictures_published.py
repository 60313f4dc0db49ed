"""Pictures of published points: what is drawn is read back."""

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from scaling.pictures import plots
from scaling.pictures.published import plot_published, plot_ratios

LABELS = {"xlabel": "rating (kW)", "ylabel": "loss"}


@pytest.fixture
def axes():
    plots.use_style()
    return Figure(figsize=(8, 4), layout="constrained").subplots()


def test_points_are_hollow_and_lines_told_apart_without_colour(axes):
    points = {"made": ([1.0, 2.0, 5.0], [3.0, 4.0, 6.0]), "others": ([1.0], [2.0])}
    lines = {"law": ([1.0, 100.0], [3.0, 9.0]), "fit": ([1.0, 100.0], [2.0, 9.0])}
    assert plot_published(axes, points, lines, **LABELS) is axes
    drawn = {line.get_label(): line for line in axes.lines}
    assert list(drawn) == [*points, *lines]
    for name, values in (points | lines).items():
        assert drawn[name].get_xydata() == pytest.approx(np.column_stack(values))
    assert {drawn[name].get_fillstyle() for name in points} == {"none"}
    assert {drawn[name].get_linestyle() for name in points} == {"None"}
    assert drawn["made"].get_marker() != drawn["others"].get_marker()
    assert drawn["law"].get_linestyle() != drawn["fit"].get_linestyle()
    assert (axes.get_xscale(), axes.get_yscale(), axes.get_xlabel()) == ("log", "log", "rating (kW)")


def test_plain_axes_take_values_of_any_sign(axes):
    points, lines = {"printed": ([0.0, 400.0], [3.8, -3.9])}, {"rings": ([0.0, 200.0, 400.0], [3.8, 6.5, -3.9])}
    assert plot_published(axes, points, lines, log=False, **LABELS) is axes
    assert (axes.get_xscale(), axes.get_yscale(), axes.get_ylabel()) == ("linear", "linear", "loss")
    for line, (name, values) in zip(axes.lines, (points | lines).items(), strict=True):
        assert line.get_label() == name
        assert line.get_xydata() == pytest.approx(np.column_stack(values))


def test_ratios_have_a_line_at_one_and_a_band(axes):
    plot_ratios(axes, {"a": ([56, 315], [2.7, 1.5]), "b": ([56, 315], [1.4, 1.0])}, band=1.5, **LABELS)
    one, a, b = axes.lines
    assert one.get_ydata() == pytest.approx([1, 1])
    assert a.get_ydata() == pytest.approx([2.7, 1.5]) and b.get_ydata() == pytest.approx([1.4, 1.0])
    assert (a.get_marker(), a.get_linestyle()) != (b.get_marker(), b.get_linestyle())
    (band,) = axes.patches
    assert band.get_y() == pytest.approx(1 / 1.5) and band.get_y() + band.get_height() == pytest.approx(1.5)
    assert min(to_rgb(band.get_facecolor())) > 0.85, "pale: what lies on it stays readable"


def test_a_short_scale_has_ticks_inside_its_decade(axes):
    plot_ratios(axes, {"a": ([56, 315], [2.7, 0.7])}, **LABELS)
    low, high = axes.get_xlim()
    ticks = [tick for tick in axes.get_xticks() if low <= tick <= high]
    assert ticks == pytest.approx([100, 200])
    assert len(axes.xaxis.get_minorticklocs()) == 0


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_what_cannot_be_drawn_is_refused(axes, bad):
    with pytest.raises(ValueError, match="made: a value is not above zero"):
        plot_published(axes, {"made": ([1.0], [bad])}, {}, **LABELS)
    with pytest.raises(ValueError, match="law: a value is not above zero"):
        plot_published(axes, {}, {"law": ([1.0, 2.0], [1.0, bad])}, **LABELS)
    with pytest.raises(ValueError, match="ratio: a value is not above zero"):
        plot_ratios(axes, {"ratio": ([1.0], [bad])}, **LABELS)


def test_a_band_below_one_is_refused(axes):
    with pytest.raises(ValueError, match="band: got 0.5"):
        plot_ratios(axes, {"a": ([1.0], [1.0])}, band=0.5, **LABELS)
