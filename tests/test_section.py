"""The cross-section: lengths, areas and counts are read back from what is drawn and held against the design."""

import functools
import time
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from repository import ROOT

from scaling import Brief, choose, read_briefs, sweep
from scaling.ground import materials
from scaling.pictures import plots
from scaling.pictures.section import draw_section

DRIVES = read_briefs(ROOT / "notebooks/data/observatory_drives.csv")
KINDS = ("induction", "hysteresis", "reluctance", "magnet")
SLOW = {"bearing_friction": 0.0015, "supply_frequency": "20 Hz"}
EXTREMES = {
    "half a millimetre": {"rotor_diameter": "0.5 mm", "gap_floor": "5 um", "slot_pitch_floor": "20 um"},
    "three metres": {"rotor_diameter": "3 m", "pole_pairs": 48, "gap_ratio": 0.001, **SLOW},
    "3456 slots": {
        "rotor_diameter": "3 m",
        "pole_pairs": 48,
        "gap_ratio": 0.001,
        "slots_per_pole_and_phase": 12,
        **SLOW,
    },
    "gap of a millionth": {"rotor_diameter": "1 m", "gap_floor": "1 um", "gap_ratio": 0.0, "slot_opening_ratio": 0.05},
    "six shallow slots": {
        "rotor_diameter": "20 mm",
        "pole_pairs": 1,
        "slots_per_pole_and_phase": 1,
        "slot_depth_ratio": 0.02,
    },
    "wide gap, thick stator": {
        "rotor_diameter": "10 mm",
        "gap_ratio": 0.2,
        "outside_ratio": 10.0,
        "slot_depth_ratio": 0.9,
        "rotor_depth_ratio": 0.4,
        "pole_pairs": 1,
        "bearing_diameter_ratio": 1.0,
    },
    "slots full of copper": {
        "rotor_diameter": "10 mm",
        "tooth_share": 0.1,
        "slot_fill": 0.907,
        "slot_opening_ratio": 0.9,
        "bearing_diameter_ratio": 0.0,
        "pole_arc": 0.95,
        "magnet_arc": 1.0,
    },
    "hardly any slots": {
        "rotor_diameter": "10 mm",
        "tooth_share": 0.95,
        "slot_fill": 0.9,
        "slot_depth_ratio": 0.01,
        "outside_ratio": 1.05,
        "pole_arc": 0.2,
        "slot_opening_ratio": 0.9,
    },
    "deep slots": {"rotor_diameter": "10 mm", "pole_pairs": 8, "outside_ratio": 3, "slot_depth_ratio": 0.6},
}
BRIEFS = DRIVES | {name: Brief(**given) for name, given in EXTREMES.items()}
# Every drive with every type; of the extremes, two types each in turn, which is quicker.
# No cage of 0.9 mm: its bars would lie below two tooth tips of half the finest slot pitch, deeper than a fifth of it.
NO_CAGE = "sample pump"
CASES = [(name, kind) for name in DRIVES for kind in KINDS if (name, kind) != (NO_CAGE, "induction")]
CASES += [(name, KINDS[(i + j) % 4]) for i, name in enumerate(EXTREMES) for j in (0, 2)]


@pytest.fixture(scope="module")
def designs():
    """Return the design of a (name, kind), chosen once."""
    kept = functools.cache(lambda name: choose(BRIEFS[name]))
    return lambda name, kind: kept(name)[kind]


def draw(design, brief):
    """Draw a design and read back {name: patch} and {name: outline}."""
    plots.use_style()
    ax = Figure(figsize=(8, 4.6), layout="constrained").subplots()  # not kept by pyplot, so that many may exist
    assert draw_section(ax, design, brief) is ax
    (inset,) = ax.child_axes
    lines = {line.get_label()[1:]: line.get_xydata() for line in ax.lines if line.get_label().startswith("_")}
    outlines = {name: xy for name, xy in lines.items() if not name.startswith(("child", "scale"))}
    patches = dict(zip(outlines, ax.patches, strict=True))
    unit = 1e3 if ax.get_xlabel() == "mm" else 1e6
    return SimpleNamespace(ax=ax, inset=inset, outlines=outlines, patches=patches, unit=unit)


