"""An axis of a map: a field of the brief that runs over a range, read strictly and kept in SI."""

import dataclasses
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision.brief import Brief
from scaling.decision.fields import bounded, read
from scaling.ground import messages, units
from scaling.ground.quantities import QUANTITY_KINDS

RANGES = {  # of common fields, where none is given
    "rotor_diameter": ("1 mm", "300 mm"),
    "supply_frequency": ("10 Hz", "1 kHz"),
    "gap_floor": ("10 um", "1 mm"),
    "temperature_rise": ("20 K", "120 K"),
    "ambient": ("-20 degC", "60 degC"),
    "speed": ("300 rpm", "30000 rpm"),
    "load_inertia_ratio": (0.1, 100.0),
}
AROUND = 10.0  # times the brief's value, up and down: the range of any other field
LONG = 5.0  # high over low end from which on an axis is logarithmic
SCALES = ("logarithmic", "linear")


@dataclass(frozen=True)
class Axis:
    """A field with its range in SI; a place on it runs from 0 to 1.

    ``lower`` is the fixed low end of a field that is a (low, high) pair in the brief: the axis moves the high end.
    """

    name: str
    kind: str
    low: float
    high: float
    logarithmic: bool
    lower: float | None = None

    def value(self, place):
        """Return the value in SI at places."""
        if self.logarithmic:
            return self.low * (self.high / self.low) ** np.asarray(place, float)
        return self.low + (self.high - self.low) * np.asarray(place, float)

    def place(self, value):
        """Return the places of values in SI."""
        if self.logarithmic:
            return np.log(np.asarray(value) / self.low) / np.log(self.high / self.low)
        return (np.asarray(value) - self.low) / (self.high - self.low)

    def field(self, value):
        """Return what the field of a brief in SI is for a value: a pair keeps its lower end."""
        return value if self.lower is None else (np.full(np.shape(value), self.lower), value)

    def typed(self, value):
        """Return what to type for a value in SI."""
        unit = QUANTITY_KINDS[self.kind].unit
        one = units.quantity(float(value), unit) if unit else float(value)
        return one if self.lower is None else (units.quantity(self.lower, unit), one)

    def read(self, value):
        """Return a value typed for the field in SI."""
        return units.read(value, self.kind, self.name, zero_allowed=self.low == 0.0)

    def quantity(self, values):
        """Return SI values with their unit; plain numbers of a ratio."""
        unit = QUANTITY_KINDS[self.kind].unit
        return units.quantity(values, unit) if unit else values

    @property
    def words(self):
        """The field in words."""
        return ("highest " if self.lower is not None else "") + self.name.replace("_", " ")

    def shown(self, values):
        """Return (numbers, unit) of SI values as a picture shows them."""
        values = np.asarray(values, float)
        if self.kind == "temperature":
            return values - 273.15, "°C"
        if not QUANTITY_KINDS[self.kind].unit:
            return values, ""
        middle = self.value(0.5)
        unit = units.show(self.quantity(float(middle))).split(" ", 1)[1]
        return self.quantity(values).m_as(units.Q(1, unit).units), unit

    def si(self, shown):
        """Return values in SI of numbers as ``shown`` gives them."""
        zero, one = self.shown([0.0, 1.0])[0]
        return (np.asarray(shown) - zero) / (one - zero)

    def told(self, value, digits=3):
        """Return a value in SI as text."""
        if self.kind == "temperature":
            return f"{float(value) - 273.15:.{digits}g} °C"
        return (
            units.show(self.quantity(float(value)), digits=digits)
            if QUANTITY_KINDS[self.kind].unit
            else (f"{float(value):.{digits}g}")
        )


def read_axes(brief, x, y, x_range, y_range, x_scale, y_scale):
    """Return both axes, or raise an error that says what to give."""
    axes = (_read(brief, "x", x, x_range, x_scale), _read(brief, "y", y, y_range, y_scale))
    if axes[0].name == axes[1].name:
        raise ValueError(f"y: got {messages.shorten(y)}, as x; expected another field of the brief")
    return axes


