"""Where an induction rotor breaks down, and whether a synchronous one is pulled into step: for arrays of machines.

The motion of the pull-in laws is that of :mod:`scaling.models.pull_in`; tests follow it step by step. All torques
count in the largest synchronous torque, and only the pull-in number over n_T matters.
"""

import sympy as sp

from scaling.laws.formula import formula

_KLOSS = "thin gap, stator resistance left out (fed by a current), rotor resistance constant"
_STEP = "supply switched on at full frequency, rotor at rest, sinusoidal torque"


@formula("s_b", source="derived: the response x/(1 + x**2) has its peak at x = s*G = 1", valid=_KLOSS)
def breakdown_slip(*, G):
    """Return the slip of the largest torque of an induction rotor; above 1 it lies beyond standstill."""
    return 1 / G


@formula("T_2", source="definition of mechanical power", valid="always")
def torque_of_power(*, P_2, Omega):
    """Return the torque at the shaft that gives a power at a speed."""
    return P_2 / Omega


# Into step


def _caught_from(n_T, l_T, psi_0):
    """Return the pull-in number from which a rotor that starts forward at a phase stays below the top of its well."""
    top = sp.pi - sp.asin(l_T)
    return n_T / (2 * (sp.cos(psi_0) - sp.cos(top) + l_T * (psi_0 - top)))


@formula(
    "Pi",
    source="derived: the best starting phase is asin(l_T), the bottom of the tilted well",
    valid=_STEP + "; load of any kind, no damping; some damping asks for less",
)
def favourable_pull_in_need(*, n_T, l_T):
    """Return the pull-in number that catches a rotor against a load from the most favourable angle.

    Examples
    --------
    A reluctance rotor without load, and with a third of its torque.

    >>> need = favourable_pull_in_need(n_T=2.0, l_T=[1e-9, 1 / 3])
    >>> need.round(3).tolist()
    [0.5, 0.939]
    """
    return n_T / (4 * (sp.sqrt(1 - l_T**2) - l_T * sp.acos(l_T)))


@formula(
    "Pi",
    source="derived: a rotor on the verge of slipping for ever is dragged back through half a swing, where friction "
    "takes what it gives in the other half; above a load of 0.537 it comes to rest and waits for the best angle",
    valid=_STEP + "; load of dry friction, which also holds the rotor at rest; takes some 1/l_T swings",
)
def certain_pull_in_need(*, n_T, l_T):
    """Return the pull-in number that catches a rotor against dry friction from every angle in the end.

    Examples
    --------
    Twice that of the favourable angle for little friction, the same for much.

    >>> certain_pull_in_need(n_T=2.0, l_T=[1e-9, 1 / 3, 0.6]).round(3).tolist()
    [1.0, 1.146, 2.052]
    """
    return _caught_from(n_T, l_T, _last_rest(l_T))


@formula(
    "M_c",
    source="derived: energy over a swing of a rotor that all but stops at the top of the well; exact for small torques "
    "and for dry friction alone, a fit corrects for larger loads",
    valid=_STEP + "; l_w + l_f + l_v below 1 and not 0. Followed step by step, rotors under all these torques together "
    "become certain at an M_c of 0.9 to 1.1. Exception: where the cage's torque at high slip hardly exceeds the load "
    "(s_b below 0.3) the rotor may hang there up to an M_c of 1.2. Against a weight M_c may fall again with Pi. A cage "
    "without breakdown has an s_b of 1000",
)
def capture_number(*, Pi, n_T, l_w, l_f, l_v, d_c, s_b):
    """Return what slows a slipping rotor down in a swing over what keeps it slipping; above 1 every angle is caught.

    What slows it is a cage, viscous friction and, where the field drags it backwards, dry friction. A damper cage
    alone, small load: caught from a slip l_w/d_c below 4/pi*sqrt(Pi/n_T), whatever the inertia.

    Examples
    --------
    A reluctance rotor at a fifth of its pull-in number from rest, a tenth of its torque as load.

    >>> given = {"Pi": 0.1, "n_T": 2.0, "l_w": 0.1, "l_f": 0.0, "l_v": 0.0, "s_b": 0.5}
    >>> capture_number(d_c=[0.3, 0.6], **given).round(2).tolist()
    [0.57, 1.14]
    """
    K, held = Pi / n_T, l_w + l_f + l_v
    steeper = 1 + held**2 * (sp.Rational(526, 1000) - sp.Rational(418, 1000) * sp.cbrt(1 - held**2))
    q = 2 * sp.sqrt(K) / s_b
    damped = sp.sqrt(K) * (l_v + d_c * sp.asinh(q) / (q * sp.sqrt(1 + q**2))) / steeper
    dragged = sp.acos(sp.Min(1, sp.sqrt(_caught_from(1, l_f, _last_rest(l_f)) / (2 * K))))
    return 4 * (damped + l_f * dragged) / (sp.pi * held)


@formula(
    "s_c",
    source="derived: mean slip of a rotor that all but stops once in a swing",
    valid="little load; from 1 on the rotor is caught from rest",
)
def capture_slip(*, Pi, n_T):
    """Return the slip from which a rotor without much load falls into step: down to it a cage has to carry the load.

    Examples
    --------
    >>> round(float(capture_slip(Pi=0.1, n_T=2.0)), 3)
    0.285
    """
    return 4 / sp.pi * sp.sqrt(Pi / n_T)


@formula(
    "s_b",
    source="definition: d_c*s/(1 + (s/s_b)**2) is the torque d_r",
    valid="d_r below d_c*s",
)
def fitted_breakdown_slip(*, d_c, d_r, s):
    """Return the breakdown slip of a cage from its torque per slip near synchronism and its torque at a slip.

    Examples
    --------
    >>> round(float(fitted_breakdown_slip(d_c=5.0, d_r=1.0, s=1.0)), 3)
    0.5
    """
    return s / sp.sqrt(d_c * s / d_r - 1)


def _last_rest(l_f):
    """Return the phase from which a rotor that was dragged back through half a swing starts forward."""
    return sp.Max(sp.asin(l_f), sp.acos(sp.Min(sp.pi * l_f / 2, 1)))
