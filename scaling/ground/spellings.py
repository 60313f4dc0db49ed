"""Ways to write a unit that can mean one thing only, brought to the spelling that `units` reads; and what others meant.

A spelling counts as the unit where it has a single meaning for the kind of quantity that is due: "min^-1" is a turn a
minute for a rotational speed, "40 C" a temperature in degrees Celsius. What has two meanings is refused with both.
"""

import functools
import re

LONGEST = 60  # characters in a quantity
_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NAME = r"(?:Δ?°)?[A-Za-zµμΩΩÅ_]+(?:\^-?[1-9])?"
UNIT = re.compile(rf"{_NAME}(?:[*/]{_NAME})*")  # the strict grammar: names with powers, joined by * or /
_TEXT = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>.*)")
_RUN_TOGETHER = re.compile(r"\S*1/min")
_PROBLEMS = (  # how a text that cannot be read begins
    (r"[+-]?[0-9.]+,[0-9]", "use a decimal point, no comma"),
    (r"[+-]?[0-9.]+ ?[×x*·⋅] ?10(?:\^|\*\*|[⁻⁰-⁹])", "not one number and one unit; write a power of ten as in 5e-3"),
    (r"[+-]?[0-9]{1,3}(?:['\s][0-9]{3})+(?![0-9])", "not one number and one unit; write digits without a gap"),
    (r"", "not one number and one unit"),
)

