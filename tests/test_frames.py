"""Do real machines obey? Standard motor frames, efficiency classes, textbook circuits and millimetre machines.

The bars stand in the tests with the published data; where the package misses one, the test says what holds and by how
much it falls short. How a frame becomes a brief stands in ``published.frames``; no number is adjusted to ratings.
"""

import csv
import math
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
    # Measured: 0.71 (315L) to 1.42 (56), median factor 1.06.
    assert factor(made.ratio).max() < 1.5
    assert np.median(factor(made.ratio)) < 1.15


def test_exponents_of_output_are_those_of_the_table(made):
    # The bar is 0.2. One rating a frame: 3.86 against 3.96, from 80 mm up 3.65 against 3.63. Over all entries, where
    # several ratings share a frame that is predicted once: 3.91 against 4.17, missed, and 3.68 against 3.72.
    high = HEIGHT >= 80
    assert slope(HEIGHT, made.power) == pytest.approx(slope(HEIGHT, RATING), abs=0.2)
    assert slope(HEIGHT[high], made.power[high]) == pytest.approx(slope(HEIGHT[high], RATING[high]), abs=0.2)
    first, second = exponents(made.power)
    assert first == pytest.approx(exponents(ENTRIES)[0], abs=0.32)
    assert second == pytest.approx(exponents(ENTRIES)[1], abs=0.2)


def test_lower_ratings_of_a_frame_are_exceeded(made):
    # The same frames hold shorter cores too: 2.1 times at 56 mm (60 W), 1.8 at 71 mm (250 W).
    over = made.power[ENTRY] / ENTRIES
    assert 1.9 < over.max() < 2.3
    assert over[HEIGHT[ENTRY] >= 71].max() < 2.0


POLES = {  # kW; EN 50347, from memory: blind, nothing was chosen with them in view but the bore of two poles
    1: {"56": 0.12, "63": 0.25, "71": 0.55, "80": 1.1, "90S": 1.5, "90L": 2.2, "100L": 3, "112M": 4, "132S": 7.5,
        "160M": 15, "160L": 18.5, "180M": 22, "200L": 37, "225M": 45, "250M": 55, "280S": 75, "280M": 90, "315S": 110,
        "315M": 160},
    3: {"71": 0.25, "80": 0.55, "90S": 0.75, "90L": 1.1, "100L": 1.5, "112M": 2.2, "132S": 3, "132M": 5.5, "160M": 7.5,
        "160L": 11, "180L": 15, "200L": 22, "225M": 30, "250M": 37, "280S": 45, "280M": 55, "315S": 75, "315M": 110},
}  # fmt: skip


@pytest.mark.parametrize(("pole_pairs", "median", "worst"), [(1, 1.2, 1.5), (3, 1.2, 1.55)])
def test_frames_of_other_pole_numbers(pole_pairs, median, worst):
    # Two poles 0.73 to 1.31 from 71 mm up (2.06 at 56 mm), median 0.93; with the bore of four poles median 0.72. Six
    # poles 0.74 to 1.41, median 0.99.
    rated = POLES[pole_pairs]
    kept = [replace(f, ratings=(1e3 * rated[f.name],)) for f in FRAMES if f.name in rated]
    found = Prediction(kept, pole_pairs=pole_pairs)
    ratio = found.ratio[[f.shaft_height >= 0.071 for f in kept]]
    print(f"{2 * pole_pairs} poles: {ratio.min():.2f} to {ratio.max():.2f}, median {np.median(ratio):.2f}")
    assert factor(np.median(ratio)) < median and factor(ratio).max() < worst


# What each part of it does


@pytest.mark.parametrize(
    ("given", "frame", "change"),
    [
        # Change of the output predicted.
        ({"starting_torque_ratio": None}, SMALL, 0.12),
        ({"starting_torque_ratio": None}, LARGE, 0.49),  # thick bars of little slip that do not start a load
        ({"temperature_drop": "none"}, SMALL, 0.12),
        ({"temperature_drop": "none"}, LARGE, 0.43),
        ({"additional_loss": 0.0}, SMALL, 0.05),
        ({"additional_loss": 0.0}, LARGE, 0.06),
        ({"slot_fill": 0.4}, SMALL, 0.08),  # of thin wire: half of a small slot is liner and enamel
        ({"slot_fill": 0.4}, LARGE, -0.04),
        ({"fan_speed_ratio": 0.75}, SMALL, -0.04),
        ({"fan_speed_ratio": 0.75}, LARGE, -0.05),
    ],
)
def test_each_part_acts_where_it_should(made, given, frame, change):
    figures = standard.predict(FRAMES[frame], turns=2, **given)
    assert figures["power"] / made.power[frame] - 1 == pytest.approx(change, abs=0.03)


