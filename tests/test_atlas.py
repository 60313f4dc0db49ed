"""The map over two fields against sweeps and single choices, its borders, its errors, its picture, its speed."""

import html
import time
from dataclasses import replace

import numpy as np
import pytest

from scaling import Brief, Q, atlas, choose, sweep
from scaling.decision.atlas_axis import read_axes
from scaling.decision.atlas_raster import regions_of
from scaling.decision.optimum import best_designs
from scaling.interface.widgets import atlas_explorer
from scaling.models.borders import borders
from scaling.models.scattered import Through, apart
from scaling.pictures import plots
from scaling.pictures.atlas import plot_atlas, read_points

PLAIN = Brief(rotor_diameter="20 mm", gap_floor="20 um")
DRIVE = Brief(rotor_diameter="20 mm", gap_floor="20 um", supply_frequency=("5 Hz", "100 Hz"))
TORQUE = Brief(rotor_diameter="20 mm", torque="0.1 N*m")
RANGES = {"rotor_diameter": ("20 mm", "80 mm"), "gap_floor": ("20 um", "200 um")}
FEW = {"searched": 4, "points": 16}  # quick
THIN = 0.02  # of an axis: as near to a border the winner may be told wrongly
MARKED = {"induction": "o", "reluctance": "^"}


@pytest.fixture(scope="module")
def timed():
    """The map of a drive, what it told while it was made, its time over that of a sweep of 60 sizes."""
    told, sizes = [], Q(np.geomspace(1, 300, 60), "mm")
    start = time.process_time()
    sweep(DRIVE, sizes)
    middle = time.process_time()
    made = atlas(DRIVE, searched=10, progress=lambda done, total: told.append((done, total)))
    return made, told, (time.process_time() - middle) / (middle - start)


@pytest.fixture(scope="module")
def made(timed):
    return timed[0]


@pytest.fixture(scope="module")
def asked():
    """A small map on which nothing meets the brief in places."""
    return atlas(TORQUE, y="gap_floor", x_range=RANGES["rotor_diameter"], y_range=RANGES["gap_floor"], **FEW)


def exact(made, u):
    """Return (log merits, minus infinity where the brief is not met; winners) at places, searched exactly."""
    si = made.explored.si(u)
    sizes, fixed = np.broadcast_to(si.rotor_diameter, u.shape[1:]), made.brief.supply_is_fixed
    found = best_designs(si, sizes, made.merit_name, fixed, (*made.merit,))
    logs = np.array([np.log(np.where(one.feasible, one.merit, 1.0)) for one in found.values()])
    logs[~np.array([one.feasible for one in found.values()])] = -np.inf
    return logs, np.where(np.isfinite(logs).any(axis=0), np.array([*found])[logs.argmax(axis=0)], "")


def along_borders(made):
    """Return the places of all borders, close to one another."""
    places = []
    for lines in made.boundaries.values():
        for line in lines:
            u = np.array([axis.place(q.m_as(q.units)) for axis, q in zip(made.axes, line, strict=True)])
            places += [np.linspace(a, b, 30) for a, b in zip(u.T, u.T[1:], strict=False)]
    return np.concatenate(places).T


def test_points_searched_are_those_of_a_sweep(made):
    row = np.flatnonzero(made.searched[0])[3]
    at = np.flatnonzero(made.searched[:, row])
    assert at.size == 10
    same = sweep(replace(DRIVE, supply_frequency=("5 Hz", made.y[row])), made.x[at])
    assert list(same.best) == list(made.best[at, row]) and len(set(same.best)) == 2
    for kind in made.merit:
        assert np.array_equal(same.feasible[kind], made.feasible[kind][at, row])
        expected = np.where(same.feasible[kind], same.merit[kind], np.nan)
        np.testing.assert_allclose(made.merit[kind][at, row], expected, rtol=1e-9)
    assert made.merit_unit == same.merit_unit


