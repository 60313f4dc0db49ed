"""The field of a travelling current sheet in front of a stack of layers, and what it does to them.

The sheet K_z = A*cos(omega*t - k*x) lies on the stator face y = 0; y points into the rotor. With the admittances of
``layered`` carried from the far side to the face, Ampere's law across the sheet, H_x(0-) - H_x(0+) = A, gives the
potential a = mu_0*A/(k*(w + w_stator)) on the face. All stresses and powers follow from it:

    traction on what lies behind a surface   -Re(B_y*conj(H_x))/2 = k**2/(2*mu_0)*|a|**2*Im(w)
    pull across it                           (|B_y|**2 - |B_x|**2)/(4*mu_0)
    Joule heat, hysteresis heat              sigma*omega'**2*|a|**2/2 and |omega'|*mu''*|H|**2/2, over the thickness

A layer that takes the traction F takes the power F*omega/k from the wave: F*v to the shaft, F*omega'/k to heat.
"""

import functools
from typing import NamedTuple

import numpy as np

from scaling.ground.constants import VALUES
from scaling.ground.messages import choice, shorten
from scaling.laws import geometry
from scaling.models.layered import Layer, Section, checked, number, over, seen, square

MU_0 = VALUES["mu_0"]
BEHIND = {"iron": 0.0, "air": 1.0}


class FieldPoints(NamedTuple):
    """Field at points and one instant: flux density along and across the gap [T], vector potential [Wb/m]."""

    B_x: np.ndarray
    B_y: np.ndarray
    A_z: np.ndarray


