"""Two designs side by side: factors multiply, masses and costs add up, the factors' physics, table and picture."""

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest

from scaling import Brief, choose
from scaling.decision import compare_words
from scaling.decision.compare import MEASURES, PRICE, compare
from scaling.decision.factors import EFFICIENCY, FACTORS
from scaling.decision.masses import MATERIALS, SHEET, active_masses
from scaling.ground.constants import VALUES
from scaling.ground.materials import CONDUCTORS, CORE_DENSITY, MAGNETS
from scaling.interface.report_compare import comparison
from scaling.pictures import plots
from scaling.pictures.compare import plot_factors

PRICES = dict.fromkeys(MATERIALS, 2.0) | {"copper": 9.0, "sintered neodymium": 60.0}
SINGLE = {"supply": "single-phase", "self_starting": False, "pole_pairs": 1}


@pytest.fixture(scope="module")
def plain():
    return choose(Brief(rotor_diameter="20 mm"))


@pytest.fixture(scope="module")
def single():
    """Of aluminium wire, on one phase, by another merit."""
    return choose(Brief(rotor_diameter="40 mm", conductor="aluminium", **SINGLE), "power per volume")


@pytest.fixture(scope="module")
def flat():
    """Taken as flat, with a can, on a duty."""
    given = {
        "field_geometry": "plane",
        "can_thickness": "0.2 mm",
        "duty": "S2",
        "duty_time": "120 s",
    }
    return choose(Brief(rotor_diameter="40 mm", pole_pairs=2, **given))


@pytest.fixture(scope="module")
def driven():
    return choose(Brief(rotor_diameter="20 mm", supply_frequency=("10 Hz", "50 Hz"), pole_pairs=2))


@pytest.fixture(scope="module")
def designs(plain, single, flat):
    return [design for made in (plain, single, flat) for design in made.designs.values() if design.values["torque"] > 0]


# Factors


@pytest.mark.parametrize("by", MEASURES)
def test_factors_multiply_to_the_ratio_whatever_the_two_briefs_and_kinds(by, designs):
    assert len(designs) >= 10
    for a, b in itertools.pairwise([*designs, designs[0]]):
        found = compare(a, b, by, PRICES)
        assert math.prod(found.factors.values()) == pytest.approx(found.ratio, rel=1e-9)
        assert found.ratio == found.ratios[by] == pytest.approx(1 / compare(b, a, by, PRICES).ratio, rel=1e-9)


@pytest.mark.parametrize("name", [name for name, factor in FACTORS.items() if factor.parts])
def test_parts_multiply_to_their_factor(name, designs):
    for a, b in itertools.pairwise(designs):
        found = compare(a, b)
        assert math.prod(found.parts(name).values()) == pytest.approx(
            FACTORS[name].value(a) / FACTORS[name].value(b), rel=1e-9
        )


def test_ratios_are_those_of_the_figures(plain):
    a, b = plain["induction"], plain["reluctance"]
    ratios = compare(a, b, prices=PRICES).ratios
    assert ratios["torque per volume"] == pytest.approx(a.merit / b.merit, rel=1e-12)
    for name, figure in {
        "torque": "torque",
        "power": "power",
        "losses": "loss",
        "mass": "mass",
        "envelope": "volume",
    }.items():
        assert ratios[name] == pytest.approx(float(getattr(a, figure) / getattr(b, figure)), rel=1e-12)
    assert ratios["efficiency"] == pytest.approx(a.efficiency / b.efficiency, rel=1e-12)


def test_the_cosine_between_field_and_current_is_one_at_most(designs, driven):
    """No stress is above half of field times current; on a drive a magnet's current is in phase with its own field."""
    for design in designs:
        assert 0.0 < FACTORS["cosine of phase"].value(design) <= 1.0 + 1e-9, design.kind
    v = driven["magnet"].values  # without reserve the winding's own field stands across the magnets'
    own = VALUES["mu_0"] * v["linear_current_density_peak"] / math.tanh(v["wave_number"] * v["magnetic_gap"])
    cosine = FACTORS["cosine of phase"].value(driven["magnet"])
    assert v["gap_field_peak"] * math.sqrt(1 - cosine**2) == pytest.approx(own, rel=1e-6)


