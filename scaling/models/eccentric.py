"""The unbalanced magnetic pull: the force on a rotor out of centre, to first order in the displacement.

All rings that turn are displaced by e, small beside the gap; what is at rest stays. In the gap, with m the number of
pole pairs of a mode and zeta = r*exp(-j*s*theta), a = C*zeta**m comes from the stator and D/conj(zeta)**m from the
rotor. Seen from the displaced centre, zeta = zeta' + e*exp(-j*s*nu*t) where e turns with nu (static eccentricity: 0;
dynamic: the rotor's speed), so that the wave of p pole pairs becomes, to first order,

    zeta**p        ->  zeta'**p + p*e*exp(-j*s*nu*t)*zeta'**(p-1)
    conj(zeta)**-p ->  conj(zeta')**-p - p*e*exp(j*s*nu*t)*conj(zeta')**(-p-1).

The modes m = p - 1 and p + 1 it makes have the frequency omega_m = omega + (m - p)*s*nu in the stator and
omega_m - m*s*Omega in the rotor. Each is answered by the rotor's admittance w_m at its radius R and by the stator's,
y_m = -h/a at its bore b, where no current feeds it. With g = (1 - w)/(1 + w), k = (1 - y)/(1 + y), x = (R/b)**(2*m)

    C_(p+1) = p*e*D*b**(-2*p-2)*[k/(1 - g*k*x)]_(p+1),    D_(p-1) = p*e*C*R**(2*p-2)*[g/(1 - g*k*x)]_(p-1).

Maxwell's stress on any circle in the gap couples neighbouring modes only: the force along and across e is

    F = 2*pi*p/mu_0*((p + 1)*C_(p+1)*conj(D) + (p - 1)*C*conj(D_(p-1))),

without pulsation. With c = C*R**p and d = D*R**-p, the parts of a = c + d and h = c - d at the rotor's surface, this is

    F/e = 2*pi*p**2/(mu_0*R**2)*((p + 1)*|d|**2*[k*x/(1 - g*k*x)]_(p+1) + (p - 1)*|c|**2*conj([g/(1 - g*k*x)]_(p-1))):

iron in the stator draws what the rotor throws back, iron in the rotor is drawn by what the stator brings, and where the
gap is thin between ideal iron, F/e = pi*R*B**2/(2*mu_0*gap), the classical pull (half of it at p = 1). Mode 0 carries
nothing: no flux returns along the axis and no current flows from end to end.
"""

from typing import NamedTuple

import numpy as np

from scaling.ground.constants import VALUES
from scaling.models.layered import number, over, seen, square
from scaling.models.rings import core, port
from scaling.models.travelling_wave import check_shapes

MU_0 = VALUES["mu_0"]


class Pull(NamedTuple):
    """Force on a rotor per displacement and length [N/m²]: along it, positive outwards, and 90 degrees ahead of it."""

    along: np.ndarray
    across: np.ndarray


def rotor_surface(rings, sheets):
    """Return the place of the outermost turning ring, or raise where it has no gap or what it surrounds stays behind.

    ``sheets`` is what lies on the outer radius of each ring, zero for nothing. Empty rings inside the rotor may be at
    rest or turn: nobody can tell.
    """
    turning = [i for i, ring in enumerate(rings) if ring.turns]
    if not turning:
        raise ValueError("rings: got none that turns; expected a rotor to displace: give turns=True to its rings")
    last = turning[-1]
    for i, ring in enumerate(rings[:last]):
        if not (ring.turns or is_empty(ring)):
            raise ValueError(
                f"rings[{i}].turns: got False inside rings[{last}], which turns; expected a rotor inside its stator: "
                "give turns=True to all the rotor carries along"
            )
    if any(np.any(sheet) for sheet in sheets[: last + 1]):
        raise ValueError(
            "sheet_radius: got one on the rotor; expected the current sheet, which is at rest, beyond the gap"
        )
    if last + 1 == len(rings) or not is_empty(rings[last + 1]):
        raise ValueError(
            f"rings[{last + 1}]: got no gap around rings[{last}], the outermost that turns; expected a ring at rest of "
            "relative permeability 1, without conductivity and current"
        )
    return last


