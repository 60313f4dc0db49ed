"""A rotor with two unlike axes and a starting cage, on a fixed voltage at any slip: its mean torque and current.

Resistances and reactances are per gap area and square of the peak loading: [V/m] over [A/m]. In the rotor's frame both
axes see the slip's frequency. With the stator's resistance R, m = 2*s - 1 and an axis' reactance X = x - j*y,

    i_d = U*(R + j*m*X_q)/D,    i_q = -j*U*(R + j*m*X_d)/D,    D = R**2 + j*s*R*(X_d + X_q) - m*X_d*X_q

and the power across the gap is Re(X_d*i_d*conj(i_q) - X_q*i_q*conj(i_d))/4. Equal axes give the equivalent circuit.
"""

import sympy as sp

from scaling.laws.formula import formula

_AXIS = "rotor resistance and leakage constant: no skin effect, no saturation; one loop of currents an axis"
_DERIVED = "derived: voltages of both axes in the rotor's frame at constant slip, tests solve them as numbers"
_VOLTAGE = "sinusoidal balanced fixed voltage, speed as good as constant over a swing; " + _AXIS


@formula("x_a", source="derived: magnetising reactance beside the cage's branch", valid=_AXIS)
def axis_reactance(*, X_1, X_m, X_2, R_2, s):
    """Return the reactance of an axis at a slip, what stands in series with it included."""
    whole = X_m + X_2
    return X_1 + X_m * (R_2**2 + s**2 * X_2 * whole) / (R_2**2 + (s * whole) ** 2)


@formula("y_a", source="derived: the same branch; its product with the slip is the cage's resistance", valid=_AXIS)
def axis_damping(*, X_m, X_2, R_2, s):
    """Return the part of an axis' reactance that takes power, 0 at synchronism.

    Examples
    --------
    Without leakage, X_m times the response of a conducting rotor at slip times goodness 1: a half.

    >>> float(axis_damping(X_m=2.0, X_2=0.0, R_2=0.2, s=0.1))
    1.0
    """
    return X_m**2 * s * R_2 / (R_2**2 + (s * (X_m + X_2)) ** 2)


def _denominator(R, x_d, y_d, x_q, y_q, s):
    """Return the square of the size of D."""
    m = 2 * s - 1
    real = R**2 + s * R * (y_d + y_q) - m * (x_d * x_q - y_d * y_q)
    return real**2 + (s * R * (x_d + x_q) + m * (x_d * y_q + x_q * y_d)) ** 2


@formula("q_g", source=_DERIVED, valid=_VOLTAGE)
def asynchronous_gap_power(*, U_s, R, x_d, y_d, x_q, y_q, s):
    """Return the mean power across the gap per area of a rotor that slips; torque is this over synchronous speed.

    Without resistance it is the mean of both axes' on their own. Unlike axes drive a current of the frequency 1 - 2*s
    through the supply: with resistance it brakes below half slip, and the torque dips there.

    Examples
    --------
    One axis with a cage, at rest and just above half speed.

    >>> given = {"U_s": 2.0, "R": 0.3, "x_d": 1.0, "y_d": 1.0, "x_q": 1.0, "y_q": 0.0}
    >>> asynchronous_gap_power(s=[1.0, 0.45], **given).round(3).tolist()
    [0.474, 0.52]
    """
    m, d, q = 2 * s - 1, x_d**2 + y_d**2, x_q**2 + y_q**2
    both = R**2 * (y_d + y_q) + m**2 * (d * y_q + q * y_d) + m * R * ((x_d - x_q) ** 2 + (y_d + y_q) ** 2)
    return U_s**2 * both / (4 * _denominator(R, x_d, y_d, x_q, y_q, s))


@formula(
    "s",
    source="derived: m/|D|**2 is smallest where both parts of D are as large",
    valid=_VOLTAGE + "; the axes' reactances at half slip, resistance below theirs; exact for axes that differ much",
)
def dip_slip(*, R, x_d, y_d, x_q, y_q):
    """Return the slip at which unlike axes brake most, below a half.

    Examples
    --------
    >>> round(float(dip_slip(R=0.1, x_d=1.0, y_d=0.0, x_q=1.0, y_q=0.0)), 3)
    0.45
    """
    both = sp.sqrt(((x_d + x_q) ** 2 + (y_d + y_q) ** 2) / ((x_d**2 + y_d**2) * (x_q**2 + y_q**2)))
    return (1 - sp.Min(R * both / 2, 1)) / 2


@formula("A", source=_DERIVED, valid=_VOLTAGE + "; root of the mean square of both axes")
def asynchronous_loading(*, U_s, R, x_d, y_d, x_q, y_q, s):
    """Return the peak loading that heats as the currents of a slipping rotor's stator do, of both frequencies."""
    m = 2 * s - 1
    each = sum((R + m * y) ** 2 + (m * x) ** 2 for x, y in ((x_d, y_d), (x_q, y_q)))
    return U_s * sp.sqrt(each / (2 * _denominator(R, x_d, y_d, x_q, y_q, s)))


@formula(
    "q_s",
    source="derived: asynchronous_gap_power at little slip; what brakes by the unlike axes alone does not count",
    valid=_VOLTAGE,
)
def damping_power(*, U_s, R, X_d, X_q, y_d, y_q):
    """Return the cage's power across the gap per area and slip near synchronism; y_d and y_q are those per slip."""
    return U_s**2 * (y_d * (R**2 + X_q**2) + y_q * (R**2 + X_d**2)) / (4 * (R**2 + X_d * X_q) ** 2)


