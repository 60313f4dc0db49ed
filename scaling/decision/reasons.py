"""Why: what stops a design, what takes it out of a model's range, and what makes one type beat another."""

import math

from scaling.decision.design import LOSSES
from scaling.ground import units
from scaling.ground.materials import CONDUCTORS, COPPER_HEAT_CAPACITY, LOOP_MATERIALS
from scaling.laws import duty
from scaling.machines import ROTORS
from scaling.machines.stage import resistivity
from scaling.models.loops import fitted

NEARLY_LEVEL = 1.15  # torque is good to 10-20 %: a lead below this is no lead
OPENING = 0.5  # of the coercivity: a loop under a smaller field hardly opens
FAST = 30.0  # s, about ten times what heat takes from wires through a slot's liner (common practice, no source)
USELESS = 0.01
CURVED = 0.2  # magnetic gap over rotor radius above which the plane field is 10 % off


def failures(best, i, si):
    """Return sentences for every check of the brief that design i of a type fails."""
    v = {name: float(values[i]) for name, values in best.figures.items()}

    def show(name, unit):
        return units.show_si(v[name], unit)

    text = {
        "fits": lambda: (
            f"the gap of {show('gap', 'm')} is not below the radius"
            if v["gap"] >= v["rotor_diameter"] / 2
            else f"its {v['pole_pairs']:.0f} pole pair(s) need slots {show('slot_pitch', 'm')} apart, finer than "
            "slot_pitch_floor, or a gap that is not thin against the pole pitch"
        ),
        "wire": lambda: _unwound(v, si),
        "frequency": lambda: (
            "no frequency of the supply gives a speed inside the speed asked for, rim_speed_limit and rim stress"
        ),
        "friction heat": lambda: "friction alone makes more heat than the outside can pass",
        "works": lambda: "no running point exists inside the limits",
        "friction": lambda: f"friction takes all of its torque of {show('gap_torque', 'N*m')}",
        "torque": lambda: f"it gives {show('torque', 'N*m')} of the {units.show_si(si.torque, 'N*m')} asked for",
        "synchronous": lambda: "it slips, and the brief asks for exact synchronous speed",
        "start": lambda: _unstarted(v, si, ROTORS[best.kind].SWINGS),
        "starting torque": lambda: (
            f"its mean torque at standstill, {show('starting_torque', 'N*m')}, is below the "
            f"{units.show_si(si.starting_torque, 'N*m')} asked for"
        ),
    }
    failed = [name for name, passed in best.passed.items() if not passed[i]]
    geometry = ("fits", "wire", "frequency")
    if set(geometry) & set(failed):  # the figures behind the later checks mean nothing then
        failed = [name for name in failed if name in (*geometry, "synchronous")]
    elif "friction heat" in failed:
        failed = ["friction heat"]
    elif "works" in failed:
        failed = ["works"]
    return tuple(text[name]() for name in failed)


def _unwound(v, si):
    """Return why the wires of a slot cannot be wound."""
    asked = f"{si.conductors_per_slot:.0f} conductors in slots {units.show_si(v['slot_pitch'], 'm')} apart"
    if not v["wire_diameter"] > 0:
        return f"{asked}: two liners of {units.show_si(si.slot_liner, 'm')} leave no room for a wire"
    wire = units.show_si(v["wire_diameter"], "m")
    if v["wire_diameter"] < si.thinnest_wire:
        return f"{asked} want a wire of {wire}, finer than thinnest_wire"
    return f"{asked} want a wire of {wire}, wider than the slot between its liners"


def _unstarted(v, si, swings):
    """Return why a rotor does not start."""
    if swings is None:
        held = "the bearing's friction" if not si.load_at_start or si.torque is None else "friction and load"
        return f"its torque at standstill does not overcome {held}"
    if math.isnan(v["pull_in_need"]):
        return "the load at its start is more than its largest torque"
    return f"it does not pull itself in from rest: pull-in number {v['pull_in']:.2g}, needs {v['pull_in_need']:.2g}"


