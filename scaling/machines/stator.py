"""The stator that all machine types share: winding, core, gap and cooling, as arrays over size and pole pairs.

``round_stator`` lays out what geometry alone decides; ``scaling.machines.fed`` adds what a frequency decides. What
follows knows a stator by pole pitch, width, gap area and lever, not by its circle. All arrays broadcast: sizes on the
last axis, candidates (pole pairs, materials) on the one before, trials before that.
"""

import functools
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from scaling.ground import materials
from scaling.laws import friction as friction_law
from scaling.laws import geometry, rings, supply
from scaling.laws import stator as stator_laws
from scaling.machines import winding
from scaling.machines.leakage import own_parts, saturating_loading
from scaling.models import friction, heat
from scaling.models.iron import Iron
from scaling.models.thermal_parts import Machine, inside

TOGETHER = 0.01  # two limits as near as this bind together: lengths are not found more exactly


@dataclass(frozen=True)
class FieldLimit:
    """The largest peak gap field at the bore [T]: the least of ``fields``, which ``names`` would allow."""

    value: np.ndarray
    names: tuple
    fields: tuple

    def lowered(self, **own):
        """Return the limit with more of them, {name with underscores: gap field}."""
        value = functools.reduce(np.minimum, own.values(), self.value)
        names = (name.replace("_", " ") for name in own)
        fields = (np.broadcast_to(field, np.shape(value)) for field in own.values())
        return FieldLimit(value, (*self.names, *names), (*self.fields, *fields))

    def over(self, share):
        """Return the limit of a forward wave beside a backward one that is a share of it."""
        return FieldLimit(self.value / (1.0 + share), self.names, tuple(field / (1.0 + share) for field in self.fields))

    def held_by(self, binds):
        """Return {name of a limit: where it binds}; best lengths lie where two of them meet, then both do."""
        found = {}
        for name, field in zip(self.names, self.fields, strict=True):
            found[name] = found.get(name, False) | binds & (field <= (1.0 + TOGETHER) * self.value)
        return found


