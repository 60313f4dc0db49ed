"""The records in which a rotor, a merit, a check, a limit, a figure and a cooling mode stand once, and are complete."""

import dataclasses
import enum
import inspect

import numpy as np
import pytest
from briefs import brief

from scaling import choose, sweep
from scaling.decision import compare_words, limits
from scaling.decision.brief import Brief
from scaling.decision.checks import BY_NAME, CHECKS, checked
from scaling.decision.compare import MEASURES
from scaling.decision.curve import remade
from scaling.decision.factors import FACTORS, STAGES
from scaling.decision.figures import FIGURES
from scaling.decision.limits import LIMITS
from scaling.decision.merits import MERITS, Merit, factors
from scaling.decision.optimum import best_designs
from scaling.decision.performance import LOSSES
from scaling.interface import report
from scaling.machines import ROTORS, YARDSTICK, induction
from scaling.machines.rotor import Objective, Rotor
from scaling.models import heat
from scaling.pictures import plots
from scaling.pictures.section import draw_section

FIELDS = {f.name for f in dataclasses.fields(Brief) if f.init}


@pytest.fixture(scope="module")
def made():
    return choose(brief(rotor_diameter="60 mm", magnets_allowed=True))


# Half a record is refused


@pytest.mark.parametrize("record", [Rotor, Merit, heat.CoolingMode])
def test_a_record_with_a_part_missing_is_refused(record):
    missing = dataclasses.MISSING
    required = [f for f in dataclasses.fields(record) if f.default is missing and f.default_factory is missing]
    given = dict.fromkeys((f.name for f in required), 1)
    for f in required:
        with pytest.raises(TypeError, match=f.name):
            record(**{name: value for name, value in given.items() if name != f.name})


def test_a_merit_of_unknown_objective_or_factors_is_refused():
    right = vars(MERITS["torque per mass"])
    for wrong in ({"objective": "torqe"}, {"factors": {"gap field": 1, "luck": 1}}):
        with pytest.raises(TypeError, match="torque per mass"):
            Merit(**right | wrong)


def test_a_rotor_that_names_an_unlisted_limit_is_refused(made):
    point = remade(made, "induction")
    point.operation = dataclasses.replace(point.operation, limits={"patience": np.array([[True]])})
    with pytest.raises(KeyError, match="induction rotor names .*patience"):
        limits.active(point)


# Every record is used everywhere


@pytest.mark.parametrize("kind", ROTORS)
def test_a_rotor_is_chosen_explained_drawn_and_swept(kind, made):
    rotor, design = ROTORS[kind], made[kind]
    assert rotor.kind == kind and isinstance(rotor.synchronous, bool) and rotor.phrase(design, True)
    assert plots.STYLES[kind] == vars(rotor.look)
    fig, ax = plots.figure()
    draw_section(ax, design, made.brief)
    plots.plt.close(fig)
    table = sweep(made.brief, ["50 mm", "60 mm"])
    assert table.merit[kind][1] == pytest.approx(design.merit, rel=1e-9)
    fig, ax = plots.figure()
    plots.plot_merit(ax, table)
    assert any(line.get_label().startswith(kind) for line in ax.lines)
    plots.plt.close(fig)


def test_no_two_rotors_look_alike():
    for part in ("color", "marker", "linestyle"):
        assert len({getattr(rotor.look, part) for rotor in ROTORS.values()}) == len(ROTORS)


def test_a_fifth_rotor_needs_no_more_than_its_record(monkeypatch):
    """Another induction rotor under a new name: chosen, swept and pictured without another line anywhere."""
    twin = dataclasses.replace(induction.ROTOR, kind="twin", look=dataclasses.replace(induction.ROTOR.look, marker="v"))
    monkeypatch.setitem(ROTORS, "twin", twin)
    monkeypatch.setitem(plots.STYLES, "twin", vars(twin.look))
    given = brief(rotor_diameter="60 mm")
    found = best_designs(given.si, [0.06], "torque per volume", True, ("induction", "twin"))
    assert found["twin"].merit == pytest.approx(found["induction"].merit, rel=1e-12)
    fig, ax = plots.figure()
    plots.plot_merit(ax, sweep(given, ["50 mm", "60 mm"]))
    plots.plt.close(fig)


