"""The stage that all machine types share: winding, core, gap and cooling, as arrays over size and pole pairs.

``frame`` holds what geometry alone decides, ``at_frequency`` adds speed, losses, friction and the heat budget. All
arrays broadcast: sizes on the last axis, candidates (pole pairs, materials) on the one before, trials before that.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from scaling.ground import materials
from scaling.laws import duty, geometry, stage, strength, supply, wire
from scaling.laws import friction as friction_law
from scaling.models import friction, heat

FIELD_LIMITS = ("gap field", "tooth field", "yoke field")


@dataclass(frozen=True)
class Frame:
    """Geometry and temperature of the stage, SI arrays."""

    brief: object
    D: np.ndarray
    L: np.ndarray
    p: np.ndarray
    gap: np.ndarray
    tau: np.ndarray
    k: np.ndarray
    slot_pitch: np.ndarray
    carter: np.ndarray
    slot_depth: np.ndarray
    outside: np.ndarray
    yoke: np.ndarray
    end_share: np.ndarray
    bore_area: np.ndarray
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
    def stator_gap(self):
        """Clearance times the stator's Carter coefficient [m]."""
        return stage.slotted_gap(g=self.gap, k_C=self.carter)

    @property
    def forward_field_limit(self):
        """Largest forward wave of the gap field, where the backward wave is as strong as its share of the loading."""
        return self.field_limit / (1.0 + self.backward)

    def held_by(self, binds):
        """Return {name of a field limit: where it binds}."""
        return {name: binds & (self.field_held_by == i) for i, name in enumerate(FIELD_LIMITS)}


@dataclass(frozen=True)
class Stage:
    """A frame at a supply frequency: speed, loss factors, friction and the heat left for winding, core and rotor."""

    frame: Frame
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
        """Heat of core and solid rotor surface per bore area over the square of the forward gap field."""
        return self.core_factor + self.surface_factor

    @property
    def both_waves_heat_factor(self):
        """The same with a backward wave that is as strong as its share of the loading."""
        return self.core_factor * (1.0 + self.frame.backward**2) + self.surface_factor


def take(record, index):
    """Return a frame or stage with the candidates at an index array, for every size its own."""
    columns, taken = np.arange(index.shape[1]), {}
    for field in fields(record):
        value = getattr(record, field.name)
        if isinstance(value, np.ndarray):
            taken[field.name] = value[index, columns]
        elif isinstance(value, Frame):
            taken[field.name] = take(value, index)
    return replace(record, **taken)


def resistivity(conductor, brief):
    """Return a conductor's resistivity at ambient temperature plus temperature rise [ohm·m]."""
    return stage.resistivity_at(
        sigma_20=conductor.conductivity,
        alpha_20=conductor.temperature_coefficient,
        T=brief.ambient + brief.temperature_rise,
        T_20=materials.T_20,
    )


def frame(brief, diameter, pole_pairs):
    """Return the frame of one brief (SI namespace) for arrays of rotor diameters and pole pairs."""
    D, p = np.broadcast_arrays(np.asarray(diameter, float), np.asarray(pole_pairs, float))
    L = D * (brief.active_length / brief.rotor_diameter)
    gap = np.maximum(brief.gap_floor, brief.gap_ratio * D)
    tau = geometry.pole_pitch(D=D, p=p)
    k = geometry.wave_number(tau=tau)
    pitch = geometry.slot_pitch(D=D, p=p, c_q=brief.slots_per_pole_and_phase)
    single = geometry.slot_pitch(D=D, p=p, c_q=1.0)
    pitch = np.where(pitch >= brief.slot_pitch_floor, pitch, single)
    carter = stage.carter_coefficient(tau_u=pitch, b_u=brief.slot_opening_ratio * pitch, g=gap)
    outside = geometry.outside_diameter(D=D, g=gap, c_D=brief.outside_ratio)
    depth = brief.slot_depth_ratio * D
    yoke = geometry.yoke_thickness(D=D, g=gap, D_o=outside, d_s=depth)
    end_share = geometry.end_winding_share(c_e=brief.end_turn_ratio, tau=tau, L=L)
    conductor = materials.CONDUCTORS[brief.conductor]
    share, wire_diameter, wound = _copper(brief, pitch, depth)
    given = np.inf if brief.gap_field_limit is None else brief.gap_field_limit
    teeth = stage.tooth_limited_gap_field(B_t=brief.tooth_field_limit, phi_t=brief.tooth_share)
    field = np.broadcast_arrays(given, teeth, stage.yoke_limited_gap_field(B_y=brief.yoke_field_limit, y=yoke, tau=tau))
    opposed = supply.backward_ratio(epsilon_t=brief.turning_share) if brief.supply == "single-phase" else 0.0
    return Frame(
        brief=brief,
        D=D,
        L=L,
        p=p,
        gap=gap,
        tau=tau,
        k=k,
        slot_pitch=pitch,
        carter=carter,
        slot_depth=depth,
        outside=outside,
        yoke=yoke,
        end_share=end_share,
        bore_area=geometry.bore_area(D=D, L=L),
        outside_area=geometry.outside_area(D_o=outside, L=L),
        volume=geometry.envelope_volume(D_o=outside, L=L),
        mass=geometry.active_mass(
            D=D, L=L, y=yoke, D_o=outside, d_s=depth, phi_s=share, phi_t=brief.tooth_share,
            e=end_share, rho_c=materials.CORE_DENSITY, rho_w=conductor.density,
        ),
        inertia=geometry.rotor_inertia(rho_c=materials.CORE_DENSITY, D=D, L=L),
        copper_share=share,
        wire_diameter=wire_diameter,
        wound=wound,
        backward=np.broadcast_to(opposed, D.shape),
        field_limit=np.min(field, axis=0),
        field_held_by=np.argmin(field, axis=0),
        rotor_depth=np.minimum(brief.rotor_depth_ratio * D, 0.5 / k),
        bearing_torque=friction_law.bearing_torque(
            c_f=brief.bearing_friction, c_d=brief.bearing_diameter_ratio, rho_c=materials.CORE_DENSITY, D=D, L=L
        ),
        air=heat.air_properties(brief.ambient, brief.temperature_rise),
        fits=(single >= brief.slot_pitch_floor) & (gap < D / 2),
    )  # fmt: skip


