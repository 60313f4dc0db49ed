"""One formula, one function, one expression.

A formula's body is written once in SymPy, keyword arguments named as in the symbol table. Calling the
decorated function with numbers or arrays evaluates that same expression in NumPy.
"""

import functools
import inspect

import numpy as np
import sympy as sp

from scaling.ground.symbols import CONSTANTS, ENTRIES, symbol

REGISTRY = {}


def _document(evaluate, text):
    """Return the full docstring: the author's words, and everything the symbol table already knows."""
    summary, _, rest = text.partition("\n")
    rows = [f"{name} : array_like\n    {ENTRIES[name].meaning} [{ENTRIES[name].unit}]" for name in evaluate.args]
    return "\n".join(
        [
            summary,
            f"\n    {evaluate.of} = {evaluate.expr}\n",
            "Parameters\n----------",
            *rows,
            "\nReturns\n-------",
            f"{evaluate.of} : float or ndarray, broadcast over the parameters",
            f"    {ENTRIES[evaluate.of].meaning} [{evaluate.unit}]",
            "\nRaises\n------\nTypeError\n    if a parameter is missing or unknown",
            f"\nValidity\n--------\n{evaluate.valid}",
            f"\nSource\n------\n{evaluate.source}",
            *([f"\n{rest.strip()}"] if rest.strip() else []),
        ]
    )


def formula(of, *, source, valid):
    """Return a decorator that turns a SymPy body into a documented formula for the quantity ``of``.

    The function keeps ``.expr`` (SymPy), ``.args`` (names), ``.of``, ``.unit``, ``.source`` and ``.valid``.
    Called with keyword numbers or arrays it returns their broadcast shape, also where the expression
    cancels to a constant. TypeError for a missing or unknown quantity; NaN passes through.
    """

    def decorate(body):
        names = tuple(inspect.signature(body).parameters)
        expr = sp.S.Zero + body(**{name: symbol(name) for name in names})
        loose = expr.free_symbols - {symbol(name) for name in names} - set(CONSTANTS)
        if loose:
            raise TypeError(f"{body.__name__} uses {sorted(map(str, loose))} without taking it")

        @functools.cache
        def compiled():
            number = expr.subs(CONSTANTS)
            return sp.lambdify([symbol(name) for name in names], number, "numpy", cse=True)

        @functools.wraps(body)
        def evaluate(**quantities):
            try:
                values = [np.asarray(quantities[name], dtype=float) for name in names]
            except KeyError as missing:
                raise TypeError(f"{body.__name__}() needs {', '.join(names)}; {missing} is missing") from None
            if len(quantities) != len(names):
                unknown = sorted(set(quantities) - set(names))
                raise TypeError(f"{body.__name__}() takes {', '.join(names)}; {unknown} is unknown")
            result = compiled()(*values)
            shape = np.broadcast_shapes(*(np.shape(value) for value in values))
            return result if np.shape(result) == shape else np.broadcast_to(result, shape).copy()

        evaluate.expr, evaluate.args, evaluate.of, evaluate.compiled = expr, names, of, compiled
        evaluate.unit, evaluate.source, evaluate.valid = ENTRIES[of].unit, source, valid
        evaluate.equation = sp.Eq(symbol(of), expr, evaluate=False)
        evaluate.__doc__ = _document(evaluate, inspect.cleandoc(body.__doc__))
        if body.__name__ in REGISTRY:
            raise ValueError(f"a formula named {body.__name__} exists already")
        REGISTRY[body.__name__] = evaluate
        return evaluate

    return decorate
