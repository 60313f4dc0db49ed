"""The fields of a brief in groups: ten essentials that most briefs give, then what else a drive may ask for."""

import dataclasses

from scaling.decision import uncertainty
from scaling.ground import messages, units
from scaling.ground.quantities import QUANTITY_KINDS

ESSENTIALS = "essentials"
GROUPS = {
    ESSENTIALS: (
        "rotor_diameter",
        "active_length",
        "gap_floor",
        "supply_frequency",
        "cooling",
        "temperature_rise",
        "speed",
        "torque",
        "self_starting",
        "synchronous",
    ),
    "load": ("power", "speed_tolerance", "slip_limit", "pull_out_reserve", "magnets_allowed"),
    "start": (
        "starting_torque_ratio",
        "starting_torque",
        "load_at_start",
        "load_inertia_ratio",
        "starting_angle",
        "starting_cage",
    ),
    "supply": ("supply", "voltage", "connection", "turning_share", "shaded_share", "starting_turning_share"),
    "stator": (
        "pole_pairs",
        "outside_diameter",
        "overall_length",
        "outside_ratio",
        "gap_field_limit",
        "tooth_field_limit",
        "yoke_field_limit",
        "slot_depth_ratio",
        "tooth_share",
        "slot_opening_ratio",
        "slots_per_pole_and_phase",
        "slot_pitch_floor",
        "stacking_factor",
        "can_thickness",
    ),
    "winding": (
        "winding",
        "parallel_paths",
        "winding_layers",
        "voltage_tolerance",
        "wire_series",
        "slot_fill",
        "conductors_per_slot",
        "slot_liner",
        "wire_packing",
        "thinnest_wire",
        "thickest_wire",
        "etched_space",
        "winding_factor",
        "end_turn_ratio",
        "end_overhang_ratio",
        "end_clearance_ratio",
        "end_leakage",
    ),
    "rotor": (
        "gap_ratio",
        "rotor_depth_ratio",
        "induction_rotor",
        "bar_share",
        "rotor_slot_opening_ratio",
        "end_ring_ratio",
        "reluctance_rotor",
        "pole_arc",
        "barriers",
        "barrier_share",
        "rib_floor",
        "rib_ratio",
        "magnet_arc",
        "rotor_surface",
    ),
    "materials": (
        "conductor",
        "rotor_material",
        "oriented_rings",
        "magnet",
        "core_loss",
        "core_building_factor",
        "additional_loss",
        "can",
        "gap_fluid",
    ),
    "heat": (
        "ambient",
        "air_pressure",
        "temperature_drop",
        "coolant_speed",
        "fan_speed_ratio",
        "fan_loss_coefficient",
        "fin_factor",
        "emissivity",
        "jacket_height_ratio",
        "flange_conductance",
        "medium_conductivity",
        "duty",
        "duty_time",
        "duty_factor",
    ),
    "mechanics": (
        "rim_speed_limit",
        "overspeed",
        "sleeved",
        "bearing",
        "bearing_friction",
        "bearing_diameter_ratio",
        "bearing_length_ratio",
        "bearing_clearance_ratio",
        "bearing_clearance_floor",
        "lubricant_viscosity",
        "eccentricity",
    ),
    "model": ("field_geometry",),
}


def describe(cls, group=None):
    """Return fields of a brief with default and meaning as Markdown tables: those of a group, or of all of them."""
    names = tuple(GROUPS) if group is None else (messages.choice(group, GROUPS, "group"),)
    fields = _fields(cls)
    return "\n\n".join(f"**{name}**\n\n{_table(fields[f] for f in GROUPS[name])}" for name in names)


def _fields(cls):
    return {f.name: f for f in dataclasses.fields(cls) if f.init}


def _table(fields):
    rows = ["| field | default | meaning |", "|---|---|---|"]
    for f in fields:
        default = "required" if f.name == "rotor_diameter" else f.default
        rows.append(f"| `{f.name}` | {default} | {f.metadata['doc']} |")
    return "\n".join(rows)


def given(brief):
    """Return the names of the fields that a brief does not leave at their defaults, in the order of the groups."""
    fields = _fields(type(brief))
    return tuple(
        name for names in GROUPS.values() for name in names if _departs(getattr(brief, name), fields[name].default)
    )


def _departs(value, default):
    return type(value) is not type(default) or value != default


def worth_saying(brief):
    """Return the names of the fields that a report shows: those given, and the essentials that are not left open."""
    mine = given(brief)
    essential = [name for name in GROUPS[ESSENTIALS] if name in mine or getattr(brief, name) is not None]
    return (*essential, *(name for name in mine if name not in essential))


def written(brief, name):
    """Return the value of a field as text that ``read_briefs`` reads as the same value.

    A distribution that was given has no such text: it is described.

    Examples
    --------
    >>> from scaling import Brief, Q
    >>> brief = Brief(rotor_diameter=Q(2, "cm"), supply_frequency=("10 Hz", "200 Hz"))
    >>> written(brief, "rotor_diameter"), written(brief, "supply_frequency"), written(brief, "self_starting")
    ('0.02 m', '10 Hz to 200 Hz', 'yes')
    """
    value, known = getattr(brief, name), brief.uncertainties.get(name)
    if isinstance(known, uncertainty.Given):
        return known.describe
    kind = _fields(type(brief))[name].metadata.get("kind")
    if isinstance(value, (tuple, list)):
        return " to ".join(_text(end, kind) for end in value)
    return _text(value, kind)


def _text(value, kind):
    """Return one value as text: a quantity in SI to the last digit, anything else as it was typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not units.is_quantity(value):
        return "" if value is None else str(value)
    unit = QUANTITY_KINDS[kind].unit if kind else f"{value.units:~}"
    return f"{float(value.m_as(unit))!r} {unit}".strip()