def test_between_them_merit_and_winner_are_told(made):
    """The error of merit at places held out, and the winner but for a thin strip along the borders."""
    u = np.random.default_rng(5).random((2, 40))
    logs, winners = exact(made, u)
    told = made.explored.scores(u)
    both = np.isfinite(logs) & np.isfinite(told)
    off = np.abs(logs[both] - told[both])
    assert np.median(off) < 0.02 and np.quantile(off, 0.9) < 0.1
    assert np.mean(np.isfinite(logs) != np.isfinite(told)) < 0.05
    names = np.array([*made.merit, ""])[made.explored.labels(u)]
    border = along_borders(made)
    far = np.min(np.hypot(*(u[:, :, None] - border[:, None, :])), axis=1) > THIN
    assert far.sum() > 25 and np.array_equal(names[far], winners[far])


def test_merits_are_level_where_types_change_places(made):
    ((line,),) = made.boundaries.values()
    u = np.array([axis.place(q.m_as(q.units)) for axis, q in zip(made.axes, line, strict=True)])
    assert u.shape[1] > 12 and u.min() == 0.0 and u.max() == 1.0
    logs, _ = exact(made, u)
    a, b = (list(made.merit).index(kind) for kind in ("induction", "reluctance"))
    lead = np.abs(logs[a] - logs[b])
    assert np.mean(lead < 1.01e-3) > 0.6 and np.max(lead) < 0.02  # some lie in brackets of 0.1 % of an axis


def test_beyond_a_border_another_choice_is_best(made):
    (line, *_) = made.boundaries["induction", "reluctance"]
    middle = len(line[0]) // 2
    u = np.array([axis.place(q.m_as(q.units)) for axis, q in zip(made.axes, line, strict=True)])[:, middle]
    sides = [u + step * np.array([1.0, 1.0]) / np.sqrt(2) for step in (-3e-3, 3e-3)]
    values = [[axis.value(place) for axis, place in zip(made.axes, side, strict=True)] for side in sides]
    kinds = [made.at(Q(float(x), "m"), Q(float(y), "Hz")).best.kind for x, y in values]
    assert kinds == ["reluctance", "induction"]


