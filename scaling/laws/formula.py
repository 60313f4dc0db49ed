"""One formula, one function, one expression.

A formula's body is written once in SymPy, keyword arguments named as in the symbol table. Calling the
decorated function with numbers or arrays evaluates that same expression in NumPy.
"""

import functools
import inspect

import numpy as np
import sympy as sp

from scaling.ground.symbols import CONSTANTS, ENTRIES, symbol
from scaling.laws.compiled import compiled, double

REGISTRY = {}


class Formula:
    """A documented formula; expression, compiled form and docstring are made when first asked for.

    ``expr`` is the SymPy expression, ``args`` the names it takes, ``of`` the quantity it gives, ``unit`` its SI unit,
    ``source`` and ``valid`` where it comes from and holds.
    """

    def __init__(self, body, of, source, valid):
        self.__wrapped__, self.__name__, self.__module__ = body, body.__name__, body.__module__
        self.args = tuple(inspect.signature(body).parameters)
        self.of, self.unit, self.source, self.valid = of, ENTRIES[of].unit, source, valid

    @functools.cached_property
    def expr(self):
        """The SymPy expression; constants stand in it as symbols."""
        expr = sp.S.Zero + self.__wrapped__(**{name: symbol(name) for name in self.args})
        loose = expr.free_symbols - {symbol(name) for name in self.args} - set(CONSTANTS)
        if loose:
            raise TypeError(f"{self.__name__} uses {sorted(map(str, loose))} without taking it")
        return expr

    @functools.cached_property
    def compiled(self):
        """The NumPy function of keyword ``args``, constants put in."""
        return compiled(self.__name__, self.args, self.expr.xreplace(CONSTANTS))

    @functools.cached_property
    def _uses_all(self):
        """Whether every quantity stands in the expression, so that its value has their broadcast shape by itself."""
        return self.expr.free_symbols >= {symbol(name) for name in self.args}

    def __call__(self, **quantities):
        """Return the value for keyword numbers or arrays, in their broadcast shape even where it is constant.

        TypeError for a missing or unknown quantity; NaN passes through.
        """
        try:
            result = self.compiled(**quantities)
        except TypeError:
            self._check(quantities)
            raise
        if result.__class__ is not np.ndarray or not result.ndim:
            result = double(result)
        if self._uses_all:
            return result
        shape = np.broadcast_shapes(*(np.shape(value) for value in quantities.values()))
        return result if np.shape(result) == shape else np.broadcast_to(result, shape).copy()

    def _check(self, quantities):
        """Raise TypeError for a missing or unknown quantity."""
        wanted = ", ".join(self.args)
        for name in self.args:
            if name not in quantities:
                raise TypeError(f"{self.__name__}() needs {wanted}; '{name}' is missing") from None
        unknown = sorted(set(quantities) - set(self.args))
        if unknown:
            raise TypeError(f"{self.__name__}() takes {wanted}; {unknown} is unknown") from None

    def __repr__(self):
        return f"<formula {self.__name__}: {self.of} = {self.expr}>"

    def __reduce__(self):
        return _registered, (self.__name__,)

    @property
    def __doc__(self):
        """The author's words, and everything that expression and symbol table already know."""
        summary, _, rest = inspect.cleandoc(self.__wrapped__.__doc__).partition("\n")
        rows = [f"{name} : array_like\n    {ENTRIES[name].meaning} [{ENTRIES[name].unit}]" for name in self.args]
        return "\n".join(
            [
                summary,
                f"\n    {self.of} = {self.expr}\n",
                "Parameters\n----------",
                *rows,
                "\nReturns\n-------",
                f"{self.of} : float or ndarray, broadcast over the parameters",
                f"    {ENTRIES[self.of].meaning} [{self.unit}]",
                "\nRaises\n------\nTypeError\n    if a parameter is missing or unknown",
                f"\nValidity\n--------\n{self.valid}",
                f"\nSource\n------\n{self.source}",
                *([f"\n{rest.strip()}"] if rest.strip() else []),
            ]
        )


def _registered(name):
    return REGISTRY[name]


def formula(of, *, source, valid):
    """Return a decorator that makes the Formula of the quantity ``of`` from a SymPy body, and registers it."""

    def decorate(body):
        if body.__name__ in REGISTRY:
            raise ValueError(f"a formula named {body.__name__} exists already")
        REGISTRY[body.__name__] = Formula(body, of, source, valid)
        return REGISTRY[body.__name__]

    return decorate