@pytest.fixture(scope="module")
def drawn(designs):
    """Return the section of a (name, kind), drawn and laid out once."""

    @functools.cache
    def get(name, kind):
        made = draw(designs(name, kind), BRIEFS[name])
        made.ax.figure.draw_without_rendering()
        return made

    return get


def pieces(xy):
    """Return the closed outlines between NaN."""
    xy = np.asarray(xy)
    parts = np.split(xy, np.flatnonzero(np.isnan(xy[:, 0])))
    return [part[~np.isnan(part[:, 0])] for part in parts if (~np.isnan(part[:, 0])).any()]


def area(xy):
    """Return the area of all pieces, by the shoelace formula."""
    parts = [part - part[0] for part in pieces(xy)]
    return sum(abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2 for x, y in (part.T for part in parts))


def radius(xy):
    return np.hypot(*np.asarray(xy).T)


def slots(bore, middle):
    """Return the pieces of the bore's outline outside radius ``middle``: one a slot, rolled to begin in a tooth."""
    xy = bore[:-1]
    xy = np.roll(xy, -np.argmin(radius(xy)), axis=0)
    xy = np.vstack([xy, xy[:1]])
    outside = radius(xy) > middle
    starts = np.flatnonzero(outside[1:] & ~outside[:-1]) + 1
    ends = np.flatnonzero(~outside[1:] & outside[:-1]) + 1
    return [xy[a:b] for a, b in zip(starts, ends, strict=True)]


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_stator_is_the_designs(name, kind, designs, drawn):
    design, si = designs(name, kind), BRIEFS[name].si
    v, made = design.values, drawn(name, kind)
    D, g, D_o, d_s, pitch = (
        made.unit * v[n] for n in ("rotor_diameter", "gap", "outside_diameter", "slot_depth", "slot_pitch")
    )
    arrows = [text for text in made.ax.texts if not text.get_text()]
    assert [arrow.xyann[0] for arrow in arrows] == pytest.approx([D / 2, D_o / 2])
    assert [arrow.xy[0] for arrow in arrows] == pytest.approx([-D / 2, -D_o / 2])
    bore = made.outlines["bore and slots"]
    assert radius(made.outlines["stator outside"]) == pytest.approx(D_o / 2)
    assert radius(bore).min() == pytest.approx(D / 2 + g)
    assert D_o / 2 - radius(bore).max() == pytest.approx(D_o / 2 - D / 2 - g - d_s)  # the yoke
    cut = slots(bore, D / 2 + g + d_s * 0.75)
    assert len(cut) == round(np.pi * (D + 2 * g) / pitch)
    assert len(cut) in (6 * design.pole_pairs, 6 * design.pole_pairs * si.slots_per_pole_and_phase)
    teeth = [np.hypot(*(second[0] - first[-1])) for first, second in zip(cut, cut[1:] + cut[:1], strict=True)]
    np.testing.assert_allclose(teeth, si.tooth_share * pitch, rtol=1e-6)
    # The same parallel teeth at the other end of a slot: the corners under the opening's lips.
    sides = slots(bore, D / 2 + g + 1e-6 * d_s)
    assert len(sides) == len(cut)
    mouths = [np.hypot(*(side[-1] - side[0])) for side in sides]
    half = si.slot_opening_ratio * pitch / (D + 2 * g)
    necks = radius(np.array([side[0] for side in sides]))
    np.testing.assert_allclose(mouths, 2 * necks * np.sin(half), rtol=1e-6)


