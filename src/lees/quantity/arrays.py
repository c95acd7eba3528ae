"""What a formula accepts: finite numbers, alone or in arrays of one shape."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lees.errors import OutOfRange, ShapesDiffer

Numbers: TypeAlias = NDArray[np.float64]
"""What a vectorised formula returns: an array, or a zero-dimensional one that acts as a float."""


def finite(quantity: str, values: ArrayLike) -> Numbers:
    """Return values as an array of floats, all finite.

    Parameters
    ----------
    quantity : str
        What the values are, in words that begin a message.
    values : ArrayLike
        The values given. [any]

    Returns
    -------
    Numbers
        The values as an array of floats. [as given]

    Raises
    ------
    OutOfRange
        Where one value is not a finite number, with the first such.
    """
    array = np.asarray(values, dtype=np.float64)
    if not np.isfinite(array).all():
        raise OutOfRange(quantity, _first(array, ~np.isfinite(array)), "a finite number")
    return array


def positive(quantity: str, values: ArrayLike) -> Numbers:
    """Return values as an array of floats, all above zero.

    Parameters
    ----------
    quantity : str
        What the values are, in words that begin a message.
    values : ArrayLike
        The values given. [any]

    Returns
    -------
    Numbers
        The values as an array of floats. [as given]

    Raises
    ------
    OutOfRange
        Where one value is not above zero, with the first such.

    Examples
    --------
    >>> float(positive("the viscosity", 14.4))
    14.4
    """
    array = finite(quantity, values)
    if not (array > 0).all():
        raise OutOfRange(quantity, _first(array, array <= 0), "above zero")
    return array


def not_negative(quantity: str, values: ArrayLike) -> Numbers:
    """Return values as an array of floats, none below zero.

    Parameters
    ----------
    quantity : str
        What the values are, in words that begin a message.
    values : ArrayLike
        The values given. [any]

    Returns
    -------
    Numbers
        The values as an array of floats. [as given]

    Raises
    ------
    OutOfRange
        Where one value is below zero, with the first such.
    """
    array = finite(quantity, values)
    if not (array >= 0).all():
        raise OutOfRange(quantity, _first(array, array < 0), "zero or above")
    return array


def within(quantity: str, values: ArrayLike, low: float, high: float) -> Numbers:
    """Return values as an array of floats, all within bounds.

    Parameters
    ----------
    quantity : str
        What the values are, in words that begin a message.
    values : ArrayLike
        The values given. [any]
    low : float
        The lower bound, allowed itself. [as the values]
    high : float
        The upper bound, allowed itself. [as the values]

    Returns
    -------
    Numbers
        The values as an array of floats. [as given]

    Raises
    ------
    OutOfRange
        Where one value lies outside, with the first such.
    """
    array = finite(quantity, values)
    outside = (array < low) | (array > high)
    if outside.any():
        raise OutOfRange(quantity, _first(array, outside), f"from {low:g} to {high:g}")
    return array


def alike(**arrays: Numbers) -> None:
    """Check that arrays have one shape; single numbers go with any.

    Parameters
    ----------
    arrays : Numbers
        The arrays, under the names that a message gives them. [any]

    Raises
    ------
    ShapesDiffer
        Where they have not, with the shapes.
    """
    shapes = {name: array.shape for name, array in arrays.items() if array.shape}
    if len(set(shapes.values())) > 1:
        listed = ", ".join(f"{name} {shape}" for name, shape in shapes.items())
        raise ShapesDiffer(f"These belong together and need one length: {listed}.")


def _first(array: Numbers, wrong: NDArray[np.bool_]) -> float:
    return float(array[wrong].flat[0]) if array.shape else float(array)
