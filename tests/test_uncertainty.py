"""Spreads in a brief: what they mean, and what is refused.

Outside sources: the factors of the normal and the uniform distribution, JCGM 100:2008 (from memory).
"""

import dataclasses
import re
import subprocess
import sys
import time

import numpy as np
import pytest
from briefs import TWO_VALUES, brief
from repository import ROOT
from scipy import stats

from scaling import Brief, Q, choose, sweep

NUMERIC = [
    f.name for f in dataclasses.fields(Brief) if f.metadata.get("kind", "positive integer") != "positive integer"
]
PAIRS = ("supply_frequency", "speed")


def read(field="gap_floor", value=None, **base):
    return brief(**base, **{field: value}).uncertainties[field]


def test_plus_minus_is_a_normal_distribution_of_half_its_number():
    for text in ("30 um +/- 10 um", "30 um ± 10 um", "30 um+/-10 um", "0.03 mm +/- 10 um", "30 um +/- 0.01 mm"):
        known = read(value=text)
        assert known.median == pytest.approx(30e-6, rel=1e-12)
        q = np.array([0.02275, 0.15866, 0.5, 0.84134, 0.97725])  # -2, -1, 0, 1, 2 standard deviations
        np.testing.assert_allclose(known.ppf(q), np.array([20, 25, 30, 35, 40]) * 1e-6, rtol=1e-4)
    np.testing.assert_allclose(read(value="30 um +/- 20 %").ppf([0.02275, 0.97725]), [24e-6, 36e-6], rtol=1e-4)
    assert "30 um ± 10 um" in known.describe or "normal" in known.describe


def test_a_pair_is_uniform_between_its_ends():
    for pair in (("20 um", "40 um"), ["20 um", "0.04 mm"], (Q("20 um"), Q(0.04, "mm"))):
        known = read(value=pair)
        np.testing.assert_allclose(known.ppf([0, 0.25, 0.5, 1]), np.array([20, 25, 30, 40]) * 1e-6, rtol=1e-12)
        assert brief(gap_floor=pair).si.gap_floor == pytest.approx(30e-6)
    values = read("slot_fill", (0.1, 0.3)).ppf((np.arange(10_000) + 0.5) / 10_000)
    assert values.std() == pytest.approx(
        0.1 / np.sqrt(3), rel=1e-4
    )  # half-width over the root of three: JCGM 100 4.3.7
    assert "20 µm to 40 µm" in known.describe


def test_a_distribution_stands_for_itself_in_its_unit():
    q = np.linspace(0.01, 0.99, 9)
    given = stats.lognorm(0.2, scale=30.0)
    np.testing.assert_allclose(read(value=(given, "um")).ppf(q), given.ppf(q) * 1e-6, rtol=1e-12)
    ratio = stats.beta(8, 32)
    np.testing.assert_allclose(read("slot_fill", ratio).ppf(q), ratio.ppf(q), rtol=1e-12)
    warm = stats.norm(25, 5)
    np.testing.assert_allclose(read("ambient", (warm, "degC")).ppf(q), warm.ppf(q) + 273.15, rtol=1e-12)
    assert brief(ambient=(warm, "degC")).si.ambient == pytest.approx(298.15)
    assert "beta" in read("slot_fill", ratio).describe


def test_a_temperature_has_a_spread_in_kelvins():
    known = read("ambient", "40 degC +/- 10 K")
    np.testing.assert_allclose(known.ppf([0.15866, 0.5, 0.84134]), [308.15, 313.15, 318.15], atol=1e-3)


def test_a_given_coefficient_of_cooling_may_have_a_spread():
    assert read("cooling", "25 W/m^2/K +/- 20 %").median == 25.0
    assert brief(cooling=("20 W/m^2/K", "30 W/m^2/K")).si.cooling == 25.0


