"""A stator at a supply frequency: speed, losses, friction, and the heat that is left for winding, core and rotor."""

from dataclasses import dataclass, fields, replace
from types import SimpleNamespace

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry, motion, shading, stray, strength, supply
from scaling.laws import stator as stator_laws
from scaling.machines import winding
from scaling.machines.stator import FieldLimit, Stator
from scaling.machines.warmth import Inside, OverFrame, Warmth, continuous, inside, warmth
from scaling.models.heat import grows_with_speed

LARGEST_SLIP = 0.99  # at rest nothing is driven


def asks_torque(si):
    """Return whether a brief asks for a torque, or for a power that needs one."""
    return si.torque is not None or si.power is not None


def torque_asked(si, speed):
    """Return the torque that a brief's torque and power ask for at a shaft speed [rad/s], 0 without either [N·m]."""
    torque = 0.0 if si.torque is None else si.torque
    return torque if si.power is None else np.maximum(torque, motion.torque_of_power(P_2=si.power, Omega=speed))


@dataclass(frozen=True)
class FedStator:
    """A stator at a supply frequency: speed, loss factors, and the heat left for winding, core and rotor.

    ``speed`` is the shaft's, ``air_torque`` the friction of air at it; ``friction_torque`` is all friction at the
    largest gap field, whose side pull the bearings carry; ``fan_torque`` brakes too, but warms nothing. ``budget`` is
    heat at the outside: a loss counts in it as much as it warms the winding, ``warmth`` times. ``core_factor`` has the
    heat of a can and of shading rings in it. ``inside`` are the ways of heat to the frame, gap and inner air as at no
    slip; None where all parts have one temperature. ``frame_rise`` is about that of the outside.
    """

    stator: Stator
    frequency: np.ndarray
    field_speed: np.ndarray
    slip_low: np.ndarray
    slip_high: np.ndarray
    winding_heat_factor: np.ndarray
    core_factor: np.ndarray
    speed: np.ndarray
    air_torque: np.ndarray
    friction_torque: np.ndarray
    fan_torque: np.ndarray
    heat_coefficient: np.ndarray
    budget: np.ndarray
    can_factor: np.ndarray | float = 0.0
    ring_factor: np.ndarray | float = 0.0
    additional_factor: np.ndarray | float = 0.0
    surface_factor: np.ndarray | float = 0.0
    inside: Inside | None = None
    frame_rise: np.ndarray | float | None = None
    warmth: Warmth = Warmth()

    @property
    def winding_resistance(self):
        """Resistance per gap area and peak loading squared, as the forward wave meets it."""
        return 2 * self.loading_heat_factor / (1.0 + self.stator.backward**2)

    @property
    def loading_heat_factor(self):
        """Heat of winding and additional load losses per gap area over the square of the forward loading."""
        return self.winding_heat_factor + self.additional_factor

    @property
    def friction_heat(self):
        """Heat of friction per gap area, at the largest gap field."""
        return self.friction_torque * self.speed / self.stator.area

    @property
    def brake_torque(self):
        """Friction at the largest gap field, and the fan [N·m]."""
        return self.friction_torque + self.fan_torque

    @property
    def brake_loss(self):
        """What friction and fan take, per gap area."""
        return self.brake_torque * self.speed / self.stator.area

    @property
    def field_heat_factor(self):
        """Heat of core and solid rotor surface per gap area over the square of the forward gap field."""
        return self.core_factor + self.surface_factor

    @property
    def both_waves_heat_factor(self):
        """The same with a backward wave that is as strong as its share of the loading."""
        return self.core_factor * (1.0 + self.stator.backward**2) + self.surface_factor

    @property
    def loading_budget_factor(self):
        """What `loading_heat_factor` takes of the budget."""
        return self.loading_part(self.warmth)

    def loading_part(self, warmth):
        """Return the heat that goes with the square of the forward loading, each part as much as it warms."""
        return self.winding_heat_factor * warmth.winding + self.additional_factor * warmth.additional

    @property
    def core_budget_factor(self):
        """What `core_factor` takes of the budget."""
        return self.core_part(self.warmth)

    def core_part(self, warmth):
        """Return the heat that goes with the square of the field in core and can, each part as much as it warms."""
        at_bore = self.can_factor + self.ring_factor  # both lie on the teeth
        return (self.core_factor - at_bore) * warmth.core + at_bore * warmth.can

    @property
    def surface_budget_factor(self):
        """What `surface_factor` takes of the budget."""
        return self.surface_factor * self.warmth.rotor

    @property
    def rotor_warmth(self):
        """What `warmth` is to the winding, to the rotor: its mean rise for a watt of each loss."""
        if self.inside is None:
            return self.warmth
        return self.inside.rotor.warmth(self.heat_coefficient, self.stator.outside_area).all_during(self.warmth)

    @property
    def field_budget_factor(self):
        """What `field_heat_factor` takes of the budget."""
        return self.core_budget_factor + self.surface_budget_factor

    @property
    def both_waves_budget_factor(self):
        """What `both_waves_heat_factor` takes of the budget."""
        return self.core_budget_factor * (1.0 + self.stator.backward**2) + self.surface_budget_factor

    def surface_drag(self, gap_field):
        """Return the stress with which slot ripple brakes a solid rotor [Pa]."""
        return self.surface_factor * gap_field**2 / self.field_speed