class TravellingWave:
    """The solved field; arguments as `travelling_wave`, unchecked: arrays broadcast, NaN passes.

    All stresses and powers are averages over time and the length of the wave, per area of the gap. For pictures it
    keeps ``pole_pitch``, ``frequency``, ``sheet_current_peak``, ``layers``, ``behind_rotor`` and ``behind_stator``.
    """

    def __init__(
        self, *, pole_pitch, frequency, gap, layers, sheet_current_peak, behind_rotor, slip=None, behind_stator="iron"
    ):
        pole_pitch, frequency, gap = (np.asarray(value, float) for value in (pole_pitch, frequency, gap))
        given = [value for layer in layers for value in vars(layer).values() if value is not None]
        given += [pole_pitch, frequency, gap, sheet_current_peak, 0.0 if slip is None else slip]
        self.shape = np.broadcast_shapes(*map(np.shape, given))
        self.pole_pitch, self.frequency, self.layers = pole_pitch, frequency, tuple(layers)
        self.behind_rotor, self.behind_stator = behind_rotor, behind_stator
        self.sheet_current_peak = np.asarray(sheet_current_peak, float)
        self._k = k = geometry.wave_number(tau=pole_pitch)
        self._omega = geometry.angular_frequency(f=frequency)
        self.field_speed = geometry.field_speed(f=frequency, tau=pole_pitch)
        self._thicknesses = [gap, *(layer.thickness for layer in layers)]
        # Speed of each layer, and of the field past it: from the slip where given, exact at standstill and synchronism.
        if slip is None:
            self._speeds = [layer.speed for layer in layers]
            self._past = [self.field_speed - speed for speed in self._speeds]
        else:
            self._speeds = [self.field_speed * (1 - slip) for _ in layers]
            self._past = [self.field_speed * slip for _ in layers]
        behind, sections = BEHIND[behind_rotor], []
        for layer, past in zip(reversed(layers), reversed(self._past), strict=True):
            reynolds = MU_0 * layer.conductivity * past / k  # mu_0*sigma*omega'/k² with omega' = k*past
            permeability = seen(layer.relative_permeability, past)
            sections.append(Section(k * layer.thickness, behind, permeability, reynolds))
            behind = sections[-1].admittance
        self._rotor_admittance = behind + 0j
        self._gap, self._sections = Section(k * gap, behind), sections[::-1]
        self._at_face = over(MU_0 * self.sheet_current_peak / k, self._gap.admittance + BEHIND[behind_stator])

    def __repr__(self):
        return f"<TravellingWave over {len(self._sections)} layers, shape {self.shape}>"

    def _shaped(self, value):
        value = np.asarray(value)[()]
        return value if np.shape(value) == self.shape else np.broadcast_to(value, self.shape).copy()[()]

    def _stacked(self, values):
        rows = [self._shaped(value) for value in values]
        return np.stack(rows) if rows else np.zeros((0, *self.shape))

    @functools.cached_property
    def _at_rotor(self):
        """k²|a|²/(2 mu_0) at the rotor's surface: the traction per imaginary admittance."""
        return self._k**2 * square(self._at_face * self._gap.transfer) / (2 * MU_0)

    @functools.cached_property
    def _tractions(self):
        """The same at the front of every layer."""
        tractions = [self._at_rotor]
        for section in self._sections[:-1]:
            tractions.append(tractions[-1] * square(section.transfer))
        return tractions[: len(self._sections)]

    @property
    def shear_stress(self):
        """Shear stress on the rotor along the field: Maxwell stress on the rotor's surface [Pa]."""
        return self._shaped(self._at_rotor * self._rotor_admittance.imag)

    @property
    def normal_stress(self):
        """Normal stress on the rotor, positive when it is pulled towards the stator [Pa]."""
        return self._shaped(self._at_rotor * (1 - square(self._rotor_admittance)) / 2)

    @property
    def gap_field_peak(self):
        """Peak of the flux density across the gap, at the stator face y = 0 [T]."""
        return self._shaped(self._k * np.abs(self._at_face))

    @property
    def sheet_power(self):
        """Power the sheet gives off: its current times the voltage along it [W/m²]."""
        return self._shaped(-self._omega * self.sheet_current_peak * self._at_face.imag / 2)

    @property
    def speed_by_layer(self):
        """Speed of each layer along the field [m/s]; layers on axis 0."""
        return self._stacked(self._speeds)

    @property
    def shear_stress_by_layer(self):
        """Shear stress on each layer: Maxwell stress on its front less that on its back [Pa]; layers on axis 0."""
        rows = zip(self._tractions, self._sections, strict=True)
        return self._stacked(traction * section.catch for traction, section in rows)

    @property
    def mechanical_power(self):
        """Mechanical power of all layers: shear stress times speed [W/m²]."""
        return (self.shear_stress_by_layer * self.speed_by_layer).sum(axis=0)

    @functools.cached_property
    def _heats(self):
        rows = zip(self._tractions, self._past, self._sections, strict=True)
        return [[traction * past * loss for loss in section.losses()] for traction, past, section in rows]

    @property
    def joule_heat_by_layer(self):
        """Heat of the currents in each layer, integrated over the layer [W/m²]; layers on axis 0."""
        return self._stacked(joule for joule, _ in self._heats)

    @property
    def hysteresis_heat_by_layer(self):
        """Heat of the lag of B behind H in each layer, integrated over the layer [W/m²]; layers on axis 0."""
        return self._stacked(hysteresis for _, hysteresis in self._heats)

    @property
    def heat_by_layer(self):
        """Heat in each layer [W/m²]; layers on axis 0, the one at the gap first."""
        return self.joule_heat_by_layer + self.hysteresis_heat_by_layer

    @property
    def heat(self):
        """Heat in all layers [W/m²]."""
        return self.heat_by_layer.sum(axis=0)

    def field_at(self, x, y, time=0.0):
        """Return the field at points and an instant, for pictures.

        Parameters
        ----------
        x, y : array_like
            Along the field, and from the stator face (y = 0) into the rotor [m]. They broadcast with each other and
            with the arrays the wave was made of. On a boundary the value is that of the side with the larger y.
        time : array_like
            Instant; at zero the sheet current is largest at x = 0 [s].

        Returns
        -------
        FieldPoints
            B_x, B_y [T] and A_z [Wb/m]; field lines are the contours of A_z. In ideal iron the field is the limit of a
            large permeability, iron without end.
        """
        x, y, time = (np.asarray(value, float) for value in (x, y, time))
        k, start, front = self._k, 0.0, self._at_face
        a = slope = front * np.exp(-k * np.maximum(-y, 0))
        for section, thickness in zip((self._gap, *self._sections), self._thicknesses, strict=True):
            potential, gradient = section.inside(k * np.clip(y - start, 0, thickness))
            a = np.where(y >= start, front * potential, a)
            slope = np.where(y >= start, front * gradient, slope)
            start, front = start + thickness, front * section.transfer
        beyond = front * np.exp(-k * np.maximum(y - start, 0))
        a, slope = np.where(y >= start, beyond, a), np.where(y >= start, -beyond, slope)
        phase = np.exp(1j * (self._omega * time - k * x))
        return FieldPoints(*(np.real(part * phase)[()] for part in (k * slope, 1j * k * a, a)))

    @property
    def boundaries(self):
        """Distance of every boundary from the stator face [m]: the face, each layer's front, the last back; axis 0."""
        return np.cumsum(self._stacked([0.0, *self._thicknesses]), axis=0)

    def current_density_at(self, x, y, time=0.0):
        """Return the density of the current induced at points and an instant, along z as the sheet current [A/m²].

        Arguments as ``field_at``. It is the conductivity times the electric field that the moving layer meets.
        """
        # E = -dA/dt in the layer's frame: A a quarter of the wave ahead, times k and the speed of the field past it.
        ahead = self.field_at(np.asarray(x, float) + self.pole_pitch / 2, y, time).A_z
        boundaries, density = self.boundaries, 0.0 * ahead
        for layer, past, front, back in zip(self.layers, self._past, boundaries[1:], boundaries[2:], strict=False):
            inside = (front <= y) & (y < back)
            density = np.where(inside, layer.conductivity * past * self._k * ahead, density)
        return density[()]


