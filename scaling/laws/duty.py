"""Heating up: the thermal time constant, and what short-time and intermittent duty allow above continuous duty.

The duty types are those of IEC 60034-1 in general terms: S1 continuous, S2 short time from cold, S3 intermittent
periodic with pauses at rest. All hold for one body at one temperature whose losses do not change with it.
"""

import sympy as sp

from scaling.laws.formula import formula

_BODY = "one body at one temperature, losses and cooling constant"
_SHORT = "; work much longer than the winding takes to warm its core, else see winding_heating_time"


@formula("t_h", source="definition: heat capacity over heat passed per kelvin", valid=_BODY)
def thermal_time_constant(*, m, c_h, h, S_o):
    """Return the thermal time constant; it goes with size over the heat transfer coefficient.

    Copper and iron together hold about 450 J/(kg K) (common practice, no source).

    Examples
    --------
    Active parts of 30 kg, 0.2 m² at 70 W/(m² K): a quarter of an hour.

    >>> round(float(thermal_time_constant(m=30.0, c_h=450.0, h=70.0, S_o=0.2)) / 60)
    16
    """
    return m * c_h / (h * S_o)


@formula("theta_e", source="heat balance", valid=_BODY)
def final_rise(*, P_v, h, S_o):
    """Return the temperature rise that constant losses end in."""
    return P_v / (h * S_o)


@formula("theta_1", source="heat balance of one body, an exponential", valid=_BODY)
def heating_curve(*, theta_e, theta_0, t_1, t_h):
    """Return the temperature rise after a time, from one at the start towards a final one."""
    return theta_e + (theta_0 - theta_e) * sp.exp(-t_1 / t_h)


@formula("p_o", source="derived: the rise allowed is reached at the end", valid=_BODY + _SHORT)
def short_time_overload(*, t_w, t_h):
    """Return the losses that short-time duty (S2) allows over those of continuous duty; t_h/t_w for short times.

    Examples
    --------
    Half an hour with a time constant of an hour.

    >>> round(float(short_time_overload(t_w=30.0, t_h=60.0)), 2)
    2.54
    """
    return 1 / (1 - sp.exp(-t_w / t_h))


@formula("phi_d", source="definition, IEC 60034-1 (from memory)", valid="always")
def duty_factor(*, t_w, t_p):
    """Return the duty factor of intermittent duty; usual ones are 0.15, 0.25, 0.4, 0.6 of ten minutes."""
    return t_w / (t_w + t_p)


@formula("p_o", source="derived: the rise allowed is reached at the end of each time at work", valid=_BODY + _SHORT)
def intermittent_overload(*, t_w, t_p, t_h, t_c):
    """Return the losses that intermittent duty (S3) allows over those of continuous duty.

    For cycles much shorter than the time constants 1 + t_p*t_h/(t_w*t_c): one over the duty factor where the fan
    turns on; for long pauses that of short-time duty.

    Examples
    --------
    Four minutes of ten, an hour's time constant, twice that at rest.

    >>> round(float(intermittent_overload(t_w=4.0, t_p=6.0, t_h=60.0, t_c=120.0)), 2)
    1.71
    """
    return (1 - sp.exp(-t_w / t_h - t_p / t_c)) / (1 - sp.exp(-t_w / t_h))


@formula(
    "a_o",
    source="derived: losses that go with the square of the current make a_o^2*theta_v, all others theta_k",
    valid="rises in proportion to losses; theta above theta_k",
)
def current_overload(*, theta, theta_k, theta_v):
    """Return the current over the continuous one that lets a rise just be reached, in a time from cold or a cycle.

    Examples
    --------
    Losses of the continuous current make 10 K in the time, those that stay 2 K; 60 K are allowed.

    >>> round(float(current_overload(theta=60.0, theta_k=2.0, theta_v=10.0)), 2)
    2.41
    """
    return sp.sqrt((theta - theta_k) / theta_v)


@formula(
    "a_o",
    source="derived: what the current adds to its losses makes (a_o^2 - 1)*theta_v on top of the steady rise",
    valid="rises in proportion to losses; at work for long before; theta_v from cold",
)
def warm_current_overload(*, theta, theta_e, theta_v):
    """Return the current over the continuous one that lets a rise be reached in a time, from the continuous point on.

    Examples
    --------
    From 60 K to 85 K, losses of the continuous current making 10 K from cold in the same time.

    >>> round(float(warm_current_overload(theta=85.0, theta_e=60.0, theta_v=10.0)), 2)
    1.87
    """
    return sp.sqrt(1 + (theta - theta_e) / theta_v)


@formula(
    "p_o",
    source="derived: a part goes with the square of the current, the rest stays",
    valid="supply off during pauses",
)
def overload_losses(*, a_o, c_k):
    """Return the losses over those of continuous duty at a current over the continuous one."""
    return c_k + (1 - c_k) * a_o**2


@formula(
    "t_w",
    source="derived: Joule heat stays in the conductor",
    valid="no heat passed on: an upper limit of the heating for the first seconds to minutes; resistivity constant",
)
def winding_heating_time(*, theta, c_h, rho_w, rho, J_rms):
    """Return the time in which a current density alone heats its conductor by a temperature rise.

    Examples
    --------
    Copper at 30 A/mm², 60 K: 11 seconds.

    >>> round(float(winding_heating_time(theta=60.0, c_h=385.0, rho_w=8890.0, rho=2.1e-8, J_rms=30e6)))
    11
    """
    return theta * c_h * rho_w / (rho * J_rms**2)


@formula(
    "theta_w",
    source="derived: the heat of a slot's copper crosses the liner on the slot's three walls",
    valid="steady; drop inside the bundle and at the liner's contact left out",
)
def winding_drop(*, rho, J_rms, phi_n, w_u, d_s, t_i, lambda_i):
    """Return the temperature drop from the winding to its core.

    Examples
    --------
    10 A/mm² in slots 5 mm by 13 mm, 0.25 mm of liner: 2.3 K; 30 A/mm²: 21 K.

    >>> slot = {"rho": 2.2e-8, "phi_n": 0.4, "w_u": 5e-3, "d_s": 13e-3, "t_i": 0.25e-3, "lambda_i": 0.2}
    >>> [round(float(winding_drop(J_rms=J, **slot)), 1) for J in (10e6, 30e6)]
    [2.3, 20.8]
    """
    return rho * J_rms**2 * phi_n * w_u * d_s / (2 * d_s + w_u) * t_i / lambda_i
