"""The sentences that say why: they are those that were read aloud, and keep the rules of `sentences.faults`."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
import sentences
from sentences import KEPT, faults, taken_apart

from scaling import Brief, Q
from scaling.decision import reasons
from scaling.decision.bands import tie_band
from scaling.decision.choose import design_at
from scaling.decision.compare import MEASURES, compare
from scaling.decision.optimum import best_designs

STORED = json.loads(KEPT.read_text(encoding="utf-8"))
GOOD = (
    "Induction leads hysteresis 2.00 times in torque: it has 2.5 times the gap field (0.5 against 0.2 T), but "
    "0.8 times the speed (80 against 100 rpm)."
)
GROUPS = (  # (what the briefs share, merit)
    ({}, "torque per volume"),
    ({"cooling": "water", "self_starting": False}, "torque per mass"),
    ({"supply_frequency": ("10 Hz", "100 Hz"), "cooling": "shaft fan"}, "power per volume"),
    ({"supply": "single-phase", "gap_floor": "20 um", "self_starting": False}, "torque per volume"),
    ({"self_starting": False, "supply_frequency": "400 Hz", "magnets_allowed": True}, "torque per root watt"),
)


def test_the_sentences_are_those_that_were_read():
    """After a change of models or words: ``python tests/sentences.py``, and read them aloud."""
    assert sentences.said() == STORED


@pytest.mark.parametrize("name", STORED)
def test_a_sentence_keeps_the_rules(name):
    assert faults(STORED[name]) == []


def test_the_sentences_cover_sizes_supplies_ties_and_what_stands_against_a_lead():
    together = " ".join(STORED.values())
    assert len(STORED) >= 20 and set(STORED) == set(sentences.CASES)
    for word in (
        ", a tie",
        ", but ",
        "all else makes",
        "Behind it",
        "Behind the current",
        "level in",
        "gives no torque",
    ):
        assert word in together, word


@pytest.mark.parametrize(
    ("wrong", "fault"),
    [
        (GOOD.replace("2.00", "2.40"), "instead of 2.4"),
        (GOOD.replace("2.00", "0.80").replace("2.5 times", "1.0 times"), "leads from behind"),
        (GOOD.replace("but 0.8", "but 1.8").replace("2.00", "4.50"), "wrong side"),
        (GOOD.replace("0.5 against 0.2", "0.5 against 0.5"), "against itself"),
        (GOOD.replace("2.5 times", "1 times").replace("2.00", "0.80"), "factor of nothing"),
        (GOOD.replace("T)", "T, pole pair(s))"), "(s)"),
        (GOOD[:-1], "begins small, or does not end"),
    ],
)
def test_the_rules_see_a_fault(wrong, fault):
    assert faults(GOOD) == []
    assert any(fault in found for found in faults(wrong))


def fifty():
    """Yield (merit, the designs of all kinds that work, best first) of fifty briefs, ten random sizes of each group."""
    rng = np.random.default_rng(7)
    for given, merit in GROUPS:
        sizes = np.exp(rng.uniform(np.log(1e-3), np.log(0.3), 10))
        given = given | {"temperature_rise": Q(float(rng.uniform(40, 100)), "K"), "gap_ratio": rng.uniform(0.002, 0.01)}
        briefs = [Brief(rotor_diameter=Q(float(size), "m"), **given) for size in sizes]
        found = best_designs(briefs[0].si, sizes, merit, briefs[0].supply_is_fixed)
        for i, brief in enumerate(briefs):
            made = [replace(design_at(best, i, brief, merit), brief=brief) for best in found.values()]
            yield merit, sorted((d for d in made if d.values["torque"] > 0.0), key=lambda d: -d.merit)


def test_of_fifty_random_briefs_what_is_said_multiplies_to_the_lead():
    told, ties = 0, 0
    assert [*MEASURES][-1] == "cost"
    for merit, (first, second, *others) in fifty():
        band = tie_band(first.brief, first.kind, second.kind, merit)
        text = reasons.comparison(first, second, merit, band)
        assert faults(text) == [] or "level in" in text, text
        assert (", a tie" in text) == (first.merit / second.merit < band) or "level in" in text
        assert taken_apart(text)[0] == pytest.approx(first.merit / second.merit, rel=5e-3)
        told, ties = told + 1, ties + (", a tie" in text)
        for by in [*MEASURES][told % 4 : -1 : 4]:  # all but cost, in turns
            found = compare(first, second, by)
            assert math.prod(found.factors.values()) == pytest.approx(found.ratio, rel=1e-9), by
            assert faults(found.reason) == [], found.reason
        for other in others:  # a runner-up before the best
            behind = compare(other, first, merit).reason
            assert faults(behind) == [], behind
    assert told == 50 and 5 < ties < 45