@dataclass(frozen=True)
class Stator:
    """A stator laid out, SI arrays; ``si`` is the brief in SI.

    ``tau`` is the pole pitch, ``k`` the wave number, ``width`` the active length across the travel, ``area`` the gap
    area, ``lever`` what turns force into torque and speed into angular speed (1 would leave force and speed). All are
    those of the bore: a round machine is unrolled there, see `scaling.laws.rings`; ``plane_gap`` and what ``unrolled``
    returns are thicknesses of the plane. ``gap`` lies between the iron of both sides, ``clearance`` is what a can
    leaves of it, with the ``fluid`` in it. D is the diameter of the rotor, ``bore`` that of the stator; ``length`` is
    that over the end windings, ``tip`` the height of tooth tips. ``flux_limit`` is the field limit without the teeth's.
    What lies in the slots is as in `scaling.machines.winding.Copper`.
    """

    si: Any
    tau: np.ndarray
    k: np.ndarray
    width: np.ndarray
    area: np.ndarray
    lever: np.ndarray
    D: np.ndarray
    bore: np.ndarray
    p: np.ndarray
    gap: np.ndarray
    clearance: np.ndarray
    plane_gap: np.ndarray
    slot_pitch: np.ndarray
    carter: np.ndarray
    slot_depth: np.ndarray
    outside: np.ndarray
    yoke: np.ndarray
    end_share: np.ndarray
    outside_area: np.ndarray
    overhang: np.ndarray
    length: np.ndarray
    volume: np.ndarray
    mass: np.ndarray
    inertia: np.ndarray
    copper_share: np.ndarray
    wire_diameter: np.ndarray
    wound: np.ndarray
    conductors: np.ndarray
    strands: np.ndarray
    liner: np.ndarray
    backward: np.ndarray
    backward_at_rest: np.ndarray
    field_limit: FieldLimit
    flux_limit: FieldLimit
    tooth_limit: np.ndarray
    rotor_depth: np.ndarray
    tip: np.ndarray
    weight: np.ndarray
    air: tuple
    fluid: tuple
    fits: np.ndarray

    @property
    def slotted_gap(self):
        """Unrolled clearance times the stator's Carter coefficient [m]."""
        return stator_laws.slotted_gap(g=self.plane_gap, k_C=self.carter)

    @property
    def is_plane(self):
        """Whether the machine is solved as if it were flat: for comparison."""
        return self.si.field_geometry == "plane"

    def unrolled(self, t):
        """Return the thickness of the plane layer for a layer t thick at the rotor's surface [m]."""
        return t if self.is_plane else rings.unrolled_thickness(D_i=self.bore, D=self.D, t=t)

    def volume_thickness(self, t):
        """Return the volume of a layer t thick at the rotor's surface, per bore area [m]."""
        return t if self.is_plane else rings.volume_thickness(D_i=self.bore, D=self.D, t=t)

    def ring(self, t):
        """Return (thickness unrolled [m], root-mean-square radius over that of the bore) of a ring t thick."""
        t_u = self.unrolled(t)
        return t_u, rings.radius_ratio(t_v=self.volume_thickness(t), t_u=t_u)

    @functools.cached_property
    def deepest_ring(self):
        """The same of a ring as deep as may be."""
        return self.ring(self.rotor_depth)

    def thickness_of_volume(self, t_v):
        """Return the thickness of a layer of a volume per bore area, at most the whole cylinder [m]."""
        whole = np.minimum(t_v, self.D**2 / (4 * self.bore))
        return t_v if self.is_plane else rings.thickness_of_volume(D_i=self.bore, D=self.D, t_v=whole)

    @functools.cached_property
    def forward_field_limit(self):
        """Limit of the forward wave, where the backward wave is as strong as its share of the loading."""
        return self.field_limit.over(self.backward)

    def core_limit(self, t):
        """Return the gap field that the rotor's core within a layer t thick lets through."""
        return stator_laws.yoke_limited_gap_field(
            B_y=self.si.yoke_field_limit, y=self.D / 2 - t, tau=self.tau, k_s=self.si.stacking_factor
        )

    @property
    def slots_per_pole_and_phase(self):
        """Stator slots per pole and phase, as they could be cut."""
        return geometry.slot_pitch(D=self.bore, p=self.p, c_q=1.0) / self.slot_pitch

    @functools.cached_property
    def own_leakage(self):
        """Parts of the winding's leakage."""
        return own_parts(self)

    @functools.cached_property
    def saturating_loading(self):
        """Peak loading of the fundamental from which on the tips of its teeth saturate."""
        opening = self.si.slot_opening_ratio * self.slot_pitch
        return self.si.winding_factor * saturating_loading(self.slot_pitch, opening, self.gap)

    @functools.cached_property
    def rotor_pitch(self):
        """Pole pitch on the rotor's surface [m]."""
        return geometry.pole_pitch(D=self.D, p=self.p)

    @functools.cached_property
    def own_iron(self):
        """The stator's iron, of a machine whose rotor has none."""
        return Iron(
            tau=self.tau, D_i=self.bore, d_s=self.slot_depth, y=self.yoke, phi_t=self.si.tooth_share,
            k_s=self.si.stacking_factor,
        )  # fmt: skip

    @functools.cached_property
    def tips(self):
        """Tooth tips of the rotor: (thickness unrolled, volume per bore area) [m]; at most half of its radius."""
        tip = np.minimum(self.tip, self.D / 4)
        return self.unrolled(tip), self.volume_thickness(tip)

    def torque(self, stress):
        """Return the torque of a shear stress on the rotor's surface [N·m]."""
        return stress * self.area * self.lever

    def shaft_speed(self, frequency, slip):
        """Return the angular speed of a rotor at a slip of the field [rad/s]."""
        return geometry.field_speed(f=frequency, tau=self.tau) * (1.0 - slip) / self.lever

    def bearing_torque(self, field, magnetic_gap, speed):
        """Return the friction torque of the bearings under weight and side pull of a peak gap field [N·m]."""
        D, si = self.D, self.si
        pull = friction.side_pull(field, D, self.width, self.plane_gap, magnetic_gap, self.p, si.eccentricity)
        return friction.bearing_torque(si, D, self.weight, pull, speed)

    def air_torque(self, speed):
        """Return the torque of friction in the gap's air, or liquid, at an angular speed [N·m]."""
        _, viscosity, density = self.fluid
        return friction.air_torque(speed, self.D, self.clearance, self.width, viscosity, density)

    def fan_torque(self, speed):
        """Return the torque of a fan on the shaft at an angular speed [N·m]: it goes with the square of the speed."""
        return heat.fan_power(self.si, self.outside, self.D / 2, self.air[2]) * speed**2

    @functools.cached_property
    def heat_paths(self):
        """What of the ways of heat inside does not depend on speed; None where all parts have one temperature."""
        si = self.si
        if si.temperature_drop == "none":
            return None
        own = {f.name: getattr(self, f.name) for f in fields(Machine) if hasattr(self, f.name)}
        with np.errstate(invalid="ignore", divide="ignore"):
            return inside(
                Machine(**own, tooth_share=si.tooth_share, stacking_factor=si.stacking_factor, conductor=si.conductor)
            )

    def heat_coefficient(self, speed, rise=None):
        """Return the coefficient of the outside [W/m²/K] at a rotor's angular speed and a rise of the outside.

        The rise is the brief's if not given.
        """
        return heat.outside_coefficient(
            self.si,
            outside_diameter=self.outside,
            length=self.length,
            outside_area=self.outside_area,
            rim_speed=speed * self.D / 2,
            rise=rise,
        )


