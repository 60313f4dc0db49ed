"""Laws of supply and slots: limits, energy, a second route to each number; and what they do to a choice."""

import math

import numpy as np
import pytest

from scaling import Brief, choose
from scaling.field import Layer, travelling_wave
from scaling.laws import induction, supply
from scaling.laws import stator as stator_laws
from scaling.machines import ROTORS

KINDS = ("induction", "hysteresis", "reluctance", "magnet")


def brief(**given):
    return Brief(**{"rotor_diameter": "20 mm", "gap_floor": "20 um"} | given)


# Two opposing waves


@pytest.mark.parametrize("share", [0.0, 0.3, 0.8, 1.0])
def test_a_turning_share_is_what_the_waves_differ_by_over_their_sum(share):
    ratio = supply.backward_ratio(epsilon_t=share)
    assert (1 - ratio) / (1 + ratio) == pytest.approx(share, abs=1e-15)


def test_one_phase_alone_is_two_waves_of_half_the_current_sheet():
    """A*cos(kx)*cos(wt) is the sum of two waves of A/2: the heat of the winding drives two waves instead of one."""
    k, w, x = 3.0, 5.0, np.linspace(0, 4, 9)
    for t in (0.0, 0.1, 0.7):
        waves = np.cos(w * t - k * x) / 2 + np.cos(w * t + k * x) / 2
        np.testing.assert_allclose(waves, np.cos(k * x) * np.cos(w * t), atol=1e-14)
    one, three = (
        choose(brief(supply=s, turning_share=0.0, pole_pairs=2))["induction"].values
        for s in ("single-phase", "three-phase")
    )
    heat = one["winding loss"] / one["linear_current_density_peak"] ** 2
    assert heat == pytest.approx(2 * three["winding loss"] / three["linear_current_density_peak"] ** 2, rel=1e-3)


@pytest.mark.parametrize("slip", [0.02, 0.1, 0.5, 0.9])
def test_goodness_below_which_a_pulsating_field_brakes(slip):
    need = float(supply.opposed_goodness_need(s=slip))
    assert supply.opposed_response(s=slip, G=need, c_r=1.0) == pytest.approx(0.0, abs=1e-12)
    assert (
        supply.opposed_response(s=slip, G=1.01 * need, c_r=1.0)
        > 0
        > supply.opposed_response(s=slip, G=0.99 * need, c_r=1.0)
    )


def test_without_a_backward_wave_the_response_is_that_of_one_wave_and_at_rest_their_difference():
    s, G = np.array([0.05, 0.3, 1.0]), 7.0
    one = induction.induction_response(x=s * G)
    np.testing.assert_allclose(supply.opposed_response(s=s, G=G, c_r=1e-12), one, rtol=1e-9)
    assert supply.opposed_response(s=1.0, G=G, c_r=0.4) == pytest.approx(one[-1] * (1 - 0.4**2), rel=1e-12)


def test_a_ring_of_constant_loss_angle_has_no_torque_in_one_phase_at_any_speed():
    """Both waves in the layered field: what one gives the other takes, at every slip, for a complex permeability."""

    def shear(slip):
        mu = 30.0 * np.exp(-0.5j)
        return travelling_wave(
            pole_pitch=0.03, frequency=50.0, gap=3e-4, layers=[Layer(thickness=2e-3, relative_permeability=mu)],
            sheet_current_peak=1e3, behind_rotor="air", slip=slip,
        ).shear_stress  # fmt: skip

    for slip in (1.0, 0.6, 0.1):
        assert shear(slip) - shear(2 - slip) == pytest.approx(0.0, abs=1e-9 * shear(1.0))
    assert supply.opposed_hysteresis_stress(sigma_t=shear(0.5), c_r=1.0) == 0.0
    alone = choose(brief(supply="single-phase", turning_share=0.0))
    assert not alone["hysteresis"].feasible and alone["hysteresis"].values["gap_torque"] < 0.0, "its reserve is missing"
    spent = choose(brief(supply="single-phase", turning_share=0.0, pull_out_reserve=1.0))["hysteresis"]
    assert not spent.feasible and spent.values["gap_torque"] == 0.0, "at its pull-out point, with both lags the same"
    assert "standstill" in " ".join(alone["induction"].reasons), "nor does a cage start"
    assert any("either direction" in reason for reason in alone["magnet"].reasons)


