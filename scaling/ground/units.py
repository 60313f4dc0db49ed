"""Quantities at the edge: strict reading, plain SI inside, readable printing.

This is the only module that uses Pint, and it loads it on first use. Pint alone reads "3,5 mm" as 35 mm and
3000 rpm as 314 Hz, and takes 5 J as a torque; so a text is brought to one spelling (`spellings`) and matched
against a small grammar before Pint sees it, and a unit must be of the kind the field expects, not only of its
dimension.
"""

import functools
import math
import numbers
import re
import sys
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.ground import spellings
from scaling.ground.messages import shorten
from scaling.ground.quantities import QUANTITY_KINDS, QuantityKind

if TYPE_CHECKING:
    from pint import Quantity
else:
    Quantity = Any  # Pint loads when a unit is first read
Given = str | int | float | tuple | Quantity | None  # what a field of a brief takes


_ANY = QuantityKind("quantity", "any", "20 mm", -math.inf, math.inf)


@functools.cache
def registry():
    """Return Pint's application registry, set to print units in the order they were written.

    Examples
    --------
    >>> f"{registry().Quantity(0.2, 'N*m'):~P}"
    '0.2 N·m'
    """
    import pint

    found = pint.get_application_registry().get()
    found.formatter.default_sort_func = lambda items, _: items
    return found


def is_quantity(value):
    """Tell whether the value is a Pint quantity, of whichever registry.

    Examples
    --------
    >>> is_quantity(Q("3 mm")), is_quantity("3 mm")
    (True, False)
    """
    pint = sys.modules.get("pint")  # no quantity exists before pint is loaded
    return pint is not None and isinstance(value, pint.Quantity)


def read(value, kind, field, *, zero_allowed=False):
    """Read a quantity of one kind and return its value in SI units.

    Parameters
    ----------
    value : str or pint.Quantity
        one number and one unit; a bare number (or its text) where the kind has no unit
    kind : str
        a key of ``QUANTITY_KINDS``
    field : str
        name of the field, for the error message
    zero_allowed : bool
        accept zero, except as an absolute temperature

    Returns
    -------
    float
        the value in ``QUANTITY_KINDS[kind].unit``; an int for a positive integer

    Raises
    ------
    TypeError, ValueError, KeyError
        if the value has the wrong type; if number, unit or size do not fit; if there is no such kind

    Examples
    --------
    >>> read("20 mm", "length", "rotor_diameter")
    0.02
    >>> round(read("3000 rpm", "rotational speed", "speed"), 4)
    314.1593
    """
    kind = QUANTITY_KINDS[kind]
    refuse = functools.partial(_refusal, field, value, kind)
    number, unit = _take(value, kind, refuse)
    if unit is not None and not _fits(kind, unit):
        raise refuse(ValueError, _unfit(value, kind, unit))
    whole = kind.name == "positive integer"
    if number == 0 and zero_allowed and kind.name != "temperature":
        return 0 if whole else 0.0
    si = number if unit is None else float(registry().Quantity(number, unit).m_as(kind.unit))
    if si < 0 or (si == 0 and not zero_allowed):
        raise refuse(ValueError, "must not be negative" if zero_allowed else "must be greater than zero")
    if not kind.low * (1 - 1e-12) <= si <= kind.high * (1 + 1e-12):
        low, high = (show(quantity(limit, kind.unit)) for limit in (kind.low, kind.high))
        problem = f"outside the plausible range {low} to {high}"
        raise refuse(ValueError, "; ".join(filter(None, (problem, spellings.meant(value, kind.name)))))
    if whole and si != int(si):
        raise refuse(ValueError, "not a whole number")
    return int(si) if whole else si


def read_array(values, kind, field, *, zero_allowed=False):
    """Read a list of texts or quantities, or a quantity that holds an array, and return an array in SI units.

    Raises
    ------
    TypeError, ValueError
        as ``read``, for a value that does not fit

    Examples
    --------
    >>> read_array(["2 mm", "3 mm"], "length", "rotor_diameters").tolist()
    [0.002, 0.003]
    """
    if is_quantity(values) and np.ndim(values.magnitude) == 1:
        numbers = np.asarray(values.magnitude)
        if numbers.size and numbers.dtype.kind in "iuf":  # between a smallest and a largest that fit, all fit
            for number in (numbers.min(), numbers.max()):
                read(registry().Quantity(number, values.units), kind, field, zero_allowed=zero_allowed)
            return registry().Quantity(numbers.astype(float), values.units).m_as(QUANTITY_KINDS[kind].unit)
        values = [registry().Quantity(number, values.units) for number in values.magnitude]
    if not isinstance(values, (list, tuple)):
        raise _refusal(
            field, values, QUANTITY_KINDS[kind], TypeError, "not a list of texts or a quantity with an array"
        )
    return np.array([read(value, kind, field, zero_allowed=zero_allowed) for value in values])


