"""Nameplates of 29 standard motors against the package: power factor, slip, losses, mass, inertia and goodness.

The nameplates are turned into circuits by a route of their own; the package makes the same ratings from frames.
Nameplates have no breakdown torque and no starting current: those figures are held against what the trade expects.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from misses import missed
from published import standard_motors as standard
from published.frames import slope

from scaling.models.equivalent_circuit import at_slip

KILOWATTS, HEIGHT = standard.column("rating"), standard.column("shaft_height")
SLIP = 1 - standard.column("speed") / standard.SYNCHRONOUS
LOSSES = 100 / standard.column("efficiency") - 1  # over the output
EXPONENT, LEVEL = 0.54, 22.0  # of goodness, at 1 kW: worked out from the same nameplates for the project


@pytest.fixture(scope="module")
def made():
    """Return the package's figures along the nameplates, as arrays."""
    found = [standard.at_rating(plate) for plate in standard.PLATES]
    return SimpleNamespace(**{name: np.array([figures[name] for figures in found]) for name in found[0]})


def line(goodness):
    """Return exponent against power and level at 1 kW."""
    exponent, level = np.polyfit(np.log(KILOWATTS), np.log(goodness), 1)
    return float(exponent), float(np.exp(level))


def factor(ratio):
    return np.maximum(ratio, 1 / ratio)


# The nameplates themselves


def test_the_plates_agree_with_themselves():
    torque = 1e3 * KILOWATTS / (standard.column("speed") * np.pi / 30)
    assert torque == pytest.approx(standard.column("torque"), rel=0.02)


def test_exponents_of_the_plates():
    # Fitted by somebody else to the same table: mass 3.31, inertia 5.67 against shaft height; slip -0.34 against power.
    assert slope(HEIGHT, standard.column("mass")) == pytest.approx(3.31, abs=0.01)
    assert slope(HEIGHT, standard.column("inertia")) == pytest.approx(5.67, abs=0.01)
    assert slope(KILOWATTS, SLIP) == pytest.approx(-0.34, abs=0.02)


@pytest.mark.parametrize("leakage", [0.05, 0.08, 0.12])
@pytest.mark.parametrize(("core", "friction"), [(0.1, 0.05), (0.2, 0.1), (0.3, 0.15)])
def test_goodness_of_the_inverted_plates(leakage, core, friction):
    # 0.51 to 0.56 and 20 to 26 over leakage from 0.05 to 0.12; how losses are shared out moves the exponent by 0.004.
    circuit, _ = standard.inverted(leakage, core, friction)
    exponent, level = line(circuit.goodness)
    assert exponent == pytest.approx(EXPONENT, abs=0.06)
    assert max(level / LEVEL, LEVEL / level) < 1.2
    assert np.all(circuit.R_1 > 0)


@pytest.mark.parametrize(("kilowatts", "goodness"), [(0.09, 7.4), (7.5, 71), (132, 341)])
def test_goodness_of_single_plates(kilowatts, goodness):
    # The project's own inversion, with other shares of the losses.
    found = standard.inverted(0.08, 0.2, 0.1)[0].goodness[list(KILOWATTS).index(kilowatts)]
    assert found == pytest.approx(goodness, rel=0.08)


def test_an_inverted_plate_is_its_circuit():
    # Without core loss the circuit of the package, fed at the plate's slip, gives the plate again.
    circuit, friction = standard.inverted(0.08, 0.0, 0.1)
    run = at_slip(circuit, SLIP, friction)
    assert run.power_factor == pytest.approx(standard.column("power_factor"), rel=1e-9)
    assert run.stator_current == pytest.approx(1.0, rel=1e-9)
    assert 100 * run.efficiency == pytest.approx(standard.column("efficiency"), rel=1e-9)


# The package at the same ratings


def test_every_rating_is_met(made):
    assert made.power / 1e3 == pytest.approx(KILOWATTS, rel=2e-3)


def test_the_heat_coefficient_is_that_of_fan_cooled_frames(made):
    # Found, not given: from winding to air. 43 to 77 W/m²K from 80 mm up (99 at 315L), median 53, exponent 0.30; 23
    # to 48 in smaller frames. An inversion has 35 to 49 (worked out for the project).
    large = HEIGHT >= 80
    through = made.heat_coefficient * made.frame_rise / made.winding_rise
    middle = through[large]
    assert 40 < np.median(middle) < 54
    assert np.sort(factor(middle / np.median(middle)))[-3] < 1.5 and factor(middle / np.median(middle)).max() < 1.9
    assert abs(slope(HEIGHT[large], middle)) < 0.35
    assert np.all(through[~large] > 15)


def test_power_factor(made):
    # Right in the mean (-0.007), too good by up to 0.07 below 5 kW and too low by up to 0.07 above.
    off = made.power_factor - standard.column("power_factor")
    assert abs(np.mean(off)) < 0.02 and np.median(abs(off)) < 0.04
    assert off.min() > -0.08 and off.max() < 0.08


