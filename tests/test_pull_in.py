"""Whether a synchronous rotor on a fixed supply pulls itself in from rest: simulated motion against the package."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from scaling.laws.start import pull_in_number
from scaling.machines import magnet, reluctance

ANGLES = 16  # initial angles over one turn of the field, the favourable one (field and rotor aligned) among them


def synchronised(number, per_field_turn, p, J, omega, periods=20):
    """Simulate J*theta'' = T*sin(n*(omega*t - p*theta)) from rest; tell which initial angles end in synchronism.

    T is the torque of the given pull-in number. No damping, no load: a rotor that has been caught swings about the
    field's angle for ever, one that has not falls a turn behind again and again.
    """
    T = number / pull_in_number(p=p, T_e=1.0, J=J, omega=omega)
    start = -np.arange(ANGLES) * 2 * np.pi / ANGLES / p
    end = periods * 2 * np.pi / omega

    def motion(time, state):
        theta, speed = state[:ANGLES], state[ANGLES:]
        return np.concatenate([speed, T / J * np.sin(per_field_turn * (omega * time - p * theta))])

    state = np.concatenate([start, np.zeros(ANGLES)])
    solved = solve_ivp(motion, (0.0, end), state, method="DOP853", rtol=1e-7, atol=1e-7)
    behind = omega * end - p * (solved.y[:ANGLES, -1] - start)
    return np.abs(behind) < 2 * np.pi


def threshold(per_field_turn, p=2, J=3e-6, omega=2 * np.pi * 50):
    """Return the smallest pull-in number that synchronises at some initial angle, to 1 %."""
    low, high = 0.05, 2.0
    while high > 1.01 * low:
        middle = np.sqrt(low * high)
        if synchronised(middle, per_field_turn, p, J, omega).any():
            high = middle
        else:
            low = middle
    return np.sqrt(low * high)


@pytest.fixture(scope="module")
def found():
    return {"reluctance": threshold(per_field_turn=2), "magnet": threshold(per_field_turn=1)}


def test_simulated_threshold_is_that_of_the_energy(found):
    """Seen from the field the rotor starts at speed omega and must not climb over the top of the torque's potential.

    With phi = omega*t - p*theta: phi'' = -Pi*omega**2*sin(n*phi), so phi'**2/2 - Pi*omega**2*cos(n*phi)/n is kept. From
    phi = 0 and phi' = omega the top, cos = -1, is out of reach if Pi > n/4 (derived): 1/2 and 1/4.
    """
    assert found["reluctance"] == pytest.approx(1 / 2, rel=0.02)
    assert found["magnet"] == pytest.approx(1 / 4, rel=0.02)


@pytest.mark.parametrize(("per_field_turn", "exact"), [(2, 0.5), (1, 0.25)])
def test_threshold_depends_on_the_pull_in_number_alone(per_field_turn, exact):
    for p, J, omega in ((1, 1e-9, 2500.0), (3, 0.2, 40.0)):
        assert not synchronised(0.97 * exact, per_field_turn, p, J, omega).any()
        assert synchronised(1.03 * exact, per_field_turn, p, J, omega).any()


def test_an_unfavourable_angle_is_never_caught_without_damping():
    assert not synchronised(5.0, 2, 2, 3e-6, 314.0).all()


def test_reluctance_rotor_uses_the_simulated_threshold(found):
    assert pytest.approx(found["reluctance"], rel=0.15) == reluctance.ROTOR.torque_cycles_per_turn / 4


def test_magnet_rotor_uses_the_simulated_threshold(found):
    assert pytest.approx(found["magnet"], rel=0.15) == magnet.ROTOR.torque_cycles_per_turn / 4
