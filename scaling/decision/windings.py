"""``winding``: a chosen design wound for a voltage, with whole conductors, a wire that is sold, its ohms and amperes.

The choice of type needs no turns: they rescale voltage and current of a design. Whole conductors want a voltage of
their own; on a fixed supply the flux is off by what that lies beside the one given, and the operating point follows.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.at_voltage import AtVoltage
from scaling.decision.conductors import PHASES, Slots, line_current, phase_voltage, possible
from scaling.decision.curve import remade
from scaling.ground import materials, units
from scaling.laws import winding as law
from scaling.laws import wire as wire_law
from scaling.machines.axes import seen
from scaling.machines.fed import pull_out_reserve
from scaling.machines.winding import resistivity

WEAK, FULL = 0.999, 1.0005  # of the design's torque, of its field: told
NEARLY = 0.95  # of the design's torque: conductors that bear as much are taken
MANY = 24  # strands: more are not wound at random (common practice)


@dataclass(frozen=True)
class Winding:
    """The winding of a design for a voltage; quantities but for numbers and ratios.

    ``feasible`` says whether whole conductors of a wire that is sold suit the voltage; if not, ``reasons`` say what is
    in the way and what to give instead, what follows from the conductors is NaN or None, and currents and losses are
    those of the design with the ideal number.

    ``ideal_conductors`` is the number per slot, no whole one, with which the design runs as it was found at
    ``voltage``; ``conductors_per_slot`` the whole one, which wants ``wanted_voltage`` for that. ``flux`` is the field
    over the design's that follows on a fixed supply. ``torque`` is the continuous one with this winding, at most the
    design's: all figures of the running point hold there. ``slot_fill`` is reached beside the ``ideal_slot_fill`` of
    the design. ``resistance_20`` and ``resistance_warm`` are to direct current; times ``resistance_factor``, eddies in
    the wires, the latter makes the winding's loss. Reactances are of a phase, the magnetising one with what the iron
    takes; of the rotor, referred to the stator, NaN of rotors without currents. ``no_load_current`` is of the idling
    machine, its iron no more saturated than at load, without what core loss and friction draw; at locked rotor and
    breakdown tooth tips and iron are as in the design, flux in proportion. ``losses`` and ``power`` add up to
    ``input_power``.
    """

    kind: str
    feasible: bool
    reasons: tuple
    notes: tuple
    voltage: Any
    connection: str
    slots: int
    slots_per_pole_and_phase: int
    paths_permitted: tuple
    parallel_paths: int | None
    ideal_conductors: float
    conductors_per_slot: int | None
    turns: float
    wire_diameter: Any
    strands: int | None
    slot_fill: float
    ideal_slot_fill: float
    wanted_voltage: Any
    flux: float
    phase_voltage: Any
    line_current: Any
    phase_current: Any
    power_factor: float
    efficiency: float
    torque: Any
    power: Any
    input_power: Any
    losses: dict
    slip: float
    gap_field: Any
    winding_rise: Any
    pull_out_reserve: float
    resistance_20: Any
    resistance_warm: Any
    resistance_factor: float
    leakage_reactance: Any
    magnetising_reactance: Any
    quadrature_reactance: Any
    rotor_resistance: Any
    rotor_leakage_reactance: Any
    magnet_voltage: Any
    no_load_current: Any
    locked_rotor_current: Any
    locked_rotor_torque: Any
    breakdown_torque: Any


UNITS = {  # of what a Winding holds as quantities
    "voltage": "V", "wanted_voltage": "V", "phase_voltage": "V", "magnet_voltage": "V", "wire_diameter": "m",
    "line_current": "A", "phase_current": "A", "no_load_current": "A", "locked_rotor_current": "A",
    "torque": "N*m", "locked_rotor_torque": "N*m", "breakdown_torque": "N*m", "power": "W", "input_power": "W",
    "gap_field": "T", "winding_rise": "K",
    **dict.fromkeys(
        ("resistance_20", "resistance_warm", "leakage_reactance", "magnetising_reactance", "quadrature_reactance",
         "rotor_resistance", "rotor_leakage_reactance"), "ohm"
    ),
}  # fmt: skip


def winding(choice, kind):
    """Return the Winding of one kind's design in a choice, for the voltage of its brief.

    Parameters
    ----------
    choice : Choice
        of ``choose(brief)``, the brief with a ``voltage``
    kind : str
        "induction", "hysteresis", "reluctance" or "magnet"

    Returns
    -------
    Winding

    Raises
    ------
    TypeError, KeyError
        if ``choice`` is not a Choice; if ``kind`` is no machine type
    ValueError
        if the brief gives no voltage, or one phase; if the poles do not permit its parallel paths; if the design has no
        running point

    Validity
    --------
    Three phases, whole slots per pole and phase, sinusoidal currents. Core loss counts as if it were in series.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan", voltage="400 V"))
    >>> found = winding(made, "induction")
    >>> found.conductors_per_slot, found.strands, units.show(found.wire_diameter, "mm")
    (52, 1, '1.12 mm')
    """
    point = remade(choice, kind)
    _refuse(choice.brief)
    slots = Slots(point)
    permitted = slots.paths_permitted()
    if slots.si.parallel_paths is not None and slots.si.parallel_paths not in permitted:
        raise ValueError(
            f"parallel_paths: got {slots.si.parallel_paths}; {2 * slots.pole_pairs:.0f} poles with "
            f"{slots.per_pole} slots per pole and phase in {slots.si.winding_layers} layer(s) permit "
            f"{', '.join(map(str, permitted))}"
        )
    found, reasons = possible(slots)
    if not found:
        return _none(point, slots, kind, reasons)
    return _best(point, slots, found).record(kind)


def _best(point, slots, layouts):
    """Return the winding of the first layout that bears nearly the design's torque, or the one that bears most."""
    most = None
    for layout in layouts:
        made = _Wound(point, slots, layout)
        if made.part >= NEARLY:
            return made
        if most is None or made.part > most.part:
            most = made
    return most


