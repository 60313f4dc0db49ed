"""Exponents: exact against published columns, and against the numerical slope of the same formulas."""

import numpy as np
import pytest
import sympy as sp
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from scaling.ground.symbols import ENTRIES, symbol
from scaling.laws.exponents import HOLDINGS, NETWORKS, QUANTITIES, changeover, elasticity, exponent, formulas
from scaling.laws.forces import surface_heat

J, SURFACE, RISE = "current density", "heat per surface", "temperature rise by conduction"
u = symbol("x") ** 2


# Trimmer, Sensors and Actuators 19 (1989) 267: from memory, derived again; the times are published.


@pytest.mark.parametrize(
    ("kind", "columns"),
    [
        ("current on current", (4, 3, 2)),
        ("current on iron", (4, 3, 2)),
        ("magnet on current", (3, sp.Rational(5, 2), 2)),
    ],
)
def test_force_has_trimmers_exponents(kind, columns):
    assert tuple(exponent("force", kind=kind, holding=held) for held in (J, SURFACE, RISE)) == columns


def test_magnet_forces_go_with_the_square_whatever_is_held():
    assert exponent("force", kind="magnet on magnet") == exponent("force", kind="magnet on iron") == 2


@pytest.mark.parametrize("held", [J, SURFACE, RISE])
@pytest.mark.parametrize("kind", ["current on current", "magnet on current"])
def test_motion_follows_the_force_as_trimmer_has_it(kind, held):
    n = exponent("force", kind=kind, holding=held)
    assert exponent("acceleration", kind=kind, holding=held) == n - 3
    assert exponent("time", kind=kind, holding=held) == (4 - n) / 2
    assert exponent("power per volume", kind=kind, holding=held) == (3 * n - 8) / 2


# Cugat, Delamare, Reyne, IEEE Trans. Magn. 39 (2003) 3607: from memory, derived again. Lengths divided by k, current
# density multiplied by k_i: the powers of k and k_i in the force per volume.


@pytest.mark.parametrize(
    ("kind", "power_of_k", "power_of_k_i"),
    [
        ("magnet on magnet", 1, 0),
        ("magnet on iron", 1, 0),
        ("magnet on current", 0, 1),
        ("current on current", -1, 2),
        ("current on iron", -1, 2),
    ],
)
def test_force_per_volume_has_cugats_powers(kind, power_of_k, power_of_k_i):
    held = J if power_of_k_i else ()
    assert exponent("force per volume", kind=kind, holding=held) == -power_of_k
    if power_of_k_i:
        assert elasticity("force per volume", J, kind=kind, holding=J) == power_of_k_i


def test_induced_forces_have_cugats_powers():
    magnet = {"kind": "magnet on induced current", "holding": "frequency"}
    current = {"kind": "current on induced current", "holding": ("frequency", J)}
    assert exponent("force per volume", **magnet) == 1
    assert exponent("force per volume", **current) == 3
    assert elasticity("force per volume", J, **current) == 2
    # Frequency multiplied by k^2 gives another k^2, to the first power of frequency.
    assert elasticity("force per volume", "frequency", **magnet) == 1


# Circuits and machines, derived by hand in the project's notes on physics.


def test_resistance_and_reluctance_halve_when_every_length_doubles():
    assert exponent("resistance", kind="circuit") == exponent("reluctance", kind="circuit") == -1
    assert exponent("goodness", kind="circuit", holding="frequency") == 2


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ((J, "frequency", "slip"), (7 + 3 * u) / (1 + u)),
        ((SURFACE, "frequency", "slip"), (6 + 2 * u) / (1 + u)),
        ((RISE, "frequency", "slip"), (5 + u) / (1 + u)),
        ((J, "slip times goodness"), 5),
    ],
)
def test_induction_torque_has_a_local_exponent(held, expected):
    assert sp.simplify(exponent("torque", kind="induction", holding=held) - expected) == 0


@pytest.mark.parametrize(
    ("kind", "regime", "held", "expected"),
    [
        ("reluctance", None, J, 5),
        ("reluctance", None, SURFACE, 4),
        ("reluctance", None, "gap field", 3),
        ("magnet", None, J, 4),
        ("magnet", None, RISE, 3),
        ("hysteresis", "loop open", J, 3),
        ("hysteresis", "loop open", (), 3),
        ("hysteresis", "loop closed", J, 6),
    ],
)
def test_torque_of_the_magnetic_types(kind, regime, held, expected):
    assert exponent("torque", kind=kind, regime=regime, holding=held) == expected


def test_goodness_and_loading():
    assert exponent("goodness", kind="induction", holding="frequency") == 2
    assert exponent("goodness", kind="induction", holding="field speed") == 1
    assert exponent("frequency", kind="induction", holding="goodness") == -2
    for held, loading, density in ((SURFACE, sp.Rational(1, 2), -sp.Rational(1, 2)), (RISE, 0, -1)):
        assert exponent("linear current density", kind="magnet", holding=held) == loading
        assert exponent("current density", kind="magnet", holding=held) == density


def test_saliency_is_kept_unless_the_gap_stops_shrinking():
    assert exponent("saliency", kind="reluctance", holding=J) == 0
    local = exponent("saliency", kind="reluctance", holding=(J, "gap"))
    values = {s: 1.0 for s in local.free_symbols} | {symbol("k"): 100.0, symbol("g_m"): 1e-3, symbol("h_p"): 5e-3}
    values |= {symbol("g"): 0.9e-3, symbol("tau_u"): 5e-3, symbol("b_u"): 1e-3, symbol("alpha"): 0.5, symbol("r"): 0.18}
    values |= {symbol("P_d"): 0.85, symbol("P_q"): 0.33}
    assert float(local.subs(values)) > 0.3


# The same formulas in numbers