def test_power_factor_within_five_hundredths(made):
    off = made.power_factor - standard.column("power_factor")
    shown = f"power factor off by {off.min():+.3f} to {off.max():+.3f}"
    reason = "the machine of most power trades power factor for power; rotor and stator have one number of slots"
    missed(np.all(abs(off) < 0.05), shown, reason)


def test_slip(made):
    # Exponent -0.27 against -0.34; from 0.74 to 1.6 of the plate's up to 110 kW, median 1.19; 2.5 times at 160 kW.
    assert slope(KILOWATTS, made.slip) == pytest.approx(slope(KILOWATTS, SLIP), abs=0.08)
    assert 0.9 < np.median(made.slip / SLIP) < 1.25
    assert np.sort(factor(made.slip / SLIP))[-4] < 1.75 and factor(made.slip / SLIP).max() < 2.7


def test_losses(made):
    # 0.76 to 1.20 of the plate's losses, median 0.99.
    ratio = (1 / made.efficiency - 1) / LOSSES
    assert ratio.min() > 0.72 and ratio.max() < 1.25
    assert 0.93 < np.median(ratio) < 1.06


def test_losses_within_the_tolerance_of_the_plates(made):
    # Declared: -15 % of 1 - efficiency.
    ratio = (1 / made.efficiency - 1) / LOSSES
    shown = f"losses {ratio.min():.2f} to {ratio.max():.2f} of the plates'"
    missed(
        np.all(factor(ratio) < 1.18),
        shown,
        "small machines are made to their price; shaft fans of the plates not counted",
    )


def test_mass_and_inertia(made):
    # Active parts weigh 0.39 to 0.86 of a motor with frame and shaft (0.5 to 0.7, common practice), median 0.59. The
    # inertia of a solid cylinder is 0.77 to 1.57 of the plate's; exponents 3.31 and 5.80 against 3.30 and 5.67.
    assert slope(HEIGHT, made.mass) == pytest.approx(3.31, abs=0.12)
    assert slope(HEIGHT, made.inertia) == pytest.approx(5.67, abs=0.3)
    share = made.mass / standard.column("mass")
    assert share.min() > 0.35 and share.max() < 0.9 and 0.5 < np.median(share) < 0.7
    assert factor(made.inertia / standard.column("inertia")).max() < 1.65
    assert np.median(made.inertia / standard.column("inertia")) == pytest.approx(1.2, abs=0.1)


# Goodness: the figure of a design is that of its gap; a circuit's magnetising reactance has the iron's share in it


def test_saturation(made):
    # Iron takes up to 0.84 of the gap's ampere-turns; 0.2 to 0.5 is common practice.
    assert np.all((made.saturation > 1.05) & (made.saturation < 1.9))
    assert 1.25 < np.median(made.saturation) < 1.5


def test_exponent_of_goodness(made):
    # 0.44 of the gap, 0.44 with iron; nameplates 0.54 +- 0.06. Their rotors start with less resistance than bars
    # between smooth teeth have: double cages, bridges that saturate. At the output of a full class B it is 0.48.
    assert line(made.goodness)[0] == pytest.approx(EXPONENT, abs=0.12)
    assert line(made.goodness / made.saturation)[0] == pytest.approx(EXPONENT, abs=0.14)


def test_level_of_goodness(made):
    exponent, level = line(made.goodness / made.saturation)
    print(f"goodness {level:.1f}*P^{exponent:.2f}, nameplates {LEVEL:.0f}*P^{EXPONENT}: {level / LEVEL:.2f} times")
    assert factor(level / LEVEL) < 1.2
    ratio = made.goodness / made.saturation / (LEVEL * KILOWATTS**EXPONENT)
    assert ratio.min() > 0.35 and ratio.max() < 1.4  # the least at 315 mm
    assert 0.7 < np.median(ratio) < 1.0


# What the plates do not say


def test_breakdown_torque(made):
    # 2 to 3.5 times the rated torque (common practice). Found 1.92 to 2.50, median 2.3.
    ratio = made.breakdown_torque / made.torque
    assert ratio.min() > 1.9 and ratio.max() < 2.6
    assert np.median(ratio) > 2.0


def test_starting_current(made):
    # 5 to 8 times the rated current (common practice), 4 in the smallest. Found 2.4 at 56 mm, 5.8 to 8.0 from 5 kW up.
    assert np.all((made.starting_current > 2.3) & (made.starting_current < 8.1))
    assert np.all(made.starting_current[KILOWATTS > 5] > 5.5)
    shown = f"starting current of 1 to 5 kW {made.starting_current[KILOWATTS > 1].min():.1f} times and more"
    missed(np.all(made.starting_current[KILOWATTS > 1] > 5), shown, "small machines of most power have much resistance")


def test_starting_torque(made):
    # Asked for, as IEC 60034-12 has it, and no more than that.
    asked = np.array([standard.frames.starting_need(power) for power in made.power])
    assert made.starting_torque / made.torque == pytest.approx(asked, rel=0.03)