def test_a_normal_distribution_is_cut_where_the_field_ends_and_keeps_its_middle():
    known = read("winding_factor", "0.95 +/- 0.1")
    values = known.ppf((np.arange(10_000) + 0.5) / 10_000)
    assert values.max() <= 1.0 and np.median(values) == pytest.approx(0.95, abs=1e-5)
    assert np.mean(values > 0.999) < 0.05  # cut, not heaped at the end
    low = read("bearing_friction", "0.1 +/- 0.2").ppf(np.linspace(0, 1, 999))
    assert low.min() >= 0.0 and np.all(np.diff(low) > 0)


@pytest.mark.parametrize("field", NUMERIC)
def test_every_numeric_field_takes_a_spread_and_keeps_its_middle(field):
    first, second, base = TWO_VALUES[field]
    first, second = (second, first) if not first else (first, second)  # nothing has no percentage
    plain = brief(**base | {field: first})
    known = f"{first} +/- 2 %" if field != "ambient" else f"{first} +/- 2 K"
    made = brief(**base | {field: known})
    assert vars(made.si) == vars(plain.si) and list(made.uncertainties) == [field] and plain.uncertainties == {}
    assert made.uncertainties[field].ppf(0.9) > made.uncertainties[field].ppf(0.1)
    low, high = sorted((first, second), key=lambda value: getattr(brief(**base | {field: value}).si, field))
    both = brief(**base | {field: (low, high)})
    assert (field in both.uncertainties) == (field not in PAIRS)


def test_choose_and_sweep_take_the_middle_and_choose_says_so():
    known, plain = brief(gap_floor="30 um +/- 10 um", slot_fill=(0.3, 0.5)), brief(gap_floor="30 um", slot_fill=0.4)
    a, b = choose(known), choose(plain)
    assert a.ranking == b.ranking and a.reason == b.reason
    assert [d.merit for d in a.designs.values()] == [d.merit for d in b.designs.values()]
    assert a.remarks[: len(b.remarks)] == b.remarks
    assert "gap_floor, slot_fill" in a.remarks[-1] and "`certainty`" in a.remarks[-1]
    sizes = ["2 mm", "20 mm"]
    np.testing.assert_array_equal(sweep(known, sizes).merit["induction"], sweep(plain, sizes).merit["induction"])


def test_equality_and_replace_work_with_spreads():
    one, other = (brief(gap_floor="30 um +/- 10 um", slot_fill=(0.3, 0.5)) for _ in range(2))
    assert one == other and hash(one) == hash(other) and one != brief(gap_floor="30 um +/- 11 um")
    changed = dataclasses.replace(one, gap_floor="40 um")
    assert list(changed.uncertainties) == ["slot_fill"] and changed.si.gap_floor == pytest.approx(40e-6)
    given = stats.beta(8, 32)
    assert brief(slot_fill=given) == brief(slot_fill=given)
    assert dataclasses.replace(brief(slot_fill=given), cooling="water").uncertainties["slot_fill"].distribution is given


def test_draws_go_through_what_the_brief_derives():
    made = brief(rotor_diameter="20 mm +/- 1 mm", speed="1450 rpm +/- 20 rpm", supply_frequency="50 Hz +/- 1 Hz")
    values = {name: known.ppf(np.array([0.1, 0.5, 0.9])) for name, known in made.uncertainties.items()}
    si = made.drawn(values)
    np.testing.assert_array_equal(si.active_length, values["rotor_diameter"])
    np.testing.assert_allclose(si.speed[1] / si.speed[0], 1.1 / 0.9)
    np.testing.assert_array_equal(si.supply_frequency[0], si.supply_frequency[1])
    assert made.supply_is_fixed


