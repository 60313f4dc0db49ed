"""The field of currents that turn round a stack of concentric rings, and what it does to them.

Currents J*cos(omega*t - s*p*theta) fill rings, a sheet A*cos(omega*t - s*p*theta) lies on the outer radius of a ring;
s is the sense in which the wave turns, p its number of pole pairs. ``rings`` binds potential a and
h = r*a'/(p*mu_r) of one radius to those of the next. From the centre outwards

    h = w*a + q,    w_2 and t = a_1/a_2 as without sources,    q_2 = t*(q_1 + s_1) + s_2,

where s_1 and s_2 are what the ring's own current adds at its two radii: -mu_0*J/p times the integral of r*D(r), D the
field that is one at this radius and zero at the other. A sheet adds -mu_0*A*r/p to q (Ampere's law). Outside, iron
(h = 0) or air (h = -a) fixes a, and back inwards a_1 = t*a_2 - (S*t)*(q_1 + s_1). Then

    torque per length on what a circle surrounds   pi*r²*Re(B_r*conj(H_theta)) = s*pi*p²/mu_0*Im(h*conj(a))
    heat in a ring                                 omega'/(s*p) times the torque on it
    power the currents take up                     -pi*omega'*integral of J*Im(a)*r

A ring that turns with Omega and takes the torque T takes T*omega/(s*p): T*Omega to the shaft, the rest to heat.
``eccentric`` goes on to the pull on a rotor out of centre.
"""

import functools
from typing import NamedTuple

import numpy as np

from scaling.ground.constants import VALUES
from scaling.ground.messages import choice, shorten
from scaling.laws import geometry
from scaling.models import eccentric
from scaling.models.layered import number, over, seen, square
from scaling.models.rings import Port, Ring, check_order, checked, core, port, sheet_place, weights
from scaling.models.travelling_wave import check_shapes

MU_0 = VALUES["mu_0"]
OUTSIDE = {"iron": 0.0, "air": 1.0}
MOST_POLE_PAIRS = 400
CENTRE = 1e-9  # of a ring's outer radius: what lies nearer to the axis has the field of this radius


class RingPoints(NamedTuple):
    """Field at points and one instant: flux density along the radius and the angle [T], vector potential [Wb/m]."""

    B_r: np.ndarray
    B_theta: np.ndarray
    A_z: np.ndarray