def is_empty(ring):
    """Return whether a ring is as good as air everywhere."""
    given = ring.conductivity, ring.current_density_peak, np.subtract(ring.relative_permeability, 1)
    return not any((np.abs(value) > 0).any() for value in given)


def rotor_admittance(rings, modes, past):
    """Return h/a on the surface of the last of ``rings``, of pole pairs ``modes``, at the frequency they see."""
    w, inner = None, None
    for ring in rings:
        material = _material(ring, past)
        w = core(modes, ring.outer_radius, *material) if w is None else _port(modes, inner, ring, material).seen(w)[0]
        inner = ring.outer_radius
    return w


def stator_admittance(radius, rings, modes, past, outside):
    """Return -h/a on the inner radius of ``rings``; ``outside`` is what it is on the outer one."""
    starts = [radius, *(ring.outer_radius for ring in rings)]
    y = outside
    for i in reversed(range(len(rings))):
        ends = _port(modes, starts[i], rings[i], _material(rings[i], past))
        y = over(ends.C_slope + y * ends.C, ends.S_slope + y * ends.S)
    return y


def _material(ring, past):
    """Return permeability and kappa² at a frequency."""
    permeability = seen(ring.relative_permeability, past)
    conducts = np.any(ring.conductivity)
    return permeability, 1j * MU_0 * past * ring.conductivity * permeability if conducts else None


def _port(modes, inner, ring, material):
    return port(modes, inner, ring.outer_radius, *material)


def answers(modes, gap, w, y):
    """Return [k*x/(1 - g*k*x), g/(1 - g*k*x)], by w and y, so that a thin gap between iron does not cancel.

    ``gap`` is ln(b/R).
    """
    x, rest = np.exp(-2 * modes * gap), -np.expm1(-2 * modes * gap)
    both = rest * (1 + w * y) + (1 + x) * (w + y)
    return over((1 - y) * (1 + w) * x, both), over((1 - w) * (1 + y), both)


def eccentric_pull(wave, whirl_speed):
    """Return the Pull in a RotatingWave, which says what may be asked and what raises."""
    whirl_speed = number(whirl_speed, "whirl_speed")
    check_shapes({"the wave": wave.shape, "whirl_speed": whirl_speed.shape})
    last = rotor_surface(wave.rings, wave._sheets)
    rotor, gap, stator = wave.rings[: last + 1], wave.rings[last + 1], wave.rings[last + 2 :]
    p, radius, bore = wave.pole_pairs, rotor[-1].outer_radius, gap.outer_radius
    log_gap = np.log1p((bore - radius) / radius)

    def answered(step):
        modes = np.maximum(p + step, 1)  # mode 0 counts nothing; 1 keeps it finite
        past = wave._omega + step * wave.sense * whirl_speed
        w = rotor_admittance(rotor, modes, past - wave.sense * modes * wave.speed)
        return answers(modes, log_gap, w, stator_admittance(bore, stator, modes, past, wave._beyond))

    a, behind = wave._a[last], wave._behind[last]
    h = behind.w * a + behind.added
    drawn_by_stator = (p + 1) * square(a - h) / 4 * answered(1)[0]
    drawn_by_rotor = (p - 1) * square(a + h) / 4 * np.conj(answered(-1)[1])
    stiffness = 2 * np.pi * p**2 / (MU_0 * np.square(radius)) * (drawn_by_stator + drawn_by_rotor)
    shape = np.broadcast_shapes(wave.shape, whirl_speed.shape)
    parts = stiffness.real, wave.sense * stiffness.imag
    return Pull(*(np.broadcast_to(part, shape).copy()[()] for part in parts))
