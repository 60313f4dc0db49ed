"""Windings of whole conductors: volts, amperes and ohms close, and the operating point follows the flux."""

import functools
import math
from dataclasses import fields, replace

import numpy as np
import pytest

from scaling import Brief, choose
from scaling.decision.at_voltage import AtVoltage
from scaling.decision.brief_electrical import ELECTRICAL
from scaling.decision.choose import Choice, design_at
from scaling.decision.conductors import Slots
from scaling.decision.curve import remade
from scaling.decision.optimum import best_designs
from scaling.decision.windings import winding
from scaling.ground import materials, wires
from scaling.ground.constants import VALUES
from scaling.laws import equivalent_circuit, two_axis
from scaling.laws import winding as law
from scaling.machines import ROTORS
from scaling.machines.winding import over_enamel, resistivity
from scaling.models.equivalent_circuit import Circuit, at_slip, breakdown

PLAIN = {"rotor_diameter": "110 mm", "cooling": "shaft fan"}
KINDS = tuple(ROTORS)
DEFAULTS = {f.name: f.default for f in fields(Brief) if f.init}


@functools.cache
def searched(asked, kind, merit):
    return best_designs(asked.si, [asked.si.rotor_diameter], merit, asked.supply_is_fixed, (kind,))[kind]


def alone(asked, kind="induction", merit="torque per volume"):
    """Return a Choice with one kind's design alone, for a part of the time; the voltage asks for no search."""
    bare = replace(asked, **{name: DEFAULTS[name] for name in ELECTRICAL})
    design = replace(design_at(searched(bare, kind, merit), 0, asked, merit), brief=asked)
    return Choice(asked, merit, {kind: design}, (kind,), "", ())


def made(voltage="400 V", **given):
    return alone(Brief(**PLAIN | {"voltage": voltage} | given))


@pytest.fixture(scope="module")
def plain():
    return choose(Brief(**PLAIN, voltage="400 V"))


@pytest.fixture(scope="module")
def small():
    """Machines whose resistance is all that limits their current."""
    return choose(Brief(rotor_diameter="20 mm", voltage="24 V"))


# One number by two routes


