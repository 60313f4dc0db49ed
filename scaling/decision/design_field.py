"""The field over the section of a chosen design: its stator smooth, its rotor as drawn, its sheet at the bore.

What the rotor types' laws take for granted is taken here too: ideal iron, the gap lengthened by Carter's coefficient
(its radial reluctivity raised by as much, so that drawn lengths stay true), a cage's bars and teeth as one ring that
conducts as the bars do on average and leads flux along the teeth, the tooth tips above them as a ring that leaks as
their slots' openings do, the harmonics of the bars' own field with them, a hysteretic ring of one complex permeability,
ribs saturated. Of a single-phase supply it is the forward wave alone.
"""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from scaling.decision.curve import remade
from scaling.decision.performance import Point
from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, leakage
from scaling.laws import stator as stator_laws
from scaling.machines.fed import pull_out_reserve
from scaling.machines.reluctance import FORMS, barred_rotor
from scaling.models.loops import energy, in_phase_flux_density
from scaling.models.section_field import MU_0, Cells, SectionField, graded, section_field

IDEAL = 1e-5  # reluctivity of ideal iron over that of air
PARTS = 4  # of a cell, each way, over which what it holds is averaged
DEEPEST = 0.01  # share of the potential at the core's surface that is left on the innermost circle, or twice that
ACROSS_GAP, ACROSS_POLE = 5, 80  # cells at least, where nothing is finer
ACROSS_BARRIER = 10
FAR = 3  # times as coarse in core and yoke


@dataclass(frozen=True)
class DesignField:
    """The solved field of a design, and where its rotor stands. Angles are counted from where the current is largest.

    ``sizes`` has radii (inner, R, bore, outside), pole pairs p, and what the form of the rotor needs.
    """

    point: Point
    sizes: SimpleNamespace
    field: SectionField
    lead: float

    def rotor_angle(self, time=0.0):
        """Return the angle of the rotor's d axis at an instant; at zero the current is largest at angle zero [rad]."""
        return self.point.speed.item() * time - self.lead / self.sizes.p

    def phase(self, time=0.0):
        """Return the electrical angle from the rotor's d axis to the largest current [rad]."""
        return geometry.angular_frequency(f=self.frequency) * time - self.sizes.p * self.rotor_angle(time)

    def potential(self, time=0.0):
        """Return A_z at the nodes, which turn with the rotor [Wb/m]."""
        return self.field.potential(self.phase(time))

    def torque(self, time=0.0):
        """Return the torque across the gap: Maxwell stress on a circle in its middle [N*m]."""
        s = self.sizes
        return self.field.torque_per_length((s.R + s.bore) / 2, self.phase(time)) * self.point.stator.width.item()

    @property
    def frequency(self):
        """Supply frequency [Hz]."""
        return np.asarray(self.point.fed.frequency).item()

    def ring_current(self, time=0.0):
        """Return the complex peak of the currents induced per angle at the rotor's angle zero, now [A/rad]."""
        s = self.sizes
        inside = (self.field.radii >= s.inner) & (self.field.radii <= s.R - s.tip)
        a = self.field.driven[inside, -1] / np.exp(-1j * s.p * self.field.angles[-1])
        r = self.field.radii[inside]
        density = -1j * a * s.conductance
        return np.trapezoid(density * r, r) * np.exp(1j * self.phase(time))


def design_field(choice, kind):
    """Return the field over the section of a choice's design of one kind.

    Parameters
    ----------
    choice : Choice
        what ``choose(brief)`` returns
    kind : str
        a machine type

    Returns
    -------
    DesignField
        ``potential(time)``, ``rotor_angle(time)``, ``torque(time)``

    Raises
    ------
    TypeError, KeyError, ValueError
        as ``scaling.decision.curve.remade``
    """
    point = remade(choice, kind)
    s = _sizes(point, choice[kind].material)
    fill = _ROTORS[s.form](point, s)
    radii, angles = _nodes(s, s.inner * DEEPEST ** (1 / s.p))
    cells = _cells(radii, angles, s, fill)
    ideal = point.operation.ideal_loading
    loading = (point.operation.loading if ideal is None else ideal).item()  # the iron of this field is ideal
    field = section_field(radii=radii, angles=angles, cells=cells, sheet_radius=s.bore, sheet_current_peak=loading)
    load_angle = np.nan_to_num(np.asarray(point.operation.load_angle)).item() if s.own_axis else -np.pi / 2
    # A field's axis lies a quarter of a wave behind the largest current.
    return DesignField(point, s, field, load_angle + np.pi / 2)