class RotatingWave:
    """The solved field; arguments as `rotating_wave`, unchecked: arrays broadcast, NaN passes.

    ``sheet_ring`` is the place in ``rings`` of the ring the sheet lies on. All torques and powers are averages over
    time, per length of the axis.
    """

    def __init__(self, *, pole_pairs, frequency, speed, rings, outside, sense=1, sheet_current_peak=0.0, sheet_ring=-1):
        self.rings, self.outside, self.sheet_ring = tuple(rings), outside, sheet_ring
        self._beyond = OUTSIDE[outside]
        self.pole_pairs, frequency, self.speed, self.sense, sheet = (
            np.asarray(value, float) for value in (pole_pairs, frequency, speed, sense, sheet_current_peak)
        )
        self.frequency, self.sheet_current_peak = frequency, sheet
        given = [value for ring in rings for value in vars(ring).values()]
        self.shape = np.broadcast_shapes(
            *map(np.shape, (*given, self.pole_pairs, frequency, self.speed, self.sense, sheet))
        )
        self._omega = geometry.angular_frequency(f=frequency)
        turning = self._omega - self.sense * self.pole_pairs * self.speed
        self._past = [turning if ring.turns else self._omega for ring in rings]
        self._permeabilities = [seen(ring.relative_permeability, past) for ring, past in self._pairs]
        self._radii = [np.asarray(ring.outer_radius, float) for ring in rings]
        self._sheets = [np.zeros(())] * len(rings)  # as they stand in q
        if np.any(sheet):
            self._sheets[sheet_ring] = -MU_0 * sheet * self._radii[sheet_ring] / self.pole_pairs
        self._solve()

    def __repr__(self):
        return f"<RotatingWave over {len(self.rings)} rings, shape {self.shape}>"

    @property
    def _pairs(self):
        return zip(self.rings, self._past, strict=True)

    def _solve(self):
        """Carry w and q outwards, a inwards."""
        self._faces, self._behind = [], []  # just inside each outer radius, and just outside
        for i, radius in enumerate(self._radii):
            face = self._across(i, self._behind[-1] if i else None, radius)
            self._faces.append(face)
            self._behind.append(Behind(radius, face.w, face.added + self._sheets[i]))
        last = self._behind[-1]
        self._a = [over(-last.added, last.w + self._beyond) + 0j]
        for face in self._faces[:0:-1]:
            self._a.insert(0, face.transfer * self._a[0] - face.drop)

    def _diffusion(self, i):
        """Return kappa² of a ring, None where it conducts nothing anywhere."""
        sigma = self.rings[i].conductivity
        return 1j * MU_0 * self._past[i] * sigma * self._permeabilities[i] if np.any(sigma) else None

    def _across(self, i, behind, radius):
        """Return the Face at a radius within ring i, over what lies behind it: a Behind, or None for the axis."""
        p, J = self.pole_pairs, self.rings[i].current_density_peak
        given = self._permeabilities[i], self._diffusion(i)
        source = -MU_0 * J / p
        if behind is None:
            w = core(p, radius, *given)
            return Face(w, source * radius**2 / (p + 2), w.imag)
        ends = port(p, behind.radius, radius, *given)
        w, transfer, slack, catch = ends.seen(behind.w)
        inner, outer = weights(p, behind.radius, radius) if np.any(J) else (0.0, 0.0)
        inner_source = behind.added + source * inner
        return Face(w, transfer * inner_source + source * outer, catch, transfer, slack * inner_source, ends)

    @functools.cached_property
    def _tractions(self):
        """Im(h*conj(a)) just inside and just outside the outer radius of every ring; none outside the last one."""
        rows = zip(self._faces, self._a, strict=True)
        inside = [square(a) * face.w.imag + np.imag(face.added * np.conj(a)) for face, a in rows]
        jumps = [-sheet * a.imag for sheet, a in zip(self._sheets, self._a, strict=True)]
        outside = [traction + jump for traction, jump in zip(inside, jumps, strict=True)]
        inside[-1], outside[-1] = -jumps[-1], 0.0 * jumps[-1]
        return inside, outside

    @functools.cached_property
    def _losses(self):
        """Im(h_2*conj(a_2)) - Im(h_1*conj(a_1)) over every ring, without cancelling; None for one with current."""
        found, fed = [], False
        for i, (ring, face, a) in enumerate(zip(self.rings, self._faces, self._a, strict=True)):
            if np.any(ring.current_density_peak):
                found.append(None)
            elif fed and face.port is not None:  # a field from both sides
                behind, before = self._behind[i - 1], self._a[i - 1]
                found.append(face.port.caught(before, behind.w * before + behind.added, a))
            else:
                found.append(square(a) * face.catch)
            fed = fed or np.any(ring.current_density_peak) or np.any(self._sheets[i])
        return found

    def _current_work(self, i):
        """Return the integral of J*Im(a)*r over the current ring i."""
        if i == 0:
            inner, outer = 0.0, self._radii[0] ** 2 / (self.pole_pairs + 2)
        else:
            inner, outer = weights(self.pole_pairs, self._radii[i - 1], self._radii[i])
        before = self._a[i - 1].imag if i else 0.0
        return self.rings[i].current_density_peak * (inner * before + outer * self._a[i].imag)

    def _shaped(self, value):
        value = np.asarray(value)[()]
        return value if np.shape(value) == self.shape else np.broadcast_to(value, self.shape).copy()[()]

    @property
    def torque_per_length(self):
        """Torque on all that turns, along positive angles: Maxwell stress on its surfaces [N*m/m]."""
        total, inside, outside = 0.0, *self._tractions
        for i, ring in enumerate(self.rings):
            if ring.turns and (i + 1 == len(self.rings) or not self.rings[i + 1].turns or np.any(self._sheets[i])):
                total = total + inside[i]
            if ring.turns and i and (not self.rings[i - 1].turns or np.any(self._sheets[i - 1])):
                total = total - outside[i - 1]
        return self._shaped(self._per_traction * total)

    @property
    def _per_traction(self):
        return self.sense * np.pi * self.pole_pairs**2 / MU_0

    @property
    def torque_by_ring(self):
        """Torque on each ring along positive angles: of its losses or its current [N*m/m]; rings on axis 0."""
        rows = []
        for i, loss in enumerate(self._losses):
            work = MU_0 / self.pole_pairs * self._current_work(i) if loss is None else loss
            rows.append(self._shaped(self._per_traction * work))
        return np.stack(rows)

    @property
    def heat_by_ring(self):
        """Heat in each ring by eddy currents and hysteresis, not that of a winding [W/m]; rings on axis 0."""
        per_loss = np.pi * self.pole_pairs / MU_0
        rows = zip(self._past, self._losses, strict=True)
        return np.stack([self._shaped(0.0 * past if loss is None else per_loss * past * loss) for past, loss in rows])

    @property
    def heat(self):
        """Heat in all rings [W/m]."""
        return self.heat_by_ring.sum(axis=0)

    @property
    def mechanical_power(self):
        """Power to the shaft: torque times speed [W/m]."""
        return self._shaped(self.torque_per_length * self.speed)

    @property
    def supply_power(self):
        """Power the currents give off: each times the voltage along it [W/m]."""
        total = 0.0
        for i, (ring, past) in enumerate(self._pairs):
            if np.any(ring.current_density_peak):
                total = total - np.pi * past * self._current_work(i)
            # The sheet is at rest; q holds it as -mu_0*A*r/p.
            total = total + np.pi * self._omega * self.pole_pairs / MU_0 * self._sheets[i] * self._a[i].imag
        return self._shaped(total)

    def eccentric_pull(self, whirl_speed=0.0):
        """Return the unbalanced magnetic pull on all that turns, out of centre by much less than the gap.

        Parameters
        ----------
        whirl_speed : array_like
            Speed at which the displacement itself turns: zero for static eccentricity, the rotor's speed for dynamic
            eccentricity, any other for a shaft that whirls [rad/s]. It broadcasts with the arrays the wave was made of.

        Returns
        -------
        Pull
            ``along`` the displacement, positive where the rotor is drawn further out, and ``across`` it, 90 degrees
            ahead along positive angles: force per displacement and length [N/m²].

        Raises
        ------
        TypeError, ValueError
            if the speed is no finite number or does not broadcast; if no ring turns, rings at rest (but air) or a
            sheet lie inside turning ones, or no ring of air surrounds these

        Validity
        --------
        Of first order, derived in ``scaling.models.eccentric``. No flux returns along the axis (it would add to the
        pull at one pole pair). Pulls of waves add up unless their p*sense differ by one or two at one frequency.

        Examples
        --------
        >>> rings = [Ring(outer_radius=0.03, relative_permeability=1e3, turns=True), Ring(outer_radius=0.031)]
        >>> case = {"pole_pairs": 2, "frequency": 50, "speed": 157, "outside": "iron", "sheet_current_peak": 1e4}
        >>> print(rotating_wave(rings=rings, **case).eccentric_pull().along.round())
        1374364.0
        """
        return eccentric.eccentric_pull(self, whirl_speed)

    def field_at(self, r, theta, time=0.0):
        """Return the field at points and an instant, for pictures.

        Parameters
        ----------
        r, theta : array_like
            Radius and angle [m, rad]. They broadcast with each other and with the arrays the wave was made of. On a
            boundary the value is that of the ring outside.
        time : array_like
            Instant; at zero the currents are largest at theta = 0 [s].

        Returns
        -------
        RingPoints
            B_r, B_theta [T] and A_z [Wb/m]; field lines are the contours of A_z. In ideal iron outside the field is
            the limit of a large permeability, iron without end.
        """
        r, theta, time = (np.asarray(value, float) for value in (r, theta, time))
        a, slope, inner = 0.0, 0.0, 0.0
        for i, outer in enumerate(self._radii):
            at = np.clip(r, inner if i else CENTRE * outer, outer)
            face = self._across(i, self._behind[i - 1] if i else None, at)
            rest = self._across(i, Behind(at, face.w, face.added), outer)
            here = rest.transfer * self._a[i] - rest.drop
            h = face.w * here + face.added
            a = np.where(r >= inner, here, a)
            slope = np.where(r >= inner, self.pole_pairs * self._permeabilities[i] * h, slope)
            inner = outer
        beyond = self._a[-1] * (inner / np.maximum(r, inner)) ** self.pole_pairs
        a = np.where(r >= inner, beyond, a)
        slope = np.where(r >= inner, -self._beyond * self.pole_pairs * beyond, slope)
        # Nearer to the axis than the least radius, a goes as r**p.
        least = CENTRE * self._radii[0]
        near, radius = np.clip(r / least, 0.0, 1.0), np.maximum(r, least)
        wave = np.exp(1j * (self._omega * time - self.sense * self.pole_pairs * theta))
        flux = wave * near ** (self.pole_pairs - 1) / radius
        fields = (-1j * self.sense * self.pole_pairs * a * flux, -slope * flux, a * wave * near**self.pole_pairs)
        return RingPoints(*(np.real(value)[()] for value in fields))

    def current_density_at(self, r, theta, time=0.0):
        """Return the density of the current at points and an instant, induced and of windings, along the axis [A/m²].

        Arguments as ``field_at``. The induced one is the conductivity times the electric field that the ring meets.
        """
        r, theta, time = (np.asarray(value, float) for value in (r, theta, time))
        # E = -dA/dt in the ring's frame: A a quarter of the wave ahead, times the frequency of the field past it.
        ahead = self.field_at(r, theta + self.sense * np.pi / (2 * self.pole_pairs), time).A_z
        crest = np.cos(self._omega * time - self.sense * self.pole_pairs * theta)
        density, inner = 0.0 * ahead, 0.0
        for (ring, past), outer in zip(self._pairs, self._radii, strict=True):
            here = ring.conductivity * past * ahead + ring.current_density_peak * crest
            density = np.where((inner <= r) & (r < outer), here, density)
            inner = outer
        return density[()]


