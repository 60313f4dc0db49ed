"""The stator that all machine types share: winding, core, gap and cooling, as arrays over size and pole pairs.

``round_stator`` lays out what geometry alone decides; ``feed`` adds speed, losses, friction and the heat budget at a
frequency. What follows knows a stator by pole pitch, width, gap area and lever, not by its circle. All arrays
broadcast: sizes on the last axis, candidates (pole pairs, materials) on the one before, trials before that.
"""

import functools
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from scaling.ground import materials
from scaling.laws import duty, geometry, rings, strength, supply, wire
from scaling.laws import friction as friction_law
from scaling.laws import stator as stator_laws
from scaling.models import friction, heat

FIELD_LIMITS = ("gap field", "tooth field", "yoke field")


@dataclass(frozen=True)
class Stator:
    """A stator laid out, SI arrays; ``si`` is the brief in SI.

    ``tau`` is the pole pitch, ``k`` the wave number, ``width`` the active length across the travel, ``area`` the gap
    area, ``lever`` what turns force into torque and speed into angular speed (1 would leave force and speed). All are
    those of the bore: a round machine is unrolled there, see `scaling.laws.rings`; ``plane_gap`` and what ``unrolled``
    returns are thicknesses of the plane. D is the diameter of the rotor, ``bore`` that of the stator.
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
    plane_gap: np.ndarray
    slot_pitch: np.ndarray
    carter: np.ndarray
    slot_depth: np.ndarray
    outside: np.ndarray
    yoke: np.ndarray
    end_share: np.ndarray
    outside_area: np.ndarray
    volume: np.ndarray
    mass: np.ndarray
    inertia: np.ndarray
    copper_share: np.ndarray
    wire_diameter: np.ndarray
    wound: np.ndarray
    backward: np.ndarray
    field_limit: np.ndarray
    field_held_by: np.ndarray
    rotor_depth: np.ndarray
    bearing_torque: np.ndarray
    air: tuple
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

    @property
    def forward_field_limit(self):
        """Largest forward wave of the gap field, where the backward wave is as strong as its share of the loading."""
        return self.field_limit / (1.0 + self.backward)

    def held_by(self, binds):
        """Return {name of a field limit: where it binds}."""
        return {name: binds & (self.field_held_by == i) for i, name in enumerate(FIELD_LIMITS)}

    def torque(self, stress):
        """Return the torque of a shear stress on the rotor's surface [N·m]."""
        return stress * self.area * self.lever

    def shaft_speed(self, frequency, slip):
        """Return the angular speed of a rotor at a slip of the field [rad/s]."""
        return geometry.field_speed(f=frequency, tau=self.tau) * (1.0 - slip) / self.lever

    def air_torque(self, speed):
        """Return the torque of air friction at an angular speed [N·m]."""
        _, viscosity, density = self.air
        return friction.air_torque(speed, self.D, self.gap, self.width, viscosity, density)

    def heat_coefficient(self, speed):
        """Return the heat transfer coefficient of the outside at an angular speed of the rotor [W/m²/K]."""
        return heat.outside_coefficient(
            self.si,
            outside_diameter=self.outside,
            length=self.width,
            outside_area=self.outside_area,
            rim_speed=speed * self.D / 2,
        )


@dataclass(frozen=True)
class FedStator:
    """A stator at a supply frequency: speed, loss factors, friction and the heat left for winding, core and rotor."""

    stator: Stator
    frequency: np.ndarray
    field_speed: np.ndarray
    slip_low: np.ndarray
    slip_high: np.ndarray
    winding_heat_factor: np.ndarray
    core_factor: np.ndarray
    friction_torque: np.ndarray
    heat_coefficient: np.ndarray
    budget: np.ndarray
    surface_factor: np.ndarray | float = 0.0

    @property
    def field_heat_factor(self):
        """Heat of core and solid rotor surface per gap area over the square of the forward gap field."""
        return self.core_factor + self.surface_factor

    @property
    def both_waves_heat_factor(self):
        """The same with a backward wave that is as strong as its share of the loading."""
        return self.core_factor * (1.0 + self.stator.backward**2) + self.surface_factor

    def surface_drag(self, gap_field):
        """Return the stress with which slot ripple brakes a solid rotor [Pa]."""
        return self.surface_factor * gap_field**2 / self.field_speed


