"""How a quantity changes when every length is multiplied: exponents from the formulas the choice itself uses.

Every quantity's exponent is an unknown. Each formula gives one linear equation, its logarithmic derivative; lengths
have exponent 1, constants and whatever is held have 0; the linear system is solved exactly. What closes a balance then
chooses itself, and elasticities to any input come from the same system with another right-hand side.
"""

import functools
import random
from dataclasses import dataclass

import numpy as np
import sympy as sp

from scaling.ground.messages import choice
from scaling.ground.symbols import ENTRIES, symbol
from scaling.laws import forces, heat
from scaling.laws.networks import NETWORKS, REGIMES


@dataclass(frozen=True)
class Holding:
    """What is kept the same at every size: the symbol, formulas this adds, and where the idea comes from."""

    name: str
    symbol: str
    source: str
    adds: tuple = ()
    adds_to_bodies: tuple = ()


_TRIMMER = "Trimmer, Sensors and Actuators 19 (1989) 267 (from memory, derived again)"
_RATING = "common practice"
HOLDINGS = {
    h.name: h
    for h in (
        Holding("current density", "J_rms", _TRIMMER),
        Holding("heat per surface", "q_o", _TRIMMER),
        Holding(
            "temperature rise by conduction",
            "theta",
            _TRIMMER,
            adds=(heat.conduction_coefficient, heat.conduction_nusselt_number),
            adds_to_bodies=(forces.conduction_over_length,),
        ),
        Holding("linear current density", "A", _RATING),
        Holding("gap field", "B", "common practice: saturated teeth"),
        Holding("frequency", "f", "common practice: mains"),
        Holding("field speed", "v_s", "common practice: linear drives, rim speed"),
        Holding("slip", "s", _RATING),
        Holding("goodness", "G", "similarity of induction machines"),
        Holding("slip times goodness", "x", "common practice: the point of largest torque"),
        Holding("gap", "g", "common practice: the smallest gap that can be made"),
    )
}

QUANTITIES = {
    "torque": "T_e",
    "shear stress": "sigma_t",
    "goodness": "G",
    "slip": "s",
    "frequency": "f",
    "field speed": "v_s",
    "slip times goodness": "x",
    "gap field": "B",
    "linear current density": "A",
    "current density": "J_rms",
    "heat per surface": "q_o",
    "temperature rise": "theta",
    "heat transfer coefficient": "h",
    "saliency": "xi",
    "rotor heat": "q_r",
    "inertia": "J",
    "volume": "V",
    "resistance": "R",
    "reluctance": "R_m",
    "force": "F",
    "force per volume": "f_V",
    "acceleration": "a_F",
    "time": "t_F",
    "power per volume": "p_V",
}

_BODIES = set(NETWORKS) - {"induction", "reluctance", "hysteresis", "magnet"}
DENOMINATOR = 12  # exponents are looked for among multiples of one twelfth
_LENGTHS = {"m": 1, "m**2": 2}
_CONSTANT = {"rho", "tan_delta"}  # derived elsewhere from temperature and load angle, the same at every size


def exponent(quantity, *, kind, holding=(), regime=None):
    """Return the exponent of a quantity when every length is multiplied by the same factor.

    Parameters
    ----------
    quantity : str
        one of ``QUANTITIES``, such as "torque"
    kind : str
        one of ``NETWORKS``: a machine type, "circuit", or a pair such as "magnet on current"
    holding : str or tuple of str
        what stays the same at every size: names of ``HOLDINGS``
    regime : str, optional
        for "hysteresis": "loop open" (energy of the outer loop) or "loop closed" (Rayleigh's law)

    Returns
    -------
    sympy.Rational or sympy.Expr
        exact where there is one exponent; else the local exponent, d ln(quantity)/d ln(size), in the symbols it
        depends on (``x`` is slip times goodness)

    Raises
    ------
    TypeError, ValueError
        for unknown names; if too little is held (the message names the free inputs) or too much

    Examples
    --------
    >>> exponent("torque", kind="reluctance", holding="current density")
    5
    >>> exponent("torque", kind="induction", holding=("current density", "frequency", "slip"))
    (3*x**2 + 7)/(x**2 + 1)
    """
    held = _held(holding)
    choice(quantity, QUANTITIES, "quantity")
    return _solve(QUANTITIES[quantity], kind, held, _regime(kind, regime), None)


def elasticity(quantity, to, *, kind, holding=(), regime=None):
    """Return d ln(quantity)/d ln(input) at fixed size: what one per cent more of an input does.

    ``to`` is the name of a symbol of the table, such as "rho", or of a held quantity, such as "current density".
    Everything else as ``exponent``.

    Examples
    --------
    >>> elasticity("torque", "current density", kind="reluctance", holding="current density")
    2
    """
    held = _held(holding)
    choice(quantity, QUANTITIES, "quantity")
    name = HOLDINGS[to].symbol if to in HOLDINGS else choice(to, ENTRIES, "to")
    return _solve(QUANTITIES[quantity], kind, held, _regime(kind, regime), name)


