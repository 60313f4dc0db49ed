"""The rooms of `scaling` import only downwards, and outside packages only where they belong."""

import ast
import json
import subprocess
import sys

import pytest
from repository import MACHINE_PATH, ROOT, python_files

ROOMS = ("ground", "laws", "models", "machines", "decision", "pictures", "interface")
TOP = len(ROOMS)  # scaling/*.py stands above all rooms and may import from any

# Outside packages, and where in scaling/ they may be imported. Any other outside package is refused.
OUTSIDE = {
    "numpy": ("",),
    "sympy": ("",),
    "scipy": (
        "models/surrogate.py",
        "models/rings.py",
        "models/section_field.py",
        "decision/uncertainty.py",
        "decision/certainty.py",
    ),
    "pint": ("ground/units.py",),
    "matplotlib": ("pictures/plots.py",),
    "ipywidgets": ("interface/widgets.py",),
    "IPython": ("pictures/", "interface/"),
    "PIL": ("pictures/", "interface/"),
}
BARRED = {"eval", "exec", "sympify", "parse_expr", "__import__"}
LONGEST_FILE = 400
IMPORT_CEILING = 2.0  # times numpy and sympy alone; 1.2 when nothing else runs

MODULES = {str(path.relative_to(ROOT / "scaling")): path for path in python_files("scaling")}
EVERY_FILE = {str(path.relative_to(ROOT)): path for path in python_files("scaling", "tests", "notebooks", ".ci")}


def level(parts):
    """Return the height of a module given by its path or name below `scaling`: a room's place, or TOP."""
    return ROOMS.index(parts[0]) if parts and parts[0] in ROOMS else TOP


def imported(tree, place):
    """Yield (line, dotted name) of all imports in the module at `place`, relative ones made absolute."""
    package = ["scaling", *place.split("/")[:-1]]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            base = ".".join([*above, *([node.module] if node.module else [])])
            # `from scaling import laws` names the room only after the word import.
            names = [f"{base}.{alias.name}" for alias in node.names] if base == "scaling" else [base]
            yield from ((node.lineno, name) for name in names)


def misplaced_imports(source, place):
    """Return what the module at `place` (its path below scaling/) imports but may not."""
    parts, found = place.split("/"), []
    own = level(parts) if len(parts) > 1 else TOP
    for line, name in imported(ast.parse(source), place):
        first, *rest = name.split(".")
        if first == "scaling":
            allowed = own == TOP or level(rest) <= own
        elif first in OUTSIDE:
            allowed = place.startswith(OUTSIDE[first])
        else:
            allowed = first in sys.stdlib_module_names and (first != "importlib" or own == TOP)
        if not allowed:
            found.append(f"scaling/{place}:{line} imports {name}")
    return found


WRITERS = {"laws/compiled.py": ["exec"]}  # turns our own formulas into functions, no text of a reader