def _sizes(point, material):
    """Return the lengths of a design [m] and what the forms of rotors need."""
    stator, kind = point.stator, point.rotor.kind
    R, gap = stator.D.item() / 2, stator.gap.item()
    form = {"induction": point.si.induction_rotor, "reluctance": material}.get(kind, kind)
    t = np.asarray(point.operation.thickness).item()
    chosen = {name: np.asarray(value).item() for name, value in point.operation.form.items()}
    return SimpleNamespace(
        form=form,
        own_axis=kind in ("reluctance", "magnet"),
        p=int(stator.p.item()),
        R=R,
        inner=R * np.exp(-t / R) if form == FORMS["flux barriers"] else R - t,
        bore=R + gap,
        outside=stator.outside.item() / 2,
        carter=stator.carter.item(),
        tip=0.0,  # height of a cage's tooth tips
        chosen=chosen,
        conductance=0.0,
        rims=[],  # radii and angles at which something ends
        edges=np.array([]),
        cell=np.inf,
    )


def _nodes(s, low):
    """Return radii and angles of the nodes, close together at gap and edges, over the pole around the d axis."""
    pole, gap = np.pi / s.p, np.log(s.bore / s.R)
    coarse = pole / ACROSS_POLE
    fine = min(gap / ACROSS_GAP, s.cell, coarse)
    rims = np.unique([low, s.inner, *s.rims, s.R, s.bore, s.outside])
    most = np.where((rims[:-1] >= s.inner) & (rims[:-1] < s.R), min(s.cell, coarse), FAR * coarse)
    radii = np.exp(graded(np.log(rims), np.log([s.R, s.bore]), finest=fine, coarsest=most))
    edges = np.unique([*-s.edges, *s.edges])
    angles = graded(np.unique([-pole / 2, *edges, pole / 2]), edges, finest=fine, coarsest=min(2 * s.cell, coarse))
    # A circle that bounds something keeps its radius to the last digit.
    for radius in rims:
        radii[np.argmin(np.abs(radii - radius))] = radius
    return radii, angles


def _cells(radii, angles, s, fill):
    """Return what the cells hold, averaged over parts of each."""
    part = (np.arange(PARTS) + 0.5) / PARTS
    r = (radii[:-1, None] + np.diff(radii)[:, None] * part).ravel()
    angle = (angles[:-1, None] + np.diff(angles)[:, None] * part).ravel()
    held = {"nu_r": IDEAL, "nu_theta": IDEAL, "conductance": 0.0, "M_r": 0.0, "M_theta": 0.0}
    here = fill(r[:, None], angle[None, :])
    gap = ((r > s.R) & (r < s.bore))[:, None]
    beyond = {"nu_r": np.where(gap, s.carter, IDEAL), "nu_theta": np.where(gap, 1 / s.carter, IDEAL)}
    inside = (r < s.R)[:, None]
    found = {}
    for name, value in held.items():
        whole = np.where(inside, here.get(name, value), beyond.get(name, 0.0))
        whole = np.broadcast_to(whole, (r.size, angle.size))
        found[name] = whole.reshape(radii.size - 1, PARTS, angles.size - 1, PARTS).mean(axis=(1, 3))
    return Cells(**found)


def _layer(s, **held):
    """Return the filling of a round layer on the core."""

    def fill(r, angle):
        outer = {"nu_r": IDEAL, "nu_theta": IDEAL} | held
        core = {"nu_r": s.core, "nu_theta": s.core}
        return {name: np.where(r > s.inner, value, core.get(name, 0.0)) for name, value in outer.items()}

    return fill


def _conductance(point, s, share):
    """Return slip frequency times mean conductivity of bars or sheet, end rings included."""
    stator, slip = point.stator, np.asarray(point.operation.slip).item()
    k, ring = 2 * s.p / (s.R - s.tip + s.inner), s.chosen["end_ring_width"]
    ends = geometry.end_ring_share(phi_r=share, k=k, L=stator.width.item(), w_e=ring)
    sigma = share / (np.asarray(point.operation.resistivity).item() * (1 + ends))
    return slip * geometry.angular_frequency(f=np.asarray(point.fed.frequency).item()) * sigma


