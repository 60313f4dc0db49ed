"""Pull-in: laws against the motion followed step by step, energy, limits, and textbook criteria."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from scaling.laws import motion as law
from scaling.laws import start
from scaling.models import pull_in

# The motion itself


def smooth(number, n, phase, periods, load, viscous, cage, breakdown_slip):
    """Return the phase of a run without dry friction by another integrator, in the rotor's own coordinates.

    J*theta'' with J = p = omega = 1, so that the largest torque is the pull-in number.
    """

    def motion(time, state):
        slip = 1 - state[1]
        torque = np.sin(n * (time - state[0])) + cage * slip / (1 + (slip / breakdown_slip) ** 2)
        return [state[1], number * (torque - load - viscous * state[1])]

    end = 2 * np.pi * periods
    solved = solve_ivp(motion, (0, end), [-phase / n, 0.0], method="DOP853", rtol=1e-10, atol=1e-10)
    return n * (end - solved.y[0, -1]), solved.y[1, -1]


@pytest.mark.parametrize("n", [1, 2])
@pytest.mark.parametrize(
    ("number", "torques"),
    [
        (0.7, {}),
        (3.0, {"load": 0.3}),
        (0.05, {"load": 0.1, "cage": 0.8, "breakdown_slip": 0.3}),
        (9.0, {"viscous": 0.4, "cage": 2.0}),
    ],
)
def test_motion_against_another_integrator(number, torques, n):
    """In the rotor's own coordinates, where the equation of motion was written down once more."""
    run = pull_in.simulate(number, n, 0.5, periods=3.0, **torques)
    given = {"load": 0.0, "viscous": 0.0, "cage": 0.0, "breakdown_slip": np.inf} | torques
    phase, speed = smooth(number, n, 0.5, run.periods[-1], **given)
    assert run.phase[-1] == pytest.approx(phase, abs=3e-4)
    assert run.speed[-1] == pytest.approx(speed, abs=3e-4)


def test_dry_friction_holds_until_the_field_overcomes_it():
    """At rest the phase runs with the supply; the rotor leaves at asin(friction)."""
    run = pull_in.simulate(2.0, 1, -0.2, friction=0.5, periods=4.0)
    leaves = np.flatnonzero(run.speed != 0)[0]
    assert run.phase[leaves - 1] == pytest.approx(np.arcsin(0.5), abs=1e-3)
    assert run.periods[leaves - 1] * 2 * np.pi == pytest.approx(np.arcsin(0.5) + 0.2, abs=1e-3)
    assert pull_in.simulate(2.0, 1, 0.0, friction=1.01, periods=4.0).speed.max() == 0


@pytest.mark.parametrize(
    "torques", [{"friction": 0.2}, {"friction": 0.3, "viscous": 0.2, "cage": 0.4, "load": 0.1}, {"cage": 0.5}]
)
def test_energy_of_the_motion_closes(torques):
    """In the field's frame: potential and kinetic energy at the end are those at the start less what friction took."""
    number, n = 1.3, 1
    run = pull_in.simulate(number, n, 2.0, periods=5.0, **torques)
    given = {"friction": 0.0, "viscous": 0.0, "cage": 0.0, "load": 0.0} | torques
    slip = 1 - run.speed
    # Friction's torque, from the motion where the rotor rests
    push = given["friction"] * np.sign(run.speed)
    held = np.sin(run.phase) + given["cage"] - given["load"]
    push = np.where(run.speed == 0, np.clip(held, -given["friction"], given["friction"]), push)
    working = given["load"] + given["viscous"] * run.speed + push - given["cage"] * slip
    energy = slip**2 / 2 - number / n * np.cos(run.phase)
    work = number / n * np.trapezoid(working, run.phase)
    assert energy[-1] - energy[0] == pytest.approx(work, abs=0.02 * np.ptp(energy))


def test_cases_broadcast():
    run = pull_in.simulate(np.array([[0.3], [2.0]]), np.array([1, 2]), 0.1, periods=1.0)
    alone = pull_in.simulate(2.0, 2, 0.1, periods=1.0)
    assert run.phase.shape[1:] == (2, 2) and run.periods.shape == run.phase.shape == run.speed.shape
    assert np.interp(0.7, run.periods[:, 1, 1], run.phase[:, 1, 1]) == pytest.approx(
        np.interp(0.7, alone.periods, alone.phase), abs=1e-3
    )
    found = pull_in.caught(np.array([[0.2], [0.3]]), 1, np.array([0.0, np.nan]))
    assert found.tolist() == [[False, False], [True, False]]
    share = pull_in.caught_share(np.array([0.2, 1.0]), 2, starts=8, friction=0.1)
    assert share.shape == (2,)