def test_temperatures_of_frames_as_they_are_known(made):
    # Winding over frame 15 to 50 K, hot spot 5 to 15 K over the mean, IEC 60085's allowance 5 to 10 (common practice,
    # from memory). A cage lies 0 to 40 K over the winding: with the start asked for 2 to 73, too warm in large frames.
    over_frame = made.winding_rise - made.frame_rise
    assert np.all((over_frame > 10) & (over_frame < 52))
    hottest = made.hot_spot_rise - made.winding_rise
    assert np.all((hottest > 2) & (hottest < 15))
    cage = made.rotor_rise - made.winding_rise
    assert np.all(cage > -5) and np.all(cage[HEIGHT <= 180] < 60) and cage.max() < 80


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
    # Measured -0.28, -0.47, -0.32; published -0.29, -0.54, -0.33.
    assert loss_exponents(made) == pytest.approx([-0.29, -0.54, -0.33], abs=0.09)
    large, small, _ = loss_exponents(made)
    assert small < large - 0.1


def test_losses_against_the_classes(made):
    # 0.91 to 0.97 of IE1 up to 200 mm, 1.03 to 1.23 (315S) above: the start asked for costs slip there. Without
    # it between IE2 and IE3.
    over = made.loss_over_class("IE1")
    known = np.isfinite(over)
    assert np.all(over[known & (HEIGHT < 225)] < 1.02) and over[known].max() < 1.3
    found = made.loss_over_class("IE2")
    assert np.all(found[np.isfinite(found)] > 1.0) and np.nanmax(found) < 1.6


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
    # Bars that give the torque from rest have a goodness that goes with P^0.3: a fourth of the nameplates' at 315 mm.
    # So real cages start otherwise: by double cages and closed slots that saturate, which the package has not.
    exponent, _ = goodness(made)
    assert 0.2 < exponent < 0.4
    ratio = made.goodness / (22 * (made.power / 1e3) ** 0.54)
    assert factor(ratio[HEIGHT <= 100]).max() < 1.4
    assert ratio[LARGE] < 0.4


def test_starts(made, bare):
    # Asked as design N has it, found with the current of practice: 2.3 times the rated at 56 mm, 5 from 132 mm up,
    # breakdown torque 2.0 to 2.9 (makers' about 4 and 6 to 7 times, 2 to 3.5 times: common practice).
    start = made.starting_torque / made.torque
    assert np.all(start >= 0.999 * np.array([standard.starting_need(1.1 * power) for power in made.power]))
    assert np.all((made.starting_current > 2) & (made.starting_current < 7))
    assert np.all(made.starting_current[HEIGHT >= 132] > 4.5)
    breakdown = made.breakdown_torque / made.torque
    assert np.all((breakdown > 1.9) & (breakdown < 3.5))
    # Of which no start is asked, large cages start with a third of the rated torque.
    start = bare.starting_torque / bare.torque
    assert start[LARGE] < 0.45 and start[SMALL] > 1.2


def test_rated_slip(made, bare):
    # Published: slip proportional to P^(-0.34 +- 0.02). Without a start -0.42; with it -0.18, as for goodness.
    assert slope(bare.power, bare.slip) == pytest.approx(-0.34, abs=0.11)
    assert -0.25 < slope(made.power, made.slip) < -0.1


# Loadings


def test_loadings_of_the_predicted_machines(made):
    # Pyrhönen et al. (from memory), asynchronous machines: 12-33 kPa, 30-65 kA/m, 3-8 A/mm², 10-35e10 A²/m³. Found 12
    # to 13 kPa and 27 to 29 kA/m from 132 mm up, 2.8 to 6.1 A/mm²: at the low end; in small frames less, and more
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
    # The same 10 mm machine in the brief's default sheet: 1.5 times (2 to 5 in thin sheet). The law of core loss is
    # good up to 400 Hz and runs here at ten to forty thousand; the choice says so.
    made = millimetre_machine("10 mm", core_loss="4 W/kg", core_building_factor=1.7)
    lead = made["magnet"].values["shear_stress"] / made["induction"].values["shear_stress"]
    assert 0.8 < lead < 1.7
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
