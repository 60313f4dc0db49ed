"""The smallest machine that gives what is asked: against single choices, sweeps, closed forms and made-up searches."""

import dataclasses
import math
import re
from types import SimpleNamespace

import numpy as np
import pytest

from scaling import Brief, Q, choose, size_for, sweep
from scaling.decision import size_search
from scaling.decision.compare import compare
from scaling.decision.figures import FIGURES
from scaling.decision.masses import active_masses
from scaling.decision.optimum import best_designs
from scaling.decision.size_for import Range, _ranges, _read_between
from scaling.decision.size_words import MEASURES
from scaling.interface import report

PLAIN = {"rotor_diameter": "20 mm", "gap_floor": "30 um", "torque": "0.5 N*m"}
NEAR = "40 mm", "90 mm"
SUPPLIES = (
    {"supply_frequency": "50 Hz"},
    {"supply_frequency": "60 Hz", "supply": "single-phase"},
    {"supply_frequency": ("10 Hz", "200 Hz")},
    {"supply_frequency": ("20 Hz", "400 Hz"), "speed": "3000 rpm"},
)
COOLINGS = "still air", "shaft fan", "water jacket", "forced air"


@pytest.fixture(scope="module")
def plain():
    return size_for(Brief(**PLAIN), between=NEAR)


def shrunk(found, kind, share):
    """Return whether a type meets the brief with a rotor of some share of the diameter found."""
    brief = found.briefs[kind]
    smaller = share * found[kind].values["rotor_diameter"]
    return best_designs(brief.si, [smaller], "torque per volume", brief.supply_is_fixed, (kind,))[kind].feasible[0]


# Against single choices


def drawn(number):
    """Return a plausible brief that some type meets at about a size, and that size [m]."""
    rng = np.random.default_rng(number)
    size = float(np.exp(rng.uniform(np.log(2e-3), np.log(0.3))))
    given = SUPPLIES[number % 4] | {
        "rotor_diameter": Q(size, "m"),
        "active_length": Q(size * float(rng.uniform(0.6, 1.8)), "m"),
        "gap_floor": "20 um",
        "cooling": COOLINGS[int(rng.integers(4))],
        "synchronous": bool(number % 5 == 4),
        "load_at_start": float(rng.choice([0.0, 0.5])),
    }
    if number % 3 == 1 and number % 4 == 0:
        given["starting_torque_ratio"] = 0.8
    name = ("torque", "power")[number % 2]
    kind = "hysteresis" if given["synchronous"] else "induction"
    brief = Brief(**given)
    able = best_designs(brief.si, [size], "torque per volume", brief.supply_is_fixed, (kind,))[kind]
    asked = float(rng.uniform(0.3, 0.9) * able.figures[name][0])
    return dataclasses.replace(brief, **{name: Q(asked, {"torque": "N*m", "power": "W"}[name])}), size


@pytest.mark.parametrize("number", range(12))
def test_the_size_found_meets_the_brief_and_one_two_per_cent_smaller_fails(number):
    brief, size = drawn(number)
    by = list(MEASURES)[number % 3]
    found = size_for(brief, by, between=(Q(0.6 * size, "m"), Q(1.05 * size, "m")))
    ends = [kind for kind in found.ranking if found.ranges[kind][0].below]  # the others meet it at all sizes tried
    kind = ends[number % len(ends)]
    made, brief = choose(found.briefs[kind])[kind], found.briefs[kind]
    assert made.feasible and found[kind].feasible
    for name in ("torque", "power", "rotor_diameter", "volume", "mass", "pole_pairs"):
        assert found[kind].values[name] == pytest.approx(made.values[name], rel=1e-6)
    assert made.values["torque"] >= (brief.si.torque or 0.0) and made.values["power"] >= (brief.si.power or 0.0)
    assert not shrunk(found, kind, 0.98)


