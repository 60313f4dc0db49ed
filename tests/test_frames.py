"""Do real machines obey? Standard motor frames, efficiency classes, textbook circuits and millimetre machines.

The bars stand in the tests with the published data; where the package misses one, the test says what holds and by how
much it falls short. What the package leaves out is counted in ``published.frames`` only: to explain, not to pass.
"""

import csv
import math

import numpy as np
import pytest
from published import frames as standard
from published.frames import ALL, PLAIN, TABLES, Effects, slope
from published.standard_motors import saturation
from repository import ROOT

from scaling import Brief, choose

FRAMES = standard.frames()
HEIGHT = np.array([f.shaft_height for f in FRAMES]) * 1e3
RATING = np.array([f.rating for f in FRAMES])
ENTRY = np.repeat(np.arange(len(FRAMES)), [len(f.ratings) for f in FRAMES])  # the frame of every rating of the table
ENTRIES = np.array([rating for f in FRAMES for rating in f.ratings])
SMALL, LARGE = 0, [f.name for f in FRAMES].index("315M")


class Prediction:
    """Arrays along the frames."""

    def __init__(self, effects=PLAIN):
        self.fan_ratio = standard.fan_ratio(effects)
        self.figures = [standard.predict(f, self.fan_ratio, effects) for f in FRAMES]

    def __getattr__(self, name):
        return np.array([f[name] for f in self.figures])

    @property
    def ratio(self):
        return self.power / RATING

    @property
    def loss_share(self):
        return (1 - self.efficiency) / self.efficiency

    @property
    def loss_over_class(self):
        made = standard.efficiency("IE2", self.power)
        return self.loss_share * made / (1 - made)


@pytest.fixture(scope="module")
def plain():
    return Prediction()


@pytest.fixture(scope="module")
def counted():
    return Prediction(ALL)


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


def test_one_constant_meets_one_frame(plain):
    at = [f.name for f in FRAMES].index(standard.FIXED_AT)
    assert plain.ratio[at] == pytest.approx(1.0, abs=2e-3)
    assert 0.1 < plain.fan_ratio < 1.0  # air slower than the rim
    # From winding to air 49 W/m²K over core and end windings, of 80 on the outside, whose area fins double; 35 to 49 in
    # an inversion of most frames worked out for the project.
    through = plain.heat_coefficient * plain.frame_rise / plain.winding_rise
    assert 35 < through[at] < 60


def test_choose_gives_the_same(plain):
    at = [f.name for f in FRAMES].index(standard.FIXED_AT)
    made = standard.brief(FRAMES[at], plain.fan_ratio, plain.power[at])
    assert choose(made, merit=standard.MERIT)["induction"].values["power"] == pytest.approx(plain.power[at], rel=1e-3)


def test_exponents_of_output_are_those_of_the_table(plain):
    # The bar is 0.3, met by a hair over all frames, as the smallest are overrated. Measured 3.89 against 4.17, 3.85
    # against 3.72.
    first, second = exponents(plain.power)
    assert first == pytest.approx(exponents(ENTRIES)[0], abs=0.4)
    assert second == pytest.approx(exponents(ENTRIES)[1], abs=0.15)


def test_outputs_of_the_frames(plain):
    # Against the highest rating of each frame, whose core fills it. Measured: median 1.19, worst from 71 mm up 1.51.
    assert np.median(factor(plain.ratio)) < 1.4
    assert factor(plain.ratio[HEIGHT >= 71]).max() < 1.75


def test_lower_ratings_of_a_frame_are_exceeded(plain):
    # The same frames hold shorter cores too: over these ratings the bar of 2 is missed at 71 mm (0.25 kW, 2.24 times).
    over = plain.power[ENTRY] / ENTRIES
    worst = over[HEIGHT[ENTRY] >= 71].max()
    assert 2.0 < worst < 2.6
    assert over[HEIGHT[ENTRY] >= 80].max() < 2.0


def test_the_smallest_frames_are_overrated(plain):
    # Reported, no bar: 2.5 times at 56 mm, 1.9 at 63 mm. Why: see the tests of what the package leaves out.
    assert 2.2 < plain.ratio[SMALL] < 2.8
    assert np.all(np.diff(plain.ratio[HEIGHT <= 80]) < 0)


