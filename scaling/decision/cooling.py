"""How what was typed for the cooling of a brief is read: a mode, a code of IEC 60034-6, or a coefficient."""

import re

from scaling.decision import trade_words, uncertainty
from scaling.ground import messages, units
from scaling.models.heat import MODES

# IEC 60034-6: numeral of the circuit, then coolant letter and numeral of what moves it, primary and secondary; the
# letter A, and a 7 after W, are left out in the short form. 410, 411, 416, 418, and 40, 41, 48 of earlier editions,
# seen in suppliers' explanations of the code; those of liquids composed by the rule, from memory.
CODES = {
    "40": "still air",
    "41": "shaft fan",
    "48": "forced air",
    "410": "still air",
    "4A1A0": "still air",
    "411": "shaft fan",
    "4A1A1": "shaft fan",
    "416": "forced air",
    "4A1A6": "forced air",
    "418": "forced air",
    "4A1A8": "forced air",
    "71W": "water jacket",
    "7A1W7": "water jacket",
    "70W": "water jacket",
    "7A0W7": "water jacket",
    "3W7": "water jacket",
    "71U7": "oil jacket",
    "7A1U7": "oil jacket",
    "7A0U7": "oil jacket",
    "3U7": "oil jacket",
}
FINNED = (
    "41",
    "48",
    "411",
    "416",
    "418",
    "4A1A1",
    "4A1A6",
    "4A1A8",
)  # motors of these codes have finned frames (common practice)
FINS = 2.0  # surface over the bare outside: common practice
CIRCUITS = {  # first numeral of a code that is not in CODES
    "0": "the air around is drawn through the machine",
    "1": "air is piped in and blown through the machine",
    "2": "air is blown through the machine and piped away",
    "3": "a coolant is piped through the machine",
    "4": "the outside is cooled in a way that is not known here",
    "5": "the air inside goes through a cooler built in, into the air around",
    "6": "the air inside goes through a cooler mounted on, into the air around",
    "7": "the air inside goes through a cooler built in, into a coolant from afar",
    "8": "the air inside goes through a cooler mounted on, into a coolant from afar",
    "9": "the air inside goes through a cooler apart",
}


def code_of(typed):
    """Return the code of IEC 60034-6 that was typed, without "IC" and blanks; None if none was.

    Examples
    --------
    >>> code_of("IC 411"), code_of("ic7A1W7"), code_of("IC-416"), code_of("25 W/m^2/K")
    ('411', '7A1W7', '416', None)
    """
    text = re.sub(r"[\s_-]", "", typed).upper() if isinstance(typed, str) else ""
    return text[2:] if text[:2] == "IC" and text[2:3].isdigit() else None


def fins_of(typed):
    """Return the surface with fins over the bare outside that goes with a cooling as it was typed."""
    return FINS if code_of(typed) in FINNED else 1.0


def read_cooling(value):
    """Return a mode's name, or a coefficient from frame to coolant in SI, a number or an uncertain one.

    Raises
    ------
    TypeError, ValueError
        for anything else; of a code that is not modelled it says why, and what to type instead
    """
    code = code_of(value)
    if code is not None:
        return _mode_of(code, value)
    if isinstance(value, str) and not any(ch.isdigit() for ch in value):
        return messages.choice(value, MODES, "cooling", trade_words.VALUES["cooling"])

    def coefficient(one):
        return units.read(one, "heat transfer coefficient", "cooling")

    try:
        uncertain = uncertainty.read("cooling", value, {"kind": "heat transfer coefficient"}, coefficient)
        return coefficient(value) if uncertain is None else uncertain
    except (TypeError, ValueError) as error:
        modes = ", ".join(f"'{mode}'" for mode in MODES)
        raise type(error)(f"{error} Or one of {modes}.") from error


def _mode_of(code, typed):
    if code in CODES:
        return CODES[code]
    short = ", ".join(f"'IC {known}'" for known in ("410", "411", "416", "418", "71W"))
    raise ValueError(
        f"cooling: got {messages.shorten(typed)}: {CIRCUITS[code[0]]}, which is not modelled; expected one of {short}, "
        "a mode, or a coefficient: '60 W/m^2/K' from frame to coolant, or with temperature_drop='none' from winding "
        "to coolant"
    )