def test_no_merit_finds_a_machine_that_is_smaller(plain):
    """Where a torque asked for is not met every merit looks for the largest: the size cannot depend on it."""
    for kind in plain.ranking:
        smallest = plain.ranges[kind][0].smallest.m_as("m")
        sizes = smallest * np.array([0.97, 0.985, 0.998])
        for merit in ("torque per mass", "efficiency", "torque per root watt", "power per volt-ampere"):
            assert not best_designs(plain.brief.si, sizes, merit, True, (kind,))[kind].feasible.any(), (kind, merit)


def test_the_size_is_where_the_torque_of_a_sweep_reaches_what_is_asked():
    """A sweep that is asked for no torque, a cubic through its logarithms; one pole number, so that it is smooth."""
    given = {name: value for name, value in PLAIN.items() if name != "torque"} | {"pole_pairs": 2}
    found = size_for(Brief(**given, torque="0.5 N*m"), between=NEAR)
    sizes = np.geomspace(36e-3, 90e-3, 8)
    table = sweep(Brief(**given), Q(sizes, "m"))
    for kind in ("induction", "hysteresis"):
        torque = table.figures[kind]["torque"]
        line = np.polynomial.Polynomial.fit(np.log(torque), np.log(sizes), 3)
        assert found[kind].values["rotor_diameter"] == pytest.approx(np.exp(line(np.log(0.5))), rel=3e-3)


def test_a_power_is_met_at_the_speed_of_the_design():
    brief = Brief(rotor_diameter="20 mm", power="100 W", cooling="shaft fan")
    near = "38 mm", "60 mm"
    found = size_for(brief, "rotor diameter", between=near)
    for kind in found.ranking:
        design = found[kind]
        assert 100.0 <= design.power.m_as("W") < 103.0 or kind in ("reluctance", "magnet")
        assert design.values["power"] == pytest.approx(design.values["torque"] * design.values["speed"], rel=1e-9)
    torque = found["induction"].torque
    same = size_for(dataclasses.replace(brief, power=None, torque=torque), "rotor diameter", between=near)
    assert same["induction"].values["rotor_diameter"] <= found["induction"].values["rotor_diameter"] * (1 + 1e-3)
    made = choose(dataclasses.replace(found.briefs["induction"], torque="1 mN*m"))
    assert made.power_margin == pytest.approx(1.0, abs=0.02) and math.isnan(choose(plain_brief()).power_margin)
    assert f"Power is {made.power_margin:.3g} times" in report.choice(made).text


def plain_brief():
    return Brief(rotor_diameter="20 mm", gap_floor="30 um")


def test_a_drive_raises_its_frequency_for_a_power_but_not_for_a_torque():
    drive = Brief(rotor_diameter="30 mm", supply_frequency=("20 Hz", "200 Hz"), power="10 W")
    asked = choose(drive)["hysteresis"]
    assert choose(dataclasses.replace(drive, power=None))["hysteresis"].frequency.m_as("Hz") == pytest.approx(20.0)
    assert asked.feasible and asked.frequency.m_as("Hz") > 40.0


# What is told


def test_types_are_ranked_by_what_they_need(plain):
    for by, measure in MEASURES.items():
        found = plain if by == "envelope" else size_for(plain.brief, by, between=("44 mm", "80 mm"))
        needs = [found.need(kind).magnitude for kind in found.ranking]
        assert needs == sorted(needs) and len(needs) == 3 and found.feasible
        assert found.best.kind == found.ranking[0] and found.margin == pytest.approx(needs[1] / needs[0])
        assert found.by == by and measure.phrase in found.reason
        for kind in found.ranking:  # by envelope and mass the best number of poles, by diameter the first that does
            assert found[kind].values[measure.figure] <= plain[kind].values[measure.figure] * (1 + 2e-3)
    assert "magnet" not in plain.ranking and any("yardstick" in remark for remark in plain.remarks)
    allowed = size_for(Brief(**PLAIN, magnets_allowed=True), "rotor diameter", between=("50 mm", "56 mm"))
    assert allowed.best.kind == "magnet" and not any("yardstick" in remark for remark in allowed.remarks)


