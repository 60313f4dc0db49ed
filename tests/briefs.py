"""Every field of a Brief with two values that must give two answers, for the tests of the decision."""

import dataclasses
import math

from scaling import Brief, choose

BARRED = {"rotor_diameter": "200 mm", "cooling": "water", "reluctance_rotor": "flux barriers"}
# Two values of every field, and where they matter if not in the plain brief: a 20 mm rotor, all else at its default.
TWO_VALUES = {
    "rotor_diameter": ("20 mm", "25 mm", {}),
    "active_length": ("20 mm", "30 mm", {}),
    "gap_floor": ("100 um", "400 um", {}),
    "gap_ratio": (0.005, 0.01, {}),
    "outside_diameter": ("34 mm", "40 mm", {"active_length": "20 mm"}),
    "overall_length": ("30 mm", "40 mm", {}),
    "supply_frequency": ("50 Hz", "60 Hz", {}),
    "supply": ("three-phase", "single-phase", {}),
    "turning_share": (0.9, 0.5, {"supply": "single-phase"}),
    "shaded_share": (0.3, 0.5, {"supply": "single-phase"}),
    "starting_turning_share": (0.9, 0.3, {"supply": "single-phase"}),
    "speed": ("3000 rpm", "1500 rpm", {}),
    "speed_tolerance": (0.01, 0.1, {"speed": "3000 rpm"}),
    "torque": ("1 mN*m", "1 N*m", {}),
    "power": ("0.3 W", "300 W", {}),
    "starting_torque_ratio": (1.1, 3.0, {}),
    "starting_torque": ("1 mN*m", "1 N*m", {}),
    "cooling": ("still air", "water", {}),
    "ambient": ("40 degC", "10 degC", {}),
    "air_pressure": ("101.325 kPa", "70 kPa", {}),
    "temperature_rise": ("60 K", "100 K", {}),
    "temperature_drop": ("as built", "none", {}),
    "coolant_speed": ("3 m/s", "5 m/s", {"cooling": "forced air"}),
    "fan_speed_ratio": (1.0, 2.0, {"cooling": "shaft fan"}),
    "fan_loss_coefficient": (0.6, 1.2, {"cooling": "shaft fan"}),
    "fin_factor": (1.0, 2.0, {}),
    "emissivity": (0.85, 0.2, {}),
    "jacket_height_ratio": (0.02, 0.04, {"cooling": "oil jacket", "rotor_diameter": "100 mm"}),
    "flange_conductance": ("1000 W/m^2/K", "200 W/m^2/K", {"cooling": "flange"}),
    "medium_conductivity": ("0.5 W/m/K", "1 W/m/K", {"cooling": "conduction"}),
    "rim_speed_limit": ("100 m/s", "1 m/s", {}),
    "gap_field_limit": ("0.9 T", "0.5 T", {"cooling": "water"}),
    "tooth_field_limit": ("1.8 T", "1.2 T", {"cooling": "water"}),
    "yoke_field_limit": ("1.5 T", "0.7 T", {"cooling": "water", "pole_pairs": 1}),
    "slot_depth_ratio": (0.15, 0.2, {}),
    "winding": ("wound", "etched", {"rotor_diameter": "1 mm", "gap_floor": "5 um"}),
    "slot_fill": (0.4, 0.6, {}),
    "conductors_per_slot": (20, 60, {}),
    "slot_liner": ("0.25 mm", "0.1 mm", {}),
    "wire_packing": (0.6, 0.5, {}),
    "thinnest_wire": ("20 um", "0.3 mm", {}),
    "thickest_wire": ("1.5 mm", "0.1 mm", {}),
    "etched_space": ("10 um", "20 um", {"winding": "etched", "rotor_diameter": "1 mm", "gap_floor": "5 um"}),
    "tooth_share": (0.5, 0.6, {}),
    "slot_opening_ratio": (0.25, 0.5, {}),
    "slots_per_pole_and_phase": (2, 4, {}),
    "slot_pitch_floor": ("200 um", "4 mm", {"pole_pairs": 4}),
    "outside_ratio": (1.7, 2.0, {}),
    "end_turn_ratio": (1.5, 1.0, {}),
    "end_overhang_ratio": (0.3, 0.5, {}),
    "end_clearance_ratio": (0.05, 0.1, {}),
    "end_ring_ratio": (0.2, 0.05, {}),
    "stacking_factor": (0.96, 0.9, {}),
    "end_leakage": (0.4, 0.3, {}),
    "winding_factor": (0.95, 0.87, {}),
    "rotor_depth_ratio": (0.1, 0.05, {}),
    "bar_share": (0.5, 0.3, {}),
    "rotor_slot_opening_ratio": (0.1, 0.3, {}),
    "pole_arc": (0.5, 0.4, {}),
    "reluctance_rotor": ("salient", "flux barriers", {"rotor_diameter": "100 mm"}),
    "barriers": (4, 3, BARRED),
    "barrier_share": (0.4, 0.3, BARRED),
    "rib_floor": ("0.3 mm", "1.5 mm", BARRED),
    "rib_ratio": (0.005, 0.01, BARRED),
    "magnet_arc": (0.8, 0.5, {"magnets_allowed": True}),
    "rotor_surface": ("laminated", "solid", {}),
    "conductor": ("copper", "aluminium", {}),
    "rotor_material": ("copper", "cast iron", {}),
    "oriented_rings": (False, True, {"cooling": "water", "temperature_drop": "none"}),
    "magnet": ("sintered neodymium", "hard ferrite", {"magnets_allowed": True, "pole_pairs": 2}),
    "induction_rotor": ("cage", "sheet", {}),
    "pole_pairs": (1, 4, {}),
    "field_geometry": ("round", "plane", {}),
    "slip_limit": (0.05, 0.3, {}),
    "pull_out_reserve": (1.2, 2.0, {}),
    "additional_loss": (0.0, 0.02, {}),
    "can": ("stainless steel", "plastic", {"can_thickness": "0.3 mm"}),
    "can_thickness": ("0.2 mm", "0.5 mm", {}),
    "gap_fluid": ("air", "oil", {}),
    "core_loss": ("4 W/kg", "8 W/kg", {}),
    "core_building_factor": (1.7, 3.0, {}),
    "bearing_friction": (0.1, 0.0015, {}),
    "bearing": ("ball", "plain", {}),
    "bearing_diameter_ratio": (0.15, 0.05, {}),
    "bearing_length_ratio": (0.5, 1.0, {"bearing": "plain"}),
    "bearing_clearance_ratio": (0.001, 0.01, {"bearing": "plain"}),
    "bearing_clearance_floor": ("2 um", "20 um", {"bearing": "plain"}),
    "lubricant_viscosity": ("20 mPa*s", "50 mPa*s", {"bearing": "plain"}),
    "eccentricity": (0.1, 0.3, {}),
    "voltage": ("24 V", "48 V", {}),
    "connection": ("star", "delta", {"voltage": "24 V"}),
    "parallel_paths": (1, 2, {"voltage": "24 V", "pole_pairs": 2}),
    "winding_layers": (1, 2, {"voltage": "24 V", "pole_pairs": 2}),
    "voltage_tolerance": (0.05, 0.001, {"voltage": "1.2 V"}),
    "wire_series": ("R40", "R20", {"voltage": "23.5 V"}),
    "duty": ("S1", "S3", {}),
    "duty_time": ("10 min", "20 min", {"duty": "S2"}),
    "duty_factor": (0.4, 0.6, {"duty": "S3"}),
    "overspeed": (
        1.2,
        2.0,
        {"rotor_diameter": "200 mm", "speed": "6000 rpm", "supply_frequency": ("50 Hz", "1000 Hz")},
    ),
    "sleeved": (
        False,
        True,
        {"rotor_diameter": "200 mm", "speed": "8000 rpm", "supply_frequency": ("50 Hz", "1000 Hz")},
    ),
    "load_at_start": (0.0, 1.0, {"torque": "10 uN*m", "rotor_diameter": "4 mm", "gap_floor": "5 um"}),
    "starting_angle": ("favourable", "any", {"rotor_diameter": "4 mm", "gap_floor": "5 um"}),
    "load_inertia_ratio": (0.0, 100.0, {"rotor_diameter": "1 mm", "gap_floor": "5 um"}),
    "starting_cage": ("best", "none", {"rotor_diameter": "100 mm"}),
    "self_starting": (True, False, {}),
    "synchronous": (False, True, {}),
    "magnets_allowed": (False, True, {}),
}
FIELDS = tuple(f.name for f in dataclasses.fields(Brief) if f.init)
UNITS_DUE = tuple(name for name, (a, _, _) in TWO_VALUES.items() if isinstance(a, str) and a[0].isdigit())
RATIOS = tuple(name for name, (a, _, _) in TWO_VALUES.items() if type(a) is float)
FLAGS = tuple(name for name, (a, _, _) in TWO_VALUES.items() if type(a) is bool)
NAMES = tuple(
    name for name, (a, _, _) in TWO_VALUES.items() if isinstance(a, str) and name not in UNITS_DUE + ("cooling",)
)

# What a brief is judged by; lengths and frequencies that only repeat the brief are left out.
OUTCOMES = (
    "torque",
    "starting_torque",
    "breakdown_torque",
    "power",
    "efficiency",
    "power_factor",
    "mass",
    "pull_in",
    "pull_in_need",
)


def brief(**given):
    """Return the plain brief with some fields given."""
    return Brief(**{"rotor_diameter": "20 mm"} | given)


def outcomes(**given):
    """Return {(kind, figure): value} of a choice, whether each type meets the brief, and the ranking."""
    choice = choose(brief(**given))
    figures = {(d.kind, name): d.values[name] for d in choice.designs.values() for name in OUTCOMES}
    return figures, {d.kind: d.feasible for d in choice.designs.values()}, choice.ranking


def changed(first, second):
    """Return the names of the figures that differ by more than a part in a million."""
    same = {name: math.isclose(first[name], second[name], rel_tol=1e-6) for name in first}
    neither = {name for name in first if math.isnan(first[name]) and math.isnan(second[name])}
    return {name for name in first if not same[name] and name not in neither}