def changeover(quantity, *, kind, holding=(), regime=None, at):
    """Return the factor of size at which a local exponent stands halfway between its small-size and large-size limits.

    Parameters
    ----------
    at : dict
        {symbol: value} of what the local exponent depends on, at the present size; such as {"x": 0.3}
    quantity, kind, holding, regime
        as in ``exponent``

    Raises
    ------
    ValueError
        if the exponent is the same at every size, or depends on more than one symbol, or on one of no fixed exponent

    Examples
    --------
    A rotor at slip times goodness 0.25 changes over at twice its size.

    >>> changeover("torque", kind="induction", holding=("current density", "frequency", "slip"), at={"x": 0.25})
    2.0
    """
    local = exponent(quantity, kind=kind, holding=holding, regime=regime)
    states = sorted(local.free_symbols, key=str)
    if len(states) != 1 or str(states[0]) not in at:
        needed = ", ".join(map(str, states)) or "nothing: the exponent is the same at every size"
        raise ValueError(f"at: got {sorted(at)}; the local exponent depends on {needed}")
    (state,) = states
    grows = _solve(str(state), kind, _held(holding), _regime(kind, regime), None)
    if not grows.is_Rational or grows == 0:
        raise ValueError(f"at: {ENTRIES[str(state)].meaning} has no fixed exponent with size")
    middle = (sp.limit(local, state, 0, "+") + sp.limit(local, state, sp.oo)) / 2
    roots = [root for root in sp.solve(sp.Eq(local, middle), state) if root.is_positive]
    return float((roots[0] / at[str(state)]) ** (1 / grows))


def _held(holding):
    names = (holding,) if isinstance(holding, str) else tuple(holding)
    return tuple(choice(name, HOLDINGS, "holding") for name in dict.fromkeys(names))


def _regime(kind, regime):
    choice(kind, NETWORKS, "kind")
    if kind not in REGIMES:
        if regime is not None:
            raise ValueError(f"regime: got {regime!r}; {kind} has none")
        return None
    if regime is None:
        raise ValueError(f"regime: {kind} has no single law; expected one of {', '.join(map(repr, REGIMES[kind]))}")
    return choice(regime, REGIMES[kind], "regime")


def formulas(kind, held=(), regime=None):
    """Return (formulas, symbols kept constant) of a kind with what is held and its regime."""
    network = list(NETWORKS[kind])
    constant = set(_CONSTANT)
    for name in held:
        network += HOLDINGS[name].adds_to_bodies if kind in _BODIES else HOLDINGS[name].adds
    if regime is not None:
        adds, keeps = REGIMES[kind][regime]
        network += adds
        constant |= set(keeps)
    return network, constant


@functools.cache
def _row(law):
    """Return {name: coefficient} of a formula's logarithmic derivative."""
    row = {name: symbol(name) * sp.diff(law.expr, symbol(name)) / law.expr for name in law.args}
    return {name: _tidy(coefficient) for name, coefficient in row.items()}


@functools.cache
def _tidy(expr):
    """Return an expression as a rational number if it is one, else as a fraction of polynomials if it is that.

    Whether it is a number is asked by its value to 30 digits at three random points.
    """
    expr = sp.S.Zero + expr
    symbols = sorted(expr.free_symbols, key=str)
    if not symbols:
        return sp.nsimplify(expr)
    guess = None
    for seed in (3, 5, 7):
        draw = random.Random(seed)
        value = expr.evalf(30, subs={s: sp.Rational(draw.randint(100, 999), draw.randint(100, 999)) for s in symbols})
        guess = sp.Rational(round(value * DENOMINATOR), DENOMINATOR) if guess is None else guess
        if abs(value - guess) > 1e-20:
            simple = expr.count_ops() < 100 and expr.is_rational_function(*symbols)
            return sp.factor(expr) if simple else expr
    return guess