@pytest.mark.parametrize("connection", ["star", "delta"])
@pytest.mark.parametrize("kind", KINDS)
def test_ideal_conductors_draw_the_power_and_make_the_heat_of_the_design(kind, connection):
    choice = alone(Brief(**PLAIN, voltage="400 V", connection=connection), kind)
    point = remade(choice, kind)
    slots = Slots(point)
    turns = slots.ideal_turns(connection)
    ideal = slots.ideal_conductors(connection, 1)
    current, v = slots.current(turns), choice[kind].values
    line, volts = current * (1.0 if connection == "star" else math.sqrt(3)), 400.0
    supplied = math.sqrt(3) * volts * line * v["power_factor"]
    assert supplied == pytest.approx(v["power"] + v["loss"], rel=1e-9)
    section = slots.fill * slots.width * slots.depth / ideal
    rho = resistivity(materials.CONDUCTORS["copper"], choice.brief.si)
    factor = point.fed.winding_heat_factor.item() * point.operation.loading.item() ** 2 * point.stator.area.item()
    heat = 3 * slots.resistance(rho, turns, 1, section) * current**2
    eddies = factor / heat  # of the wires in their slots
    assert heat * eddies == pytest.approx(v["winding loss"], rel=1e-9) and 1.0 <= eddies < 1.001
    assert slots.turns(ideal, 1) == pytest.approx(turns, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_whole_conductors_close_too(kind, plain):
    found = winding(plain, kind)
    volts, line, current = found.voltage.m, found.line_current.m, found.phase_current.m
    assert math.sqrt(3) * volts * line * found.power_factor == pytest.approx(found.input_power.m, rel=1e-9)
    assert found.input_power.m == pytest.approx(
        found.power.m + sum(loss.m for loss in found.losses.values()), rel=1e-12
    )
    heat = 3 * found.resistance_warm.m * found.resistance_factor * current**2
    assert heat == pytest.approx(found.losses["winding"].m, rel=2e-6 if kind == "hysteresis" else 1e-9)
    assert found.efficiency == pytest.approx(found.power.m / found.input_power.m, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_voltage_of_the_gap_is_that_of_its_flux(kind, plain):
    point = remade(plain, kind)
    slots, stator, operation = Slots(point), point.stator, point.operation
    flux = law.pole_flux(B=operation.gap_field, tau=stator.tau, L=stator.width)
    by_flux = law.induced_voltage(f=point.fed.frequency, k_w=0.95, w_t=100.0, Phi=flux).item()
    apparent = (point.fed.field_speed * operation.loading * operation.gap_field / 2 * stator.area).item()
    assert by_flux == pytest.approx(apparent / (3 * slots.current(100.0)), rel=1e-12)


def test_magnetising_reactance_is_the_textbooks():
    # m*D*mu_0*L*(k_w*N)**2/(pi*p**2*g), from memory: Pyrhönen et al.
    D, L, p, g, turns, k_w, f = 0.136, 0.16, 2, 0.5e-3, 210, 0.95, 50.0
    tau = math.pi * D / (2 * p)
    per_area = VALUES["mu_0"] * 2 * tau * f / (math.pi / tau * g)
    X = law.phase_impedance(z_A=per_area, m_1=3, k_w=k_w, w_t=turns, L=L, D_i=D)
    textbook = 2 * math.pi * f * 3 * D * VALUES["mu_0"] * L * (k_w * turns) ** 2 / (math.pi * p**2 * g)
    assert pytest.approx(textbook, rel=1e-12) == X


def circuit(choice):
    """Return (Circuit in ohm with the ideal number of turns, point, AtVoltage) of an induction design."""
    point = remade(choice, "induction")
    slots, shifted = Slots(point), AtVoltage(point, 1.0)
    found, turns, a = winding(choice, "induction"), slots.ideal_turns("star"), shifted.axes
    scale = (turns / found.turns) ** 2
    X = [getattr(found, f"{name}_reactance").m * scale for name in ("leakage", "rotor_leakage", "magnetising")]
    names = dict(zip(("X_1", "X_2", "X_m"), X, strict=True))
    R = {"R_1": slots.ohms(a.R, turns), "R_2": found.rotor_resistance.m * scale}
    U = a.voltage(a.A_d, a.A_q) / a.loading * slots.ohms(1.0, turns) * slots.current(turns)
    return Circuit(**R, **names, U=U, f=point.fed.frequency.item(), p=point.stator.p.item()), point, shifted


def test_the_textbook_circuit_of_its_ohms_runs_as_the_design(plain):
    made_of, point, shifted = circuit(plain)
    slots, slip = Slots(point), point.operation.slip.item()
    running = at_slip(made_of, slip)
    assert float(running.stator_current) == pytest.approx(slots.current(slots.ideal_turns("star")), rel=1e-9)
    assert float(running.torque) == pytest.approx(point.gap_torque.item(), rel=1e-9)
    largest = float(breakdown(made_of).torque) / point.gap_torque.item()
    a = shifted.axes
    assert largest == pytest.approx(2.26, abs=0.01)
    assert largest == pytest.approx(shifted.own_reserve, rel=0.02)  # which has skin effect and ideal iron
    assert a.X_d > 5 * a.X_q


def test_laws_of_two_axes_and_of_the_circuit_agree_on_free_rotor_currents():
    at = {"X_1": 1.0, "X_m": 30.0, "X_2": 1.5}
    bare = two_axis.axis_reactance(**at, R_2=0.0, s=1.0)
    R, X = (
        one(R_2=1e-9, X_2=1.5, X_m=30.0, s=1.0)
        for one in (equivalent_circuit.gap_resistance, equivalent_circuit.gap_reactance)
    )
    assert float(bare) == pytest.approx(1.0 + float(X)) and float(R) < 1e-8


# The operating point at another flux


@pytest.mark.parametrize("u", [0.93, 1.0, 1.06])
def test_an_induction_machine_at_another_voltage_is_its_circuit_there(u, plain):
    made_of, point, _ = circuit(plain)
    made_of = replace(made_of, U=u * made_of.U)
    found = AtVoltage(point, u).at(1.0)
    running = at_slip(made_of, found.slip)
    assert float(running.torque) == pytest.approx(point.gap_torque.item(), rel=1e-9)
    slots = Slots(point)
    design = slots.current(slots.ideal_turns("star"))
    assert float(running.stator_current) == pytest.approx(found.loading * design, rel=1e-9)
    assert found.losses["winding"] == pytest.approx(found.loading**2 * point.losses["winding"].item(), rel=1e-12)
    assert found.losses["core"] == pytest.approx(found.gap_field**2 * point.losses["core"].item(), rel=1e-12)
    part = AtVoltage(point, u).at(0.7)
    running = at_slip(made_of, part.slip)
    assert part.losses["rotor"] == pytest.approx(float(running.rotor_loss), rel=1e-6)
    braked = sum(part.losses[name] for name in ("friction", "fan"))  # at the design's speed
    assert part.power + braked + part.losses["rotor"] == pytest.approx(float(running.gap_power), rel=1e-3)


@pytest.mark.parametrize("u", [0.95, 1.05])
def test_the_design_s_own_field_at_that_slip_gives_the_torque(u, plain):
    # Skin effect and the iron's bend, which reactances leave out: below 1 %.
    point = remade(plain, "induction")
    found = AtVoltage(point, u).at(1.0)
    shear, loading = point.operation.off_design(np.full((1, 1), found.slip), True)
    assert u**2 * shear.item() == pytest.approx(point.operation.shear.item(), rel=0.01)
    assert u * loading.item() == pytest.approx(found.loading * point.operation.loading.item(), rel=0.01)


@pytest.mark.parametrize("resistance", [1.0, 1.1])
@pytest.mark.parametrize("u", [0.96, 1.03])
@pytest.mark.parametrize("kind", ["reluctance", "magnet"])
def test_synchronous_machines_at_another_voltage_by_their_voltages(kind, u, resistance, plain, small):
    for choice in (plain, small):
        point = remade(choice, kind)
        shifted = AtVoltage(point, u, resistance)
        a = shifted.wound
        share = 0.9
        loading, field, *_ = shifted.currents(share)
        angle = np.linspace(
            0.02, (math.pi if a.E_s else math.pi / 2) - 0.02, 200_001
        )  # from the d axis; every current of that torque
        d, q = np.cos(angle), np.sin(angle)
        with np.errstate(invalid="ignore", divide="ignore"):
            wanted = 2 * share * a.gap_power
            A = wanted / (a.E_s * q) if a.E_s else np.sqrt(wanted / ((a.X_d - a.X_q) * d * q))
        off = a.voltage(A * d, A * q) - u * shifted.axes.voltage(a.A_d, a.A_q)
        crossings = np.flatnonzero(np.diff(np.sign(off)) != 0)
        amounts = A[crossings] / shifted.axes.loading
        assert np.min(np.abs(amounts / loading - 1)) < 1e-4
        nearest = crossings[np.argmin(np.abs(amounts / loading - 1))]
        expected = a.gap_field(A[nearest] * d[nearest], A[nearest] * q[nearest]) / a.gap_field(a.A_d, a.A_q)
        assert field == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_the_voltage_it_wants_leaves_the_design(kind, plain):
    point = remade(plain, kind)
    found = AtVoltage(point, 1.0).at(1.0)
    rel = 3e-4 if kind == "hysteresis" else 1e-9
    assert (found.loading, found.gap_field) == pytest.approx((1.0, 1.0), rel=rel)
    assert found.losses == pytest.approx({name: loss.item() for name, loss in point.losses.items()}, rel=rel)
    assert found.winding_rise == pytest.approx(plain[kind].values["winding_rise"], rel=rel)
    assert found.input_power == pytest.approx(plain[kind].values["power"] + plain[kind].values["loss"], rel=rel)


def test_flux_reserve_and_slip_go_as_they_should(plain):
    # Flux as the voltage, pull-out torque as its square, slip as one over it, about.
    point = remade(plain, "induction")
    low, high = (AtVoltage(point, u).at(1.0) for u in (0.97, 1.03))
    assert high.gap_field / low.gap_field == pytest.approx(1.03 / 0.97, rel=0.015)
    assert high.reserve / low.reserve == pytest.approx((1.03 / 0.97) ** 2, rel=1e-9)
    assert high.slip / low.slip == pytest.approx((0.97 / 1.03) ** 2, rel=0.05)
    assert high.losses["core"] > low.losses["core"] and high.losses["rotor"] < low.losses["rotor"]


def test_a_ring_at_its_own_field_and_lag_is_the_design(plain):
    operation = remade(plain, "hysteresis").operation
    A, B, shear, largest = (each.item() for each in operation.weaker(1.0, operation.shear))
    assert pytest.approx((operation.loading.item(), operation.gap_field.item()), rel=1e-9) == (A, B)
    assert largest / shear == pytest.approx(1.35, rel=1e-9) and shear == pytest.approx(operation.shear.item())
    assert operation.weaker(1.0, None)[2].item() == pytest.approx(largest)
    assert np.isnan(operation.weaker(0.5, operation.shear)[0].item())  # too weak for that torque


def test_where_resistance_decides_a_little_more_voltage_is_too_much(small):
    # Whose current hardly falls with the load: 3 % more voltage is 6 % more heat at any torque.
    point = remade(small, "induction")
    assert math.isnan(AtVoltage(point, 1.03).continuous().torque)
    assert AtVoltage(point, 0.97).continuous().torque == pytest.approx(point.torque.item())


def test_no_load_current_of_a_plate_is_a_third_to_two_thirds(plain):
    found = winding(plain, "induction")
    assert 0.3 < (found.no_load_current / found.line_current).m < 0.65  # common practice
    assert 4.0 < (found.locked_rotor_current / found.line_current).m < 7.5
    v, ideal = plain["induction"].values, found.ideal_conductors / found.conductors_per_slot  # the flux
    full = v["volt_amperes"] / (math.sqrt(3) * found.wanted_voltage.m)
    assert found.locked_rotor_current.m == pytest.approx(v["starting_current"] * full * ideal, rel=1e-9)
    assert found.locked_rotor_torque.m == pytest.approx(v["starting_torque"] * ideal**2, rel=1e-3)
    assert found.breakdown_torque.m == pytest.approx(v["breakdown_torque"] * ideal**2, rel=0.01)


def test_a_winding_too_warm_bears_less_torque(plain):
    # Wires that are sold fill less than the design has: what is left of its torque warms the winding as allowed.
    found = winding(plain, "induction")
    assert found.slot_fill < found.ideal_slot_fill
    assert (
        found.winding_rise.m == pytest.approx(60.0, rel=1e-6)
        and 0.95 < found.torque.m / plain["induction"].torque.m < 1.0
    )


# Conductors, paths and wires


def test_diameters_are_preferred_numbers():
    fine, coarse = wires.diameters("R40"), wires.diameters("R20")
    assert set(np.round(coarse * 1e9)) <= set(np.round(fine * 1e9))
    for made_of, steps in ((fine, 40), (coarse, 20)):
        assert np.allclose(made_of[1:] / made_of[:-1], 10 ** (1 / steps), rtol=0.025)
        assert made_of[0] == pytest.approx(18e-6, rel=0.06) and made_of[-1] == pytest.approx(5e-3)


@pytest.mark.parametrize("conductors", [3, 7, 8, 9, 13, 17, 60, 400])
def test_the_wire_is_sold_fits_and_no_other_holds_much_more_copper(conductors, plain):
    slots, si = Slots(remade(plain, "induction")), plain.brief.si
    made_of = slots.wire(conductors)
    assert np.min(np.abs(wires.diameters("R40") / made_of.diameter - 1)) < 1e-9
    assert made_of.overall == pytest.approx(float(over_enamel(np.array(made_of.diameter))))
    wound = conductors * made_of.strands * math.pi / 4 * made_of.overall**2
    room = (slots.width - 2 * slots.liner) * (0.9 * slots.depth - 2 * slots.liner)
    assert wound <= si.wire_packing * room * (1 + 1e-9) and made_of.overall <= si.thickest_wire
    for d in wires.diameters("R40"):
        overall = float(over_enamel(np.array(d)))
        strands = math.floor(si.wire_packing * room / (conductors * math.pi / 4 * overall**2))
        if strands and overall <= si.thickest_wire and d >= si.thinnest_wire:
            assert strands * d**2 <= made_of.strands * made_of.diameter**2 / 0.97


@pytest.mark.parametrize(
    ("per_pole", "layers", "paths"), [(2, 1, (1, 2, 4)), (3, 1, (1, 2)), (3, 2, (1, 2, 4)), (1, 1, (1, 2))]
)
def test_paths_that_four_poles_permit(per_pole, layers, paths):
    choice = made(pole_pairs=2, slots_per_pole_and_phase=per_pole, winding_layers=layers)
    found = winding(choice, "induction")
    assert found.paths_permitted == paths and found.slots == 12 * per_pole
    assert layers == 1 or found.conductors_per_slot % 2 == 0


def test_paths_that_the_poles_do_not_permit_are_refused():
    with pytest.raises(ValueError, match=r"parallel_paths: got 3; 4 poles .* permit 1, 2, 4"):
        winding(made(pole_pairs=2, parallel_paths=3), "induction")


def test_delta_has_more_turns_and_draws_the_same_from_the_line():
    star, delta = (winding(made(connection=one), "induction") for one in ("star", "delta"))
    assert delta.ideal_conductors / star.ideal_conductors == pytest.approx(math.sqrt(3), rel=1e-12)
    assert delta.line_current.m == pytest.approx(star.line_current.m, rel=0.02)
    assert delta.line_current.m / delta.phase_current.m == pytest.approx(math.sqrt(3), rel=1e-12)


def test_two_paths_have_twice_the_conductors_and_half_the_copper_in_each():
    one, two = (winding(made(pole_pairs=2, parallel_paths=n), "induction") for n in (1, 2))
    assert two.ideal_conductors == pytest.approx(2 * one.ideal_conductors)
    assert two.resistance_20.m == pytest.approx(one.resistance_20.m, rel=0.06)