def test_where_nothing_meets_the_brief_the_map_ends_exactly_and_says_why(asked):
    assert set(asked.best.ravel()) == {"induction", ""}
    (pair,) = (pair for pair in asked.boundaries if "" in pair and "induction" in pair)
    line = asked.boundaries[pair][0]
    for i in (1, len(line[0]) // 2):
        x, y = line[0][i], line[1][i]
        assert [asked.at(x * factor, y / factor).feasible for factor in (0.996, 1.004)] == [False, True]
    none = next(one for one in asked.regions if not one.best)
    assert "of the 100 mN·m asked for" in none.reason or "of the 0.1 N·m asked for" in none.reason
    assert none.reason == asked.at(none.x, none.y).reason
    assert "None meets the brief on" in asked.words and none.reason.split(". ")[1] in asked.words
    bare = asked.best == ""
    assert set(asked.unmet["induction"][bare]) == {"torque"} and np.all(asked.unmet["induction"][~bare] == "")
    assert np.all(np.isnan(asked.margin[bare]))


def test_margin_and_tie_are_those_of_the_choice(made):
    for i, j in np.argwhere(made.searched)[[20, 60, -1]]:
        choice = made.at(made.x[i], made.y[j])
        assert choice.best.kind == made.best[i, j]
        assert choice.margin == pytest.approx(made.margin[i, j], rel=1e-6)
        assert choice.is_level == made.is_level[i, j]
    assert made.is_level.any() and not made.is_level.all()


def test_axes_change_places(asked):
    ranges = {"x_range": RANGES["gap_floor"], "y_range": RANGES["rotor_diameter"]}
    turned = atlas(asked.brief, x="gap_floor", y="rotor_diameter", **FEW, **ranges)
    assert np.array_equal(turned.best.T, asked.best) and np.array_equal(turned.is_level.T, asked.is_level)
    for kind in asked.merit:
        np.testing.assert_allclose(turned.merit[kind].T, asked.merit[kind], rtol=1e-3)
    for pair, lines in asked.boundaries.items():
        assert len(turned.boundaries[pair]) == len(lines)


def test_more_points_cost_no_search(made, monkeypatch):
    monkeypatch.setattr(made.explored, "search", None)
    fine = made.finer(119)  # every second is a point of the map
    assert fine.best.shape == (119, 119) and np.array_equal(fine.best[::2, ::2], made.best)
    assert fine.boundaries == made.boundaries and fine.regions == made.regions


def test_the_upper_end_of_a_drive_moves():
    drive = Brief(rotor_diameter="20 mm", supply_frequency=("10 Hz", "200 Hz"))
    axis = read_axes(drive, "rotor_diameter", "supply_frequency", None, ("50 Hz", "400 Hz"), None, None)[1]
    low, high = axis.field(np.array([100.0, 200.0]))
    assert axis.words == "highest supply frequency" and list(low) == [10.0, 10.0] and list(high) == [100.0, 200.0]
    assert axis.typed(100.0)[0].m_as("Hz") == 10.0
    with pytest.raises(ValueError, match="y_range: .* begins at 10 Hz"):
        atlas(drive, y_range=("5 Hz", "400 Hz"))


def test_axes_are_logarithmic_where_that_suits():
    def axes(**given):
        return read_axes(
            PLAIN,
            **{"x": "rotor_diameter", "y": "ambient"}
            | dict.fromkeys(("x_range", "y_range", "x_scale", "y_scale"))
            | given,
        )

    assert [axis.logarithmic for axis in axes()] == [True, False]
    assert not axes(x_range=("10 mm", "20 mm"))[0].logarithmic
    assert axes(x_range=("10 mm", "20 mm"), x_scale="logarithmic")[0].logarithmic
    assert axes()[1].shown(axes()[1].value(0.0)) == (pytest.approx(-20.0), "°C")
    around = axes(x="slot_depth_ratio")[0]
    assert around.low == pytest.approx(0.015) and around.high == pytest.approx(1.0)
    np.testing.assert_allclose(around.place(around.value(np.linspace(0, 1, 5))), np.linspace(0, 1, 5), atol=1e-12)


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        ({"x": "size"}, ValueError, "x: got 'size'.*expected one of"),
        ({"x": "gap_flor"}, ValueError, "did you mean 'gap_floor'"),
        ({"x": 3}, TypeError, "x: got 3"),
        ({"x": "supply_frequency"}, ValueError, "y: got 'supply_frequency', as x"),
        ({"y": "cooling"}, ValueError, "y: got 'cooling', which holds no number"),
        ({"y": "magnets_allowed"}, ValueError, "y: got 'magnets_allowed', which holds no number"),
        ({"y": "pole_pairs"}, ValueError, "y: got 'pole_pairs', a whole number"),
        ({"x": "barriers"}, ValueError, "x: got 'barriers', a whole number"),
        ({"x_range": ("3 mm", "1 mm")}, ValueError, "x_range: .*a low and a higher end of rotor_diameter"),
        ({"x_range": ("3 mm",)}, ValueError, "x_range: got 1 values"),
        ({"x_range": "3 mm"}, TypeError, "x_range: .*expected a .low, high. pair of length"),
        ({"x_range": ("3 s", "5 s")}, ValueError, "x_range: got '3 s'"),
        ({"x_range": ("3,5 mm", "5 mm")}, ValueError, "x_range: .*decimal point"),
        ({"y": "slot_fill", "y_range": (0.2, 0.99)}, ValueError, "y_range: got 0.99; expected at most 0.907"),
        ({"y": "torque"}, ValueError, "y_range: not given, and the brief says no torque"),
        ({"x_scale": "log"}, ValueError, "x_scale: got 'log'"),
        ({"y": "gap_ratio", "y_range": (0, 0.01), "y_scale": "logarithmic"}, ValueError, "y_scale: .*from zero"),
        ({"points": 3}, ValueError, "points: got 3"),
        ({"points": 60.0}, TypeError, "points: got 60.0"),
        ({"searched": 3}, ValueError, "searched: got 3"),
        ({"progress": 1}, TypeError, "progress: got 1"),
        ({"merit": "beauty"}, ValueError, "merit: got 'beauty'"),
    ],
)
def test_what_cannot_be_is_refused(given, error, words):
    with pytest.raises(error, match=words):
        atlas(PLAIN, **given)


