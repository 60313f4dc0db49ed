"""Whole conductors in a stator's slots: connection, parallel paths and wire that suit a voltage, or why none does."""

import math
from dataclasses import dataclass

import numpy as np

from scaling.ground import materials, units, wires
from scaling.laws import winding as law
from scaling.laws import wire
from scaling.machines.axes import plain
from scaling.machines.winding import over_enamel, room_for_wires, slot_fill

PHASES = 3
NEARLY_ALL = 0.97  # of the most copper that the series gives: wires of fewer strands that reach it are taken
UNITY = 1 - 1e-9
SPREAD = 2  # whole numbers tried on either side of the ideal one


@dataclass(frozen=True)
class Wire:
    """A conductor: so many strands of a diameter [m], their copper [m²]; of etched lines the diameters are NaN."""

    diameter: float
    overall: float
    strands: int
    section: float


@dataclass(frozen=True)
class Layout:
    """Conductors of a stator for a voltage, in slots that take them or not.

    ``flux`` is the field over that of the design: the voltage given over the one that whole conductors want. ``wire``
    is None where none fits.
    """

    connection: str
    paths: int
    ideal: float
    conductors: int
    wire: Wire | None

    @property
    def flux(self):
        """Ideal over whole number of conductors."""
        return self.ideal / self.conductors


