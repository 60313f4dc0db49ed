"""The stage that all machine types share: winding, core, gap and cooling, as arrays over size and pole pairs.

``frame`` holds what geometry alone decides, ``at_frequency`` adds speed, losses, friction and the heat budget. All
arrays broadcast: sizes on the last axis, candidates (pole pairs, materials) on the one before, trials before that.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from scaling.ground import materials
from scaling.laws import friction as friction_law
from scaling.laws import geometry, stage
from scaling.models import friction, heat


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
    winding_heat_factor: np.ndarray
    field_limit: np.ndarray
    yoke_limits: np.ndarray
    rotor_depth: np.ndarray
    bearing_torque: np.ndarray
    air: tuple
    fits: np.ndarray

    @property
    def stator_gap(self):
        """Clearance times the stator's Carter coefficient [m]."""
        return stage.slotted_gap(g=self.gap, k_C=self.carter)


@dataclass(frozen=True)
class Stage:
    """A frame at a supply frequency: speed, loss factors, friction and the heat left for winding, core and rotor."""

    frame: Frame
    frequency: np.ndarray
    field_speed: np.ndarray
    slip_low: np.ndarray
    slip_high: np.ndarray
    core_factor: np.ndarray
    friction_torque: np.ndarray
    heat_coefficient: np.ndarray
    budget: np.ndarray


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
    limit_yoke = stage.yoke_limited_gap_field(B_y=brief.yoke_field_limit, y=yoke, tau=tau)
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
            D=D, L=L, y=yoke, D_o=outside, d_s=depth, phi_s=brief.slot_fill, phi_t=brief.tooth_share,
            e=end_share, rho_c=materials.CORE_DENSITY, rho_w=conductor.density,
        ),
        inertia=geometry.rotor_inertia(rho_c=materials.CORE_DENSITY, D=D, L=L),
        winding_heat_factor=stage.winding_heat_factor(
            rho=resistivity(conductor, brief), e=end_share, k_w=brief.winding_factor, phi_s=brief.slot_fill, d_s=depth
        ),
        field_limit=np.minimum(brief.gap_field_limit, limit_yoke),
        yoke_limits=limit_yoke < brief.gap_field_limit,
        rotor_depth=np.minimum(brief.rotor_depth_ratio * D, 0.5 / k),
        bearing_torque=friction_law.bearing_torque(
            c_f=brief.bearing_friction, c_d=brief.bearing_diameter_ratio, rho_c=materials.CORE_DENSITY, D=D, L=L
        ),
        air=heat.air_properties(brief.ambient, brief.temperature_rise),
        fits=(single >= brief.slot_pitch_floor) & (gap < D / 2),
    )  # fmt: skip


def frequency_range(fr, synchronous):
    """Return (low, high) supply frequency inside the supply, the asked speed and the rim speed; low > high: none.

    An induction rotor may also run above the asked speed's synchronous frequency, by its slip limit.
    """
    brief = fr.brief
    low, high = brief.supply_frequency
    rim = fr.p * brief.rim_speed_limit / (np.pi * fr.D)
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
    budget = allowed - friction_torque * turning / fr.bore_area
    return Stage(
        frame=fr,
        frequency=np.broadcast_to(frequency, speed.shape),
        field_speed=geometry.field_speed(f=frequency, tau=fr.tau),
        slip_low=slip_low,
        slip_high=slip_high,
        core_factor=stage.core_heat_factor(
            c_b=brief.core_building_factor, w_1=brief.core_loss, B_1=materials.LOSS_FIELD, f=frequency,
            f_1=materials.LOSS_FREQUENCY, rho_c=materials.CORE_DENSITY, d_s=fr.slot_depth,
            phi_t=brief.tooth_share, y=fr.yoke, tau=fr.tau, D=fr.D, D_o=fr.outside,
        ),
        friction_torque=friction_torque,
        heat_coefficient=np.broadcast_to(coefficient, budget.shape),
        budget=np.where(budget > 0.0, budget, np.nan),
    )  # fmt: skip