def test_fields_that_contradict_each_other_are_a_region():
    ranges = {"x_range": ("0.5 mm", "1.5 mm"), "y_range": ("0.3 mm", "2 mm")}
    made = atlas(PLAIN, y="gap_floor", **FEW, **ranges)
    assert set(made.best.ravel()) == {""} and made.boundaries == {}
    assert "contradiction" in made.unmet["induction"] and "No type meets the brief anywhere" in made.words
    with pytest.raises(ValueError, match="gap_floor: a gap of 2 mm is not below the radius"):
        made.at("0.5 mm", "2 mm")


def test_progress_is_told_and_an_interrupt_does_no_harm(timed, asked):
    told = timed[1]
    done = [one for one, _ in told]
    assert done == sorted(done) and told[-1][0] == told[-1][1] and len(told) >= 4 and done[-2] < done[-1]

    def stop(done, total):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        atlas(asked.brief, progress=stop, **FEW)
    assert choose(asked.brief).best is None


def test_the_picture_is_read_without_colour(made):
    plots.use_style()
    fig, ax = plots.figure()
    points = [("80 mm", "50 Hz", "motors"), ("110 mm", "50 Hz", "motors"), ("2 m", "50 Hz", "outside the map")]
    assert plot_atlas(ax, made, points) is ax
    lines = {line.get_label(): line for line in ax.lines}
    for kind, marker in MARKED.items():
        assert lines[f"_{kind}"].get_marker() == marker == plots.STYLES[kind]["marker"]
    drawn = [line for line in ax.lines if " / " in line.get_label()]
    assert len(drawn) == sum(map(len, made.boundaries.values()))
    assert list(lines["motors"].get_xdata()) == [80.0, 110.0] and "outside the map" not in lines
    names = {text.get_text() for text in ax.texts}
    assert names >= {*MARKED, "1.5×"}
    assert {text.get_text() for text in ax.get_legend().get_texts()} >= {"too near to call", "motors"}
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("rotor diameter (mm)", "highest supply frequency (Hz)")
    fig.canvas.draw()
    inside = ax.get_window_extent()
    for text in (text for text in ax.texts if text.get_text() in MARKED):
        box = text.get_window_extent()
        assert inside.x0 < box.x0 and box.x1 < inside.x1 and inside.y0 < box.y0 and box.y1 < inside.y1
    picture = plots.show(fig, alt=made.words)
    assert len(picture.png) < 60_000 and "induction / reluctance" in picture.summary


def test_where_nothing_meets_the_brief_is_hatched_and_named(asked):
    fig, ax = plots.figure()
    plot_atlas(ax, asked)
    assert {text.get_text() for text in ax.texts} >= {"induction", "none"}
    assert "none meets the brief" in {text.get_text() for text in ax.get_legend().get_texts()}
    hatches = [hatch for drawn in ax.collections for hatch in getattr(drawn, "hatches", None) or [] if hatch]
    assert "xx" in hatches and len(set(hatches)) == len(hatches)
    plots.plt.close(fig)


def test_lists_of_fields_change_the_map(asked, monkeypatch):
    calls = []

    def atlas_of(brief, x, y, progress, **given):
        calls.append((brief, x, y, given))
        if x == y:
            raise ValueError(f"y: got {y!r}, as x")
        progress(3, 3)
        return replace(asked, regions=asked.regions[: len(calls)])

    monkeypatch.setattr("scaling.interface.widgets.atlas", atlas_of)
    explorer = atlas_explorer(TORQUE, ("rotor_diameter", "gap_floor", "temperature_rise"), "torque per mass")
    first = explorer.image.value
    explorer.controls["y"].value = "temperature_rise"
    assert explorer.image.value != first and explorer.words == explorer.map.words
    assert html.escape(explorer.words) in explorer.readout.value and explorer.bar.value == explorer.bar.max == 3
    explorer.controls["y"].value = "gap_floor"  # kept
    assert explorer.image.value == first
    given = {"merit": "torque per mass", "searched": 15}
    assert calls == [(TORQUE, "rotor_diameter", name, given) for name in ("gap_floor", "temperature_rise")]
    explorer.controls["y"].value = "rotor_diameter"
    assert explorer.words == "y: got 'rotor_diameter', as x"
    data, metadata = explorer._repr_mimebundle_()
    assert data["text/plain"] == explorer.picture.summary and metadata["image/png"]["alt"].startswith("Best type by")
    with pytest.raises(ValueError, match="fields: got 'cooling'"):
        atlas_explorer(TORQUE, ("gap_floor", "cooling"))
    with pytest.raises(ValueError, match="at least two names"):
        atlas_explorer(TORQUE, ("gap_floor",))


