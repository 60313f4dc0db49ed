"""Windings and envelopes of drives as tables in Markdown."""

import functools
import math

from scaling.decision.envelope import Envelope
from scaling.decision.windings import Winding
from scaling.ground import units
from scaling.interface.report import percent, refuse_others, side_by_side


def _shown(name, one, unit=None, digits=4):
    """Return a quantity of a record as text, "-" where it has none."""
    value = getattr(one, name)
    return units.show(value, unit, digits) if math.isfinite(value.magnitude) else "-"


def _number(name, one, digits=3):
    """Return a number of a record as text, "-" where it has none."""
    value = getattr(one, name)
    if value is None or math.isnan(value):
        return "-"
    return "without end" if math.isinf(value) else f"{value:.{digits}g}"


def _conductors(one):
    """Return the whole and the ideal number of conductors per slot."""
    whole = "none" if one.conductors_per_slot is None else f"{one.conductors_per_slot}"
    ideal = one.ideal_conductors
    return f"{whole}, ideal " + (f"{ideal:.0f}" if ideal >= 1000 else f"{ideal:.4g}")


def _wire(one):
    """Return strands and wire of a conductor."""
    if one.strands is None:
        return "-"
    if math.isnan(one.wire_diameter.magnitude):
        return "etched line"
    wire = units.show(one.wire_diameter)
    return wire if one.strands == 1 else f"{one.strands} x {wire}"


def _fill(one):
    """Return the slot fill that is reached, and that of the design."""
    return f"{_number('slot_fill', one)}, design {one.ideal_slot_fill:.3g}"


def _per_cent(name, one):
    value = getattr(one, name)
    return "-" if math.isnan(value) else percent(value)


_QUANTITY = functools.partial
_WINDING_ROWS = (  # label, function of a Winding
    ("voltage between lines", _QUANTITY(_shown, "voltage")),
    ("connection", lambda w: w.connection),
    ("slots", lambda w: f"{w.slots}, {w.slots_per_pole_and_phase} a pole and phase"),
    ("parallel paths", lambda w: f"{w.parallel_paths or '-'} of {', '.join(map(str, w.paths_permitted))}"),
    ("conductors per slot", _conductors),
    ("turns in series per phase", _QUANTITY(_number, "turns", digits=5)),
    ("wire", _wire),
    ("slot fill", _fill),
    ("voltage these conductors want", _QUANTITY(_shown, "wanted_voltage")),
    ("flux over the design's", _QUANTITY(_number, "flux")),
    ("line current", _QUANTITY(_shown, "line_current")),
    ("phase current", _QUANTITY(_shown, "phase_current")),
    ("power factor", _QUANTITY(_number, "power_factor")),
    ("efficiency", _QUANTITY(_per_cent, "efficiency")),
    ("input power", _QUANTITY(_shown, "input_power")),
    ("continuous torque", _QUANTITY(_shown, "torque")),
    ("winding's mean rise", _QUANTITY(_shown, "winding_rise", digits=3)),
    ("pull-out reserve", _QUANTITY(_number, "pull_out_reserve")),
    ("no-load current", _QUANTITY(_shown, "no_load_current", digits=3)),
    ("locked-rotor current", _QUANTITY(_shown, "locked_rotor_current", digits=3)),
    ("locked-rotor torque", _QUANTITY(_shown, "locked_rotor_torque", digits=3)),
    ("breakdown torque", _QUANTITY(_shown, "breakdown_torque", digits=3)),
    ("resistance of a phase at 20 °C", _QUANTITY(_shown, "resistance_20")),
    ("warm", _QUANTITY(_shown, "resistance_warm")),
    ("leakage reactance", _QUANTITY(_shown, "leakage_reactance")),
    ("magnetising reactance", _QUANTITY(_shown, "magnetising_reactance")),
    ("reactance of the q axis", _QUANTITY(_shown, "quadrature_reactance")),
    ("rotor's resistance, referred", _QUANTITY(_shown, "rotor_resistance")),
    ("rotor's leakage reactance, referred", _QUANTITY(_shown, "rotor_leakage_reactance")),
    ("voltage of the magnets' field", _QUANTITY(_shown, "magnet_voltage")),
    ("can be wound", lambda w: "yes" if w.feasible else "no"),
)
_ENVELOPE_ROWS = (  # label, function of an Envelope
    ("current over the continuous one", _QUANTITY(_number, "overload")),
    ("voltage over that of the design's point", _QUANTITY(_number, "voltage_ratio")),
    ("base speed", _QUANTITY(_shown, "base_speed", unit="rpm")),
    ("torque at base speed", _QUANTITY(_shown, "base_torque")),
    ("power at base speed", _QUANTITY(_shown, "base_power")),
    ("constant power up to", _QUANTITY(_shown, "constant_power_to", unit="rpm")),
    ("over base speed", _QUANTITY(_number, "constant_power_range")),
    ("without losses", _QUANTITY(_number, "ideal_range")),
    ("less than all current from", _QUANTITY(_shown, "least_current_from", unit="rpm")),
    ("highest speed", _QUANTITY(_shown, "highest_speed", unit="rpm")),
    ("ended by", lambda e: e.ended_by),
    ("reactances of both axes, ratio", _QUANTITY(_number, "saliency")),
    ("characteristic current over the drive's", _QUANTITY(_number, "characteristic_current")),
    ("largest torque at base voltage over base torque", _QUANTITY(_number, "reserve")),
)


def winding(*found):
    """Return windings of designs as Markdown, side by side, then what whole conductors change.

    Parameters
    ----------
    found : Winding
        each of ``winding(choice, kind)``

    Raises
    ------
    TypeError
        for anything else, or nothing

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision import windings
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan", voltage="400 V"))
    >>> print(winding(windings.winding(made, "induction")).text.splitlines()[4])
    | slots | 24, 2 a pole and phase |
    """
    refuse_others(found, Winding)
    return side_by_side(found, _WINDING_ROWS, lambda one: (*one.reasons, *one.notes))


def envelope(*found):
    """Return envelopes of drives as Markdown, side by side, then each in words.

    Parameters
    ----------
    found : Envelope
        each of ``envelope(choice, kind)``

    Raises
    ------
    TypeError
        for anything else, or nothing

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.decision import envelope as drives
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> print(envelope(drives.envelope(made, "induction")).text.splitlines()[4])
    | base speed | 1470 rpm |
    """
    refuse_others(found, Envelope)
    return side_by_side(found, _ENVELOPE_ROWS, lambda one: (*one.verdicts, f"Assumed: {one.assumed}"))
