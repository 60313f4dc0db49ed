"""The starting cage: torque from circuits solved as numbers, room, capture against motion in time, the choice."""

import numpy as np
import pytest
from fed_rotor import machine_of, switched_on

from scaling import Brief, choose
from scaling.decision.curve import remade
from scaling.decision.optimum import best_designs
from scaling.decision.running import running
from scaling.laws import equivalent_circuit, induction, motion, reserve, two_axis
from scaling.machines import starting_cage
from scaling.models.pull_in import caught_share

SLIPS = np.array([0.03, 0.2, 0.45, 0.5, 0.7, 1.0])
UNLIKE = {"R": 0.3, "leak": 0.2, "d": {"X_m": 3.0, "X_2": 0.1, "R_2": 0.2}, "q": {"X_m": 0.7, "X_2": 0.05, "R_2": 0.5}}
ALIKE = UNLIKE | {"q": UNLIKE["d"]}


def circuit(machine, slip):
    """Return what the laws take at a slip."""
    found = {"R": machine["R"], "s": slip}
    for name in "dq":
        found[f"x_{name}"] = two_axis.axis_reactance(X_1=machine["leak"], s=slip, **machine[name])
        found[f"y_{name}"] = two_axis.axis_damping(s=slip, **machine[name])
    return found


def solved(machine, slip, U=1.0):
    """Return (power across the gap, input, stator heat, rotor heat, mean square loading) of loops solved as numbers."""
    R, leak, d, q = machine["R"], machine["leak"], machine["d"], machine["q"]
    p, turning = 1j * slip, 1 - slip
    L_d, L_q = leak + d["X_m"], leak + q["X_m"]
    equations = np.array(
        [
            [R + p * L_d, p * d["X_m"], -turning * L_q, -turning * q["X_m"]],
            [p * d["X_m"], d["R_2"] + p * (d["X_m"] + d["X_2"]), 0, 0],
            [turning * L_d, turning * d["X_m"], R + p * L_q, p * q["X_m"]],
            [0, 0, p * q["X_m"], q["R_2"] + p * (q["X_m"] + q["X_2"])],
        ]
    )
    i_d, k_d, i_q, k_q = np.linalg.solve(equations, [U, 0, -1j * U, 0])
    psi_d, psi_q = L_d * i_d + d["X_m"] * k_d, L_q * i_q + q["X_m"] * k_q
    return (
        (psi_d * np.conj(i_q) - psi_q * np.conj(i_d)).real / 4,
        (U * np.conj(i_d) - 1j * U * np.conj(i_q)).real / 4,
        R * (abs(i_d) ** 2 + abs(i_q) ** 2) / 4,
        (d["R_2"] * abs(k_d) ** 2 + q["R_2"] * abs(k_q) ** 2) / 4,
        (abs(i_d) ** 2 + abs(i_q) ** 2) / 2,
    )


@pytest.mark.parametrize("machine", [UNLIKE, ALIKE])
@pytest.mark.parametrize("slip", SLIPS)
def test_torque_and_current_are_those_of_the_loops_solved_as_numbers(machine, slip):
    power, taken, in_stator, in_rotor, square = solved(machine, slip)
    at = circuit(machine, slip)
    assert two_axis.asynchronous_gap_power(U_s=1.0, **at) == pytest.approx(power, rel=1e-9)
    assert two_axis.asynchronous_loading(U_s=1.0, **at) ** 2 == pytest.approx(square, rel=1e-9)
    assert taken == pytest.approx(in_stator + (1 - slip) * power + in_rotor, rel=1e-9)  # nothing is lost
    if machine is ALIKE:
        assert in_rotor == pytest.approx(slip * power, rel=1e-9)


def test_alike_axes_are_the_equivalent_circuit():
    d = ALIKE["d"]
    seen = {"R_1": ALIKE["R"], "X_1": ALIKE["leak"], "X_m": d["X_m"]}
    source = {
        "R_t": equivalent_circuit.thevenin_resistance(**seen),
        "X_t": equivalent_circuit.thevenin_reactance(**seen),
        "U_t": equivalent_circuit.thevenin_voltage(U=1.0, **seen),
    }
    torque = equivalent_circuit.circuit_torque(
        m_1=0.5, Omega_0=1.0, R_2=d["R_2"], X_2=d["X_2"], s=SLIPS, **source
    )  # of peak values: half
    assert two_axis.asynchronous_gap_power(U_s=1.0, **circuit(ALIKE, SLIPS)) == pytest.approx(torque, rel=1e-9)