class Behind(NamedTuple):
    """Just outside a radius: h = w*a + added."""

    radius: np.ndarray
    w: np.ndarray
    added: np.ndarray


class Face(NamedTuple):
    """Just inside a radius: h = w*a + added; of the ring behind it the loss per |a|², and a_1 = transfer*a - drop."""

    w: np.ndarray
    added: np.ndarray
    catch: np.ndarray
    transfer: np.ndarray | None = None
    drop: np.ndarray | None = None
    port: Port | None = None


def rotating_wave(*, pole_pairs, frequency, speed, rings, outside, sense=1, sheet_current_peak=0.0, sheet_radius=None):
    """Return the field of a rotating current wave in a stack of concentric rings.

    Currents J*cos(omega*t - sense*p*theta) in a ring, A*cos(omega*t - sense*p*theta) in a sheet, all in phase; the
    model and its derivation stand in ``scaling.models.rotating_wave`` and ``scaling.models.rings``.

    Parameters
    ----------
    pole_pairs : array_like
        Pole pairs p of the wave, whole numbers: for a space harmonic, its order times those of the winding [1].
    frequency : array_like
        Supply frequency; zero for a field at rest, as of a brake [Hz].
    speed : array_like
        Speed of all rings that turn, along positive angles [rad/s].
    rings : sequence of Ring
        From the axis outwards.
    outside : {"iron", "air"}
        What lies outside the last ring, without end: ideal iron (mu infinite, no loss), or air.
    sense : array_like
        1 for a wave along positive angles, -1 for one against them [1].
    sheet_current_peak : array_like
        Peak linear current density A of a sheet at rest [A/m].
    sheet_radius : array_like, optional
        Outer radius of the ring the sheet lies on; without it the sheet lies on the last ring [m].

    Returns
    -------
    RotatingWave
        ``torque_per_length`` on all that turns, ``torque_by_ring`` [N*m/m], ``heat``, ``heat_by_ring``,
        ``mechanical_power``, ``supply_power`` [W/m], ``eccentric_pull()`` on a rotor out of centre [N/m²] and
        ``field_at(r, theta, time)``. Each has the broadcast shape of all arguments; "by ring" has the rings as a
        further axis 0.

    Raises
    ------
    TypeError, ValueError
        if an argument is no number, out of range, or does not broadcast; if radii do not grow outwards, a ring with
        current conducts or has hysteresis, or no current flows anywhere

    Validity
    --------
    One space harmonic, no end effects, linear rings, steady state; harmonics of different order or sense add up in
    torque and heat. A constant complex permeability stands for a hysteretic ring; where the ring outruns the field it
    is conjugate, or energy would not close. At synchronism exactly such a ring is given the torque it has just below
    (its pull-out), without heat.

    Source
    ------
    derived; tests hold it against finite elements, a published benchmark and arithmetic with many digits

    Examples
    --------
    >>> wave = rotating_wave(
    ...     pole_pairs=1, frequency=60, speed=[0.0, 200.0], outside="iron", rings=[
    ...         Ring(outer_radius=0.02, conductivity=1.6e6, relative_permeability=30, turns=True),
    ...         Ring(outer_radius=0.03, conductivity=3.72e7, turns=True), Ring(outer_radius=0.032),
    ...         Ring(outer_radius=0.052, current_density_peak=1e6)])
    >>> wave.torque_per_length.round(4), wave.heat.round(1)
    (array([0.458 , 0.8149]), array([172.6, 144.2]))
    """
    stage = {
        "pole_pairs": number(pole_pairs, "pole_pairs", above=0),
        "frequency": number(frequency, "frequency", least=0),
        "speed": number(speed, "speed"),
        "sense": number(sense, "sense"),
        "sheet_current_peak": number(sheet_current_peak, "sheet_current_peak"),
    }
    p, senses = stage["pole_pairs"], stage["sense"]
    if not ((p == np.round(p)) & (p <= MOST_POLE_PAIRS)).all():
        raise ValueError(f"pole_pairs: got {shorten(pole_pairs)}; expected whole numbers from 1 to {MOST_POLE_PAIRS}")
    if not (np.abs(senses) == 1).all():
        raise ValueError(f"sense: got {shorten(sense)}; expected 1 (along positive angles) or -1 (against them)")
    outside = choice(outside, tuple(OUTSIDE), "outside")
    if not isinstance(rings, (list, tuple)) or not all(isinstance(ring, Ring) for ring in rings):
        raise TypeError(f"rings: got {shorten(rings)}; expected a list of Ring")
    if not rings:
        raise ValueError("rings: got none; expected at least one Ring")
    stack = [checked(ring, f"rings[{i}]") for i, ring in enumerate(rings)]
    named = stage | {f"rings[{i}].{name}": value for i, ring in enumerate(stack) for name, value in vars(ring).items()}
    check_shapes({name: np.shape(value) for name, value in named.items()})
    check_order(stack, rings)
    return RotatingWave(rings=stack, outside=outside, sheet_ring=sheet_place(sheet_radius, stack), **stage)
