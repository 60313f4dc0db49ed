"""Jackets of water and oil, and a flange: limits, second routes, a second library."""

import numpy as np
import pytest
from fluids.friction import friction_factor
from ht.conv_internal import turbulent_Gnielinski
from scipy.linalg import eigh
from scipy.special import gamma
from test_heat import ROOM, outside, slope, surface

from scaling.ground.materials import OIL, WATER
from scaling.laws import heat as law
from scaling.models import heat

# Jackets


def channel(speed, liquid, height=4e-3, length=0.6):
    return heat.channel_coefficient(height, length, speed, *heat.liquid_properties(liquid, 313.15))


def test_a_laminar_jacket_has_the_limits_of_its_channel():
    conductivity, viscosity, prandtl = heat.liquid_properties(OIL, 313.15)
    assert channel(1e-9, OIL) == pytest.approx(4.861 * conductivity / 8e-3, rel=1e-3)  # far inside, speed is nothing
    assert slope(lambda v: channel(v, OIL, 1e-3, 1e-3), 1.0) == pytest.approx(1 / 3, abs=0.01)  # at the entry
    reynolds = 1.0 * 8e-3 / viscosity
    assert reynolds < 2300 and channel(1.0, OIL) > 3 * channel(1e-9, OIL), "most of an oil jacket is entry"


def test_laminar_flow_in_a_channel_far_inside_by_its_slowest_mode():
    """Second route: u*T' decays as w*T with the parabola w of speeds; Nu = decay over four of the mixed mean."""
    n = 400
    y = (np.arange(n) + 0.5) / n  # over the height; the wall at 0 is cold, that at 1 passes no heat
    conduct = np.diag(np.full(n, 2.0)) - np.diag(np.ones(n - 1), 1) - np.diag(np.ones(n - 1), -1)
    conduct[0, 0], conduct[-1, -1] = 3.0, 1.0
    decay = eigh(conduct * n**2, np.diag(6 * y * (1 - y)), eigvals_only=True)[0]
    assert 2 * decay == pytest.approx(4.861, rel=2e-3)


def test_the_entry_of_a_channel_by_its_thin_layer():
    """Leveque: (3*gamma/(9*alpha*x))^(1/3)/Gamma(4/3) over the length, slope gamma = 12*v/D_h at the wall."""
    nusselt = 1.5 * (12 / 9) ** (1 / 3) / gamma(4 / 3)
    short = law.laminar_channel_nusselt_number(Re=1000.0, Pr=100.0, D_h=1.0, ell=1e-3)
    assert short == pytest.approx(nusselt * (1000 * 100 / 1e-3) ** (1 / 3), rel=2e-3)


@pytest.mark.parametrize("reynolds", [3e3, 1e4, 1e5, 1e6])
@pytest.mark.parametrize("prandtl", [0.7, 4.34, 300.0])
def test_turbulent_flow_in_a_channel_against_a_second_library(reynolds, prandtl):
    friction = law.channel_friction_factor(Re=reynolds)
    expected = turbulent_Gnielinski(Re=reynolds, Pr=prandtl, fd=friction)
    assert law.turbulent_channel_nusselt_number(Re=reynolds, Pr=prandtl, f_D=friction) == pytest.approx(expected)
    smooth = friction_factor(Re=reynolds, eD=0.0)  # of the library fluids
    assert friction == pytest.approx(smooth, rel=0.05)


def test_a_fast_water_jacket_is_turbulent_and_its_ends_stand_in_still_air():
    assert 0.75 < slope(lambda v: channel(v, WATER), 3.0) < 0.95
    round_core = 0.1 * 0.1 / (0.1 * 0.1 + 0.1**2 / 2)
    expected = round_core * heat.channel_coefficient(2e-3, np.pi * 0.1, 3.0, *heat.liquid_properties(WATER, ROOM)) + (
        1 - round_core
    ) * outside("still air")
    assert outside("water jacket") == pytest.approx(expected)
    assert outside("water jacket") > 5 * outside("oil jacket") > 10 * outside("still air")


# A flange


def test_a_flange_without_contact_is_still_air_on_all_but_the_face():
    face = np.pi / 4 * 0.1**2
    free = 1 - face / surface(0.1, 0.1)
    # The wall is cooled evenly: its mean rise is that of one without a joint.
    assert outside("flange", flange_conductance=1e-9) == pytest.approx(free * outside("still air"), rel=1e-6)


def test_a_flange_of_perfect_contact_is_limited_by_the_wall():
    """Wall of 3 mm, 150 W/(m K): heat spread along it rises by q*L**2/(3*lambda*t) over its cold end, on the mean."""
    wall = 3 * 150.0 * 3e-3 / 0.1**2  # W/(m2 K) of the side
    side = 0.1 * 0.1 / (0.1 * 0.1 + 0.1**2 / 2)
    found = outside("flange", flange_conductance=1e12)
    assert found == pytest.approx(wall * side, rel=0.1) and found > wall * side  # and some air
    joints = [outside("flange", flange_conductance=10.0**n) for n in range(-3, 9)]
    assert np.all(np.diff(joints) > 0) and joints[-1] == pytest.approx(found, rel=1e-3)


def test_the_wall_of_a_flange_is_the_fin_equation_solved_step_by_step():
    """Second route: nodes along the wall, heat into each, air at each, the joint at the first."""
    h, k, t, L, D, joint, n = 20.0, 150.0, 3e-3, 0.1, 0.1, 300.0, 2000
    step = L / n
    along = np.full(n - 1, k * t / step)  # W/K per metre of edge
    matrix = np.diag(np.full(n, h * step)) - np.diag(along, 1) - np.diag(along, -1)
    matrix += np.diag(np.append(along, 0)) + np.diag(np.append(0, along))
    matrix[0, 0] += 1 / (1 / (joint * D / 4) + step / 2 / (k * t))
    rise = np.linalg.solve(matrix, np.full(n, step))  # of one W/m2
    wall = {"L_o": L, "lambda_a": k, "t_g": t}
    found = law.flanged_wall_coefficient(
        h_s=h, u_f=law.wall_fin_number(h_s=h, **wall), r_f=law.joint_ratio(h_f=joint, D_o=D, **wall)
    )
    assert found == pytest.approx(1 / np.mean(rise), rel=1e-5)