def test_fed_by_a_current_alike_axes_have_the_response_of_the_conducting_rotor():
    X_0, G = 2.0, 5.0
    machine = {"R": 1.0, "leak": 0.0} | dict.fromkeys("dq", {"X_m": X_0, "X_2": 0.0, "R_2": X_0 / G})
    at = circuit(machine, SLIPS)
    per_loading = two_axis.asynchronous_gap_power(U_s=1.0, **at) / two_axis.asynchronous_loading(U_s=1.0, **at) ** 2
    assert per_loading == pytest.approx(X_0 * induction.induction_response(x=SLIPS * G) / 2, rel=1e-9)


def test_without_stator_resistance_torque_is_the_mean_of_both_axes():
    lossless = UNLIKE | {"R": 0.0}
    alone = [lossless | {"d": lossless[name], "q": lossless[name]} for name in "dq"]
    slips = SLIPS[SLIPS != 0.5]
    mean = sum(two_axis.asynchronous_gap_power(U_s=1.0, **circuit(each, slips)) for each in alone) / 2
    assert two_axis.asynchronous_gap_power(U_s=1.0, **circuit(lossless, slips)) == pytest.approx(mean, rel=1e-9)


def test_no_conductor_no_torque():
    bare = UNLIKE | {name: UNLIKE[name] | {"R_2": 1e12} for name in "dq"}
    with_cage = two_axis.asynchronous_gap_power(U_s=1.0, **circuit(UNLIKE, 1.0))
    for slip in (0.3, 0.7, 1.0):
        lossless = two_axis.asynchronous_gap_power(U_s=1.0, **circuit(bare | {"R": 0.0}, slip))
        assert abs(lossless) < 1e-10 * with_cage
    # With resistance the swinging current brakes below half speed and drives above: its heat comes from the shaft.
    power, taken, in_stator, in_rotor, _ = solved(bare, 0.2)
    assert power < 0.0 and in_rotor < 1e-10 * in_stator and taken == pytest.approx(in_stator + 0.8 * power)


def test_unlike_axes_dip_below_half_speed():
    machine = UNLIKE | {"R": 0.05}
    slips = np.linspace(0.3, 0.7, 401)
    torque = two_axis.asynchronous_gap_power(U_s=1.0, **circuit(machine, slips))
    dip = slips[np.argmin(np.where((slips > 0.4) & (slips < 0.5), torque, np.inf))]
    assert 0.4 < dip < 0.5
    told = two_axis.dip_slip(**{name: value for name, value in circuit(machine, 0.5).items() if name != "s"})
    assert dip == pytest.approx(told, abs=0.02)
    there = two_axis.asynchronous_gap_power(U_s=1.0, **circuit(machine, told))
    assert there == pytest.approx(torque[slips == dip].item(), abs=0.1 * torque[slips == 0.5].item())


def test_what_brakes_at_synchronism_is_the_asymmetry_of_motor_and_generator():
    R, X_d, X_q, tan_delta = UNLIKE["R"], 3.2, 0.9, 0.7
    at = {"R": R, "X_d": X_d, "X_q": X_q, "tan_delta": tan_delta}
    U = two_axis.two_axis_voltage(A=1.0, **at)
    rated = (X_d - X_q) * tan_delta / (1 + tan_delta**2) / 2
    pull_out = rated * reserve.two_axis_pull_out(**at)
    # Any angle of the voltage: torque swings between pull-out as a motor and as a generator.
    angle = np.linspace(0, np.pi, 4001)
    i_d = U * (R * np.cos(angle) + X_q * np.sin(angle)) / (R**2 + X_d * X_q)
    i_q = U * (R * np.sin(angle) - X_d * np.cos(angle)) / (R**2 + X_d * X_q)
    swing = (X_d - X_q) * i_d * i_q / 2
    brake = -two_axis.asynchronous_gap_power(U_s=U, R=R, x_d=X_d, y_d=0.0, x_q=X_q, y_q=0.0, s=0.0)
    assert np.max(swing) == pytest.approx(pull_out, rel=1e-5)
    assert np.mean(swing[:-1]) == pytest.approx(-brake, rel=1e-9)