def numeric_fields():
    """Return {name: field} of the fields of a brief that can be an axis."""
    return {
        f.name: f
        for f in dataclasses.fields(Brief)
        if f.init and f.metadata.get("kind", "positive integer") != "positive integer"
    }


def _read(brief, axis, name, given, scale):
    field = _field(axis, name)
    if scale is not None:
        messages.choice(scale, SCALES, f"{axis}_scale")
    typed = read(field, getattr(brief, name))
    lower = typed[0] if isinstance(typed, tuple) else None
    ends = _default(brief, axis, field, lower) if given is None else given
    low, high = _ends(f"{axis}_range", field, ends)
    if lower is not None and not low > lower:
        at_least = units.show_si(lower, QUANTITY_KINDS[field.metadata["kind"]].unit)
        raise ValueError(
            f"{axis}_range: got {messages.shorten(ends)}; the brief's {name} begins at {at_least}, and the axis moves "
            "its upper end: expected a range above"
        )
    kind = field.metadata["kind"]
    suits = kind != "temperature" and low > 0.0 and high >= LONG * low
    if scale == "logarithmic" and not low > 0.0:
        raise ValueError(f"{axis}_scale: got 'logarithmic' with a range from zero; expected 'linear', or a range above")
    return Axis(name, kind, low, high, suits if scale is None else scale == "logarithmic", lower)


def _field(axis, name):
    """Return the field of a name that can be an axis."""
    fields = {f.name: f for f in dataclasses.fields(Brief) if f.init}
    messages.choice(name, fields, axis) if not isinstance(name, str) or name not in fields else None
    meta = fields[name].metadata
    if "poles" in meta or meta.get("kind") == "positive integer":
        raise ValueError(
            f"{axis}: got {name!r}, a whole number, which has no boundary between two values; expected another field, "
            f"or make one atlas for each {name}"
        )
    if name not in numeric_fields():
        raise ValueError(
            f"{axis}: got {name!r}, which holds no number but names; expected a field with a number, such as "
            "'gap_floor', or make one atlas for each"
        )
    return fields[name]


def _default(brief, axis, field, lower):
    """Return the range of a field where none is given."""
    name, meta = field.name, field.metadata
    if name in RANGES:
        low, high = RANGES[name]
        if lower is None:
            return low, high
        low, high = (bounded(f"{axis}_range", meta["kind"], end, meta) for end in (low, high))
        low = max(low, lower * 1.01)
        high = max(high, low * AROUND)
    else:
        value = read(field, getattr(brief, name))
        value = getattr(value, "median", value)
        if value is None:
            value = getattr(brief.si, name)
        if value is None or isinstance(value, tuple) or not value > 0.0:
            raise ValueError(
                f"{axis}_range: not given, and the brief says no {name}; expected its ends, such as "
                f"{axis}_range=({QUANTITY_KINDS[meta['kind']].example!r}, ...)"
            )
        low, high = value / AROUND, value * AROUND
        low = max(low, meta.get("low") or 0.0)
        high = min(high, meta.get("high") or np.inf)
    unit = QUANTITY_KINDS[meta["kind"]].unit
    return tuple(units.quantity(end, unit) if unit else end for end in (low, high))


def _ends(name, field, given) -> tuple[Any, Any]:
    """Return the ends of a range in SI."""
    meta = field.metadata
    example = QUANTITY_KINDS[meta["kind"]].example
    ends = list(given) if units.is_quantity(given) and np.ndim(given.magnitude) == 1 else given
    if not isinstance(ends, (list, tuple)):
        raise TypeError(
            f"{name}: got {messages.shorten(given)}; expected a (low, high) pair of {meta['kind']}, such as "
            f"({example!r}, ...)"
        )
    if len(ends) != 2:
        raise ValueError(f"{name}: got {len(ends)} values; expected a (low, high) pair")
    low, high = (bounded(name, meta["kind"], end, meta) for end in ends)
    if not low < high:
        raise ValueError(f"{name}: got {messages.shorten(given)}; expected a low and a higher end of {field.name}")
    return low, high
