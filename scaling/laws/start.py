"""What a rotor needs to start by itself."""

from scaling.laws.formula import formula


@formula(
    "Pi",
    source="derived: kinetic energy of synchronous speed against the work of one pole's torque; the thresholds, about "
    "0.6 for a reluctance rotor and 0.8 for a magnet rotor at a favourable angle, come from simulated motion",
    valid="no damper cage, no friction, supply switched on at full frequency",
)
def pull_in_number(*, p, T_e, J, omega):
    """Return the pull-in number of a synchronous rotor switched to a fixed supply from rest."""
    return p * T_e / (J * omega**2)
