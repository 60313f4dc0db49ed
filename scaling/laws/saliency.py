"""Permeances of a reluctance rotor in its two axes: salient poles, and flux barriers with their iron ribs.

Both axes are referred to the smooth gap, tanh(k*g_m)/k. The iron is ideal, the geometry plane, or round and
unrolled (`scaling.laws.rings`); no number is fitted.
"""

import sympy as sp

from scaling.ground.symbols import symbol
from scaling.laws.formula import formula
from scaling.laws.stator import carter_coefficient

mu_0 = symbol("mu_0")
_STEP = (
    "stepped gap without fringing: against finite elements P_d is 2-6 % and P_q 10-20 % low (pole arc half, depth a "
    "fifth, gap 0.5-5 % of tau), for a pole arc of a third P_d 10 %"
)
_POLE = "derived: stepped gap, and the flux of a step between parallel plates (conformal mapping) at each pole edge"
_DEPTH = (
    "derived: stepped permeance and fringing together grow again with depth beyond tan(k*H) = "
    "pi**2*(1-a)/(8*e), a the stepped share, e the squared potential at the pole edge; no space can be deeper than that"
)
_POLE_RANGE = (
    "ideal iron; against finite elements, gap up to a tenth of tau, depth up to a sixth of it, pole arc 0.2-0.95"
)
_BARRIER = (
    "n_b half rings round the q axis, pitch tau/(2*n_b+1), open at the gap; ideal iron, rotor at least tau/2 deep "
    "(two pole pairs and more), bent onto the circle by the mapping that keeps angles"
)
_RIBS = (
    "ribs all saturated, their flux weighed by the potential of the innermost iron, 2 % high to 5 % low against finite "
    "elements for a gap up to 2 % of tau, 13 % low at a tenth"
)


@formula("r", source="derived: fields decaying across a gap g and across g + h_p, same pole pitch", valid=_STEP)
def interpolar_permeance(*, k, g_m, h_p):
    """Return the permeance over the interpolar space relative to the pole face."""
    return sp.tanh(k * g_m) / sp.tanh(k * (g_m + h_p))


@formula("P_d", source="derived: fundamental of a stepped permeance, d axis", valid=_STEP)
def d_axis_permeance(*, alpha, r):
    """Return the d-axis permeance relative to the smooth gap.

    Examples
    --------
    >>> k, g, h = 31.416, 0.001, 0.020
    >>> round(float(d_axis_permeance(alpha=0.5, r=interpolar_permeance(k=k, g_m=g, h_p=h))), 3)
    0.828
    """
    a = _d_share(alpha)
    return a + (1 - a) * r


@formula("P_q", source="derived: fundamental of a stepped permeance, q axis", valid=_STEP)
def q_axis_permeance(*, alpha, r):
    """Return the q-axis permeance relative to the smooth gap."""
    a = _q_share(alpha)
    return a + (1 - a) * r


@formula("xi", source="definition", valid="always")
def saliency_ratio(*, P_d, P_q):
    """Return the ratio of the permeances of the two axes."""
    return P_d / P_q


@formula(
    "w_f",
    source="derived by Schwarz-Christoffel mapping, a = g_m/(g_m+h_p); the step of a parallel-plate line in Marcuvitz, "
    "Waveguide Handbook, 1951, from memory",
    valid="constant potential across the gap; the next edge further away than the depth",
)
def fringing_width(*, g_m, h_p):
    """Return the width of pole face that carries as much flux as the fringing of one pole edge.

    Examples
    --------
    >>> round(1e3 * float(fringing_width(g_m=0.001, h_p=0.020)), 2)
    1.69
    """
    a = g_m / (g_m + h_p)
    return g_m / sp.pi * ((a + 1 / a) * sp.log((1 + a) / (1 - a)) - 2 * sp.log(4 * a / (1 - a**2)))


@formula("h_d", source=_DEPTH, valid=_POLE_RANGE)
def d_axis_depth(*, alpha, k, g_m, h_p):
    """Return the interpolar depth that counts in the d axis: h_p, or less where the space is narrow."""
    return _depth_that_counts(_d_share(alpha), _d_edge(alpha), k, g_m, h_p)


@formula("h_q", source=_DEPTH, valid=_POLE_RANGE)
def q_axis_depth(*, alpha, k, g_m, h_p):
    """Return the interpolar depth that counts in the q axis: h_p, or less where the space is narrow."""
    return _depth_that_counts(_q_share(alpha), _q_edge(alpha), k, g_m, h_p)