def test_a_backward_wave_takes_a_share_on_one_phase_only(plain, single):
    wave = FACTORS["torque left by the backward wave"].value
    assert all(wave(design) == pytest.approx(1.0, rel=1e-12) for design in plain.designs.values())
    assert wave(single["induction"]) < 1.0 and wave(single["hysteresis"]) < 1.0


def test_the_heat_side_meets_other_routes_to_the_same_number(plain, flat):
    """In continuous duty heat over heat transfer is the frame's own rise, in another duty it is more."""
    rise = FACTORS["rise of the outside"].value
    for design in plain.designs.values():
        assert rise(design) == pytest.approx(design.values["frame_rise"], rel=1e-9)
    assert rise(flat["induction"]) > 1.2 * flat["induction"].values["frame_rise"]
    design = plain["hysteresis"]  # copper at 100 °C, wires too thin for skin effect
    assert FACTORS["resistivity of the winding"].value(design) == pytest.approx(
        (1 + CONDUCTORS["copper"].temperature_coefficient * 80) / CONDUCTORS["copper"].conductivity, rel=1e-3
    )


def test_stages_on_the_way_to_the_shaft_make_the_efficiency(designs):
    for design in designs:
        stages = [FACTORS[name].value(design) for name in EFFICIENCY]
        assert math.prod(stages) == pytest.approx(design.efficiency, rel=1e-12) and all(0 < s <= 1 for s in stages)
    slipping = designs[0]  # rotor loss over what crosses the gap is the slip
    assert FACTORS["power left by rotor loss"].value(slipping) == pytest.approx(1 - slipping.slip, rel=1e-6)


def test_twice_every_length_is_eight_times_bore_envelope_and_nearly_mass():
    small, large = (
        choose(Brief(rotor_diameter=f"{D} mm", gap_ratio=0.01, gap_floor="1 um", pole_pairs=2, slot_fill=0.3))
        for D in (20, 40)
    )
    found = compare(large["reluctance"], small["reluctance"])
    assert found.factors["bore"] == pytest.approx(8.0, rel=1e-9)
    assert found.ratios["envelope"] == pytest.approx(8.0, rel=1e-9) and found.ratios["mass"] == pytest.approx(
        8.0, rel=1e-2
    )
    assert "Reluctance of 40 mm leads reluctance of 20 mm" in found.reason


# Masses and cost


def test_masses_add_up_and_are_those_of_plain_geometry(designs):
    for design in designs:
        parts = active_masses(design)
        assert sum(part.mass.m_as("kg") for part in parts.values()) == pytest.approx(design.values["mass"], rel=1e-9)
        assert all(part.mass.m > 0 and part.material in MATERIALS for part in parts.values())
        v = design.values
        rotor = parts["rest of the rotor"].mass.m + v["rotor layer mass"]
        solid = CORE_DENSITY * math.pi / 4 * v["rotor_diameter"] ** 2 * v["active_length"]
        assert rotor == pytest.approx(solid, rel=1e-9), "counted as a solid cylinder"


def test_magnets_and_rings_weigh_their_own_density(plain):
    v, arc = plain["magnet"].values, 0.8
    D, t = v["rotor_diameter"], v["rotor_thickness"]
    ring = math.pi * (D - t) * t * v["active_length"]
    assert v["rotor layer mass"] == pytest.approx(7500.0 * arc * ring, rel=1e-9)
    v = plain["hysteresis"].values
    t = v["rotor_thickness"]
    assert v["rotor layer mass"] == pytest.approx(7800.0 * math.pi * (D - t) * t * v["active_length"], rel=1e-9)
    assert "rotor layer" not in active_masses(plain["reluctance"])


def test_materials_are_those_of_the_brief(plain, single):
    parts = active_masses(single["induction"])
    assert parts["winding"].material == "aluminium" and parts["core"].material == SHEET
    assert parts["end rings"].material == parts["rotor layer"].material == single["induction"].material
    assert active_masses(plain["magnet"])["rotor layer"].material in MAGNETS
    caged = next(d for kind, d in plain.designs.items() if d.values["starting_cage"] == 1.0)
    assert active_masses(caged)["end rings"].material == "aluminium"


