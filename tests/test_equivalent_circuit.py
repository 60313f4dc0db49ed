"""The equivalent circuit: against the network solved in complex numbers, energy, limits, and the laws of motion."""

import csv
import json

import numpy as np
import pytest
import sympy as sp
from repository import ROOT
from run_up import induction_torque

from scaling.ground.symbols import symbol
from scaling.laws import circuits, induction, motion
from scaling.laws import equivalent_circuit as law
from scaling.models import equivalent_circuit as model

G, R_1, R_2, R_g, R_t, s = map(symbol, ("G", "R_1", "R_2", "R_g", "R_t", "s"))
X_1, X_2, X_m, X_t, I_1, m_1, Omega_0 = map(symbol, ("X_1", "X_2", "X_m", "X_t", "I_1", "m_1", "Omega_0"))
SLIPS = np.concatenate([[1e-6, 1e-3], np.linspace(0.01, 1, 100)])


def machines(count=200, seed=4):
    """Return random circuits, each constant spread over two or three decades round those of real machines."""
    rng = np.random.default_rng(seed)

    def spread(low, high):
        return np.exp(rng.uniform(np.log(low), np.log(high), (count, 1)))

    return model.Circuit(
        R_1=spread(0.01, 10.0),
        X_1=spread(0.01, 10.0),
        R_2=spread(0.01, 30.0),
        X_2=spread(0.01, 10.0),
        X_m=spread(1.0, 300.0),
        U=spread(10.0, 3000.0),
        f=spread(10.0, 400.0),
        p=rng.integers(1, 7, (count, 1)),
        m_1=rng.integers(1, 4, (count, 1)),
    )


MACHINES = machines()


def network(c, slip):
    """Return (stator current, rotor current) of the two meshes, complex, by solving their equations."""
    stator, rotor, shared = c.R_1 + 1j * (c.X_1 + c.X_m), c.R_2 / slip + 1j * (c.X_2 + c.X_m), 1j * c.X_m
    stator, rotor, shared = np.broadcast_arrays(stator, rotor, shared)
    meshes = np.stack([np.stack([stator, -shared], -1), np.stack([-shared, rotor], -1)], -2)
    supply = np.stack(np.broadcast_arrays(c.U + 0j, 0j * stator), -1)
    currents = np.linalg.solve(meshes, supply[..., None])[..., 0]
    return currents[..., 0], currents[..., 1]


# Two routes


def test_closed_forms_are_the_network():
    I_1, I_2 = network(MACHINES, SLIPS)
    run = model.at_slip(MACHINES, SLIPS)
    assert run.stator_current == pytest.approx(np.abs(I_1), rel=1e-9)
    assert run.rotor_current == pytest.approx(np.abs(I_2), rel=1e-9)
    assert run.power_factor == pytest.approx(np.cos(np.angle(I_1)), rel=1e-9)
    assert run.input_power == pytest.approx(MACHINES.m_1 * (MACHINES.U * np.conj(I_1)).real, rel=1e-9)
    gap = MACHINES.m_1 * np.abs(I_2) ** 2 * MACHINES.R_2 / SLIPS
    assert run.gap_power == pytest.approx(gap, rel=1e-9)
    assert run.torque == pytest.approx(gap * MACHINES.p / (2 * np.pi * MACHINES.f), rel=1e-9)


def test_thevenin_source_is_the_network_without_and_before_the_rotor():
    no_rotor = MACHINES.U / (MACHINES.R_1 + 1j * (MACHINES.X_1 + MACHINES.X_m))
    seen = 1 / (1 / (MACHINES.R_1 + 1j * MACHINES.X_1) + 1 / (1j * MACHINES.X_m))
    stator = {"R_1": MACHINES.R_1, "X_1": MACHINES.X_1, "X_m": MACHINES.X_m}
    assert law.thevenin_voltage(U=MACHINES.U, **stator) == pytest.approx(np.abs(no_rotor) * MACHINES.X_m, rel=1e-12)
    assert law.thevenin_resistance(**stator) == pytest.approx(seen.real, rel=1e-9)
    assert law.thevenin_reactance(**stator) == pytest.approx(seen.imag, rel=1e-12)


