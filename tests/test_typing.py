"""The public surface is annotated, and mypy finds nothing wrong with it."""

import dataclasses
import inspect
import subprocess
import sys

import pytest
from repository import ROOT

import scaling
from scaling import field
from scaling.decision import binding, choose, curve, design, heating, running, size_for, sweep

PUBLIC = {f"{module.__name__}.{name}": getattr(module, name) for module in (scaling, field) for name in module.__all__}
FUNCTIONS = [name for name, thing in PUBLIC.items() if inspect.isfunction(thing) and thing.__module__.count("decision")]
RECORDS = [
    *(scaling.Brief, choose.Choice, design.Design, sweep.Sweep, sweep.Crossover, binding.Binding, heating.Heating),
    *(heating.Overload, running.Running, size_for.Sizing, size_for.Range, curve.Point, curve.PullIn, curve.RunUp),
]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_of_the_decision_is_annotated(name):
    signature = inspect.signature(PUBLIC[name])
    assert signature.return_annotation is not inspect.Signature.empty
    assert all(p.annotation is not inspect.Parameter.empty for p in signature.parameters.values())


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.__name__)
def test_a_public_record_says_more_than_object(record):
    assert all(f.type not in (object, "object") for f in dataclasses.fields(record))


def test_mypy_is_content_with_the_public_surface(tmp_path):
    found = subprocess.run(
        [sys.executable, "-m", "mypy", "--cache-dir", str(tmp_path)], cwd=ROOT, capture_output=True, text=True
    )
    assert found.returncode == 0, found.stdout + found.stderr