def test_another_rule_for_the_core_meets_the_bars_too():
    # Cores as laminations have them, thinner in small frames: exponents 4.12 and 3.98 (bar 0.3), median 1.33 (bar 1.4),
    # worst from 71 mm up 1.72 (bar 2).
    made = Prediction(Effects(metal=True))
    assert exponents(made.power) == pytest.approx(exponents(ENTRIES), abs=0.3)
    assert np.median(factor(made.ratio)) < 1.4
    assert factor(made.ratio[HEIGHT >= 71]).max() < 2.0


# What the package leaves out, or takes as usual


def test_with_what_is_left_out_all_frames_agree(counted):
    # Exponents 4.08 and 3.93 against 4.17 and 3.72; 1.69 at 56 mm (2.49 without), median 1.31, worst from 71 mm up 1.65
    # at 280 mm: large frames are overrated by 1.5 as soon as the small ones are right.
    assert np.median(factor(counted.ratio)) < 1.4
    assert factor(counted.ratio).max() < 2.0 and factor(counted.ratio[HEIGHT >= 71]).max() < 1.75
    assert exponents(counted.power) == pytest.approx(exponents(ENTRIES), abs=0.3)
    assert 0.7 < counted.fan_ratio < 1.2


@pytest.mark.parametrize(
    ("effect", "frame", "change"),
    [
        # Change of predicted over rated output, the frame 132M always met.
        ("metal", SMALL, -0.28),  # what does not shrink around the core
        ("wire", SMALL, -0.04),  # 191 conductors a slot for 230 V where 40 are usual
        ("stray", LARGE, -0.05),  # a share of the input: the more, the better the machine
    ],
)
def test_each_effect_acts_where_it_should(plain, effect, frame, change):
    effects = Effects(**{effect: True})
    ratio = standard.predict(FRAMES[frame], standard.fan_ratio(effects), effects)["power"] / RATING[frame]
    assert ratio / plain.ratio[frame] - 1 == pytest.approx(change, abs=0.03)


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


@pytest.mark.parametrize(("power", "percent"), [(120, 64.8), (1100, 84.1), (11e3, 91.4), (110e3, 95.4)])
def test_spot_values_of_a_class(power, percent):
    assert 100 * standard.efficiency("IE3", power) == pytest.approx(percent, abs=0.051)


def loss_exponents(made):
    large, small = made.power > 750, made.power <= 1000
    return [slope(made.power[part], made.loss_share[part]) for part in (large, small, made.power > 0)]


def test_losses_weigh_more_in_small_machines(plain, counted):
    # Measured -0.38, -0.43, -0.39 and, with what is left out, -0.35, -0.44, -0.36; published -0.29, -0.54, -0.33.
    for made in (plain, counted):
        assert loss_exponents(made) == pytest.approx([-0.29, -0.54, -0.33], abs=0.14)
        large, small, _ = loss_exponents(made)
        assert small < large - 0.03


def test_losses_against_class_ie2(plain, counted):
    # The package's machines lose 1.06 of the class at 0.2 kW and 0.64 at 200 kW: additional load losses are missing,
    # which take little from a machine that loses much. With them (and the rest) 1.34 to 0.92.
    found = plain.loss_over_class[np.isfinite(plain.loss_over_class)]
    assert found.max() < 1.2 and found.min() > 0.6
    assert found[0] > 1.25 * found[-1]
    found = counted.loss_over_class[np.isfinite(counted.loss_over_class)]
    assert found.max() < 1.4 and found.min() > 0.8
    only = Effects(stray=True)
    ratio = standard.fan_ratio(only)
    for frame in (FRAMES[SMALL], FRAMES[LARGE]):
        made = standard.predict(frame, ratio, only)
        ie2 = standard.efficiency("IE2", made["power"])
        assert 0.8 < (1 / made["efficiency"] - 1) * ie2 / (1 - ie2) < 1.25


# Goodness and slip