def barred_words(source, place):
    """Return uses of `assert` (gone under python -O) and of what would run a reader's text as code."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Assert):
            found.append(f"{place}:{node.lineno} assert")
        name = {ast.Name: "id", ast.Attribute: "attr", ast.alias: "name"}.get(type(node))
        word = name and getattr(node, name).rpartition(".")[2]
        # A method may be called eval or exec; the built-in functions may not be used.
        a_method = isinstance(node, ast.Attribute) and word in ("eval", "exec")
        if word in BARRED and not a_method and word not in WRITERS.get(place, []):
            found.append(f"{place}:{node.lineno} {word}")
    return found


def fresh_import(names="scaling"):
    """Return the seconds an import takes in a new interpreter, and the top names of what it loads."""
    code = (
        "import json, sys, time\n"
        "start = time.perf_counter()\n"
        f"import {names}\n"
        "took = time.perf_counter() - start\n"
        "print(json.dumps([took, sorted({name.partition('.')[0] for name in sys.modules})]))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def test_all_rooms_are_known():
    folders = {place.split("/")[0] for place in MODULES if "/" in place}
    assert folders == set(ROOMS)


@pytest.mark.parametrize("place", MODULES)
def test_imports_point_downwards(place):
    assert misplaced_imports(MODULES[place].read_text(encoding="utf-8"), place) == []


@pytest.mark.parametrize("place", MODULES)
def test_no_assert_and_no_evaluation_of_text(place):
    assert barred_words(MODULES[place].read_text(encoding="utf-8"), place) == []


@pytest.mark.parametrize("name", EVERY_FILE)
def test_file_is_short_and_free_of_machine_paths(name):
    lines = EVERY_FILE[name].read_text(encoding="utf-8").splitlines()
    assert len(lines) <= LONGEST_FILE
    assert [line for line in lines if MACHINE_PATH.search(line)] == []


def test_import_is_light_and_quick():
    runs = [(fresh_import(), fresh_import("numpy, sympy")) for _ in range(3)]
    loaded = runs[0][0][1]
    assert "scaling" in loaded
    assert {"matplotlib", "ipywidgets", "IPython", "pint", "scipy"}.isdisjoint(loaded)
    ratio = min(ours[0] for ours, _ in runs) / min(theirs[0] for _, theirs in runs)
    assert ratio < IMPORT_CEILING, "importing scaling costs little more than numpy and sympy, which it needs"


# Each check above can fail.


@pytest.mark.parametrize(
    ("place", "line"),
    [
        ("ground/units.py", "from scaling.laws import geometry"),
        ("ground/units.py", "from ..laws.geometry import cylinder"),
        ("ground/units.py", "from .. import laws"),
        ("laws/heat.py", "import scaling.machines.stator"),
        ("laws/heat.py", "from scaling import models"),
        ("laws/heat.py", "from scaling import choose"),
        ("laws/heat.py", "import scaling"),
        ("laws/heat.py", "from scaling.field import Layer"),
        ("decision/choose.py", "def late():\n    from scaling.pictures import plots"),
        ("laws/heat.py", "import pint"),
        ("pictures/figures.py", "import matplotlib.pyplot as plt"),
        ("interface/report.py", "from ipywidgets import Image"),
        ("machines/stator.py", "from IPython.display import display"),
        ("models/field.py", "import scipy.optimize"),
        ("models/field.py", "import importlib"),
        ("field.py", "import matplotlib"),
    ],
)
def test_a_misplaced_import_is_seen(place, line):
    assert misplaced_imports(line, place)


@pytest.mark.parametrize(
    ("place", "line"),
    [
        ("laws/heat.py", "from scaling.ground.symbols import symbol"),
        ("laws/heat.py", "from ..ground import symbols"),
        ("laws/heat.py", "from . import geometry"),
        ("laws/heat.py", "from scaling.laws.geometry import cylinder"),
        ("laws/__init__.py", "from .geometry import cylinder"),
        ("interface/widgets.py", "import ipywidgets"),
        ("ground/units.py", "def late():\n    import pint"),
        ("__init__.py", "from scaling.interface import report"),
        ("field.py", "from scaling.models.field import Layer"),
        ("models/field.py", "import functools\nimport numpy as np"),
    ],
)
def test_a_proper_import_is_allowed(place, line):
    assert misplaced_imports(line, place) == []


@pytest.mark.parametrize(
    "line",
    [
        "assert size > 0",
        "eval(text)",
        "exec(text)",
        "sp.sympify(text)",
        "from sympy import sympify",
        "from sympy.parsing.sympy_parser import parse_expr",
        "__import__(text)",
    ],
)
def test_a_barred_word_is_seen(line):
    assert barred_words(line, "laws/heat.py")


def test_evaluating_an_expression_is_allowed():
    assert barred_words("value = expression.evalf()", "laws/heat.py") == []


@pytest.mark.parametrize("start", ["home/ada/x", "root/x", "tmp/x", "Users/ada/x", "work/x"])
def test_a_machine_path_is_seen(start):
    assert MACHINE_PATH.search(f"open('/{start}')")
    assert not MACHINE_PATH.search(f"see notes/{start}")
