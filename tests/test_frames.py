"""Do real machines obey? Standard motor frames, efficiency classes and textbook circuits.

The bars stand in the tests with the published data; where the package misses one, the test says what holds and by how
much it falls short. How a frame becomes a brief stands in ``published.frames``; no number is adjusted to ratings.
"""

import csv
from dataclasses import replace

import numpy as np
import pytest
from published import frames as standard
from published.frames import TABLES, slope
from published.standard_motors import saturation
from repository import ROOT

from scaling import Brief, choose

FRAMES = standard.frames()
HEIGHT = np.array([f.shaft_height for f in FRAMES]) * 1e3
RATING = np.array([f.rating for f in FRAMES])
ENTRY = np.repeat(np.arange(len(FRAMES)), [len(f.ratings) for f in FRAMES])  # the frame of every rating of the table
ENTRIES = np.array([rating for f in FRAMES for rating in f.ratings])
SMALL, LARGE = 0, [f.name for f in FRAMES].index("315M")


def ie1(power):
    """Return the efficiency of class IE1 at powers in W from 0.75 kW (IEC 60034-30-1, from memory), NaN below."""
    x = np.asarray(power) / 1e3
    return np.where(x >= 0.75, np.polyval([0.5234, -5.0499, 17.418, 74.3171], np.log10(x)) / 100, np.nan)


class Prediction:
    """Arrays along the frames."""

    def __init__(self, frames=FRAMES, **given):
        self.rating = np.array([f.rating for f in frames])
        self.figures = [standard.predict(f, turns=2, **given) for f in frames]

    def __getattr__(self, name):
        return np.array([f[name] for f in self.figures])

    @property
    def ratio(self):
        return self.power / self.rating

    @property
    def loss_share(self):
        return (1 - self.efficiency) / self.efficiency

    def loss_over_class(self, name):
        made = ie1(self.power) if name == "IE1" else standard.efficiency(name, self.power)
        return self.loss_share * made / (1 - made)


@pytest.fixture(scope="module")
def made():
    return Prediction()


@pytest.fixture(scope="module")
def bare():
    """Frames of which no start is asked."""
    return Prediction(starting_torque_ratio=None)


def factor(ratio):
    return np.maximum(ratio, 1 / ratio)


# Rated output against shaft height


def exponents(values):
    """Return the exponents over all entries of the table, and from 80 mm up."""
    height, value = HEIGHT[ENTRY], values if len(values) == len(ENTRY) else values[ENTRY]
    return slope(height, value), slope(height[height >= 80], value[height >= 80])


def test_the_table_is_the_published_one():
    # P proportional to H^4.17 over all entries, 3.72 from 80 mm up: fitted by somebody else to the same ratings.
    assert exponents(ENTRIES) == pytest.approx((4.17, 3.72), abs=0.006)


def test_choose_gives_the_same(made):
    at = [f.name for f in FRAMES].index("132M")
    asked = standard.brief(FRAMES[at], made.power[at])
    assert choose(asked, merit=standard.MERIT)["induction"].values["power"] == pytest.approx(made.power[at], rel=2e-3)


def test_outputs_of_the_frames(made):
    # Against the highest rating of each frame, whose core fills it; the bars are 1.5 and 1.15. Nothing is adjusted.
    # Measured: 0.89 (315L) to 1.42 (56), median factor 1.11; where the core is that of a series, 0.97 to 1.25.
    assert factor(made.ratio).max() < 1.5
    assert np.median(factor(made.ratio)) < 1.15
    known = np.array([bool(f.core) for f in FRAMES])
    assert np.count_nonzero(known) == 17 and np.all((made.ratio[known] > 0.9) & (made.ratio[known] < 1.3))


def test_the_brief_of_a_newcomer_gives_the_same():
    # What a plate and a rule tell: rotor, length, outside, poles, cooling, class, a start. Slots, gap and cage are the
    # package's own. 0.69 (315L, whose slots should be less deep) to 1.36, median factor 1.13.
    ratio = []
    for frame in FRAMES:
        outside, bore, length = standard.core(frame)
        asked = Brief(
            rotor_diameter=f"{bore} m", active_length=f"{length} m", outside_ratio=outside / bore, pole_pairs=2,
            cooling="IC 411", temperature_rise="class B", starting_torque_ratio=standard.starting_need(frame.rating),
        )  # fmt: skip
        ratio.append(standard.best_induction(asked)["power"] / frame.rating)
    print("a newcomer's brief:", np.round(ratio, 2))
    assert factor(np.array(ratio)).max() < 1.5
    assert np.median(factor(np.array(ratio))) < 1.15


