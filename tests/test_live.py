"""The kept figure: what is drawn and when, and how near its crossings are to the exact ones."""

import dataclasses
import io

import numpy as np
import pytest
from PIL import Image

from scaling import Brief, Q, sweep
from scaling.pictures import plots
from scaling.pictures.live import DECADES, MeritView, crossings

SIZES = np.geomspace(1e-3, 0.3, 24)
SIZE = 7  # number of the marked size


def table_of(**given):
    return sweep(Brief(**{"rotor_diameter": "20 mm", "gap_floor": "20 um"} | given), Q(SIZES, "m"))


@pytest.fixture(scope="module")
def table():
    return table_of()


@pytest.fixture
def view(table):
    return MeritView(SIZES, table, SIZE)


def pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def scaled(table, factor):
    return dataclasses.replace(table, merit={kind: factor * merit for kind, merit in table.merit.items()})


# At 20 Hz the merit of reluctance has a kink between two sizes right at the crossover, where its poles change.
@pytest.mark.parametrize("given", [{}, {"gap_floor": "200 um"}, {"supply_frequency": "100 Hz"}, {"pole_pairs": 4}])
def test_crossings_lie_at_the_exact_crossovers(given):
    table = table_of(**given)
    found = crossings(table)
    assert len(found) == len(table.crossovers) > 0
    for crossing, exact in zip(found, table.crossovers, strict=True):
        where = exact.rotor_diameter.m_as("mm")
        assert (crossing.below, crossing.above) == (exact.below, exact.above)
        assert crossing.level == (exact.because == "their merits cross")
        assert crossing.low <= where <= crossing.high
        if crossing.level:  # of 24 sizes, 28 % apart
            assert crossing.about == pytest.approx(where, rel=0.02)


def test_crossing_says_how_sure_it_is():
    plain = table_of()
    crosses, stops = (crossings(table)[0] for table in (plain, table_of(pole_pairs=4)))
    assert str(crosses) == f"about {plain.crossovers[0].rotor_diameter.m_as('mm'):.2g} mm"
    assert str(stops) == "1.3-1.6 mm"


def test_curves_are_those_of_the_merit_plot(view):
    changed = table_of(temperature_rise="30 K", gap_floor="60 um")
    view.update(changed, SIZE)
    fig, ax = plots.figure()
    plots.plot_merit(ax, changed)
    drawn = {line.get_label(): line for line in view.axes.lines}
    for line in ax.lines:
        if line.get_label() != "_crossover":
            same = drawn[line.get_label()]
            np.testing.assert_array_equal(same.get_xydata(), line.get_xydata())
            for look in ("color", "linestyle", "marker", "linewidth"):
                assert getattr(same, f"get_{look}")() == getattr(line, f"get_{look}")()
    assert (view.axes.get_xlabel(), view.axes.get_ylabel()) == (ax.get_xlabel(), ax.get_ylabel())
    plots.plt.close(fig)


def test_marks_stand_at_size_best_and_crossings(view, table):
    changed = table_of(pole_pairs=4)
    view.update(changed, SIZE)
    lines = {line.get_label(): line for line in view.axes.lines}
    size = 1e3 * SIZES[SIZE]
    np.testing.assert_allclose(lines["_size"].get_xdata(), [size, size])
    best = changed.merit[str(changed.best[SIZE])][SIZE]
    np.testing.assert_allclose(lines["best at this size"].get_xydata(), [[size, best]])
    found = crossings(changed)
    assert len(found) == 2
    np.testing.assert_allclose(lines["_crossings"].get_xdata()[::3], [crossing.about for crossing in found])
    assert [text.get_text() for text in view.axes.texts] == [str(crossing) for crossing in found]
    view.update(table, SIZE)
    exact = table.crossovers[0].rotor_diameter.m_as("mm")
    assert [text.get_text() for text in view.axes.texts if text.get_text()] == [f"about {exact:.2g} mm"]


def test_only_what_moves_is_drawn_again(view, monkeypatch):
    draws = []
    monkeypatch.setattr(view.figure.canvas, "draw", lambda: draws.append(1))
    before = pixels(view.png())
    after = pixels(view.update(table_of(gap_floor="22 um"), SIZE + 3))  # no curve leaves the axes
    assert draws == []
    differs = np.argwhere((before != after).any(axis=-1))
    assert len(differs)
    box = view.axes.get_window_extent()
    height = before.shape[0]
    assert differs[:, 1].min() >= box.x0 - 1 and differs[:, 1].max() <= box.x1 + 1
    assert differs[:, 0].min() >= height - box.y1 - 1 and differs[:, 0].max() <= height - box.y0 + 1


def test_quick_picture_is_the_figure_as_a_full_drawing_shows_it(view):
    quick = pixels(view.update(table_of(gap_floor="40 um"), SIZE))
    full = io.BytesIO()
    view.figure.savefig(full, format="png")  # animated artists are drawn when a figure is saved
    shown = pixels(full.getvalue())
    off = np.abs(quick - shown).max(axis=-1)
    assert (quick[0, 0] == 255).all()
    # Colours are rounded, and grid and frame may lie over or under a line.
    assert (off > 20).mean() < 0.003


def test_merit_axis_follows_when_curves_leave_it_and_stays_otherwise(view, table, monkeypatch):
    stored = []
    store = view.store
    monkeypatch.setattr(view, "store", lambda: stored.append(1) or store())
    limits = view.axes.get_ylim()
    view.update(scaled(table, 0.9), SIZE)
    assert (stored, view.axes.get_ylim()) == ([], limits)
    view.update(scaled(table, 1e4), SIZE)
    assert len(stored) == 1 and view.axes.get_ylim()[1] > np.nanmax(1e4 * table.merit["magnet"])
    bottom, top = view.axes.get_ylim()
    assert top / bottom <= 10**DECADES * 1.001
    view.update(dataclasses.replace(table, merit_name="torque per mass"), SIZE)
    assert len(stored) == 2 and "torque per mass" in view.axes.get_ylabel()


def test_blank_picture_holds_no_curve_and_the_next_one_does(view, table):
    first = view.update(table, SIZE)
    blank = view.blank(5.0)
    assert blank != first
    assert all(np.isnan(line.get_ydata()).all() for pair in view.lines.values() for line in pair)
    assert not any(text.get_text() for text in view.axes.texts)
    assert view.update(table, SIZE) == first


def test_sweep_without_any_torque_is_drawn_as_nothing(view, table):
    view.update(scaled(table, np.nan), SIZE)
    assert all(np.isnan(line.get_ydata()).all() for pair in view.lines.values() for line in pair)


def test_figure_is_none_of_pyplots(view):
    # A notebook's kernel shows every figure of pyplot's at the end of a cell.
    assert not any(view.figure is plots.plt.figure(number) for number in plots.plt.get_fignums())