def _refuse(brief):
    """Refuse a brief that no winding follows from."""
    if brief.si.voltage is None:
        raise ValueError("voltage: the brief gives none; give Brief(voltage='400 V')")
    if brief.si.supply == "single-phase":
        raise ValueError(
            "supply: got 'single-phase', whose main and auxiliary windings differ; expected 'three-phase' or "
            "'drive' for the turns of a winding"
        )


def _record(**given):
    """Return a Winding of plain numbers, those with a unit as quantities; NaN what is not given."""
    missing = {name: math.nan for name in Winding.__annotations__ if name not in given}
    numbers = missing | given
    made = {
        name: units.quantity(float(value), UNITS[name]) if name in UNITS else value for name, value in numbers.items()
    }
    return Winding(**made)


def _none(point, slots, kind, reasons):
    """Return what is known of a winding that cannot be: the design's own figures with the ideal number of turns."""
    si = slots.si
    connection = "star" if si.connection == "best" else si.connection
    losses = {name: np.asarray(loss).item() for name, loss in point.losses.items()}
    current, power = slots.current(slots.ideal_turns(connection)), np.asarray(point.power).item()
    supplied = power + sum(losses.values())
    return _record(
        kind=kind,
        feasible=False,
        reasons=reasons,
        notes=(),
        voltage=si.voltage,
        connection=connection,
        slots=slots.count,
        slots_per_pole_and_phase=slots.per_pole,
        paths_permitted=slots.paths_permitted(),
        parallel_paths=None,
        ideal_conductors=slots.ideal_conductors(connection, si.parallel_paths or 1),
        conductors_per_slot=None,
        strands=None,
        ideal_slot_fill=slots.fill,
        phase_voltage=phase_voltage(si.voltage, connection),
        phase_current=current,
        line_current=line_current(current, connection),
        torque=np.asarray(point.torque).item(),
        power=power,
        input_power=supplied,
        power_factor=supplied / slots.volt_amperes,
        efficiency=power / supplied,
        losses={name: units.quantity(loss, "W") for name, loss in losses.items()},
    )