def take(record, index):
    """Return a stator, fed or not, with the candidates at an index array, for every size its own."""
    flat = index * index.shape[1] + np.arange(index.shape[1])  # faster than two indices

    def taken(value):
        if isinstance(value, Stator):
            return take(value, index)
        return value.ravel().take(flat) if isinstance(value, np.ndarray) else value

    return replace(record, **{field.name: taken(getattr(record, field.name)) for field in fields(record)})


def resistivity(conductor, si):
    """Return a conductor's resistivity at ambient temperature plus temperature rise [ohm·m]."""
    return stator_laws.resistivity_at(
        sigma_20=conductor.conductivity,
        alpha_20=conductor.temperature_coefficient,
        T=si.ambient + si.temperature_rise,
        T_20=materials.T_20,
    )


def clearance(si, diameter):
    """Return the gap of a rotor of a diameter [m]."""
    return np.maximum(si.gap_floor, si.gap_ratio * diameter)


def round_stator(si, diameter, pole_pairs):
    """Return the stator around a rotor, for one brief in SI and arrays of rotor diameters and pole pairs."""
    D, p = np.broadcast_arrays(np.asarray(diameter, float), np.asarray(pole_pairs, float))
    width = D * (si.active_length / si.rotor_diameter)
    gap = clearance(si, D)
    bore, plane_gap = _unrolled(si, D, gap)
    tau = geometry.pole_pitch(D=bore, p=p)
    single = geometry.slot_pitch(D=bore, p=p, c_q=1.0)
    pitch = geometry.slot_pitch(D=bore, p=p, c_q=si.slots_per_pole_and_phase)
    pitch = np.where(pitch >= si.slot_pitch_floor, pitch, single)
    outside, depth = geometry.outside_diameter(D=D, g=gap, c_D=si.outside_ratio), si.slot_depth_ratio * D
    yoke = geometry.yoke_thickness(D=D, g=gap, D_o=outside, d_s=depth)
    end_share = geometry.end_winding_share(c_e=si.end_turn_ratio, tau=tau, L=width)
    share, wire_diameter, wound = _copper(si, pitch, depth)
    opposed = supply.backward_ratio(epsilon_t=si.turning_share) if si.supply == "single-phase" else 0.0
    limit, held_by = _field_limit(si, yoke, tau)
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
        plane_gap=plane_gap,
        slot_pitch=pitch,
        carter=stator_laws.carter_coefficient(tau_u=pitch, b_u=si.slot_opening_ratio * pitch, g=gap),
        slot_depth=depth,
        outside=outside,
        yoke=yoke,
        end_share=end_share,
        outside_area=geometry.outside_area(D_o=outside, L=width),
        volume=geometry.envelope_volume(D_o=outside, L=width),
        mass=geometry.active_mass(
            D=D, D_i=bore, L=width, y=yoke, D_o=outside, d_s=depth, phi_s=share, phi_t=si.tooth_share, e=end_share,
            rho_c=materials.CORE_DENSITY, rho_w=materials.CONDUCTORS[si.conductor].density,
        ),
        inertia=geometry.rotor_inertia(rho_c=materials.CORE_DENSITY, D=D, L=width),
        copper_share=share,
        wire_diameter=wire_diameter,
        wound=wound,
        backward=np.broadcast_to(opposed, D.shape),
        field_limit=limit,
        field_held_by=held_by,
        rotor_depth=np.minimum(si.rotor_depth_ratio * D, D / (4 * p)),  # at most half over the wave number there
        bearing_torque=friction_law.bearing_torque(
            c_f=si.bearing_friction, c_d=si.bearing_diameter_ratio, rho_c=materials.CORE_DENSITY, D=D, L=width
        ),
        air=heat.air_properties(si.ambient, si.temperature_rise, si.air_pressure),
        fits=(single >= si.slot_pitch_floor) & (gap < D / 2),
    )  # fmt: skip


