"""What a drive's voltage and current leave of a machine's torque: closed forms against every current there is."""

import math

import numpy as np
import pytest
from test_windings_voltage import PLAIN, alone, made

from scaling import Brief
from scaling.decision.curve import remade
from scaling.decision.drive_limits import AxesLimits, limits_of
from scaling.decision.envelope import envelope
from scaling.interface import report_winding
from scaling.laws import envelope as law
from scaling.laws import reserve
from scaling.machines.axes import Axes
from scaling.machines.axes import axes as axes_of
from scaling.models.search import root
from scaling.pictures import plots
from scaling.pictures.envelope import in_words, plot_envelope, plot_powers

BASE = 2.0  # of loading


def salient(xi, tangent, R=0.0):
    """Return a machine of two unlike axes at its base point."""
    A_d = BASE / math.hypot(1.0, tangent)
    return Axes(R, 1.0, 1.0 / xi, 0.05, 0.0, A_d, A_d * tangent)


def magnet(c_I, R=0.0):
    """Return a magnet machine with its current across the magnets' axis."""
    return Axes(R, 0.6, 0.6, 0.05, 0.6 * BASE * c_I, 0.0, BASE)


def limits(axes, overload=1.0, ratio=1.0):
    return AxesLimits(axes, overload * axes.loading, ratio * axes.voltage(axes.A_d, axes.A_q))


def torque(found, ratios):
    """Return the torque across the gap over that of the base point, 0 where there is none."""
    return np.nan_to_num(found.at(np.atleast_1d(ratios))[0], nan=0.0)


def by_trial(axes, most, voltage, ratio):
    """Return the largest torque of all currents within both limits, over that of the base point."""
    size, angle = np.meshgrid(most * np.linspace(0.005, 1.0, 200), np.linspace(0.0, math.pi, 1001))
    d, q = size * np.cos(angle), size * np.sin(angle)
    able = axes.voltage(d, q, ratio) <= voltage
    return np.max(np.where(able, axes.power(d, q), -np.inf), initial=0.0) / axes.gap_power


def power_range(found, top):
    """Return the highest ratio of frequency at which base power is held."""
    base = found.base_ratio
    ratios = base * np.geomspace(1.0, top, 4000)
    power = torque(found, ratios) * ratios / base
    held = power >= 1 - 1e-9
    assert held[0]
    return (ratios[len(held) if held.all() else np.argmin(held)] if not held.all() else math.inf) / base


# Closed forms against every current


MACHINES = {
    "reluctance": salient(8.0, 1.0),
    "rated past 45 degrees": salient(8.0, 2.5),
    "little saliency": salient(3.0, 1.5),
    "weak magnets": magnet(0.7),
    "magnets as strong as the current": magnet(1.0),
    "strong magnets": magnet(2.5),
}


@pytest.mark.parametrize("R", [0.0, 0.05, 0.5])
@pytest.mark.parametrize("name", MACHINES)
def test_no_current_gives_more_torque(name, R):
    axes = MACHINES[name]._replace(R=R)
    found = limits(axes)
    for ratio in (1.0, 1.3, 3.0):
        most = by_trial(axes, found.most, found.voltage, ratio)
        assert torque(found, ratio).item() == pytest.approx(min(most, 1.0), abs=8e-3)
        d, q, less = found.loadings(ratio)
        if not math.isfinite(float(q)):
            assert most < 8e-3
            continue
        assert math.hypot(d, q) <= found.most * (1 + 1e-9)
        assert axes.voltage(d, q, ratio) <= found.voltage * (1 + 1e-9)
        assert less == (math.hypot(d, q) < found.most * (1 - 1e-9)) or ratio == 1.0


@pytest.mark.parametrize("tangent", [0.5, 1.0, 1.7, 2.5])
@pytest.mark.parametrize("xi", [3.0, 8.0, 15.0])
def test_constant_power_range_of_unlike_axes(xi, tangent):
    found = limits(salient(xi, tangent))
    closed = float(law.salient_power_range(xi=xi, tan_delta=tangent))
    assert power_range(found, 50.0) == pytest.approx(closed, rel=3e-3)
    assert found.figures()["ideal_range"] == pytest.approx(closed)