def test_damping_is_the_slope_of_the_cages_own_torque():
    X_d, X_q, small = 3.2, 0.9, 1e-7
    at = {"U_s": 1.0, "R": 0.3, "x_d": X_d, "x_q": X_q, "s": 0.0}
    cage, bare = (two_axis.asynchronous_gap_power(y_d=15 * e, y_q=2 * e, **at) for e in (small, 0.0))
    told = two_axis.damping_power(U_s=1.0, R=0.3, X_d=X_d, X_q=X_q, y_d=15.0, y_q=2.0)
    assert (cage - bare) / small == pytest.approx(told, rel=1e-5)


def test_magnets_brake_by_the_heat_they_make_in_the_winding():
    E, R, X = 2.0, 0.2, 1.1
    current = E * (1 - SLIPS) / abs(R + 1j * (1 - SLIPS) * X)
    brake = two_axis.magnet_brake(E_s=E, R=R, X=X, s=SLIPS)
    assert brake * (1 - SLIPS) == pytest.approx(R * current**2 / 2, rel=1e-9)
    # At synchronism what brakes is again what is missing from pull-out: mean over all angles of the voltage.
    at = {"R": R, "X": X, "psi": 0.3}
    U = two_axis.magnet_voltage(A=0.8, E_s=E, **at)
    rated = E * 0.8 * np.cos(0.3) / 2
    largest = rated * reserve.magnet_pull_out(Y_e=0.8 / E, **at)
    angle = np.linspace(0, 2 * np.pi, 4001)[:-1]
    torque = E * ((U * np.exp(1j * angle) - E) / (R + 1j * X)).real / 2
    assert np.max(torque) == pytest.approx(largest, rel=1e-5)
    assert np.mean(torque) == pytest.approx(-two_axis.magnet_brake(E_s=E, R=R, X=X, s=0.0), rel=1e-9)


# Room for the bars


def test_shares_between_poles_are_heats_of_a_sine():
    for arc in (0.3, 0.5, 0.8):
        x = np.linspace(-1, 1, 20001)  # from d axis to d axis, the q axis in the middle; half pole pitches
        space = np.abs(x) < 1 - arc
        d, q = np.cos(np.pi / 2 * x) ** 2, np.sin(np.pi / 2 * x) ** 2
        assert np.mean(d * space) / np.mean(d) == pytest.approx(two_axis.interpolar_d_axis_share(alpha=arc), abs=1e-3)
        assert np.mean(q * space) / np.mean(q) == pytest.approx(two_axis.interpolar_q_axis_share(alpha=arc), abs=1e-3)
    assert two_axis.interpolar_d_axis_share(alpha=0.0) == two_axis.interpolar_q_axis_share(alpha=0.0) == 1.0


def test_bars_in_barriers_are_heats_over_half_rings():
    tau, share, n = 0.1, 0.4, 2000
    x = (np.arange(n) + 0.5) * tau / 2 / n
    along = np.linspace(-1, 1, 2001)
    volume = np.pi / 2 * x  # half of a ring, for one of its two ends
    d = share * np.mean(volume * np.cos(np.pi * x / tau) ** 2) / 0.5
    q = share * np.mean(volume * np.sin(np.pi * x / tau) ** 2) * np.mean(along**2) / 0.5
    depth = two_axis.barrier_bar_depth(tau=tau)
    assert share * depth == pytest.approx(d, rel=1e-4)
    assert two_axis.barrier_q_axis_share(kappa_b=share) * depth == pytest.approx(q, rel=2e-3)


def test_bars_below_magnets_hold_most_conductor():
    ground = np.linspace(0.05, 0.09, 4001)
    conductor = (0.09 - ground) / 2 * (1 - 0.05 / ground)
    best = ground[np.argmax(conductor)]
    assert two_axis.bar_ground_diameter(D_m=0.09, D_l=0.05) == pytest.approx(best, rel=1e-4)


# Chosen designs