def _unrolled(si, D, gap):
    """Return (bore diameter, unrolled gap); of a machine solved as if it were flat, those of the rotor's surface."""
    bore = rings.bore_diameter(D=D, g=gap)
    return (D, gap) if si.field_geometry == "plane" else (bore, rings.unrolled_thickness(D_i=bore, D=bore, t=gap))


def _field_limit(si, yoke, tau):
    """Return (largest gap field, number of the one of FIELD_LIMITS that holds it)."""
    given = np.inf if si.gap_field_limit is None else si.gap_field_limit
    teeth = stator_laws.tooth_limited_gap_field(B_t=si.tooth_field_limit, phi_t=si.tooth_share)
    each = np.broadcast_arrays(
        given, teeth, stator_laws.yoke_limited_gap_field(B_y=si.yoke_field_limit, y=yoke, tau=tau)
    )
    return np.min(each, axis=0), np.argmin(each, axis=0)


def _copper(si, pitch, depth):
    """Return (copper share of the slot layer, conductor diameter, whether it can be wound).

    The share of the slots is as given, or what enamel, liner and packing leave.
    """
    if si.conductors_per_slot is None:
        layer = wire.layer_copper_share(phi_n=si.slot_fill, phi_t=si.tooth_share)
        return np.broadcast_to(layer, depth.shape), np.full(depth.shape, np.nan), np.full(depth.shape, True)
    slot = {"w_u": wire.slot_width(tau_u=pitch, phi_t=si.tooth_share), "d_s": depth, "t_i": si.slot_liner}
    room = wire.wire_room(**slot)
    overall = wire.overall_diameter(k_p=si.wire_packing, S_n=room, z_s=si.conductors_per_slot)
    share = wire.wire_copper_share(d_i=overall, **materials.ENAMEL)
    fill = wire.slot_copper_share(k_p=si.wire_packing, phi_w=share, **slot)
    conductor = wire.conductor_diameter(d_i=overall, phi_w=share)
    narrowest = np.minimum(slot["w_u"], depth) - 2 * si.slot_liner
    layer = np.where(room > 0, wire.layer_copper_share(phi_n=fill, phi_t=si.tooth_share), np.nan)
    return layer, conductor, (conductor >= si.thinnest_wire) & (overall <= narrowest)


def stands(part, si, c_v=1.0):
    """Return the rim speed that a part of a named strength stands [m/s], as a thin ring if no coefficient is given."""
    made = materials.STRENGTHS[part]
    return strength.rim_speed_limit(c_v=c_v, rho_b=made.density, sigma_p=made.proof_stress, n_o=si.overspeed)


def sheet_stands(si):
    """Return the rim speed that a rotor of electrical sheet with a small bore stands [m/s]."""
    ratio = materials.STRENGTHS["electrical sheet"].poisson_ratio
    return stands("electrical sheet", si, strength.bored_disc_coefficient(nu_p=ratio, D_b=1e-6, D=1.0))


def rim_frequency(stator, rim_speed):
    """Return the supply frequency at which the rotor's surface has a speed, at no slip."""
    return rim_speed / (2 * geometry.pole_pitch(D=stator.D, p=stator.p))


def frequency_range(stator, synchronous, rim_speed=np.inf):
    """Return (low, high) supply frequency inside the supply, the asked speed and the rim speed; low > high: none.

    ``rim_speed`` is what the rotor's parts stand. An induction rotor may also run above the asked speed's synchronous
    frequency, by its slip limit.
    """
    si = stator.si
    low, high = si.supply_frequency
    whole = si.rim_speed_limit
    rim = rim_frequency(stator, whole if si.sleeved else np.minimum(whole, rim_speed))
    low, high = np.broadcast_to(low, rim.shape), np.minimum(high, rim)
    if si.speed is not None:
        slow, fast = (rim_frequency(stator, n * stator.D / 2) for n in si.speed)
        low = np.maximum(low, slow)
        high = np.minimum(high, fast if synchronous else fast / (1.0 - si.slip_limit))
    return low, high


