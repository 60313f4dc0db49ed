"""Centrifugal stress of rotors, and the rim speed that a material's proof stress allows.

Every part has a stress coefficient, its largest stress over density times rim speed squared; it depends on shape alone,
so the rim speed that a part stands does not depend on size until something, a rib, stops shrinking with the rest.
"""

import sympy as sp

from scaling.laws.formula import formula

_DISC = "thin disc or stack of sheets, elastic; a long body with the Poisson's ratio of long_body_poisson_ratio"


@formula("v_r", source="definition", valid="always")
def rim_speed(*, Omega, D):
    """Return the speed of the rotor's surface."""
    return Omega * D / 2


@formula("sigma_m", source="definition of the stress coefficient", valid="as the coefficient")
def centrifugal_stress(*, c_v, rho_b, v_r):
    """Return the largest stress of a rotating part.

    Examples
    --------
    A thin ring of steel, coefficient 1, at 100 m/s.

    >>> round(float(centrifugal_stress(c_v=1.0, rho_b=7800.0, v_r=100.0)) / 1e6)
    78
    """
    return c_v * rho_b * v_r**2


@formula(
    "v_r",
    source="the proof stress is reached at the overspeed n_o; IEC 60034-1 tests most machines at 1.2, from memory",
    valid="ductile material, static load; notches, fits and fatigue ask for less",
)
def rim_speed_limit(*, c_v, rho_b, sigma_p, n_o):
    """Return the rim speed in service at which a part reaches its proof stress in the overspeed test."""
    return sp.sqrt(sigma_p / (c_v * rho_b)) / n_o


@formula("c_v", source="elasticity of a rotating disc, every textbook on strength; tests repeat it", valid=_DISC)
def solid_disc_coefficient(*, nu_p):
    """Return the stress coefficient of a solid disc, at its centre.

    Examples
    --------
    >>> float(solid_disc_coefficient(nu_p=0.3))
    0.4125
    """
    return (3 + nu_p) / 8


@formula(
    "c_v",
    source="elasticity of a rotating disc (Ugural and Fenster, Advanced Mechanics of Materials and Elasticity, ch. 8)",
    valid=_DISC + "; hoop stress at the bore, a free ring: no pressure of a fit, no help from a hub",
)
def bored_disc_coefficient(*, nu_p, D_b, D):
    """Return the stress coefficient of a disc or ring with a bore; 1 for a thin ring, twice a solid disc's for a hole.

    For a hysteresis ring, an end ring or a ring of bonded magnet the bore is the ring's own inner diameter.

    Examples
    --------
    >>> round(float(bored_disc_coefficient(nu_p=0.3, D_b=0.1, D=0.5)), 3)
    0.832
    """
    return (3 + nu_p + (1 - nu_p) * (D_b / D) ** 2) / 4


@formula(
    "nu_p",
    source="derived: plane strain with free ends turns Poisson's ratio into nu/(1 - nu); stress across the axis",
    valid="solid body much longer than its diameter, away from its ends",
)
def long_body_poisson_ratio(*, nu_p):
    """Return the Poisson's ratio with which the laws of a disc hold for a long body."""
    return nu_p / (1 - nu_p)


@formula(
    "c_v",
    source="derived: equilibrium of a segment that carries no hoop stress",
    valid="separate magnets or a cracked ring on a hub, outer diameter D; mean pull on the bond at the inner face",
)
def bond_coefficient(*, t, D):
    """Return the stress coefficient of the bond that holds segments of thickness t on a hub; 2*t/D for thin ones."""
    b = D / 2
    a = b - t
    return (b**3 - a**3) / (3 * a * b**2)


@formula(
    "c_v",
    source="derived: equilibrium of half the rotor, mean hoop stress of the band",
    valid="band of thickness t_n and density rho_b, outer diameter D, round segments of thickness t and density rho_m "
    "that carry no hoop stress; no bond, no pretension",
)
def band_coefficient(*, t, t_n, D, rho_b, rho_m):
    """Return the stress coefficient of a band that holds segments on a hub; 1 + rho_m*t/(rho_b*t_n) for thin ones."""
    R = D / 2
    b = R - t_n
    a = b - t
    return (R**3 - b**3 + rho_m / rho_b * (b**3 - a**3)) / (3 * t_n * R**2)


# The rotor with flux barriers


@formula(
    "beta_r",
    source="definition of the barriers: half rings of pitch tau/(2*n_b+1), as in saliency",
    valid="two pole pairs and more",
)
def rib_half_angle(*, p, n_b):
    """Return half the angle at the shaft between the two ribs of the innermost barrier."""
    return sp.pi * n_b / (p * (2 * n_b + 1))


_LENS = "the iron outside the innermost barrier, a lens of two circles that cross at right angles less its barriers"
_RIBS = "half rings round the axis between the poles, ribs alone, no bridges; no notch at the rib's root"


def _moment(beta_r, kappa_b, n_b):
    """Return the first moment of that iron about the shaft, per length and radius cubed."""
    edge = beta_r * (1 - kappa_b / (2 * n_b))
    iron = (n_b**2 * (1 - kappa_b) + kappa_b**2 / 4) / (n_b - kappa_b / 2) ** 2
    return iron * sp.tan(edge) ** 2 / sp.cos(edge) * (sp.pi / 2 - edge - sp.sin(edge) * sp.cos(edge))


@formula(
    "c_v",
    source="derived: " + _LENS + ", hangs on two ribs by their pull alone; by the static theorem of plasticity ductile "
    "ribs stand that before they give way",
    valid=_RIBS
    + "; ductile sheet. The elastic pull is less: by 0-30 % in finite elements with two pole pairs, by up to "
    "half with short ribs and more poles",
)
def rib_pull_coefficient(*, beta_r, kappa_b, n_b, D, t_r):
    """Return the stress coefficient at which the ribs of the innermost flux barrier yield throughout.

    Examples
    --------
    Rotor of 100 mm, two pole pairs, three barriers over 40 % of the depth, ribs of 0.5 mm: 17 times a thin ring's.

    >>> beta = rib_half_angle(p=2.0, n_b=3.0)
    >>> round(float(rib_pull_coefficient(beta_r=beta, kappa_b=0.4, n_b=3.0, D=0.1, t_r=0.5e-3)))
    17
    """
    return _moment(beta_r, kappa_b, n_b) * D / (4 * t_r * sp.sin(beta_r))
