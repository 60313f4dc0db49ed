"""What an operating point does: torque, power, losses, apparent power, and how it starts. SI arrays."""

import functools

import numpy as np

from scaling.decision import temperatures
from scaling.decision.caged_start import CagedStart
from scaling.ground import materials
from scaling.laws import geometry, motion, start, supply
from scaling.laws import stator as stator_laws
from scaling.machines.fed import torque_asked
from scaling.machines.leakage import leakage_reactance
from scaling.models import thermal_network

LOSSES = (*thermal_network.LOSSES, "shading", "fan")  # all but the last warm the machine
PARTS = {  # of the mass of a design, in kg: {part: meaning}
    "winding": "conductors of the winding, end turns included",
    "core": "teeth and yoke of the stator",
    "rotor layer": "bars or sheet, ring, magnets of the rotor, within the length of the core",
    "end rings": "end rings of a cage, of a starting cage too",
    "rest of the rotor": "the rotor as a solid cylinder of core density, less its layer",
}


class Point:
    """An operating point of a rotor on a fed stator, one per array element.

    ``in_range`` says where the supply has a frequency for it; ``search_fraction`` and ``places``, {name: place in the
    search} of what is free of the rotor, are what it was made with.
    """

    def __init__(  # one line each would be ten
        self, rotor, fed, operation, fixed_supply, properties=None, in_range=True, search_fraction=1.0, places=None
    ):
        self.rotor, self.fed, self.operation, self.fixed_supply = rotor, fed, operation, fixed_supply
        self.stator, self.si = fed.stator, fed.stator.si
        self.properties, self.in_range, self.search_fraction = properties, in_range, search_fraction
        self.places = places or {}

    @functools.cached_property
    def gap_torque(self):
        """Torque across the gap [N·m]."""
        return self.stator.torque(self.operation.shear)

    @property
    def shear_stress(self):
        """Shear stress on the rotor's surface; that of the operation acts at the bore [Pa]."""
        return self.operation.shear * (self.stator.bore / self.stator.D) ** 2

    @functools.cached_property
    def surface_drag(self):
        """Stress with which slot ripple brakes a solid rotor [Pa]."""
        return self.fed.surface_drag(self.operation.gap_field)

    @functools.cached_property
    def torque(self):
        """Torque at the shaft [N·m]."""
        return self.gap_torque - self.braking_torque

    def bearing_torque(self, speed):
        """Return the friction torque of the bearings at an angular speed, the field as it is at work [N·m]."""
        operation = self.operation
        field = operation.gap_field + operation.backward_field
        return self.stator.bearing_torque(field, operation.magnetic_gap, speed)

    @functools.cached_property
    def bearing_torques(self):
        """Friction torque of the bearings at rest and at work [N·m]."""
        at_work = np.broadcast_to(self.speed, self.operation.shear.shape)
        return self.bearing_torque(np.stack([np.zeros(at_work.shape), at_work]))

    @property
    def friction_torque(self):
        """Friction torque of bearings and air at work [N·m]."""
        return self.bearing_torques[1] + self.fed.air_torque

    @property
    def braking_torque(self):
        """Torque by which friction, a fan and slot ripple brake at work [N·m]."""
        return self.friction_torque + self.fed.fan_torque + self.stator.torque(self.surface_drag)

    @property
    def friction_at_rest(self):
        """Friction torque of the bearings at rest [N·m]."""
        return self.bearing_torques[0]

    @property
    def speed(self):
        """Angular speed of the shaft [rad/s]."""
        return self.fed.speed

    @functools.cached_property
    def power(self):
        """Mechanical power [W]."""
        return self.torque * self.speed

    @functools.cached_property
    def losses(self):
        """Every named loss [W]; with the power they add up to the electrical input."""
        fed, operation = self.fed, self.operation
        both = np.hypot(operation.gap_field, operation.backward_field)
        return {
            "winding": stator_laws.winding_heat(w_A=fed.winding_heat_factor, A=operation.loading) * self.stator.area,
            "core": stator_laws.core_heat(w_B=fed.core_factor - fed.can_factor - fed.ring_factor, B=both)
            * self.stator.area,
            "rotor": self._rotor_loss(),
            "friction": self.friction_torque * self.speed,
            "can": stator_laws.core_heat(w_B=fed.can_factor, B=both) * self.stator.area,
            "additional": stator_laws.winding_heat(w_A=fed.additional_factor, A=operation.loading) * self.stator.area,
            "shading": stator_laws.core_heat(w_B=fed.ring_factor, B=both) * self.stator.area,
            "fan": self.fed.fan_torque * self.speed,
        }

    def _rotor_loss(self):
        """Return the heat of the rotor: slip in the forward wave, in the backward wave, and ripple at its surface."""
        slip, brake, v_s = self.operation.slip, self.operation.backward_shear, self.fed.field_speed
        forward = stator_laws.rotor_heat(s=slip, sigma_t=self.operation.shear + brake, v_s=v_s)
        backward = stator_laws.rotor_heat(s=2.0 - slip, sigma_t=brake, v_s=v_s)
        return (forward + backward + self.surface_drag * v_s * (1.0 - slip)) * self.stator.area

    @functools.cached_property
    def loss(self):
        """All losses [W]."""
        return sum(self.losses.values())

    @functools.cached_property
    def heats(self):
        """Those of the losses that warm the machine [W]: what a fan on the shaft takes goes into the air.

        Shading rings lie on the teeth as a can does.
        """
        heats = {name: self.losses[name] for name in thermal_network.LOSSES}
        return heats | {"can": heats["can"] + self.losses["shading"]}

    @functools.cached_property
    def rises(self):
        """Rise of every part over the coolant, "hot spot" that of the winding's hottest place [K]."""
        return temperatures.rises(self)

    @functools.cached_property
    def winding_rise(self):
        """Mean rise of the winding over the coolant at the end of the time at work, as the heat budget has it [K]."""
        return temperatures.winding_rise(self)

    @functools.cached_property
    def rotor_rise(self):
        """Rise of the rotor over the coolant [K]."""
        return temperatures.rotor_rise(self)

    @functools.cached_property
    def efficiency(self):
        """Mechanical over electrical power."""
        return self.power / (self.power + self.loss)

    @functools.cached_property
    def loading_rms(self):
        """Rms linear current density of the forward wave's winding [A/m]."""
        return stator_laws.winding_loading(A=self.operation.loading, k_w=self.si.winding_factor)

    @functools.cached_property
    def volt_amperes(self):
        """Apparent power [VA]."""
        return np.hypot(self.power + self.loss, self._reactive_power())

    def _reactive_power(self):
        """Return the reactive power of gap and rotor, of both waves, and of slot and end leakage."""
        operation, stator, v_s = self.operation, self.stator, self.fed.field_speed
        share, brake = stator.backward, operation.backward_shear
        leak = leakage_reactance(stator, self.fed.frequency, operation.magnetic_gap, operation.saturating)
        leakage = leak * operation.loading**2 / 2 * (1.0 + share**2)
        A = operation.loading
        gap = supply.wave_reactive_power(A=A, B=operation.gap_field, sigma_t=operation.shear + brake, v_s=v_s)
        opposed = supply.wave_reactive_power(A=share * A, B=operation.backward_field, sigma_t=brake, v_s=v_s)
        return (operation.magnetised * gap + opposed + leakage) * stator.area

    @functools.cached_property
    def starting_torque(self):
        """Mean torque at rest [N·m]. A rotor that a fixed supply pulls in only oscillates there, without a cage."""
        if self.rotor.starts_by_pull_in and self.fixed_supply:
            if not np.any(self.has_cage):
                return np.zeros(np.shape(self.gap_torque))
            return np.where(self.has_cage, self.caged.at_rest - self.friction_at_rest, 0.0)
        # A drive lowers the frequency to the best slip at rest.
        at_rest = self.operation.starting()[0] if self.fixed_supply else self.operation.breakdown(False)
        return self.stator.torque(at_rest) - self.friction_at_rest

    @functools.cached_property
    def largest_gap_torque(self):
        """Largest torque across the gap, on a fixed supply's voltage or at the continuous current [N·m]."""
        return self.stator.torque(self.operation.breakdown(self.fixed_supply))

    @property
    def mass(self):
        """Mass of the active parts, end rings included [kg]."""
        mass = self.stator.mass + self.operation.ring_mass
        return mass + np.where(self.has_cage, self.caged.cage.ring_mass, 0.0) if np.any(self.has_cage) else mass

    @property
    def winding_volume(self):
        """Volume of the winding's conductors, end turns included [m³]."""
        stator = self.stator
        return geometry.winding_volume(
            phi_s=stator.copper_share, d_s=stator.slot_depth, S_b=stator.area, e=stator.end_share
        )

    @functools.cached_property
    def masses(self):
        """Mass of every active part [kg], by name of `PARTS`; they add up to ``mass``."""
        stator, si, core = self.stator, self.si, {"rho_c": materials.CORE_DENSITY}
        stacked = core | {"k_s": si.stacking_factor}
        layer = self.rotor.active_mass(self)
        parts = {
            "winding": materials.CONDUCTORS[si.conductor].density * self.winding_volume,
            "core": geometry.teeth_mass(phi_t=si.tooth_share, d_s=stator.slot_depth, S_b=stator.area, **stacked)
            + geometry.yoke_mass(D_o=stator.outside, y=stator.yoke, L=stator.width, **stacked),
            "rotor layer": layer,
            "end rings": self.mass - stator.mass,
            "rest of the rotor": geometry.rotor_mass(D=stator.D, L=stator.width, **core) - layer,
        }
        return {name: np.broadcast_to(mass, np.shape(self.operation.shear)) for name, mass in parts.items()}

    @property
    def starting_current(self):
        """Current at rest on a fixed supply over the continuous one."""
        return self.off_design(1.0)[1] / self.operation.loading if np.any(self.has_cage) else self._bare_current

    @property
    def _bare_current(self):
        return self.operation.starting()[1] / self.operation.loading

    def off_design(self, slip):
        """Return (shear stress, loading) from rest to synchronism and beyond, with the starting cage if it has one."""
        bare = self.operation.off_design(slip, self.fixed_supply)
        if not np.any(self.has_cage):
            return bare
        caged, slips = self.caged.cage, self.has_cage & (np.asarray(slip) != 0.0)
        return np.where(slips, caged.shear(slip), bare[0]), np.where(slips, caged.loading(slip), bare[1])

    @functools.cached_property
    def caged(self):
        """The start through a cage, fitted or not; None for a rotor that needs none."""
        return CagedStart(self) if self.operation.cage is not None and self.fixed_supply else None

    @functools.cached_property
    def has_cage(self):
        """Whether the rotor has a starting cage: where the brief allows one, it fits, and the start asks for it."""
        if self.caged is None or self.si.starting_cage == "none":
            return np.array(False)
        wanted = np.array(self.si.torque_at_rest_asked) | (self.si.self_starting & ~(self._bare_spare > 0.0))
        return wanted & self.caged.cage.fitted

    @property
    def capture_number(self):
        """Capture number of the starting cage; NaN without one."""
        return np.where(self.has_cage, self.caged.capture_number, np.nan) if np.any(self.has_cage) else np.nan

    @property
    def spare_with_cage(self):
        """By how much the rotor would start with a cage, above 0 if it does; NaN where there is none to think of."""
        return np.nan if self.caged is None else self.caged.spare

    @property
    def torque_asked(self):
        """Torque that a brief's torque and power ask for, 0 without either [N·m]."""
        return torque_asked(self.si, self.speed)

    @property
    def load_at_start(self):
        """Torque that the rotor has to move from rest on: bearing friction and the load that acts there [N·m]."""
        return self.friction_at_rest + self.si.load_at_start * self.torque_asked

    @property
    def pull_in(self):
        """Pull-in number; infinite where none is needed. A drive starts the rotor at its lowest frequency."""
        if not self.rotor.starts_by_pull_in:
            return np.inf
        frequency = self.fed.frequency
        if not self.fixed_supply:
            frequency = np.minimum(self.si.supply_frequency[0], frequency)
        return start.pull_in_number(
            p=self.stator.p,
            T_e=self.largest_gap_torque,
            J=self.stator.inertia * (1.0 + self.si.load_inertia_ratio),
            omega=geometry.angular_frequency(f=frequency),
        )

    @property
    def pull_in_need(self):
        """Pull-in number that the rotor needs against the load at its start; NaN where none is enough, or none."""
        if not self.rotor.starts_by_pull_in:
            return np.nan
        favourable = self.si.starting_angle == "favourable"
        law = motion.favourable_pull_in_need if favourable else motion.certain_pull_in_need
        with np.errstate(invalid="ignore", divide="ignore"):
            load = np.maximum(self.load_at_start / self.largest_gap_torque, 1e-9)
            return law(n_T=self.rotor.torque_cycles_per_turn, l_T=np.where(load < 1.0, load, np.nan))

    @functools.cached_property
    def spare_at_start(self):
        """By how much the rotor starts, above 0 if it does: torque to spare, or pull-in number to spare, relative."""
        if not self.rotor.starts_by_pull_in:
            return self.starting_torque + self.friction_at_rest - self.load_at_start
        if not np.any(self.has_cage):
            return self._bare_spare
        return np.where(self.has_cage, np.maximum(self._bare_spare, self.caged.spare), self._bare_spare)

    @functools.cached_property
    def _bare_spare(self):
        need = self.pull_in_need
        return np.where(need > 0.0, self.pull_in / need - 1.0, -1.0)
