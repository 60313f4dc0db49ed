"""The induction machine's circuit of one phase: stator R_1 + j*X_1, then X_m beside the rotor's R_2/s + j*X_2.

Rotor quantities are referred to the stator. Impedances in parallel are written out as series resistance and
reactance, so that every law is real; the rotor's are multiplied by the slip first, so that slip 0 is no exception.
"""

import sympy as sp

from scaling.laws.formula import formula

_CIRCUIT = "sinusoidal balanced supply, circuit constants that do not change: no saturation, no skin effect"
_SLIP = _CIRCUIT + "; slip from 0 on, 1 is standstill"
_THEVENIN = "derived: supply, stator and magnetising branch replaced by their open-circuit voltage and impedance"


def _beside(R, X, X_m):
    """Return series resistance and reactance of R + j*X in parallel with j*X_m."""
    square = R**2 + (X + X_m) ** 2
    return R * X_m**2 / square, X_m * (R**2 + X * (X + X_m)) / square


@formula("R_g", source="derived: parallel branches", valid=_SLIP)
def gap_resistance(*, R_2, X_2, X_m, s):
    """Return the resistance that the stator sees across the gap; its power is what crosses the gap."""
    return _beside(R_2, s * X_2, s * X_m)[0] / s


@formula("X_g", source="derived: parallel branches", valid=_SLIP)
def gap_reactance(*, R_2, X_2, X_m, s):
    """Return the reactance that the stator sees across the gap."""
    return _beside(R_2, s * X_2, s * X_m)[1] / s


@formula("I_1", source="Ohm's law for the whole circuit", valid=_SLIP)
def stator_current(*, U, R_1, X_1, R_g, X_g):
    """Return the stator current."""
    return U / sp.sqrt((R_1 + R_g) ** 2 + (X_1 + X_g) ** 2)


@formula("cos_phi", source="definition: resistance over impedance", valid=_SLIP)
def circuit_power_factor(*, R_1, X_1, R_g, X_g):
    """Return the power factor."""
    return (R_1 + R_g) / sp.sqrt((R_1 + R_g) ** 2 + (X_1 + X_g) ** 2)


@formula("I_2", source="derived: current divided between parallel branches", valid=_SLIP)
def rotor_current(*, I_1, R_2, X_2, X_m, s):
    """Return the rotor current, referred to the stator."""
    return I_1 * s * X_m / sp.sqrt(R_2**2 + s**2 * (X_2 + X_m) ** 2)


@formula("P_1", source="definition", valid=_CIRCUIT)
def electric_power(*, m_1, U, I_1, cos_phi):
    """Return the electric power taken in."""
    return m_1 * U * I_1 * cos_phi


@formula("P_w", source="Joule's law", valid=_CIRCUIT)
def stator_winding_loss(*, m_1, I_1, R_1):
    """Return the winding loss of the stator."""
    return m_1 * I_1**2 * R_1


@formula("P_g", source="derived: the circuit has no other resistance behind the gap", valid=_SLIP)
def gap_power(*, m_1, I_1, R_g):
    """Return the power that crosses the gap."""
    return m_1 * I_1**2 * R_g


@formula("P_r", source="Joule's law; it equals s*P_g, which tests repeat", valid=_SLIP)
def rotor_winding_loss(*, m_1, I_2, R_2):
    """Return the winding loss of the rotor."""
    return m_1 * I_2**2 * R_2


@formula("T_e", source="the field turns at synchronous speed, whatever the slip", valid="always")
def torque_of_gap_power(*, P_g, Omega_0):
    """Return the electromagnetic torque of a gap power."""
    return P_g / Omega_0


@formula("P_2", source="what crosses the gap less slip heat and rotational loss", valid=_SLIP)
def shaft_power(*, P_g, s, P_f):
    """Return the power at the shaft."""
    return (1 - s) * P_g - P_f


@formula("eta", source="definition", valid="motor")
def motor_efficiency(*, P_2, P_1):
    """Return the efficiency of a motor."""
    return P_2 / P_1


@formula("U_t", source=_THEVENIN, valid=_CIRCUIT)
def thevenin_voltage(*, U, R_1, X_1, X_m):
    """Return the open-circuit voltage that the rotor branch sees."""
    return U * X_m / sp.sqrt(R_1**2 + (X_1 + X_m) ** 2)


@formula("R_t", source=_THEVENIN, valid=_CIRCUIT)
def thevenin_resistance(*, R_1, X_1, X_m):
    """Return the resistance of the source that the rotor branch sees."""
    return _beside(R_1, X_1, X_m)[0]


@formula("X_t", source=_THEVENIN, valid=_CIRCUIT)
def thevenin_reactance(*, R_1, X_1, X_m):
    """Return the reactance of the source that the rotor branch sees."""
    return _beside(R_1, X_1, X_m)[1]


@formula("T_e", source="derived: slip heat of the rotor branch on the Thevenin source, over slip", valid=_SLIP)
def circuit_torque(*, m_1, Omega_0, U_t, R_t, X_t, R_2, X_2, s):
    """Return the electromagnetic torque at a slip; the starting torque at slip 1.

    Examples
    --------
    >>> source = {"m_1": 3, "Omega_0": 157.1, "U_t": 220.0, "R_t": 0.5, "X_t": 0.9}
    >>> circuit_torque(R_2=0.4, X_2=0.9, s=[0.03, 1.0], **source).round(1).tolist()
    [63.3, 91.3]
    """
    return m_1 * U_t**2 * s * R_2 / (Omega_0 * ((s * R_t + R_2) ** 2 + s**2 * (X_t + X_2) ** 2))


@formula(
    "s_b",
    source="derived: a resistance takes most power at the impedance of its source; tests repeat it",
    valid=_CIRCUIT,
)
def circuit_breakdown_slip(*, R_2, X_2, R_t, X_t):
    """Return the slip of the largest torque; above 1 it lies beyond standstill."""
    return R_2 / sp.sqrt(R_t**2 + (X_t + X_2) ** 2)


@formula("T_m", source="derived: the torque at the breakdown slip", valid=_CIRCUIT)
def circuit_breakdown_torque(*, m_1, Omega_0, U_t, R_t, X_t, X_2):
    """Return the largest torque, which no rotor resistance changes."""
    return m_1 * U_t**2 / (2 * Omega_0 * (R_t + sp.sqrt(R_t**2 + (X_t + X_2) ** 2)))


@formula("G", source="definition; the goodness of the thin-gap laws is this ratio", valid=_CIRCUIT)
def reactance_goodness(*, X_m, R_2):
    """Return the goodness of an equivalent circuit: magnetising reactance over rotor resistance.

    With rotor leakage, X_m + X_2 in the place of X_m makes the torque of a current-fed machine that of goodness G.

    Examples
    --------
    Fitzgerald, Kingsley, Umans, Electric Machinery, 6th ed., example 6.2.

    >>> round(float(reactance_goodness(X_m=13.25, R_2=0.144)), 1)
    92.0
    """
    return X_m / R_2
