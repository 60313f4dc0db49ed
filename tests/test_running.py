"""Start, run-up and hold of a chosen design against its own rating, limits and integration in time."""

import math

import numpy as np
import pytest
from briefs import brief
from ring_stacks import gap_edge
from run_up import induction_torque, loaded_run_up_time, run_up_heat, run_up_time
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from scaling import choose
from scaling.decision.curve import NEARLY, Curve, remade
from scaling.decision.figures import FIGURES
from scaling.decision.running import running
from scaling.field import Ring, rotating_wave
from scaling.ground import materials
from scaling.laws import geometry, motion
from scaling.models.pull_in import caught

KINDS = ("induction", "hysteresis", "reluctance", "magnet")
FIXED = {"rotor_diameter": "110 mm", "cooling": "shaft fan"}
DRIVE = FIXED | {"supply_frequency": ("5 Hz", "100 Hz")}
THIN = {  # a cage of shallow bars behind a gap that is thin against the pole pitch: Kloss's law
    "rotor_diameter": "200 mm", "gap_ratio": 0.001, "rotor_depth_ratio": 0.0025, "pole_pairs": 1,
    "supply_frequency": "50 Hz", "gap_field_limit": "2 T", "yoke_field_limit": "100 T", "induction_rotor": "cage",
    "starting_current_ratio": 1.0, "bearing_friction": 0.0, "slip_limit": 0.9, "slot_opening_ratio": 0.01,
    "self_starting": False,
}  # fmt: skip


def made(merit="torque per volume", **given):
    return choose(brief(magnets_allowed=True, **given), merit)


def gap_torque(st, shear):
    return st.stator.torque(shear)


def in_rings(fr, op, conductivity, loading, frequency, slip):
    """Return (field in rings, outer radius of the gap, slots included) of a sheet rotor under a current sheet.

    End rings a pole pitch over pi wide make the sheet conduct less; ideal iron has a permeability of 1e12.
    """
    R, bore, t, p = fr.D.item() / 2, fr.bore.item() / 2, op.thickness.item(), fr.p.item()
    end = geometry.end_ring_share(phi_r=1.0, k=p / (R - t / 2), L=fr.width.item())
    edge = gap_edge(fr)
    wave = rotating_wave(
        pole_pairs=p, frequency=frequency, speed=2 * np.pi * frequency / p * (1 - slip), outside="iron",
        rings=[Ring(R - t, relative_permeability=1e12), Ring(R, conductivity / (1 + end), turns=True), Ring(edge)],
        sheet_current_peak=loading * bore / edge,
    )  # fmt: skip
    return wave, edge


def again(choice, kind="induction"):
    """Return (fed stator, operation) of a design made again."""
    point = remade(choice, kind)
    return point.fed, point.operation