@pytest.mark.parametrize("merit", MERITS)
def test_a_merit_is_documented_multiplies_and_is_chosen_by(merit):
    chosen = choose(brief(rotor_diameter="60 mm", magnets_allowed=True), merit)
    assert MERITS[merit].name == merit and isinstance(MERITS[merit].objective, Objective)
    assert merit in " ".join(choose.__doc__.replace("\n", " ").split())
    a, b = chosen["induction"], chosen["magnet"]
    assert np.prod(list(factors(a, b, merit).values())) == pytest.approx(a.merit / b.merit, rel=1e-9)
    assert MERITS[merit].of_figures(a.values) == pytest.approx(a.merit, rel=1e-9)
    assert all(compare_words.both(name, a, b) for name in MERITS[merit].factors)
    assert chosen.best.merit_unit == MERITS[merit].unit


def test_every_factor_serves_a_merit_and_every_objective_a_rotor():
    measured = {name for measure in MEASURES.values() for name in measure.factors}
    assert set(FACTORS) == measured | {name for factor in FACTORS.values() for name in factor.parts}
    assert set(STAGES) == set(LOSSES), "every loss is a stage on the way to the shaft"
    assert {merit.objective for merit in MERITS.values()} == set(Objective) and issubclass(Objective, enum.Enum)


def test_every_limit_names_fields_of_the_brief_once_and_has_its_own_hatch():
    relaxed = [field for limit in LIMITS.values() for field in limit.relaxed_by]
    assert set(relaxed) <= FIELDS and len(set(relaxed)) == len(relaxed)
    assert all(way in (-1, 1) for limit in LIMITS.values() for way in limit.relaxed_by.values())
    hatches = [limit.hatch for limit in LIMITS.values() if limit.relaxed_by]
    assert len(set(hatches)) == len(hatches)


def test_limits_of_a_design_and_of_what_binds_are_one_vocabulary(made):
    assert {name for design in made.designs.values() for name in design.limited_by} <= set(LIMITS)


def test_every_check_is_made_told_and_near_or_fatal(made):
    assert len(BY_NAME) == len(CHECKS)
    asked = brief(
        torque="1 N*m",
        power="1 W",
        starting_torque="1 mN*m",
        starting_torque_ratio=1.0,
        synchronous=True,
        self_starting=True,
    ).si
    assert all(check.asked(asked) for check in CHECKS)
    point = remade(made, "hysteresis")
    point.si = asked
    assert list(checked(point)) == [check.name for check in CHECKS]
    for check in CHECKS:
        assert check.fatal or check.name == "synchronous" or (check.nearness and check.signal), check.name


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_has_a_meaning_and_a_value_for_every_rotor(name, made):
    figure = FIGURES[name]
    assert figure.name == name and figure.meaning
    for kind, design in made.designs.items():
        value = np.asarray(figure.value(remade(made, kind)), float).item()
        assert value == pytest.approx(design.values[name], rel=1e-5, nan_ok=True)  # a ring's bounds are worked out anew
        if name.isidentifier() and name != "pole_pairs":
            shown = getattr(design, name)
            assert (shown.m_as(figure.unit) if figure.unit else shown) == pytest.approx(
                design.values[name], nan_ok=True
            )
    assert not figure.label or f"| {figure.label} |" in report.choice(made).text


@pytest.mark.parametrize("mode", heat.MODES)
def test_a_cooling_mode_is_read_and_has_a_coefficient_of_its_own(mode):
    found = {
        name: choose(brief(rotor_diameter="60 mm", cooling=name)).designs["induction"].heat_coefficient.m
        for name in heat.MODES
    }
    assert found[mode] > 0 and list(found.values()).count(found[mode]) == 1
    assert f"{mode} ({heat.MODES[mode].way})" in Brief.describe()


def test_a_cooling_mode_added_to_the_table_is_computed_by_its_own_function(monkeypatch):
    def fog(si, outside):
        return 77.0 * np.ones(np.shape(outside.diameter))

    monkeypatch.setitem(heat.MODES, "fog", heat.CoolingMode("fog", fog, grows_with_speed=False, way="frame to fog"))
    si = brief(rotor_diameter="60 mm").si
    si.cooling = "fog"
    found = best_designs(si, [0.06], "torque per volume", True, ("magnet",))
    assert found["magnet"].figures["heat_coefficient"] == 77.0


