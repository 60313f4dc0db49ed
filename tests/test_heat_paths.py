"""The picture of where heat goes: its numbers are the network's, energy closes at every part, it can be read."""

import numpy as np
import pytest
from briefs import brief

from scaling import choose
from scaling.decision.curve import remade
from scaling.decision.heat_flows import COOLANT, heat_flows
from scaling.decision.temperatures import network_of
from scaling.models.thermal_network import NODES
from scaling.models.thermal_parts import capacities
from scaling.models.thermal_transient import BODIES, Warming
from scaling.pictures import heat_paths, plots
from scaling.pictures.heat_paths import NUMBERS, plot_heat_paths

KINDS = ("induction", "hysteresis", "reluctance", "magnet")
CASES = {
    "fan": {"rotor_diameter": "120 mm", "cooling": "shaft fan"},
    "jacket": {"rotor_diameter": "120 mm", "cooling": "water jacket"},
    "small": {"rotor_diameter": "3 mm", "gap_floor": "20 um"},
    "canned": {"rotor_diameter": "60 mm", "can_thickness": "0.3 mm", "gap_floor": "0.5 mm", "cooling": "oil jacket"},
}


@pytest.fixture(scope="module", params=CASES)
def choice(request):
    return choose(brief(self_starting=False, **CASES[request.param]))


@pytest.fixture
def ax():
    fig, ax = plots.figure(figsize=(7, 5))
    yield ax
    plots.plt.close(fig)


@pytest.mark.parametrize("kind", KINDS)
def test_what_enters_a_part_leaves_it_and_all_losses_reach_the_coolant(choice, kind):
    found = heat_flows(choice, kind)
    total = sum(sum(losses.values()) for losses in found.losses.values())
    for node in NODES:
        into = sum(found.losses[node].values()) + sum(w for (_, end), w in found.flows.items() if end == node)
        out = sum(w for (start, _), w in found.flows.items() if start == node)
        assert into == pytest.approx(out, rel=1e-9, abs=1e-9 * total), node
    design = choice[kind]
    warms = {name: loss.m_as("W") for name, loss in design.losses.items() if name != "fan"}
    assert found.flows["frame", COOLANT] == pytest.approx(sum(warms.values()), rel=1e-9)
    for name, watts in warms.items():
        arises = sum(losses.get(name, 0.0) for losses in found.losses.values())
        assert arises == pytest.approx(watts, rel=1e-9, abs=1e-12 * total), name


@pytest.mark.parametrize("kind", KINDS)
def test_heat_goes_from_warm_to_cool_and_rises_are_those_of_the_design(choice, kind):
    found, values = heat_flows(choice, kind), choice[kind].values
    assert set(found.rises) == {*NODES, COOLANT} and found.rises[COOLANT] == 0.0
    for (start, end), watts in found.flows.items():
        assert watts >= 0.0 and found.rises[start] >= found.rises[end]
    assert found.rises["frame"] == pytest.approx(values["frame_rise"], rel=1e-12)
    assert found.rises["rotor"] == pytest.approx(values["rotor_end_rise"], rel=1e-12)
    low, high = sorted((found.rises["slots"], found.rises["ends"]))
    assert low <= values["winding_rise"] <= high, "the winding's is a mean of slots and end turns"


def test_rises_are_where_the_network_in_time_comes_to(choice):
    """Second route: eigenvalues of the six bodies with heat capacities, after many of the longest time constant."""
    point, found = remade(choice, "induction"), heat_flows(choice, "induction")
    warming = Warming(network_of(point), capacities(point.stator.heat_paths.machine))
    ends = warming.step(point.heats, [40.0 * float(np.max(warming.time_constants))])
    for body in (*BODIES, "air"):
        assert np.ravel(ends[body])[0] == pytest.approx(found.rises[body], rel=1e-6), body


def test_a_jacket_cools_the_frame_and_leaves_the_inside():
    fan, jacket = (heat_flows(choose(brief(pole_pairs=2, **CASES[name])), "induction") for name in ("fan", "jacket"))
    assert fan.rises["frame"] > 10 * jacket.rises["frame"]
    drops = [(found.rises["slots"] - found.rises["frame"]) for found in (fan, jacket)]
    heats = [found.flows["frame", COOLANT] for found in (fan, jacket)]
    assert drops[1] / drops[0] == pytest.approx(heats[1] / heats[0], rel=0.3), "the same ways, more heat"


