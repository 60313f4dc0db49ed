"""Heating of a chosen design against integration in time; its pictures and report, read back."""

import numpy as np
import pytest
from briefs import brief
from matplotlib.figure import Figure
from scipy.integrate import solve_ivp

from scaling import choose
from scaling.decision.curve import remade
from scaling.decision.heating import heating
from scaling.decision.running import running
from scaling.ground import materials, units
from scaling.interface import report
from scaling.pictures import plots
from scaling.pictures.running import plot_heating, plot_torque_speed

KINDS = ("induction", "hysteresis", "reluctance")


def chosen(**more):
    given = {"rotor_diameter": "110 mm", "cooling": "shaft fan", "torque": "4 N*m", "speed": ("1300 rpm", "1600 rpm")}
    return choose(brief(**given | more))


@pytest.fixture(scope="module")
def choice():
    return chosen()


@pytest.fixture(scope="module")
def one_body():
    return chosen(temperature_drop="none")


@pytest.fixture
def axes():
    plots.use_style()
    return Figure(figsize=(8, 4.6), layout="constrained").subplots()


def body(choice, kind):
    """Return (heat capacity, heat passed per kelvin at speed and at rest, losses) of a design, put together anew."""
    values, found = choice[kind].values, heating(choice, kind)
    capacity = 450.0 * np.asarray(remade(choice, kind).stator.mass).item()  # without end rings
    loss = values["loss"] - values["fan loss"]  # which the air takes away
    passed = loss / values["heat_flux"] * values["heat_coefficient"]  # outside area times coefficient
    return capacity, passed, capacity / found.resting_time_constant.m_as("s"), loss


@pytest.mark.parametrize("kind", KINDS)
def test_warming_is_that_of_an_integrated_heat_balance(one_body, kind):
    found = heating(one_body, kind)
    capacity, passed, _, loss = body(one_body, kind)
    time, rise = found.time.m_as("s"), found.rise.m_as("K")
    grown = solve_ivp(
        lambda t, y: [(loss - passed * y[0]) / capacity, passed * y[0]], (0, time[-1]), [0.0, 0.0], t_eval=time,
        rtol=1e-10, atol=1e-9,
    )  # fmt: skip
    assert rise == pytest.approx(grown.y[0], rel=1e-6, abs=1e-6)
    assert loss * time == pytest.approx(capacity * rise + grown.y[1], rel=1e-6, abs=1e-6 * loss), "energy balance"
    values = one_body[kind].values
    assert found.final_rise.m_as("K") == pytest.approx(values["heat_flux"] / values["heat_coefficient"], rel=1e-9)
    assert found.final_rise <= found.allowed_rise * (1 + 1e-6)
    assert found.rise_after(found.time_constant) / found.final_rise == pytest.approx(1 - np.exp(-1), rel=1e-12)
    assert materials.MACHINE_SPECIFIC_HEAT == 450.0


def test_torque_against_speed_is_drawn_with_its_named_points(choice, axes):
    found = [running(choice, kind) for kind in KINDS]
    assert plot_torque_speed(axes, found) is axes
    lines = {line.get_label(): line for line in axes.lines}
    for one in found:
        drawn = lines[one.kind]
        np.testing.assert_allclose(drawn.get_xdata(), one.speed.m_as("rpm"))
        np.testing.assert_allclose(drawn.get_ydata(), one.torque.m_as("N*m"))
        for name, point in one.points.items():
            mark = lines[f"_{one.kind}, {name}"]
            assert mark.get_xdata()[0] == pytest.approx(point.speed.m_as("rpm"))
            assert mark.get_ydata()[0] == pytest.approx(point.torque.m_as("N*m"))
    assert len({lines[kind].get_linestyle() for kind in KINDS}) == 3
    assert len({lines[name].get_marker() for name in ("start", "pull-out", "running")}) == 3
    assert lines["load"].get_ydata()[-1] == pytest.approx(4.0)
    assert axes.get_xlabel() == "speed (rpm)" and axes.get_ylabel() == "torque (N·m)"
    low, high = axes.get_ylim()
    assert low < 0 < max(np.max(one.torque.m_as("N*m")) for one in found) < high


def test_one_small_rotor_is_drawn_in_a_small_unit(axes):
    plot_torque_speed(axes, running(choose(brief(rotor_diameter="5 mm")), "hysteresis"), load=False)
    assert axes.get_ylabel() == "torque (µN·m)" and "load" not in [line.get_label() for line in axes.lines]
    assert 1 < axes.get_ylim()[1] < 1000


def test_heating_is_drawn_with_time_constant_and_limit(choice, axes):
    found = [heating(choice, kind) for kind in KINDS]
    assert plot_heating(axes, found) is axes
    lines = {line.get_label(): line for line in axes.lines}
    longest = max(one.time.m_as("min")[-1] for one in found)
    unit = "h" if longest > 120 else "min"
    for one in found:
        np.testing.assert_allclose(lines[one.kind].get_xdata(), one.time.m_as(unit))
        np.testing.assert_allclose(lines[one.kind].get_ydata(), one.rise.m_as("K"))
        np.testing.assert_allclose(lines[f"_{one.kind}, rest"].get_ydata(), one.rest_rise.m_as("K"))
        assert lines[f"_{one.kind}, constant"].get_xdata()[0] == pytest.approx(one.time_constant.m_as(unit))
    assert lines["_allowed"].get_ydata()[0] == 60.0 and axes.get_xlabel() == f"time ({unit})"


def test_nothing_to_draw_is_refused(axes):
    with pytest.raises(ValueError, match="runnings: got none"):
        plot_torque_speed(axes, [])
    with pytest.raises(ValueError, match="heatings: got none"):
        plot_heating(axes, [])


def test_the_report_has_every_point_and_verdict(choice):
    found = [running(choice, kind) for kind in KINDS]
    text = str(report.running(*found))
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in text.splitlines() if line.startswith("|")]
    head, cells = rows[0], {row[0]: dict(zip(rows[0][1:], row[1:], strict=True)) for row in rows[2:]}
    assert head[1:] == list(KINDS)
    for one in found:
        for name in ("start", "pull-up", "pull-out", "running"):
            cell = cells[name][one.kind]
            if name not in one.points:
                assert cell == "-"
                continue
            torque, _, speed = cell.partition(" at ")
            assert torque == units.show(one.points[name].torque)
            assert speed == units.show(one.points[name].speed, "rpm")
        assert cells["starts"][one.kind] == ("yes" if one.starts else "no")
        assert cells["holds"][one.kind] == ("yes" if one.holds else "no")
        assert float(cells["pull-out over load"][one.kind]) == pytest.approx(one.overload, rel=5e-3)
        assert f"**{one.kind.capitalize()}**" in text and f"- Assumed: {one.assumed}" in text
        assert all(f"- {verdict}" in text for verdict in one.verdicts) and len(one.verdicts) >= 2
    assert float(cells["pull-in number"]["reluctance"]) == pytest.approx(found[2].pull_in.number, rel=5e-3)
    assert cells["pull-in number"]["induction"] == "-" and "nan" not in text
    for wrong in ((), (choice,)):
        with pytest.raises(TypeError, match="expected what running"):
            report.running(*wrong)
