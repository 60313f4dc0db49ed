"""The same machine at another load: a chosen design's figures from no load to the largest torque."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scaling.decision.checks import rotor_rise_allowed
from scaling.decision.figured import Figured
from scaling.decision.figures import FIGURES
from scaling.decision.performance import Point
from scaling.decision.remade import made_again
from scaling.ground import messages, units
from scaling.machines.fed import loaded
from scaling.models.search import root

OF_THE_RATING = (  # figures that are the machine's own, at whatever load
    "breakdown_torque", "starting_torque", "starting_current", "starting_cage", "capture_number", "pull_in",
    "pull_in_need", "spare_at_start", "spare_with_cage", "search_fraction", "mass", "goodness", "saliency",
)  # fmt: skip
LEAST = 1e-9  # of the largest place: no torque across the gap, but in step
PLACES, FINER, ROUNDS = 240, 33, 5  # looked at for the largest torque: at first, then about the best, this often
STEPS = 30  # of false position
COOLED = 12  # rounds of cooling by the outside's own rise; each leaves a third of the error at most
NOTHING = 1e-12  # of the design's torque
HAIR = 1e-6  # what a design's own figures are made again to
MORE_FIELD = 0.05  # gap field over the design's from which on it is told
MOVED = 0.03  # voltage over the design's, less 1: more is told
KINDS = {"torque": "torque", "power": "power", "speed": "rotational speed"}


@dataclass(frozen=True)
class AtLoad(Figured):
    """A design's machine at one load, or at many: the design's figures as attributes, numbers or arrays.

    ``load`` is its torque over the design's, ``current`` its current over the design's, ``continuous`` whether it may
    be carried as the brief's duty asks: winding and rotor no warmer than allowed. What belongs to the rating, such as
    ``breakdown_torque`` and ``starting_current``, is the design's own. ``rule`` says what supply or drive keeps,
    ``reasons`` where a load leaves what is allowed or a model's range; ``values`` holds all figures in SI,
    ``design_values`` those of the design.
    """

    called = "a machine at a load"
    kind: str
    load: Any
    current: Any
    continuous: Any
    rule: str
    reasons: tuple[str, ...]
    values: dict[str, Any] = field(repr=False)
    design_values: dict[str, float] = field(repr=False)


class LoadLine:
    """The machine of a design from no load to its largest torque; arrays along its loads, SI.

    A ``place`` is what its rotor's `Loads` go by. ``top`` is the largest torque and its place.
    """

    def __init__(self, design):
        self.design, self.made = design, made_again(design)
        self.loads = self.made.operation.loads(self.made.fixed_supply)
        self.rated, most = (np.asarray(place).item() for place in (self.loads.rated, self.loads.most))
        self.places = most * np.append(np.geomspace(1e-5, 1.0, PLACES), LEAST)[np.r_[-1, 0:PLACES]]
        self.top = self.largest(self.torque)

    def _point(self, place, frame_rise):
        made = self.made
        operation = self.loads.at(np.reshape(place, (-1, 1, 1)))
        fed = loaded(made.fed, operation.slip, frame_rise)
        return Point(
            made.rotor, fed, operation, made.fixed_supply, made.properties, made.in_range, made.search_fraction,
            made.places,
        )  # fmt: skip

    def point(self, place):
        """Return the operating point at places, cooled as its outside is warm.

        The outside's rise goes with its heat from the one that the design was cooled at.
        """
        made, design = self.made, self.made.fed
        rise = design_rise = made.si.temperature_rise if design.frame_rise is None else design.frame_rise
        point = self._point(place, rise)
        warms = sum(point.heats.values()) / sum(made.heats.values()) * design_rise
        for _ in range(COOLED):
            cooled = made.stator.heat_coefficient(point.speed, rise)
            rise = warms * design.heat_coefficient / cooled
        return self._point(place, rise)

    def torque(self, place):
        """Return the torque at the shaft [N·m]."""
        return self._point(place, self.made.fed.frame_rise).torque[:, 0, 0]

    def power(self, place):
        """Return the mechanical power [W]."""
        return self._point(place, self.made.fed.frame_rise).power[:, 0, 0]

    def largest(self, of):
        """Return (place, value) at the first largest value of a function of places, on ever finer grids."""
        places = self.places
        for _ in range(ROUNDS):
            values = of(places)
            falls = (values[1:] <= values[:-1]) & (values[:-1] > 0.0)  # a ring's small field gives less than it brakes
            top = int(np.argmax(np.append(falls, True)))
            found = float(places[top]), float(values[top])
            places = np.linspace(places[max(top - 1, 0)], places[min(top + 1, places.size - 1)], FINER)
        return found

    def place_of(self, of, asked):
        """Return the places at which torque or power, a function of places, has values below its largest."""
        highest = self.top[0] if of == self.torque else self.largest(of)[0]
        low, high = (np.full(asked.shape, end) for end in (self.places[0], highest))
        return root(lambda at: of(at) - asked, low, high, steps=STEPS)

    def at_speed(self, speed):
        """Return the places of shaft speeds of a rotor that slips."""
        return 1.0 - speed / np.asarray(self.made.stator.shaft_speed(self.made.fed.frequency, 0.0)).item()

    def figures(self, point):
        """Return {figure: array along the loads}, what belongs to the rating as the design has it."""
        shape = point.torque.shape
        found = {name: np.full(shape[0], value) for name, value in self.design.values.items()}
        for figure in FIGURES.values():
            if figure.name not in OF_THE_RATING:
                found[figure.name] = np.broadcast_to(figure.value(point), shape)[:, 0, 0]
        idle = np.abs(found["torque"]) < NOTHING * self.design.values["torque"]  # what a root leaves of none
        return found | {name: np.where(idle, 0.0, found[name]) for name in ("torque", "power", "efficiency")}

    def allowed(self):
        """Return (winding's, rotor's) rise that may stay on; the winding's is the design's own if that is more."""
        si, own = self.made.si, self.design.values["winding_rise"]
        return max(si.temperature_rise, own), float(rotor_rise_allowed(si, self.made.rotor))


def at_load(design, torque=None, power=None, speed=None):
    """Return the machine of a design at a load: as many figures as the design has, at part load or overload.

    Parameters
    ----------
    design : Design
        of ``choose(brief)[kind]`` or ``size_for(brief)[kind]``
    torque, power, speed : str, Quantity or list of them
        one of the three: torque or power at the shaft, from 0 on, or a shaft speed of a rotor that slips

    Returns
    -------
    AtLoad

    Raises
    ------
    TypeError
        if not just one of torque, power and speed is given
    ValueError
        if the design has no running point with torque to spare; if a load is beyond the machine's largest torque, or
        a speed beyond its no-load speed or below that of the largest torque; if a synchronous rotor is asked by speed

    Validity
    --------
    A fixed supply keeps voltage and frequency, a drive what ``rule`` says. An induction rotor's iron is as permeable as
    at the design's point, whatever the voltage's drop leaves of the field. On a fixed supply a hysteresis ring keeps
    its field and flux barriers' ribs are left out of what changes: the voltage then moves, which is told above 3 %.
    Resistances are those at the temperatures of the design's point, as standards refer losses at every load to one
    temperature: optimistic in an overload. Temperatures are those at the end of the time at work that the duty leaves;
    the outside passes as much as it is warm for. Whether a drive has the voltage and the current of an overload is not
    looked at.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> part = made["induction"].at(torque="8 N*m")
    >>> f"{part.load:.2f} of its torque: {part.efficiency:.3f}, {part.power_factor:.2f}", part.continuous
    ('0.46 of its torque: 0.884, 0.62', True)
    """
    given = {"torque": torque, "power": power, "speed": speed}
    named = [name for name, value in given.items() if value is not None]
    if len(named) != 1:
        raise TypeError(f"at: got {', '.join(named) or 'nothing'}; expected one of torque, power and speed")
    name, value = named[0], given[named[0]]
    asked, single = _read(value, name)
    line = LoadLine(design)
    if name == "speed":
        places = _slips(line, asked, value)
    else:
        of = getattr(line, name)
        largest = line.top[1] if name == "torque" else line.largest(of)[1]
        if np.any(asked > largest * (1 + HAIR)):
            raise ValueError(_too_much(line, name, value, largest))
        places = line.place_of(of, asked)
    return _made(line, places, single)


def load_curve(design, most=1.5, points=61):
    """Return the machine of a design from no load to a multiple of its torque, or to its largest torque.

    Parameters
    ----------
    design : Design
        of ``choose(brief)[kind]`` or ``size_for(brief)[kind]``
    most : float
        times the design's torque, above 0
    points : int
        loads, evenly spaced but that the design's own is among them; at least 2

    Returns
    -------
    AtLoad
        of arrays

    Raises
    ------
    ValueError
        if the design has no running point with torque to spare, or a number does not fit
    """
    if isinstance(most, bool) or not isinstance(most, (int, float)) or not 0.0 < most < 1e3:
        raise ValueError(f"most: got {messages.shorten(most)}; expected a number above 0")
    if isinstance(points, bool) or not isinstance(points, int) or not 2 <= points <= 10_000:
        raise ValueError(f"points: got {messages.shorten(points)}; expected a whole number from 2 to 10000")
    line, own = LoadLine(design), design.values["torque"]
    end = min(most * own, line.top[1])
    torques = np.linspace(0.0, end, points)
    if end > own:
        torques[np.argmin(np.abs(torques - own))] = own
    return _made(line, line.place_of(line.torque, torques), False)


def asked_load(design):
    """Return the machine of a design at the torque or power that its brief asks for; None if it asks for neither.

    Raises
    ------
    ValueError
        if the design has no running point with torque to spare, or not as much
    """
    si = design.origin.si
    given = {"torque": (si.torque, "N*m"), "power": (si.power, "W")}
    asked = {name: units.quantity(float(v), unit) for name, (v, unit) in given.items() if v is not None}
    found = [at_load(design, **{name: value}) for name, value in asked.items()]
    return max(found, key=lambda one: one.load, default=None)


def _made(line, places, single):
    """Return the AtLoad of places."""
    point, v = line.point(places), line.design.values
    values = line.figures(point)
    winding, rotor = line.allowed()
    continuous = (values["winding_rise"] <= winding * (1 + HAIR)) & (values["rotor_rise"] <= rotor * (1 + HAIR))
    load = values["torque"] / v["torque"]
    current = values["linear_current_density_rms"] / v["linear_current_density_rms"]
    told = tuple(_told(line, values, load))
    if single:
        values = {name: array.item() for name, array in values.items()}
        load, current, continuous = load.item(), current.item(), continuous.item()
    return AtLoad(line.design.kind, load, current, continuous, line.loads.rule, told, values, v)


def _read(value, name):
    """Return (array in SI, whether one value was given)."""
    single = not isinstance(value, (list, tuple)) and np.ndim(getattr(value, "magnitude", 0.0)) == 0
    if single:
        return np.array([units.read(value, KINDS[name], name, zero_allowed=True)]), True
    return units.read_array(value, KINDS[name], name, zero_allowed=True), False


def _too_much(line, name, value, largest):
    """Return the message that refuses a load beyond the largest."""
    unit = FIGURES[name].unit
    end = "where it pulls out" if line.made.fixed_supply or not line.made.rotor.synchronous else "no more is looked at"
    return (
        f"{name}: got {messages.shorten(value)}; expected at most {units.show_si(largest, unit)}, "
        f"{largest / line.design.values[name]:.3g} times the design's, {end}"
    )


def _slips(line, speeds, value):
    """Return the slips of shaft speeds from that of the largest torque to no load."""
    if line.made.rotor.synchronous:
        own = units.show_si(line.design.values["speed"], "rad/s")
        raise ValueError(
            f"speed: a {line.design.kind} rotor turns at {own} whatever its load; expected torque or power"
        )
    slips = line.at_speed(speeds)
    idle = line.place_of(line.torque, np.zeros(1)).item()
    if np.any(slips > line.top[0]) or np.any(slips < idle * (1 - HAIR)):
        low, high = (line.made.stator.shaft_speed(line.made.fed.frequency, at).item() for at in (line.top[0], idle))
        raise ValueError(
            f"speed: got {messages.shorten(value)}; expected {units.show_si(low, 'rad/s')}, where "
            f"it pulls out, to {units.show_si(high, 'rad/s')} at no load"
        )
    return slips


def _told(line, values, load):
    """Yield sentences on loads that leave what is allowed, or the model's range, by the worst of them."""
    winding, rotor = line.allowed()
    v, worst = values, int(np.argmax(values["winding_rise"]))
    if v["winding_rise"][worst] > winding * (1 + HAIR):
        yield (
            f"not for ever: at {load[worst]:.3g} times the design's torque its winding would be "
            f"{v['winding_rise'][worst]:.3g} K warm, {winding:.3g} K are allowed, and more resistance than is taken "
            "would warm it further; `heating` says for how long it may be"
        )
    worst = int(np.argmax(values["rotor_rise"]))
    if v["rotor_rise"][worst] > rotor * (1 + HAIR):
        yield (
            f"not for ever: at {load[worst]:.3g} times the design's torque its rotor would be "
            f"{v['rotor_rise'][worst]:.3g} K warm, and stands {rotor:.3g} K"
        )
    worst = int(np.argmax(values["gap_field_peak"]))
    more = v["gap_field_peak"][worst] / line.design.values["gap_field_peak"] - 1.0
    if more > MORE_FIELD and line.loads.linear_iron:
        yield (
            f"at {load[worst]:.3g} times the design's torque its gap field is {100 * more:.2g} % above the design's, "
            "and the iron's ampere-turns as much: teeth and core that are full there would take more"
        )
    if line.made.fixed_supply:
        moved = _voltage(v) / _voltage(line.design.values) - 1.0
        worst = int(np.argmax(np.abs(moved)))
        if abs(moved[worst]) > MOVED:
            yield (
                f"at {load[worst]:.3g} times the design's torque what is kept makes its voltage "
                f"{100 * abs(moved[worst]):.2g} % {'more' if moved[worst] > 0 else 'less'} than the supply's: its "
                "current is off by about as much"
            )


def _voltage(v):
    """Return what a winding's voltage goes with: apparent power, but for the core's heat, over the loading."""
    power = v["power"] + v["loss"]
    reactive = np.sqrt(np.maximum(v["volt_amperes"] ** 2 - power**2, 0.0))
    beside = v["core loss"] + v["can loss"] + v["shading loss"]
    return np.hypot(power - beside, reactive) / v["linear_current_density_rms"]