def test_torque_above_that_of_the_base_is_not_used():
    # Rated below 45°, all current would give more: it is spared instead.
    found = limits(salient(8.0, 0.5))
    held, current, *_ = found.at(np.array([1.05]))
    along, across, _ = found.loadings(1.05)
    assert held == pytest.approx(1.0) and current < 0.98
    assert found.made.power(along, across) > 1.05 * found.held
    spared = found.made.power(along, across) * (current * found.most / math.hypot(along, across)) ** 2
    assert spared == pytest.approx(found.held, rel=1e-12)


def test_limits_of_unlike_axes():
    assert float(law.salient_power_range(xi=8.0, tan_delta=1.0)) == pytest.approx((8.0 + 1 / 8.0) / 2)
    # No saliency, no torque; and none of it is constant power.
    same = salient(1.0 + 1e-9, 1.0)
    assert same.gap_power == pytest.approx(0.0, abs=1e-8)
    assert float(law.salient_power_range(xi=1.0, tan_delta=1.0)) == 1.0
    # At the angle of best power factor and beyond power only falls.
    assert float(law.salient_power_range(xi=9.0, tan_delta=3.0)) == pytest.approx(1.0)
    assert float(law.salient_power_range(xi=9.0, tan_delta=4.0)) == 1.0
    # An induction machine's range: up to its breakdown torque over its rated one, which it meets to 45°.
    for tangent in (0.4, 1.0, 1.5, 2.5):
        breakdown = float(reserve.two_axis_pull_out(R=0.0, X_d=12.0, X_q=1.0, tan_delta=tangent))
        range_ = float(law.salient_power_range(xi=12.0, tan_delta=tangent))
        assert range_ == pytest.approx(breakdown) if tangent <= 1.0 else range_ < breakdown
        assert range_ > 0.6 * breakdown


def test_torque_falls_with_the_square_of_speed_in_the_end():
    found = limits(salient(10.0, 2.0))
    far = torque(found, [50.0, 100.0])
    assert far[0] / far[1] == pytest.approx(4.0, rel=1e-9)
    breakdown = float(reserve.two_axis_pull_out(R=0.0, X_d=10.0, X_q=1.0, tan_delta=2.0))
    assert far[0] * 50.0**2 == pytest.approx(breakdown, rel=1e-9)


@pytest.mark.parametrize("c_I", [1.2, 2.0, 5.0])
def test_magnets_stronger_than_the_current_end_at_a_speed(c_I):
    found = limits(magnet(c_I))
    assert power_range(found, 50.0) == pytest.approx(float(law.magnet_power_range(c_I=c_I)), rel=3e-3)
    end = float(law.magnet_speed_range(c_I=c_I))
    assert torque(found, end * 0.999).item() > 0.0 and torque(found, end * 1.001).item() == 0.0
    assert found.figures()["characteristic_current"] == pytest.approx(c_I)


@pytest.mark.parametrize("c_I", [0.5, 0.9, 1.0])
def test_magnets_that_the_current_can_oppose_have_no_end(c_I):
    found = limits(magnet(c_I))
    assert power_range(found, 1e4) == math.inf and found.figures()["ideal_range"] == math.inf
    far = torque(found, [1e3, 1e4])
    assert far[0] / far[1] == pytest.approx(10.0, rel=1e-3)  # power constant
    if c_I < 1.0:  # E*U/X: all of the voltage against the magnets' field
        expected = found.made.E_s * found.voltage / found.made.X_d / 2 / found.made.gap_power
        assert far[1] * 1e4 == pytest.approx(expected, rel=1e-9)


def test_base_ratio_is_where_the_currents_fill_the_voltage():
    for axes in (salient(6.0, 1.5, 0.2), magnet(1.5, 0.3)):
        found = limits(axes, overload=1.3, ratio=1.1)
        at = root(lambda n, f=found: f.made.voltage(*f.below, n) - f.voltage, np.array(0.1), np.array(5.0))
        assert found.base_ratio == pytest.approx(float(at), rel=1e-9)
    assert limits(salient(6.0, 1.5, 0.2)).base_ratio == pytest.approx(1.0, rel=1e-12)


