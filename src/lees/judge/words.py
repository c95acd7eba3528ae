"""How numbers, runs and lists are written in a sentence (ISO 80000-1:2022, 7.3)."""

from __future__ import annotations

from collections.abc import Sequence

from lees.quantity.measured import Measured
from lees.quantity.units import convert

THIN = "\u202f"
_OTHER = {"mi": "km", "km": "mi", "nmi": "km"}


def number(value: float, digits: int = 3) -> str:
    r"""Return a number to so many significant digits, its thousands set apart.

    Parameters
    ----------
    value : float
        The number [any unit].
    digits : int
        Significant digits; whole numbers keep all of theirs [1].

    Returns
    -------
    str
        The number as text.

    Examples
    --------
    >>> number(0.3814), number(12840.4), number(2)
    ('0.381', '12\u202f840', '2')
    """
    if value == 0:
        return "0"
    if abs(value) >= 10 ** (digits - 1):
        return _grouped(f"{value:.0f}")
    text = f"{value:.{digits}g}"
    return _grouped(text) if "e" not in text else f"{value:.0f}"


def exactly(value: float) -> str:
    """Return a number as it was reported, without digits of our own.

    Parameters
    ----------
    value : float
        The number [any unit].

    Returns
    -------
    str
        The number as text.

    Examples
    --------
    >>> exactly(9.3)
    '9.3'
    """
    return _grouped(f"{value:.10g}")


def run_text(run: float, unit: str) -> str:
    r"""Return a run in its unit and, for a distance, in the other system too.

    Parameters
    ----------
    run : float
        The run [unit].
    unit : str
        Its unit.

    Returns
    -------
    str
        The run as text.

    Examples
    --------
    >>> run_text(9300, "mi"), run_text(402, "h")
    ('9\u202f300 mi (15\u202f000 km)', '402 h')
    """
    if unit not in _OTHER:
        return f"{number(run)} {unit}"
    other = _OTHER[unit]
    converted = float(f"{convert(run, unit, other):.3g}")
    return f"{number(run)} {unit} ({number(converted)} {other})"


def value_text(value: Measured, *, digits: int = 3) -> str:
    """Return a value with its unit and no uncertainty, for a sentence."""
    unit = "" if value.unit == "1" else f" {value.unit}"
    return f"{number(value.value, digits)}{unit}"


def listed(items: Sequence[str]) -> str:
    """Return items as a sentence lists them.

    Parameters
    ----------
    items : sequence of str
        The items.

    Returns
    -------
    str
        The list.

    Examples
    --------
    >>> listed(["iron", "copper", "tin"])
    'iron, copper and tin'
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def inside(text: str) -> str:
    """Return a text as it stands inside a sentence: its first letter small, units as they are.

    Parameters
    ----------
    text : str
        The text.

    Returns
    -------
    str
        The text.

    Examples
    --------
    >>> inside("Kinematic viscosity at 40 °C")
    'kinematic viscosity at 40 °C'
    """
    return f"{text[:1].lower()}{text[1:]}"


def capital(text: str) -> str:
    """Return a text that starts with a capital.

    Parameters
    ----------
    text : str
        The text.

    Returns
    -------
    str
        The text.

    Examples
    --------
    >>> capital("dust past the air filter")
    'Dust past the air filter'
    """
    return f"{text[:1].upper()}{text[1:]}"


def sentence(text: str) -> str:
    """Return a text that starts with a capital and ends with a full stop."""
    body = text.strip()
    return f"{capital(body)}{'' if body.endswith(('.', '?', '!')) else '.'}"


def _grouped(text: str) -> str:
    whole, dot, rest = text.partition(".")
    sign, digits = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
    if len(digits) > 3:
        digits = f"{int(digits):,}".replace(",", THIN)
    return f"{sign}{digits}{dot}{rest}".replace("-", "−")