def test_copper_is_the_designs():
    given = Brief(rotor_diameter="40 mm", conductors_per_slot=200)
    design = choose(given)["induction"]
    made = draw(design, given)
    D, g, d_s = (made.unit * design.values[n] for n in ("rotor_diameter", "gap", "slot_depth"))
    drawn = sum(area(made.outlines[f"copper {phase}"]) for phase in "UVW")
    assert drawn == pytest.approx(design.slot_fill * (1 - given.si.tooth_share) * np.pi * (D + 2 * g) * d_s, rel=2e-3)
    assert design.slot_fill < 0.95 * choose(Brief(rotor_diameter="40 mm"))["induction"].slot_fill


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_copper_has_the_models_area_and_lies_in_the_slots(name, kind, designs, drawn):
    design, si = designs(name, kind), BRIEFS[name].si
    made = drawn(name, kind)
    D, g, d_s = (made.unit * design.values[n] for n in ("rotor_diameter", "gap", "slot_depth"))
    bore = D + 2 * g
    copper = [made.outlines[f"copper {phase}"] for phase in "UVW"]
    areas = [area(xy) for xy in copper]
    # Conductor area of the mass and of the current density: J = A/(slot_fill*d_s), plane geometry.
    assert sum(areas) == pytest.approx(design.slot_fill * (1 - si.tooth_share) * np.pi * bore * d_s, rel=2e-3)
    np.testing.assert_allclose(areas, np.mean(areas), rtol=1e-6)
    outline, pitch = made.outlines["bore and slots"], made.unit * design.values["slot_pitch"]
    turn = 2 * pitch / bore
    for xy in copper:
        points = np.concatenate(pieces(xy))
        r = radius(points)
        assert radius(outline).min() < r.min() and r.max() < radius(outline).max()
        # Distance of a point from the middle line of its tooth, whose width another test reads from the outline.
        angle = (np.arctan2(points[:, 1], points[:, 0]) - np.pi / 2) % turn
        assert (r * np.sin(np.minimum(angle, turn - angle) - turn / 2) < -si.tooth_share * pitch / 2).all()


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_both_views_are_to_scale_and_the_gap_stands_between_its_arrows(name, kind, designs, drawn):
    design = designs(name, kind)
    made = drawn(name, kind)
    gap = made.unit * design.values["gap"]

    def pixels(axes):
        (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (1, 1)])
        assert x1 - x0 == pytest.approx(y1 - y0)
        return x1 - x0

    (note,) = (text.get_text() for text in made.ax.texts if text.get_text().startswith("A: ×"))
    stated = float(note.split("×")[1].split(",")[0])
    assert made.ax.get_aspect() == made.inset.get_aspect() == 1
    assert pixels(made.inset) / pixels(made.ax) == pytest.approx(stated)

    (x, high), (_, low) = (text.xy for text in made.inset.texts if not text.get_text())
    assert np.hypot(x, high) - np.hypot(x, low) == pytest.approx(gap)
    (left, right), (bottom, top) = made.inset.get_xlim(), made.inset.get_ylim()
    assert left < x < right and bottom < low < high < top
    assert gap > 0.016 * (top - bottom)
    assert (right - left) < 1.3 * made.unit * design.values["slot_pitch"] or gap > 0.2 * (top - bottom)
    # Air between the arrows, tooth above the upper, rotor below the lower.
    inside = {key: patch.get_path() for key, patch in made.patches.items()}
    air = inside.pop("bore and slots")
    rotor = [path for key, path in inside.items() if key not in ("stator outside", "shaft")]
    step = 0.05 * gap
    assert air.contains_point((x, high - step)) and not air.contains_point((x, high + step))
    assert any(path.contains_point((x, low - step)) for path in rotor)
    assert not any(path.contains_point((x, low + step)) for path in rotor)


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_nothing_lies_outside_the_limits(name, kind, drawn):
    made = drawn(name, kind)
    (x0, x1), (y0, y1) = made.ax.get_xlim(), made.ax.get_ylim()
    for line in made.ax.lines:
        x, y = line.get_xdata(), line.get_ydata()
        assert x0 <= np.nanmin(x) <= np.nanmax(x) <= x1 and y0 <= np.nanmin(y) <= np.nanmax(y) <= y1
    whole = made.ax.get_window_extent().padded(1)
    for text in (*made.ax.texts, *made.inset.texts):
        box = Text.get_window_extent(text)  # without an annotation's arrow
        assert whole.x0 <= box.x0 <= box.x1 <= whole.x1 and whole.y0 <= box.y0 <= box.y1 <= whole.y1, text
    arrows = [text for text in made.ax.texts if not text.get_text()]
    sizes = [
        text
        for text in made.ax.texts
        if text.get_text().startswith(("rotor ", "outside ")) and text.get_ha() != "right"
    ]
    for arrow, text in zip(arrows, sizes, strict=True):
        (left, _), (right, _) = made.ax.transData.transform([arrow.xy, arrow.xyann])
        box = Text.get_window_extent(text)
        assert box.width < 0.9 * (right - left) or box.x0 > right, "its text does not hide a dimension's arrow"
    frame = made.inset.get_window_extent()
    names = [Text.get_window_extent(text) for text in made.ax.texts if text.get_ha() == "right" and text.get_text()]
    assert max(box.x1 for box in names) < frame.x0
    for upper, lower in zip(sorted(names, key=lambda b: -b.y0), sorted(names, key=lambda b: -b.y0)[1:], strict=False):
        assert upper.y0 > lower.y1, "names of parts do not overlap"