# Designs


@pytest.fixture(scope="module")
def found():
    """Envelopes of designs for the mains, as if a drive fed them."""
    kinds = ("induction", "hysteresis", "reluctance", "magnet")
    asked = Brief(**PLAIN)
    return {kind: (alone(asked, kind), envelope(alone(asked, kind), kind)) for kind in kinds}


@pytest.mark.parametrize("kind", ["induction", "hysteresis", "reluctance", "magnet"])
def test_base_speed_is_that_of_the_design(kind, found):
    choice, one = found[kind]
    design = choice[kind]
    assert one.base_speed.m == pytest.approx(design.speed.m, rel=1e-3)
    assert one.base_torque.m == pytest.approx(design.torque.m, rel=1e-3)
    assert one.base_power.m == pytest.approx(design.power.m, rel=2e-3)
    assert np.all(np.diff(one.speed.m) > 0.0) and one.speed.m[0] == 0.0
    assert np.all(one.current <= 1 + 1e-6) and np.all(one.gap_field <= 1 + 1e-3)
    below = one.speed.m <= one.base_speed.m
    assert one.current[below] == pytest.approx(1.0, rel=1e-4)
    assert one.power.m == pytest.approx(one.torque.m * one.speed.m)
    assert one.constant_power_range == pytest.approx(one.constant_power_to.m / one.base_speed.m)


def test_ranges_of_the_kinds(found):
    # Induction twice, as breakdown over rated torque lets it; reluctance less, its rated angle is past 60°; a magnet
    # rotor of many poles hardly at all: its characteristic current is six times its own.
    ranges = {kind: one.constant_power_range for kind, (_, one) in found.items()}
    assert ranges["induction"] == pytest.approx(2.0, abs=0.05) and ranges["reluctance"] == pytest.approx(1.31, abs=0.03)
    assert ranges["magnet"] == pytest.approx(1.06, abs=0.01) and ranges["hysteresis"] < 1.1
    for kind in ("induction", "reluctance", "magnet"):
        assert ranges[kind] <= found[kind][1].ideal_range * 1.01
        assert ranges[kind] == pytest.approx(found[kind][1].ideal_range, rel=0.13)
    induction = found["induction"][1]
    assert induction.constant_power_range < induction.reserve


def test_what_ends_it(found):
    ended = {kind: one.ended_by for kind, (_, one) in found.items()}
    assert ended == {"induction": "torque", "hysteresis": "torque", "reluctance": "rotor strength", "magnet": "torque"}
    for kind, (_, one) in found.items():
        assert (one.torque.m[-1] == 0.0) == (ended[kind] == "torque")
    slow = envelope(alone(Brief(**PLAIN, rim_speed_limit="12 m/s")), "induction")
    assert slow.ended_by == "rim speed" and slow.highest_speed.m == pytest.approx(12 / 0.055, rel=0.01)
    sleeved = envelope(alone(Brief(**PLAIN, sleeved=True), "reluctance"), "reluctance")
    assert sleeved.highest_speed > found["reluctance"][1].highest_speed


def test_more_current_and_more_voltage(found):
    choice, plain = found["induction"]
    pushed = envelope(choice, "induction", overload=1.5)
    assert 1.3 < (pushed.base_torque / plain.base_torque).m < 1.75 and pushed.base_speed < plain.base_speed
    fast = envelope(choice, "induction", voltage_ratio=2.0)
    assert (fast.base_speed / plain.base_speed).m == pytest.approx(2.0, rel=0.05)
    assert fast.base_torque.m == pytest.approx(plain.base_torque.m, rel=0.02)
    strong, own = (envelope(found["magnet"][0], "magnet", overload=n).characteristic_current for n in (3.0, 1.0))
    assert own / strong == pytest.approx(3.0)