CIRCUITS = np.array([row[1:] for row in TABLES["circuit_goodness"]["data"]], float).T


def test_goodness_of_textbook_circuits():
    # Published 36*P^0.35 over 33 machines, accepted 0.28 to 0.48; these 21 of them. A poor yardstick of size: the
    # nameplates of ``test_standard_motors`` are the better one.
    kilowatts, goodness = CIRCUITS
    assert 0.28 < slope(kilowatts, goodness) < 0.48
    assert np.exp(np.mean(np.log(goodness / kilowatts**0.35))) == pytest.approx(36, rel=0.15)


def test_goodness_of_the_predicted_machines(plain):
    # Nameplates turned into circuits: 22*P^0.54. At the powers predicted, iron included, 26*P^0.46: large
    # frames are overrated and run with less slip than their plates. At the ratings it is ``test_standard_motors``'s.
    kilowatts = plain.power / 1e3
    goodness = plain.goodness / np.array([saturation(figures) for figures in plain.figures])
    exponent, level = np.polyfit(np.log(kilowatts), np.log(goodness), 1)
    print(f"goodness {np.exp(level):.1f}*P^{exponent:.2f}")
    assert exponent == pytest.approx(0.54, abs=0.15)
    assert factor(np.exp(level) / 22) < 1.4


def test_large_cages_of_most_power_do_not_start_a_load(plain):
    # IEC 60034-12, design N: about twice the rated torque from rest at 0.5 kW, about the rated torque at 150 kW (from
    # memory). Found 1.5 and 0.26, on 3.1 times the rated current at both ends and 4.3 between.
    start = plain.starting_torque / plain.torque
    assert 1.3 < start[SMALL] < 2.0
    assert start[LARGE] < 0.35
    assert np.all((plain.starting_current > 2.8) & (plain.starting_current < 5.0))


def test_goodness_of_cages_that_start_a_load(plain):
    # Shallow bars that give the torque from rest cost half of the power at 315 mm, and their goodness goes with P^0.27:
    # 0.3 of the nameplates' there. So real cages start otherwise: by deep bars and closed slots that saturate.
    chosen = [*range(0, LARGE, 4), LARGE]
    made = [standard.starting_cage(FRAMES[i], plain.fan_ratio) for i in chosen]
    kilowatts, goodness = (np.array([m[name] for m in made]) for name in ("power", "goodness"))
    kilowatts = kilowatts / 1e3
    assert 0.22 < slope(kilowatts, goodness) < 0.35
    ratio = goodness / (22 * kilowatts**0.54)
    assert factor(ratio[HEIGHT[chosen] <= 132]).max() < 1.4
    assert ratio[-1] < 0.4 and 1e3 * kilowatts[-1] < 0.65 * plain.power[LARGE]


def test_a_start_asked_for_is_found(plain):
    # The frame 225S with the start of design N: shallower bars do it, among all that are allowed they have to be found.
    frame = next(f for f in FRAMES if f.name == "225S")
    power = 47.6e3
    need = standard.starting_need(power) * power / standard.SPEED
    given = {"starting_torque": f"{need:.6g} N*m"}
    deep, shallow = (
        choose(standard.brief(frame, plain.fan_ratio, power, **given | more), merit=standard.MERIT)["induction"]
        for more in ({}, {"rotor_depth_ratio": 0.05})
    )
    assert shallow.feasible and shallow.values["starting_torque"] >= need
    assert deep.feasible and deep.values["power"] > 0.99 * shallow.values["power"]


def test_rated_slip(plain):
    # Published: slip proportional to P^(-0.34 +- 0.02). Measured -0.36.
    assert slope(plain.power, plain.slip) == pytest.approx(-0.34, abs=0.03)


# Loadings


