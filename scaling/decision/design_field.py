"""The field over the section of a chosen design: its stator smooth, its rotor as drawn, its sheet at the bore.

What the rotor types' laws take for granted is taken here too: ideal iron, the gap lengthened by Carter's coefficient
(its radial reluctivity raised by as much, so that drawn lengths stay true), a cage's bars and teeth as one ring that
conducts as the bars do on average and leads flux along the teeth, a hysteretic ring of one complex permeability, ribs
saturated. Of a single-phase supply it is the forward wave alone.
"""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from scaling.decision.curve import remade
from scaling.decision.performance import Point
from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, magnet
from scaling.machines.reluctance import FORMS, barred_rotor
from scaling.models.loops import energy, in_phase_flux_density
from scaling.models.section_field import MU_0, Cells, SectionField, graded, section_field

IDEAL = 1e-5  # reluctivity of ideal iron over that of air
PARTS = 4  # of a cell, each way, over which what it holds is averaged
DEEPEST = 0.01  # share of the potential at the surface that is left on the innermost circle
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
        inside = (self.field.radii >= s.inner) & (self.field.radii <= s.R)
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
    low = s.R * DEEPEST ** (1 / s.p)
    radii, angles = _nodes(s, min(low, 0.5 * s.inner))
    cells = _cells(radii, angles, s, fill)
    loading = point.operation.loading.item()
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
    return SimpleNamespace(
        form=form,
        own_axis=kind in ("reluctance", "magnet"),
        p=int(stator.p.item()),
        R=R,
        inner=R * np.exp(-t / R) if form == FORMS["flux barriers"] else R - t,
        bore=R + gap,
        outside=stator.outside.item() / 2,
        carter=stator.carter.item() ** (2 if form == "cage" else 1),
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
    ends = geometry.end_ring_share(phi_r=share, k=2 * s.p / (s.R + s.inner), L=stator.width.item())
    sigma = share / (point.properties["rho"].item() * (1 + ends))
    return slip * geometry.angular_frequency(f=np.asarray(point.fed.frequency).item()) * sigma


def _cage(point, s):
    share = point.si.bar_share
    s.core, s.conductance = IDEAL, _conductance(point, s, share)
    return _layer(s, nu_theta=share, conductance=s.conductance)


def _sheet(point, s):
    s.core, s.conductance = IDEAL, _conductance(point, s, 1.0)
    return _layer(s, nu_r=1.0, nu_theta=1.0, conductance=s.conductance)


def _ring(point, s):
    loop, H = point.properties, point.operation.ring_field
    in_phase = in_phase_flux_density(H, loop) + VALUES["mu_0"] * H
    nu = (MU_0 * H / (in_phase - 1j * energy(H, loop) / (np.pi * H))).item()
    s.core = 1.0
    return _layer(s, nu_r=nu, nu_theta=nu)


def _salient(point, s):
    half = point.si.pole_arc * np.pi / (2 * s.p)
    s.edges = np.array([half])

    def fill(r, angle):
        nu = np.where((r < s.inner) | (np.abs(angle) < half), IDEAL, 1.0)
        return {"nu_r": nu, "nu_theta": nu}

    return fill


def _barred(point, s):
    stator, share = point.stator, point.si.barrier_share
    tau = geometry.pole_pitch(D=stator.D, p=stator.p)
    rib, number = (np.asarray(value).item() for value in barred_rotor(point.si, stator.D, tau))
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
    stator, operation = point.stator, point.operation
    B_r, t = point.properties["B_r"].item(), s.R - s.inner
    round_gap = {"p": s.p, "D": 2 * s.R, "D_i": 2 * s.bore, "g_m": stator.slotted_gap.item()}
    full = magnet.round_magnet_gap_field(B_r=B_r, alpha=1.0, t=t, **round_gap)
    arc = magnet.magnet_arc(sigma_t=operation.shear.item(), A=operation.loading.item(), B_f=full)
    half = arc * np.pi / (2 * s.p)
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