def _cage(point, s):
    stator, share, opening = point.stator, s.chosen["bar_share"], s.chosen["rotor_slot_opening_ratio"]
    pitch, s.tip = stator.slot_pitch.item() * s.R / s.bore, stator.tip.item()
    gap = s.carter * stator.plane_gap.item()
    own = stator_laws.carter_coefficient(tau_u=pitch, b_u=opening * pitch, g=stator.gap.item())
    s.carter = (s.carter * own).item()
    # Slots of one width: the openings leak as h_l/(opening*pitch), the harmonics as much more as their law has it.
    harmonics = leakage.cage_differential_leakage(p=s.p, N_2=2 * np.pi * s.R / pitch)
    leaks = harmonics / np.tanh(s.p * gap * own / s.bore) * s.R / (s.p * s.tip)
    s.conductance, s.rims = _conductance(point, s, share), [s.R - s.tip]

    def fill(r, angle):
        bars, core = (r > s.inner) & (r < s.R - s.tip), r < s.inner
        along = np.where(bars, share, 1 / (r / s.R / opening + leaks * r / s.R))
        return {
            "nu_r": IDEAL + 0.0 * angle,
            "nu_theta": np.where(core, IDEAL, along),
            "conductance": np.where(bars, s.conductance, 0.0),
        }

    return fill


def _sheet(point, s):
    s.core, s.conductance = IDEAL, _conductance(point, s, 1.0)
    return _layer(s, nu_r=1.0, nu_theta=1.0, conductance=s.conductance)


def _ring(point, s):
    loop, H = point.properties, point.operation.ring_field
    in_phase, across = in_phase_flux_density(H, loop) + VALUES["mu_0"] * H, energy(H, loop) / (np.pi * H)
    # A reserve of torque: the same peak, which lags by less.
    lagging = across / pull_out_reserve(point.si, point.rotor.reserve)
    nu = (MU_0 * H / (np.sqrt(in_phase**2 + across**2 - lagging**2) - 1j * lagging)).item()
    s.core = 1.0
    return _layer(s, nu_r=nu, nu_theta=nu)


def _salient(point, s):
    half = s.chosen["pole_arc"] * np.pi / (2 * s.p)
    s.edges = np.array([half])

    def fill(r, angle):
        nu = np.where((r < s.inner) | (np.abs(angle) < half), IDEAL, 1.0)
        return {"nu_r": nu, "nu_theta": nu}

    return fill


def _barred(point, s):
    stator, share, number = point.stator, s.chosen["barrier_share"], int(s.chosen["barriers"])
    tau = stator.rotor_pitch
    rib = np.asarray(barred_rotor(point.si, stator.D, tau, share)[0]).item()
    pole = np.pi / s.p
    pitch = pole / (2 * number + 1)
    middles = pitch * np.arange(1, number + 1)
    mouths = np.concatenate([middles - share * pitch / 2, middles + share * pitch / 2])
    s.edges, s.rims, s.cell = pole / 2 - mouths, [s.R - rib], share * pitch / ACROSS_BARRIER

    def fill(r, angle):
        away = np.hypot(np.log(s.R / r), pole / 2 - np.abs(angle))  # from the q axis at the surface
        inside = np.abs(away - pitch * np.clip(np.round(away / pitch), 1, number)) < share * pitch / 2
        rib_here = inside & (r > s.R - rib)
        nu = np.where(inside, 1.0, IDEAL)
        return {"nu_r": nu, "nu_theta": nu, "M_theta": np.where(rib_here, materials.RIB_FIELD / MU_0, 0.0)}

    return fill


def _magnets(point, s):
    B_r = point.operation.ideal_remanence.item()
    half = point.si.magnet_arc * np.pi / (2 * s.p)
    s.edges = np.array([half])

    def fill(r, angle):
        layer = r > s.inner
        nu = np.where(layer, 1.0, IDEAL) + 0.0 * angle
        return {"nu_r": nu, "nu_theta": nu, "M_r": np.where(layer & (np.abs(angle) < half), B_r / MU_0, 0.0)}

    return fill


_ROTORS = {
    "cage": _cage,
    "sheet": _sheet,
    "hysteresis": _ring,
    FORMS["salient"]: _salient,
    FORMS["flux barriers"]: _barred,
    "magnet": _magnets,
}