def travelling_wave(
    *, pole_pitch, frequency, gap, layers, sheet_current_peak, behind_rotor, slip=None, behind_stator="iron"
):
    """Return the field of a travelling current sheet over a gap and a stack of layers.

    The sheet A*cos(omega*t - k*x), k = pi/pole_pitch, runs along the stator face in the direction of positive shear
    stress. The model and its derivation stand in ``scaling.models.travelling_wave`` and ``scaling.models.layered``.

    Parameters
    ----------
    pole_pitch : array_like
        Half the length of the wave [m].
    frequency : array_like
        Supply frequency; zero for a field at rest, as of a brake [Hz].
    gap : array_like
        From the stator face to the first layer, non-magnetic [m].
    layers : sequence of Layer
        From the gap outwards. Empty, with iron behind: the open gap.
    sheet_current_peak : array_like
        Peak linear current density A of the sheet [A/m].
    behind_rotor : {"iron", "air"}
        What lies behind the last layer, without end: ideal iron (mu infinite, no loss), moving with the rotor, or air.
    slip : array_like, optional
        Slip of all layers against the field. Either this or the speed of every layer is given, not both [1].
    behind_stator : {"iron", "air"}
        What lies behind the sheet, without end: ideal iron, or air (a winding without core).

    Returns
    -------
    TravellingWave
        ``shear_stress``, ``normal_stress`` [Pa], ``gap_field_peak`` (across the gap, at the stator face) [T],
        ``heat``, ``heat_by_layer``, ``joule_heat_by_layer``, ``hysteresis_heat_by_layer``, ``mechanical_power``,
        ``sheet_power`` [W/m²], ``shear_stress_by_layer`` [Pa], ``field_speed``, ``speed_by_layer`` [m/s],
        ``boundaries``
        [m], ``field_at(x, y, time)`` and ``current_density_at(x, y, time)``. Each has the broadcast shape of all
        arguments; "by layer" has the layers, ``boundaries`` the boundaries, as a further axis 0.

    Raises
    ------
    TypeError, ValueError
        if an argument is no number, out of range, or does not broadcast; if the motion is given twice or not at all

    Validity
    --------
    One space harmonic, plane and wide geometry, linear layers, steady state. A constant complex permeability stands for
    a hysteretic layer; where the layer outruns the field it is conjugate, or energy would not close. At synchronism
    exactly such a layer is given the stress it has just below (its pull-out), without heat.

    Source
    ------
    derived; tests hold it against finite elements, Melcher's thin sheet and arithmetic with 80 digits

    Examples
    --------
    >>> wave = travelling_wave(
    ...     pole_pitch=0.1, frequency=50, gap=0.003, layers=[Layer(thickness=0.001, conductivity=3.5e7)],
    ...     sheet_current_peak=5e4, behind_rotor="iron", slip=[0.05, 0.3])
    >>> wave.shear_stress.round(), wave.gap_field_peak.round(3)
    (array([2112., 6193.]), array([0.495, 0.346]))
    """
    stage = {
        "pole_pitch": number(pole_pitch, "pole_pitch", above=0),
        "frequency": number(frequency, "frequency", least=0),
        "gap": number(gap, "gap", above=0),
        "sheet_current_peak": number(sheet_current_peak, "sheet_current_peak", least=0),
        "slip": None if slip is None else number(slip, "slip"),
    }
    behind = {
        "behind_rotor": choice(behind_rotor, tuple(BEHIND), "behind_rotor"),
        "behind_stator": choice(behind_stator, tuple(BEHIND), "behind_stator"),
    }
    if not isinstance(layers, (list, tuple)) or not all(isinstance(layer, Layer) for layer in layers):
        raise TypeError(f"layers: got {shorten(layers)}; expected a list of Layer")
    if not layers and behind_rotor == "air":
        raise ValueError("layers: got none, and air behind the rotor; expected at least one Layer, or iron behind")
    stack = [checked(layer, f"layers[{i}]", slip) for i, layer in enumerate(layers)]
    named = stage | {
        f"layers[{i}].{name}": value for i, layer in enumerate(stack) for name, value in vars(layer).items()
    }
    check_shapes({name: value.shape for name, value in named.items() if value is not None})
    return TravellingWave(layers=stack, **stage, **behind)


def check_shapes(shapes):
    """Raise naming the first argument whose shape does not broadcast with those before it."""
    together = ()
    for name, shape in shapes.items():
        try:
            together = np.broadcast_shapes(together, shape)
        except ValueError:
            raise ValueError(f"{name}: got shape {shape}; expected one that broadcasts with {together}") from None
