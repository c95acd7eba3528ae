"""A formula typed at the bench: arithmetic against Python's own, and nothing else ever run."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import WrongEntry
from lees.quantity.formula import formula


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_arithmetic_is_pythons(a: float, b: float) -> None:
    found = formula("sqrt(a^2 + b^2) / (2*pi) - ln(a)*exp(-b/50) + log10(b)")
    expected = math.sqrt(a**2 + b**2) / (2 * math.pi) - math.log(a) * math.exp(-b / 50)
    assert float(found(a, b)) == pytest.approx(expected + math.log10(b))


def test_powers_bind_as_in_mathematics() -> None:
    assert float(formula("-a^2")(3.0)) == -9.0
    assert float(formula("2^a^2")(2.0)) == 16.0


def test_arrays_go_through() -> None:
    assert formula("a/b")(np.array([1.0, 4.0]), 2.0).tolist() == [0.5, 2.0]


def test_no_answer_is_not_finite() -> None:
    assert not np.isfinite(formula("1/a")(0.0))
    assert not np.isfinite(formula("9^9^9^9")())


@pytest.mark.parametrize(
    "text",
    [
        "", "2*", "a b", "a == b", "a if b else c", "[a]", "a.b", "a[0]", "lambda: 1", "x := 3",
        "open('f')", "__import__('os')", "sqrt", "sqrt(1, 2)", "'text'", "True", "a % b", "a // b",
        "sqrt(*a)", "f(a)", "1j", "+".join(["a"] * 200), "(" * 150 + "a" + ")" * 150,
    ],
)  # fmt: skip
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(WrongEntry):
        formula(text)