def clearance(si, diameter):
    """Return the clearance of a rotor of a diameter [m]."""
    return np.maximum(si.gap_floor, si.gap_ratio * diameter)


def gap_of(si, diameter):
    """Return the gap between the iron of rotor and stator: the clearance, and a can if there is one [m]."""
    return clearance(si, diameter) + _first(si.can_thickness, 0.0)


def tooth_tip(si, diameter):
    """Return the height of tooth tips in a machine of a rotor diameter [m]."""
    return np.maximum(si.slot_pitch_floor / 2, si.rib_ratio * diameter)


def round_stator(si, diameter, pole_pairs):
    """Return the stator around a rotor, for one brief in SI and arrays of rotor diameters and pole pairs."""
    D, p = np.broadcast_arrays(np.asarray(diameter, float), np.asarray(pole_pairs, float))
    gap = gap_of(si, D)
    bore, plane_gap = _unrolled(si, D, gap)
    tau = geometry.pole_pitch(D=bore, p=p)
    single = geometry.slot_pitch(D=bore, p=p, c_q=1.0)
    pitch = geometry.slot_pitch(D=bore, p=p, c_q=si.slots_per_pole_and_phase)
    pitch = np.where(pitch >= si.slot_pitch_floor, pitch, single)
    outside, depth = geometry.outside_diameter(D=D, g=gap, c_D=si.outside_ratio), si.slot_depth_ratio * D
    yoke = geometry.yoke_thickness(D=D, g=gap, D_o=outside, d_s=depth)
    overhang = geometry.end_overhang(c_o=si.end_overhang_ratio, tau=tau, c_l=si.end_clearance_ratio, D=D)
    width = _active_length(si, D, overhang)
    end_share = geometry.end_winding_share(c_e=si.end_turn_ratio, tau=tau, L=width)
    copper = winding.copper(si, pitch, depth)
    limit = _flux_limit(si, yoke, tau)
    air = heat.air_properties(si.ambient, si.temperature_rise, si.air_pressure)
    length = geometry.overall_length(L=width, l_e=overhang)
    return Stator(  # every field of the record once: hence the length
        si=si,
        tau=tau,
        k=geometry.wave_number(tau=tau),
        width=width,
        area=geometry.bore_area(D=bore, L=width),
        lever=bore / 2,
        D=D,
        bore=bore,
        p=p,
        gap=gap,
        clearance=clearance(si, D),
        plane_gap=plane_gap,
        slot_pitch=pitch,
        carter=stator_laws.carter_coefficient(tau_u=pitch, b_u=si.slot_opening_ratio * pitch, g=gap),
        slot_depth=depth,
        outside=outside,
        yoke=yoke,
        end_share=end_share,
        outside_area=geometry.outside_area(D_o=outside, L_o=length),
        overhang=overhang,
        length=length,
        volume=geometry.envelope_volume(D_o=outside, L_o=length),
        mass=geometry.active_mass(
            D=D, D_i=bore, L=width, y=yoke, D_o=outside, d_s=depth, phi_s=copper.share, phi_t=si.tooth_share,
            k_s=si.stacking_factor, e=end_share, rho_c=materials.CORE_DENSITY,
            rho_w=materials.CONDUCTORS[si.conductor].density,
        ),
        inertia=geometry.rotor_inertia(rho_c=materials.CORE_DENSITY, D=D, L=width),
        copper_share=copper.share,
        wire_diameter=copper.diameter,
        wound=copper.wound,
        conductors=copper.conductors,
        strands=copper.strands,
        liner=copper.liner,
        backward=_opposed(si, si.turning_share, D.shape),
        backward_at_rest=_opposed(si, _first(si.starting_turning_share, si.turning_share), D.shape),
        field_limit=limit.lowered(tooth_field=_in_teeth(si)),
        flux_limit=limit,
        tooth_limit=np.broadcast_to(_in_teeth(si), D.shape),
        rotor_depth=np.minimum(si.rotor_depth_ratio * D, D / (2 * p)),  # at most one over the wave number there
        tip=tooth_tip(si, D),
        weight=friction_law.rotor_weight(rho_c=materials.CORE_DENSITY, D=D, L=width),
        air=air,
        fluid=_gap_fluid(si, air),
        fits=(single >= si.slot_pitch_floor) & (gap < D / 2) & (width > 0),
    )  # fmt: skip