def test_the_picture_shows_the_numbers(choice, ax):
    plot_heat_paths(ax, choice, "induction")
    found, texts = heat_flows(choice, "induction"), [text.get_text() for text in ax.texts]
    for node, rise in found.rises.items():
        assert any(node in text and f"{rise:.1f} K" in text for text in texts), node
    total = found.flows["frame", COOLANT]
    unit = heat_paths._unit(total)
    for watts in found.flows.values():
        assert heat_paths._written(watts, unit) in texts
    lines = {line.get_label(): line for line in ax.lines}
    widths = []
    for (start, end), watts in found.flows.items():
        label = f"_{start} to {end}, {heat_paths._written(watts, unit)}"
        widths.append((watts, lines[label].get_linewidth()))
        assert len([name for name in lines if name.startswith(f"_{start} to {end}")]) == 1
    assert np.all(np.diff([width for _, width in sorted(widths)]) >= 0), "the more heat, the thicker"
    assert max(width for _, width in widths) == pytest.approx(heat_paths.THICKEST)
    shown = sum(w > heat_paths.LEAST * total for losses in found.losses.values() for w in losses.values())
    assert sum(text.count("+ ") for text in texts) == shown
    assert set(NUMBERS) == {edge if edge in NUMBERS else edge[::-1] for edge in found.flows}


def test_an_arrow_points_the_way_of_the_heat(ax):
    """A rotor without losses takes heat from the teeth, one with much slip gives it."""
    made = choose(brief(self_starting=False, **CASES["jacket"]))
    for kind, way in (("induction", ("rotor", "teeth")), ("reluctance", ("teeth", "rotor"))):
        ax.clear()
        plot_heat_paths(ax, made, kind)
        (line,) = (line for line in ax.lines if line.get_label().startswith(f"_{way[0]} to {way[1]}"))
        assert line.get_ydata()[0] == heat_paths.PLACES[way[0]][1]
        at = line.get_xydata().mean(axis=0)
        (head,) = (one for one in ax.lines if one.get_label() == "_arrow" and np.allclose(one.get_xydata()[0], at))
        step = line.get_xydata()[1] - line.get_xydata()[0]
        turn = np.degrees(np.arctan2(step[1], step[0])) - 90
        assert head.get_marker()[2] == pytest.approx(turn)


@pytest.mark.parametrize("kind", KINDS)
def test_words_stand_apart_and_inside_the_picture(choice, kind, ax):
    plot_heat_paths(ax, choice, kind)
    ax.figure.canvas.draw()
    frame = ax.figure.bbox
    boxes = [(text.get_text(), (text.get_bbox_patch() or text).get_window_extent()) for text in ax.texts]
    for i, (one, box) in enumerate(boxes):
        assert frame.x0 <= box.x0 and box.x1 <= frame.x1 and frame.y0 <= box.y0 and box.y1 <= frame.y1, one
        for other, there in boxes[i + 1 :]:
            assert not box.overlaps(there), (one, other)


def test_black_is_read_on_every_colour(ax):
    def light(channel):
        return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4

    for share in np.linspace(0.0, 1.0, 21):
        ax.clear()
        heat_paths._draw_part(ax, "yoke", 100.0 * share, 100.0)
        colour = ax.texts[0].get_bbox_patch().get_facecolor()[:3]
        seen = float(np.dot([0.2126, 0.7152, 0.0722], [light(channel) for channel in colour]))
        assert (seen + 0.05) / 0.05 > 4.5


def test_one_scale_of_colours_for_two_pictures(ax):
    made = choose(brief(self_starting=False, **CASES["fan"]))
    shades = []
    for hottest in (None, 1000.0):
        ax.clear()
        plot_heat_paths(ax, made, "induction", hottest=hottest)
        (box,) = (text.get_bbox_patch() for text in ax.texts if text.get_text().startswith("slots"))
        shades.append(box.get_facecolor())
    assert shades[0][1] < shades[1][1], "paler on a hotter scale"


@pytest.mark.parametrize("given", [{"duty": "S2"}, {"temperature_drop": "none"}])
def test_what_has_no_steady_network_is_refused(given, ax):
    made = choose(brief(self_starting=False, **CASES["fan"], **given))
    with pytest.raises(ValueError, match="choice: got duty="):
        plot_heat_paths(ax, made, "induction")


def test_units_suit_the_heat():
    written = {w: heat_paths._written(w, heat_paths._unit(w)) for w in (2.4e-7, 3.21e-4, 0.5, 9.9, 1346.0, 23456.0)}
    assert list(written.values()) == ["240 nW", "321 µW", "500 mW", "9.9 W", "1350 W", "23.5 kW"]
