"""Every public function says what it does; its parameters, where listed, are those of its signature."""

import importlib
import inspect
import pkgutil
import re

import pytest

import scaling
from scaling.laws.formula import Formula

FRONT = {  # what readers call: has every section a page of a handbook has
    **{f"scaling.{name}": getattr(scaling, name) for name in scaling.__all__},
    **{
        f"{module}.{name}": getattr(importlib.import_module(module), name)
        for module, names in {
            "scaling.field": ("Layer", "Ring", "rotating_wave", "travelling_wave"),
            "scaling.interface.widgets": ("atlas_explorer", "explore", "step_through"),
            "scaling.pictures.atlas": ("plot_atlas", "read_points"),
            "scaling.pictures.curves": ("plot_peaks",),
            "scaling.pictures.fields": ("draw_field_lines", "draw_turning_vector"),
            "scaling.pictures.round_fields": ("draw_round_field_lines",),
            "scaling.pictures.design_fields": ("draw_design_field",),
            "scaling.laws.exponents": ("elasticity", "changeover"),
        }.items()
        for name in names
    },
}
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)


def public():
    """Yield (name, object) of every public function, class and method of the package, formulas aside."""
    for info in pkgutil.walk_packages(scaling.__path__, "scaling."):
        module = importlib.import_module(info.name)
        for name, thing in vars(module).items():
            own = getattr(thing, "__module__", None) == info.name
            if thing is Formula:  # its docstring is made anew for every formula
                continue
            if name.startswith("_") or not own or not (inspect.isfunction(thing) or inspect.isclass(thing)):
                continue
            yield f"{info.name}.{name}", thing
            if inspect.isclass(thing):
                for inner, method in vars(thing).items():
                    if inspect.isfunction(method) and not inner.startswith("_"):
                        yield f"{info.name}.{name}.{inner}", method


PUBLIC = dict(public())


def sections(thing):
    """Return {heading: text} of a docstring."""
    text = inspect.getdoc(thing) or ""
    marks = list(SECTION.finditer(text))
    ends = [mark.start() for mark in marks[1:]] + [len(text)]
    return {mark.group(1): text[mark.end() : end] for mark, end in zip(marks, ends, strict=False)}


def listed(text):
    """Return the names that a section on parameters lists."""
    heads = re.findall(r"^([\w*][\w*, ]*?)(?: : .*)?$", text, re.MULTILINE)
    return [name.strip() for head in heads for name in head.split(",")]


def parameters(thing):
    return [name for name in inspect.signature(thing).parameters if name != "self"]


@pytest.mark.parametrize("name", PUBLIC)
def test_first_line_is_a_sentence(name):
    first = (inspect.getdoc(PUBLIC[name]) or "").partition("\n")[0]
    assert first, f"{name} has no docstring"
    assert first[0].isupper() or first[0] in "`{", first
    assert first[-1] in ".;:", first


@pytest.mark.parametrize("name", [n for n, thing in {**PUBLIC, **FRONT}.items() if "Parameters" in sections(thing)])
def test_listed_parameters_are_those_of_the_signature(name):
    thing = {**PUBLIC, **FRONT}[name]
    assert sorted(listed(sections(thing)["Parameters"])) == sorted(parameters(thing))


@pytest.mark.parametrize("name", FRONT)
def test_what_readers_call_lists_parameters_errors_and_an_example(name):
    found, text = sections(FRONT[name]), inspect.getdoc(FRONT[name])
    assert "Examples" in found or ">>>" in text
    if inspect.isfunction(FRONT[name]):
        assert {"Parameters", "Raises"} <= set(found) or "as ``exponent``" in text


def test_every_formula_is_listed_with_unit_validity_and_source():
    formulas = [thing for module in vars(importlib.import_module("scaling.laws")).values() if inspect.ismodule(module)
                for thing in vars(module).values() if isinstance(thing, Formula)]  # fmt: skip
    assert len(formulas) > 50
    for law in formulas:
        assert law.unit and law.source and law.valid
        assert all(name in law.__doc__ for name in law.args), law.__name__


def test_a_wrong_list_is_seen():
    def wrong(a, b):
        """Return nothing.

        Parameters
        ----------
        a, c : float
            two numbers
        """

    assert listed(sections(wrong)["Parameters"]) == ["a", "c"] != parameters(wrong)