class _Wound:
    """A design with a layout of conductors, in SI."""

    def __init__(self, point, slots, layout):
        self.point, self.slots, self.layout, self.si = point, slots, layout, point.si
        self.turns = slots.turns(layout.conductors, layout.paths)
        self.fill = slots.fill_of(layout.conductors, layout.wire.section)
        self.factor, ideal = (self._resistance_factor(d) for d in (layout.wire.diameter, None))
        self.u = 1.0 if self.si.supply == "drive" else layout.flux
        more = slots.fill / self.fill * self.factor / ideal
        self.shifted = AtVoltage(point, self.u, more)
        self.at = self.shifted.continuous()
        self.part = float(np.nan_to_num(self.at.torque / point.torque.item()))
        if not self.part:  # told, as too warm
            self.at = self.shifted.at(1.0)
        self.design_current = slots.current(self.turns)

    def _resistance_factor(self, diameter):
        """Return the resistance factor of wires of a diameter, or of the design's."""
        stator = self.point.stator
        d, fill = (stator.wire_diameter.item(), self.slots.fill) if diameter is None else (diameter, self.fill)
        if not d > 0.0:
            return 1.0
        conductor = materials.CONDUCTORS[self.si.conductor]
        depth = wire_law.skin_depth(rho=resistivity(conductor, self.si), f=self.point.fed.frequency.item())
        in_slots = wire_law.strands_resistance_factor(d_w=d, phi_n=fill, d_s=self.slots.depth, delta=depth)
        return float(wire_law.winding_resistance_factor(k_R=in_slots, e=self.slots.end_share))

    def record(self, kind):
        """Return the Winding."""
        slots, layout, at = self.slots, self.layout, self.at
        numbers = {
            "voltage": self.si.voltage, "connection": layout.connection, "slots": slots.count,
            "slots_per_pole_and_phase": slots.per_pole, "paths_permitted": slots.paths_permitted(),
            "parallel_paths": layout.paths, "ideal_conductors": layout.ideal,
            "conductors_per_slot": layout.conductors, "turns": self.turns, "wire_diameter": layout.wire.diameter,
            "strands": layout.wire.strands, "slot_fill": self.fill, "ideal_slot_fill": slots.fill,
            "wanted_voltage": self.si.voltage / layout.flux, "flux": self.u, "torque": at.torque, "power": at.power,
            "input_power": at.input_power, "slip": at.slip, "winding_rise": at.winding_rise,
            "pull_out_reserve": math.nan if self.si.supply == "drive" else at.reserve,
            "gap_field": at.gap_field * self.point.operation.gap_field.item(),
        }  # fmt: skip
        numbers |= self._running() | self._ohms() | self._at_rest()
        losses = {name: units.quantity(loss, "W") for name, loss in at.losses.items()}
        return _record(
            kind=kind, feasible=self.part > 0.0, reasons=self._reasons(), notes=self._notes(), losses=losses, **numbers
        )

    def _reasons(self):
        """Return why the nearest conductors do not serve, if they do not."""
        if self.part > 0.0:
            return ()
        number = f"{self.layout.conductors} conductors a slot"
        if not math.isfinite(self.at.loading):
            return (f"{number} leave too little flux for the torque of the design",)
        rise, allowed = self.at.winding_rise, self.si.temperature_rise
        return (f"with {number} the winding would be {rise:.3g} K warm at any load, {allowed:.3g} K are allowed",)

    def _running(self):
        """Return voltage, currents and power factor of the running point."""
        layout, at = self.layout, self.at
        current, apparent = self.design_current * at.loading, self.slots.volt_amperes * at.loading * self.u
        U = float(law.voltage_of_apparent_power(P_S=apparent, m_1=PHASES, I_1=current))
        no_load = self.design_current * self.shifted.no_load()
        return {
            "phase_voltage": U,
            "phase_current": current,
            "line_current": line_current(current, layout.connection),
            "power_factor": at.input_power / apparent,
            "efficiency": at.power / at.input_power,
            "no_load_current": line_current(no_load, layout.connection),
        }

    def _ohms(self):
        """Return resistances and reactances of a phase."""
        conductor, slots, turns = materials.CONDUCTORS[self.si.conductor], self.slots, self.turns
        of_wire = turns, self.layout.paths, self.layout.wire.section
        made = self.shifted.axes
        found = {
            "resistance_20": slots.resistance(resistivity(conductor, self.si, materials.T_20), *of_wire),
            "resistance_warm": slots.resistance(resistivity(conductor, self.si), *of_wire),
            "resistance_factor": self.factor,
        }
        if made is None:
            _, X, leak, _ = seen(self.point.fed, self.point.operation)
            return found | {
                "leakage_reactance": slots.ohms(leak, turns),
                "magnetising_reactance": slots.ohms(X - leak, turns),
            }
        X_m, lag = made.X_d - made.leak, made.X_q - made.leak
        found |= {"leakage_reactance": slots.ohms(made.leak, turns), "magnetising_reactance": slots.ohms(X_m, turns)}
        found["quadrature_reactance"] = slots.ohms(made.X_q, turns)
        if made.E_s:
            found["magnet_voltage"] = self._induced(made)
        if self.point.operation.circuit is not None:
            X_2 = X_m * lag / (X_m - lag)
            found["rotor_leakage_reactance"] = slots.ohms(X_2, turns)
            R_2 = self.shifted.slip * (X_m + X_2) * made.A_d / made.A_q
            found["rotor_resistance"] = slots.ohms(R_2, turns)
        return found

    def _induced(self, made):
        """Return the voltage that the magnets' field induces in a phase."""
        apparent = made.E_s * made.loading / 2 * self.point.stator.area.item()
        return float(law.voltage_of_apparent_power(P_S=apparent, m_1=PHASES, I_1=self.design_current))

    def _at_rest(self):
        """Return figures at locked rotor and breakdown on a fixed supply; NaN on a drive."""
        point, u = self.point, self.u
        if self.si.supply == "drive":
            return {}
        braking = point.braking_torque.item()
        largest = self.at.reserve * (self.at.torque + braking)
        friction = point.friction_at_rest.item()
        torque = np.asarray(point.starting_torque).item()
        if self.shifted.ring is not None:  # the same from rest to synchronism
            torque = largest - friction
        elif torque > 0.0:
            torque = (torque + friction) * u**2 - friction
        starting = np.asarray(point.starting_current).item() * self.design_current * u
        if point.rotor.synchronous and not np.any(point.has_cage):
            starting = math.nan if point.rotor.starts_by_pull_in else starting * self.at.loading / u
        return {
            "breakdown_torque": largest - braking,
            "locked_rotor_torque": torque,
            "locked_rotor_current": line_current(starting, self.layout.connection),
        }

    def _notes(self):
        """Return sentences on how the operating point lies beside that of the design."""
        return tuple(_sentences(self.layout, self.u, self.at, self.point, self.fill / self.slots.fill, self.si))