@pytest.mark.parametrize("kind", KINDS)
def test_a_worse_capacitor_gives_less_torque_and_a_perfect_one_all(kind):
    shares = (1.0, 0.9, 0.6, 0.3)
    made = [choose(brief(supply="single-phase", turning_share=s, self_starting=False))[kind] for s in shares]
    merit = [design.merit for design in made]  # of torque per volume: with fewer poles there may be more of both
    assert all(a > 0.985 * b for a, b in zip(merit, merit[1:], strict=False)) and merit[0] > merit[-1] * 1.1
    assert made[0].torque.m == pytest.approx(choose(brief(self_starting=False))[kind].torque.m, rel=1e-9)


# Slot ripple


@pytest.mark.parametrize(("sigma", "mu_r", "speed"), [(5e6, 500.0, 15.0), (2e6, 5.0, 3.0), (0.7e6, 1.05, 80.0)])
def test_surface_heat_is_that_of_a_thick_plate_in_the_layered_field(sigma, mu_r, speed):
    pitch = 0.01
    wave = travelling_wave(
        pole_pitch=pitch / 2, frequency=speed / pitch, gap=1e-9,
        layers=[Layer(thickness=4 * pitch, conductivity=sigma, relative_permeability=mu_r)], sheet_current_peak=1e3,
        behind_rotor="air", slip=1.0,
    )  # fmt: skip
    law = supply.ripple_surface_heat(v_v=speed, k_v=math.sqrt(2), tau_v=pitch, mu_r=mu_r, sigma=sigma)
    assert law == pytest.approx(wave.heat / wave.gap_field_peak**2, rel=1e-4)


def test_ripple_falls_to_nothing_with_the_opening_and_its_mean_is_carters():
    carter = [stator_laws.carter_coefficient(tau_u=0.01, b_u=b, g=0.5e-3) for b in (1e-5, 1e-3, 4e-3)]
    ripple = [
        float(supply.slot_ripple(tau_u=0.01, b_u=b, g=0.5e-3, k_C=k))
        for b, k in zip((1e-5, 1e-3, 4e-3), carter, strict=True)
    ]
    assert ripple[0] < 1e-4 < ripple[1] < ripple[2] < 1.0