NONSENSE = [
    ("gap_floor", "30 um +/- -10 um", "greater than zero"),
    ("gap_floor", "30 um +/- 0 um", "greater than zero"),
    ("gap_floor", "30 um +/- nan um", "not one number"),
    ("gap_floor", "30 um +/- 1e400 um", "not finite"),
    ("gap_floor", "30 um +/- 10 kg", "not a unit of length"),
    ("gap_floor", "30 um +/- 10", "unit is missing"),
    ("gap_floor", "30 +/- 10 um", "unit is missing"),
    ("gap_floor", "30 um +/- 10 um +/- 5 um", "expected one '+/-'"),
    ("gap_floor", "30 um +/-", "not one number"),
    ("gap_floor", "+/-" * 10**5, "expected one '+/-'"),
    ("gap_floor", "1" * 10**6 + " +/- 1 um", "expected one '+/-'"),
    ("gap_floor", "30 um +/- 0 %", "above zero"),
    ("gap_floor", "30 um +/- -5 %", "not one number"),
    ("gap_floor", ("40 um", "20 um"), "upside down"),
    ("gap_floor", ("20 um", "20 um"), "no width"),
    ("gap_floor", ("20 um", "40 kg"), "not a unit of length"),
    ("gap_floor", ("20 um", 40), "neither a text"),
    ("gap_floor", ("20 um +/- 1 um", "40 um"), "not one number"),
    ("slot_fill", (0.2, 1.2), "at most 0.907"),
    ("slot_fill", "0.2 +/- 0.02 mm", "takes no unit"),
    ("slot_fill", (0.2, float("nan")), "not finite"),
    ("outside_ratio", "0.9 +/- 0.1", "at least 1"),
    ("ambient", "40 degC +/- 5 degC", "difference"),
    ("ambient", "40 degC +/- 10 %", "kelvins"),
    ("cooling", "25 W/m^2/K +/- 5 K", "heat transfer coefficient"),
    ("barriers", "4 +/- 1", "whole number"),
    ("slots_per_pole_and_phase", (1, 3), "whole number"),
    ("barriers", stats.norm(4, 1), "whole number"),
    ("pole_pairs", "2 +/- 1", "not one number"),
    ("slot_fill", stats.norm(0.2, 0.2), "0.1 % point"),
    ("slot_fill", stats.norm(0.9, 0.1), "99.9 % point"),
    ("slot_fill", stats.norm, "not frozen"),
    ("slot_fill", stats.poisson(3), "not continuous"),
    ("slot_fill", stats.norm(float("nan"), 1), "no width or is not finite"),
    ("slot_fill", stats.uniform(0.2, 0.0), "no width or is not finite"),
    ("slot_fill", stats.norm([0.2, 0.3], 0.01), "not one distribution"),
    ("slot_fill", (stats.norm(0.2, 0.02), "mm"), "a ratio has no unit"),
    ("gap_floor", stats.norm(30, 5), "unit is missing"),
    ("gap_floor", (stats.norm(30, 5), "kg"), "not a unit of length"),
    ("gap_floor", (stats.norm(30, 5), 3), "unit is missing"),
    ("gap_floor", (stats.norm(30, 20), "um"), "0.1 % point"),
    ("supply_frequency", ("45 Hz +/- 1 Hz", "50 Hz"), "not one number"),
]


@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning:scipy")
@pytest.mark.parametrize(("field", "value", "hint"), NONSENSE, ids=range(len(NONSENSE)))
def test_nonsense_is_refused_at_once_by_field_value_and_remedy(field, value, hint):
    started = time.perf_counter()
    with pytest.raises((TypeError, ValueError)) as caught:
        brief(**{field: value})
    assert time.perf_counter() - started < 1
    message = str(caught.value)
    assert message.startswith(f"{field}: got ") and hint in message, message
    assert re.search("expected|[Gg]ive ", message) and len(message) < 500 and "\n" not in message


def test_spreads_are_read_and_chosen_from_without_scipy():
    code = (
        "import sys; from scaling import Brief, choose\n"
        "choose(Brief(rotor_diameter='20 mm', gap_floor='30 um +/- 10 um', slot_fill=(0.2, 0.6)))\n"
        "print('scipy.stats' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
