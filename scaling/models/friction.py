"""Friction torque of bearing and air; arrays broadcast, SI."""

import numpy as np

from scaling.ground.materials import OIL
from scaling.laws import bearings
from scaling.laws import friction as law

SMALLEST_BALL_BORE = 1e-3  # m; common practice, no source
BEARING_FRICTION = {"plain": 0.1, "ball": 0.0015}  # at the bearing radius; ball: two public tables, 0.0013 and 0.0015
ROUGHNESS = 0.5e-6  # m, ground journal in a bored or pressed bearing; common practice, no source
PITCH_RATIO = 1.6  # pitch diameter over bore of deep groove bearings: 1.4 to 2 in the boundary dimensions; from memory
# Palmgren; f_0 of one row of balls in an oil bath, 1 to 2 in grease, from memory. The rest are his numbers in SI.
PALMGREN = {"f_0": 2.0, "p_0": 1e-7 * 2000 ** (2 / 3) * 1e6, "q_0": 2000e-6 * 2 * np.pi / 60}
_NONE = 1e-30  # stands for no diameter, load or viscosity, so that limits need no cases


def air_torque(angular_speed, diameter, gap, length, viscosity, density):
    """Return the windage torque of a smooth rotor, creeping to turbulent: the largest of three regimes [N·m].

    Zero speed gives zero.
    """
    speed = np.maximum(angular_speed, 1e-100)
    reynolds = law.gap_reynolds_number(Omega=speed, D=diameter, g=gap, nu_f=viscosity)
    coefficient = np.maximum(
        law.laminar_torque_coefficient(Re=reynolds),
        np.maximum(
            law.vortex_torque_coefficient(Re=reynolds, g=gap, D=diameter),
            law.turbulent_torque_coefficient(Re=reynolds, g=gap, D=diameter),
        ),
    )
    torque = law.windage_torque(C_f=coefficient, rho_f=density, Omega=speed, D=diameter, L=length)
    return np.where(np.asarray(angular_speed) > 0.0, torque, 0.0)


def side_pull(field, diameter, length, gap, magnetic_gap, pole_pairs, eccentricity):
    """Return the unbalanced magnetic pull of a gap field of this peak on a rotor out of centre by eccentricity*gap [N].

    With one pole pair it is half of the law's: half of the stress turns round the bore twice and pulls nowhere.
    """
    pull = bearings.unbalanced_pull(D=diameter, L=length, B=field, e_g=eccentricity, g=gap, g_m=magnetic_gap)
    return pull * np.where(np.asarray(pole_pairs) > 1, 1.0, 0.5)


def bearing_torque(si, diameter, weight, side_pull, angular_speed):
    """Return the friction torque of the rotor's two bearings [N·m], of the kind ``si.bearing``.

    "plain": boundary friction at rest, an oil film with speed; "ball": Palmgren; None: balls where the bore is a
    millimetre or more, plain below. ``si.bearing_friction`` None is the usual one of the kind. Starting torque at speed
    zero; the sense of rotation does not count.
    """
    bore = np.maximum(si.bearing_diameter_ratio * np.asarray(diameter, dtype=float), _NONE)
    load = np.maximum(bearings.bearing_load(F_w=weight, F_s=side_pull), _NONE)
    speed = np.abs(angular_speed)
    kinds = {"plain": _plain_bearings, "ball": _ball_bearings}
    if si.bearing is not None:
        return kinds[si.bearing](si, bore, load, speed)
    fine = bore < SMALLEST_BALL_BORE
    if fine.all() or not fine.any():  # saves half of the time where all are of one kind
        return kinds["plain" if fine.all() else "ball"](si, bore, load, speed)
    plain, ball = (kind(si, bore, load, speed) for kind in kinds.values())
    return np.where(fine, plain, ball)[()]


def _load_torque(si, kind, bore, load):
    friction = BEARING_FRICTION[kind] if si.bearing_friction is None else si.bearing_friction
    return bearings.load_torque(c_f=friction, F_j=load, d_j=bore)


def _plain_bearings(si, bore, load, speed):
    clearance = np.maximum(si.bearing_clearance_ratio * bore / 2, si.bearing_clearance_floor)
    size = {"d_j": bore, "l_j": si.bearing_length_ratio, "c_j": clearance}
    moved = {"eta_l": np.maximum(si.lubricant_viscosity, _NONE), "Omega": np.maximum(speed, _NONE)}
    number = bearings.sommerfeld_number(**size, **moved, F_j=load)
    film = bearings.film_thickness(c_j=clearance, l_j=si.bearing_length_ratio, S_j=number)
    viscous = bearings.film_torque(**size, **moved, h_j=film)
    touch = _load_torque(si, "plain", bore, load)
    return bearings.plain_bearing_torque(M_v=viscous, M_j=touch, h_j=film, h_c=ROUGHNESS)


def _ball_bearings(si, bore, load, speed):
    viscosity = np.maximum(si.lubricant_viscosity, _NONE) / OIL["rho_f"]
    moved = np.maximum(speed, PALMGREN["q_0"] / viscosity)
    drag = bearings.ball_bearing_drag(**PALMGREN, nu_l=viscosity, Omega=moved, d_p=PITCH_RATIO * bore)
    return bearings.ball_bearing_torque(M_v=drag, M_j=_load_torque(si, "ball", bore, load))