def test_torque_of_the_thevenin_source_is_that_of_the_gap_power():
    """For all values: the closed form in s and the chain of impedances are one expression."""
    given = {"R_1": R_1, "X_1": X_1, "X_m": X_m}
    chain = law.stator_current.expr**2 * R_g * m_1 / Omega_0
    branches = {R_g: law.gap_resistance.expr, symbol("X_g"): law.gap_reactance.expr}
    source = {
        symbol("U_t"): law.thevenin_voltage.__wrapped__(U=symbol("U"), **given),
        R_t: law.thevenin_resistance.expr,
        X_t: law.thevenin_reactance.expr,
    }
    assert sp.simplify(chain.subs(branches) - law.circuit_torque.expr.subs(source)) == 0


# Energy


@pytest.mark.parametrize("slip", [0.0, 1e-3, 0.05, 0.5, 1.0])
def test_input_is_output_and_every_loss(slip):
    rotational = 0.01 * MACHINES.U**2 / MACHINES.X_m
    run = model.at_slip(MACHINES, slip, rotational)
    out = run.output_power + run.stator_loss + run.rotor_loss + run.rotational_loss
    assert np.abs(out - run.input_power).max() <= 1e-12 * run.input_power.max()
    assert out == pytest.approx(run.input_power, rel=1e-11)
    assert run.rotor_loss == pytest.approx(slip * run.gap_power, rel=1e-12)
    assert run.efficiency == pytest.approx(run.output_power / run.input_power)
    assert (run.efficiency < 1 - slip).all()
    assert run.torque * run.speed == pytest.approx(run.output_power + run.rotational_loss, rel=1e-12, abs=1e-9)


def test_rotor_loss_is_slip_times_gap_power_for_all_values():
    loss = law.rotor_winding_loss.expr.subs(symbol("I_2"), law.rotor_current.expr)
    gap = law.gap_power.expr.subs(R_g, law.gap_resistance.expr)
    assert sp.simplify(loss - s * gap) == 0


# Largest and starting torque


def test_breakdown_is_where_the_torque_is_largest():
    found = model.breakdown(MACHINES)
    around = found.slip * np.concatenate([np.geomspace(0.01, 0.999, 40), [1.0], np.geomspace(1.001, 100, 40)])
    torque = model.at_slip(MACHINES, around).torque
    assert torque[:, 40] == pytest.approx(found.torque[:, 0], rel=1e-9)
    assert (np.argmax(torque, axis=1) == 40).all()
    assert (np.diff(torque[:, :41], axis=1) > 0).all() and (np.diff(torque[:, 40:], axis=1) < 0).all()


def test_torque_has_no_slope_at_the_breakdown_slip():
    slope = sp.numer(sp.together(sp.diff(law.circuit_torque.expr, s)))
    assert sp.simplify(slope.subs(s, law.circuit_breakdown_slip.expr)) == 0
    largest = law.circuit_torque.expr.subs(s, law.circuit_breakdown_slip.expr)
    values = {name: i + 2 for i, name in enumerate(sorted(largest.free_symbols, key=str))}
    assert float((largest - law.circuit_breakdown_torque.expr).subs(values)) == pytest.approx(0, abs=1e-12)
    assert float(largest.subs(values)) > 0


def test_starting_torque_is_the_torque_at_rest():
    rest = model.at_slip(MACHINES, 1.0)
    assert model.starting_torque(MACHINES) == pytest.approx(rest.torque, rel=1e-9)
    assert (rest.speed == 0).all()


