"""What the dense searches of `brute_force` find, kept so that a run of the tests does not search all of them anew.

An answer counts as long as neither the dense search, nor what it takes from the package, nor the brief in SI has
changed since; else it is searched, and a test says that the file is old.

    python tests/dense_answers.py      search what is old, and write the file
"""

import hashlib
import json
import re
from pathlib import Path

import brute_force

HERE = Path(__file__).resolve().parent
FILE = HERE / "dense_answers.json"
PACKAGE = HERE.parent / "scaling"
LAWS = "bearings", "friction", "saliency", "strength", "supply"  # what the dense search takes from it, and the rest
TAKEN = "ground/*.py", "models/friction.py", "models/iron.py", *(f"laws/{name}.py" for name in LAWS)
EVERY = 16  # of the cases one is searched in every run


def _sources():
    files = sorted(HERE.glob("brute_*.py")) + sorted(path for some in TAKEN for path in PACKAGE.glob(some))
    text = "\n".join(path.read_text(encoding="utf-8") for path in files)
    return hashlib.sha256(re.sub(r"#.*|[\s\"'(),]", "", text).encode()).hexdigest()  # however it is written down


SOURCES = _sources()


def key(kind, si, merit):
    """Return what an answer depends on, as a short text."""
    asked = sorted((name, value) for name, value in vars(si).items() if value is not None)
    given = f"{SOURCES} {kind} {merit} {asked}"
    return hashlib.sha256(given.encode()).hexdigest()[:16]


def kept():
    """Return the answers of the file, {name of the case: (key, merit)}."""
    return json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}


KEPT = kept()


def is_current(name, kind, si, merit):
    """Tell whether the file has the answer of a case."""
    return KEPT.get(name, [None])[0] == key(kind, si, merit)


def largest_merit(name, kind, si, merit, anew=False):
    """Return the merit that a dense search finds: the kept one if it is current and not to be searched anew."""
    if not anew and is_current(name, kind, si, merit):
        return KEPT[name][1]
    return float(brute_force.search(kind, si, merit).merit)


def write(cases):
    """Write the answers of cases, {name: (kind, brief in SI, merit)}."""
    made = {name: [key(*case), largest_merit(name, *case)] for name, case in cases.items()}
    FILE.write_text(json.dumps(made, indent=0) + "\n", encoding="utf-8")


if __name__ == "__main__":
    from test_optimum import CASES, brief_of, name

    write({name(case): (case[0], brief_of(case).si, case[2]) for case in CASES})
