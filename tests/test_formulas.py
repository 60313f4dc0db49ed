"""Every formula of the package, one by one: its words, its units, its value by two routes, its shapes, its refusals."""

import importlib
import pickle
import pkgutil
import re

import mpmath
import numpy as np
import pint
import pytest
import sympy as sp

from scaling import laws
from scaling.ground import symbols
from scaling.ground.symbols import CONSTANTS, ENTRIES, symbol
from scaling.ground.units import registry
from scaling.laws.formula import REGISTRY, formula

for module in pkgutil.iter_modules(laws.__path__):
    importlib.import_module(f"{laws.__name__}.{module.name}")
EACH = pytest.mark.parametrize("law", [pytest.param(law, id=name) for name, law in sorted(REGISTRY.items())])
SECTIONS = ("Parameters", "Returns", "Raises", "Validity", "Source")


def sections(doc):
    """Return {heading: its lines} of a docstring whose headings are underlined."""
    parts = re.split(r"^(\w+)\n-{3,}\n", doc, flags=re.MULTILINE)
    return {heading: body.strip().splitlines() for heading, body in zip(parts[1::2], parts[2::2], strict=True)}


def docstring_faults(doc, args, of):
    """Return what a formula's docstring lacks: summary, every quantity with the unit of the table, validity, source."""
    faults, found = [], sections(doc)
    summary = doc.partition("\n")[0]
    if not re.fullmatch(r"Return (\S.*\S)\.", summary):
        faults.append(f"summary {summary!r}")
    faults += [f"no {heading}" for heading in SECTIONS if not "".join(found.get(heading, [])).strip()]
    rows = found.get("Parameters", [])
    listed = [row.partition(" : ")[0] for row in rows if " : " in row and not row.startswith(" ")]
    if listed != list(args):
        faults.append(f"parameters {listed} instead of {list(args)}")
    for name, lines in [(name, rows) for name in args] + [(of, found.get("Returns", []))]:
        starts = [i for i, row in enumerate(lines) if row.startswith(f"{name} : ")]
        text = lines[starts[0] + 1] if starts and starts[0] + 1 < len(lines) else ""
        if not re.fullmatch(rf"    \S.* \[{re.escape(ENTRIES[name].unit)}\]", text):
            faults.append(f"{name} without meaning and unit: {text!r}")
    return faults


def points(law, count=5):
    """Return random points, all quantities within 0.2 to 5 of their SI unit, at which a formula has a finite value."""
    rng = np.random.default_rng(20)
    draws = {name: np.exp(rng.uniform(np.log(0.2), np.log(5.0), 500)) for name in law.args}
    with np.errstate(invalid="ignore"):  # roots of negative numbers: outside the formula's range
        usable = np.flatnonzero(np.isfinite(law(**draws)))[:count]
    assert len(usable) == count
    return [{name: float(values[i]) for name, values in draws.items()} for i in usable]


def dimension(expr, point):
    """Return the dimensionality Pint finds for an expression of quantities in their units, constants included."""
    unit = registry().Quantity
    values = point | {str(constant): value for constant, value in CONSTANTS.items()}
    evaluate = sp.lambdify([symbol(name) for name in values], expr, "numpy")
    return unit(evaluate(*(unit(value, ENTRIES[name].unit) for name, value in values.items()))).dimensionality


def test_a_module_of_formulas_holds_nothing_else():
    """A public function beside the formulas would escape every check below."""
    for home in sorted({law.__module__ for law in REGISTRY.values()}):
        own = {n for n, v in vars(importlib.import_module(home)).items() if getattr(v, "__module__", None) == home}
        assert {name for name in own if not name.startswith("_")} <= set(REGISTRY)


@EACH
def test_docstring_is_complete(law):
    assert docstring_faults(law.__doc__, law.args, law.of) == []


@EACH
def test_every_quantity_stands_in_the_symbol_table(law):
    assert {*law.args, law.of} <= set(ENTRIES)
    assert {str(s) for s in law.expr.free_symbols - set(CONSTANTS)} <= set(law.args)
    assert law.unit == ENTRIES[law.of].unit


@EACH
def test_dimension_is_that_of_the_unit(law):
    assert dimension(law.expr, points(law, 1)[0]) == registry().Unit(law.unit).dimensionality


@EACH
def test_numpy_gives_the_value_of_sympy(law):
    for point in points(law):
        with mpmath.workdps(30):
            exact = {symbol(name): mpmath.mpf(value) for name, value in point.items()}
            exact |= {constant: mpmath.mpf(value) for constant, value in CONSTANTS.items()}
            value = sp.lambdify(list(exact), law.expr, "mpmath")(*exact.values())
            assert law(**point) == pytest.approx(float(value), rel=1e-12)


@EACH
def test_result_has_the_broadcast_shape(law):
    point = points(law, 1)[0]
    value = law(**point)
    assert np.shape(value) == ()
    for name in law.args:
        assert law(**point | {name: [point[name]] * 3}) == pytest.approx(np.full(3, value), rel=1e-14)
    first, last = law.args[0], law.args[-1]
    grid = {last: np.full((2, 1, 4), point[last])} | {first: np.full((3, 1), point[first])}
    shape = (2, 3, 4) if first != last else (3, 1)
    assert law(**point | grid) == pytest.approx(np.full(shape, value), rel=1e-14)


