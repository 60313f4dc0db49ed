"""What a drive's limits of voltage and current leave of a machine's torque at every speed, in closed form.

A machine in steady state is two axes. Its voltage at n_f times the base frequency, reactances those of base frequency,

    u_d = R*i_d - n_f*X_q*i_q,    u_q = R*i_q + n_f*(X_d*i_d + E_s),

and the power across the gap is n_f*((X_d - X_q)*i_d*i_q + E_s*i_q)/2. A reluctance rotor has no E_s, a surface magnet
equal axes; an induction rotor, seen from the axes of its own flux, has none and two unlike reactances: at no slip, and
with the rotor's currents free (leakage). So one theory serves all three. The current is a circle, the voltage an
ellipse; quantities may be of a phase or per gap area and peak loading.
"""

import sympy as sp

from scaling.laws.formula import formula

_AXES = "steady state, reactances that do not change: no saturation but that of the base point"
_LOSSLESS = _AXES + "; no resistance, current limit that of the base point"


@formula("n_f", source="derived: square of the voltage, a quadratic of the frequency", valid=_AXES)
def full_voltage_ratio(*, U_s, R, A, U_f, q_g):
    """Return the frequency, over the base one, at which a machine's currents fill a voltage: base speed.

    Examples
    --------
    Without resistance voltage over the flux's voltage.

    >>> float(full_voltage_ratio(U_s=3.0, R=0.0, A=1.0, U_f=2.0, q_g=0.5))
    1.5
    """
    drop = 2 * R * q_g
    return (sp.sqrt(drop**2 + U_f**2 * (U_s**2 - (R * A) ** 2)) - drop) / U_f**2


@formula("beta_i", source="derived: voltage ellipse and current circle meet; tests try every angle", valid=_AXES + "; "
         "X_d above X_q; NaN where the current never fills the voltage, or always overfills it")  # fmt: skip
def salient_weakening_angle(*, U_s, A_m, R, X_d, X_q, n_f):
    """Return the angle from the d axis at which all current fills the voltage of a machine of two unlike axes.

    Examples
    --------
    No resistance, X_d twice X_q, voltage that the angle of 45° needs: 45°.

    >>> round(float(salient_weakening_angle(U_s=1.5811, A_m=1.0, R=0.0, X_d=2.0, X_q=1.0, n_f=1.0)), 3)
    0.785
    """
    p, q = n_f**2 * (X_d**2 - X_q**2) / 2, R * n_f * (X_d - X_q)
    c = (U_s / A_m) ** 2 - R**2 - n_f**2 * (X_d**2 + X_q**2) / 2
    return (sp.atan(q / p) + sp.acos(c / sp.sqrt(p**2 + q**2))) / 2


@formula("beta_i", source="derived: voltage ellipse and current circle meet; tests try every angle", valid=_AXES + "; "
         "equal axes; NaN where the current never fills the voltage, or always overfills it")  # fmt: skip
def magnet_weakening_angle(*, U_s, A_m, R, X, E_s, n_f):
    """Return the angle from the magnets' axis at which all current fills the voltage of a magnet machine.

    Examples
    --------
    No resistance, the voltage that a current across the magnets' axis needs: 90°.

    >>> round(float(magnet_weakening_angle(U_s=5**0.5, A_m=1.0, R=0.0, X=1.0, E_s=2.0, n_f=1.0)), 3)
    1.571
    """
    c = (U_s**2 - (n_f * E_s) ** 2 - (R**2 + (n_f * X) ** 2) * A_m**2) / (2 * n_f * E_s * A_m)
    return sp.atan(R / (n_f * X)) + sp.acos(c / sp.sqrt(R**2 + (n_f * X) ** 2))


_MOST = "derived: largest power of the magnets' voltage at a terminal voltage; tests try every angle"


@formula("A", source=_MOST, valid=_AXES + "; equal axes")
def magnet_pull_out_current(*, U_s, R, X, E_s, n_f):
    """Return the current across the magnets' axis, which makes torque, at the largest torque of a voltage."""
    Z = sp.sqrt(R**2 + (n_f * X) ** 2)
    return U_s / Z - n_f * E_s * R / Z**2


@formula("A", source=_MOST, valid=_AXES + "; equal axes")
def magnet_opposing_current(*, R, X, E_s, n_f):
    """Return the current against the magnets at the largest torque of a voltage; without resistance E_s/X."""
    return n_f**2 * E_s * X / (R**2 + (n_f * X) ** 2)


# Ranges of constant power of the ideal machine


@formula(
    "c_P",
    source="derived: power on the current circle is even about the angle of best power factor, sqrt(xi); below 45° "
    "what counts is the breakdown torque. At 45° (xi + 1/xi)/2; tests try every angle",
    valid=_LOSSLESS + "; 1 where the power only falls",
)
def salient_power_range(*, xi, tan_delta):
    """Return the constant-power range of a machine of two unlike axes from its saliency and base angle.

    Examples
    --------
    A reluctance machine of saliency 8 at 45°; an induction machine of xi = 12 at 1.5.

    >>> salient_power_range(xi=[8.0, 12.0], tan_delta=[1.0, 1.5]).round(2).tolist()
    [4.06, 3.75]
    """
    b = sp.Max(tan_delta, 1)
    return sp.Max(1, (xi**2 + tan_delta**2) / (xi * tan_delta * (b + 1 / b)))


@formula("c_I", source="definition", valid="equal axes")
def characteristic_current_ratio(*, E_s, X, A_m):
    """Return the characteristic current of a magnet machine over the current that a drive can feed."""
    return E_s / (X * A_m)


@formula(
    "c_P",
    source="derived: base power met again at an angle beyond that of power factor 1; tests try every angle",
    valid=_LOSSLESS + "; base current across the magnets' axis; c_I above 1, at 1 and below the range has no end",
)
def magnet_power_range(*, c_I):
    """Return the constant-power range of a magnet machine with surface magnets.

    Examples
    --------
    >>> round(float(magnet_power_range(c_I=2.0)), 3)
    1.667
    """
    return (c_I**2 + 1) / (c_I**2 - 1)


@formula(
    "n_m",
    source="derived: all current against the magnets leaves a flux that fills the voltage",
    valid=_LOSSLESS + "; base current across the magnets' axis; c_I above 1, at 1 and below there is no highest speed",
)
def magnet_speed_range(*, c_I):
    """Return the speed at which a magnet machine's torque vanishes over base speed.

    Examples
    --------
    >>> round(float(magnet_speed_range(c_I=2.0)), 3)
    2.236
    """
    return sp.sqrt(c_I**2 + 1) / (c_I - 1)