def _copper(brief, pitch, depth):
    """Return (copper share of the slot layer, conductor diameter, whether it can be wound).

    The share is as given, or what enamel, liner and packing leave.
    """
    if brief.conductors_per_slot is None:
        return np.broadcast_to(brief.slot_fill, depth.shape), np.full(depth.shape, np.nan), np.full(depth.shape, True)
    slot = {"w_u": wire.slot_width(tau_u=pitch, phi_t=brief.tooth_share), "d_s": depth, "t_i": brief.slot_liner}
    room = wire.wire_room(**slot)
    overall = wire.overall_diameter(k_p=brief.wire_packing, S_n=room, z_s=brief.conductors_per_slot)
    share = wire.wire_copper_share(d_i=overall, **materials.ENAMEL)
    fill = wire.slot_copper_share(k_p=brief.wire_packing, phi_w=share, **slot)
    conductor = wire.conductor_diameter(d_i=overall, phi_w=share)
    narrowest = np.minimum(slot["w_u"], depth) - 2 * brief.slot_liner
    layer = np.where(room > 0, wire.layer_copper_share(phi_n=fill, phi_t=brief.tooth_share), np.nan)
    return layer, conductor, (conductor >= brief.thinnest_wire) & (overall <= narrowest)


def stands(part, brief, c_v=1.0):
    """Return the rim speed that a part of a named strength stands [m/s], as a thin ring if no coefficient is given."""
    made = materials.STRENGTHS[part]
    return strength.rim_speed_limit(c_v=c_v, rho_b=made.density, sigma_p=made.proof_stress, n_o=brief.overspeed)


def sheet_stands(brief):
    """Return the rim speed that a rotor of electrical sheet with a small bore stands [m/s]."""
    ratio = materials.STRENGTHS["electrical sheet"].poisson_ratio
    return stands("electrical sheet", brief, strength.bored_disc_coefficient(nu_p=ratio, D_b=1e-6, D=1.0))


def rim_frequency(fr, rim_speed):
    """Return the supply frequency at which the rotor's surface has a speed, at no slip."""
    return fr.p * rim_speed / (np.pi * fr.D)


def frequency_range(fr, synchronous, rim_speed=np.inf):
    """Return (low, high) supply frequency inside the supply, the asked speed and the rim speed; low > high: none.

    ``rim_speed`` is what the rotor's parts stand. An induction rotor may also run above the asked speed's synchronous
    frequency, by its slip limit.
    """
    brief = fr.brief
    low, high = brief.supply_frequency
    whole = brief.rim_speed_limit
    rim = rim_frequency(fr, whole if brief.sleeved else np.minimum(whole, rim_speed))
    low, high = np.broadcast_to(low, rim.shape), np.minimum(high, rim)
    if brief.speed is not None:
        slow, fast = (fr.p * n / (2 * np.pi) for n in brief.speed)
        low = np.maximum(low, slow)
        high = np.minimum(high, fast if synchronous else fast / (1.0 - brief.slip_limit))
    return low, high


