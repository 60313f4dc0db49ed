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


@formula("a_e", source="Ohm's law at a fixed voltage", valid="induction rotor, leakage in the reactances")
def supplied_current(*, R_e, X_e, R, X):
    """Return the current of a winding over the continuous one, of a resistance and a reactance.

    Examples
    --------
    At rest a fifth of the reactance is left.

    >>> float(supplied_current(R_e=0.0, X_e=1.0, R=0.0, X=0.2))
    5.0
    """
    return sp.sqrt((R_e**2 + X_e**2) / (R**2 + X**2))