# Into step, first swing


def need_from(phase, load):
    """Return the pull-in number, n = 1, from which a rotor that starts at a phase stays below the top of its well."""
    top = np.pi - np.arcsin(load)
    return 1 / (2 * (np.cos(phase) - np.cos(top) + load * (phase - top)))


@pytest.mark.parametrize("n", [1, 2])
@pytest.mark.parametrize("load", [0.0, 0.1, 0.4, 0.8])
@pytest.mark.parametrize("kind", ["load", "friction"])
def test_favourable_angle(n, load, kind):
    need = law.favourable_pull_in_need(n_T=n, l_T=load)
    phases = np.linspace(-np.pi, np.pi, 61)[:, None] + (np.arcsin(load) % (2 * np.pi / 60))
    found = pull_in.caught(need * np.array([0.97, 1.03]), n, phases, **{kind: load})
    assert found.any(axis=0).tolist() == [False, True]
    assert n * need_from(np.arcsin(load), load) == pytest.approx(need)


def test_without_load_the_favourable_angle_is_the_threshold_of_the_machines():
    assert law.favourable_pull_in_need(n_T=np.array([1.0, 2.0]), l_T=0.0).tolist() == [0.25, 0.5]


@pytest.mark.parametrize(("load", "phase"), [(0.0, 2.0), (0.0, -2.5), (0.3, -1.0), (0.3, 1.5), (0.7, 1.2)])
def test_any_angle_against_a_weight(load, phase):
    need = need_from(phase, load)
    assert pull_in.caught(need * np.array([0.98, 1.02]), 1, phase, load=load).tolist() == [False, True]


def test_an_angle_beyond_the_level_of_the_top_is_never_caught():
    assert need_from(-1.9, 0.5) < 0
    assert not pull_in.caught(np.array([1.0, 10.0, 1e3]), 1, -1.9, load=0.5).any()


def test_share_of_angles_of_a_free_rotor():
    """Caught are the phases within arccos(1/(2*Pi) - 1) of the best: from Pi = 1/4 on, half of them at 1/2."""
    number = np.array([0.24, 0.3, 0.5, 1.0, 4.0])
    share = np.arccos(np.minimum(1 / (2 * number) - 1, 1)) / np.pi
    assert pull_in.caught_share(number, 1, starts=400) == pytest.approx(share, abs=0.004)


# Into step, in the end


@pytest.mark.parametrize("load", [0.05, 0.2, 0.4, 0.537, 0.6, 0.9])
def test_dry_friction_makes_every_angle_certain(load):
    need = law.certain_pull_in_need(n_T=2.0, l_T=load)
    share = pull_in.caught_share(need * np.array([0.97, 1.03]), 2, starts=24, friction=load)
    assert share[0] < 1 == share[1]


def test_certain_need_between_twice_the_favourable_one_and_that_itself():
    load = np.linspace(1e-6, 0.99, 200)
    ratio = law.certain_pull_in_need(n_T=1.0, l_T=load) / law.favourable_pull_in_need(n_T=1.0, l_T=load)
    assert ratio[0] == pytest.approx(2, rel=1e-5) and (np.diff(ratio) < 1e-9).all()
    assert ratio[load > 1 / np.sqrt(1 + np.pi**2 / 4)] == pytest.approx(1)


def number_at(capture, **torques):
    """Return the smallest pull-in number, n = 1, of a capture number."""
    number = np.geomspace(1e-4, 1e4, 100_001)
    return number[np.argmax(law.capture_number(Pi=number, n_T=1.0, **torques) >= capture)]


MIXED = [  # (l_w, l_f, l_v, d_c, s_b)
    (0.3, 0.0, 0.0, 1.0, 1e3),
    (0.6, 0.0, 0.0, 1.5, 1e3),
    (0.95, 0.0, 0.0, 2.0, 1e3),
    (0.2, 0.0, 0.0, 1.5, 0.5),
    (0.0, 0.3, 0.0, 0.2, 1.0),
    (0.0, 0.0, 0.2, 0.0, 1e3),
    (0.0, 0.0, 0.7, 0.1, 1e3),
    (0.0, 0.1, 0.3, 0.0, 1e3),
    (0.0, 0.45, 0.1, 0.0, 1e3),
    (0.1, 0.2, 0.1, 0.5, 1e3),
    (0.02, 0.4, 0.25, 0.8, 0.5),
    (0.1, 0.1, 0.1, 1.5, 0.4),
]


