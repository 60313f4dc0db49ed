"""Start, run-up and hold of a chosen design against its own rating, limits and integration in time."""

import math

import numpy as np
import pytest
from briefs import brief
from ring_stacks import gap_edge
from run_up import induction_torque, loaded_run_up_time, run_up_heat, run_up_time
from scipy.integrate import solve_ivp

from scaling import choose
from scaling.decision.curve import NEARLY, Curve, remade
from scaling.decision.figures import FIGURES
from scaling.decision.running import running
from scaling.field import Ring, rotating_wave
from scaling.ground.constants import VALUES
from scaling.laws import geometry, leakage, motion
from scaling.machines.leakage import leakage_reactance
from scaling.models.iron import iron_ampere_turns
from scaling.models.pull_in import caught

KINDS = ("induction", "hysteresis", "reluctance", "magnet")
FIXED = {"rotor_diameter": "110 mm", "cooling": "shaft fan"}
DRIVE = FIXED | {"supply_frequency": ("5 Hz", "100 Hz")}
THIN = {  # a cage of shallow bars behind a gap that is thin against the pole pitch: Kloss's law
    "rotor_diameter": "200 mm", "gap_ratio": 0.001, "rotor_depth_ratio": 0.0025, "pole_pairs": 1,
    "supply_frequency": "50 Hz", "tooth_field_limit": "100 T", "yoke_field_limit": "100 T", "induction_rotor": "cage",
    "bearing_friction": 0.0, "slot_opening_ratio": 0.01, "slots_per_pole_and_phase": 12, "pull_out_reserve": 1.05,
    "rib_ratio": 0.0, "slot_pitch_floor": "1 um", "bar_share": 0.5, "rotor_slot_opening_ratio": 0.01,
    "self_starting": False,
}  # fmt: skip


CAGE_WAVES = leakage.cage_differential_leakage(p=1, N_2=72)  # of THIN: in series with its bars


def made(merit="torque per volume", **given):
    return choose(brief(magnets_allowed=True, **given), merit)


def gap_torque(st, shear):
    return st.stator.torque(shear)


def in_rings(fr, op, conductivity, loading, frequency, slip):
    """Return (field in rings, outer radius of the gap, slots included) of a sheet rotor under a current sheet.

    The overhang of the sheet makes it conduct less; ideal iron has a permeability of 1e12.
    """
    R, bore, t, p = fr.D.item() / 2, fr.bore.item() / 2, op.thickness.item(), fr.p.item()
    w_e = op.form["end_ring_width"].item()
    end = geometry.end_ring_share(phi_r=1.0, k=p / (R - t / 2), L=fr.width.item(), w_e=w_e)
    edge = gap_edge(fr)
    wave = rotating_wave(
        pole_pairs=p, frequency=frequency, speed=2 * np.pi * frequency / p * (1 - slip), outside="iron",
        rings=[Ring(R - t, relative_permeability=1e12), Ring(R, conductivity / (1 + end), turns=True), Ring(edge)],
        sheet_current_peak=loading * bore / edge,
    )  # fmt: skip
    return wave, edge


def iron_over_gap(st, op):
    """Return the iron's ampere-turns over those of the smooth gap, at the operating point: it lengthens the gap so."""
    fr, si = st.stator, st.stator.si
    core = {"tau": fr.tau, "D_i": fr.bore, "d_s": fr.slot_depth, "y": fr.yoke, "phi_t": si.tooth_share}
    core |= {"k_s": si.stacking_factor, "k_r": si.stacking_factor, "D": fr.D, "t": op.thickness}
    teeth = {"phi_r": op.form["bar_share"]} if si.induction_rotor == "cage" else {}
    thin = iron_ampere_turns(op.gap_field, g_m=op.magnetic_gap, **core, **teeth) - 1
    kg = fr.k * op.magnetic_gap
    return (thin * kg / np.tanh(kg)).item()


