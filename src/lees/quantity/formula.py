"""A formula typed at the bench, such as `2*n*d*h/100`, computed without running code of it."""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lees.errors import WrongEntry

LONGEST = 200
_FUNCTIONS: Mapping[str, Callable[[Any], Any]] = {
    "sqrt": np.sqrt,
    "exp": np.exp,
    "ln": np.log,
    "log10": np.log10,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
}
_OPERATIONS: Mapping[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: np.add,
    ast.Sub: np.subtract,
    ast.Mult: np.multiply,
    ast.Div: np.true_divide,
    ast.Pow: np.float_power,
}
_EXAMPLE = "type for example 2*n*d*h/100, with + - * / ^ and sqrt exp ln log10 sin cos tan pi"


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula as typed; called with the values of its names, it gives its result."""

    text: str
    names: tuple[str, ...]
    _tree: ast.expr

    def __call__(self, *values: Any) -> Any:
        """Return the result for single numbers or arrays; not finite where there is none."""
        with np.errstate(all="ignore"):
            return _computed(self._tree, dict(zip(self.names, values, strict=True)))


def formula(text: str) -> Formula:
    """Understand a formula typed at the bench.

    Parameters
    ----------
    text : str
        Numbers, names, + - * / ^, brackets, and the functions sqrt, exp, ln, log10, sin, cos, tan
        of one argument (angles in radians); pi is known.

    Returns
    -------
    Formula
        The formula, with its names in the order in which they first stand.

    Raises
    ------
    WrongEntry
        Where it is anything else: nothing else is ever run.

    Examples
    --------
    >>> area = formula("2*n*d*h/100")
    >>> area.names, float(area(55, 12.0, 70.0))
    (('n', 'd', 'h'), 924.0)
    """
    if len(text) > LONGEST:
        raise WrongEntry(text, "is too long for a formula", _EXAMPLE)
    try:
        tree = ast.parse(text.strip().replace("^", "**").replace("π", "pi"), mode="eval").body
        names = _names(tree, text)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise WrongEntry(text, "is not a formula", _EXAMPLE) from None
    return Formula(text, tuple(dict.fromkeys(names)), tree)


def _names(node: ast.expr, text: str) -> list[str]:
    """Return the names of a formula in order; refuse what is not arithmetic."""
    match node:
        case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
            return []
        case ast.Name(id="pi"):
            return []
        case ast.Name(id=name) if re.fullmatch(r"[^\W\d]\w*", name) and name not in _FUNCTIONS:
            return [name]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPERATIONS:
            return _names(left, text) + _names(right, text)
        case ast.UnaryOp(op=ast.UAdd() | ast.USub(), operand=operand):
            return _names(operand, text)
        case ast.Call(func=ast.Name(id=name), args=[one], keywords=[]) if name in _FUNCTIONS:
            return _names(one, text)
    raise WrongEntry(text, f"has “{ast.unparse(node)}” in it, which is not arithmetic", _EXAMPLE)


def _computed(node: ast.expr, values: Mapping[str, Any]) -> Any:
    """Compute a tree that `_names` has let through."""
    match node:
        case ast.Constant(value=value):
            return np.float64(value)  # type: ignore[arg-type]
        case ast.Name(id=name):
            return math.pi if name == "pi" else values[name]
        case ast.BinOp(left=left, op=op, right=right):
            return _OPERATIONS[type(op)](_computed(left, values), _computed(right, values))
        case ast.UnaryOp(op=op, operand=operand):
            inner = _computed(operand, values)
            return -inner if isinstance(op, ast.USub) else inner
        case ast.Call(func=ast.Name(id=name), args=[one]):
            return _FUNCTIONS[name](_computed(one, values))
    raise AssertionError(ast.dump(node))
