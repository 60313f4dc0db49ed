"""The figures of a design, every one once: unit, meaning, and how it comes out of an operating point."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from scaling.decision.performance import LOSSES, PARTS
from scaling.laws import stator as stator_laws
from scaling.machines.warmth import heating_time
from scaling.machines.winding import slot_fill


@dataclass(frozen=True)
class Figure:
    """One figure: its SI unit ("" for a plain number), its meaning, ``value(point)`` in SI.

    A ``label`` puts it into the report, shown in ``shown_in`` if that is not the SI unit.
    """

    name: str
    unit: str
    meaning: str
    value: Callable[[Any], Any]
    label: str = ""
    shown_in: str = ""


def _operation(name):
    return lambda point: getattr(point.operation, name)


def _stator(name):
    return lambda point: getattr(point.stator, name)


def _form(name):
    return lambda point: point.operation.form.get(name, math.nan)


def _own(name):
    return lambda point: getattr(point, name)


def _rise(name):
    return lambda point: point.rises[name]


def _mass(name):
    return lambda point: point.masses[name]


def _loss(name):
    return lambda point: point.losses[name]


# Field amplitudes are peak values, currents and current densities rms.
FIGURES = {
    figure.name: figure
    for figure in (
        Figure("torque", "N*m", "continuous shaft torque, friction deducted", _own("torque"), "torque"),
        Figure("speed", "rad/s", "mechanical speed", _own("speed"), "speed", "rpm"),
        Figure("power", "W", "mechanical power at the shaft", _own("power"), "power"),
        Figure("efficiency", "", "mechanical power over electrical power", _own("efficiency"), "efficiency", "%"),
        Figure(
            "power_factor",
            "",
            "power factor, leakage of slots and end winding included",
            lambda point: (point.power + point.loss) / point.volt_amperes,
            "power factor",
        ),
        Figure(
            "starting_torque",
            "N*m",
            "locked-rotor torque, its mean, bearing friction deducted; induction at its starting current",
            _own("starting_torque"),
            "starting torque",
        ),
        Figure("pole_pairs", "", "number of pole pairs", _stator("p"), "pole pairs", "integer"),
        Figure("frequency", "Hz", "electrical frequency", lambda point: point.fed.frequency, "frequency"),
        Figure("slip", "", "slip", _operation("slip"), "slip"),
        Figure("gap", "m", "air gap: clearance, and a can", _stator("gap"), "gap"),
        Figure(
            "gap_field_peak",
            "T",
            "peak flux density of the gap's fundamental",
            lambda point: point.operation.gap_field + point.operation.backward_field,
            "gap field, peak",
        ),
        Figure(
            "linear_current_density_rms",
            "A/m",
            "rms ampere-conductors per metre of bore",
            _own("loading_rms"),
            "linear current density, rms",
        ),
        Figure(
            "current_density_rms",
            "A/m**2",
            "rms current density in the winding's copper",
            lambda point: stator_laws.conductor_current_density(
                A_rms=point.loading_rms, phi_s=point.stator.copper_share, d_s=point.stator.slot_depth
            ),
            "current density, rms",
            "A/mm**2",
        ),
        Figure("shear_stress", "Pa", "force per area of the rotor's surface", _own("shear_stress"), "shear stress"),
        Figure(
            "heat_flux",
            "W/m**2",
            "heat per bare outside surface",
            lambda point: sum(point.heats.values()) / point.stator.outside_area,
            "heat flux",
        ),
        Figure(
            "winding_rise",
            "K",
            "mean rise of the winding over the coolant",
            _own("winding_rise"),
            "winding's mean rise",
        ),
        Figure(
            "hot_spot_rise", "K", "rise of the winding's hottest place", _rise("hot spot"), "winding's hottest rise"
        ),
        Figure("core_rise", "K", "mean rise of the stator's core", _rise("core"), "core's rise"),
        Figure("frame_rise", "K", "rise of the outside", _rise("frame"), "frame's rise"),
        Figure(
            "rotor_rise",
            "K",
            "mean rise of the rotor; at the end of a duty as of a rest of one temperature, as its limit has it",
            _own("rotor_rise"),
        ),
        Figure("rotor_end_rise", "K", "mean rise of the rotor by all parts in time", _rise("rotor"), "rotor's rise"),
        Figure("winding_end_rise", "K", "mean rise of the winding by all parts in time", _rise("winding")),
        Figure(
            "breakdown_torque",
            "N*m",
            "largest torque, synchronous kinds' pull-out; on a fixed voltage or at the continuous current",
            lambda point: point.largest_gap_torque - point.braking_torque,
        ),
        Figure("gap_torque", "N*m", "torque across the gap, friction not deducted", _own("gap_torque")),
        Figure("loss", "W", "all losses", _own("loss")),
        Figure("magnetic_gap", "m", "effective gap of the laws, slots included", _operation("magnetic_gap")),
        Figure("backward_field_peak", "T", "peak flux density of the backward wave", _operation("backward_field")),
        Figure(
            "linear_current_density_peak",
            "A/m",
            "peak of the forward wave of the winding's linear current density",
            _operation("loading"),
        ),
        Figure(
            "ring_field", "A/m", "peak field along a hysteresis ring; NaN for other types", _operation("ring_field")
        ),
        Figure("load_angle", "", "load angle or lag of the loop, radians; NaN for induction", _operation("load_angle")),
        Figure(
            "heat_coefficient",
            "W/m**2/K",
            "heat transfer coefficient from the frame to the coolant, referred to the bare outside",
            lambda point: point.fed.heat_coefficient,
        ),
        Figure("rotor_diameter", "m", "rotor diameter at the gap", _stator("D")),
        Figure("active_length", "m", "active length", _stator("width")),
        Figure("outside_diameter", "m", "outside diameter of the core", _stator("outside")),
        Figure("slot_depth", "m", "slot depth", _stator("slot_depth")),
        Figure(
            "tooth_share",
            "",
            "tooth share of the slot layer",
            lambda point: point.si.tooth_share + 0.0 * point.stator.D,
        ),
        Figure("slot_pitch", "m", "slot pitch of the stator", _stator("slot_pitch")),
        Figure("rotor_thickness", "m", "thickness of the rotor's active layer", _operation("thickness")),
        Figure("volt_amperes", "V*A", "apparent power drawn", _own("volt_amperes")),
        Figure(
            "wire_diameter",
            "m",
            "conductor of the winding's wire, of one strand; NaN of an etched winding, or if slot_fill alone is given",
            _stator("wire_diameter"),
        ),
        Figure(
            "conductors_per_slot", "", "conductors per slot; NaN if slot_fill alone is given", _stator("conductors")
        ),
        Figure("strands", "", "wires in parallel that make a conductor; a mean over the slots", _stator("strands")),
        Figure("slot_liner", "m", "thickness of the insulation on a slot's walls", _stator("liner")),
        Figure(
            "thermal_time_constant",
            "s",
            "heat capacity of the active parts, without end rings, over what their outside passes per kelvin",
            lambda point: heating_time(point.stator, point.fed.heat_coefficient),
        ),
        Figure("volume", "m**3", "envelope of core and end windings", _stator("volume")),
        Figure("mass", "kg", "active parts, rotor as a solid cylinder, end rings", _own("mass")),
        *(Figure(f"{part} mass", "kg", meaning, _mass(part)) for part, meaning in PARTS.items()),
        Figure("winding_volume", "m**3", "conductors of the winding, end turns included", _own("winding_volume")),
        Figure("bore_diameter", "m", "bore of the stator; of a machine taken as flat the rotor's", _stator("bore")),
        Figure(
            "backward_shear",
            "Pa",
            "stress at the bore that the backward wave takes from the forward one's",
            _operation("backward_shear"),
        ),
        Figure("overall_length", "m", "length over the end windings", _stator("length")),
        Figure("bar_share", "", "share of the bars in a cage's layer; NaN without", _form("bar_share")),
        Figure(
            "rotor_slot_opening_ratio",
            "",
            "opening of a cage's slots over their pitch",
            _form("rotor_slot_opening_ratio"),
        ),
        Figure("end_ring_width", "m", "width of the end rings along the shaft; NaN without", _form("end_ring_width")),
        Figure("pole_arc", "", "pole arc of salient poles over the pole pitch; NaN without", _form("pole_arc")),
        Figure("barriers", "", "flux barriers per pole; NaN without", _form("barriers")),
        Figure("barrier_share", "", "barrier share of the rotor's depth; NaN without", _form("barrier_share")),
        Figure(
            "remanence",
            "T",
            "remanence of the magnets, a weaker grade than the brief's where its field is too strong; NaN without",
            _form("remanence"),
        ),
        Figure(
            "starting_current",
            "",
            "locked-rotor current over the continuous one, on a fixed supply",
            _own("starting_current"),
        ),
        Figure("wave_number", "1/m", "pi over the pole pitch", _stator("k")),
        Figure("slot_fill", "", "copper over the area of the slots", lambda point: slot_fill(point.stator)),
        Figure(
            "pull_in_need",
            "",
            "pull-in number that the load at the start asks for; NaN where none is needed or none is enough",
            _own("pull_in_need"),
        ),
        Figure(
            "pull_in",
            "",
            "pull-in number; infinite where the rotor starts on its own torque",
            _own("pull_in"),
        ),
        Figure(
            "starting_cage",
            "",
            "1 where a synchronous rotor has a starting cage, 0 where not",
            lambda point: 1.0 * point.has_cage,
        ),
        Figure(
            "capture_number",
            "",
            "what slows a rotor with a starting cage in a swing over what keeps it slipping; NaN without a cage",
            _own("capture_number"),
        ),
        Figure(
            "spare_at_start",
            "",
            "by how much a rotor starts, above 0 if it does: N*m, or relative where a fixed supply pulls it in",
            _own("spare_at_start"),
        ),
        Figure(
            "spare_with_cage",
            "",
            "by how much a synchronous rotor would start with a cage, relative; NaN where none is to be thought of",
            _own("spare_with_cage"),
        ),
        Figure(
            "goodness",
            "",
            "magnetising reactance over rotor resistance; NaN for other types",
            _operation("goodness"),
        ),
        Figure("saliency", "", "permeance ratio of the two axes; NaN for other types", _operation("saliency")),
        Figure(
            "response",
            "",
            "rotor response Lambda: shear stress over mu_0*A^2/(2*k*g), at most 1/2 for induction",
            _operation("response"),
        ),
        Figure(
            "search_fraction",
            "",
            "place between 0 and 1 at which the search found the point",
            _own("search_fraction"),
        ),
        *(Figure(f"{name} loss", "W", f"{name} loss", _loss(name)) for name in LOSSES),
    )
}