def test_loadings_of_the_predicted_machines(plain, counted):
    # Pyrhönen et al. (from memory), asynchronous machines: 12-33 kPa, 30-65 kA/m, 3-8 A/mm², 10-35e10 A²/m³. The
    # shear stress holds from 132 mm up; loading and current density leave the range in small frames.
    middle = HEIGHT >= 132
    for made in (plain, counted):
        assert np.all((made.shear_stress[middle] > 12e3) & (made.shear_stress[middle] < 33e3))
        assert np.all((made.shear_stress[~middle] > 4e3) & (made.shear_stress[~middle] < 13e3))
    density = plain.current_density_rms / 1e6
    assert np.all((density[HEIGHT >= 100] > 3) & (density[HEIGHT >= 100] < 8))
    assert 8 < density[SMALL] < 11
    product = plain.linear_current_density_rms * plain.current_density_rms
    assert np.all((product > 10e10) & (product < 35e10))
    loading = plain.linear_current_density_rms
    assert np.all((loading > 15e3) & (loading < 65e3)) and loading[LARGE] > 30e3


# Millimetre machines

SMALL_MACHINES = {"10 mm": ("3 mm", "305000 rpm"), "4 mm": ("1 mm", "50000 rpm"), "2 mm": ("0.6 mm", "392000 rpm")}


def millimetre_machine(size, **given):
    """Return the choice for a radial machine of a published diameter and speed in moving air, gap 100 um.

    Sheet of 1 W/kg and no building factor: the brief's default, 0.5 mm sheet, is not made for 10 kHz. Bearings of air.
    """
    length, speed = SMALL_MACHINES[size]
    fields = {
        "rotor_diameter": size,
        "active_length": length,
        "speed": speed,
        "supply_frequency": ("100 Hz", "60 kHz"),
        "gap_floor": "100 um",
        "core_loss": "1 W/kg",
        "core_building_factor": 1.0,
        "rim_speed_limit": "250 m/s",
        "sleeved": True,
        "cooling": "forced air",
        "coolant_speed": "30 m/s",
        "bearing_friction": 0.0,
        "lubricant_viscosity": "0.02 mPa*s",
    }
    return choose(Brief(**fields | given), merit=standard.MERIT)


def test_shear_stress_of_the_published_small_machines():
    # Discs: torque = 2/3*pi*R^3*shear.
    for kind, diameter, speed, power, shear in TABLES["small_machines"]["data"]:
        if kind == "magnet":
            torque = power / (speed * math.pi / 30)
            found = torque / (2 / 3 * math.pi * (diameter / 2e3) ** 3) / 1e3
            assert found == pytest.approx(shear, rel=0.2)


def test_millimetre_machines():
    # Published: 10 mm magnet 1.1 kPa, 4 mm induction about 0.15 kPa (its speed taken as 50 000 rpm here).
    millimetre = {size: millimetre_machine(size) for size in SMALL_MACHINES}
    magnet, cage = ({size: c[kind].values for size, c in millimetre.items()} for kind in ("magnet", "induction"))
    assert factor(magnet["10 mm"]["shear_stress"] / 1.1e3) < 10
    assert factor(cage["4 mm"]["shear_stress"] / 0.15e3) < 10
    # 2 mm: 0.042 kPa is what one load took; the package's 6 kPa is 150 times that: an upper bound, no agreement.
    assert magnet["2 mm"]["shear_stress"] > 0.042e3
    # Published: magnet beats induction by 5 to 10 times and more. 13 and 17 at 4 and 2 mm, where induction runs at half
    # the field's speed. Missed at 10 mm and 305 000 rpm, 2.3 times: the iron's loss above 10 kHz holds the magnet back.
    lead = {size: magnet[size]["shear_stress"] / cage[size]["shear_stress"] for size in SMALL_MACHINES}
    assert lead["4 mm"] > 10 and lead["2 mm"] > 10
    assert 2 < lead["10 mm"] < 5


def test_ordinary_sheet_hides_the_lead_of_the_magnet():
    # The same 10 mm machine in the brief's default sheet: level (1.0 at 100 um). The law of core loss is
    # good up to 400 Hz and runs here at ten to forty thousand; the choice says so.
    made = millimetre_machine("10 mm", core_loss="4 W/kg", core_building_factor=1.7)
    lead = made["magnet"].values["shear_stress"] / made["induction"].values["shear_stress"]
    assert 0.8 < lead < 1.5
    assert any("400 Hz" in reason for reason in made["induction"].reasons)


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
