"""Measure what each assumption of the model changes, for the band of a tie: writes ``scaling/decision/bands.json``.

    python tests/measure_bands.py

Some five minutes; no part of the suite, which measures two of its numbers again (``tests/test_bands.py``). Every size
is measured at itself and at neighbours some per cent away, and the median taken: what a search makes of one size only
is no change.
"""

import argparse
import json
from concurrent.futures import ProcessPoolExecutor
from itertools import product

import numpy as np

from scaling import Brief, Q
from scaling.decision import bands
from scaling.decision.assumptions import changes, swept
from scaling.decision.merits import MERITS

SIZES = (1, 3, 10, 30, 100, 300)  # mm
NEIGHBOURS = (0.8, 0.9, 1.0, 1.1, 1.2)
LEAST = 3  # neighbours at which a kind must have torque
BRIEF = {"gap_floor": "20 um", "cooling": "still air"}
SUPPLIES = {"fixed": "50 Hz", "drive": ("10 Hz", "100 Hz")}
DIGITS = 4


def measured(merit, supply, sizes=SIZES):
    """Return {kind: {assumption: change of the logarithm of merit at every size, None where there is no torque}}."""
    brief = Brief(rotor_diameter="20 mm", supply_frequency=SUPPLIES[supply], **BRIEF)
    plain, tables = swept(brief, Q(np.outer(sizes, NEIGHBOURS).ravel(), "mm"), merit)
    found = {kind: {} for kind in plain.merit}
    for row, table in tables.items():
        for kind, change in changes(plain, table).items():
            found[kind][row.name] = [_middle(some) for some in change.reshape(len(sizes), -1)]
    return found


def _middle(values):
    """Return the median of those that are known, None if they are few."""
    known = values[np.isfinite(values)]
    return round(float(np.median(known)), DIGITS) + 0.0 if known.size >= LEAST else None


def written(found):
    """Return the text of the file: one line for a kind and an assumption."""
    about = {
        "made by": "python tests/measure_bands.py",
        "meaning": "change of the natural logarithm of a kind's best merit with the alternative of an assumption, "
        "along the sizes; median over neighbouring sizes; null where the kind has no torque",
        "brief": BRIEF,
        "supplies": SUPPLIES,
        "neighbours": NEIGHBOURS,
        "rotor_diameters_mm": SIZES,
    }
    text = json.dumps(about | {"log_change": found}, indent=1)
    head, *parts = text.split("[")
    lines = [part.split("]", 1) for part in parts]
    return head + "".join(f"[{' '.join(inside.split())}]{rest}" for inside, rest in lines) + "\n"


def main():
    """Measure all merits on all supplies."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    cases = list(product(MERITS, SUPPLIES))
    found = {merit: {} for merit in MERITS}
    with ProcessPoolExecutor() as pool:
        for (merit, supply), table in zip(cases, pool.map(measured, *zip(*cases, strict=True)), strict=True):
            found[merit][supply] = table
            print(f"{merit}, {supply}: measured", flush=True)
    bands.MEASURED.write_text(written(found), encoding="utf-8")


if __name__ == "__main__":
    main()
