"""What a fixed voltage allows below the torque at which a machine pulls out: m_r is that torque over the rated one.

The torque between rest and pull-out goes with 2/(u + 1/u + 2*a), u from 0 to 1 at the pull-out point; so the rated
point follows from a quadratic. Resistances and reactances may be those of a phase or per gap area and square of the
loading. A reserve of exactly 1 is the pull-out point itself.
"""

import sympy as sp

from scaling.laws.formula import formula

_CIRCUIT = "sinusoidal balanced supply, circuit constants that do not change: no saturation, no skin effect"
_VOLTAGE = "reserve from 1 on, fixed voltage, resistance and reactances that do not change"


def _rated(m_r, a):
    """Return u below 1 at which m_r*(2 + 2*a) = u + 1/u + 2*a."""
    return _below((m_r - 1) * (1 + a))


def _below(above):
    """Return u below 1 at which u + 1/u = 2 + 2*above, without the loss of digits near either end."""
    return 1 / (1 + above + sp.sqrt(above * (above + 2)))


@formula("a_t", source="definition", valid=_CIRCUIT)
def breakdown_resistance_ratio(*, R_t, X_t, X_2):
    """Return resistance over impedance of what the rotor's resistance sees, which sets the shape of the torque."""
    return R_t / sp.sqrt(R_t**2 + (X_t + X_2) ** 2)


@formula(
    "s",
    source="derived: torque goes with 1/(s/s_b + s_b/s + 2*a_t)",
    valid=_CIRCUIT + "; largest torque at the breakdown, or at rest where the breakdown lies beyond",
)
def reserved_slip(*, m_r, s_b, s_l, a_t):
    """Return the slip at which an induction machine gives 1/m_r of its largest torque, which it has at slip s_l.

    Examples
    --------
    Without stator resistance, half of the largest torque: (2 - sqrt(3)) of the breakdown slip.

    >>> round(float(reserved_slip(m_r=2.0, s_b=0.2, s_l=0.2, a_t=0.0)), 4)
    0.0536
    """
    u = s_l / s_b
    return s_b * _below((m_r - 1) * (1 + a_t) + m_r * (1 - u) ** 2 / (2 * u))


@formula(
    "tan_delta",
    source="derived: square of the voltage as a quadratic form of the currents of both axes; tests maximise afresh",
    valid=_VOLTAGE + "; motor, X_d above X_q",
)
def reserved_load_angle(*, m_r, R, X_d, X_q):
    """Return the tangent of the load angle, q-axis over d-axis current, at 1/m_r of a reluctance machine's pull-out.

    Examples
    --------
    >>> round(float(reserved_load_angle(m_r=1.5, R=0.0, X_d=4.0, X_q=1.0)), 3)
    1.528
    """
    Z_d, Z_q = sp.sqrt(R**2 + X_d**2), sp.sqrt(R**2 + X_q**2)
    return Z_d / Z_q * _rated(m_r, R * (X_d - X_q) / (Z_d * Z_q))


@formula("m_r", source="derived: the same quadratic form; tests maximise afresh", valid=_VOLTAGE + "; motor")
def two_axis_pull_out(*, R, X_d, X_q, tan_delta):
    """Return a reluctance machine's largest torque at its voltage over that at a load angle; 1 at the pull-out point.

    Examples
    --------
    >>> round(float(two_axis_pull_out(R=0.0, X_d=4.0, X_q=1.0, tan_delta=1.528)), 3)
    1.5
    """
    Z_d, Z_q, crossed = sp.sqrt(R**2 + X_d**2), sp.sqrt(R**2 + X_q**2), R * (X_d - X_q)
    return (Z_d**2 / tan_delta + Z_q**2 * tan_delta + 2 * crossed) / (2 * (Z_d * Z_q + crossed))


@formula(
    "m_r",
    source="derived: largest power of the magnets' voltage at this current's terminal voltage; tests maximise afresh",
    valid=_VOLTAGE + "; motor, equal reactance in both axes",
)
def magnet_pull_out(*, R, X, Y_e, psi):
    """Return a magnet machine's largest torque at its voltage over that of its current.

    ``Y_e`` is that current over the voltage of the magnets' field, ``psi`` by how much it leads that voltage less a
    quarter turn: it magnetises.

    Examples
    --------
    >>> round(float(magnet_pull_out(R=0.0, X=1.0, Y_e=1.3333, psi=0.0)), 3)
    1.25
    """
    square = R**2 + X**2
    voltage = sp.sqrt(1 + square * Y_e**2 + 2 * Y_e * (R * sp.cos(psi) + X * sp.sin(psi)))
    return (voltage * sp.sqrt(square) - R) / (Y_e * sp.cos(psi) * square)
