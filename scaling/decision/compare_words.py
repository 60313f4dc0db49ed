"""How two designs differ, in words: a ratio, the factors that multiply to it, and what lies behind the largest."""

import dataclasses
import math

import numpy as np

from scaling.decision.factors import FACTORS, STAGES, contributions
from scaling.ground import units
from scaling.machines import ROTORS, YARDSTICK

LESS = ("mass", "envelope", "losses", "cost")  # what is better small
CALLED = {"cost": "cost of active material"}  # measures that a sentence calls otherwise
BESIDE = ("torque", "power", "losses", "mass", "envelope", "cost")  # measures that are told beside the one asked for
TOLD = 6  # fields in which two briefs differ that are told by name
LOCAL_FIELDS = ("pole edge", "rotor teeth", "rotor core")  # limits of field that are not called so
SMALL = 0.02  # logarithm of a factor below which it is not named by itself, unless it is the largest
SAME = 5e-4  # logarithm of a ratio below which it is none
LITTLE, LARGE = 0.03, 0.1  # logarithms of what all factors that are not named make, and of each alone
MOST = 4  # factors named by themselves
APART = 50.0  # times: figures farther apart are shown with prefixes of their own
PREFIXES = {1: "", 2: "the square of ", 0.5: "the root of ", -0.5: "the inverse root of ", -1: "the inverse of "}
LEAVES = (  # what the winding current is made of, down to heat and copper: factors with their power
    ("slot depth", 1),
    ("slot fill", 1),
    ("slots' share of the bore", 1),
    ("heat transfer", 0.5),
    ("rise of the outside", 0.5),
    ("winding's share of the heat", 0.5),
    ("outside over copper", 0.5),
    ("resistivity of the winding", -0.5),
)


def number(ratio):
    """Return a ratio as text that still multiplies: three digits, two below a tenth, four within a hundredth of one.

    Examples
    --------
    >>> number(2.0347), number(0.04812), number(12345.0), number(1.0012)
    ('2.03', '0.048', '12300', '1.001')
    """
    if abs(ratio - 1.0) < 0.0095:
        return np.format_float_positional(round(ratio, 3), trim="-")
    digits = 3 if ratio >= 0.0995 else 2
    return np.format_float_positional(float(f"{ratio:.{digits}g}"), trim="-")


def value(name, design):
    """Return a factor of a design as text, with its unit."""
    return _shown(name, [design])[0]


def both(name, a, b):
    """Return a factor of two designs as text, one against the other in one unit.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> made = choose(Brief(rotor_diameter="100 mm"))
    >>> both("gap field", made["induction"], made["hysteresis"])
    '0.555 against 0.506 T'
    """
    first, second = _shown(name, [a, b])
    number, _, sign = first.partition(" ")
    return f"{number if sign == second.partition(' ')[2] else first} against {second}"


def _shown(name, designs):
    """Return a factor of designs as texts in one unit."""
    factor = FACTORS[name]
    found = [float(factor.value(design)) for design in designs]
    if factor.unit == "%":
        return [f"{_plain(100 * x)} %" for x in found]
    if not factor.unit:
        return [_plain(x) for x in found]
    if max(found) > APART * min(found):
        return [in_one_unit(units.quantity(x, factor.unit), factor.shown_in, 3) for x in found]
    *numbers, last = in_one_unit(units.quantity(np.array(found), factor.unit), factor.shown_in, 3).split(", ")
    sign = last.partition(" ")[2]
    return [*(f"{x} {sign}" for x in numbers), last]


def in_one_unit(quantity, unit="", digits=4):
    """Return a number or numbers as text in one unit that suits the largest; volumes too."""
    if not quantity.check("[length]**3"):
        return units.show(quantity, unit or None, digits)
    litres = float(np.max(quantity.m_as("dm**3")))
    return units.show(quantity, "mm**3" if litres < 1e-3 else "cm**3" if litres < 1.0 else "dm**3", digits)


def _plain(x):
    return np.format_float_positional(float(f"{x:.3g}"), trim="-")


def pole_pairs(design):
    """Return the number of pole pairs in words."""
    return f"{design.pole_pairs} pole pair" + ("" if design.pole_pairs == 1 else "s")


def names(a, b):
    """Return what to call two designs in a sentence: by kind, else by size or the brief, else first and second."""
    kinds = tuple(f"the {d.kind} rotor" if d.kind == YARDSTICK else d.kind for d in (a, b))
    differ = _different(a, b)
    if a.kind != b.kind and same_size(a, b) and len(differ) != 1:
        return kinds
    sizes = tuple(units.show(d.rotor_diameter, digits=3) for d in (a, b))
    if sizes[0] != sizes[1]:
        return tuple(f"{kind} of {size}" for kind, size in zip(kinds, sizes, strict=True))
    if len(differ) == 1:
        ((name, pair),) = differ.items()
        return tuple(f"{kind} ({name} {text})" for kind, text in zip(kinds, pair, strict=True))
    return kinds if a.kind != b.kind else (f"the first {a.kind} design", "the second")