def take(record, index):
    """Return a stator, fed or not, with the candidates at an index array, for every size its own."""
    flat = index * index.shape[1] + np.arange(index.shape[1])  # faster than two indices

    def taken(value):
        if isinstance(value, Stator | Inside | OverFrame | Warmth):
            return take(value, index)
        if isinstance(value, FieldLimit):
            return replace(value, value=taken(value.value), fields=tuple(taken(field) for field in value.fields))
        return value.ravel().take(flat) if isinstance(value, np.ndarray) else value

    return replace(record, **{field.name: taken(getattr(record, field.name)) for field in fields(record)})


def at_sizes(laid_out, where):
    """Return a stator at some of its sizes, numbers of its brief that differ from size to size too."""
    sizes = laid_out.D.shape[-1]

    def taken(value):
        if isinstance(value, FieldLimit):
            return replace(value, **{field.name: taken(getattr(value, field.name)) for field in fields(value)})
        if isinstance(value, SimpleNamespace):
            return SimpleNamespace(**{name: taken(inner) for name, inner in vars(value).items()})
        if isinstance(value, tuple):
            return tuple(taken(inner) for inner in value)
        return value[..., where] if isinstance(value, np.ndarray) and value.shape[-1:] == (sizes,) else value

    return replace(laid_out, **{field.name: taken(getattr(laid_out, field.name)) for field in fields(laid_out)})


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
    return rim_speed / (2 * stator.rotor_pitch)


def frequency_range(stator, synchronous, rim_speed=np.inf):
    """Return (low, high) supply frequency inside the supply, the asked speed and the rim speed; low > high: none.

    ``rim_speed`` is what the rotor's parts stand. Where a drive meets a speed exactly, the frequency is that of no
    slip; in a range of speeds the field of a rotor that slips may be faster.
    """
    si = stator.si
    low, high = si.supply_frequency
    whole = si.rim_speed_limit
    rim = rim_frequency(stator, whole if si.sleeved else np.minimum(whole, rim_speed))
    low, high = np.broadcast_to(low, rim.shape), np.minimum(high, rim)
    if si.speed is not None:
        slow, fast = (rim_frequency(stator, n * stator.D / 2) for n in si.speed)
        low = np.maximum(low, slow)
        spare = 0.0 if synchronous or si.speed_is_exact else largest_slip(si)
        high = np.minimum(high, fast / (1.0 - spare))
    return low, high


def largest_slip(si):
    """Return the largest slip that is searched."""
    return LARGEST_SLIP if si.slip_limit is None else si.slip_limit


def feed(stator, frequency, slip=0.0):
    """Return a stator at an array of supply frequencies [Hz], air friction and shaft fan at the speed of a slip.

    Where a drive meets a speed exactly, the frequency given is that of no slip, and is raised by the slip.
    """
    si, speed = stator.si, stator.shaft_speed(frequency, 0.0)
    slip_low, slip_high = np.zeros(speed.shape), np.full(speed.shape, largest_slip(si))
    if si.speed_is_exact:
        slip_high = np.minimum(slip_high, 1.0 - frequency / si.supply_frequency[1])
        frequency = frequency / (1.0 - slip)
    elif si.speed is not None:
        slip_low = np.maximum(slip_low, 1.0 - si.speed[1] / speed)
        slip_high = np.minimum(slip_high, 1.0 - si.speed[0] / speed)
    can, rings = _can_factor(stator, frequency), _ring_factor(stator, frequency)
    fed = _with_inside(
        FedStator(
            stator=stator,
            frequency=np.broadcast_to(frequency, speed.shape) if np.ndim(slip) == 0 else frequency + 0.0 * speed,
            field_speed=geometry.field_speed(f=frequency, tau=stator.tau),
            slip_low=slip_low,
            slip_high=slip_high,
            winding_heat_factor=winding.winding_heat_factor(stator, frequency),
            core_factor=stator_laws.core_heat_factor(
                c_b=si.core_building_factor, w_1=si.core_loss, B_1=materials.LOSS_FIELD, f=frequency,
                f_1=materials.LOSS_FREQUENCY, rho_c=materials.CORE_DENSITY, d_s=stator.slot_depth,
                phi_t=si.tooth_share, y=stator.yoke, tau=stator.tau, D=stator.bore, D_o=stator.outside,
                k_s=si.stacking_factor,
            )
            + can
            + rings,
            can_factor=can,
            ring_factor=rings,
            speed=np.nan,
            air_torque=np.nan,
            friction_torque=np.nan,
            fan_torque=np.nan,
            heat_coefficient=np.nan,
            budget=np.nan,
        )
    )  # fmt: skip
    return _turning(fed, slip)


