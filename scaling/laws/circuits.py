"""Electric and magnetic circuits of fixed shape, and the goodness that couples them."""

from scaling.laws.formula import formula


@formula("R", source="Ohm's law for a uniform conductor", valid="current uniform over the cross-section")
def resistance(*, rho, ell, a_c):
    """Return the resistance of a uniform conductor."""
    return rho * ell / a_c


@formula(
    "R_m",
    source="the magnetic counterpart of Ohm's law",
    valid="flux uniform over the cross-section, no leakage",
)
def reluctance(*, ell, mu, a_c):
    """Return the reluctance of a uniform magnetic circuit."""
    return ell / (mu * a_c)


@formula(
    "G",
    source="goodness of one electric circuit linked with one magnetic circuit: reactance over resistance",
    valid="one turn each, flux and current uniform",
)
def circuit_goodness(*, omega, R, R_m):
    """Return the goodness of a linked pair of circuits.

    Examples
    --------
    Doubling every length halves R and R_m: four times the goodness at the same frequency.

    >>> float(circuit_goodness(omega=314, R=1e-4, R_m=1e6) / circuit_goodness(omega=314, R=2e-4, R_m=2e6))
    4.0
    """
    return omega / (R * R_m)
