"""Why: what takes a design out of a model's range, and what makes one type beat another."""

import math

from scaling.decision import compare_words
from scaling.decision.merits import MERITS
from scaling.ground import units
from scaling.ground.insulation import CLASSES
from scaling.ground.materials import CONDUCTORS, COPPER_HEAT_CAPACITY, LINER_CONDUCTIVITY, LOOP_MATERIALS
from scaling.laws import duty, wire
from scaling.machines import ROTORS
from scaling.machines.winding import resistivity
from scaling.models.loops import fitted

HARDLY_OPEN = 0.5  # of the coercivity: a loop under a smaller field hardly opens
FAST = 30.0  # s, about ten times what heat takes from wires through a slot's liner (common practice, no source)
ETCHED_TO = 5e-3  # m of rotor diameter: coils above are thicker than what is plated (common practice)
HOT = 0.1  # of the temperature rise: a larger drop from winding to core is told
USELESS = 0.01
ZERO_CELSIUS = 273.15  # K
LINE_START = 0.7  # of the continuous torque: least torque at rest of motors for starting on the line (MG 1 design B)
HOT_ROTOR = 180.0  # °C, of a rotor: more is told, for bearings, grease and bars' joints (common practice)
LATE = 1.03  # rise of the winding in the network of all parts over that of two bodies: more is told


def range_notes(best, i, si):
    """Return sentences for every model range that design i of a type leaves."""
    v = {name: float(values[i]) for name, values in best.figures.items()}
    notes = []
    if v["frequency"] > 400.0:
        unknown = si.winding == "wound" and math.isnan(v["wire_diameter"])
        skin = " and the winding without skin effect are" if unknown else " is"
        notes.append(f"above 400 Hz the core loss law{skin} optimistic")
    if best.kind == "hysteresis":
        notes += _loop_note(v, str(best.material[i]))
    if si.winding == "etched" and v["rotor_diameter"] > ETCHED_TO:
        notes.append("etched and plated coils are for rotors of a few millimetres: their copper is optimistic here")
    if si.supply == "single-phase" and si.turning_share == 0.0 and ROTORS[best.kind].starts_by_pull_in:
        notes.append("one phase alone starts a synchronous rotor in either direction")
    notes += _start_note(v, si) + _copper_note(v, si) + _class_note(v, si) + _duty_note(v, si)
    rotor = si.ambient + v["rotor_rise"] - ZERO_CELSIUS
    if rotor > HOT_ROTOR:
        notes.append(f"its rotor would run at {rotor:.0f} °C: ask whether bearings, grease and joints stand that")
    if not 200.0 <= si.ambient <= 400.0 or si.ambient + si.temperature_rise > 523.0:
        notes.append("temperatures outside the range of the air and resistance laws (200-400 K ambient, 250 °C hot)")
    return tuple(notes)


def _loop_note(v, name):
    """Return a sentence if the loop of a ring hardly opens, as a list."""
    coercivity = fitted(LOOP_MATERIALS[name])["H_c"]
    if v["ring_field"] >= HARDLY_OPEN * coercivity:
        return []
    return [
        f"the field along the ring, {units.show_si(v['ring_field'], 'A/m')}, hardly opens the loop of {name} "
        f"(coercivity {units.show_si(coercivity, 'A/m')}): a softer ring would give more, if one can be had"
    ]


def _start_note(v, si):
    """Return a sentence if a motor of the mains starts with less torque than such motors have, as a list."""
    asked = si.supply == "drive" or not si.self_starting or si.torque_at_rest_asked
    at_rest, running = v["starting_torque"], v["torque"]
    if asked or not 0.0 < at_rest < LINE_START * running:
        return []
    return [
        f"it starts with {at_rest / running:.2g} of its continuous torque, enough for a fan; motors that start a load "
        "on the line have 0.7 to 2.8 times: ask for it by starting_torque_ratio"
    ]