def test_the_rule_of_a_core_is_that_of_the_series():
    for frame in FRAMES:
        if frame.core:
            plain = replace(frame, core=())
            assert standard.core(plain)[0] == pytest.approx(frame.core[0], rel=0.055)
            assert standard.outside_ratio(plain) == pytest.approx(standard.outside_ratio(frame), rel=0.06)
            assert 0.64 < frame.core[2] / frame.along < 0.97  # the rule says 0.8


def test_exponents_of_output_are_those_of_the_table(made):
    # The bar is 0.2. One rating a frame: 3.91 against 3.96, from 80 mm up 3.65 against 3.63. Over all entries, where
    # several ratings share a frame that is predicted once: 3.98 against 4.17, and 3.68 against 3.72.
    high = HEIGHT >= 80
    assert slope(HEIGHT, made.power) == pytest.approx(slope(HEIGHT, RATING), abs=0.2)
    assert slope(HEIGHT[high], made.power[high]) == pytest.approx(slope(HEIGHT[high], RATING[high]), abs=0.2)
    first, second = exponents(made.power)
    assert first == pytest.approx(exponents(ENTRIES)[0], abs=0.2)
    assert second == pytest.approx(exponents(ENTRIES)[1], abs=0.2)


def test_lower_ratings_of_a_frame_are_exceeded(made):
    # The same frames hold shorter cores too: 2.1 times at 56 mm (60 W), 1.8 at 71 mm (250 W).
    over = made.power[ENTRY] / ENTRIES
    assert 1.9 < over.max() < 2.3
    assert over[HEIGHT[ENTRY] >= 71].max() < 2.0


