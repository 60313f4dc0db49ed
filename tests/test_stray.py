"""Additional load losses, a can in the gap, a liquid in it, and rotors at their own temperature."""

import numpy as np
import pytest
from briefs import brief
from published import frames as standard
from scipy.linalg import solve_banded

from scaling import Brief, choose
from scaling.decision.curve import remade
from scaling.decision.performance import LOSSES
from scaling.field import Ring, rotating_wave
from scaling.ground import materials
from scaling.laws import magnet
from scaling.laws import stray as law
from scaling.machines import induction
from scaling.machines.warmth import rotor_rise
from scaling.models import friction
from scaling.models.thermal_network import Network, Still

DRIVE = {"supply_frequency": ("10 Hz", "300 Hz"), "magnets_allowed": True}
KINDS = ("induction", "hysteresis", "reluctance", "magnet")

# Additional load losses


def test_the_share_is_the_allowance_of_the_standard():
    # IEC 60034-2-1, 6.1.3.2.6 (from memory): 2.5 % of the input up to 1 kW, (2.5 - 0.5 lg P) % above, 0.5 % from 10 MW.
    power = np.array([1.0, 1e3, 1e4, 1e5, 1e6, 1e7, 1e9])
    assert law.additional_loss_share(P_0=power, P_k=1e3) == pytest.approx(
        [0.025, 0.025, 0.02, 0.015, 0.01, 0.005, 0.005]
    )
    # The helper of the frames writes it afresh.
    assert law.additional_loss_share(P_0=22e3, P_k=1e3) == pytest.approx(standard.additional_loss(22e3, 1.0))


@pytest.mark.parametrize("size", ["60 mm", "135 mm", "270 mm"])
def test_induction_motors_of_the_mains_have_about_the_allowance_of_their_input(size):
    design = choose(Brief(rotor_diameter=size, cooling="shaft fan", fin_factor=2.0, temperature_rise="80 K"))[
        "induction"
    ]
    power, loss = design.values["power"], design.values["loss"]
    allowed = standard.additional_loss(power, power + loss)
    assert design.values["additional loss"] == pytest.approx(allowed, rel=0.35)


@pytest.mark.parametrize("size", ["2 mm", "20 mm", "100 mm"])
def test_the_allowance_is_a_loss_like_others(size):
    bare, more = (choose(brief(rotor_diameter=size, additional_loss=x, magnets_allowed=True)) for x in (0.0, 0.05))
    for kind in KINDS:
        one, other = bare[kind].values, more[kind].values
        assert one["additional loss"] == 0.0 < other["additional loss"]
        assert other["torque"] < one["torque"]
        assert sum(other[f"{name} loss"] for name in LOSSES) == pytest.approx(other["loss"], rel=1e-12)
        # The heat that is left for all losses is what it was.
        assert other["winding_rise"] == pytest.approx(one["winding_rise"], rel=5e-3)


def test_it_arises_in_the_surfaces_at_the_gap_and_a_can_at_the_bore():
    edges = {("slots", "teeth"): 1.0, ("teeth", "yoke"): 0.5, ("yoke", "frame"): 0.25, ("slots", "ends"): 2.0}
    moved = {("rotor", "teeth"): 4.0, ("air", "frame"): 8.0, ("ends", "air"): 9.0, ("rotor", "air"): 7.0}
    found = Network(Still(edges, end_share=0.3, tooth_loss_share=0.4), moved, 0.1)
    additional, can = found.above_frame("additional"), found.above_frame("can")
    rotor = found.above_frame("rotor")
    for node, rise in additional.items():
        assert rise == pytest.approx((can[node] + rotor[node]) / 2, rel=1e-12), node
    assert can["teeth"] > can["yoke"] > 0.0 and rotor["rotor"] > can["rotor"]


# Cans


def strip(x, n=20001, outer=12.0):
    """Return the mean of the stream function of a can over that of no ends, by differences: k*z from 0 to outer."""
    z, h = np.linspace(0.0, outer + x, n, retstep=True)
    inside = np.clip((x - z) / h + 0.5, 0, 1)
    banded = np.array([np.full(n, 1 / h**2), np.full(n, -2 / h**2 - 1), np.full(n, 1 / h**2)])
    banded[0, 1] = 2 / h**2  # the middle of the core
    psi = solve_banded((1, 1), banded, -inside)
    weight = np.where(z == 0.0, 0.5, 1.0) * inside
    return (psi * weight).sum() / weight.sum()