def test_more_poles_may_make_a_larger_rotor_the_smaller_machine():
    """Every number of poles for itself: the least envelope of all of them is the one found."""
    small = Brief(rotor_diameter="20 mm", torque="20 uN*m", gap_floor="20 um")
    found = size_for(small, between=("4 mm", "7 mm"))
    smallest = found.ranges["hysteresis"][0].smallest.m_as("m")
    assert found["hysteresis"].values["rotor_diameter"] > 1.002 * smallest
    assert any("Hysteresis would do with a rotor" in remark for remark in found.remarks)
    sizes = smallest * np.geomspace(0.99, 1.2, 60)
    needs = {}
    for p in (1, 2, 3, 4, 5, 6, 8, 10, 12):
        one = dataclasses.replace(small, pole_pairs=p)
        best = best_designs(one.si, sizes, "torque per volume", True, ("hysteresis",))["hysteresis"]
        if best.feasible.any():
            needs[p] = best.figures["volume"][best.feasible.argmax()]
    assert found["hysteresis"].values["volume"] == pytest.approx(min(needs.values()), rel=0.015)
    given = size_for(dataclasses.replace(small, pole_pairs=2), between=("5 mm", "7 mm"))
    assert given["hysteresis"].pole_pairs == 2
    assert given["hysteresis"].values["rotor_diameter"] == pytest.approx(
        given.ranges["hysteresis"][0].smallest.m_as("m")
    )


def test_an_impossible_brief_has_the_nearest_miss_and_its_reason():
    found = size_for(Brief(**PLAIN | {"torque": "50 N*m"}, speed="3000 rpm"), between=NEAR)
    assert found.best is None and not found.feasible and math.isnan(found.margin) and found.ranking == ()
    assert "No type meets the brief at any size from 40 mm to 90 mm" in found.reason and "none" in repr(found)
    for kind in ("induction", "reluctance"):
        assert found.ranges[kind] == () and not found[kind].feasible and kind not in found.briefs
        assert f"{kind}: {found.misses[kind]}" in found.reason
        assert re.match(
            r"at [\d.]+ mm, where it comes nearest, it gives .* of the 50 N·m asked for", found.misses[kind]
        )
    assert "**No type meets the brief at any size tried.**" in report.sizing(found).text


def test_what_a_type_never_does_is_said_of_every_size():
    found = size_for(Brief(**PLAIN, synchronous=True), between=NEAR)
    assert "induction" not in found.ranking and found.ranking
    assert found.misses["induction"].endswith("exact synchronous speed, at any size tried")
    assert "No size will do of induction: it slips" in found.reason


def test_sizes_end_above_where_the_rim_would_be_too_fast_and_below_where_the_torque_is_too_small():
    brief = Brief(**PLAIN | {"torque": "0.02 N*m"}, speed="3000 rpm", rim_speed_limit="8 m/s")
    found = size_for(brief, between=("8 mm", "80 mm"))
    (only,) = found.ranges["induction"]
    assert "asked for" in only.below and "rim_speed_limit" in only.above
    assert only.largest.m_as("mm") == pytest.approx(8e3 / (math.pi * 50 * 0.99), rel=0.02)
    assert any(remark.startswith("Above") and "rim_speed_limit" in remark for remark in found.remarks)
    text = report.sizing(found).text
    assert str(only) in text and only.below in text and f"**Smallest: {found.best.kind}**" in text


def test_both_ends_of_what_is_tried_are_told():
    found = size_for(Brief(**PLAIN | {"torque": "1 mN*m"}), between=("30 mm", "40 mm"))
    (only,) = found.ranges["induction"]
    assert only.below == only.above == "" and str(only) == "at every size tried"
    assert only.smallest.m_as("mm") == pytest.approx(30) and only.largest.m_as("mm") == pytest.approx(40)
    assert any("give a smaller size in `between`" in remark for remark in found.remarks)