# Defects that a record would have prevented


def test_the_yardstick_is_infinite_where_no_other_type_has_torque():
    stuck = brief(rotor_diameter="0.5 mm", gap_floor="100 um", bearing_friction=1.0, bearing_diameter_ratio=0.4)
    table, made = sweep(stuck, ["0.4 mm", "0.5 mm"]), choose(stuck)
    free = sweep(brief(rotor_diameter="20 mm"), ["20 mm", "30 mm"])
    assert all(made[kind].merit <= 0 or np.isnan(made[kind].merit) for kind in ROTORS if kind != YARDSTICK)
    assert made.yardstick == np.inf == table.yardstick[1] and 1 < free.yardstick[1] < 100


def test_wires_in_narrow_slots_are_not_refused_for_a_fill_that_is_not_used():
    made = choose(brief(rotor_diameter="200 mm", conductors_per_slot=20, tooth_share=0.85))
    assert 0 < made["induction"].slot_fill < 0.6


@pytest.mark.parametrize("size", ["3 mm", "22 mm", "110 mm", "400 mm"])
@pytest.mark.parametrize("kind", ["hysteresis", "reluctance", "magnet"])
def test_a_synchronous_design_holds_the_torque_it_is_rated_at(size, kind):
    from scaling.decision.running import running

    given = brief(rotor_diameter=size, bearing_friction=0.0015, self_starting=False, supply_frequency=("5 Hz", "77 Hz"))
    chosen = choose(given, "power per volume")
    found = running(chosen, kind)
    assert found.holds and found.overload == pytest.approx(1.0, abs=1e-6)


def test_a_drive_that_cannot_start_a_magnet_says_at_which_frequency():
    made = choose(brief(rotor_diameter="220 mm", supply_frequency=("60 Hz", "100 Hz"), magnets_allowed=True))
    (told,) = (reason for reason in made["magnet"].reasons if "pull itself in" in reason)
    assert "at the drive's lowest frequency of 60 Hz: pull-in number" in told
    fixed = choose(brief(rotor_diameter="220 mm", magnets_allowed=True))["magnet"].reasons
    assert not any("drive's" in reason for reason in fixed)


def test_copper_far_above_a_sane_current_density_is_told_in_continuous_duty():
    shallow = {"cooling": "water", "slot_depth_ratio": 0.05, "temperature_drop": "none"}
    hot = choose(brief(rotor_diameter="200 mm", **shallow))["induction"]
    assert hot.current_density_rms.m_as("A/mm**2") > 15
    assert any("above its core across the slot's liner" in reason for reason in hot.reasons)
    cool = choose(brief(rotor_diameter="110 mm"))["induction"]
    assert not any("liner" in reason for reason in cool.reasons)


def test_thin_air_and_cold_water_are_the_briefs():
    def coefficient(**given):
        return choose(brief(rotor_diameter="60 mm", **given))["magnet"].heat_coefficient.m

    assert coefficient(air_pressure="70 kPa") < coefficient(air_pressure="101.325 kPa")
    water = {"cooling": "water", "coolant_speed": "1 m/s"}
    assert coefficient(**water, ambient="10 degC") < 0.85 * coefficient(**water, ambient="40 degC")


def test_a_speed_asked_for_exactly_at_a_synchronous_speed_is_inside():
    made = choose(brief(rotor_diameter="20 mm", supply_frequency="400 Hz", speed=("500 rpm", "4000 rpm")))
    assert made["hysteresis"].speed.m_as("rpm") == pytest.approx(4000, rel=1e-9)


@pytest.mark.parametrize(
    ("owner", "old", "new"), [("design", "maximum_torque", "breakdown_torque"), ("brief", "spreads", "uncertainties")]
)
def test_a_name_of_yesterday_is_told_its_new_one(owner, old, new, made):
    with pytest.raises(AttributeError, match=f"no '{old}' any more: it is called '{new}'"):
        getattr({"design": made["magnet"], "brief": made.brief}[owner], old)


def test_the_signature_of_a_rotor_is_what_the_search_calls():
    for rotor in ROTORS.values():
        assert list(inspect.signature(rotor.operate).parameters)[2:] == ["objective", "search_fraction", "coarse"]
