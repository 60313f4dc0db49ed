"""Forces between currents and magnets in bodies of fixed shape, and the motion they give.

Every length is one ``ell``; factors that only depend on shape are left out, so these serve exponents, not values.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula

mu_0 = symbol("mu_0")
_SHAPE = "bodies of fixed shape; factors of shape left out"


@formula("I", source="definition of the current density", valid=_SHAPE)
def conductor_current(*, J_rms, ell):
    """Return the current of a conductor whose cross-section goes with the square of its length."""
    return J_rms * ell**2


@formula("B", source="Ampere's law around the conductor", valid=_SHAPE)
def current_field(*, I, ell):  # noqa: E741
    """Return the flux density a current makes at a distance that scales with it, in air or across a gap."""
    return mu_0 * I / ell


@formula("B", source="a magnet's field depends on shape alone", valid=_SHAPE)
def magnet_field(*, B_r):
    """Return the flux density around a magnet."""
    return B_r


@formula("F", source="Lorentz force", valid=_SHAPE)
def force_on_current(*, B, I, ell):  # noqa: E741
    """Return the force of a field on a current."""
    return B * I * ell


@formula("F", source="Maxwell stress times surface", valid=_SHAPE)
def force_of_field(*, B, ell):
    """Return the force of a field on iron or on a magnet that makes the same field."""
    return B**2 * ell**2 / (2 * mu_0)


@formula("F", source="Lorentz force on the induced current", valid=_SHAPE)
def force_on_induced(*, sigma, omega, B, ell):
    """Return the force of an alternating field on the current it induces itself."""
    return sigma * omega * B**2 * ell**4


@formula("f_V", source="definition", valid=_SHAPE)
def force_per_volume(*, F, ell):
    """Return the force per volume."""
    return F / ell**3


@formula("a_F", source="Newton's second law", valid=_SHAPE)
def acceleration(*, F, rho_b, ell):
    """Return the acceleration of a body of the force's own size."""
    return F / (rho_b * ell**3)


@formula("t_F", source="uniform acceleration from rest over the body's own length", valid=_SHAPE)
def travel_time(*, ell, a_F):
    """Return the time to cross the body's own length from rest."""
    return sp.sqrt(2 * ell / a_F)


@formula("p_V", source="force times length over time and volume", valid=_SHAPE)
def power_per_volume(*, F, t_F, ell):
    """Return the mean power per volume of that motion."""
    return F / (t_F * ell**2)


@formula("q_o", source="Joule heat of the volume through the surface", valid=_SHAPE)
def conductor_heat_per_surface(*, rho, J_rms, ell):
    """Return the heat per surface of a conducting body."""
    return rho * J_rms**2 * ell


@formula("h", source="conduction into a medium at rest", valid=_SHAPE)
def conduction_over_length(*, lambda_m, ell):
    """Return the heat transfer coefficient of conduction out of a body."""
    return lambda_m / ell


@formula("q_o", source="definition of the heat transfer coefficient", valid="always")
def surface_heat(*, h, theta):
    """Return the heat per surface that a temperature rise drives out."""
    return h * theta