def feed(stator, frequency, slip=0.0):
    """Return a stator at an array of supply frequencies [Hz], air friction and shaft fan at the speed of a slip."""
    si, speed = stator.si, stator.shaft_speed(frequency, 0.0)
    slip_low, slip_high = np.zeros(speed.shape), np.full(speed.shape, si.slip_limit)
    if si.speed is not None:
        slip_low = np.maximum(slip_low, 1.0 - si.speed[1] / speed)
        slip_high = np.minimum(slip_high, 1.0 - si.speed[0] / speed)
    turning = stator.shaft_speed(frequency, slip)
    friction_torque = stator.bearing_torque + stator.air_torque(turning)
    coefficient = stator.heat_coefficient(turning)
    allowed = stator_laws.heat_allowed(
        h=coefficient, theta=si.temperature_rise, S_o=stator.outside_area, S_b=stator.area
    )
    budget = allowed * _overload(stator, coefficient) - friction_torque * turning / stator.area
    return FedStator(
        stator=stator,
        frequency=np.broadcast_to(frequency, speed.shape),
        field_speed=geometry.field_speed(f=frequency, tau=stator.tau),
        slip_low=slip_low,
        slip_high=slip_high,
        winding_heat_factor=_winding_heat_factor(stator, frequency),
        core_factor=stator_laws.core_heat_factor(
            c_b=si.core_building_factor, w_1=si.core_loss, B_1=materials.LOSS_FIELD, f=frequency,
            f_1=materials.LOSS_FREQUENCY, rho_c=materials.CORE_DENSITY, d_s=stator.slot_depth,
            phi_t=si.tooth_share, y=stator.yoke, tau=stator.tau, D=stator.bore, D_o=stator.outside,
        ),
        friction_torque=friction_torque,
        heat_coefficient=np.broadcast_to(coefficient, budget.shape),
        budget=np.where(budget > 0.0, budget, np.nan),
    )  # fmt: skip


def _winding_heat_factor(stator, frequency):
    """Return the winding's heat per gap area over the square of the forward loading, both waves' currents counted."""
    si = stator.si
    rho = resistivity(materials.CONDUCTORS[si.conductor], si)
    made = {"e": stator.end_share, "k_w": si.winding_factor, "phi_s": stator.copper_share, "d_s": stator.slot_depth}
    factor = stator_laws.winding_heat_factor(rho=rho * _alternating(stator, frequency, rho), **made)
    return factor * (1.0 + stator.backward**2)


def _alternating(stator, frequency, rho):
    """Return the resistance factor of the winding's wires in their slots; 1 where no wire is given."""
    if stator.si.conductors_per_slot is None:
        return 1.0
    depth = wire.skin_depth(rho=rho, f=frequency)
    return wire.strands_resistance_factor(
        d_w=stator.wire_diameter, phi_n=slot_fill(stator), d_s=stator.slot_depth, delta=depth
    )


def slot_fill(stator):
    """Return the copper over the area of the slots."""
    return stator.copper_share / (1.0 - stator.si.tooth_share)


def _overload(stator, coefficient):
    """Return the losses that the duty allows over those of continuous duty."""
    si = stator.si
    if si.duty == "S1":
        return 1.0
    t_h = heating_time(stator, coefficient)
    if si.duty == "S2":
        return duty.short_time_overload(t_w=si.duty_time, t_h=t_h)
    at_work = si.duty_factor * si.duty_time
    return duty.intermittent_overload(t_w=at_work, t_p=si.duty_time - at_work, t_h=t_h, t_c=t_h)


def heating_time(stator, coefficient):
    """Return the thermal time constant of the active parts [s]."""
    return duty.thermal_time_constant(
        m=stator.mass, c_h=materials.MACHINE_SPECIFIC_HEAT, h=coefficient, S_o=stator.outside_area
    )


def with_surface(fed, conductivity, permeability):
    """Return a fed stator with the heat of a solid rotor surface under open slots, if the brief has one."""
    stator, si = fed.stator, fed.stator.si
    if si.rotor_surface == "laminated":
        return fed
    opening = si.slot_opening_ratio * stator.slot_pitch
    ripple = supply.slot_ripple(tau_u=stator.slot_pitch, b_u=opening, g=stator.gap, k_C=stator.carter)
    factor = supply.ripple_surface_heat(
        v_v=fed.field_speed, k_v=ripple, tau_v=stator.slot_pitch, mu_r=permeability, sigma=conductivity
    )
    return replace(fed, surface_factor=factor)
