"""What a rotor needs to start by itself."""

import sympy as sp

from scaling.laws.formula import formula


@formula(
    "Pi",
    source="derived: the angle phi between field and rotor obeys phi'' = -Pi*omega^2*sin(n*phi), n = 1 for a magnet, 2 "
    "for a reluctance rotor; switched on at phi = 0 with phi' = omega it is caught if Pi > n/4. Others need more, "
    "the least favourable are never caught; tests repeat the motion",
    valid="no damper cage, no friction, supply switched on at full frequency",
)
def pull_in_number(*, p, T_e, J, omega):
    """Return the pull-in number of a synchronous rotor switched to a fixed supply from rest."""
    return p * T_e / (J * omega**2)


_VOLTAGE = "induction rotor on a fixed voltage; leakage the same at every speed, not saturated"


@formula(
    "X_l",
    source="derived: the voltage that drives the continuous current drives a_1 times that at rest, a quadratic",
    valid=_VOLTAGE + "; negative or NaN where the current at rest stays below a_1 even without leakage",
)
def leakage_reactance(*, a_1, R_0, X_0, R_e, X_e):
    """Return the leakage reactance that a current at rest tells of.

    Examples
    --------
    No resistance at all; at rest the gap is shorted: of the reactance 1 at speed a third more is leakage.

    >>> round(float(leakage_reactance(a_1=4.0, R_0=0.0, X_0=0.0, R_e=0.0, X_e=1.0)), 3)
    0.333
    """
    a, b = a_1**2 - 1, a_1**2 * X_0 - X_e
    c = a_1**2 * (R_0**2 + X_0**2) - R_e**2 - X_e**2
    return -c / (b + sp.sqrt(b**2 - a * c))


@formula("a_e", source="Ohm's law at a fixed voltage", valid=_VOLTAGE)
def supplied_current(*, R_e, X_e, R, X, X_l):
    """Return the current of a winding over the continuous one, of a resistance and a reactance without leakage."""
    return sp.sqrt((R_e**2 + (X_e + X_l) ** 2) / (R**2 + (X + X_l) ** 2))
