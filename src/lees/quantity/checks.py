"""What a formula accepts as measured: above zero, not below it, or a share, in the unit needed."""

from __future__ import annotations

from lees.errors import OutOfRange
from lees.quantity.measured import Measured


def above_zero(name: str, one: Measured, unit: str) -> Measured:
    """Return a measured quantity in another unit; refuse what is not above zero.

    Parameters
    ----------
    name : str
        What it is, for the message.
    one : Measured
        The quantity.
    unit : str
        The unit wanted.

    Returns
    -------
    Measured
        The same in that unit.

    Raises
    ------
    OutOfRange
        Where it is zero or below.
    """
    if one.value <= 0:
        raise OutOfRange(f"The {name}", shown(one), "above zero")
    return one.to(unit)


def zero_or_above(name: str, one: Measured, unit: str) -> Measured:
    """Return a measured quantity in another unit; refuse what is below zero.

    Parameters
    ----------
    name : str
        What it is, for the message.
    one : Measured
        The quantity.
    unit : str
        The unit wanted.

    Returns
    -------
    Measured
        The same in that unit.

    Raises
    ------
    OutOfRange
        Where it is below zero.
    """
    if one.value < 0:
        raise OutOfRange(f"The {name}", shown(one), "zero or above")
    return one.to(unit)


def share(name: str, one: Measured) -> Measured:
    """Return a measured share as a plain number; refuse what is not from 0 to 1.

    Parameters
    ----------
    name : str
        What it is, for the message.
    one : Measured
        The share, in unit ``1``.

    Returns
    -------
    Measured
        The same.

    Raises
    ------
    OutOfRange
        Where it is below 0 or above 1.
    """
    plain = one.to("1")
    if not 0 <= plain.value <= 1:
        raise OutOfRange(f"The {name}", f"{plain.value:g}", "from 0 to 1")
    return plain


def shown(one: Measured) -> str:
    """Return a value with its unit for a message.

    Parameters
    ----------
    one : Measured
        The quantity.

    Returns
    -------
    str
        Value and unit.
    """
    return f"{one.value:g}" if one.unit == "1" else f"{one.value:g} {one.unit}"