def range_notes(best, i, si):
    """Return sentences for every model range that design i of a type leaves."""
    v = {name: float(values[i]) for name, values in best.figures.items()}
    notes = []
    curved = 2 * v["magnetic_gap"] / v["rotor_diameter"]
    if curved > CURVED:
        notes.append(f"the magnetic gap is {curved:.2g} of the rotor's radius: the field is solved as if it were plane")
    if v["frequency"] > 400.0:
        skin = " and the winding without skin effect are" if si.conductors_per_slot is None else " is"
        notes.append(f"above 400 Hz the core loss law{skin} optimistic")
    if best.kind == "hysteresis":
        notes += _loop_note(v, str(best.material[i]))
    if si.supply == "single-phase" and si.turning_share == 0.0 and ROTORS[best.kind].SWINGS is not None:
        notes.append("one phase alone starts a synchronous rotor in either direction")
    if si.duty != "S1":
        notes += _copper_note(v, si)
    if not 200.0 <= si.ambient <= 400.0 or si.ambient + si.temperature_rise > 523.0:
        notes.append("temperatures outside the range of the air and resistance laws (200-400 K ambient, 250 °C hot)")
    return tuple(notes)


def _loop_note(v, name):
    """Return a sentence if the loop of a ring hardly opens, as a list."""
    coercivity = fitted(LOOP_MATERIALS[name])["H_c"]
    if v["ring_field"] >= OPENING * coercivity:
        return []
    return [
        f"the field along the ring, {units.show_si(v['ring_field'], 'A/m')}, hardly opens the loop of {name} "
        f"(coercivity {units.show_si(coercivity, 'A/m')}): a softer ring would give more, if one can be had"
    ]


def _copper_note(v, si):
    """Return a sentence if the copper is so highly loaded that it runs hotter than its core, as a list."""
    copper = CONDUCTORS[si.conductor]
    seconds = duty.winding_heating_time(
        theta=si.temperature_rise,
        c_h=COPPER_HEAT_CAPACITY,
        rho_w=copper.density,
        rho=resistivity(copper, si),
        J_rms=v["current_density_rms"],
    )
    if seconds > FAST:
        return []
    return [
        f"the winding alone would reach its temperature rise in {seconds:.2g} s: it runs hotter than its core, and a "
        "machine of one temperature is optimistic"
    ]


def limits(best, i):
    """Return the names of the limits active on design i of a type."""
    return tuple(name for name, mask in best.limits.items() if mask[i])


def factors(a, b):
    """Return the factors whose product is the ratio of the shaft torques of two designs, a over b.

    Torque is shear stress times a common area and radius, less friction; shear stress is loading squared over k*g times
    the rotor's response.
    """
    return {
        "loading": (a.values["linear_current_density_peak"] / b.values["linear_current_density_peak"]) ** 2,
        "gap": b.values["wave_number"]
        * b.values["magnetic_gap"]
        / (a.values["wave_number"] * a.values["magnetic_gap"]),
        "response": a.response / b.response,
        "friction": (a.values["torque"] / a.values["gap_torque"]) / (b.values["torque"] / b.values["gap_torque"]),
    }


def merit_factors(a, b, merit):
    """Return the factors whose product is the ratio of the merits of two designs, a over b."""
    if merit == "efficiency":
        share = {d.kind: d.values["loss"] / d.values["power"] for d in (a, b)}
        return {"losses": (1 + share[b.kind]) / (1 + share[a.kind])}
    if merit == "power per volt-ampere":
        return {"losses": a.efficiency / b.efficiency, "power factor": a.power_factor / b.power_factor}
    extra = {
        "torque per volume": {},
        "torque per mass": {"mass": b.values["mass"] / a.values["mass"]},
        "power per volume": {"speed": a.values["speed"] / b.values["speed"]},
        "torque per root watt": {"losses": math.sqrt(b.values["loss"] / a.values["loss"])},
    }
    return factors(a, b) | extra[merit]