def design(size, kind="reluctance", **given):
    """Return the operating point of a chosen design."""
    brief = Brief(rotor_diameter=size, gap_floor="30 um", magnets_allowed=True, **given)
    return remade(choose(brief), kind)


def one(value):
    return np.asarray(value).item()


@pytest.mark.parametrize("size", ["10 mm", "100 mm"])
def test_the_circuit_in_step_is_that_of_the_pull_out_reserve(size):
    point = design(size, reluctance_rotor="salient")
    still, tan_delta = point.caged.cage.still, np.tan(point.operation.load_angle)
    reserved = reserve.two_axis_pull_out(tan_delta=tan_delta, **still)
    assert one(reserved) == pytest.approx(one(point.operation.breakdown(True) / point.operation.shear), rel=1e-9)
    # and the rated torque is that of the voltage of the running point
    X_d, X_q, U = still["X_d"], still["X_q"], point.caged.cage.voltage
    largest = U**2 * (X_d - X_q) / 4
    largest = largest / (np.hypot(still["R"], X_d) * np.hypot(still["R"], X_q) + still["R"] * (X_d - X_q))
    told = point.operation.breakdown(True) * point.fed.field_speed
    assert one(largest) == pytest.approx(one(told), rel=1e-3)


@pytest.mark.parametrize("size", ["10 mm", "50 mm", "100 mm"])
def test_capture_number_agrees_with_the_motion_step_by_step(size):
    caged = design(size).caged
    torques = {name: one(value) for name, value in caged.torques.items()}
    given = {"load": torques["l_w"], "friction": torques["l_f"], "viscous": torques["l_v"]}
    given |= {"cage": torques["d_c"], "breakdown_slip": torques["s_b"]}
    number, n = one(caged._number["Pi"]), caged._number["n_T"]

    def captures(Pi):
        return one(motion.capture_number(Pi=Pi, n_T=n, **torques))

    def at(wanted):
        """Return the pull-in number, no more than the design's, at which the capture number is as wanted."""
        low, high = 1e-3 * number, number
        for _ in range(60):
            middle = np.sqrt(low * high)
            low, high = (low, middle) if captures(middle) > wanted else (middle, high)
        return low

    # The fit of the cage's torque holds from its breakdown on: what runs the rotor up to there is judged by itself.
    given |= {"slip": min(torques["s_b"], 1.0), "starts": 16}
    assert captures(number) >= 1.0
    if captures(number) > 1.12:
        assert caught_share(at(1.12), n, **given) == 1.0
    assert caught_share(at(0.85), n, **given) < 1.0


@pytest.mark.parametrize(
    ("size", "kind", "given"),
    [
        ("10 mm", "reluctance", {}),
        ("100 mm", "reluctance", {"reluctance_rotor": "salient"}),
        ("200 mm", "reluctance", {"pole_pairs": 2}),
        ("200 mm", "magnet", {"pole_pairs": 2, "cooling": "shaft fan"}),
    ],
)
def test_a_design_that_starts_does_so_with_circuits_and_motion_in_time(size, kind, given):
    point = design(size, kind, **given)
    assert one(point.has_cage) and one(point.caged.spare) > 0.0
    for angle in (0.0, 1.6):
        _, slip = switched_on(machine_of(point), angle, 150, rtol=1e-5)
        assert np.mean(slip[-200:]) == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize(("size", "times"), [("10 mm", 2.5), ("100 mm", 12.0)])
def test_so_many_times_the_inertia_is_too_much_where_the_capture_number_says_so(size, times):
    point = design(size)
    heavy = machine_of(point) | {"inertia": times * machine_of(point)["inertia"]}
    number = dict(point.caged._number) | {"Pi": point.caged._number["Pi"] / times}
    assert one(motion.capture_number(**number, **point.caged.torques)) < 0.85
    for angle in (0.0, 1.6):
        _, slip = switched_on(heavy, angle, 100, rtol=1e-5)
        assert 0.02 < np.mean(slip[-200:]) < 0.5  # it runs up, but never falls into step