def Q(value, unit=None):
    """Return a Pint quantity from a text, from a number or array with a unit, or from a quantity.

    Parameters
    ----------
    value : str, number, array_like or pint.Quantity
        ``"3 mm"``, or the number or array that ``unit`` belongs to
    unit : str, optional
        names joined by ``*`` or ``/``, each with a one-digit power; only with a number or an array

    Returns
    -------
    pint.Quantity
        in floats, with the unit as written; an array is copied

    Raises
    ------
    TypeError, ValueError
        if the value has another type or a second unit; if it is not finite numbers and one known unit

    Examples
    --------
    >>> Q("3 mm") == Q(3, "mm") == Q(Q("3 mm"))
    True
    >>> show(Q("2 N") * Q("30 cm"), "N*m")
    '0.6 N·m'
    """
    refuse = functools.partial(_refusal, "Q", value if unit is None else (value, unit), _ANY)
    if unit is None:
        number, found = _take(value, _ANY, refuse, _array)
    elif isinstance(value, str) or is_quantity(value) or not isinstance(unit, str):
        raise refuse(TypeError, "a second unit, or a unit that is no text")
    else:
        number, found = _array(value, refuse), _known(unit, refuse)
    return registry().Quantity(number, found)


def quantity(value_si, unit):
    """Attach a unit to a float or an array of ours, unchecked and uncopied.

    Examples
    --------
    >>> show(quantity(0.02, "m"))
    '20 mm'
    """
    return registry().Quantity(value_si, _unit(unit))


def show(q, unit=None, digits=4):
    """Return a quantity as text, to so many significant digits.

    Parameters
    ----------
    q : pint.Quantity
        a number, or an array, whose numbers are then joined by commas
    unit : str, optional
        the unit to show; by default its own with a prefix that suits, and rpm for rad/s
    digits : int
        significant digits

    Raises
    ------
    TypeError, ValueError
        if ``q`` is not a quantity; if ``unit`` cannot state it, such as hertz for a rotational speed

    Examples
    --------
    >>> show(quantity(0.00002, "m")), show(quantity(314.159265, "rad/s"))
    ('20 µm', '3000 rpm')
    >>> show(quantity(0.213412, "N*m")), show(quantity(0.213412, "N*m"), "mN*m", digits=2)
    ('0.2134 N·m', '210 mN·m')
    """
    refuse = functools.partial(_refusal, "show", unit if is_quantity(q) else q, _ANY)
    if not is_quantity(q):
        raise refuse(TypeError, "not a quantity")
    q = registry().Quantity(q.magnitude, _known(q.units, refuse))
    target = _display_unit(q, digits) if unit is None else _known(unit, refuse)
    in_hertz = "hertz" in _names(q.units) + _names(target)
    if not q.is_compatible_with(target) or (in_hertz and _angle(q.units) != _angle(target)):
        raise refuse(ValueError, f"cannot state a quantity in {q.units}")
    return f"{', '.join(_rounded(x, digits) for x in np.ravel(q.m_as(target)))} {target:~P}".strip()


def show_si(value, unit):
    """Return an SI number as text, with a prefix that suits.

    Examples
    --------
    >>> show_si(0.00002, "m")
    '20 µm'
    """
    return show(quantity(value, unit))


def signs(unit):
    """Return a unit expression as it is printed, nothing cancelled: Pint would make N/m² of the first.

    Examples
    --------
    >>> signs("N*m/m**3"), signs("N*m/W**0.5")
    ('N·m/m³', 'N·m/W^0.5')
    """
    return unit.replace("**3", "³").replace("**", "^").replace("*", "·")


def _refusal(field, value, kind, error, problem):
    """Return the error that says the field, what it got, what is wrong and what is expected."""
    form = "one number and its unit, e.g." if kind.unit else "a bare number, e.g."
    return error(f'{field}: got {shorten(value)}: {problem}. Give {kind.name} as {form} "{kind.example}".')


def _real(number, refuse):
    """Return a single real finite number as a float."""
    if type(number) is np.ndarray and number.size == 1:
        number = number.item()
    if isinstance(number, bool) or not isinstance(number, (numbers.Real, Decimal)):
        raise refuse(TypeError, "not a single real number")
    try:
        result = float(number)
    except (OverflowError, ValueError):  # a huge integer, a signalling NaN
        result = math.nan
    if not math.isfinite(result):
        raise refuse(ValueError, "the number is not finite")
    if result == 0 != number:
        raise refuse(ValueError, "the number is too small")
    return result


def _array(value, refuse):
    """Return a float copy of an array or sequence of real finite numbers; a single number as a float."""
    if isinstance(value, (list, tuple)):
        return np.array([_real(number, refuse) for number in value])
    if type(value) is not np.ndarray:
        return _real(value, refuse)
    if value.dtype.kind not in "iuf":
        raise refuse(TypeError, "not an array of real numbers")
    if not np.isfinite(value).all():
        raise refuse(ValueError, "not every number is finite")
    return value.astype(float)


def _take(value, kind, refuse, real=_real):
    """Return the number and the Pint unit (None where there is none) of a text, quantity or bare number."""
    if isinstance(value, str):
        return _split(value, kind, refuse)
    if is_quantity(value):
        return real(value.magnitude, refuse), _known(value.units, refuse)
    if kind.unit:
        raise refuse(TypeError, "neither a text with a unit nor a quantity")
    return _real(value, refuse), None


