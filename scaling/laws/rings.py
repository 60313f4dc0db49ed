"""A round machine unrolled: where nothing conducts, the field in rings is that of plane layers, exactly.

z -> log(z) turns circles into lines and keeps Laplace's equation. Unrolled at the bore, of diameter D_i, a ring between
the diameters D and D - 2*t is a layer t_u thick; potentials and fluxes stay as they are, and B and H at the diameter
x come out larger by x/D_i, as lengths there were. So the laws of plane layers hold in a round machine with t_u for t,
pole pitch and gap area of the bore. What is spread over a ring's volume, as the loop energy of a hysteretic ring or the
conductance of bars, keeps its sum: t_v is that volume per bore area.
"""

import sympy as sp

from scaling.laws.formula import formula

_EXACT = "exact for concentric circles and radial lines, where nothing conducts"


@formula("D_i", source="definition", valid="always")
def bore_diameter(*, D, g):
    """Return the bore diameter of the stator."""
    return D + 2 * g


@formula("t_u", source="derived: conformal mapping by the logarithm", valid=_EXACT)
def unrolled_thickness(*, D_i, D, t):
    """Return the thickness of the layer to which a ring of the outer diameter D unrolls at the bore.

    Examples
    --------
    >>> round(float(unrolled_thickness(D_i=0.102, D=0.1, t=0.01)), 5)
    0.01138
    """
    return D_i / 2 * sp.log(D / (D - 2 * t))


@formula("t_v", source="definition: area of the ring over the circumference of the bore", valid="always")
def volume_thickness(*, D_i, D, t):
    """Return the volume of a ring of the outer diameter D per bore area."""
    return t * (D - t) / D_i


@formula("c_R", source="derived: the mean of the radius squared over an unrolled layer is t_v/t_u", valid="always")
def radius_ratio(*, t_v, t_u):
    """Return the root-mean-square radius of a ring, as its unrolled layer weighs it, over the radius of the bore."""
    return sp.sqrt(t_v / t_u)


@formula("t", source="volume_thickness solved for the thickness", valid="at most the whole cylinder")
def thickness_of_volume(*, D_i, D, t_v):
    """Return the thickness of a ring of the outer diameter D and a given volume per bore area."""
    return 2 * t_v * D_i / (D + sp.sqrt(D**2 - 4 * t_v * D_i))