def test_costs_are_prices_times_masses(plain):
    found = compare(plain["magnet"], plain["induction"], "cost", PRICES, "EUR")
    by_hand = sum(PRICES[part.material] * part.mass.m_as("kg") for part in active_masses(plain["magnet"]).values())
    assert found.money.costs[0] == pytest.approx(by_hand, rel=1e-12)
    assert found.factors[PRICE] * found.factors["mass"] == pytest.approx(found.ratio, rel=1e-9)
    alike = compare(plain["magnet"], plain["induction"], "cost", dict.fromkeys(MATERIALS, 3.0))
    assert alike.ratio == pytest.approx(alike.ratios["mass"], rel=1e-12), "at one price cost goes with mass"
    assert "EUR" in found.remarks[1] and "cost" not in compare(plain["magnet"], plain["induction"]).ratios


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        ({"by": "cost"}, ValueError, "prices: not given"),
        ({"by": "torqe"}, ValueError, "did you mean 'torque'"),
        ({"prices": {"coper": 9.0}}, ValueError, "did you mean 'copper'"),
        ({"prices": {"copper": "9 EUR"}}, TypeError, "for copper; expected a bare number"),
        ({"prices": {"copper": True}}, TypeError, "bare number"),
        ({"prices": {"copper": -1.0}}, ValueError, "above zero"),
        ({"prices": {"copper": math.nan}}, ValueError, "above zero"),
        ({"prices": {"copper": 9.0}}, ValueError, f"{SHEET}; expected one for every"),
        ({"prices": 9.0}, TypeError, "prices: got 9.0"),
        ({"prices": PRICES, "currency": 1}, TypeError, "currency"),
    ],
)
def test_what_cannot_be_compared_is_refused(given, error, said, plain):
    with pytest.raises(error, match=re.escape(said)):
        compare(plain["induction"], plain["reluctance"], **given)


def test_designs_alone_are_compared(plain):
    with pytest.raises(TypeError, match="b: got None; expected a Design"):
        compare(plain["induction"], None)
    with pytest.raises(TypeError, match="design: got"):
        active_masses(plain)
    with pytest.raises(ValueError, match="name: got 'luck'"):
        compare(plain["induction"], plain["reluctance"]).parts("luck")


# Words


def test_a_tie_is_called_so_and_a_magnet_leads(plain):
    level = compare(plain["induction"], plain["reluctance"], "torque per volume")
    assert level.is_level and ", a tie" in level.reason and level.band == plain.band
    magnet = compare(plain["magnet"], plain.best, "torque per volume")
    assert not magnet.is_level and magnet.ratio == pytest.approx(plain.yardstick, rel=1e-9)
    for said in ("takes", "sintered neodymium", "the grade stands 150 °C", "demagnetise", "magnets_allowed"):
        assert said in magnet.reason
    assert magnet.reason.endswith(compare(plain.best, plain["magnet"]).reason[-60:])


def test_why_not_the_magnet_says_what_fails():
    hot = choose(Brief(rotor_diameter="20 mm", ambient="155 degC"))
    found = compare(hot["magnet"], hot["induction"], prices=None)
    assert math.isnan(found.ratio) and found.factors == {} and "gives no torque" in found.reason
    assert "sintered neodymium stands 150 °C" in found.reason
    heavy = compare(hot["magnet"], hot["induction"], "mass")
    assert math.prod(heavy.factors.values()) == pytest.approx(heavy.ratio) and "gives no torque" in heavy.reason
    still = compare(replace(hot["induction"], values=hot["induction"].values | {"torque": -1.0}), hot["hysteresis"])
    assert "Induction gives no torque" in still.reason and not still.factors
    weak = choose(Brief(rotor_diameter="20 mm", starting_torque_ratio=3.0, magnets_allowed=True, pole_pairs=1))
    assert not weak["magnet"].feasible
    assert (
        f"It does not meet the brief: {weak['magnet'].reasons[0]}." in compare(weak["magnet"], weak["induction"]).reason
    )