@pytest.mark.parametrize("kind", KINDS)
def test_a_solid_surface_is_heated_and_braked(kind):
    made = {
        s: choose(brief(rotor_diameter="80 mm", rotor_surface=s, self_starting=False))[kind]
        for s in ("laminated", "solid")
    }
    assert made["solid"].torque.m <= made["laminated"].torque.m * (1 + 1e-6)
    assert made["solid"].losses["rotor"].m > made["laminated"].losses["rotor"].m * (1 - 1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_a_usual_surface_is_solid_where_rings_and_magnets_are_and_laminated_in_sheet(kind):
    made = {
        s: choose(brief(rotor_diameter="80 mm", rotor_surface=s, self_starting=False))[kind].values
        for s in ("usual", "laminated", "solid")
    }
    is_solid = kind in ("hysteresis", "magnet")
    assert ROTORS[kind].surface_is_solid is is_solid and choose(brief()).brief.rotor_surface == "usual"
    like, unlike = ("solid", "laminated") if is_solid else ("laminated", "solid")
    assert made["usual"]["torque"] == made[like]["torque"] and made["usual"]["loss"] == made[like]["loss"]
    assert made["usual"]["torque"] != made[unlike]["torque"]


# What else binds


def test_short_time_and_intermittent_duty_allow_the_heat_of_their_laws():
    one = {"pole_pairs": 2, "tooth_field_limit": "9 T", "eccentricity": 0.0, "self_starting": False}
    one |= {"temperature_drop": "none", "cooling": "12 W/m^2/K"}  # the laws of one body
    continuous, short, on_off = (
        choose(brief(**one, **given))[
            "reluctance"
        ].values  # without a starting cage, whose rings weigh but are left out of the time constant
        for given in ({}, {"duty": "S2", "duty_time": "5 min"}, {"duty": "S3", "duty_factor": 0.25})
    )
    t_h = continuous["thermal_time_constant"]
    assert t_h == pytest.approx(
        450 * continuous["mass"] / (continuous["heat_coefficient"] * outside(continuous)), rel=1e-9
    )
    allowed = 1 / (1 - math.exp(-300 / t_h))
    assert short["loss"] / continuous["loss"] == pytest.approx(allowed, rel=1e-3)
    allowed = (1 - math.exp(-600 / t_h)) / (1 - math.exp(-150 / t_h))
    assert on_off["loss"] / continuous["loss"] == pytest.approx(allowed, rel=1e-3)


def outside(v):
    return math.pi * v["outside_diameter"] * (v["overall_length"] + v["outside_diameter"] / 2)


def test_wires_that_cannot_be_wound_are_told_and_small_slots_hold_less_copper():
    shares = [
        choose(brief(rotor_diameter=size, conductors_per_slot=30))["induction"].slot_fill
        for size in ("15 mm", "150 mm")
    ]
    assert shares[0] < 0.8 * shares[1] < 0.6 * 0.907
    deep = {"slot_depth_ratio": 0.3, "outside_ratio": 2.2, "conductors_per_slot": 1}
    thick = {"rotor_diameter": "2 mm", "slot_liner": "0.25 mm"}
    assert "two liners of 0.25 mm" in choose(brief(conductors_per_slot=30, **thick)).reason
    assert "give winding='etched'" in choose(brief(**thick)).reason
    assert "finer than thinnest_wire" in choose(brief(rotor_diameter="5 mm", conductors_per_slot=600)).reason
    assert "wider than the slot" in choose(brief(**deep)).reason
    assert "insulation" in choose(brief(rotor_diameter="5 mm", conductors_per_slot=30))["induction"].limited_by


def test_skin_effect_costs_torque_where_wires_are_thick_and_frequency_is_high():
    made = [
        choose(brief(rotor_diameter="150 mm", supply_frequency="1 kHz", conductors_per_slot=n))["reluctance"].values
        for n in (12, 120)
    ]
    rho_at_one_loading = [v["winding loss"] * v["slot_fill"] / v["linear_current_density_peak"] ** 2 for v in made]
    assert rho_at_one_loading[0] > 1.2 * rho_at_one_loading[1], "proximity in the slot goes with the square of the wire"


def test_parts_bound_the_rim_speed_unless_a_sleeve_holds_them():
    given = {
        "rotor_diameter": "300 mm",
        "speed": "6000 rpm",
        "supply_frequency": ("50 Hz", "1 kHz"),
        "cooling": "water",
    }
    bare, held = (choose(brief(**given, sleeved=sleeved)) for sleeved in (False, True))
    # 94 m/s: copper end rings yield at 71 m/s and AlNiCo rings at 61 m/s, aluminium at 98 m/s.
    assert (bare["induction"].material, held["induction"].material) == ("aluminium", "copper")
    assert "AlNiCo" in held["hysteresis"].material and "AlNiCo" not in bare["hysteresis"].material
    copper = choose(brief(**given, rotor_material="copper"))["induction"]
    assert not copper.feasible and "rim stress" in copper.reasons[0]


def test_the_load_at_the_start_and_any_angle_ask_for_more_pull_in():
    plain = brief(rotor_diameter="3 mm", gap_floor="5 um", torque="5 uN*m", load_inertia_ratio=0.0)
    need = [
        choose(Brief(**{**fields(plain), **more}))["magnet"].pull_in_need
        for more in ({}, {"load_at_start": 1.0}, {"starting_angle": "any"})
    ]
    assert need[0] == pytest.approx(0.25, rel=0.02) and need[1] > need[0] and need[2] == pytest.approx(0.5, rel=0.02)


def fields(made):
    return {name: getattr(made, name) for name in ("rotor_diameter", "gap_floor", "torque", "load_inertia_ratio")}


@pytest.mark.parametrize(
    "given",
    [
        {"supply": "drive"},
        {"supply": "three-phase", "supply_frequency": ("10 Hz", "50 Hz")},
        {"supply": "single-phase", "supply_frequency": ("10 Hz", "50 Hz")},
    ],
)
def test_supply_and_frequency_must_agree(given):
    with pytest.raises(ValueError, match="supply: got"):
        brief(**given)