SLOPES = [  # quantity, kind, what is held, the operating quantities that give way
    ("torque", "induction", (J, "frequency", "slip"), ("A", "f", "s")),
    ("torque", "induction", (SURFACE, "frequency", "slip"), ("A", "f", "s")),
    ("torque", "induction", (J, "field speed", "slip"), ("A", "f", "s")),
    ("torque", "induction", (J, "frequency", "slip", "gap"), ("A", "f", "s")),
    ("rotor heat", "induction", (SURFACE, "field speed", "slip"), ("A", "f", "s")),
    ("torque", "reluctance", (SURFACE,), ("A",)),
    ("torque", "reluctance", ("gap field",), ("A",)),
    ("torque", "reluctance", (J, "gap"), ("A",)),
    ("torque", "magnet", (J,), ("A",)),
]


def evaluate(network, values):
    """Return all values of a network from its inputs, formula by formula."""
    values, left = dict(values), list(network)
    while left:
        ready = [law for law in left if all(name in values for name in law.args) and law.of not in values]
        if not ready:
            return values
        values |= {law.of: law(**{name: values[name] for name in law.args}) for law in ready}
        left = [law for law in left if law.of not in values]
    return values


@pytest.mark.parametrize("case", SLOPES, ids=str)
@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_the_numerical_slope_is_the_exponent(case, seed):
    quantity, kind, held, ops = case
    target, local = QUANTITIES[quantity], exponent(quantity, kind=kind, holding=held)
    network = [law for law in formulas(kind, held)[0] if law is not surface_heat]  # it only says what rise this takes
    draw = np.random.default_rng(seed)
    defined = {law.of for law in network}
    base = {n: draw.uniform(0.2, 0.9) for law in network for n in law.args if n not in defined or n in ops}
    base |= {"D": 0.1, "L": 0.12, "g": 1e-3, "d_s": 0.012, "t": 0.008, "h_p": 0.01, "b_u": 1e-3, "c_D": 1.7, "p": 2.0}
    base |= {"A": 2e4, "f": draw.uniform(20, 80), "s": draw.uniform(0.02, 0.3), "rho": 2e-8, "alpha": 0.5, "c_q": 1.0}
    base = {name: value for name, value in base.items() if name not in defined or name in (*ops, "rho")}
    at_one = evaluate(network, base)
    kept = [HOLDINGS[name].symbol for name in held if name != "gap"]

    def grown(factor):
        sizes = {
            n: v * factor for n, v in base.items() if ENTRIES[n].role == "length" and not ("gap" in held and n == "g")
        }

        def run(logs):
            return evaluate(network, base | sizes | {n: base[n] * np.exp(e) for n, e in zip(ops, logs, strict=True)})

        solved = root(lambda logs: [np.log(run(logs)[n] / at_one[n]) for n in kept], np.zeros(len(ops)), tol=1e-13)
        return run(solved.x)[target]

    h = 1e-4
    slope = np.log(grown(1 + h) / grown(1 - h)) / np.log((1 + h) / (1 - h))
    symbolic = float(local.subs({s: float(at_one[str(s)]) for s in local.free_symbols}))
    assert slope == pytest.approx(symbolic, abs=1e-5)


# Elasticities, changeovers, refusals


def test_elasticities_of_induction_torque():
    held = {"kind": "induction", "holding": (J, "frequency", "slip")}
    assert elasticity("torque", J, **held) == 2
    thin = sp.simplify(elasticity("torque", "slip", **held) - (1 - u) / (1 + u))
    assert thin == 0, "torque grows with slip up to slip times goodness one, then falls"


def test_a_changeover_is_where_slip_times_goodness_is_one():
    held = {"kind": "induction", "holding": (J, "frequency", "slip")}
    for x in (0.01, 1.0, 9.0):
        assert changeover("torque", **held, at={"x": x}) == pytest.approx(x**-0.5)
    with pytest.raises(ValueError, match="same at every size"):
        changeover("torque", kind="magnet", holding=J, at={"x": 1.0})


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"quantity": "torque", "kind": "induction", "holding": J},
            "too little.*frequency, .*slip.*'slip times goodness' or several of 'frequency'",
        ),
        ({"quantity": "torque", "kind": "reluctance", "holding": "gap"}, "too little.*'gap field'"),
        ({"quantity": "torque", "kind": "reluctance", "holding": ()}, "too little.*'current density'"),
        ({"quantity": "torque", "kind": "reluctance", "holding": (J, SURFACE)}, "cannot all be kept.*hold less"),
        ({"quantity": "torque", "kind": "hysteresis", "holding": J}, "'loop open', 'loop closed'"),
        ({"quantity": "torque", "kind": "magnet", "holding": J, "regime": "loop open"}, "magnet has none"),
        ({"quantity": "torque", "kind": "circuit"}, "torque does not occur in 'circuit'"),
        ({"quantity": "force", "kind": "magnet on magnet", "holding": "slip"}, "slip does not occur"),
        ({"quantity": "torqe", "kind": "magnet"}, "quantity: got 'torqe'.*did you mean 'torque'"),
        ({"quantity": "torque", "kind": "stepper"}, "kind: got 'stepper'"),
        ({"quantity": "torque", "kind": "magnet", "holding": "current"}, "holding: got 'current'.*'current density'"),
    ],
)
def test_too_much_too_little_and_unknown_are_refused_by_name(given, said):
    with pytest.raises(ValueError, match=said):
        exponent(**given)


def test_every_holding_names_a_source_and_a_symbol_some_kind_has():
    everywhere = {name for network in NETWORKS.values() for law in network for name in (law.of, *law.args)}
    for held in HOLDINGS.values():
        assert held.source and held.symbol in everywhere
    assert set(QUANTITIES.values()) <= everywhere