@pytest.mark.parametrize(("l_w", "l_f", "l_v", "d_c", "s_b"), MIXED)
def test_capture_number_tells_when_every_angle_is_caught(l_w, l_f, l_v, d_c, s_b):
    torques = {"l_w": l_w, "l_f": l_f, "l_v": l_v, "d_c": d_c, "s_b": s_b}
    number = np.array([number_at(0.9, **torques), number_at(1.1, **torques)])
    drive = {"load": l_w, "friction": l_f, "viscous": l_v, "cage": d_c, "breakdown_slip": s_b}
    share = pull_in.caught_share(number, 1, starts=12, **drive)
    assert share[0] < 1 == share[1]


def test_a_narrow_cage_may_leave_the_rotor_hanging():
    """The exception stated: the cage's torque at rest, d_c/(1 + 1/s_b**2), hardly exceeds load and friction."""
    torques = {"l_w": 0.07, "l_f": 0.02, "l_v": 0.06, "d_c": 2.2, "s_b": 0.22}
    number = np.array([number_at(1.1, **torques), number_at(1.25, **torques)])
    drive = {"load": 0.07, "friction": 0.02, "viscous": 0.06, "cage": 2.2, "breakdown_slip": 0.22}
    share = pull_in.caught_share(number, 1, starts=6, **drive)
    assert share[0] < 1 == share[1]


def test_capture_number_of_dry_friction_alone_is_the_certain_need():
    alone = {"l_w": 0.0, "l_v": 0.0, "d_c": 0.0, "s_b": 1.0}
    for load in (0.01, 0.3, 0.5, 0.7):
        need = law.certain_pull_in_need(n_T=2.0, l_T=load)
        assert law.capture_number(Pi=need, n_T=2.0, l_f=load, **alone) == pytest.approx(1)


def test_slip_from_which_a_cage_pulls_in():
    """Small load: 4/pi*sqrt(Pi/n), from the pendulum's separatrix 2*sqrt(K)*cos(psi/2), mean over a swing; the same
    balance gives the return current 4*alpha/pi of a weakly damped superconducting junction (textbooks, from memory)."""
    K = 0.04
    mean = quad(lambda psi: 2 * np.sqrt(K) * np.cos(psi / 2), -np.pi, np.pi)[0] / (2 * np.pi)
    slip, d_c = 4 / np.pi * np.sqrt(K), 0.01
    assert mean == pytest.approx(slip)
    found = law.capture_number(Pi=2 * K, n_T=2.0, l_w=slip * d_c, l_f=0.0, l_v=0.0, d_c=d_c, s_b=1e3)
    assert found == pytest.approx(1, rel=1e-4)


def test_cage_with_breakdown_by_integration():
    K, s_b, d_c, load = 0.1, 0.2, 0.3, 1e-3

    def cage(psi):
        s = 2 * np.sqrt(K) * np.cos(psi / 2)
        return d_c * s / (1 + (s / s_b) ** 2)

    expected = quad(cage, -np.pi, np.pi)[0] / (2 * np.pi * load)
    found = law.capture_number(Pi=K, n_T=1.0, l_w=load, l_f=0.0, l_v=0.0, d_c=d_c, s_b=s_b)
    assert found == pytest.approx(expected, rel=1e-5)


def test_textbook_criterion_of_synchronous_motors():
    """s < 242/N_s*sqrt(P_m/(J*f)), rpm, kW, kg*m², Hz (from memory): the height of the separatrix, 2*sqrt(Pi/n), n = 1.

    That is the largest slip from which a rotor is caught at the best angle; from rest, slip 1, it is n/4.
    """
    p, f, J, power = 2, 50.0, 40.0, 500e3
    omega = 2 * np.pi * f
    number = start.pull_in_number(p=p, T_e=power * p / omega, J=J, omega=omega)
    assert 2 * np.sqrt(number) == pytest.approx(242 / (60 * f / p) * np.sqrt(power / 1e3 / (J * f)), rel=0.005)
    assert 2 * np.sqrt(law.favourable_pull_in_need(n_T=1.0, l_T=0.0)) == pytest.approx(1)