@EACH
def test_nan_passes_through(law):
    point = points(law, 1)[0]
    for name in law.args:
        found = law(**point | {name: np.array([np.nan, point[name]])})
        assert np.isnan(found).tolist() == [True, False]


@EACH
def test_wrong_arguments_are_refused(law):
    point = points(law, 1)[0]
    for name in law.args:
        with pytest.raises(TypeError, match=rf"{law.__name__}\(\) needs .*'{name}' is missing"):
            law(**{other: value for other, value in point.items() if other != name})
    with pytest.raises(TypeError, match=r"takes .*\['nonsense'\] is unknown"):
        law(**point, nonsense=1.0)
    with pytest.raises(TypeError, match="positional"):
        law(*point.values())


@EACH
def test_formula_survives_pickling(law):
    assert pickle.loads(pickle.dumps(law)) is law


# The decorator itself


@pytest.fixture
def own_formulas():
    """Let a test register formulas of its own; they are gone afterwards."""
    kept = dict(REGISTRY)
    yield
    REGISTRY.clear()
    REGISTRY.update(kept)


def ratio_of_equals(*, D, L):
    """Return a quantity in which both arguments cancel."""
    return D * L / (L * D)


def test_a_formula_that_cancels_to_a_constant_keeps_the_shape(own_formulas):
    constant = formula("Lambda", source="test", valid="test")(ratio_of_equals)
    assert constant.expr == 1
    found = constant(D=np.ones((3, 1)), L=np.ones(4))
    assert found.shape == (3, 4) and (found == 1).all()
    found[0, 0] = 2  # a copy, not a read-only view whose elements are one
    assert found.sum() == 13


def test_a_formula_that_cancels_to_a_constant_gives_floats(own_formulas):
    constant = formula("Lambda", source="test", valid="test")(ratio_of_equals)
    assert np.asarray(constant(D=np.ones(3), L=1.0)).dtype == float


def test_a_body_with_a_symbol_it_does_not_take_is_refused(own_formulas):
    def careless(*, D):
        """Return a length times a speed."""
        return D * symbol("v_s")

    with pytest.raises(TypeError, match=r"careless uses \['v_s'\] without taking it"):
        _ = formula("D", source="test", valid="test")(careless).expr


def test_a_second_formula_of_the_same_name_is_refused(own_formulas):
    formula("Lambda", source="test", valid="test")(ratio_of_equals)
    with pytest.raises(ValueError, match="ratio_of_equals exists already"):
        formula("Lambda", source="test", valid="test")(ratio_of_equals)


# Each check above can fail.


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Return the pole pitch at the rotor surface.", "Return the pole pitch at the rotor surface"),
        ("Return the", "The"),
        ("p : array_like", "q : array_like"),
        ("pole pairs [1]", "pole pairs"),
        ("rotor diameter at the gap [m]", "rotor diameter at the gap [mm]"),
        ("pole pitch [m]", "pole pitch [1/m]"),
        ("gap small against the radius", ""),
        ("Source\n------\nplane geometry", ""),
    ],
)
def test_a_fault_of_a_docstring_is_seen(old, new):
    law = REGISTRY["pole_pitch"]
    assert docstring_faults(law.__doc__, law.args, law.of) == []
    assert old in law.__doc__
    assert docstring_faults(law.__doc__.replace(old, new, 1), law.args, law.of)


@pytest.mark.parametrize(
    ("law", "slip"),
    [
        ("goodness", lambda e: e * symbol("tau")),
        ("shear_stress", lambda e: e / symbol("mu_0")),
        ("rotor_weight", lambda e: e / symbol("g_n")),
        ("radiation_coefficient", lambda e: e / symbol("sigma_SB")),
        ("loop_energy", lambda e: e**2),
    ],
)
def test_a_wrong_dimension_is_seen(law, slip):
    law = REGISTRY[law]
    expected = registry().Unit(law.unit).dimensionality
    assert dimension(slip(law.expr), points(law, 1)[0]) != expected


def test_a_sum_of_unlike_quantities_is_seen():
    law = REGISTRY["yoke_thickness"]
    with pytest.raises(pint.DimensionalityError):
        dimension(law.expr + symbol("D") ** 2, points(law, 1)[0])


def test_a_symbol_that_stands_twice_is_refused():
    line = "D | m | length | rotor diameter"
    with pytest.raises(ValueError, match="'D' stands twice"):
        symbols._read(f"{line}\n{line}")
    assert symbols.ENTRIES["R_1"].meaning == "resistance of a stator phase"


def test_every_symbol_stands_in_a_formula():
    used = {name for law in REGISTRY.values() for name in (*law.args, law.of)} | {str(one) for one in CONSTANTS}
    assert set(ENTRIES) - used == set()
