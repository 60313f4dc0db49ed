"""A machine over its load as Markdown: its rating, what is asked, and shares of its torque side by side; in words."""

import numpy as np

from scaling.decision.at_load import asked_load, load_curve
from scaling.decision.design import Design
from scaling.decision.figures import FIGURES
from scaling.decision.performance import LOSSES
from scaling.ground import messages, units
from scaling.interface.report import Markdown, as_table, percent, shown_figure

SHOWN = (  # figures that change with the load
    "torque", "speed", "power", "efficiency", "power_factor", "slip", "gap_field_peak", "linear_current_density_rms",
    "current_density_rms", "heat_flux", "winding_rise", "hot_spot_rise", "core_rise", "frame_rise", "rotor_end_rise",
)  # fmt: skip
HALF = 0.5  # load told in words


def _row(name):
    figure = FIGURES[name]
    return figure.label, lambda one: shown_figure(figure, one)


_ROWS = (  # label, function of an AtLoad
    ("load over the rating", lambda one: f"{one.load:.3g}"),
    ("current over the rating", lambda one: f"{one.current:.3g}"),
    *(_row(name) for name in SHOWN),
    *((f"{name} loss", lambda one, name=name: units.show(one.losses[name])) for name in LOSSES),
    ("for ever, in the brief's duty", lambda one: "yes" if one.continuous else "no"),
    ("remarks", lambda one: "; ".join(one.reasons) or "none"),
)


def load(*designs, shares=()):
    """Return designs at their rating and at what their brief asks for as Markdown, side by side.

    Parameters
    ----------
    designs : Design
        of ``choose(brief)[kind]`` or ``size_for(brief)[kind]``, each with a running point
    shares : sequence of float
        more loads, over the rating

    Returns
    -------
    Markdown

    Raises
    ------
    TypeError
        for anything but designs, or none
    ValueError
        if a design has no running point with torque to spare; if a share is below 0 or beyond its largest torque

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan", torque="8 N*m"))
    >>> for line in load(made["induction"], shares=[0.5]).text.splitlines()[:5]:
    ...     print(line)
    | | induction, rated | asked | at 50 % |
    |---|---|---|---|
    | load over the rating | 1 | 0.461 | 0.5 |
    | current over the rating | 1 | 0.618 | 0.639 |
    | torque | 17.35 N·m | 8 N·m | 8.676 N·m |
    """
    if not designs or not all(isinstance(one, Design) for one in designs):
        raise TypeError(f"load: got {messages.shorten(designs)}; expected designs, such as choose(brief)['induction']")
    columns, rules = {}, []
    for design in designs:
        kind = design.kind if len(designs) > 1 else ""
        columns |= _columns(design, shares, f"{kind} " if kind else "")
        rules.append(f"- {design.kind.capitalize()}: {columns[f'{design.kind}, rated'].rule}.")
    rows = [(label, *(show(one) if one else "-" for one in columns.values())) for label, show in _ROWS]
    beyond = [heading for heading, one in columns.items() if one is None]
    rules += [f"- {heading.capitalize()}: beyond its largest torque." for heading in beyond]
    return Markdown("\n".join([*as_table(("", *columns), rows), "", *rules]))


def _columns(design, shares, kind):
    """Return {heading: AtLoad}, None for what is asked beyond the largest torque."""
    own = design.torque
    found = {f"{design.kind}, rated": design.at(torque=own)}
    try:
        asked = asked_load(design)
    except ValueError:
        found[f"{kind}asked"] = None
    else:
        found |= {f"{kind}asked": asked} if asked else {}
    told = {share: f"{kind}at {percent(share)}" if share else f"{kind}without load" for share in shares}
    return found | {heading: design.at(torque=share * own) for share, heading in told.items()}


def words(design):
    """Return what a machine does from no load to one and a half times its rating, in sentences.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> print(words(choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))["induction"]).splitlines()[0])
    Without load it draws 0.49 of its rated current at a power factor of 0.067.
    """
    curve = load_curve(design)
    half, own = design.at(torque=HALF * design.torque), design.at(torque=design.torque)
    idle = {name: array[0] for name, array in curve.values.items()}
    best = int(np.argmax(curve.values["efficiency"]))
    lines = [
        f"Without load it draws {curve.current[0]:.2g} of its rated current at a power factor of "
        f"{idle['power_factor']:.2g}.",
        f"At half load its efficiency is {percent(half.efficiency)} against {percent(own.efficiency)} at its rating, "
        f"its power factor {half.power_factor:.2f} against {own.power_factor:.2f}.",
        f"Its efficiency is highest, {percent(curve.values['efficiency'][best])}, at {curve.load[best]:.2g} of its "
        "rating.",
        f"Its winding is {units.show(half.winding_rise, digits=3)} warm at half load and "
        f"{units.show(own.winding_rise, digits=3)} at its rating; {_for_ever(curve)}.",
        f"Of the supply: {curve.rule}.",
    ]
    if half.slip > 0.0:
        lines.insert(3, f"It slips by {percent(half.slip)} at half load and {percent(own.slip)} at its rating.")
    return "\n".join(lines)


def _for_ever(curve):
    """Return from what load to what load a machine may stay on."""
    may = np.flatnonzero(curve.continuous)
    if not may.size:
        return "it bears no load for ever"
    low, high = curve.load[may[0]], curve.load[may[-1]]
    least = "no load" if may[0] == 0 else f"{low:.2g} of it"
    return f"it may stay on from {least} to {high:.3g} times that"
