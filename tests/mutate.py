"""Change the package in one small place at a time and see whether a test notices. Not part of the suite.

    python tests/mutate.py --count 40 --seed 1            # takes about half an hour; prints one line each
    python tests/mutate.py --only laws/wire.py:31         # every change of one line

Each change is made in a copy of the project; the tests run there until the first one fails. Notebooks and the browser
run only where all others passed. A survivor is a test that is missing, or a change that means nothing: say which.

The sample of a seed is another one as soon as the code is. A run of forty on 2026-11-30 left two that mean nothing: 122
instants instead of 121 in the drawn curve of a heating (decision/heating.py), and 1.05e-3 instead of 1e-3 as what
counts as being at a limit (machines/operation.py).
"""

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
ROOMS = ("laws", "machines", "decision")
LEFT = shutil.ignore_patterns(".git", ".venv", "__pycache__", "*.egg-info", ".ruff_cache", ".mypy_cache")
# What says nothing of behaviour to a test: sources, ranges, words, looks.
WORDS = {"source", "valid", "meaning", "clause", "row", "look", "hatch"}
OPERATORS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Lt: ast.GtE, ast.GtE: ast.Lt,
    ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.And: ast.Or, ast.Or: ast.And,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
NAMES = {"minimum": "maximum", "maximum": "minimum", "Min": "Max", "Max": "Min", "sin": "cos", "cos": "sin",
         "sinh": "cosh", "cosh": "sinh", "any": "all", "all": "any", "min": "max", "max": "min"}  # fmt: skip
HAIR = 1e-5  # smaller numbers are tolerances, and their inverses stand for infinity: 5 % of them mean nothing
FIRST = ("--ignore=tests/test_browser.py", "--ignore=tests/test_wheel.py", "--ignore=tests/test_typing.py",
         "--deselect=tests/test_docstrings.py", "tests", "scaling", "README.md")  # fmt: skip
REST = ("tests/test_browser.py", "notebooks")


class _Changer(ast.NodeTransformer):
    """Walks a module, counts the places that can be changed, and changes the one wanted."""

    def __init__(self, wanted=None):
        self.wanted, self.places, self.told = wanted, [], None

    def _place(self, node, told, changed):
        self.places.append((node.lineno, told))
        if len(self.places) - 1 != self.wanted:
            return node
        self.told = f"line {node.lineno}: {told}"
        return ast.copy_location(changed(), node)

    def visit_keyword(self, node):
        return node if node.arg in WORDS else self.generic_visit(node)

    def visit_Expr(self, node):
        return node if isinstance(node.value, ast.Constant) else self.generic_visit(node)

    def visit_JoinedStr(self, node):
        return node

    def visit_ImportFrom(self, node):
        return node

    def visit_arg(self, node):
        return node

    def visit_AnnAssign(self, node):
        node.value = node.value and self.visit(node.value)
        return node

    def visit_Constant(self, node):
        if isinstance(node.value, bool):
            return self._place(node, f"{node.value} -> {not node.value}", lambda: ast.Constant(not node.value))
        if not isinstance(node.value, (int, float)) or 0 < abs(node.value) < HAIR or abs(node.value) > 1 / HAIR:
            return node
        other = node.value + 1 if isinstance(node.value, int) else node.value * 1.05 or 0.05
        return self._place(node, f"{node.value} -> {other:.6g}", lambda: ast.Constant(other))

    def visit_BinOp(self, node):
        self.generic_visit(node)
        if type(node.op) not in OPERATORS:
            return node
        new = OPERATORS[type(node.op)]()
        told = f"{type(node.op).__name__} -> {type(new).__name__} in {ast.unparse(node)}"
        return self._place(node, told, lambda: ast.BinOp(node.left, new, node.right))

    def visit_Compare(self, node):
        self.generic_visit(node)
        if len(node.ops) > 1 or type(node.ops[0]) not in OPERATORS:
            return node
        new = OPERATORS[type(node.ops[0])]()
        told = f"{type(node.ops[0]).__name__} -> {type(new).__name__} in {ast.unparse(node)}"
        return self._place(node, told, lambda: ast.Compare(node.left, [new], node.comparators))

    def visit_BoolOp(self, node):
        self.generic_visit(node)
        new = OPERATORS[type(node.op)]()
        return self._place(node, f"{type(node.op).__name__} swapped", lambda: ast.BoolOp(new, node.values))

    def visit_UnaryOp(self, node):
        self.generic_visit(node)
        if not isinstance(node.op, (ast.Not, ast.USub, ast.Invert)):
            return node
        return self._place(node, f"{type(node.op).__name__} dropped from {ast.unparse(node)}", lambda: node.operand)

    def visit_Attribute(self, node):
        self.generic_visit(node)
        if node.attr not in NAMES:
            return node
        new = NAMES[node.attr]
        return self._place(node, f"{node.attr} -> {new}", lambda: ast.Attribute(node.value, new, node.ctx))