def at_frequency(fr, frequency, slip=0.0):
    """Return the stage at an array of supply frequencies [Hz], air friction and shaft fan at the speed of a slip."""
    brief = fr.brief
    speed = geometry.shaft_speed(f=frequency, p=fr.p, s=0.0)
    slip_low, slip_high = np.zeros(speed.shape), np.full(speed.shape, brief.slip_limit)
    if brief.speed is not None:
        slip_low = np.maximum(slip_low, 1.0 - brief.speed[1] / speed)
        slip_high = np.minimum(slip_high, 1.0 - brief.speed[0] / speed)
    _, viscosity, density = fr.air
    turning = geometry.shaft_speed(f=frequency, p=fr.p, s=slip)
    friction_torque = fr.bearing_torque + friction.air_torque(turning, fr.D, fr.gap, fr.L, viscosity, density)
    coefficient = heat.outside_coefficient(
        brief, outside_diameter=fr.outside, length=fr.L, outside_area=fr.outside_area, rim_speed=turning * fr.D / 2
    )
    allowed = stage.heat_allowed(h=coefficient, theta=brief.temperature_rise, S_o=fr.outside_area, S_b=fr.bore_area)
    budget = allowed * _overload(fr, coefficient) - friction_torque * turning / fr.bore_area
    rho = resistivity(materials.CONDUCTORS[brief.conductor], brief)
    return Stage(
        frame=fr,
        frequency=np.broadcast_to(frequency, speed.shape),
        field_speed=geometry.field_speed(f=frequency, tau=fr.tau),
        slip_low=slip_low,
        slip_high=slip_high,
        winding_heat_factor=stage.winding_heat_factor(
            rho=rho * _alternating(fr, frequency, rho), e=fr.end_share, k_w=brief.winding_factor, phi_s=fr.copper_share,
            d_s=fr.slot_depth,
        ) * (1.0 + fr.backward**2),
        core_factor=stage.core_heat_factor(
            c_b=brief.core_building_factor, w_1=brief.core_loss, B_1=materials.LOSS_FIELD, f=frequency,
            f_1=materials.LOSS_FREQUENCY, rho_c=materials.CORE_DENSITY, d_s=fr.slot_depth,
            phi_t=brief.tooth_share, y=fr.yoke, tau=fr.tau, D=fr.D, D_o=fr.outside,
        ),
        friction_torque=friction_torque,
        heat_coefficient=np.broadcast_to(coefficient, budget.shape),
        budget=np.where(budget > 0.0, budget, np.nan),
    )  # fmt: skip


def _overload(fr, coefficient):
    """Return the losses that the duty allows over those of continuous duty."""
    brief = fr.brief
    if brief.duty == "S1":
        return 1.0
    t_h = heating_time(fr, coefficient)
    if brief.duty == "S2":
        return duty.short_time_overload(t_w=brief.duty_time, t_h=t_h)
    at_work = brief.duty_factor * brief.duty_time
    return duty.intermittent_overload(t_w=at_work, t_p=brief.duty_time - at_work, t_h=t_h, t_c=t_h)


def heating_time(fr, coefficient):
    """Return the thermal time constant of the active parts [s]."""
    return duty.thermal_time_constant(
        m=fr.mass, c_h=materials.MACHINE_SPECIFIC_HEAT, h=coefficient, S_o=fr.outside_area
    )


def _alternating(fr, frequency, rho):
    """Return the resistance factor of the winding's wires in their slots; 1 where no wire is given."""
    brief = fr.brief
    if brief.conductors_per_slot is None:
        return 1.0
    depth = wire.skin_depth(rho=rho, f=frequency)
    fill = fr.copper_share / (1.0 - brief.tooth_share)
    return wire.strands_resistance_factor(d_w=fr.wire_diameter, phi_n=fill, d_s=fr.slot_depth, delta=depth)


def with_surface(st, conductivity, permeability):
    """Return the stage with the heat of a solid rotor surface under open slots, if the brief has one."""
    fr, brief = st.frame, st.frame.brief
    if brief.rotor_surface == "laminated":
        return st
    opening = brief.slot_opening_ratio * fr.slot_pitch
    ripple = supply.slot_ripple(tau_u=fr.slot_pitch, b_u=opening, g=fr.gap, k_C=fr.carter)
    factor = supply.ripple_surface_heat(
        v_v=st.field_speed, k_v=ripple, tau_v=fr.slot_pitch, mu_r=permeability, sigma=conductivity
    )
    return replace(st, surface_factor=factor)