def _with_inside(fed):
    """Return a fed stator with the ways of heat inside, and about the rise that they leave to the outside."""
    stator, speed = fed.stator, fed.field_speed / fed.stator.lever
    ways = inside(stator, speed)
    if ways is None:
        return fed
    over = ways.winding.warmth(stator.heat_coefficient(speed), stator.outside_area).winding
    return replace(fed, inside=ways, frame_rise=stator.si.temperature_rise / over)


def fed_at(fed, slip):
    """Return a stator fed at no slip with friction, cooling and heat budget of a rotor at a slip."""
    if fed.stator.si.speed_is_exact:
        return feed(fed.stator, fed.frequency, slip)
    return _turning(fed, slip)


def loaded(fed, slip, frame_rise):
    """Return a fed stator at the same frequency with its rotor at another slip and its outside at another rise.

    Additional load losses go with the loading as they did.
    """
    again = replace(fed, frame_rise=frame_rise, heat_coefficient=np.nan)
    return replace(_turning(again, slip), additional_factor=fed.additional_factor)


def _turning(fed, slip):
    """Return a fed stator with what depends on the speed of the shaft."""
    stator, si = fed.stator, fed.stator.si
    speed = fed.field_speed * (1.0 - slip) / stator.lever
    # Bearings carry the side pull of the largest field: what friction then does not take is a hair of the budget.
    air = stator.air_torque(speed)
    friction_torque = stator.bearing_torque(stator.field_limit.value, stator.plane_gap, speed) + air
    coefficient = fed.heat_coefficient
    if np.ndim(coefficient) == 0 or grows_with_speed(si.cooling):
        coefficient = stator.heat_coefficient(speed, fed.frame_rise)
    warms = warmth(stator, fed.inside, coefficient)
    allowed = stator_laws.heat_allowed(
        h=coefficient, theta=si.temperature_rise, S_o=stator.outside_area, S_b=stator.area
    )
    friction_heat = friction_torque * speed / stator.area
    budget = allowed - warms.friction * friction_heat
    budget = np.where(budget > 0.0, budget, np.nan)
    steady = continuous(stator, fed.inside, coefficient)
    most = np.maximum(allowed - steady.friction * friction_heat, 0.0) / steady.winding
    return replace(
        fed,
        additional_factor=_additional_factor(fed, most),
        speed=speed,
        air_torque=air,
        friction_torque=friction_torque,
        fan_torque=np.broadcast_to(stator.fan_torque(speed), budget.shape),
        heat_coefficient=np.broadcast_to(coefficient, budget.shape),
        budget=budget,
        warmth=warms,
    )


def _additional_factor(fed, heat):
    """Return the additional load losses per gap area over loading squared, of so much winding heat for ever."""
    stator, given = fed.stator, fed.stator.si.additional_loss
    with np.errstate(invalid="ignore"):
        A_0 = np.sqrt(np.where(heat > 0.0, heat, np.nan) / fed.winding_heat_factor)
        stress = stray.stator_stress(A_0=A_0, B_l=stator.field_limit.value, k=stator.k, g_m=stator.slotted_gap)
        power = stray.stator_power(sigma_0=stress, v_s=fed.field_speed, S_b=stator.area)
        share = stray.additional_loss_share(P_0=power, P_k=materials.KILOWATT) if given is None else given
        return stray.additional_heat_factor(x_L=share, sigma_0=stress, v_s=fed.field_speed, A_0=A_0)


def _can_factor(stator, frequency):
    """Return the heat of the can per gap area over gap field squared."""
    if stator.si.can_thickness is None:
        return 0.0
    si, speed = stator.si, geometry.field_speed(f=frequency, tau=stator.tau)
    ends = stray.can_end_factor(k=stator.k, L=stator.width)
    return stray.can_heat_factor(t_x=si.can_thickness, v_s=speed, rho=materials.CANS[si.can], x_e=ends)


def _ring_factor(stator, frequency):
    """Return the heat of shading rings per gap area over the squares of both waves' gap fields."""
    if stator.si.shaded_share is None:
        return 0.0
    omega = geometry.angular_frequency(f=frequency)
    return shading.shading_heat_factor(a_s=stator.si.shaded_share, omega=omega, g_m=stator.slotted_gap)


def pull_out_reserve(si, wanted):
    """Return the largest torque over the rated one that a design keeps; a drive's current is its reserve: 1."""
    if si.supply == "drive":
        return 1.0
    return wanted if si.pull_out_reserve is None else si.pull_out_reserve


def with_surface(fed, rotor, facing=None):
    """Return a fed stator with the heat of a solid rotor surface under open slots; ``facing``: not the record's."""
    stator, si, pitch = fed.stator, fed.stator.si, fed.stator.slot_pitch
    if si.rotor_surface == "laminated" or (si.rotor_surface == "usual" and not rotor.surface_is_solid):
        return fed
    ripple = supply.slot_ripple(tau_u=pitch, b_u=si.slot_opening_ratio * pitch, g=stator.gap, k_C=stator.carter)
    conductivity, permeability = facing or rotor.surface
    factor = supply.ripple_surface_heat(
        v_v=fed.field_speed, k_v=ripple, tau_v=pitch, mu_r=permeability, sigma=conductivity
    )
    return replace(fed, surface_factor=factor)