def places(path):
    """Return [(line, what would change)] of a file."""
    changer = _Changer()
    changer.visit(ast.parse(path.read_text(encoding="utf-8")))
    return changer.places


def changed(path, wanted):
    """Return (text of a file with one place changed, what was changed)."""
    changer = _Changer(wanted)
    tree = changer.visit(ast.parse(path.read_text(encoding="utf-8")))
    return ast.unparse(ast.fix_missing_locations(tree)), changer.told


def tests_fail(folder, chosen, processes):
    """Return the first failing test of a run, an empty string where all pass."""
    arguments = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-n", str(processes), *chosen]
    here = os.environ | {"PYTHONPATH": str(folder)}  # for the kernels of notebooks
    run = subprocess.run(arguments, cwd=folder, env=here, capture_output=True, text=True, timeout=3600)
    if run.returncode == 0:
        return ""
    failed = [line for line in run.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return failed[0][:110] if failed else f"pytest ended with {run.returncode}: {run.stdout[-110:]} {run.stderr[-110:]}"


def nearest(module):
    """Return the test files that name a module, the docstrings' own where there are none."""
    files = sorted((ROOT / "tests").glob("test_*.py"))
    return [f"tests/{file.name}" for file in files if module in file.read_text(encoding="utf-8")] or ["scaling"]


class Change:
    """One change of one file, and what noticed it."""

    def __init__(self, path, wanted):
        self.name = path.relative_to(ROOT / "scaling")
        self.text, self.told = changed(path, wanted)
        self.noticed, self.seconds = "", 0.0

    def run(self, chosen, processes):
        """Run tests on a copy of the project with the change in it."""
        start = time.perf_counter()
        with tempfile.TemporaryDirectory() as place:
            folder = shutil.copytree(ROOT, Path(place) / "project", ignore=LEFT)
            (folder / "scaling" / self.name).write_text(self.text, encoding="utf-8")
            self.noticed = next(filter(None, (tests_fail(folder, some, processes) for some in chosen)), "")
        self.seconds += time.perf_counter() - start

    def __str__(self):
        return f"{self.noticed or 'SURVIVED'} [{self.seconds:.0f} s] {self.name} {self.told}"


def picked(given):
    """Return the changes asked for."""
    files = [path for room in ROOMS for path in sorted((ROOT / "scaling" / room).glob("*.py"))]
    found = [(path, i, line) for path in files for i, (line, _) in enumerate(places(path))]
    if not given.only:
        return [Change(path, wanted) for path, wanted, _ in random.Random(given.seed).sample(found, given.count)]
    name, line = given.only.split(":")
    return [Change(path, i) for path, i, at in found if path == ROOT / "scaling" / name and at == int(line)]


def main():
    """Run the changes asked for: the tests nearest to each, then all others on what is left."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", help="file:line below scaling/, instead of a sample")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--list", action="store_true", help="name the changes, run nothing")
    given = parser.parse_args()
    changes = picked(given)
    if given.list:
        print(*(f"{change.name} {change.told}" for change in changes), sep="\n")
        return
    for change in changes:
        change.run([nearest(change.name.stem)], given.processes)
        print(change if change.noticed else f"not yet: {change.name} {change.told}", flush=True)
    print("all other tests, on what is left", flush=True)
    for change in (change for change in changes if not change.noticed):
        change.run([FIRST, REST], given.processes)
        print(change, flush=True)
    print(f"{sum(not change.noticed for change in changes)} of {len(changes)} survived")


if __name__ == "__main__":
    main()
