"""Heating and duty: against the heat balance solved step by step, energy over a cycle, limits, and size."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from scaling.ground.materials import CONDUCTORS
from scaling.laws import duty as law
from scaling.laws import geometry
from scaling.laws import stator as stator_laws
from scaling.models import heat

BODY = {"m": 30.0, "c_h": 450.0, "h": 70.0, "S_o": 0.2}  # invented
PASSED = BODY["h"] * BODY["S_o"]
CAPACITY = BODY["m"] * BODY["c_h"]
ALLOWED = 60.0  # K


def followed(losses, passed, start, time):
    """Return temperature rises and the heat passed by solving the heat balance of one body."""

    def balance(_, state):
        return [(losses - passed * state[0]) / CAPACITY, passed * state[0]]

    solved = solve_ivp(balance, (0, time), [start, 0.0], rtol=1e-10, atol=1e-10)
    return solved.y[0, -1], solved.y[1, -1]


@pytest.mark.parametrize("start", [0.0, 20.0, 90.0])
@pytest.mark.parametrize("time", [30.0, 1000.0, 2e4])
def test_heating_curve_is_the_heat_balance(start, time):
    t_h = law.thermal_time_constant(**BODY)
    final = law.final_rise(P_v=800.0, h=BODY["h"], S_o=BODY["S_o"])
    rise, out = followed(800.0, PASSED, start, time)
    assert law.heating_curve(theta_e=final, theta_0=start, t_1=time, t_h=t_h) == pytest.approx(rise, rel=1e-6)
    assert CAPACITY * (rise - start) + out == pytest.approx(800.0 * time, rel=1e-6)  # stored plus passed is lost


def test_continuous_losses_end_in_the_rise_allowed():
    assert law.final_rise(P_v=PASSED * ALLOWED, h=BODY["h"], S_o=BODY["S_o"]) == pytest.approx(ALLOWED)


@pytest.mark.parametrize("minutes", [1.0, 10.0, 30.0, 60.0, 90.0])  # usual times of S2 in IEC 60034-1 (from memory)
def test_short_time_duty_reaches_the_rise_allowed(minutes):
    t_h = law.thermal_time_constant(**BODY)
    more = law.short_time_overload(t_w=60 * minutes, t_h=t_h)
    assert followed(more * PASSED * ALLOWED, PASSED, 0.0, 60 * minutes)[0] == pytest.approx(ALLOWED, rel=1e-6)


@pytest.mark.parametrize("factor", [0.15, 0.25, 0.4, 0.6])  # usual duty factors of S3 (from memory)
@pytest.mark.parametrize("still", [1.0, 0.4])  # cooling at rest over that at work
def test_intermittent_duty_settles_at_the_rise_allowed_and_closes_its_energy(factor, still):
    cycle, t_h = 600.0, law.thermal_time_constant(**BODY)
    work, pause = factor * cycle, (1 - factor) * cycle
    more = law.intermittent_overload(t_w=work, t_p=pause, t_h=t_h, t_c=t_h / still)
    assert law.duty_factor(t_w=work, t_p=pause) == pytest.approx(factor)
    losses, rise = more * PASSED * ALLOWED, 0.0
    for _ in range(40):
        rise, out_working = followed(losses, PASSED, rise, work)
        peak = rise
        rise, out_resting = followed(0.0, still * PASSED, rise, pause)
    assert peak == pytest.approx(ALLOWED, rel=1e-5)
    assert out_working + out_resting == pytest.approx(losses * work, rel=1e-5)
    assert more > 1


def test_limits_of_the_overloads():
    """Short cycles: the mean losses count. Long pauses: from cold every time. No pause: continuous."""
    given = {"t_h": 3600.0, "t_c": 7200.0}
    assert law.intermittent_overload(t_w=1.0, t_p=3.0, **given) == pytest.approx(1 + 3 / 2, rel=1e-3)
    assert law.intermittent_overload(t_w=1.0, t_p=3.0, t_h=3600.0, t_c=3600.0) == pytest.approx(4, rel=1e-3)
    cold = law.short_time_overload(t_w=900.0, t_h=3600.0)
    assert law.intermittent_overload(t_w=900.0, t_p=1e6, **given) == pytest.approx(cold)
    assert law.intermittent_overload(t_w=900.0, t_p=1e-9, **given) == pytest.approx(1)
    assert law.short_time_overload(t_w=1.0, t_h=3600.0) == pytest.approx(3600, rel=1e-3)
    assert law.short_time_overload(t_w=1e5, t_h=3600.0) == pytest.approx(1)


def test_current_spends_what_the_constant_losses_leave():
    """One body: in a time from cold all losses make the same part of their rise."""
    part, constant = 1 / 2.5, 0.4
    rises = {"theta_k": constant * ALLOWED * part, "theta_v": (1 - constant) * ALLOWED * part}
    a_o = law.current_overload(theta=ALLOWED, **rises)
    assert law.overload_losses(a_o=a_o, c_k=constant) == pytest.approx(2.5)
    assert law.current_overload(theta=60.0, theta_k=0.0, theta_v=15.0) == pytest.approx(2)
    assert law.overload_losses(a_o=1.0, c_k=constant) == pytest.approx(1)


@pytest.mark.parametrize("time", [1.0, 600.0, 1e6])
def test_current_from_warm_by_the_heat_balance(time):
    """From the steady rise on, the rise is followed with the losses of the current that the law allows."""
    constant, hot = 0.4, 85.0
    own = (1 - constant) * PASSED * ALLOWED
    rise = followed(own, PASSED, 0.0, time)[0]
    a_o = law.warm_current_overload(theta=hot, theta_e=ALLOWED, theta_v=rise)
    losses = constant * PASSED * ALLOWED + a_o**2 * own
    assert followed(losses, PASSED, ALLOWED, time)[0] == pytest.approx(hot, rel=1e-6)
    assert law.warm_current_overload(theta=ALLOWED, theta_e=ALLOWED, theta_v=rise) == pytest.approx(1)


# How it goes with size


def time_constant(size, coefficient):
    D, L, D_o = 0.1 * size, 0.1 * size, 0.18 * size
    S_o = geometry.outside_area(D_o=D_o, L_o=1.4 * L)
    m = geometry.active_mass(
        D=D,
        D_i=1.01 * D,
        L=L,
        y=0.018 * size,
        D_o=D_o,
        d_s=0.02 * size,
        phi_s=0.2,
        phi_t=0.5,
        k_s=0.96,
        e=1.0,
        rho_c=7700.0,
        rho_w=8890.0,
    )
    return law.thermal_time_constant(m=m, c_h=450.0, h=coefficient(D_o, L, S_o), S_o=S_o)


def slope(coefficient, size=1.0):
    return np.log(time_constant(1.01 * size, coefficient) / time_constant(size / 1.01, coefficient)) / np.log(1.01**2)


def test_time_constant_goes_with_size_over_the_heat_transfer_coefficient():
    brief = {"ambient": 293.15, "rise": 50.0}
    assert slope(lambda D_o, L, S_o: 10.0) == pytest.approx(1)
    assert slope(lambda D_o, L, S_o: 0.5 / np.sqrt(S_o)) == pytest.approx(2)  # conduction into a medium
    assert slope(lambda D_o, L, S_o: heat.fan_coefficient(L, 20.0, *brief.values())) == pytest.approx(1.2, abs=1e-3)
    still = slope(lambda D_o, L, S_o: heat.natural_coefficient(D_o, *brief.values()))
    assert 1.05 < still < 1.3  # laminar 1.25, turbulent 1


def test_an_ordinary_motor_takes_half_an_hour_and_one_of_a_millimetre_seconds():
    """Time constants of open and fan-cooled motors are some 10 to 90 minutes (common practice, no source)."""
    ordinary = time_constant(1.0, lambda D_o, L, S_o: 70.0)
    assert 10 * 60 < ordinary < 90 * 60
    assert time_constant(0.01, lambda D_o, L, S_o: heat.natural_coefficient(D_o, 293.15, 50.0)) < 120


# The winding alone


def test_winding_heats_by_its_joule_heat():
    copper = CONDUCTORS["copper"]
    rho = stator_laws.resistivity_at(sigma_20=58e6, alpha_20=0.00393, T=333.15, T_20=293.15)
    time = law.winding_heating_time(theta=60.0, c_h=385.0, rho_w=copper.density, rho=rho, J_rms=30e6)
    wire = 1e-6 * 0.3  # m³
    assert rho * 30e6**2 * wire * time == pytest.approx(copper.density * wire * 385.0 * 60.0)
    assert 5 < time < 20


def test_short_time_law_is_not_for_seconds():
    """For times as short as that the one body allows losses at which the winding alone would be hot long before."""
    t_h, J = law.thermal_time_constant(**BODY), 5e6
    seconds = 5.0
    part = 1 / law.short_time_overload(t_w=seconds, t_h=t_h)
    more = law.current_overload(theta=60.0, theta_k=0.3 * 60.0 * part, theta_v=0.7 * 60.0 * part)
    alone = law.winding_heating_time(theta=60.0, c_h=385.0, rho_w=8890.0, rho=2.1e-8, J_rms=J * more)
    assert alone < seconds