@pytest.mark.parametrize("name", [name for name, kind in CASES if kind == "induction"])
def test_cage_bars(name, designs, drawn):
    design, si = designs(name, "induction"), BRIEFS[name].si
    made = drawn(name, "induction")
    D, t, pitch = (made.unit * design.values[n] for n in ("rotor_diameter", "rotor_thickness", "slot_pitch"))
    bars = made.outlines["bars"]
    count = round(np.pi * (D + 2 * made.unit * design.values["gap"]) / pitch)
    assert len(pieces(bars)) == 5 * count / 6
    assert radius(np.concatenate(pieces(bars))).min() == pytest.approx(D / 2 - t)
    # The bars' share of their layer, at every radius, below tooth tips.
    tip = made.unit * max(si.slot_pitch_floor / 2, si.rib_ratio * design.values["rotor_diameter"])
    assert radius(np.concatenate(pieces(bars))).max() == pytest.approx(D / 2 - tip)
    share = design.values["bar_share"]
    assert area(bars) == pytest.approx(share * np.pi * (D - t - tip) * (t - tip), rel=2e-3)
    assert si.bar_share in (None, share)
    surface = made.outlines["rotor surface"]
    assert radius(surface).max() == pytest.approx(D / 2) and radius(surface).min() == pytest.approx(D / 2 - tip)
    # What the surface leaves open: the openings of the slots.
    opening = design.values["rotor_slot_opening_ratio"]
    assert area(surface) == pytest.approx(np.pi * D**2 / 4 - opening * np.pi * (D - tip) * tip, rel=1e-4)
    assert opening <= share
    assert "20 bars: copper" in {text.get_text() for text in made.ax.texts} or count != 24


@pytest.mark.parametrize("name", [name for name, kind in CASES if kind == "magnet"])
def test_magnets_have_the_briefs_arc_and_the_remanence_that_gives_the_shear_stress(name, designs, drawn):
    design = designs(name, "magnet")
    v, made = design.values, drawn(name, "magnet")
    D, t, g = (made.unit * v[n] for n in ("rotor_diameter", "rotor_thickness", "gap"))
    # Hand-derived: B_m = 2*sigma_t/(A*cos(psi)) at the bore; magnetisation at r counts as cosh(p*ln(r/inner)), summed.
    p, A = design.pole_pairs, v["linear_current_density_peak"] * np.sin(v["load_angle"])
    B_m = 2 * v["shear_stress"] * (D / (D + 2 * g)) ** 2 / A
    r = D / 2 - t + t * (np.arange(2000) + 0.5) / 2000
    sent = np.cosh(p * np.log(r / (D / 2 - t))).mean() * t * v["wave_number"] / made.unit
    arc = BRIEFS[name].si.magnet_arc
    B_r = B_m * np.pi / (4 * np.sin(np.pi / 2 * arc)) * np.sinh(v["wave_number"] * v["magnetic_gap"]) / sent
    assert B_r * (1 - 1e-4) <= v["remanence"]  # magnets feed the iron, too; the formula's is ideal
    assert v["remanence"] <= materials.MAGNETS[design.material].remanence * 1.001
    assert f"{v['remanence']:.2g} T" in " ".join(text.get_text().replace("\n", " ") for text in made.ax.texts)
    layer = np.pi * (D**2 / 4 - (D / 2 - t) ** 2)
    north, south = (made.outlines[f"magnets {pole}"] for pole in "NS")
    assert len(pieces(north)) == len(pieces(south)) == design.pole_pairs
    assert area(north) + area(south) == pytest.approx(arc * layer, rel=5e-3)
    first = [np.arctan2(*np.mean(pieces(xy)[0][:-1], axis=0)[::-1]) for xy in (north, south)]
    assert (first[1] - first[0]) % (2 * np.pi) == pytest.approx(np.pi / design.pole_pairs)