@pytest.mark.parametrize(("poles", "median", "worst"), [(2, 1.05, 1.2), (6, 1.15, 1.35)])
def test_frames_of_other_pole_numbers(poles, median, worst):
    # Blind, cores and ratings of the same series. Two poles 0.85 to 1.06, median 0.98; six poles 0.87 to 1.32, 1.13.
    found = Prediction(standard.frames_of(poles), pole_pairs=poles // 2)
    print(f"{poles} poles: {found.ratio.min():.2f} to {found.ratio.max():.2f}, median {np.median(found.ratio):.2f}")
    assert factor(np.median(found.ratio)) < median and factor(found.ratio).max() < worst


def test_the_smallest_frames_of_two_poles_come_out_too_high():
    # 0.12 and 0.25 kW (EN 50347, from memory); the bore smaller than that of four poles by 1.15: common practice.
    for frame, rated in zip(FRAMES[:2], (120, 250), strict=True):
        ratio, (_, bore, _) = 1.15 * standard.outside_ratio(frame), standard.core(frame)
        lengths = {"rotor_diameter": f"{bore / 1.15 - 2 * standard.gap(rated, 1)} m", "outside_ratio": ratio}
        found = standard.predict(frame, pole_pairs=1, slot_depth_ratio=(ratio - 1) / 4, **lengths)["power"] / rated
        assert 1.3 < found < 2.3


# What each part of it does


@pytest.mark.parametrize(
    ("given", "frame", "change"),
    [
        # Change of the output predicted.
        ({"starting_torque_ratio": None}, SMALL, 0.12),
        ({"starting_torque_ratio": None}, LARGE, 0.17),  # thick bars of little slip that do not start a load
        ({"temperature_drop": "none"}, SMALL, 0.12),
        ({"temperature_drop": "none"}, LARGE, 0.54),
        ({"additional_loss": 0.0}, SMALL, 0.05),
        ({"additional_loss": 0.0}, LARGE, 0.09),
        ({"slot_fill": 0.4}, SMALL, 0.08),  # of thin wire: half of a small slot is liner and enamel
        ({"slot_fill": 0.4}, LARGE, -0.06),
        ({"fan_speed_ratio": 0.75}, SMALL, -0.04),
        ({"fan_speed_ratio": 0.75}, LARGE, -0.05),
    ],
)
def test_each_part_acts_where_it_should(made, given, frame, change):
    figures = standard.predict(FRAMES[frame], turns=2, **given)
    assert figures["power"] / made.power[frame] - 1 == pytest.approx(change, abs=0.03)


def test_temperatures_of_frames_as_they_are_known(made):
    # Winding over frame 15 to 50 K, hot spot 5 to 15 K over the mean, IEC 60085's allowance 5 to 10 (common practice,
    # from memory). A cage lies 0 to 40 K over the winding: found 2 to 45.
    over_frame = made.winding_rise - made.frame_rise
    assert np.all((over_frame > 10) & (over_frame < 52))
    hottest = made.hot_spot_rise - made.winding_rise
    assert np.all((hottest > 2) & (hottest < 15))
    cage = made.rotor_rise - made.winding_rise
    assert np.all(cage > -5) and np.all(cage < 50)


# Losses against rating

STEPS = np.array(sorted({rating for rating in ENTRIES if 120 <= rating <= 200e3}))


@pytest.mark.parametrize("name", ["IE2", "IE3", "IE4"])
def test_losses_of_the_classes(name):
    # Published exponents: -0.29 from 0.75 kW, -0.54 below, -0.33 over 0.12 to 200 kW.
    made = standard.efficiency(name, STEPS)
    share = (1 - made) / made
    large = STEPS >= 750
    fitted = [slope(STEPS[part], share[part]) for part in (large, ~large, STEPS > 0)]
    assert fitted == pytest.approx([-0.29, -0.54, -0.33], abs=0.015)


def test_class_ie1_at_two_powers():
    # 86.0 % at 7.5 kW, 92.7 % at 75 kW, from memory too.
    assert 100 * ie1([7500.0, 75e3]) == pytest.approx([86.0, 92.7], abs=0.051)


@pytest.mark.parametrize(("power", "percent"), [(120, 64.8), (1100, 84.1), (11e3, 91.4), (110e3, 95.4)])
def test_spot_values_of_a_class(power, percent):
    assert 100 * standard.efficiency("IE3", power) == pytest.approx(percent, abs=0.051)


def loss_exponents(made):
    large, small = made.power > 750, made.power <= 1000
    return [slope(made.power[part], made.loss_share[part]) for part in (large, small, made.power > 0)]


def test_losses_weigh_more_in_small_machines(made):
    # Measured -0.32, -0.47, -0.35; published -0.29, -0.54, -0.33.
    assert loss_exponents(made) == pytest.approx([-0.29, -0.54, -0.33], abs=0.09)
    large, small, _ = loss_exponents(made)
    assert small < large - 0.1


def test_losses_against_the_classes(made):
    # Within the band of IE1 to IE3, near IE1: 0.85 to 1.01 (250M) of its losses, 1.04 to 1.4 of those of IE2. The
    # output is that of a full class B, which motors of a better class do not use up.
    over = made.loss_over_class("IE1")
    known = np.isfinite(over)
    assert np.all(over[known] < 1.02) and np.all(over[known] > 0.8)
    assert np.nanmin(made.loss_over_class("IE2")) > 1.0 and np.nanmin(made.loss_over_class("IE3")) > 1.2


def test_losses_without_a_start(bare):
    found = bare.loss_over_class("IE2")
    assert np.nanmin(found) > 0.75 and np.nanmax(found) < 1.4
    assert np.nanmedian(found[HEIGHT >= 160]) < 1.05


# Goodness and slip

CIRCUITS = np.array([row[1:] for row in TABLES["circuit_goodness"]["data"]], float).T


def test_goodness_of_textbook_circuits():
    # Published 36*P^0.35 over 33 machines, accepted 0.28 to 0.48; these 21 of them. A poor yardstick of size: the
    # nameplates of ``test_standard_motors`` are the better one.
    kilowatts, goodness = CIRCUITS
    assert 0.28 < slope(kilowatts, goodness) < 0.48
    assert np.exp(np.mean(np.log(goodness / kilowatts**0.35))) == pytest.approx(36, rel=0.15)


def goodness(found):
    """Return exponent and level at 1 kW of the goodness of a circuit, the iron's share in it."""
    of_circuit = found.goodness / np.array([saturation(figures) for figures in found.figures])
    exponent, level = np.polyfit(np.log(found.power / 1e3), np.log(of_circuit), 1)
    return float(exponent), float(np.exp(level))


def test_goodness_without_a_start(bare):
    # Nameplates turned into circuits: 22*P^0.54.
    exponent, level = goodness(bare)
    print(f"goodness {level:.1f}*P^{exponent:.2f}")
    assert exponent == pytest.approx(0.54, abs=0.15)
    assert factor(level / 22) < 1.4


def test_goodness_of_cages_that_start_a_load(made):
    # Nameplates turned into circuits: 22*P^0.54 +- 0.06. With bars that give the torque from rest 16.4*P^0.48: large
    # cages still have less of it than made ones, 0.6 at 315 mm (a fourth while tooth tips did not saturate).
    exponent, level = goodness(made)
    print(f"goodness {level:.1f}*P^{exponent:.2f}")
    assert exponent == pytest.approx(0.54, abs=0.08)
    assert level == pytest.approx(22, rel=0.3)


def test_starts(made, bare):
    # Asked as design N has it, found with the current of practice: 2.3 times the rated at 56 mm, 5.5 to 6.9 from
    # 132 mm up, breakdown torque 2.0 to 2.4 (makers' about 4 and 6 to 7 times, 2 to 3.5 times: common practice).
    start = made.starting_torque / made.torque
    assert np.all(start >= 0.999 * np.array([standard.starting_need(1.1 * power) for power in made.power]))
    assert np.all((made.starting_current > 2) & (made.starting_current < 7))
    assert np.all(made.starting_current[HEIGHT >= 132] > 5)
    breakdown = made.breakdown_torque / made.torque
    assert np.all((breakdown > 1.9) & (breakdown < 3.5))
    # Of which no start is asked, large cages start with half of the rated torque.
    start = bare.starting_torque / bare.torque
    assert start[LARGE] < 0.65 and start[SMALL] > 1.2


def test_rated_slip(made, bare):
    # Published: slip proportional to P^(-0.34 +- 0.02). With a start -0.28, without -0.42. A plate of 160 kW has
    # 0.010; found 0.018 and 0.007.
    for found in (made, bare):
        assert slope(found.power, found.slip) == pytest.approx(-0.34, abs=0.11)
    assert bare.slip[LARGE] < 0.010 < made.slip[LARGE] < 0.02


# Loadings


def test_loadings_of_the_predicted_machines(made):
    # Pyrhönen et al. (from memory), asynchronous machines: 12-33 kPa, 30-65 kA/m, 3-8 A/mm², 10-35e10 A²/m³. Found 12
    # to 16 kPa and 26 to 35 kA/m from 132 mm up, 3.5 to 6.4 A/mm²: at the low end; in small frames less, and more
    # current density.
    middle = HEIGHT >= 132
    assert np.all((made.shear_stress[middle] > 11.5e3) & (made.shear_stress[middle] < 33e3))
    assert np.all((made.shear_stress[~middle] > 4e3) & (made.shear_stress[~middle] < 13e3))
    density = made.current_density_rms / 1e6
    assert np.all((density[HEIGHT >= 100] > 2.7) & (density[HEIGHT >= 100] < 8))
    assert 10 < density[SMALL] < 13
    loading = made.linear_current_density_rms
    assert np.all((loading > 15e3) & (loading < 65e3)) and np.all(loading[middle] > 25e3)
    product = loading * made.current_density_rms
    assert np.all((product > 7.5e10) & (product < 35e10))


# The data


@pytest.mark.parametrize("name", TABLES)
def test_table_is_complete(name):
    table = TABLES[name]
    assert list(table) == ["source", "locator", "status", "units", "columns", "note", "data"]
    assert list(table["units"]) == table["columns"]
    assert set(table["status"].split(", ")) <= set("PMDC")
    assert all(len(row) == len(table["columns"]) for row in table["data"])


@pytest.mark.parametrize("name", TABLES)
def test_notebooks_have_the_same_data(name):
    text = (ROOT / "notebooks" / "data" / f"published_{name}.csv").read_text(encoding="utf-8")
    head, *rows = csv.reader(line for line in text.splitlines() if not line.startswith("#"))
    table = TABLES[name]
    units = table["units"]
    assert head == [name if units[name] == "1" else f"{name} [{units[name]}]" for name in table["columns"]]
    assert rows == [["" if cell is None else str(cell) for cell in row] for row in table["data"]]
    assert table["source"] in text and table["note"] in text