def test_two_of_the_machines_found_are_held_against_each_other(plain):
    first, second = (plain[kind] for kind in plain.ranking[:2])
    found = compare(second, first, "envelope")
    assert found.ratio == pytest.approx(plain.margin, rel=1e-12)
    assert math.prod(found.factors.values()) == pytest.approx(plain.margin, rel=1e-9)
    assert (
        found.reason.startswith(f"{second.kind.capitalize()} of ")
        and f"the envelope of {first.kind} of " in found.reason
    )
    assert sum(part.mass.m for part in active_masses(first).values()) == pytest.approx(first.mass.m, rel=1e-9)


# The search along the sizes, on types made up


class MadeUp:
    """A type of one check, a torque of 1 N*m asked for, whose torque is a function of the size."""

    def __init__(self, torque):
        self.torque, self.calls, self.kind = torque, 0, "induction"

    def __call__(self, si, sizes, merit, fixed, kinds=("induction",)):
        self.calls += 1
        torque = self.torque(np.asarray(sizes))
        figures = dict.fromkeys(FIGURES, np.full(torque.shape, np.nan)) | {"torque": torque, "gap_torque": torque}
        best = SimpleNamespace(
            kind="induction", feasible=torque >= 1.0, passed={"torque": torque >= 1.0}, figures=figures
        )
        return dict.fromkeys(kinds, best)

    def ranges(self, monkeypatch, low, high):
        monkeypatch.setattr(size_search, "best_designs", self)
        brief = Brief(**PLAIN | {"torque": "1 N*m"})
        return _ranges(size_search.tried(brief, low, high)["induction"], brief.si)


@pytest.mark.parametrize("n", [2, 3, 4.5])
def test_of_a_power_law_the_size_is_the_root_in_closed_form(n, monkeypatch):
    made = MadeUp(lambda D: 3e3 * D**n)
    (only,) = made.ranges(monkeypatch, 1e-3, 1.0)
    root = (1 / 3e3) ** (1 / n)
    assert root <= only.smallest.m_as("m") <= root * 1.0011
    assert made.calls == 2 and only.largest.m_as("m") == pytest.approx(1.0)


def test_several_ranges_are_all_found(monkeypatch):
    """Torque that waves with the logarithm of size meets the brief above half of its peak: roots in closed form."""
    made = MadeUp(lambda D: 2.0 * np.cos(2.0 * np.log(D / 0.01)) ** 2 + 1e-3)
    found = made.ranges(monkeypatch, 2e-3, 0.5)
    wave = math.acos(math.sqrt((1 - 1e-3) / 2)) / 2
    centres = [math.log(0.01) + i * math.pi / 2 for i in (-1, 0, 1, 2)]
    ends = [(math.exp(c - wave), math.exp(c + wave)) for c in centres]
    ends = [(max(low, 2e-3), min(high, 0.5)) for low, high in ends if high > 2e-3 and low < 0.5]
    assert len(found) == len(ends) >= 3
    for one, (low, high) in zip(found, ends, strict=True):
        assert one.smallest.m_as("m") == pytest.approx(low, rel=1.1e-3)
        assert one.largest.m_as("m") == pytest.approx(high, rel=1.1e-3)
    assert str(found[1]).startswith("from ") and " to " in str(found[1])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_an_island_between_two_sizes_of_the_first_look_is_found(sign, monkeypatch):
    """A peak that passes, or a dip that fails, within three per cent, where neighbours miss by less than a third."""
    made = MadeUp(lambda D: 1.0 + sign * (0.004 - 8.0 * np.log(D / 0.0233) ** 2))
    found = made.ranges(monkeypatch, 1e-2, 0.05)
    half = math.sqrt(0.004 / 8.0)
    ends = [one.smallest.m_as("m") for one in found] + [one.largest.m_as("m") for one in found]
    assert len(found) == (1 if sign > 0 else 2)
    assert min(abs(end / (0.0233 * math.exp(half)) - 1) for end in ends) < 1.1e-3
    assert min(abs(end / (0.0233 * math.exp(-half)) - 1) for end in ends) < 1.1e-3