def test_rotor_resistance_moves_the_largest_torque_and_leaves_its_value():
    """Wound rotor: resistance in series brings the largest torque to standstill."""
    base = {"R_1": 0.3, "X_1": 0.5, "X_2": 0.2, "X_m": 13.0, "U": 127.0, "f": 60.0, "p": 3}
    at = model.breakdown(model.Circuit(R_2=np.array([0.1, 0.2, 0.4]), **base))
    assert at.torque == pytest.approx(np.full(3, at.torque[0]), rel=1e-14)
    assert at.slip == pytest.approx(at.slip[0] * np.array([1, 2, 4]), rel=1e-14)
    most = model.Circuit(R_2=0.1 / at.slip[0], **base)
    assert model.starting_torque(most) == pytest.approx(at.torque[0], rel=1e-12)


# Limits


def test_at_synchronous_speed_only_the_magnetising_current_flows():
    run = model.at_slip(MACHINES, 0.0, rotational_loss=1.0)
    no_load = MACHINES.U / np.hypot(MACHINES.R_1, MACHINES.X_1 + MACHINES.X_m)
    assert run.stator_current == pytest.approx(no_load, rel=1e-14)
    assert (run.rotor_current == 0).all() and (run.torque == 0).all() and (run.output_power == -1).all()
    assert run.power_factor == pytest.approx(no_load * MACHINES.R_1 / MACHINES.U, rel=1e-14)


def test_torque_goes_with_slip_when_small_and_against_it_when_large():
    small, large = 1e-8, 1e8
    lower, upper = model.at_slip(MACHINES, small).torque, model.at_slip(MACHINES, large).torque
    assert model.at_slip(MACHINES, 2 * small).torque == pytest.approx(2 * lower, rel=1e-4)
    assert model.at_slip(MACHINES, 2 * large).torque == pytest.approx(upper / 2, rel=1e-4)


def test_without_leakage_and_rotor_current_the_circuit_is_a_choke():
    choke = model.Circuit(R_1=0.0, X_1=0.0, R_2=1.0, X_2=0.0, X_m=5.0, U=10.0, f=50.0, p=2)
    run = model.at_slip(choke, 1e-9)
    assert (run.stator_current, run.power_factor) == (pytest.approx(2.0), pytest.approx(5e-9))
    assert run.efficiency == pytest.approx(1 - 1e-9, abs=1e-12)


# The thin-gap laws, of which the circuit is the other face


def test_fed_by_a_current_the_response_is_that_of_the_thin_gap():
    """Without leakage R_g is X_m times x/(1 + x**2), x = s*X_m/R_2, to the last symbol."""
    x = induction.slip_goodness.expr.subs(G, law.reactance_goodness.expr)
    response = induction.induction_response.expr.subs(symbol("x"), x)
    assert sp.simplify(law.gap_resistance.expr.subs(X_2, 0) - X_m * response) == 0
    linked = circuits.circuit_goodness.expr.subs({symbol("omega"): 1, symbol("R"): R_2, symbol("R_m"): 1 / X_m})
    assert linked == law.reactance_goodness.expr


def test_rotor_leakage_belongs_to_the_magnetising_branch_of_a_current_fed_machine():
    whole = X_m + X_2
    x = s * law.reactance_goodness.expr.subs(X_m, whole)
    response = induction.induction_response.expr.subs(symbol("x"), x)
    assert sp.simplify(law.gap_resistance.expr - X_m**2 / whole * response) == 0


def test_fed_by_a_current_the_torque_is_that_of_the_run_up_laws():
    """Kloss's law with its peak at a slip of 1/G: the torque goes with R_g at a given current."""
    goodness = law.reactance_goodness.expr.subs(X_m, X_m + X_2)
    s_b = motion.breakdown_slip.expr.subs(G, goodness)
    gap = law.gap_resistance.expr
    kloss = induction_torque(T_m=gap.subs(s, s_b), s=s, s_b=s_b)
    assert sp.simplify(gap - kloss) == 0