@formula("U_s", source="Ohm's law in both axes", valid="in step, motor; ribs' flux left out")
def two_axis_voltage(*, A, R, X_d, X_q, tan_delta):
    """Return the voltage of a reluctance machine's loading at a load angle.

    Examples
    --------
    >>> round(float(two_axis_voltage(A=1.0, R=0.0, X_d=4.0, X_q=3.0, tan_delta=1.0)), 3)
    3.536
    """
    d, q = R - X_q * tan_delta, R * tan_delta + X_d
    return A * sp.sqrt((d**2 + q**2) / (1 + tan_delta**2))


@formula("U_s", source="Ohm's law", valid="in step, motor, equal reactance in both axes")
def magnet_voltage(*, A, R, X, E_s, psi):
    """Return the voltage of a magnet machine's loading, which leads the magnets' voltage E_s by a quarter less psi."""
    return sp.sqrt(
        (E_s + A * (R * sp.cos(psi) + X * sp.sin(psi))) ** 2 + A**2 * (X * sp.cos(psi) - R * sp.sin(psi)) ** 2
    )


@formula(
    "A_d",
    source="derived: magnet_voltage, whose square is a quadratic of both parts of the loading, solved for one",
    valid="in step, motor, equal reactance in both axes; the root that a growing load leads to pull-out",
)
def magnetising_loading(*, A_q, R, X, E_s, U_s):
    """Return the part of the loading that magnetises, of a magnet machine on a voltage; below zero it demagnetises.

    ``A_q`` is the part that makes torque, in phase with the magnets' voltage.

    Examples
    --------
    Without torque it makes up for what the magnets' voltage lacks.

    >>> float(magnetising_loading(A_q=0.0, R=0.0, X=2.0, E_s=3.0, U_s=4.0))
    0.5
    """
    square = R**2 + X**2
    return (sp.sqrt(sp.Max(square * U_s**2 - (square * A_q + E_s * R) ** 2, 0)) - E_s * X) / square


@formula(
    "q_g",
    source="derived: the magnets' voltage at the rotor's speed drives a current through the supply, a short circuit",
    valid="steady speed, equal reactance in both axes; slip 0 to 1",
)
def magnet_brake(*, E_s, R, X, s):
    """Return the power by which magnets brake below synchronism, per area and as torque times synchronous speed.

    Examples
    --------
    Largest where reactance and resistance are alike.

    >>> magnet_brake(E_s=2.0, R=0.1, X=1.0, s=[0.0, 0.9, 1.0]).round(3).tolist()
    [0.198, 1.0, 0.0]
    """
    return (1 - s) * E_s**2 * R / (2 * (R**2 + ((1 - s) * X) ** 2))


# Room for the bars


_BARS = "derived: heat of an axis' sine of vector potential in the space, as a sheet under the whole surface would make"


@formula("phi_cd", source=_BARS, valid="flux of the d axis passes the space by, so that it is as strong at its ground")
def interpolar_d_axis_share(*, alpha):
    """Return the share of a sheet that conductors between poles are worth in the d axis: they stand at its best place.

    Examples
    --------
    >>> round(float(interpolar_d_axis_share(alpha=0.5)), 3)
    0.818
    """
    return 1 - alpha + sp.sin(sp.pi * alpha) / sp.pi


@formula("phi_cq", source=_BARS, valid="spaces shallow against their width; an upper bound in deeper ones")
def interpolar_q_axis_share(*, alpha):
    """Return the share of a sheet that conductors between poles are worth in the q axis.

    Examples
    --------
    >>> round(float(interpolar_q_axis_share(alpha=0.5)), 3)
    0.182
    """
    return 1 - alpha - sp.sin(sp.pi * alpha) / sp.pi


@formula(
    "t",
    source=_BARS + "; half rings as long as pi/2 of their distance from the q axis, each a line of the d axis' flux",
    valid="many barriers",
)
def barrier_bar_depth(*, tau):
    """Return the thickness of a layer worth as much conductor, per barrier share, as the barriers are in the d axis."""
    return tau * (sp.pi**2 - 4) / (8 * sp.pi)


@formula("phi_cq", source=_BARS + "; the q axis' potential is linear along each half ring", valid="many barriers")
def barrier_q_axis_share(*, kappa_b):
    """Return the share of that layer which the barriers are worth in the q axis; in the d axis it is their own.

    Examples
    --------
    >>> round(float(barrier_q_axis_share(kappa_b=0.4)), 3)
    0.315
    """
    return kappa_b * (sp.pi**2 + 4) / (3 * (sp.pi**2 - 4))


@formula(
    "D_t",
    source="derived: most conductor, (D_m - D_t)/2*(1 - D_l/D_t), between teeth that just carry the field",
    valid="bars as wide as the teeth's ground leaves, all through; D_l below D_m",
)
def bar_ground_diameter(*, D_m, D_l):
    """Return the diameter of the ground of the bars below magnets.

    ``D_m`` is the diameter of the magnets' ground, ``D_l`` that at which iron alone would carry the field.
    """
    return sp.sqrt(D_m * D_l)