def _sentences(layout, u, at, point, copper, si):
    """Yield what a colleague should hear of whole conductors."""
    wants, given = (units.show_si(value, "V") for value in (si.voltage / layout.flux, si.voltage))
    number = "1 conductor" if layout.conductors == 1 else f"{layout.conductors} conductors"
    whole = f"{number} a slot for {layout.ideal:.4g} want {wants}"
    if si.supply == "drive":
        yield f"{whole}; the drive has {given}, and as much more current as that is more"
    else:
        design = np.asarray(point.torque + point.braking_torque).item() * point.operation.breakdown(True).item()
        largest = at.reserve * (at.torque + point.braking_torque.item()) * point.operation.shear.item() / design
        losses = sum(at.losses.values()) / np.asarray(point.loss).item()
        yield (
            f"{whole}; at {given} the gap field is {at.gap_field:.3g} times the design's, the pull-out torque "
            f"{largest:.3g} times, the ampere-turns {at.loading:.3g} times, the losses {losses:.3g} times"
        )
    if abs(copper - 1.0) > 0.02:
        yield f"wires that are sold fill {copper:.2g} of the copper that the design has"
    design = np.asarray(point.torque).item()
    if at.torque < WEAK * design:
        yield f"its winding bears {at.torque / design:.3g} of the design's torque at the temperature rise allowed"
    if at.gap_field > FULL and any(np.any(where) for name, where in point.operation.limits.items() if "field" in name):
        yield f"its gap field is {at.gap_field:.3g} times the design's, which iron limits"
    wanted = pull_out_reserve(si, point.rotor.reserve)
    if at.reserve < wanted * WEAK:
        yield f"its pull-out reserve is {at.reserve:.3g}, below the {wanted:.3g} asked for"
    if layout.wire.strands > MANY:
        yield f"{layout.wire.strands} strands a conductor: formed bars in practice, of less insulation and more eddies"