def same_size(a, b):
    """Return whether two designs have rotors of one diameter, and cores of one length."""
    return all(math.isclose(a.values[n], b.values[n], rel_tol=1e-9) for n in ("rotor_diameter", "active_length"))


def capital(text):
    """Return a text with a capital letter, the rest as it is."""
    return text[:1].upper() + text[1:]


def sentence(a, b, by, ratio, parts, band=0.0, last=None):
    """Return the sentences that say by how much design a is ahead of design b, or behind, and by which factors.

    ``parts`` is {name of a factor: power}; the numbers said multiply to the ratio. ``band`` is the factor that is open,
    ``last`` {name: (ratio, text)} of factors that designs do not know by themselves, such as prices.
    """
    first, second = names(a, b)
    made = contributions(parts, a, b)
    told = {name: f"{PREFIXES[parts[name]]}{FACTORS[name].noun} ({both(name, a, b)})" for name in parts}
    for name, (times, text) in (last or {}).items():
        made[name], told[name] = times, text
    if abs(math.log(ratio)) < SAME:
        return f"{capital(first)} and {second} are level in {CALLED.get(by, by)}."
    sure = ", a tie" if 1 / max(band, 1.0) < ratio < max(band, 1.0) else ""
    head = f"{capital(first)} {_ahead(by, ratio, second)}{sure}"
    return f"{head}: it has {_factors(made, told, ratio)}.{_because(a, b, made, ratio)}"


def _ahead(by, ratio, second):
    """Return by how much the first is ahead of a second, or behind."""
    if by in LESS:
        return f"has {number(ratio)} times the {CALLED.get(by, by)} of {second}"
    if ratio >= 1.0:
        return f"leads {second} {number(ratio)} times in {by}"
    return f"has {number(ratio)} times the {by} of {second}"


def _factors(made, told, ratio):
    """Return the factors that matter as a list in words: those that make the ratio, those against it, all the rest."""
    named = _named(made)
    with_it = [name for name in named if (made[name] >= 1.0) == (ratio >= 1.0)]
    against = [name for name in named if name not in with_it]
    groups = [_listed([f"{number(made[name])} times {told[name]}" for name in group]) for group in (with_it, against)]
    text = ", but ".join(group for group in groups if group)
    rest = ratio / math.prod(float(number(made[name])) for name in named)
    if abs(math.log(rest)) > 0.005:
        text += f"; all else makes {number(rest)} times"
    return text


def _named(made):
    """Return the factors to name, the largest first: until little is left, both in all and by the next alone."""
    order = sorted(made, key=lambda name: -abs(math.log(made[name])))
    order = [name for name in order if abs(math.log(made[name])) > SMALL] or order[:1]
    for count in range(min(len(order), MOST)):
        left = math.log(math.prod(made.values()) / math.prod(made[name] for name in order[:count]))
        if count and abs(left) < LITTLE and abs(math.log(made[order[count]])) < LARGE:
            return order[:count]
    return order[:MOST]


def _listed(texts):
    """Return texts as a list in words."""
    return " and ".join(filter(None, [", ".join(texts[:-1]), *texts[-1:]]))


def _because(a, b, made, ratio):
    """Return the sentence on what lies behind the largest factor on the side of the ratio; nothing if it says it."""
    up = ratio >= 1.0
    name = max(made, key=lambda name: math.log(made[name]) * (1 if up else -1))
    if abs(math.log(made[name])) <= SMALL or (made[name] >= 1.0) != up:
        return ""
    more, less = (a, b) if made[name] >= 1.0 else (b, a)
    cause = {
        "gap field": _field_cause,
        "cosine of phase": _rotor_cause,
        "winding current": _current_cause,
        "bore in the envelope": _envelope_cause,
        "losses": _losses_cause,
    }.get(name)
    found = cause(more, less) if cause else ""
    return f" {found}." if found else ""


def _of(design, other):
    """Return what to call a design beside another: by its kind, or its size."""
    if design.kind != other.kind:
        return f"the {design.kind} rotor"
    size, beside = (units.show(one.rotor_diameter, digits=3) for one in (design, other))
    return f"the rotor of {size}" if size != beside else "one" if design is other else "the other"


def _rotor_cause(more, less):
    """Return what the rotors' answers rest on."""
    wins, rival = ROTORS[more.kind].phrase(more, True), ROTORS[less.kind].phrase(less, False)
    if more.kind == less.kind and same_size(more, less):
        return f"Behind it: {wins}, while in the other {rival}" if wins != rival else ""
    return f"Behind it: in {_of(more, less)} {wins}, while in {_of(less, more)} {rival}"