def _rotor_phrase(d, wins):
    """Return what a rotor's response rests on, in the words of the type."""
    if d.kind == "induction":
        if wins or d.goodness * d.slip >= 0.5:
            return f"a goodness of {d.goodness:.3g} lets the rotor current build up at a slip of {d.slip:.2g}"
        return f"with a goodness of {d.goodness:.2g} the induced current stays small even at a slip of {d.slip:.2g}"
    if d.kind == "hysteresis":
        return f"the loop of {d.material} lags by {math.degrees(d.values['load_angle']):.0f}°"
    if d.kind == "reluctance":
        quality = "still" if wins else "only"
        return f"a gap of {units.show_si(d.values['gap'], 'm')} {quality} leaves a saliency of {d.saliency:.2g}"
    return f"magnets keep a gap field of {d.gap_field_peak.magnitude:.2g} T without any current"


def _cause(name, a, b):
    """Return the clause for the leading factor."""
    va, vb = a.values, b.values
    if name == "response":
        return (
            f"its rotor answers with {a.response:.2g} against {b.response:.2g} (at most 0.5), because "
            f"{_rotor_phrase(a, True)}, while in the {b.kind} rotor {_rotor_phrase(b, False)}"
        )
    if name == "loading":
        carried = (
            f"it carries {units.show_si(va['linear_current_density_rms'], 'A/m')} against "
            f"{units.show_si(vb['linear_current_density_rms'], 'A/m')} of winding current"
        )
        held_back = [name for name in b.limited_by if name.endswith("field")]
        if "temperature rise" not in b.limited_by and held_back:
            return f"{carried}, since the {held_back[0]} limit holds the {b.kind} rotor back"
        heat = {d.kind: (d.values["rotor loss"] + d.values["core loss"]) / d.values["loss"] for d in (a, b)}
        return f"{carried}, since rotor and core take {heat[a.kind]:.0%} of its heat against {heat[b.kind]:.0%}"
    if name == "gap":
        return (
            f"its field crosses {units.show_si(va['magnetic_gap'], 'm')} with {a.pole_pairs} pole pair(s), against "
            f"{units.show_si(vb['magnetic_gap'], 'm')} with {b.pole_pairs}: less of the loading is spent on the gap"
        )
    if name == "friction":
        lost = {d.kind: 1 - d.values["torque"] / d.values["gap_torque"] for d in (a, b)}
        return f"friction takes {lost[a.kind]:.0%} of its torque, against {lost[b.kind]:.0%}"
    if name == "speed":
        return f"it turns at {units.show_si(va['speed'], 'rad/s')} against {units.show_si(vb['speed'], 'rad/s')}"
    if name == "power factor":
        return f"it draws its power at a power factor of {a.power_factor:.2g} against {b.power_factor:.2g}"
    if name == "mass":
        return f"its active parts weigh {units.show_si(va['mass'], 'kg')} against {units.show_si(vb['mass'], 'kg')}"
    per = {d.kind: {n: d.values[f"{n} loss"] / d.values["power"] for n in LOSSES} for d in (a, b)}
    saved = {n: per[b.kind][n] - per[a.kind][n] for n in LOSSES}
    most = max(saved, key=saved.get)
    total = {kind: sum(shares.values()) for kind, shares in per.items()}
    return (
        f"it loses {total[a.kind]:.2g} W for every watt of output against {total[b.kind]:.2g} W, and most of the "
        f"difference is {most} loss"
    )


def comparison(a, b, merit):
    """Return the sentence that says by how much and why design a beats design b, from the largest factor."""
    ratio = a.merit / b.merit
    parts = merit_factors(a, b, merit)
    lead = max(parts, key=lambda name: parts[name])
    sentence = f"{a.kind.capitalize()} leads {b.kind} {ratio:.3g} times in {merit}: {_cause(lead, a, b)}."
    against = min(parts, key=lambda name: parts[name])
    if parts[against] < 0.9 and parts[lead] > 1.0:
        sentence += f" Without its disadvantage in {against} (a factor {parts[against]:.2g}) the lead would be larger."
    return sentence