@formula(
    "P_d",
    source=_POLE,
    valid=_POLE_RANGE + ": 0-2 % high, from a gap of 2 % on 0-3.5 %; any depth 0-5 %; "
    "the torque is 0-3 % high for a pole arc of half, up to 6 % for a third",
)
def pole_d_axis_permeance(*, alpha, k, g_m, h_d):
    """Return the d-axis permeance of a rotor with salient poles, fringing included.

    Examples
    --------
    Finite elements give 0.857.

    >>> h_d = d_axis_depth(alpha=0.5, k=31.416, g_m=0.001, h_p=0.020)
    >>> round(float(pole_d_axis_permeance(alpha=0.5, k=31.416, g_m=0.001, h_d=h_d)), 3)
    0.861
    """
    return _with_fringing(_d_share(alpha), _d_edge(alpha), k, g_m, h_d)


@formula("P_q", source=_POLE, valid=_POLE_RANGE + ": within 1.2 %; any depth 2 %")
def pole_q_axis_permeance(*, alpha, k, g_m, h_q):
    """Return the q-axis permeance of a rotor with salient poles, fringing included.

    Examples
    --------
    Finite elements give 0.262.

    >>> h_q = q_axis_depth(alpha=0.5, k=31.416, g_m=0.001, h_p=0.020)
    >>> round(float(pole_q_axis_permeance(alpha=0.5, k=31.416, g_m=0.001, h_q=h_q)), 3)
    0.262
    """
    return _with_fringing(_q_share(alpha), _q_edge(alpha), k, g_m, h_q)


def _d_share(alpha):
    return alpha + sp.sin(sp.pi * alpha) / sp.pi


def _q_share(alpha):
    return alpha - sp.sin(sp.pi * alpha) / sp.pi


def _d_edge(alpha):
    return sp.cos(sp.pi * alpha / 2) ** 2


def _q_edge(alpha):
    return sp.sin(sp.pi * alpha / 2) ** 2


def _depth_that_counts(share, edge, k, g_m, h_p):
    deepest = sp.atan(sp.pi**2 * (1 - share) / (8 * edge)) / k  # of pole face to ground, for a gap thin against it
    most = deepest**2 / (deepest + g_m)
    return most * sp.tanh(h_p / most)


def _with_fringing(share, edge, k, g_m, h):
    T = sp.tanh(k * g_m)
    at_rotor = k * g_m * (1 - T**2) / T  # 2*k*g/sinh(2*k*g): field at the rotor squared, over the smooth gap's flux
    r = interpolar_permeance.__wrapped__(k=k, g_m=g_m, h_p=h)
    width = fringing_width.__wrapped__(g_m=g_m, h_p=h)
    return share + (1 - share) * r + 4 * k / sp.pi * width * edge * at_rotor


@formula("g_e", source="Carter's coefficient of the barrier mouths, width kappa_b of their pitch", valid=_BARRIER)
def barrier_gap(*, g_m, tau, n_b, kappa_b):
    """Return the magnetic gap of a barrier rotor, its mouths included."""
    pitch = tau / (2 * n_b + 1)
    return g_m * carter_coefficient.__wrapped__(tau_u=pitch, b_u=kappa_b * pitch, g=g_m)


@formula(
    "P_d",
    source="derived: iron at one potential, mouths spread evenly over the square of a sine",
    valid=_BARRIER
    + "; against finite elements within 1 % (kappa_b 0.2-0.65, gap 0.1-20 % of tau, two barriers and more)",
)
def barrier_d_axis_permeance(*, k, g_m, g_e):
    """Return the d-axis permeance of a barrier rotor: the barriers only take their mouths from the surface."""
    return sp.tanh(k * g_m) / sp.tanh(k * g_e)


def _third_harmonic(k, g_e, kappa_b):
    """Return what the third harmonic of the rotor's potential takes of energy, and the weight of the barriers."""
    b = 2 / kappa_b
    return 3 / sp.tanh(3 * k * g_e) + b * (9 * sp.pi**2 + 4) / 16, b


@formula(
    "P_q",
    source="derived: least energy of gap and barriers over rotor potentials cos(k*x) and cos(3*k*x), and the zig-zag "
    "field between these and the steps of the iron, sin(D/2)/(D/2) with D a segment's electrical angle",
    valid=_BARRIER + "; against finite elements within 2.5 % for two barriers, 1 % from three on (ranges as P_d)",
)
def barrier_q_axis_permeance(*, k, g_e, n_b, kappa_b, P_d):
    """Return the q-axis permeance of a barrier rotor without ribs; 1.73*k*g_m/kappa_b for many barriers, thin gap.

    Examples
    --------
    Four barriers over 40 % of the depth, a gap of 1 % of the pole pitch; finite elements give 0.810 and 0.114.

    >>> k, g, form = 31.416, 0.001, {"n_b": 4, "kappa_b": 0.4}
    >>> g_e = barrier_gap(g_m=g, tau=0.1, **form)
    >>> P_d = barrier_d_axis_permeance(k=k, g_m=g, g_e=g_e)
    >>> round(float(P_d), 3), round(float(barrier_q_axis_permeance(k=k, g_e=g_e, P_d=P_d, **form)), 3)
    (0.81, 0.114)
    """
    T, (third, b) = sp.tanh(k * g_e), _third_harmonic(k, g_e, kappa_b)
    half = (1 - kappa_b) * sp.pi / (2 * (2 * n_b + 1))
    zigzag = (half / sp.sin(half)) ** 2 - 1
    first = 1 / T + zigzag / (k * g_e) + b * (sp.pi**2 + 4) / 16
    return P_d * (1 - (1 - T**2) / (T * (first - (3 * b / 4) ** 2 / third)))


