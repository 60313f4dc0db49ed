"""Thermal classes of insulation, and the temperature rise of windings that goes with them."""

import re
from dataclasses import dataclass

from scaling.ground.messages import shorten


@dataclass(frozen=True)
class ThermalClass:
    """A class of IEC 60085: the temperature that its number names [°C], and the rise at a coolant of 40 °C [K].

    The rise is that of a winding by resistance, cooled indirectly by air, as IEC 60034-1 limits it for machines below
    5 MW; None where the standard has none. (From memory it lets machines below 600 W or without a fan have 5 K more,
    which is left out.)
    """

    name: str
    celsius: float
    rise: float | None = None

    @property
    def kelvin(self):
        """The temperature of the class [K]."""
        return self.celsius + 273.15


COOLANT = {"T_40": 313.15, "theta_u": 30.0}  # K, see laws.thermal.class_rise (memory)
# Temperatures of A to H, rises of B, F, H: a maker's manual of 2019, tables 9 and 10; rises of A and E: a maker's page
# on insulation classes of 2025, both after IEC 60034-1 (published); Y, N, R, 250: IEC 60085 (memory).
CLASSES = {
    one.name: one
    for one in (
        ThermalClass("Y", 90.0),
        ThermalClass("A", 105.0, 60.0),
        ThermalClass("E", 120.0, 75.0),
        ThermalClass("B", 130.0, 80.0),
        ThermalClass("F", 155.0, 105.0),
        ThermalClass("H", 180.0, 125.0),
        ThermalClass("N", 200.0),
        ThermalClass("R", 220.0),
        ThermalClass("250", 250.0),
    )
}
WITH_RISE = ", ".join(f"'class {name}' ({one.rise:g} K)" for name, one in CLASSES.items() if one.rise)
_NUMBERS = {f"{one.celsius:g}": one for one in CLASSES.values()}
_TEXT = re.compile(
    r"class (?P<either>[0-9A-Za-z]{1,5})|(?:class )?(?P<number>[0-9]{1,3}) ?\((?P<letter>[A-Za-z])\)", re.IGNORECASE
)


def read(value, field):
    """Return the ThermalClass that a text names, or None if it names none; a number alone is no class.

    Raises
    ------
    ValueError
        for a class that there is not (the nearest is suggested), or one without a temperature rise

    Examples
    --------
    >>> [read(text, "temperature_rise").name for text in ("class F", "B", "130 (B)", "class 155")]
    ['F', 'B', 'B', 'F']
    """
    if not isinstance(value, str):
        return None
    text = value[:60].strip()
    found = _TEXT.fullmatch(text)
    if found is None and not (len(text) == 1 and text.isalpha()):
        return None
    name = text if found is None else found["either"] or found["letter"]
    one = CLASSES.get(name.upper(), _NUMBERS.get(name))
    if one is None or (found and found["number"] and found["number"] != f"{one.celsius:g}"):
        raise ValueError(_unknown(field, value, found["number"] if found and found["number"] else name))
    if one.rise is None:
        raise ValueError(
            f"{field}: got {shorten(value)}: IEC 60034-1 has no rise by resistance for it; give one in kelvins, "
            f"or one of {WITH_RISE}"
        )
    return one


def _unknown(field, value, name):
    """Return the sentence that refuses a class, with the nearest one there is."""

    def distance(one):
        if name.isdigit():
            return abs(one.celsius - float(name))
        return abs(ord(one.name) - ord(name[0].upper())) if one.name.isalpha() else 99.0

    near = min(CLASSES.values(), key=distance)
    told = f"'class {near.name}', of {near.celsius:g} °C"
    return f"{field}: got {shorten(value)}: no thermal class; did you mean {told}? Expected one of {WITH_RISE}"