def test_two_briefs_are_told_apart(plain):
    wet = choose(Brief(rotor_diameter="20 mm", cooling="water"))
    found = compare(wet["induction"], plain["induction"])
    assert found.names == ("induction (cooling water)", "induction (cooling still air)")
    assert any("cooling (water against still air)" in remark for remark in found.remarks)
    other = replace(wet["induction"], brief=replace(wet.brief, supply_frequency=("10 Hz", "50 Hz"), gap_floor="40 um"))
    assert compare(other, plain["induction"]).names == ("the first induction design", "the second")
    assert "supply_frequency (10 Hz to 50 Hz against 50 Hz)" in compare(other, plain["induction"]).remarks[1]


@pytest.mark.parametrize(
    ("ratio", "text"), [(0.0481, "0.048"), (1.0, "1"), (2.345, "2.35"), (123456.0, "123000"), (7.54e-6, "0.0000075")]
)
def test_a_ratio_in_words_still_multiplies(ratio, text):
    assert compare_words.number(ratio) == text


# Table and picture


def test_the_table_shows_both_designs_and_its_factors_multiply(plain):
    found = compare(plain["magnet"], plain.best, "torque per volume", PRICES, "EUR")
    text = comparison(found).text
    assert text.startswith(found.reason) and all(f"- {remark}" in text for remark in found.remarks)
    rows = [[cell.strip(" ") for cell in line.split("|")[1:-1]] for line in text.splitlines() if line.startswith("|")]
    bold = {row[0]: float(row[-1].strip("*")) for row in rows if row[-1].startswith("**")}
    assert bold.pop("all together") == pytest.approx(found.ratio, rel=5e-3)
    assert math.prod(bold.values()) == pytest.approx(found.ratio, rel=0.02)
    for row in rows:
        assert len(row) == 4, row
    with pytest.raises(TypeError, match="made: got"):
        comparison(plain)


def test_parts_in_the_table_multiply_to_the_row_above(plain):
    found = compare(plain["induction"], plain["hysteresis"], "losses")
    lines = comparison(found).text.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("| the square of current density"))
    depth = "| \u2003"
    below = itertools.takewhile(lambda line: line.startswith(depth), lines[at + 1 :])
    parts = [float(line.split(" | ")[-1].strip("| ")) for line in below if not line.startswith(depth + "\u2003")]
    assert len(parts) >= 2
    assert math.prod(parts) == pytest.approx(found.factors["current density"], rel=0.02)


def test_the_picture_steps_from_one_to_the_ratio(plain):
    found = compare(plain["magnet"], plain.best, "power per volume")
    fig, ax = plots.figure()
    plot_factors(ax, found)
    at = 1.0
    *steps, whole = [bar for bars in ax.containers for bar in bars]
    for bar in steps:
        left, right = bar.get_x(), bar.get_x() + bar.get_width()
        assert at == pytest.approx(left, rel=1e-9) or at == pytest.approx(right, rel=1e-9)
        down = at == pytest.approx(right, rel=1e-9)
        assert bool(bar.get_hatch()) == down, "steps down are told by a hatch, not by colour"
        at = left if down else right
    assert at == pytest.approx(found.ratio, rel=1e-9)
    assert whole.get_x() + whole.get_width() == pytest.approx(max(found.ratio, 1.0), rel=1e-9)
    fig.canvas.draw()
    box = ax.get_window_extent()
    assert all(text.get_window_extent().x1 <= box.x1 for text in ax.texts), "labels stay inside"
    assert len(ax.texts) == len(steps) + 1 == len(ax.get_yticklabels())
    plots.plt.close(fig)


def test_what_has_no_ratio_has_no_picture(plain):
    still = replace(plain["magnet"], values=plain["magnet"].values | {"torque": math.nan}, reasons=("nothing runs",))
    fig, ax = plots.figure()
    with pytest.raises(ValueError, match="nothing runs"):
        plot_factors(ax, compare(still, plain.best))
    with pytest.raises(TypeError, match="made: got"):
        plot_factors(ax, plain)
    plots.plt.close(fig)
    assert np.isfinite(compare(still, plain.best, "mass").ratio), "what does not run still has a mass"
