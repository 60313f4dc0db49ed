"""SymPy expressions as NumPy functions: in a quarter of the time of ``sympy.lambdify``, and faster at cases."""

import functools

import numpy as np
from sympy.printing.numpy import NumPyPrinter

SETTINGS = {"fully_qualified_modules": False, "inline": True}


class _Writer(NumPyPrinter):
    """Writes an expression as Python; what stands in it more than once becomes a line of its own."""

    def __init__(self, expr):
        super().__init__(SETTINGS)
        self.lines, self._names = [], {}
        self._repeated = _repeated(expr)

    def _print_Piecewise(self, expr):
        text = "nan"
        for value, condition in reversed(expr.args):
            value, condition = self._print(value), self._print(condition)
            text = value if condition == "True" else f"where({condition}, {value}, {text})"
        return text

    def _nested(self, function, parts):
        return functools.reduce(lambda a, b: f"{function}({a}, {b})", map(self._print, parts))

    def _print_Max(self, expr):
        return self._nested("maximum", expr.args)

    def _print_Min(self, expr):
        return self._nested("minimum", expr.args)

    def _print_And(self, expr):
        return self._nested("logical_and", expr.args)

    def _print_Or(self, expr):
        return self._nested("logical_or", expr.args)

    def _print(self, expr, **kwargs):
        if expr in self._names:
            return self._names[expr]
        text = super()._print(expr, **kwargs)
        if expr in self._repeated:
            self._names[expr] = f"x_{len(self.lines)}"
            self.lines.append(f"    {self._names[expr]} = {text}")
            text = self._names[expr]
        return text


def _repeated(expr):
    """Return the parts, but for symbols and numbers, that stand in an expression more than once."""
    once, again = set(), set()

    def count(part):
        if part.args and part.is_Boolean is not True:
            if part in once:
                again.add(part)
                return
            once.add(part)
        for inner in part.args:
            count(inner)

    count(expr)
    return again


def double(value):
    """Return a number or array in double precision, as NumPy has it: it divides by zero as arrays do."""
    return np.asarray(value, dtype=float)[()]


def compiled(name, args, expr):
    """Return the function ``name`` of keyword numbers or arrays ``args`` that evaluates an expression in NumPy."""
    writer = _Writer(expr)
    value = writer.doprint(expr)
    lines = [f"def {name}({'*, ' if args else ''}{', '.join(args)}):"]
    lines += [
        f"    if {arg}.__class__ is not ndarray or {arg}.dtype is not DOUBLE: {arg} = double({arg})" for arg in args
    ]
    lines += [*writer.lines, f"    return {value}"]
    place = {}
    exec("\n".join(lines), KNOWN, place)  # no text but what SymPy prints of our own formulas
    return place[name]


KNOWN = vars(np) | {"double": double, "DOUBLE": np.dtype(float)}  # to the functions made