@pytest.mark.parametrize("length", [0.3, 1.0, 3.0, 20.0])
def test_ends_of_a_can_against_differences(length):
    # psi'' - k²psi = -k² within the core, 0 beyond it; loss is the mean of psi over the core.
    assert law.can_end_factor(k=2.0, L=length) == pytest.approx(strip(length), rel=1e-3)


def test_ends_of_a_can_at_their_limits():
    assert law.can_end_factor(k=1.0, L=1e6) == pytest.approx(1.0, rel=1e-5)
    assert law.can_end_factor(k=1.0, L=1e-3) == pytest.approx(0.5e-3, rel=1e-3)


@pytest.mark.parametrize("frequency", [50.0, 400.0])
def test_a_long_can_against_the_field_in_rings(frequency):
    p, R, can, speed = 2, 0.03, 1e-4, 0.0
    rho = materials.CANS["stainless steel"]
    rings = [
        Ring(R, relative_permeability=1e9),
        Ring(R + 1e-3),
        Ring(R + 1e-3 + can, conductivity=1 / rho),
        Ring(R + 1.2e-3),
    ]
    wave = rotating_wave(
        pole_pairs=p, frequency=frequency, speed=speed, rings=rings, outside="iron", sheet_current_peak=2e4
    )
    bore = R + 1e-3 + can / 2
    B = np.hypot(*(wave.field_at(bore, angle).B_r for angle in (0.0, np.pi / 2 / p)))
    v_s = 2 * np.pi * frequency / p * bore
    heat = law.can_heat_factor(t_x=can, v_s=v_s, rho=rho, x_e=1.0) * B**2 * 2 * np.pi * bore
    assert wave.heat_by_ring[2] == pytest.approx(heat, rel=5e-3)


def test_a_can_takes_gap_and_heat_from_every_kind():
    bare, canned, plastic = (
        choose(brief(rotor_diameter="60 mm", active_length="100 mm", gap_floor="0.8 mm", pole_pairs=1, **more))
        for more in ({}, {"can_thickness": "0.4 mm"}, {"can_thickness": "0.4 mm", "can": "plastic"})
    )
    for kind in KINDS:
        one, steel, no_loss = bare[kind].values, canned[kind].values, plastic[kind].values
        assert steel["gap"] == no_loss["gap"] == pytest.approx(one["gap"] + 0.4e-3)
        assert steel["torque"] < no_loss["torque"]
        assert no_loss["torque"] < one["torque"] or kind == "magnet"  # which a wider gap pulls into step more easily
        assert no_loss["can loss"] < 1e-6 * no_loss["loss"] < 1e-3 * steel["can loss"]
        point = remade(canned, kind)
        B = np.hypot(point.operation.gap_field, point.operation.backward_field)
        v_s, k, L = point.fed.field_speed, point.stator.k, point.stator.width
        q = (v_s * B) ** 2 / 2 * 0.4e-3 / 0.74e-6 * (1 - (1 - np.exp(-k * L)) / (k * L))
        assert steel["can loss"] == pytest.approx((q * point.stator.area).item(), rel=1e-9)


def test_a_liquid_brakes_and_cools_the_rotor():
    given = {"rotor_diameter": "60 mm", "active_length": "100 mm", "gap_floor": "0.8 mm", "pole_pairs": 1}
    made = {fluid: choose(brief(**given, cooling="water", gap_fluid=fluid)) for fluid in ("air", "water", "oil")}
    for kind in KINDS:
        dry, wet, oily = (choice[kind].values for choice in made.values())
        assert dry["friction loss"] < wet["friction loss"] < oily["friction loss"]
        assert wet["rotor_rise"] < dry["rotor_rise"]
    speed, D, gap, L = 300.0, 0.06, 0.8e-3, 0.1
    ratio = [friction.air_torque(speed, D, gap, L, nu, rho) for nu, rho in ((0.5e-6, 985.0), (1e-6, 985.0))]
    assert 1.0 < ratio[1] / ratio[0] < 2.0  # turbulent: less than linear in the viscosity


# Rotors at their own temperature