class Slots:
    """What of a design decides its conductors, plain numbers in SI."""

    def __init__(self, point):
        stator, self.si = point.stator, point.si
        self.bore, self.length, self.pole_pairs = (plain(x) for x in (stator.bore, stator.width, stator.p))
        self.per_pole = round(plain(stator.slots_per_pole_and_phase))
        self.count = int(law.slot_count(m_1=PHASES, p=self.pole_pairs, c_q=self.per_pole))
        self.depth, self.liner, self.end_share = (plain(x) for x in (stator.slot_depth, stator.liner, stator.end_share))
        self.width = float(wire.slot_width(tau_u=plain(stator.slot_pitch), phi_t=self.si.tooth_share))
        self.fill = plain(slot_fill(stator))
        self.loading_rms, self.volt_amperes = plain(point.loading_rms), plain(point.volt_amperes)

    def turns(self, conductors, paths):
        """Return the turns in series of a phase."""
        return float(law.turns_in_series(z_s=conductors, p=self.pole_pairs, c_q=self.per_pole, n_a=paths))

    def ideal_turns(self, connection):
        """Return the turns in series, no whole number, with which the design is one for the brief's voltage."""
        U = phase_voltage(self.si.voltage, connection)
        return float(law.turns_of_voltage(U=U, A_rms=self.loading_rms, D_i=self.bore, P_S=self.volt_amperes))

    def ideal_conductors(self, connection, paths):
        """Return the same as conductors per slot."""
        turns = self.ideal_turns(connection) * paths
        return float(wire.conductors_per_slot(w_t=turns, p=self.pole_pairs, c_q=self.per_pole))

    def current(self, turns):
        """Return the rms current of a phase with a number of turns."""
        return float(law.current_of_loading(A_rms=self.loading_rms, D_i=self.bore, m_1=PHASES, w_t=turns))

    def ohms(self, per_area, turns):
        """Return a phase's resistance or reactance from that per gap area and square of the peak loading."""
        made = {"k_w": self.si.winding_factor, "w_t": turns, "L": self.length, "D_i": self.bore}
        return float(law.phase_impedance(z_A=per_area, m_1=PHASES, **made))

    def resistance(self, rho, turns, paths, section):
        """Return a phase's resistance to direct current [ohm]."""
        made = {"w_t": turns, "L": self.length, "e": self.end_share, "n_a": paths, "a_w": section}
        return float(law.phase_resistance(rho=rho, **made))

    def paths_permitted(self):
        """Return the numbers of parallel paths that equal groups of coils permit."""
        groups = 2 if self.si.winding_layers == 2 or self.per_pole % 2 == 0 else 1
        whole = round(groups * self.pole_pairs)
        return tuple(n for n in range(1, whole + 1) if whole % n == 0)

    @property
    def _within(self):
        """Overall area of the wires that a slot takes, or of their copper where a share is given; narrowest side."""
        room, narrowest = room_for_wires(self.si, self.width, self.depth, self.liner)
        if self.si.slot_fill is not None:
            return self.si.slot_fill * self.width * self.depth, float(narrowest)
        return self.si.wire_packing * float(room), float(narrowest)

    def wire(self, conductors):
        """Return the Wire of so many conductors a slot: most copper, of few strands; None where none fits."""
        if self.si.winding == "etched":
            return self._line(conductors)
        si = self.si
        d, overall = _series(si.wire_series)
        within, narrowest = self._within
        each = law.conductor_section(n_s=1, d_w=d if si.slot_fill is not None else overall)
        strands = np.floor(within / (conductors * each) / UNITY)
        fits = (strands >= 1) & (d >= si.thinnest_wire * UNITY) & (overall <= narrowest)
        if si.conductors_per_slot is None:
            fits &= overall <= si.thickest_wire / UNITY
        copper = np.where(fits, strands * d**2, 0.0)
        if not np.any(fits):
            return None
        near = np.flatnonzero(copper >= NEARLY_ALL * np.max(copper))
        at = near[np.argmin(strands[near])]
        section = float(law.conductor_section(n_s=strands[at], d_w=d[at]))
        return Wire(float(d[at]), float(overall[at]), int(strands[at]), section)

    def _line(self, conductors):
        """Return the line of an etched coil."""
        si, film = self.si, materials.ETCHED["film"]
        room = float(wire.wire_room(w_u=self.width, d_s=self.depth, t_i=self.liner))
        if room <= 0.0 or wire.etched_conductors(z_u=conductors, S_n=room, s_e=si.etched_space) < conductors * UNITY:
            return None
        fill = si.slot_fill
        if fill is None:
            pitch = wire.etched_pitch(S_n=room, z_s=conductors)
            at = {"S_n": room, "tau_e": pitch, "s_e": si.etched_space, "t_e": film}
            fill = float(wire.etched_copper_share(**at, w_u=self.width, d_s=self.depth))
        return Wire(math.nan, math.nan, 1, fill * self.width * self.depth / conductors)

    def fill_of(self, conductors, section):
        """Return the copper share that a slot reaches."""
        return float(law.slot_fill_of_conductors(z_s=conductors, a_w=section, w_u=self.width, d_s=self.depth))

    def most_conductors(self):
        """Return the most conductors that a slot takes, of the finest wire or line that can be made."""
        si = self.si
        if si.winding == "etched":
            room = float(wire.wire_room(w_u=self.width, d_s=self.depth, t_i=self.liner))
            return math.floor(room / (2 * si.etched_space) ** 2)
        d, overall = _series(si.wire_series)
        can = d >= si.thinnest_wire * UNITY
        finest = (d if si.slot_fill is not None else overall)[can].min()
        return math.floor(self._within[0] / float(law.conductor_section(n_s=1, d_w=finest)))

    def wire_wanted(self, conductors):
        """Return about the diameter of the conductor that so many a slot want, without regard to what can be had."""
        return math.sqrt(4 * self.fill * self.width * self.depth / (math.pi * conductors))


def _series(name):
    """Return (conductor, overall) diameters of a series."""
    d = wires.diameters(name)
    return d, over_enamel(d)


def phase_voltage(line, connection):
    """Return the voltage of a phase at a voltage between lines [V]."""
    return line / float(law.star_line_voltage(U=1.0)) if connection == "star" else line


def line_current(phase, connection):
    """Return the current of a line at that of a phase [A]."""
    return phase if connection == "star" else float(law.delta_line_current(I_1=phase))