def test_the_brief_s_voltage_is_the_drive_s():
    drive = {"supply_frequency": ("10 Hz", "200 Hz"), "speed": "3000 rpm", "cooling": "water"}
    one = envelope(made(**drive), "induction")
    assert 1.0 <= one.voltage_ratio < 1.05 and "conductors a slot want" in one.verdicts[-1]
    assert one.base_speed.m_as("rpm") == pytest.approx(3000 * one.voltage_ratio, rel=0.02)
    none = envelope(made("1 V", **drive), "induction")
    assert none.voltage_ratio == 1.0 and "for want of a winding" in none.verdicts[-1]


def test_where_resistance_decides_the_power_rises_past_the_design():
    # 2 mm: reactance is nothing, the voltage is that of the resistance: speed costs hardly any.
    one = envelope(alone(Brief(rotor_diameter="2 mm", gap_floor="5 um"), "magnet"), "magnet")
    assert one.base_speed.m_as("rpm") > 5 * 600 and one.ended_by == "torque"


def test_a_ring_s_table_meets_its_design(found):
    choice, one = found["hysteresis"]
    ring = limits_of(remade(choice, "hysteresis"), 1.0, 1.0)
    gap, current, field, slip, _ = ring.at(np.array([0.5, 1.0, 2.0]))
    assert gap[:2] == pytest.approx([1.0, 1.0], rel=1e-3) and field[1] == pytest.approx(1.0, rel=1e-3)
    assert gap[2] < 0.5 and current[2] < 1.0 and np.all(slip == 0.0)
    drawn = np.array([ring._drawn(n)[int(round(ring._place(n)[0]))] for n in (1.5, 3.0)])
    assert drawn / ring.voltage == pytest.approx([1.0, 1.0], rel=0.01)
    assert math.isnan(one.ideal_range) and one.kind == "hysteresis"


def test_what_is_no_drive_is_refused(found):
    choice = found["induction"][0]
    for name, value in (("overload", 0.5), ("overload", True), ("voltage_ratio", 0.0), ("voltage_ratio", "2")):
        with pytest.raises(ValueError, match=f"^{name}: got"):
            envelope(choice, "induction", **{name: value})
    with pytest.raises(ValueError, match="single-phase"):
        envelope(alone(Brief(**PLAIN, supply="single-phase")), "induction")


# Said and drawn


def test_words_pictures_and_table(found):
    one = found["induction"][1]
    assert one.verdicts[0] == "Holds 17.4 N·m up to 1470 rpm, 2.67 kW." and "without losses 2.25" in one.verdicts[1]
    assert "above: the voltage ends its speed" in in_words(found["magnet"][1])
    assert any("fan turns with the shaft" in told for told in one.verdicts)
    choice, fast = found["magnet"]
    told = next(told for told in fast.verdicts if "lets go" in told)
    made_of = axes_of(*(getattr(remade(choice, "magnet"), name) for name in ("fed", "operation")))
    ratio = (fast.highest_speed / choice["magnet"].speed).m
    assert f" {made_of.E_s / made_of.voltage(made_of.A_d, made_of.A_q) * ratio:.3g} times" in told
    text = str(report_winding.envelope(*(each for _, each in found.values())))
    assert "| base speed | 1470 rpm | 1000 rpm | 1500 rpm | 187.5 rpm |" in text and "Assumed: " in text
    with pytest.raises(TypeError, match="envelope"):
        report_winding.envelope(one, "two")
    fig, ax = plots.figure()
    plot_envelope(ax, one)
    assert [line.get_label() for line in ax.lines][:2] == ["torque", "power"]
    assert {line.get_linestyle() for line in ax.lines[:2]} == {"-", "--"}
    assert any("times base speed" in text.get_text() for text in ax.texts)
    assert ax.lines[0].get_ydata()[0] == pytest.approx(1.0, rel=0.02)
    plots.plt.close(fig)
    fig, ax = plots.figure()
    plot_powers(ax, [each for _, each in found.values()])
    assert {text.get_text() for text in ax.texts} == set(found)
    plots.plt.close(fig)
    with pytest.raises(ValueError, match="envelopes: got none"):
        plot_powers(ax, [])