@functools.cache
def _solve(target, kind, held, regime, unit_input):
    """Solve the linear system for one quantity: size as right-hand side, or one input if ``unit_input`` names it.

    An equation with one unknown left gives it; what then remains coupled is solved together.
    """
    network, constant = formulas(kind, held, regime)
    names = {name for law in network for name in (law.of, *law.args)}
    fixed = {HOLDINGS[name].symbol for name in held}
    _check_names(target, kind, held, unit_input, names)
    _check_held(target, kind, held, regime, names)
    defined = {law.of for law in network}
    known = {}
    for name in names:
        role = ENTRIES[name].role
        if name in fixed or name in constant or role == "constant":
            known[name] = sp.Integer(name == unit_input)
        elif role == "length" and name not in defined:
            known[name] = sp.Integer(name == unit_input if unit_input else _LENGTHS[ENTRIES[name].unit])
    pending = [{law.of: sp.Integer(1)} | {n: -c for n, c in _row(law).items() if c != 0} for law in network]
    while True:
        left = []
        for row in pending:
            free = [name for name in row if name not in known]
            given = _tidy(sum((row[name] * known[name] for name in row if name in known), sp.S.Zero))
            if len(free) == 1:
                known[free[0]] = _tidy(-given / row[free[0]])
            elif free:
                left.append(row)
        if len(left) == len(pending):
            break
        pending = left
    return known[target] if target in known else _coupled(target, known, pending)


def _coupled(target, known, pending):
    """Solve the equations that have several unknowns each; their coefficients stand as single symbols meanwhile."""
    unknown = {name: sp.Symbol(f"e_{name}") for row in pending for name in row if name not in known}
    short = {c: sp.Dummy() for row in pending for c in row.values() if not c.is_Rational}
    equations = [sum(short.get(c, c) * known.get(n, unknown.get(n)) for n, c in row.items()) for row in pending]
    (found,) = sp.linsolve(equations, list(unknown.values()))
    return _tidy(found[list(unknown).index(target)].subs({dummy: c for c, dummy in short.items()}))


@functools.cache
def _numbers(law):
    """Return {name: coefficient} of a formula's logarithmic derivative, every symbol at some value of its own."""
    values = {name: sp.Rational(random.Random(name).randint(100, 999), 500) for name in law.args}
    at = {symbol(name): value for name, value in values.items()}
    return {name: float(c.evalf(30, subs=at)) for name, c in _row(law).items()}


@functools.cache
def _settled(kind, held, regime):
    """Return the names whose exponents the formulas settle with what is held, or None where they contradict.

    Asked of the linear system in numbers, before any symbol is solved for.
    """
    network, constant = formulas(kind, held, regime)
    names = sorted({name for law in network for name in (law.of, *law.args)})
    defined = {law.of for law in network}
    fixed = {HOLDINGS[name].symbol for name in held} | constant
    given = {n: 0.0 for n in names if n in fixed or ENTRIES[n].role == "constant"}
    given |= {n: 1.0 * _LENGTHS[ENTRIES[n].unit] for n in names if ENTRIES[n].role == "length" and n not in defined}
    rows = [{law.of: 1.0} | {n: -c for n, c in _numbers(law).items()} for law in network]
    rows += [{name: 1.0} for name in given]
    matrix = np.array([[row.get(name, 0.0) for name in names] for row in rows])
    right = np.array([0.0] * len(network) + list(given.values()))
    _, scale, across = np.linalg.svd(matrix)
    rank = int(np.sum(scale > 1e-9 * scale[0]))
    solved = np.linalg.lstsq(matrix, right, rcond=1e-9)[0]
    if not np.allclose(matrix @ solved, right, atol=1e-7):
        return None
    loose = np.abs(across[rank:]).max(axis=0, initial=0.0)
    return frozenset(name for name, free in zip(names, loose, strict=True) if free < 1e-7)


def _check_held(target, kind, held, regime, names):
    """Refuse a system that leaves the target open, or that contradicts itself; say what would settle it."""
    settled = _settled(kind, held, regime)
    if settled is None:
        raise ValueError(f"holding: {', '.join(held)} cannot all be kept at once in {kind!r}; hold less")
    if target in settled:
        return
    more = [n for n, h in HOLDINGS.items() if n not in held and h.symbol in names and h.symbol not in settled]
    possible = {name: _settled(kind, (*held, name), regime) for name in more}
    free = [name for name, found in possible.items() if found is not None]
    ways = [name for name in free if target in possible[name]]
    rest = [name for name in free if name not in ways]
    advice = [f"one more of {', '.join(map(repr, ways))}"] * bool(ways)
    advice += [f"several of {', '.join(map(repr, rest))}"] * bool(rest)
    meanings = ", ".join(dict.fromkeys(ENTRIES[HOLDINGS[name].symbol].meaning for name in free)) or "the loading"
    raise ValueError(f"holding: too little is held for {kind!r}; free: {meanings}; hold {' or '.join(advice)}")


def _check_names(target, kind, held, unit_input, names):
    """Refuse a quantity, a held quantity or an input that the kind's formulas do not contain."""
    asked = [("quantity", target), *(("holding", HOLDINGS[name].symbol) for name in held)]
    if unit_input is not None:
        asked.append(("to", unit_input))
    for what, name in asked:
        if name not in names:
            raise ValueError(f"{what}: {ENTRIES[name].meaning} does not occur in {kind!r}")