def layouts(slots):
    """Return the Layouts that a brief leaves to choose from: connections, paths, and whole numbers near the ideal.

    A drive's voltage has to suffice: its whole numbers lie below the ideal.
    """
    si, step = slots.si, slots.si.winding_layers
    connections = ("star", "delta") if si.connection == "best" else (si.connection,)
    paths = slots.paths_permitted() if si.parallel_paths is None else (si.parallel_paths,)
    for connection in connections:
        for n in paths:
            ideal = slots.ideal_conductors(connection, n)
            below = math.floor(ideal / UNITY / step) * step
            above = 0 if si.supply == "drive" else SPREAD + 1
            whole = {max(below + i * step, step) for i in range(-SPREAD, above or 1)}
            if si.conductors_per_slot is not None:
                whole = {si.conductors_per_slot}
            for z in sorted(whole):
                yield Layout(connection, n, ideal, z, slots.wire(z))


def within(layout, tolerance):
    """Return whether the voltage that whole conductors want lies near enough to the one given."""
    return abs(1.0 / layout.flux - 1.0) <= tolerance


def possible(slots):
    """Return (Layouts, reasons): those near enough that can be wound, the fewest paths first, then the nearest.

    Without one the reasons say what is in the way, and what would be possible.
    """
    found = list(layouts(slots))
    near = [one for one in found if within(one, slots.si.voltage_tolerance)]
    wound = [one for one in near if one.wire is not None]
    if wound:
        return sorted(wound, key=lambda one: (one.paths, abs(math.log(one.flux)))), ()
    if near:
        return [], (_too_fine(slots, min(near, key=lambda one: one.conductors)),)
    return [], (_too_coarse(slots, min(found, key=lambda one: abs(math.log(one.flux)))),)


def _show(value, unit, digits):
    return units.show(units.quantity(value, unit), digits=digits)


def _count(number):
    return f"{number:.0f}" if number >= 1000 else f"{number:.3g}"


def _told(layout):
    """Return connection and paths in words."""
    return f"{layout.connection}, {layout.paths} path{'s' if layout.paths > 1 else ''}"


def _too_fine(slots, layout):
    """Return the sentence on a voltage that wants finer wire than can be wound."""
    si, most = slots.si, slots.most_conductors()
    what = "lines" if si.winding == "etched" else "wire"
    limit = "etched_space" if si.winding == "etched" else "thinnest_wire"
    highest = si.voltage * most / layout.ideal
    given = units.show_si(si.voltage, "V")
    told = f"{_count(layout.ideal)} conductors a slot ({_told(layout)}) at {given} want {what} of "
    told += f"{_show(slots.wire_wanted(layout.ideal), 'm', 2)}: {limit} lets {most:d} in"
    return f"{told}, good for {_show(highest, 'V', 2)}: give a lower voltage, by a drive or a transformer"


def _too_coarse(slots, nearest):
    """Return the sentence on a voltage that lies between whole conductors."""
    si = slots.si
    wants = _show(si.voltage / nearest.flux, "V", 3)
    given = units.show_si(si.voltage, "V")
    if si.conductors_per_slot is not None:
        return (
            f"{nearest.conductors} conductors a slot ({_told(nearest)}) want {wants}, not {given}, which asks for "
            f"{_count(nearest.ideal)}: leave conductors_per_slot open, or give that voltage"
        )
    ways = [f"a voltage of {wants}", f"an active length {nearest.flux:.3g} times as long, and torque with it"]
    ways += ["connection='best'"] if si.connection != "best" else []
    ways += ["more parallel paths"] if si.parallel_paths is not None else []
    ways += ["another pole number"] if si.pole_pairs is not None else []
    return (
        f"{_count(nearest.ideal)} conductors a slot would suit {given}; the nearest whole number, {nearest.conductors} "
        f"({_told(nearest)}), wants {wants}, further off than voltage_tolerance: give {', or '.join(ways)}"
    )