_SIGNS = str.maketrans(
    dict.fromkeys("\u00a0\u2007\u2009\u202f", " ")  # blanks of print: no-break, figure, thin, narrow no-break
    | dict.fromkeys("·⋅∙•×", "*")
    | {"º": "°", "℃": "°C", "℉": "°F"}
)
_RAISED = re.compile("[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
_REWRITTEN = tuple(  # in this order; none makes a product of names that stand apart
    (re.compile(pattern), plain)
    for pattern, plain in (
        (r"\*\*", "^"),
        (r" +", " "),
        (r"(?:(?<!Δ)°|\bdeg(?:\.|rees?)?) ?(?:C|[Cc]elsius)$", "degC"),
        (r"(?:(?<!Δ)°|\bdeg(?:\.|rees?)?) ?(?:F|[Ff]ahrenheit)$", "degF"),
        (r"°(?![A-Za-z])", "degree"),
        (r"(?<=[A-Za-z0-9])\.(?=[A-Za-z])", "*"),  # N.m
        (r" ?([*/^]) ?", r"\1"),
        (r"\^\((-?[1-9])\)", r"^\1"),
        (r"(?<=[A-Za-z])(-[1-4]|[2-4])", r"^\1"),  # mm2, min-1
        (r"^1/([A-Za-zµμΩΩ]+)$", r"\1^-1"),
        (r"^1/([A-Za-zµμΩΩ]+)\^([1-9])$", r"\1^-\2"),
        (r"/([A-Za-z]+)\^([2-4]) ?(K|°C|degC)$", r"/\1^\2/\3"),  # W/m^2K
        (r"/([A-Za-z]+) (K|°C|degC)$", r"/\1/\2"),  # W/m K
        (r"(?<=[A-Za-z1-9]) (?=[A-Za-z]+\^-)", "*"),  # W m^-2 K^-1
        (r"\b(?:rev|r)\b", "turn"),
        (r"\bkp\b", "kgf"),
        (r"\bKW\b", "kW"),
        (r"\bHP\b", "hp"),
        (r"\b[Kk]elvins?\b", "K"),
        (r"\bTesla\b", "T"),
    )
)
_BELOW = re.compile(r"([^()]+)/\(([^()/]+)\)")  # W/(m^2*K): one bracket, below the line


def _products(firsts, seconds, between):
    """Return {spelling: product} of names that stand together with one of some signs, or none, between them."""
    return {f"{a}{sign}{b}": f"{a}*{b}" for a in firsts.split() for b in seconds.split() for sign in between}


PRODUCTS = (
    _products("N nN uN µN μN mN cN kN MN kgf gf", "m cm mm", (" ", "-", ""))
    | _products("lbf ozf", "ft in", (" ", "-"))
    | _products("ft in", "lbf ozf", (" ", "-"))
    | _products("uPa µPa μPa mPa Pa kPa MPa", "s", (" ", ""))
    | _products("kg g", "m^2 cm^2 mm^2", (" ", "-", ""))
    | {"kpm": "kgf*m", "kpcm": "kgf*cm"}
)
_SINGLE = {  # spellings that mean a unit where a quantity of this kind is due
    "rotational speed": (
        (r"min\^-1|/min|1/min|[Uu]/min|tr/min|RPM|Rpm|turn\*p\*m\.?", "rpm"),
        (r"[Uu]/s|tr/s", "turn/s"),
    ),
    "temperature": ((r"C|Celsius", "degC"), (r"F", "degF")),
    "length": ((r"[\"″”]|in\.|inch\.", "inch"), (r"ft\.", "ft")),
    "power": ((r"PS|CV|cv|metric (?:hp|horsepower)|hp ?\((?:metric|M)\)", "metric_horsepower"),),
    "thermal conductivity": ((r"W/mK", "W/m/K"), (r"mW/mK", "mW/m/K")),
}
_FORCE = "'{0}' is a mass or a force; for the force write \"{number} {0}f*{1}\""
_MEANT = {  # what is refused with what may have been meant, by kind; groups of the pattern are {0}, {1}
    "torque": (
        (r"(oz|lb)s?[ *-]?(in|ft)", _FORCE),
        (r"(?P<arm>in|ft)[ *-]?(?P<force>oz|lb)s?", _FORCE.replace("{0}", "{force}").replace("{1}", "{arm}")),
        (r"(kg|g)[ *-]?(m|cm|mm)", _FORCE),
    ),
    "length": (
        (r"mils?", '\'mil\' is a thousandth of an inch or, in short, a millimetre: "{number} thou" or "{number} mm"'),
    ),
    "rotational speed": (
        (r"s\^-1|/s", '\'1/s\' may be turns or radians: write "{number} turn/s" or "{number} rad/s"'),
    ),
    "frequency": ((r"s\^-1|/s", "'1/s' may be of turns or angle: of a frequency write \"{number} Hz\""),),
    "temperature": ((r"K", '"{number} degC" may be meant'),),
    "temperature rise": (
        (r"C|°C|degC|[Cc]elsius", 'on a scale it is a temperature reached; a rise by {number} degrees is "{number} K"'),
    ),
    "power": ((r"(k|M)?(?:VA|V\*A|va)", 'apparent power is no power at the shaft; write "{number} {0}W" if it is'),),
    "heat transfer coefficient": ((r"(k?W)/m\^2[ */]?(K|degC|C)", 'write "{number} {0}/m^2/K"'),),
    "thermal conductivity": ((r"(m?W)/m[ */]?(K|degC|C)", 'write "{number} {0}/m/K"'),),
}
_USUAL = {  # units a slip of case is looked up in
    "length": "nm um mm cm m km in inch ft thou",
    "frequency": "mHz Hz kHz MHz",
    "rotational speed": "rpm rad/s turn/s",
    "temperature": "degC degF C K",
    "temperature rise": "K mK",
    "torque": "N*m mN*m uN*m kN*m MN*m N*cm N*mm Nm mNm kNm Ncm Nmm",
    "power": "mW W kW MW hp",
    "pressure": "Pa kPa MPa bar mbar",
    "flux density": "mT T",
    "time": "s min h",
    "mass": "mg g kg",
}


@functools.lru_cache(maxsize=1024)
def _signs(unit):
    """Return a unit with plain signs, powers written with ^, and the usual names."""
    text = _RAISED.sub(lambda found: "^" + found[0].translate(_LOWERED), unit.strip().translate(_SIGNS))
    for pattern, plain in _REWRITTEN:
        text = pattern.sub(plain, text)
    below = _BELOW.fullmatch(text)
    if below:
        parts = re.split(r"[* ]", re.sub(r"(\^[1-9])(?=[A-Za-z°])", r"\1*", below[2]))
        text = "/".join([below[1], *parts])
    return PRODUCTS.get(text, text)


@functools.lru_cache(maxsize=1024)
def _of_kind(unit, kind):
    text = _signs(unit)
    return next((plain for pattern, plain in _SINGLE.get(kind, ()) if re.fullmatch(pattern, text)), text)


def spelled(unit, kind=""):
    """Return a unit as the strict grammar has it, if it is a known way to write one; else as it was, in plain signs.

    Examples
    --------
    >>> spelled("Nm"), spelled("W/(m²K)"), spelled("min⁻¹", "rotational speed"), spelled("C", "temperature")
    ('N*m', 'W/m^2/K', 'rpm', 'degC')
    """
    return _of_kind(unit, kind) if len(unit) <= LONGEST else ""


def parts(text, kind):
    """Return (number, unit, problem) of a typed quantity, as texts: the unit as `spelled`, "" where there is none.

    Examples
    --------
    >>> parts("20 N m", "torque"), parts("3,5 mm", "length")[2]
    (('20', 'N*m', ''), 'use a decimal point, no comma')
    """
    if len(text) > LONGEST:
        return "", "", f"longer than {LONGEST} characters"
    found = _TEXT.fullmatch(text.strip())
    unit = spelled(found["unit"], kind) if found else ""
    if found and (not unit or UNIT.fullmatch(unit)):
        lost = "it may be a number that ends in 1, or 1/min whose blank is lost: write rpm"
        return found["number"], unit, lost if _RUN_TOGETHER.fullmatch(text.strip()) else ""
    problem = next(told for pattern, told in _PROBLEMS if re.match(pattern, text.strip()))
    return "", "", "; ".join(filter(None, (problem, meant(text, kind))))


def unit_typed(value):
    """Return the unit of a typed quantity as it was typed; "" of anything else."""
    found = _TEXT.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST else None
    return found["unit"] if found else ""


def meant(typed, kind):
    """Return the sentence that tells what a refused quantity may have meant; "" if none is known.

    Examples
    --------
    >>> print(meant("5 oz in", "torque"))
    'oz' is a mass or a force; for the force write "5 ozf*in"
    """
    unit = unit_typed(typed)
    number, text = typed.strip().removesuffix(unit).strip() if unit else "", _signs(unit)
    for pattern, sentence in _MEANT.get(kind, ()):
        found = re.fullmatch(pattern, text)
        if found:
            return sentence.format(*(part or "" for part in found.groups()), number=number, **found.groupdict())
    near = [name for name in _USUAL.get(kind, "").split() if name.lower() == text.lower() and name != text]
    return " or ".join(f'"{number} {name}"' for name in near) + " may be meant" if near else ""