def _split(text, kind, refuse):
    """Return the number and the Pint unit of a text; nothing but names and powers reaches Pint."""
    digits, unit, problem = spellings.parts(text, kind.name)
    if problem:
        raise refuse(ValueError, problem)
    number = _real(float(digits), refuse)
    if number == 0 and re.match(r"[^eE]*[1-9]", digits):
        raise refuse(ValueError, "the number is too small")
    if unit and not kind.unit:
        raise refuse(ValueError, f"takes no unit; {kind.remedy}".rstrip("; "))
    if kind.unit and not unit:
        raise refuse(ValueError, "the unit is missing")
    return number, _known(unit, refuse, spellings.meant(text, kind.name)) if unit else None


def _unfit(value, kind, unit):
    """Return what is wrong with a unit of another kind, and what may have been meant."""
    typed = spellings.unit_typed(value) or unit
    told = (f"'{typed}' is not a unit of {kind.name}", spellings.meant(value, kind.name), kind.remedy)
    return "; ".join(filter(None, told))


@functools.lru_cache(maxsize=1024)
def _unit(text):
    """Return the Pint unit of an expression that satisfies the grammar."""
    return registry().parse_units(text)


def _known(unit, refuse, hint=""):
    """Return the Pint unit for an expression, or for a unit of any registry; refuse unknown names."""
    import pint

    text = spellings.spelled(unit) if isinstance(unit, str) else unit
    if isinstance(text, str) and not spellings.UNIT.fullmatch(text):
        raise refuse(ValueError, "not one unit expression")
    try:
        own = _unit(text) if isinstance(text, str) else _assembled(_parts(text))
        registry().get_root_units(own)  # fails for an unknown name
    except (pint.PintError, ValueError, OverflowError) as error:
        raise refuse(ValueError, f"'{unit}' is not a known unit; {hint}".rstrip("; ")) from error
    return own


def _assembled(parts):
    """Return the unit of ours that has these names and powers."""
    return registry().Unit(registry().UnitsContainer(parts))


def _parts(unit):
    """Return the names in a unit with their powers."""
    return dict((1 * unit).unit_items())


@functools.lru_cache(maxsize=1024)
def _names(unit):
    """Return the names in a unit without their prefixes."""
    return tuple(registry().parse_unit_name(name)[0][1] for name in _parts(unit))


def _angle(unit):
    """Return the power of the radian in a unit."""
    return _parts(registry().get_root_units(unit)[1]).get("radian", 0)


@functools.lru_cache(maxsize=1024)
def _fits(kind, unit):
    """Tell whether a unit states this kind of quantity, and not another of the same dimension."""
    dimensions, names = registry().get_dimensionality, _names(unit)
    if unit.dimensionality != dimensions(kind.unit) or set(names) & set(kind.never):
        return False
    if kind.only:
        return set(names) <= set(kind.only)
    if kind.made_of and any(dimensions(name) not in map(dimensions, kind.made_of) for name in names):
        return False
    if any(not dimensions(name) and not _angle(name) for name in names):  # percent, ppm, pi, count, bit
        return False
    offset = any(registry().Quantity(0.0, name).to_root_units().magnitude for name in names)  # degC, dBm
    return not offset and _angle(unit) in kind.angle


_PREFIXES = ("femto", "pico", "nano", "micro", "milli", "", "kilo", "mega", "giga")  # 1e-15 to 1e9
_ANY_PREFIX = "hertz newton watt tesla ampere volt siemens pascal joule henry weber ohm farad"
_LARGEST_PREFIX = {"meter": 3, "gram": 3, "second": 0} | dict.fromkeys(_ANY_PREFIX.split(), 9)
_HOME_PREFIX = {"meter": -3, "gram": 3}  # kept from 0.1 to 1000: lengths are at home in millimetres


def _display_unit(q, digits):
    """Return the unit to show a quantity in: its own, with the prefix that gives a number easy to read."""
    parts = _parts(q.units)
    if parts == {"radian": 1, "second": -1}:
        return registry().Unit("rpm")
    others = dict(list(parts.items())[1:])
    base = _names(q.units)[0] if parts else ""
    if base not in _LARGEST_PREFIX or base in others or next(iter(parts.values())) != 1:
        return _assembled(parts)
    sizes = np.abs(np.ravel(q.m_as(_assembled({base: 1} | others))))
    largest = max(sizes[np.isfinite(sizes)], default=0.0)
    power = int(f"{largest:.{digits - 1}e}".split("e")[1])  # of ten, after rounding
    home = 0 if others and base == "meter" else _HOME_PREFIX.get(base, 0)
    if largest and not home - 1 <= power < home + 3:
        home = max(-15, min(power // 3 * 3, _LARGEST_PREFIX[base]))
    return _assembled({_PREFIXES[home // 3 + 5] + base: 1} | others)


def _rounded(number, digits):
    """Return a number to so many significant digits, as a plain decimal where that is readable."""
    text = f"{number:.{digits}g}"
    return f"{float(text):.15g}" if 1e-4 <= abs(number) < 1e7 else text