def breakdown_slip(st, op):
    """Return the slip of the largest torque of THIN at a constant current: magnetising and leakage reactance add up."""
    longer = 1 + iron_over_gap(st, op)
    return motion.breakdown_slip(G=op.goodness.item()) / (1 / longer + CAGE_WAVES)


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
        held = op.shear if kind == "induction" else op.breakdown(choice.brief.supply_is_fixed)  # the most in step
        assert shear == pytest.approx(held, rel=1e-9) and loading == pytest.approx(op.loading, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("given", [FIXED, DRIVE], ids=["fixed", "drive"])
def test_the_running_point_without_a_torque_asked_is_the_rating(kind, given):
    choice = made(**given)
    found, values = running(choice, kind), choice[kind].values
    assert found.holds and found.overload >= 1 - 1e-9
    assert found.points["running"].torque.m_as("N*m") == pytest.approx(values["torque"], rel=1e-3)
    if found.fixed_supply:
        assert found.points["running"].speed.m_as("rad/s") == pytest.approx(values["speed"], rel=1e-9)
    assert found.points["pull-out"].torque.m_as("N*m") == pytest.approx(values["breakdown_torque"], rel=0.02)
    if kind != "induction" or found.fixed_supply:
        start = found.points["start"].torque.m_as("N*m")
        rated = values["starting_torque"]  # zero where the torque only swings: friction is left
        bearing = remade(choice, kind).friction_at_rest.item()
        assert start == pytest.approx(rated if rated else -bearing, rel=1e-6)
        assert found.current[0] == pytest.approx(values["starting_current"], rel=1e-6)
        assert values["starting_current"] == 1.0 or kind == "induction" or values["starting_cage"]


@pytest.mark.parametrize("kind", ["hysteresis", "magnet", "induction"])
def test_slot_ripple_does_not_brake_a_rotor_at_rest_and_its_work_is_its_heat(kind):
    """At the design's speed its drag times the speed is what the rotor loses more than a laminated one."""
    choice = made(**FIXED, rotor_surface="solid")
    curve, point = Curve(choice, kind, 2.0), remade(choice, kind)
    speed = point.speed.item()
    assert curve.friction(0.0) == pytest.approx(point.friction_at_rest.item(), rel=1e-12)

    def ripple(speed):
        parts = point.bearing_torque, point.stator.air_torque, point.stator.fan_torque
        return curve.friction(speed) - sum(part(np.array([[speed]])).item() for part in parts)

    drag = ripple(speed)
    slip_heat = point.operation.slip.item() * point.gap_torque.item() * speed / (1 - point.operation.slip.item())
    assert drag * speed == pytest.approx(point.losses["rotor"].item() - slip_heat, rel=1e-6)
    slower = ripple(speed / 4)
    least = 1 / 4 if kind != "induction" else 0.4  # in proportion where the field passes, with the root in solid steel
    assert least <= slower / drag < least + 0.15


def test_torque_falls_to_friction_at_synchronism_and_turns_round_beyond():
    choice = made(**FIXED, starting_cage="none")
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
    choice = made(rotor_diameter=size, induction_rotor=form, bearing_friction=0.0015, slot_fill=0.4)
    st, op = again(choice)
    slips = np.append(np.geomspace(1e-5, 1, 4000), op.slip)[:, None, None]  # its own is at a kink where fields bind
    top = np.max(op.off_design(slips, False)[0])
    assert 1 - 1e-6 <= top / op.breakdown(False).item() < 1.03


@pytest.mark.parametrize(("gap", "off"), [(0.001, 2e-3), (0.0001, 3e-4)])
def test_a_thin_gap_gives_kloss(gap, off):
    choice = made(**THIN | {"gap_ratio": gap, "gap_floor": "1 um"})
    st, op = again(choice)
    slips = np.geomspace(1e-3, 1.0, 200)
    shear, loading = op.off_design(slips[:, None, None], False)
    free = np.isclose(loading[:, 0, 0], op.loading.item())  # the field limit does not bind there
    assert free.sum() > 60
    s_b = breakdown_slip(st, op)
    # The largest stress of the current, were there no field limit: that at x = s*G over its response there.
    top = shear[-1, 0, 0] * (1 / s_b + s_b) / 2
    law = induction_torque(T_m=top, s=slips, s_b=s_b)
    assert shear[free, 0, 0] == pytest.approx(law[free], rel=off)


@pytest.mark.parametrize("size", ["10 mm", "60 mm", "300 mm"])
def test_the_current_of_a_fixed_voltage_is_that_of_its_circuit(size):
    """Voltage: winding heat and field by the field of rings solved apart; leakage as tests/test_leakage.py has it.

    The rings' iron is ideal; that of the machine is a reactance beside them, to 2e-3 of the tables that a search uses.
    """
    choice = made(rotor_diameter=size, induction_rotor="sheet", rotor_material="copper", tooth_field_limit="100 T",
                  yoke_field_limit="100 T", eccentricity=0.0)  # fmt: skip
    st, op = again(choice)
    fr = st.stator
    s_0, f = op.slip.item(), st.frequency.item()

    def impedance(s):
        wave, edge = in_rings(fr, op, 1 / op.resistivity.item(), 1.0, frequency=f, slip=s)
        power = 2 * wave.supply_power / (np.pi * fr.bore.item())
        around = [wave.field_at(edge, angle).B_r for angle in (0.0, np.pi / (2 * fr.p.item()))]
        field = st.field_speed.item() * np.hypot(*around) * edge / (fr.bore.item() / 2)
        of_gap = complex(power, math.sqrt(field**2 - power**2))
        return 1 / (1 / of_gap + 1 / (1j * of_iron)) + 2 * st.loading_heat_factor.item()

    kg = fr.k.item() * op.magnetic_gap.item()
    of_iron = VALUES["mu_0"] * st.field_speed.item() / np.tanh(kg) / iron_over_gap(st, op)

    def current(s, leakage):
        return abs(impedance(s_0) + 1j * leakage) / abs(impedance(s) + 1j * leakage)

    leak = leakage_reactance(fr, f, op.magnetic_gap).item()
    assert leak > 0.01 * abs(impedance(s_0))
    for s in (1.0, 0.5, 0.2, s_0, 0.3 * s_0):
        shear, loading = op.off_design(np.array([[s]]), True)
        assert loading.item() / op.loading.item() == pytest.approx(current(s, leak), rel=2e-3)


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
        ({"rotor_diameter": "300 mm", "cooling": "water"}, "induction", 2.0),
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
    curve.fixed = curve.made.fixed_supply = False
    curve.slip = lambda speed: 1.0 - speed / curve.synchronous  # a constant current at 50 Hz
    assert curve.at_slip(slips)[1] == pytest.approx(1.0, rel=1e-6)
    s_b = breakdown_slip(st, op)
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
    curve, fr = Curve(choice, "induction", 2.0), st.stator
    of_iron = iron_over_gap(st, op) * np.tanh((fr.k * op.magnetic_gap).item()) / VALUES["mu_0"]
    for share in (0.0, 0.03, 0.3, 0.7, 0.97):
        speed = share * curve.synchronous
        frequency = np.geomspace(max(3.0, share * st.frequency.item() * (1 + 1e-9)), st.frequency.item(), 4000)
        slip = 1 - share * st.frequency.item() / frequency
        wave, edge = in_rings(fr, op, 1 / op.resistivity.item(), op.loading.item(), frequency=frequency, slip=slip)
        stress = wave.torque_per_length / (np.pi / 2 * fr.bore.item() ** 2) / op.loading.item() ** 2
        field = [wave.field_at(edge, angle).B_r for angle in (0.0, np.pi / (2 * fr.p.item()))]
        field = np.hypot(*field) * edge / (fr.bore.item() / 2) / op.loading.item()
        across = 2 * stress / field  # of unit loading; the rest magnetises the gap, and the iron beside it
        along = np.sqrt(1 - across**2) + of_iron * field
        best = np.max(wave.torque_per_length / np.hypot(across, along) ** 2) * fr.width.item()
        assert curve.at_slip(curve.slip(speed))[0] == pytest.approx(best, rel=2e-3)


def test_load_that_a_motor_cannot_start_or_carry():
    choice = made(**FIXED, fin_factor=2.5)  # it runs at more torque than it starts with
    stands = running(choice, "induction", load_power=0.0)
    assert stands.points["running"].torque > stands.points["start"].torque and not stands.starts
    assert stands.holds and stands.run_up is None and stands.verdicts[0].startswith("Does not start")
    hangs = running(choice, "induction", load_power=0.02)
    assert not hangs.starts and "hangs at" in hangs.verdicts[0]
    out = running(made(**FIXED, torque="100 N*m"), "induction").points["pull-out"].torque.m_as("N*m")  # the most
    heavy, light = (running(made(**FIXED, torque=f"{part * out:.6g} N*m"), "induction") for part in (1.01, 0.99))
    assert not heavy.holds and "running" not in heavy.points and heavy.verdicts[1].startswith("Does not hold")
    own = light.points["pull-out"].torque.m_as("N*m")  # of a design that was chosen to carry more
    assert light.holds and light.overload == pytest.approx(own / (0.99 * out), rel=1e-4) and 0.99 < own / out < 1.01


@pytest.mark.parametrize("kind", ["reluctance", "magnet"])
@pytest.mark.parametrize("resting", [0.05, 0.25])
def test_the_verdict_on_pull_in_is_that_of_the_motion(kind, resting):
    """Just below and above each criterion, the motion followed step by step from 64 angles and the best one."""
    n = {"reluctance": 2.0, "magnet": 1.0}[kind]
    given = {"rotor_diameter": "0.5 mm", "gap_floor": "2 um", "self_starting": False, "pole_pairs": 1}
    given |= {"cooling": "water", "load_inertia_ratio": 0.0, "bearing_friction": 0.0015, "starting_cage": "none"}
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


def test_a_saddle_below_the_breakdown_is_the_pull_up_torque():
    """Two cages, one of high resistance: two curves of Kloss added up, in place of the design's own."""
    curve = Curve(made(**FIXED), "induction", 2.0)
    scale = curve.at_slip(curve.made.operation.slip.item())[0]

    def at_slip(slip):
        s = np.maximum(np.asarray(slip, float), 1e-12)
        two = induction_torque(T_m=2.5, s=s, s_b=0.05) + induction_torque(T_m=2.0, s=s, s_b=1.5)
        return scale * two, 1.0 + 0.0 * s

    curve.at_slip = at_slip
    curve.breakdown = curve._breakdown()
    high = (1 - curve.breakdown) * curve.synchronous
    speeds = np.linspace(0.0, high, 5001)
    torque = curve.torque(speeds)
    up = curve.pull_up()
    assert curve.torque(up) == pytest.approx(torque.min(), rel=1e-6)
    assert up == pytest.approx(speeds[np.argmin(torque)], rel=1e-2) and 0 < up < high
    assert curve.torque(up) < min(curve.torque(high), curve.torque(0.0))
    beside = curve.torque(high + curve.synchronous * np.array([-2e-3, 0.0, 2e-3]))
    assert beside[1] > max(beside[0], beside[2]), "the first top that a growing load meets"


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
