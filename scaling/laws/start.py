"""What a rotor needs to start by itself."""

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