def test_where_nothing_meets_the_brief_the_nearest_miss_is_searched(monkeypatch):
    made = MadeUp(lambda D: 0.1 * np.exp(-(np.log(D / 0.0233) ** 2)))
    assert made.ranges(monkeypatch, 1e-3, 1.0) == ()
    tries = size_search.tried(Brief(**PLAIN | {"torque": "1 N*m"}), 1e-3, 1.0)["induction"]
    assert size_search.nearest(tries).size == pytest.approx(0.0233, rel=0.01)


# At the edge


def test_quantities_and_texts_are_one(plain):
    given = {"rotor_diameter": Q(2, "cm"), "gap_floor": Q(0.03, "mm"), "torque": Q(500, "mN*m")}
    found = size_for(Brief(**given), between=Q([4, 9], "cm"))
    assert found.best.values["rotor_diameter"] == pytest.approx(plain.best.values["rotor_diameter"], rel=1e-9)
    assert found.between.m_as("mm").tolist() == pytest.approx([40, 90])
    assert _read_between([Q(40, "mm"), "0.09 m"]).tolist() == _read_between(("40 mm", "9 cm")).tolist() == [0.04, 0.09]
    assert plain["induction"].rotor_diameter.check("[length]") and plain.need("induction").check("[length]**3")
    assert isinstance(plain.ranges["induction"][0], Range)
    assert "Sizing: " in repr(plain) and plain.best.kind in repr(plain)


def test_only_the_proportions_of_the_brief_count(plain):
    low = plain.ranges[plain.best.kind][0].smallest  # a bracket of its own, so that the end of it may differ
    other = size_for(Brief(**PLAIN | {"rotor_diameter": "300 mm"}), between=(0.97 * low, 1.05 * low))
    assert other.best.values["volume"] == pytest.approx(plain.best.values["volume"], rel=4e-3)
    brief = other.briefs["induction"]
    assert brief.si.active_length == pytest.approx(brief.si.rotor_diameter, rel=1e-12)


def test_what_is_known_roughly_is_taken_at_its_middle():
    rough = Brief(**PLAIN | {"gap_floor": "30 um +/- 10 um"})
    found = size_for(rough, "rotor diameter", between=("50 mm", "52 mm"))
    assert any("middle of what is known of gap_floor" in remark for remark in found.remarks)


@pytest.mark.parametrize(
    ("given", "error", "match"),
    [
        ({"brief": "2 N*m"}, TypeError, "brief: got .*expected a Brief"),
        ({"brief": Brief(rotor_diameter="20 mm")}, ValueError, "torque: not given; expected .*power='1.5 kW'"),
        ({"by": "weight"}, ValueError, "by: .*weight.*envelope"),
        ({"between": ("2 m", "1 mm")}, ValueError, "between: got .*expected the smallest"),
        ({"between": ("1 mm", "1 mm")}, ValueError, "between: got .*expected the smallest"),
        ({"between": ("1 mm", "2 mm", "3 mm")}, ValueError, "between: got .*expected the smallest"),
        ({"between": "1 mm"}, TypeError, "between: got"),
        ({"between": ("1 mm", "2 kg")}, ValueError, "between: got '2 kg'"),
        ({"between": (1, 2)}, TypeError, "between: got 1"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_remedy(given, error, match):
    with pytest.raises(error, match=match):
        size_for(**{"brief": Brief(**PLAIN)} | given)


def test_a_type_that_is_none_is_refused(plain):
    with pytest.raises(KeyError, match="'steam' is not a machine type; expected one of induction"):
        plain["steam"]