def _active_length(si, D, overhang):
    """Return the active length: as given, or what the end windings leave of the length over all, else NaN [m]."""
    if si.overall_length is None:
        return D * (si.active_length / si.rotor_diameter)
    left = geometry.length_between(L_o=D * (si.overall_length / si.rotor_diameter), l_e=overhang)
    return np.where(left > 0, left, np.nan)


def _unrolled(si, D, gap):
    """Return (bore diameter, unrolled gap); of a machine solved as if it were flat, those of the rotor's surface."""
    bore = rings.bore_diameter(D=D, g=gap)
    return (D, gap) if si.field_geometry == "plane" else (bore, rings.unrolled_thickness(D_i=bore, D=bore, t=gap))


def _gap_fluid(si, air):
    """Return (conductivity, kinematic viscosity, density) of what fills the gap, the air inside if nothing else."""
    liquids = {"water": materials.WATER, "oil": materials.OIL}
    if si.gap_fluid in liquids:
        liquid = liquids[si.gap_fluid]
        return *heat.liquid_properties(liquid, si.ambient + si.temperature_rise / 2)[:2], liquid["rho_f"]
    return air


def _first(value, other):
    return other if value is None else value


def _opposed(si, turning_share, shape):
    """Return the backward over the forward wave of the supply."""
    share = supply.backward_ratio(epsilon_t=turning_share) if si.supply == "single-phase" else 0.0
    return np.broadcast_to(share, shape)


def _in_teeth(si):
    """Return the gap field that the stator's teeth let through."""
    return stator_laws.tooth_limited_gap_field(B_t=si.tooth_field_limit, phi_t=si.tooth_share, k_s=si.stacking_factor)


def _flux_limit(si, yoke, tau):
    """Return the limit of the gap field as given, or of the stator's yoke."""
    given = np.inf if si.gap_field_limit is None else si.gap_field_limit
    in_yoke = stator_laws.yoke_limited_gap_field(B_y=si.yoke_field_limit, y=yoke, tau=tau, k_s=si.stacking_factor)
    first = np.broadcast_to(given, tau.shape)
    return FieldLimit(first, ("gap field",), (first,)).lowered(yoke_field=in_yoke)