@formula(
    "B_l",
    source="flux conservation: what enters a segment over its pitch runs through the iron share of it",
    valid="d axis; the segments' iron stands the yoke's flux density",
)
def barrier_limited_gap_field(*, kappa_b, B_y, k_s):
    """Return the gap field at which the segments between the barriers reach the iron's largest flux density."""
    return (1 - kappa_b) * B_y * k_s


@formula(
    "c_0",
    source="derived: mean of the rotor potentials cos(k*x) and cos(3*k*x) of barrier_q_axis_permeance over the iron "
    "that the innermost barrier encloses",
    valid=_BARRIER,
)
def innermost_potential(*, k, g_e, n_b, kappa_b):
    """Return the potential of the innermost iron in the q axis over the peak of the fundamental.

    Examples
    --------
    Finite elements give 1.042 for four barriers, a gap of half a percent of the pole pitch.

    >>> g_e = barrier_gap(g_m=5e-4, tau=0.1, n_b=4, kappa_b=0.4)
    >>> round(float(innermost_potential(k=31.416, g_e=g_e, n_b=4, kappa_b=0.4)), 3)
    1.031
    """
    third, b = _third_harmonic(k, g_e, kappa_b)
    half = (2 - kappa_b) * sp.pi / (2 * (2 * n_b + 1))
    return sp.sin(half) / half + 3 * b / (4 * third) * sp.sin(3 * half) / (3 * half)


@formula(
    "B_e",
    source="derived: each rib carries B_rib*t_r past its barrier, so that it enters at the innermost iron; reciprocity "
    "with its potential",
    valid="a bridge of thickness t_b in the middle of each barrier counts as t_b/2 more t_r; gap thin against tau",
)
def rib_gap_field(*, B_rib, t_r, tau, c_0):
    """Return the fundamental gap field of the flux that saturated ribs let past the barriers.

    Examples
    --------
    Ribs of 0.5 mm at 2 T, pole pitch 100 mm.

    >>> round(float(rib_gap_field(B_rib=2.0, t_r=0.5e-3, tau=0.1, c_0=1.0)), 3)
    0.04
    """
    return 4 * c_0 * B_rib * t_r / tau


@formula(
    "zeta", source="definition; at zeta = sin(delta) the ribs cease to be saturated", valid="k*g_m below about 0.3"
)
def rib_share(*, B_e, A, k, g_m, P_d):
    """Return the flux the ribs let past over the d-axis flux; at one and more the rotor has no torque."""
    return B_e * k * g_m / (mu_0 * A * P_d)


@formula(
    "Lambda",
    source="derived: (P_d - P_q)*cos(delta)*(sin(delta) - zeta); ribs not saturated: the iron is at one potential, 0",
    valid=_RIBS,
)
def barrier_response(*, P_d, P_q, zeta, tan_delta):
    """Return the rotor response of a barrier rotor with ribs."""
    c = 1 / sp.sqrt(1 + tan_delta**2)
    return (P_d - P_q) * c * sp.Max(tan_delta * c - zeta, 0)


@formula("B", source="derived: both axes' fields in quadrature, the ribs' flux in the q axis", valid=_RIBS)
def barrier_gap_field(*, A, k, g_m, P_d, P_q, zeta, tan_delta):
    """Return the peak gap field under a barrier rotor with ribs."""
    c = 1 / sp.sqrt(1 + tan_delta**2)
    q = P_q * tan_delta * c + (P_d - P_q) * sp.Min(zeta, tan_delta * c)
    return mu_0 * A / (k * g_m) * sp.sqrt((P_d * c) ** 2 + q**2)


@formula("tan_delta", source="derived: largest response at a given loading; tests repeat it", valid="zeta below one")
def rib_load_angle(*, zeta):
    """Return the tangent of the load angle of the largest torque of a barrier rotor at a given loading."""
    s = (zeta + sp.sqrt(zeta**2 + 8)) / 4
    return s / sp.sqrt(1 - s**2)