def test_points_are_refused_that_are_none(made):
    fig, ax = plots.figure()
    with pytest.raises(TypeError, match="points: got"):
        plot_atlas(ax, made, [("80 mm", "50 Hz")])
    with pytest.raises(ValueError, match="supply_frequency: got '50 mm'"):
        plot_atlas(ax, made, [("80 mm", "50 mm", "motors")])
    plots.plt.close(fig)


def test_a_table_of_machines_gives_points(tmp_path):
    path = tmp_path / "cores.csv"
    path.write_text("# note: none\npoles,bore [mm],rating [kW]\n4,75,0.75\n4,,1.1\n2,98,3\n", encoding="utf-8")
    assert read_points(path, "bore [mm]", "50 Hz", "cores") == [
        ("75 mm", "50 Hz", "cores"),
        ("98 mm", "50 Hz", "cores"),
    ]
    assert read_points(path, "bore [mm]", "rating [kW]", "cores")[1] == ("98 mm", "3 kW", "cores")
    with pytest.raises(ValueError, match="x: got 'bor .mm.'"):
        read_points(path, "bor [mm]", "50 Hz", "cores")


def test_a_surface_goes_through_what_is_known():
    rng = np.random.default_rng(2)
    u, v = rng.random((2, 80)), rng.random((2, 40)) * 0.8 + 0.1

    def height(u):
        return np.sin(3 * u[0]) * np.cos(2 * u[1]) + u[0]

    made = Through(u, height(u))
    np.testing.assert_allclose(made(u), height(u), atol=1e-9)
    assert np.max(np.abs(made(v) - height(v))) < 0.03
    some = np.delete(np.arange(80), 7)
    alone = Through(u[:, some], height(u[:, some]))(u[:, [7]])
    assert made.left_out[7] == pytest.approx(alone[0], abs=1e-9)
    assert np.isnan(Through(np.empty((2, 0)), np.empty(0))(v)).all()
    kept = u[:, apart(u, 0.1)]
    far = np.hypot(*(kept[:, :, None] - kept[:, None, :])) + np.eye(kept.shape[1])
    assert far.min() >= 0.1


def test_borders_close_about_an_island_and_meet_in_a_joint():
    island = np.zeros((5, 5), int)
    island[2, 2] = 1
    ((ring,),) = borders(island).values()
    assert ring[0] == ring[-1] and len(set(ring)) == 4
    three = np.array([[0, 0], [1, 2]])
    assert {
        pair: [chain[-1] if chain[-1][0] == "joint" else chain[0] for chain in chains]
        for pair, chains in borders(three).items()
    } == dict.fromkeys(((0, 1), (0, 2), (1, 2)), [("joint", 0, 0)])
    saddle = borders(np.array([[0, 1], [1, 0]]))
    assert [len(chain) for chain in saddle[0, 1]] == [2, 2]
    assert regions_of(island) == [(24 / 25, regions_of(island)[0][1]), (1 / 25, (2, 2))]


def test_a_map_costs_a_few_sweeps(timed):
    # Measured: 3 to 5 sweeps of 60 sizes with 10 places searched along either axis, 5 to 9 with the 15 by default, some
    # ten seconds on a quiet machine; every point searched would take 60.
    assert timed[2] < 12