@pytest.mark.parametrize("merit", ["torque per volume", "power per volume", "efficiency"])
@pytest.mark.parametrize("supply", ["50 Hz", ("5 Hz", "100 Hz")])
@pytest.mark.parametrize("size", ["1 mm", "5 mm", "30 mm", "110 mm", "400 mm"])
def test_the_design_made_again_is_the_design(size, supply, merit):
    choice = made(merit, rotor_diameter=size, gap_floor="20 um", supply_frequency=supply, bearing_friction=0.0015)
    able = [kind for kind in KINDS if choice[kind].values["torque"] > 0]
    assert len(able) >= 3
    for kind in able:
        point, values = remade(choice, kind), choice[kind].values
        op = point.operation
        for name in ("torque", "breakdown_torque", "starting_torque", "speed", "loss", "power_factor"):
            assert np.asarray(FIGURES[name].value(point)).item() == pytest.approx(values[name], rel=1e-6), (kind, name)
        shear, loading = op.off_design(op.slip, choice.brief.supply_is_fixed)
        assert shear == pytest.approx(op.shear, rel=1e-9) and loading == pytest.approx(op.loading, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("given", [FIXED, DRIVE], ids=["fixed", "drive"])
def test_the_running_point_without_a_torque_asked_is_the_rating(kind, given):
    choice = made(**given)
    found, values = running(choice, kind), choice[kind].values
    assert found.holds and found.overload >= 1 - 1e-9
    assert found.points["running"].torque.m_as("N*m") == pytest.approx(values["torque"], rel=1e-3)
    if found.fixed_supply:
        assert found.points["running"].speed.m_as("rad/s") == pytest.approx(values["speed"], rel=1e-9)
    if not found.fixed_supply or kind != "induction":  # at the continuous current
        assert found.points["pull-out"].torque.m_as("N*m") == pytest.approx(values["breakdown_torque"], rel=0.02)
    if kind != "induction" or found.fixed_supply:
        start = found.points["start"].torque.m_as("N*m")
        rated = values["starting_torque"]  # zero where the torque only swings: friction is left
        bearing = remade(choice, kind).stator.bearing_torque.item()
        assert start == pytest.approx(rated if rated else -bearing, rel=1e-6)
        assert found.current[0] == pytest.approx(4.0 if kind == "induction" else 1.0, rel=1e-6)


def test_torque_falls_to_friction_at_synchronism_and_turns_round_beyond():
    choice = made(**FIXED)
    for kind in KINDS:
        curve, found = Curve(choice, kind, 2.0), running(choice, kind)
        speeds = found.speed.m_as("rad/s")
        assert np.all(np.diff(speeds) > 0) and speeds[0] == 0.0
        past = speeds > curve.synchronous
        below = speeds < curve.synchronous
        gap = found.torque.m_as("N*m") + curve.friction(speeds)
        if kind == "induction":
            assert gap[~past & ~below] == 0.0 and np.all(gap[below] > 0) and np.all(gap[past] < 0)
        if kind == "hysteresis":  # the same torque from rest to synchronism
            assert gap[~past] == pytest.approx(np.full(np.sum(~past), gap[0]), rel=1e-12)
            assert gap[past] == pytest.approx(np.full(np.sum(past), -gap[0]), rel=1e-12)
        if kind in ("reluctance", "magnet"):  # out of step only swings are left
            assert gap[past | below] == pytest.approx(0.0, abs=1e-12) and gap[~past & ~below] > 0


@pytest.mark.parametrize("size", ["5 mm", "20 mm", "110 mm", "400 mm"])
@pytest.mark.parametrize("form", ["cage", "sheet"])
def test_breakdown_is_the_largest_torque_at_the_continuous_current(size, form):
    """`Operation.breakdown` takes the slip of the thin-gap law; the field's own top is no lower and hardly higher."""
    choice = made(rotor_diameter=size, induction_rotor=form, bearing_friction=0.0015)
    st, op = again(choice)
    slips = np.geomspace(1e-5, 1, 4000)[:, None, None]
    top = np.max(op.off_design(slips, False)[0])
    assert 1 - 1e-6 <= top / op.breakdown().item() < 1.03


@pytest.mark.parametrize(("gap", "off"), [(0.001, 2e-3), (0.0001, 3e-4)])
def test_a_thin_gap_gives_kloss(gap, off):
    choice = made(**THIN | {"gap_ratio": gap, "gap_floor": "1 um"})
    _, op = again(choice)
    slips = np.geomspace(1e-3, 1.0, 200)
    shear, loading = op.off_design(slips[:, None, None], False)
    free = np.isclose(loading[:, 0, 0], op.loading.item())  # the field limit does not bind there
    assert free.sum() > 60
    s_b = motion.breakdown_slip(G=op.goodness.item())
    # The largest stress of the current, were there no field limit: that at x = s*G over its response there.
    top = shear[-1, 0, 0] * (1 / s_b + s_b) / 2
    law = induction_torque(T_m=top, s=slips, s_b=s_b)
    assert shear[free, 0, 0] == pytest.approx(law[free], rel=off)


@pytest.mark.parametrize("size", ["10 mm", "60 mm", "300 mm"])
def test_the_current_of_a_fixed_voltage_is_that_of_its_circuit(size):
    """Voltage: winding heat and field by the layered field solved apart; leakage by a root search."""
    choice = made(rotor_diameter=size, induction_rotor="sheet", rotor_material="copper", tooth_field_limit="100 T",
                  yoke_field_limit="100 T")  # fmt: skip
    st, op = again(choice)
    fr, si = st.stator, choice.brief.si
    copper = materials.CONDUCTORS["copper"]
    hot = 1 + copper.temperature_coefficient * (si.ambient + si.temperature_rise - materials.T_20)
    s_0, f = op.slip.item(), st.frequency.item()

    def impedance(s):
        wave, edge = in_rings(fr, op, copper.conductivity / hot, 1.0, frequency=f, slip=s)
        power = 2 * wave.supply_power / (np.pi * fr.bore.item())
        around = [wave.field_at(edge, angle).B_r for angle in (0.0, np.pi / (2 * fr.p.item()))]
        field = st.field_speed.item() * np.hypot(*around) * edge / (fr.bore.item() / 2)
        return complex(power, math.sqrt(field**2 - power**2)) + 2 * st.winding_heat_factor.item()

    def current(s, leakage):
        return abs(impedance(s_0) + 1j * leakage) / abs(impedance(s) + 1j * leakage)

    scale = abs(impedance(s_0))
    reached = current(1.0, 0.0) >= si.starting_current_ratio
    leakage = 0.0
    if reached:
        excess = lambda x: current(1.0, x) - si.starting_current_ratio  # noqa: E731
        leakage = brentq(excess, 0.0, 1e3 * scale, xtol=1e-14 * scale)
    for s in (1.0, 0.5, 0.2, s_0, 0.3 * s_0):
        shear, loading = op.off_design(np.array([[s]]), True)
        assert loading.item() / op.loading.item() == pytest.approx(current(s, leakage), rel=1e-6)
    assert reached == (size == "300 mm"), "both cases are met"


def test_a_small_rotor_draws_hardly_more_current_at_rest():
    found = running(made(rotor_diameter="5 mm"), "induction")
    assert found.current[0] < 1.05
    assert "times the continuous current at rest" in found.verdicts[0]


@pytest.mark.parametrize(
    ("given", "kind", "load_power"),
    [
        (FIXED, "induction", 2.0),
        (FIXED | {"torque": "4 N*m", "starting_torque": "1 N*m"}, "induction", 0.0),
        (FIXED | {"torque": "4 N*m"}, "hysteresis", 1.0),
        (DRIVE, "induction", 2.0),
        (DRIVE, "hysteresis", 2.0),
        (DRIVE | {"supply_frequency": ("1 Hz", "60 Hz")}, "magnet", 2.0),
        ({"rotor_diameter": "5 mm"}, "induction", 2.0),
        ({"rotor_diameter": "1 m", "cooling": "water"}, "induction", 2.0),
    ],
)
def test_energy_of_a_run_up_closes_and_an_integration_in_time_agrees(given, kind, load_power):
    choice = made(**given)
    found, curve = running(choice, kind, load_power=load_power), Curve(choice, kind, load_power)
    up = found.run_up
    assert found.starts
    energy = {name: getattr(up, name).m_as("J") for name in ("kinetic_energy", "rotor_heat", "load_work")}
    energy["friction_work"] = up.friction_work.m_as("J")
    assert up.gap_energy.m_as("J") == pytest.approx(sum(energy.values()), rel=1e-9)
    end = NEARLY * found.points["running"].speed.m_as("rad/s")

    def change(time, state):
        speed = state[0]
        gap, friction, load = curve.at_slip(curve.slip(speed))[0], curve.friction(speed), curve.load(speed)
        behind = curve.slip(speed) * curve.synchronous
        return [(gap - friction - load) / curve.inertia, gap * behind, load * speed, friction * speed]

    arrived = lambda time, state: state[0] - end  # noqa: E731
    arrived.terminal = True
    scale = [end, energy["kinetic_energy"], energy["kinetic_energy"], energy["kinetic_energy"]]
    done = solve_ivp(
        change, (0, 3 * up.time.m_as("s")), [0.0] * 4, events=arrived, method="RK45", rtol=1e-9,
        atol=1e-10 * np.array(scale), max_step=up.time.m_as("s") / 200,
    )  # fmt: skip
    assert done.t_events[0].size == 1
    assert up.time.m_as("s") == pytest.approx(done.t_events[0][0], rel=1e-5)
    for name, value in zip(("rotor_heat", "load_work", "friction_work"), done.y[1:, -1], strict=True):
        assert energy[name] == pytest.approx(value, rel=1e-5, abs=1e-7 * energy["kinetic_energy"])


def test_run_up_of_a_thin_gap_is_the_closed_form():
    """A starting current of the continuous one, constant load: tests/run_up.py, within a per cent by friction."""
    choice = made(**THIN | {"torque": "30 N*m", "starting_torque": "30 N*m", "gap_floor": "1 um"})
    curve = Curve(choice, "induction", 0.0)
    st, op = again(choice)
    slips = np.geomspace(0.02, 1.0, 50)
    assert curve.at_slip(slips)[1] == pytest.approx(1.0, rel=1e-6), "constant current"
    s_b = motion.breakdown_slip(G=op.goodness.item())
    T_m = curve.at_slip(np.array(1.0))[0] * (1 / s_b + s_b) / 2
    s_e = 0.02
    load = 0.3 * T_m * 2 / (1 / s_b + s_b)  # a share of the torque at rest
    curve.asked = curve.at_rest = float(load)
    curve.friction = lambda speed: 0.0 * np.asarray(speed)
    run = curve.run_up((1 - s_e) * curve.synchronous)
    given = {"J": curve.inertia, "Omega_0": curve.synchronous, "T_m": T_m, "s_b": s_b}
    loaded = loaded_run_up_time(**given, l_T=load / T_m, s_e=s_e)
    assert run.time.m_as("s") == pytest.approx(loaded, rel=5e-3)
    curve.asked = curve.at_rest = 0.0
    run = curve.run_up((1 - s_e) * curve.synchronous)
    assert run.time.m_as("s") == pytest.approx(run_up_time(**given, s_e=s_e), rel=5e-3)
    heat = run_up_heat(J=curve.inertia, Omega_0=curve.synchronous, s_e=s_e)
    assert run.rotor_heat.m_as("J") == pytest.approx(heat, rel=1e-9), "whatever the torque"


def test_a_hysteresis_rotor_runs_up_at_constant_torque():
    curve = Curve(made(**FIXED), "hysteresis", 2.0)
    curve.asked = curve.at_rest = 0.0
    curve.friction = lambda speed: 0.0 * np.asarray(speed)
    torque, J = curve.at_slip(np.array(1.0))[0], curve.inertia
    run = curve.run_up(curve.synchronous)
    assert run.time.m_as("s") == pytest.approx(J * curve.synchronous / torque, rel=1e-9)
    assert run.rotor_heat.m_as("J") == pytest.approx(J * curve.synchronous**2 / 2, rel=1e-9)


def test_a_drive_gives_the_most_of_all_its_frequencies():
    """Every frequency of the drive tried at every speed, the field solved anew: none gives more torque."""
    choice = made(rotor_diameter="60 mm", induction_rotor="sheet", rotor_material="copper", tooth_field_limit="100 T",
                  yoke_field_limit="100 T", supply_frequency=("3 Hz", "60 Hz"))  # fmt: skip
    st, op = again(choice)
    curve, fr, si = Curve(choice, "induction", 2.0), st.stator, choice.brief.si
    copper = materials.CONDUCTORS["copper"]
    hot = 1 + copper.temperature_coefficient * (si.ambient + si.temperature_rise - materials.T_20)
    for share in (0.0, 0.03, 0.3, 0.7, 0.97):
        speed = share * curve.synchronous
        frequency = np.geomspace(max(3.0, share * st.frequency.item() * (1 + 1e-9)), st.frequency.item(), 4000)
        slip = 1 - share * st.frequency.item() / frequency
        wave, _ = in_rings(fr, op, copper.conductivity / hot, op.loading.item(), frequency=frequency, slip=slip)
        best = np.max(wave.torque_per_length) * fr.width.item()
        assert curve.at_slip(curve.slip(speed))[0] == pytest.approx(best, rel=1e-5)


def test_load_that_a_motor_cannot_start_or_carry():
    choice = made(**FIXED)
    start, out = (running(choice, "induction").points[name].torque.m_as("N*m") for name in ("start", "pull-out"))
    stands = running(choice, "induction", load_power=0.0)
    assert stands.points["running"].torque.m_as("N*m") > start and not stands.starts
    assert stands.holds and stands.run_up is None and stands.verdicts[0].startswith("Does not start")
    hangs = running(choice, "induction", load_power=0.2)
    assert not hangs.starts and "hangs at" in hangs.verdicts[0]
    heavy = running(made(**FIXED, torque=f"{1.01 * out:.6g} N*m"), "induction")
    assert not heavy.holds and "running" not in heavy.points and heavy.verdicts[1].startswith("Does not hold")
    light = running(made(**FIXED, torque=f"{0.99 * out:.6g} N*m"), "induction")
    assert light.holds and light.overload == pytest.approx(1 / 0.99, rel=1e-4)


@pytest.mark.parametrize("kind", ["reluctance", "magnet"])
@pytest.mark.parametrize("resting", [0.05, 0.25])
def test_the_verdict_on_pull_in_is_that_of_the_motion(kind, resting):
    """Just below and above each criterion, the motion followed step by step from 64 angles and the best one."""
    n = {"reluctance": 2.0, "magnet": 1.0}[kind]
    given = {"rotor_diameter": "0.5 mm", "gap_floor": "2 um", "self_starting": False, "pole_pairs": 1}
    given |= {"cooling": "water", "load_inertia_ratio": 0.0, "bearing_friction": 0.0015}
    free = made(**given)
    peak = free[kind].values["breakdown_torque"]
    given["starting_torque"] = f"{resting * peak * 1e9:.9g} nN*m"
    number = running(made(**given), kind).pull_in
    assert number.load == pytest.approx(resting, rel=0.05)
    phases = np.append((np.arange(64) + 0.5) * 2 * np.pi / 64, np.arcsin(number.load))
    for limit, share in (("need", 0.98), ("need", 1.02), ("certain", 0.97), ("certain", 1.03)):
        wanted = share * getattr(number, limit)
        assert number.number > wanted
        found = running(made(**given | {"load_inertia_ratio": number.number / wanted - 1}), kind)
        assert found.pull_in.number == pytest.approx(wanted, rel=1e-6)
        ends = caught(wanted, n, phases, friction=found.pull_in.load)
        assert found.starts == ends.any() and (wanted >= found.pull_in.certain) == ends.all(), (limit, share)
        assert ("every angle, in the end" in found.verdicts[0]) == ends.all()
        assert found.starts == found.verdicts[0].startswith("Starts") and found.run_up is None


def test_deep_bars_may_leave_a_saddle_below_the_breakdown():
    choice = made(rotor_diameter="300 mm", cooling="water", rotor_depth_ratio=0.3, starting_current_ratio=7.0,
                  rotor_material="copper")  # fmt: skip
    found, curve = running(choice, "induction"), Curve(choice, "induction", 2.0)
    start, low, high = (found.points[name] for name in ("start", "pull-up", "pull-out"))
    speeds = np.linspace(0.0, high.speed.m_as("rad/s"), 5001)
    torque = curve.torque(speeds)
    assert low.torque.m_as("N*m") == pytest.approx(torque.min(), rel=1e-6)
    assert low.speed.m_as("rad/s") == pytest.approx(speeds[np.argmin(torque)], rel=1e-2)
    assert low.torque < high.torque < start.torque
    beside = curve.torque(high.speed.m_as("rad/s") * np.array([0.98, 1.0, 1.02]))
    assert beside[1] > max(beside[0], beside[2]), "the first top that a growing load meets, not the largest of all"


def test_wrong_calls_say_what_is_expected():
    choice = made(**FIXED)
    with pytest.raises(TypeError, match="choice: got"):
        running(choice.brief, "induction")
    with pytest.raises(KeyError, match="is not a machine type"):
        running(choice, "steam")
    for wrong in (-1, 6, math.nan, "2", True):
        with pytest.raises(ValueError, match="load_power"):
            running(choice, "induction", load_power=wrong)
    with pytest.raises(ValueError, match="no running point"):
        running(made(rotor_diameter="1 mm", bearing_friction=1.0), "induction")