def _class_note(v, si):
    """Return a sentence if the winding's hottest place is above its thermal class, as a list."""
    if si.thermal_class is None:
        return []
    hottest, stands = si.ambient + v["hot_spot_rise"] - ZERO_CELSIUS, CLASSES[si.thermal_class].celsius
    if not hottest > stands:
        return []
    return [
        f"the winding's hottest place would be at {hottest:.1f} °C, above the {stands:.0f} °C of class "
        f"{si.thermal_class}: give a smaller temperature_rise"
    ]


def _duty_note(v, si):
    """Return a sentence if a duty warms the winding more by all parts than as one of two bodies, as a list."""
    if si.duty == "S1" or not v["winding_end_rise"] > LATE * v["winding_rise"]:
        return []
    return [
        f"at the end of the time at work its winding would be {v['winding_end_rise']:.1f} K warm instead of "
        f"{v['winding_rise']:.1f} K: parts that take up heat late leave more to the others than one rest would"
    ]


def rise_of_class(si):
    """Return the sentence that says the temperature rise of the brief's thermal class, as a list; empty without."""
    if si.thermal_class is None:
        return []
    said = f"Class {si.thermal_class}: {CLASSES[si.thermal_class].rise:.4g} K at 40 °C"
    if abs(si.ambient - ZERO_CELSIUS - 40.0) > 1e-6:
        said += f", {si.temperature_rise:.4g} K at {si.ambient - ZERO_CELSIUS:.4g} °C"
    return [said + " (rise by resistance, IEC 60034-1)."]


def _copper_note(v, si):
    """Return sentences if the copper is so highly loaded that it runs hotter than its core, as a list."""
    copper = CONDUCTORS[si.conductor]
    loaded = {"rho": resistivity(copper, si), "J_rms": v["current_density_rms"]}
    notes = []
    rho_w = copper.density
    seconds = duty.winding_heating_time(theta=si.temperature_rise, c_h=COPPER_HEAT_CAPACITY, rho_w=rho_w, **loaded)
    if seconds <= FAST:
        notes.append(
            f"at {1e-6 * v['current_density_rms']:.3g} A/mm² the winding alone would reach its temperature rise in "
            f"{seconds:.2g} s: it runs hotter than its core, and an overload or a halt of the coolant is for seconds"
        )
    if si.temperature_drop != "none":
        return notes
    w_u = wire.slot_width(tau_u=v["slot_pitch"], phi_t=v["tooth_share"])
    slot = {"phi_n": v["slot_fill"], "w_u": w_u, "d_s": v["slot_depth"], "t_i": v["slot_liner"]}
    drop = duty.winding_drop(**loaded, **slot, lambda_i=LINER_CONDUCTIVITY)
    if drop > HOT * si.temperature_rise:
        notes.append(
            f"at {1e-6 * v['current_density_rms']:.3g} A/mm² the winding runs {drop:.0f} K above its core "
            "across the slot's liner: a machine of one temperature is optimistic"
        )
    return notes


def limits(best, i):
    """Return the names of the limits active on design i of a type."""
    return tuple(name for name, mask in best.limits.items() if mask[i])


def by_power(a, b, advice):
    """Return the sentence that says by how much design a beats b by power, b being ahead by torque at another speed."""
    power, speed = ([units.show(getattr(one, name), digits=3) for one in (a, b)] for name in ("power", "speed"))
    return (
        f"By power {a.kind} leads {b.kind} {float(a.power / b.power):.3g} times, {power[0]} at {speed[0]} against "
        f"{power[1]} at {speed[1]}{advice}."
    )


def tie(a, b, band, row):
    """Return the sentence that calls designs a and b level; ``row`` is the assumption that leaves most of it open."""
    sentence = (
        f"A lead of {a.merit / b.merit:.2f} lies within the {band:.2g} that the model's assumptions leave open at this "
        f"size: call {a.kind} and {b.kind} level and let cost, supply and control decide."
    )
    return sentence + (f" Most of it is {row.name}: {row.taken}, or {row.alternative}." if row else "")


def comparison(a, b, merit, band=0.0):
    """Return the sentences that say by how much and why design a beats design b, a tie within the band."""
    return compare_words.sentence(a, b, merit, a.merit / b.merit, MERITS[merit].factors, band)