def resistivity_used(monkeypatch):
    """Return a list that takes (rise of the rotor over the coolant that its resistivity stands for) of every trial."""
    seen, own = [], induction._at_its_temperature

    def spy(fed, layer, conductor, slip):
        found = own(fed, layer, conductor, slip)
        warmer = (found[0].rho / layer.rho - 1) / conductor["per kelvin"]
        seen.append(np.asarray(fed.stator.si.temperature_rise + warmer))
        return found

    monkeypatch.setattr(induction, "_at_its_temperature", spy)
    return seen


@pytest.mark.parametrize(("size", "more", "within"), [
    ("2 mm", {}, 2), ("30 mm", {}, 2), ("300 mm", {}, 3),
    ("100 mm", {"cooling": "shaft fan", "temperature_rise": "80 K"}, 4),
    ("30 mm", {"cooling": "400 W/m^2/K"}, 6), ("300 mm", {"cooling": "400 W/m^2/K"}, 20),
])  # fmt: skip
def test_a_cage_has_the_resistance_of_about_its_own_temperature(size, more, within, monkeypatch):
    made = choose(brief(rotor_diameter=size, **DRIVE, **more))
    seen = resistivity_used(monkeypatch)
    remade(made, "induction")
    assert seen[-1].ravel()[0] == pytest.approx(made["induction"].values["rotor_rise"], abs=within)


@pytest.mark.parametrize("cooling", ["still air", "400 W/m^2/K", "water"])
@pytest.mark.parametrize("size", ["2 mm", "30 mm", "300 mm"])
def test_magnets_have_the_remanence_of_about_their_own_temperature(size, cooling):
    made = choose(brief(rotor_diameter=size, cooling=cooling, **DRIVE))
    assert np.asarray(rotor_rise(remade(made, "magnet").fed)).item() == pytest.approx(
        made["magnet"].values["rotor_rise"], abs=3
    )


def test_warm_magnets_are_weaker_by_their_coefficient():
    # A maker's guide of coefficients (seen): a grade N48SH has 1.382 T at 20 °C and 1.169 T at 150 °C.
    assert magnet.remanence_at(B_20=1.382, alpha_B=0.0011, T=423.15, T_20=293.15) == pytest.approx(1.169, rel=0.02)
    cold = magnet.remanence_at(B_20=1.2, alpha_B=0.0011, T=293.15, T_20=293.15)
    warm = magnet.remanence_at(B_20=1.2, alpha_B=0.0011, T=393.15, T_20=293.15)
    assert cold == 1.2 and warm == pytest.approx(1.2 * 0.89)
    assert magnet.remanence_at(B_20=0.4, alpha_B=0.002, T=2000.0, T_20=293.15) == 0.0
    ambient = [
        choose(brief(rotor_diameter="10 mm", ambient=a, magnet="hard ferrite", **DRIVE)) for a in ("0 degC", "80 degC")
    ]
    fields = [choice["magnet"].values["gap_field_peak"] for choice in ambient]
    assert fields[1] < 0.9 * fields[0]


def test_one_temperature_leaves_the_rotor_at_the_windings():
    made = choose(brief(rotor_diameter="100 mm", temperature_drop="none", cooling="water", **DRIVE))
    assert np.asarray(rotor_rise(remade(made, "magnet").fed)).item() == made.brief.si.temperature_rise


def test_a_hot_rotor_is_told():
    # In a water jacket the cage's heat has a long way to the coolant.
    made = choose(brief(rotor_diameter="300 mm", cooling="water jacket", **DRIVE))
    told = {kind: any("its rotor would run at" in reason for reason in made[kind].reasons) for kind in KINDS}
    for kind, hot in told.items():
        assert hot == (40.0 + made[kind].values["rotor_rise"] > 180.0), kind
    assert told["induction"] and not told["reluctance"]


def test_a_weak_start_on_the_line_is_told_and_can_be_asked_better():
    given = {"rotor_diameter": "250 mm", "cooling": "IC 411", "rotor_material": "aluminium"}
    weak, asked, fed = (
        choose(brief(**given, **more))["induction"]
        for more in ({}, {"starting_torque_ratio": 1.2}, {"supply_frequency": ("10 Hz", "60 Hz")})
    )
    assert weak.values["starting_torque"] < 0.7 * weak.values["torque"]
    assert any("it starts with 0." in reason and "starting_torque_ratio" in reason for reason in weak.reasons)
    assert (
        asked.values["starting_torque"] >= 1.2 * asked.values["torque"] and asked.values["power"] < weak.values["power"]
    )
    for design in (asked, fed):
        assert not any("it starts with" in reason for reason in design.reasons)