def test_numbers_fed_by_a_current():
    """R_1 = 0, leakage = 0, supply voltage set so that the current is the same at every slip: x/(1 + x**2)."""
    base = {"R_1": 0.0, "X_1": 0.0, "R_2": 0.5, "X_2": 0.0, "X_m": 20.0, "f": 50.0, "p": 2}
    current = 7.0
    voltage = current / model.at_slip(model.Circuit(U=1.0, **base), SLIPS).stator_current
    fed = model.Circuit(U=voltage, **base)
    x = SLIPS * fed.goodness
    run = model.at_slip(fed, SLIPS)
    assert run.stator_current == pytest.approx(np.full(SLIPS.size, current), rel=1e-12)
    assert run.gap_power == pytest.approx(3 * current**2 * 20.0 * induction.induction_response(x=x), rel=1e-12)
    assert run.power_factor == pytest.approx(x / np.hypot(1, x), rel=1e-12), "1/sqrt(2) where the torque is largest"


def test_on_a_voltage_without_stator_resistance_the_run_up_law_is_exact_too():
    """The same curve, its peak at R_2 over the leakage instead of R_2 over the magnetising reactance."""
    stiff = model.Circuit(R_1=0.0, X_1=0.5, R_2=0.2, X_2=0.4, X_m=15.0, U=230.0, f=50.0, p=2)
    at = model.breakdown(stiff)
    kloss = induction_torque(T_m=at.torque, s=SLIPS, s_b=at.slip)
    assert model.at_slip(stiff, SLIPS).torque == pytest.approx(kloss, rel=1e-12)
    assert at.slip > 10 * motion.breakdown_slip(G=stiff.goodness), "fed by a current it stalls at far smaller slip"


# Arrays


def test_arrays_broadcast_and_nan_passes():
    run = model.at_slip(model.Circuit(0.3, 0.5, np.full((3, 1), 0.1), 0.2, 13.0, 127.0, 60.0, 3), np.ones(4), 5.0)
    assert {figure.shape for figure in run} == {(3, 4)}
    gap = model.at_slip(model.Circuit(0.3, np.nan, 0.1, 0.2, 13.0, 127.0, 60.0, 3), [0.1, 0.2])
    assert np.isnan(gap.torque).all() and np.isfinite(gap.speed).all()


def test_a_wrong_circuit_is_seen():
    """The comparison with the network can fail: leakage left out of one branch."""
    wrong = model.Circuit(**vars(MACHINES) | {"X_2": 0.0 * MACHINES.X_2})
    I_1, _ = network(MACHINES, SLIPS)
    assert model.at_slip(wrong, SLIPS).stator_current != pytest.approx(np.abs(I_1), rel=1e-3)


def test_the_notebook_reads_what_the_published_checks_hold():
    """The motor and every printed point in notebooks/data are those of the tables beside the published checks."""

    def typed(name):
        lines = (ROOT / "notebooks/data" / f"published_{name}.csv").read_text(encoding="utf-8").splitlines()
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))

    def table(name):
        found = json.loads((ROOT / "tests/published" / f"{name}.json").read_text(encoding="utf-8"))
        return [dict(zip(found["columns"], row, strict=True)) for row in found["data"]]

    (motor,) = typed("fitzgerald_motor")
    record = next(row for row in table("records/textbook_circuits") if row["machine"] == "Fitzgerald 6.2")
    assert {name: float(value) for name, value in motor.items()} == {name: record[name] for name in motor}
    held = [row for name in ("6_2_circuit", "6_3_circuit", "6_3_breakdown") for row in table(f"fitzgerald_{name}")]
    points = typed("fitzgerald_points")
    assert len(points) == len(held)
    for point, row in zip(points, held, strict=True):
        assert (point["quantity"], point["unit"], float(point["expected"])) == (
            row["quantity"],
            row["unit"],
            row["expected"],
        )
        assert point["slip"] == "" if "slip" not in row else float(point["slip"]) == row["slip"]