def test_a_cage_costs_its_rings_and_is_left_out_where_it_is_not_needed():
    point = design("100 mm")
    assert one(point.has_cage)
    assert one(point.mass - point.stator.mass) == pytest.approx(one(point.caged.cage.ring_mass))
    assert one(point.caged.cage.ring_mass) > 0.0
    assert one(point.starting_torque) == pytest.approx(one(point.caged.at_rest - point.friction_at_rest))
    assert one(point.starting_current) > 1.0
    for given in ({"self_starting": False}, {"starting_cage": "none"}):
        bare = design("100 mm", **given)
        assert not one(bare.has_cage) and one(bare.mass) == one(bare.stator.mass)
        assert one(bare.starting_torque) == 0.0
    assert not one(design("20 mm", "magnet").has_cage)  # the field pulls it in bare
    driven = Brief(rotor_diameter="100 mm", supply_frequency=("5 Hz", "50 Hz"))
    assert choose(driven)["reluctance"].values["starting_cage"] == 0.0


def test_none_has_the_torque_of_a_bare_rotor_and_says_what_a_cage_would_do():
    brief = {"rotor_diameter": "100 mm", "gap_floor": "30 um"}
    bare, caged = choose(Brief(starting_cage="none", **brief))["reluctance"], choose(Brief(**brief))["reluctance"]
    assert not bare.feasible and caged.feasible
    assert any("does not pull itself in" in why for why in bare.reasons)
    free = choose(Brief(self_starting=False, **brief))["reluctance"]
    assert bare.values["torque"] == pytest.approx(free.values["torque"], rel=1e-9)
    assert caged.values["torque"] <= free.values["torque"] * (1 + 1e-6)
    small = choose(Brief(rotor_diameter="5 mm", gap_floor="30 um"))["reluctance"]
    assert any("even with a starting cage: capture number" in why for why in small.reasons)
    light = choose(Brief(rotor_diameter="200 mm", torque="20 N*m", starting_cage="none"))["reluctance"]
    assert any("a starting cage would start it" in why for why in light.reasons)


def test_the_search_over_sizes_agrees_with_one_size_and_gains_with_size():
    brief = Brief(rotor_diameter="10 mm", gap_floor="30 um")
    found = best_designs(brief.si, np.array([0.003, 0.01, 0.2]), "torque per volume", True, ("reluctance",))[
        "reluctance"
    ]
    assert found.feasible.tolist() == [False, True, True]
    assert found.figures["capture_number"][0] < 0.2 and found.figures["capture_number"][2] > 1.5


def test_single_phase_has_no_cage():
    brief = Brief(rotor_diameter="100 mm", supply="single-phase")
    assert choose(brief)["reluctance"].values["starting_cage"] == 0.0


@pytest.mark.parametrize("power", [0.0, 2.0])
def test_run_up_of_a_caged_rotor(power):
    choice = choose(Brief(rotor_diameter="200 mm", torque="10 N*m", cooling="shaft fan", pole_pairs=2))
    found = running(choice, "reluctance", load_power=power)
    assert found.starts and found.holds and found.capture.number > 1.0
    assert found.verdicts[0].startswith("Starts: its cage gives") and "starting cage" in found.assumed
    up = found.run_up
    parts = up.kinetic_energy + up.rotor_heat + up.load_work + up.friction_work
    assert up.gap_energy.magnitude == pytest.approx(parts.magnitude, rel=1e-6)
    start, told = found.points["start"].torque.magnitude, choice["reluctance"].values["starting_torque"]
    assert start == pytest.approx(told, rel=1e-9)


def test_bars_have_room():
    point = design("200 mm", "magnet", pole_pairs=2, cooling="shaft fan")
    bars, stator = point.caged.cage.bars, point.stator
    assert 0.0 < one(bars.share) < 1.0
    assert one(bars.below + bars.thickness) < one(stator.D) / 2
    # what iron is left carries the field: between the bars, and within them
    B = one(point.operation.gap_field)
    ground = one(stator.D - 2 * (bars.below + bars.thickness))
    si = stator.si
    assert B * one(stator.bore) <= si.tooth_field_limit * si.stacking_factor * (1 - one(bars.share)) * ground * (
        1 + 1e-6
    )
    assert one(stator.core_limit(bars.below + bars.thickness)) * (1 + 1e-6) >= B
    nothing_left = starting_cage.below_magnets(stator, bars.below, 5.0)
    assert np.isnan(one(nothing_left.thickness))
