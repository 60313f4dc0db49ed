"""Fields of a brief: how one is declared, and how what was typed for it is read, strictly and into SI."""

from dataclasses import field

from scaling.decision import trade_words, uncertainty
from scaling.decision.cooling import read_cooling
from scaling.ground import insulation, messages, spellings, units
from scaling.ground.quantities import QUANTITY_KINDS

RENAMED = {"spreads": "uncertainties"}  # names of earlier versions
GONE = {  # fields of earlier versions, and what is in their place
    "starting_current_ratio": "the current at standstill follows from voltage, rotor and leakage, and is a design's "
    "figure starting_current; end_leakage, slot_opening_ratio and rotor_slot_opening_ratio change it",
}


def given(kind, default, doc, *, zero=False, low=None, high=None, optional=False, pair=False):
    """Return a field that holds a quantity of a kind, or None if optional, or a (low, high) pair."""
    meta = {
        "kind": kind,
        "doc": doc,
        "zero": zero,
        "low": low,
        "high": high,
        "optional": optional,
        "pair": pair,
    }
    return field(default=default, metadata=meta)


def rise_or_class(default, doc):
    """Return a field that holds a temperature rise, or a thermal class that stands for one."""
    made = given("temperature rise", default, doc)
    return field(default=default, metadata={**made.metadata, "class": True})


def one_of(default, choices, doc):
    """Return a field that holds one of some names."""
    return field(default=default, metadata={"choices": tuple(choices), "optional": default is None, "doc": doc})


def yes_no(default, doc):
    """Return a field that holds True or False."""
    return field(default=default, metadata={"bool": True, "doc": doc})


def read(f, value):
    """Return a field's value in SI, or raise an error that names the field."""
    meta = f.metadata
    if value is None and meta.get("optional"):
        return None
    if "choices" in meta:
        return messages.choice(value, meta["choices"], f.name, trade_words.VALUES.get(f.name, {}))
    if "bool" in meta:
        if not isinstance(value, bool):
            raise TypeError(f"{f.name}: got {messages.shorten(value)}; expected True or False")
        return value
    if "cooling" in meta:
        return read_cooling(value)
    if "class" in meta:
        return _read_rise(f, value)
    if "poles" in meta:
        return None if isinstance(value, str) and value == "best" else _read_poles(value)
    return _read_number(f, value)


def _read_number(f, value):
    """Return a number in SI, its spread, or a (low, high) pair."""
    meta = f.metadata
    uncertain = uncertainty.read(f.name, value, meta, lambda one: bounded(f.name, meta["kind"], one, meta))
    if uncertain is not None:
        return uncertain
    if meta["pair"] and isinstance(value, (tuple, list)):
        if len(value) != 2:
            raise ValueError(f"{f.name}: got {len(value)} values; expected one value or a (low, high) pair")
        low, high = (bounded(f.name, meta["kind"], v, meta) for v in value)
        if low > high:
            raise ValueError(
                f"{f.name}: got {messages.shorten(value)}, upside down; expected a (low, high) pair, low first"
            )
        return low, high
    return bounded(f.name, meta["kind"], value, meta)


def bounded(name, kind, value, meta):
    """Return a number of a kind in SI within the bounds of a field's metadata, or raise an error that names it."""
    number = units.read(value, kind, name, zero_allowed=meta.get("zero", False))
    low, high = meta.get("low"), meta.get("high")
    if (low is not None and number < low) or (high is not None and number > high):
        unit = QUANTITY_KINDS[kind].unit
        ends = {"at least": low, "at most": high}
        expected = " and ".join(f"{word} {end:g} {unit}".strip() for word, end in ends.items() if end is not None)
        told = filter(None, (f"expected {expected}", spellings.meant(value, kind)))
        raise ValueError(f"{name}: got {messages.shorten(value)}; {'; '.join(told)}")
    return number


def _read_rise(f, value):
    named = insulation.read(value, f.name)
    if named is not None:
        return named
    try:
        return _read_number(f, value)
    except (TypeError, ValueError) as error:
        raise type(error)(f"{error} Or a thermal class: {insulation.WITH_RISE}.") from error


def _read_poles(value):
    try:
        return bounded("pole_pairs", "positive integer", value, {"high": 200})
    except (TypeError, ValueError) as error:
        raise type(error)(f"{error} Or 'best'.") from error