def _field_cause(more, less):
    """Return why one gap field is larger: longer poles over the gap, more current, or the rotors' answers."""
    if YARDSTICK in (more.kind, less.kind) and more.kind != less.kind:
        return _rotor_cause(more, less)
    made = {name: math.log(r) for name, r in contributions(FACTORS["gap field"].parts, more, less).items()}
    most = max(made, key=lambda name: made[name])
    if most == "winding current":
        return _current_cause(more, less)
    if most == "pole pitch over gap":
        first, second = (f"{value(most, d)} with {pole_pairs(d)}" for d in (more, less))
        return f"Behind it: pole pitch over gap, in {_of(more, less)} {first}, in {_of(less, more)} {second}"
    return _rotor_cause(more, less)


def _current_cause(more, less):
    """Return why one winding carries more: a limit of field that holds the other back, or what counts most of heat."""
    held_back = [name for name in less.limited_by if name.endswith("field") or name in LOCAL_FIELDS]
    if "temperature rise" not in less.limited_by and held_back:
        return f"Behind it: the {held_back[0]} limit holds {_of(less, more)} back"
    made = contributions(dict(LEAVES), more, less)
    most = max(made, key=lambda name: made[name])
    if made[most] <= 1.0 + SMALL:
        return ""
    return f"Behind the current: {FACTORS[most].noun}, {both(most, more, less)}"


def _envelope_cause(more, less):
    """Return how long the machines are over their end windings."""
    if not math.isclose(more.values["outside_diameter"], less.values["outside_diameter"], rel_tol=1e-6):
        return ""
    lengths = [units.show(d.overall_length, digits=3) for d in (more, less)]
    return (
        f"Behind it: over its end windings {_of(more, less)} is {lengths[0]} long with {pole_pairs(more)}, "
        f"{_of(less, more)} {lengths[1]} with {pole_pairs(less)}"
    )


def _losses_cause(more, less):
    """Return which loss makes most of the difference; the root of the losses is on the side of the smaller."""
    apart = {name: less.values[f"{name} loss"] - more.values[f"{name} loss"] for name in STAGES}
    most = max(apart, key=lambda name: abs(apart[name]))
    pair = " against ".join(units.show(d.losses[most], digits=3) for d in (more, less))
    return f"Most of the difference is {most} loss, {pair}"


def without_torque(a, b):
    """Return a sentence for each of two designs that gives no torque, as a list."""
    return [
        f"{capital(name)} gives no torque: {design.reasons[0] if design.reasons else 'nothing runs'}."
        for name, design in zip(names(a, b), (a, b), strict=True)
        if not design.values["torque"] > 0.0
    ]


def remarks(a, b, by, ratios, money):
    """Return sentences on the other measures, on what the briefs differ in, and on what meets them not."""
    others = [name for name in BESIDE if name != by and abs(math.log(ratios.get(name, 1.0))) > SAME]
    if others:
        first, second = names(a, b)
        told = _listed([f"{number(ratios[name])} times the {CALLED.get(name, name)}" for name in others])
        yield f"Beside that {first} has {told} of {second}."
    if money:
        pair = " against ".join(money.shown(cost) for cost in money.costs)
        yield f"Their active material costs {pair}: no waste, no work, a rotor counted as a solid cylinder."
    yield from _briefs(a, b)
    for name, design in zip(names(a, b), (a, b), strict=True):
        if not design.feasible and design.values["torque"] > 0.0:
            yield f"{capital(name)} does not meet its brief: {design.reasons[0]}."


def _briefs(a, b):
    """Return the sentence on the fields in which two briefs differ, as a list."""
    differ = [f"{name} ({one} against {other})" for name, (one, other) in _different(a, b).items()]
    if len(differ) > TOLD:
        differ = [*differ[:TOLD], f"{len(differ) - TOLD} more"]
    return [f"Their briefs differ in {_listed(differ)}."] if differ else []


def _different(a, b):
    """Return the fields in which the briefs of two designs differ, as typed: {name: (one, other)}."""
    if a.brief is None or b.brief is None or a.brief is b.brief:
        return {}
    fields = [f.name for f in dataclasses.fields(a.brief) if f.init]
    pairs = {name: (_typed(a.brief, name), _typed(b.brief, name)) for name in fields}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def _typed(brief, name):
    """Return a field of a brief as it was typed, as text."""
    given = getattr(brief, name)
    if given is None:
        return "left open"
    if isinstance(given, tuple):
        return " to ".join(str(one) for one in given)
    return units.show(given) if units.is_quantity(given) else str(given)
