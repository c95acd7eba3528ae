"""Units of the trade and exact conversion between those of one dimension (NIST SP 811, 2008)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from lees.errors import UnitDoesNotFit, UnknownUnit
from lees.quantity.data import table


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity, in words for a message, with an entry that fits it."""

    name: str
    kind: str
    example: str


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `value in the dimension's first unit = value × factor + offset`."""

    symbol: str
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)


def unit(symbol: str) -> Unit:
    """Return the unit that a symbol, a name or a customary spelling stands for.

    Parameters
    ----------
    symbol : str
        The spelling; capital letters count only where two units would otherwise be the same
        (mPa·s against MPa·s).

    Returns
    -------
    Unit
        The unit.

    Raises
    ------
    UnknownUnit
        For anything else.

    Examples
    --------
    >>> unit("cSt").symbol, unit("inches").symbol, unit("mg KOH/g").symbol
    ('mm²/s', 'in', 'mgKOH/g')
    """
    exact, folded = _spellings()
    key = _squeezed(symbol)
    found = exact.get(key) or folded.get(key.casefold())
    if found is None:
        raise UnknownUnit(
            symbol, "is not a unit known here", "use for example mm, in, L, °C or mg/kg"
        )
    return found


def is_unit(symbol: str) -> bool:
    """Tell whether a text is a unit known here.

    Parameters
    ----------
    symbol : str
        The text.

    Returns
    -------
    bool
        Whether it is.
    """
    try:
        unit(symbol)
    except UnknownUnit:
        return False
    return True


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a value between two units of one dimension.

    Parameters
    ----------
    value : float
        The value. [from_unit]
    from_unit : str
        Its unit.
    to_unit : str
        The unit wanted.

    Returns
    -------
    float
        The value in the unit wanted. [to_unit]

    Raises
    ------
    UnitDoesNotFit
        Where the dimensions differ: Saybolt seconds are not mm²/s times a number (see
        `lees.oil.saybolt`), and mg/L need a density to become mg/kg.

    References
    ----------
    .. [1] NIST Special Publication 811, Guide for the Use of the International System of Units,
       2008, appendix B.

    Examples
    --------
    >>> convert(1, "in", "mm"), round(convert(395, "°F", "°C"), 2)
    (25.4, 201.67)
    """
    return float(convert_exactly(Fraction(value), from_unit, to_unit))


def convert_exactly(value: Fraction, from_unit: str, to_unit: str) -> Fraction:
    """Convert an exact value between two units of one dimension; see `convert`.

    Parameters
    ----------
    value : Fraction
        The exact value. [from_unit]
    from_unit : str
        Its unit.
    to_unit : str
        The unit wanted.

    Returns
    -------
    Fraction
        The exact value in the unit wanted. [to_unit]

    Raises
    ------
    UnitDoesNotFit
        Where the dimensions differ.
    """
    source, target = unit(from_unit), unit(to_unit)
    if source.dimension != target.dimension:
        raise UnitDoesNotFit(
            f"{float(value):g} {from_unit}",
            f"is {source.dimension.kind}, not {target.dimension.kind}",
            f"give it as for example {target.dimension.example}",
        )
    return (value * source.factor + source.offset - target.offset) / target.factor


def convert_difference(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a difference or an uncertainty, for which a scale's zero does not count.

    Parameters
    ----------
    value : float
        The difference. [from_unit]
    from_unit : str
        Its unit.
    to_unit : str
        The unit wanted.

    Returns
    -------
    float
        The difference in the unit wanted. [to_unit]

    Raises
    ------
    UnitDoesNotFit
        Where the dimensions differ.

    References
    ----------
    .. [1] NIST Special Publication 811, Guide for the Use of the International System of Units,
       2008, appendix B.

    Examples
    --------
    >>> round(convert_difference(9, "°F", "°C"), 10)
    5.0
    """
    zero = convert_exactly(Fraction(0), from_unit, to_unit)
    return float(convert_exactly(Fraction(value), from_unit, to_unit) - zero)


def dimension(name: str) -> Dimension:
    """Return a dimension by its name in the table of units.

    Parameters
    ----------
    name : str
        The name, such as ``length``.

    Returns
    -------
    Dimension
        The dimension.
    """
    return _dimensions()[name]


def symbols(name: str) -> tuple[str, ...]:
    """Return the symbols of a dimension's units; the others are held to the first.

    Parameters
    ----------
    name : str
        The dimension's name, such as ``length``.

    Returns
    -------
    tuple of str
        The symbols.
    """
    return tuple(entry["symbol"] for entry in table("quantity", "units")[name]["units"])


def spellings() -> frozenset[str]:
    """Return every spelling of every unit, squeezed to single blanks."""
    return frozenset(_spellings()[0])


def _squeezed(symbol: str) -> str:
    plain = symbol.strip().replace("\u00b5", "µ").replace("\u03bc", "µ").replace("^", "")
    return re.sub(r"\s+", " ", plain)


@cache
def _dimensions() -> dict[str, Dimension]:
    return {
        name: Dimension(name, entry["kind"], entry["example"])
        for name, entry in table("quantity", "units").items()
    }


@cache
def _spellings() -> tuple[dict[str, Unit], dict[str, Unit]]:
    exact: dict[str, Unit] = {}
    for name, entry in table("quantity", "units").items():
        for item in entry["units"]:
            one = Unit(
                item["symbol"],
                _dimensions()[name],
                Fraction(item["factor"]),
                Fraction(item.get("offset", "0")),
            )
            for spelling in (item["symbol"], *item["also"]):
                exact[_squeezed(spelling)] = one
    folded: dict[str, Unit] = {}
    contested: set[str] = set()
    for spelling, one in exact.items():
        key = spelling.casefold()
        if folded.setdefault(key, one) != one:
            contested.add(key)
    return exact, {key: one for key, one in folded.items() if key not in contested}