def test_phases_follow_each_other_a_pole_apart(drawn):
    made = drawn("hoist", "induction")
    at = {}
    for phase in "UVW":
        for piece in pieces(made.outlines[f"copper {phase}"]):
            x, y = piece[:-1].mean(axis=0)
            at[round((np.degrees(np.arctan2(y, x)) - 90) % 360 / 15)] = phase
    # Two slots per pole and phase, four poles: U -V W, three phase belts a pole (IEC 60050-411, phase belt).
    assert "".join(at[i] for i in range(24)) == 4 * "UUVVWW"


def test_parts_are_told_without_colour(drawn):
    for kind in KINDS:
        made = drawn("hoist", kind)
        hatched = [patch for key, patch in made.patches.items() if patch.get_hatch()]
        assert len({patch.get_hatch() for patch in hatched}) >= 3
        shades = {patch.get_facecolor() for key, patch in made.patches.items() if not patch.get_hatch()}
        assert len(shades) == 3  # iron, air, shaft
        names = " ".join(text.get_text().replace("\n", " ") for text in made.ax.texts)
        for part in ("yoke", "24 teeth", "3 phases, copper", "gap", "shaft", "rotor 220 mm", "outside 376 mm"):
            assert part in names
    assert made.ax.get_title() == "magnet, 220 mm rotor, 4 poles"


def test_summary_tells_radii_gap_and_numbers(drawn):
    made = drawn("hoist", "induction")
    text = plots.summarise(made.ax.figure)
    assert "induction, 220 mm rotor, 4 poles: x mm" in text
    for row in ("stator outside, ", "(0, 188.1)", "bore and slots", "(0, 143.7)", "A: × 10, gap 0.66 mm", "24 teeth"):
        assert row in text
    assert "e-1" not in text, "no rounding noise, which differs between machines"
    assert "_" not in text


@pytest.mark.parametrize(("size", "unit"), [("0.99 mm", "µm"), ("1 mm", "mm"), ("3 m", "mm")])
def test_unit_suits_the_size(size, unit):
    brief = Brief(rotor_diameter=size, gap_floor="20 um", supply_frequency="5 Hz", bearing_friction=0.0015)
    made = draw(choose(brief)["reluctance"], brief)
    assert made.ax.get_xlabel() == made.ax.get_ylabel() == unit
    (bar,) = (line for line in made.ax.lines if line.get_label() == "_scale bar")
    length = np.ptp(bar.get_xdata())
    assert f"{length:g} {unit}" in {text.get_text() for text in made.ax.texts}
    assert any(length / 10 ** np.floor(np.log10(length)) == pytest.approx(first) for first in (1, 2, 5))


def test_brief_of_a_sweep_serves_every_size():
    brief = Brief(rotor_diameter="20 mm")
    other = Brief(rotor_diameter="60 mm")
    made = draw(choose(other)["induction"], brief)
    assert made.ax.get_title().startswith("induction, 60 mm rotor")
    assert sweep(brief, ["20 mm", "60 mm"]).feasible["induction"].size == 2


@pytest.mark.parametrize("change", [{"slot_depth_ratio": 0.1}, {"outside_ratio": 2.0}])
def test_a_foreign_brief_is_refused(change):
    with pytest.raises(ValueError, match="brief: its outside and slots are not the design's"):
        draw(choose(Brief(rotor_diameter="20 mm"))["induction"], Brief(rotor_diameter="20 mm", **change))


def test_a_design_without_a_running_point_is_refused(designs):
    brief, design = BRIEFS[NO_CAGE], designs(NO_CAGE, "induction")
    assert not np.isfinite(design.values["torque"])
    with pytest.raises(ValueError, match="no running point to draw: "):
        draw(design, brief)


def test_few_artists_and_soon_drawn(designs):
    took = {}
    for name in ("hoist", "dome ring drive") * 4:
        start = time.perf_counter()
        made = draw(designs(name, "hysteresis"), BRIEFS[name])
        took[name] = min(took.get(name, np.inf), time.perf_counter() - start)
        assert len(made.ax.get_children()) + len(made.inset.get_children()) < 100
    assert took["dome ring drive"] < 4 * took["hoist"], "576 slots cost little more than 24"
    assert took["hoist"] < 0.5, "generous, as other work runs beside: 0.05 s alone"
