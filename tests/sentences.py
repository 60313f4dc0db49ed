"""Sentences that say why one design is ahead of another, over sizes, supplies and merits, kept in ``sentences.json``.

After a change of the models or the words: ``python tests/sentences.py``, then read every one aloud.
"""

import json
import math
import re
from pathlib import Path

from scaling import Brief, choose
from scaling.decision.compare import compare
from scaling.decision.masses import MATERIALS

KEPT = Path(__file__).with_name("sentences.json")
PRICES = dict.fromkeys(MATERIALS, 2.0) | {"copper": 9.0, "sintered neodymium": 60.0}
AIR, WATER = {"cooling": "still air"}, {"cooling": "water"}
DRIVE = {"supply_frequency": ("5 Hz", "100 Hz")}
FREE = {"self_starting": False}


def made(size, merit="torque per volume", **given):
    """Return the choice of a brief."""
    return choose(Brief(rotor_diameter=size, **given), merit)


def chosen(size, merit="torque per volume", **given):
    """Return the sentence of a choice, as a function."""
    return lambda: made(size, merit, **given).reason


def compared(first, second, by, prices=None):
    """Return the sentences of a comparison of two designs, each made by a function, as a function."""
    return lambda: compare(first(), second(), by, prices, "EUR" if prices else "").reason


def design(kind, size, **given):
    """Return a function that makes a design; of the kind "best" that of the winner."""
    return lambda: made(size, **given).best if kind == "best" else made(size, **given)[kind]


CASES = {
    "1 mm in still air": chosen("1 mm", gap_floor="10 um"),
    "3 mm in still air": chosen("3 mm", gap_floor="20 um"),
    "10 mm in step": chosen("10 mm", synchronous=True),
    "20 mm": chosen("20 mm"),
    "30 mm on one phase": chosen("30 mm", supply="single-phase", pole_pairs=1),
    "30 mm by efficiency": chosen("30 mm", "efficiency", pole_pairs=2, **FREE),
    "20 mm by torque per root watt": chosen("20 mm", "torque per root watt", pole_pairs=1, **FREE),
    "60 mm on a drive by power": chosen("60 mm", "power per volume", pole_pairs=1, **DRIVE),
    "100 mm with a shaft fan": chosen("100 mm", cooling="shaft fan", pole_pairs=2),
    "200 mm in water by mass": chosen("200 mm", "torque per mass", pole_pairs=2, **WATER, **FREE),
    "300 mm on a drive, magnets allowed": chosen("300 mm", magnets_allowed=True, pole_pairs=3, **DRIVE),
    "why not the magnet, 20 mm": compared(design("magnet", "20 mm"), design("best", "20 mm"), "torque per volume"),
    "why not the magnet, with prices": compared(design("magnet", "60 mm"), design("best", "60 mm"), "torque", PRICES),
    "why not the magnet, cost": compared(design("magnet", "60 mm"), design("best", "60 mm"), "cost", PRICES),
    "why not the magnet, too hot": compared(
        design("magnet", "20 mm", ambient="130 degC"), design("best", "20 mm", ambient="130 degC"), "torque"
    ),
    "why not the magnet, beyond its grade": compared(
        design("magnet", "20 mm", ambient="155 degC"), design("best", "20 mm", ambient="155 degC"), "torque"
    ),
    "water instead of air": compared(design("induction", "20 mm", **WATER), design("induction", "20 mm"), "torque"),
    "three times the size": compared(design("induction", "60 mm"), design("induction", "20 mm"), "losses"),
    "a runner-up's torque": compared(design("hysteresis", "60 mm"), design("induction", "60 mm"), "torque"),
    "a mass": compared(design("induction", "60 mm"), design("reluctance", "60 mm"), "mass"),
    "an envelope": compared(
        design("induction", "3 mm", gap_floor="20 um"), design("hysteresis", "3 mm", gap_floor="20 um"), "envelope"
    ),
    "one design with itself": compared(design("induction", "20 mm"), design("induction", "20 mm"), "power"),
}


def said():
    """Return {case: sentences}."""
    return {name: sentences() for name, sentences in CASES.items()}


def taken_apart(text):
    """Return (ratio, [factors for it], [factors against it], the rest) as the first of some sentences says them."""
    head, _, body = text.partition(": it has ")
    body = re.split(r"\.(?= [A-Z]|$)", body)[0]
    body, _, rest = body.partition("; all else makes ")
    ours, _, against = body.partition(", but ")
    number = re.compile(r"([\d.]+) times ")
    (ratio,) = number.findall(head)
    rests = number.findall(rest + " ")
    return float(ratio), number.findall(ours), number.findall(against), float(rests[0]) if rests else 1.0


def half_a_digit(text):
    """Return by how much a number as it is printed may be off, as a part of it."""
    digits = text.replace(".", "").lstrip("0")
    last = -len(text.partition(".")[2]) if "." in text else len(digits) - len(digits.rstrip("0"))
    return 0.5 * 10.0**last / float(text)


def faults(text):
    """Return what a colleague would not sign in some sentences."""
    found = [
        word
        for word in ("nan", "inf", "(s)", "None", "e+", "e-", "  ", "..", "a factor", "at most 0.5")
        if word in text
    ]
    found += ["begins small, or does not end"] if not (text[0].isupper() and text.endswith(".")) else []
    found += [
        f"{pair[0]} against itself" for pair in re.findall(r"\(([\d.]+) against ([\d.]+)\b", text) if pair[0] == pair[1]
    ]
    if ": it has " not in text:
        return found
    ratio, ours, against, rest = taken_apart(text)
    product = math.prod(map(float, ours + against)) * rest
    off = (
        sum(map(half_a_digit, [f"{ratio:g}", *ours, *against])) + 0.008
    )  # what is left out, and the digits of the rest
    if not abs(math.log(product / ratio)) < off:
        found.append(f"{product:.3g} instead of {ratio:.3g}")
    if "leads" in text.partition(": it has ")[0] and ratio < 1.0:
        found.append("leads from behind")
    sides = [
        *((float(x) >= 1.0) == (ratio >= 1.0) for x in ours),
        *((float(x) >= 1.0) != (ratio >= 1.0) for x in against),
    ]
    if ours and not all(sides):
        found.append("a factor on the wrong side of but")
    if any(float(x) == 1.0 for x in ours + against):
        found.append("a factor of nothing")
    return found


if __name__ == "__main__":
    KEPT.write_text(json.dumps(said(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    for name, text in json.loads(KEPT.read_text(encoding="utf-8")).items():
        print(f"{name}: {text}\n    {'; '.join(faults(text)) or 'well said'}")
