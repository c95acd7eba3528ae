"""What a person types at a bench, understood exactly and kept as typed.

The decimal sign follows ISO 80000-1:2022, 7.3.2: a comma or a point on the line, digits grouped in
threes by a small space; customary grouping by point, comma or apostrophe is understood where only
one reading is possible.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from lees.errors import AmbiguousNumber, UnitDoesNotFit, WrongEntry
from lees.quantity.units import Unit, convert_exactly, dimension, symbols, unit


class DecimalSign(StrEnum):
    """The decimal sign that a person or a document declares; unknown until they do."""

    UNKNOWN = "unknown"
    POINT = "point"
    COMMA = "comma"


class Qualifier(StrEnum):
    """What stands instead of, or before, a number."""

    BELOW = "<"
    ABOVE = ">"
    TRACE = "trace"
    ABSENT = "absent"


@dataclass(frozen=True, slots=True)
class Number:
    """An exact number, with the step of its last digit or of its fraction."""

    value: Fraction
    step: Fraction


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry as typed, and what it means.

    `value` is in `unit`; `step` is one unit of the last digit given, so that the true value lies
    within half a step of an entry that was rounded. A bare qualifier (trace, absent) has the
    value zero.
    """

    text: str
    value: float
    unit: str
    step: float
    qualifier: Qualifier | None = None

    def to(self, target: str) -> float:
        """Return the value in another unit of the same dimension."""
        return float(convert_exactly(Fraction(self.value), self.unit, target))


_WORDS = {
    Qualifier.TRACE: ("trace", "traces", "tr", "tr."),
    Qualifier.ABSENT: (
        "absent",
        "nil",
        "none",
        "neg",
        "neg.",
        "negative",
        "not detected",
        "nd",
        "n.d.",
    ),
}
_FRACTIONS = {c: Fraction(unicodedata.numeric(c)).limit_denominator(16) for c in "½¼¾⅓⅔⅛⅜⅝⅞⅙⅚"}
_SPACE = "\u0020\u00a0\u2007\u2009\u202f"
_NUMBER = re.compile(
    rf"[+-]?(?:\d{{1,3}}(?:[{_SPACE}]\d{{3}})+(?!\d)(?:[.,]\d+)?"  # 1 569,5
    r"|\d+(?:['’]\d{3})+(?![\d\"”″'])(?:[.,]\d+)?"  # 1'569.5
    r"|\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?"
)
_FRACTION = re.compile(r"(\d+)\s*[/⁄]\s*(\d+)")
_FEET_AND_INCHES = re.compile(r"([+-]?)(\d+)\s*(?:'|′|’|ft\b|feet\b|foot\b)\s*(.+)$", re.IGNORECASE)


def parse_entry(
    text: str, kind: str, *, decimal: DecimalSign = DecimalSign.UNKNOWN, default: str | None = None
) -> Entry:
    """Understand what a person typed for a quantity of one kind.

    Parameters
    ----------
    text : str
        The entry, such as ``52 1/2 in``, ``1.569,5 mg/kg``, ``<1 ppm`` or ``trace``.
    kind : str
        The dimension it must have, such as ``length`` or ``content``.
    decimal : DecimalSign
        The decimal sign, where the person has declared one.
    default : str, optional
        The unit of an entry that has none; without it a unit is required.

    Returns
    -------
    Entry
        The value in the unit that was typed.

    Raises
    ------
    WrongEntry
        With what is wrong and what to type instead; `AmbiguousNumber` for ``1,234`` where no
        decimal sign is declared, `UnknownUnit`, `UnitDoesNotFit`.

    Examples
    --------
    >>> parse_entry("52 1/2 in", "length").to("mm")
    1333.5
    >>> entry = parse_entry("<1 ppm", "content")
    >>> entry.qualifier.value, entry.value, entry.unit
    ('<', 1.0, 'mg/kg')
    """
    wanted = dimension(kind)
    clean = _cleaned(text, wanted.example)
    for qualifier, words in _WORDS.items():
        if clean.casefold() in words:
            return Entry(text, 0.0, default or wanted_unit(kind), 0.0, qualifier)
    sign, rest = _leading_sign(clean)
    if kind == "length" and (feet := _FEET_AND_INCHES.match(rest)) and not _looks_grouped(rest):
        number, symbol = _feet_and_inches(text, feet, decimal), "in"
    else:
        number, symbol = split_number(rest, decimal=decimal, whole=text)
    found = _fitting_unit(text, symbol, kind, default)
    return Entry(text, float(number.value), found.symbol, float(number.step), sign)


def wanted_unit(kind: str) -> str:
    """Return the unit that others of a dimension are held to.

    Parameters
    ----------
    kind : str
        The dimension, such as ``length``.

    Returns
    -------
    str
        The unit's symbol.
    """
    return symbols(kind)[0]


def split_number(
    text: str, *, decimal: DecimalSign = DecimalSign.UNKNOWN, whole: str | None = None
) -> tuple[Number, str]:
    """Split a text into its leading number, fractions included, and what follows (a unit).

    Parameters
    ----------
    text : str
        The text.
    decimal : DecimalSign
        The decimal sign, where it is declared.
    whole : str, optional
        The whole entry, for messages.

    Returns
    -------
    tuple of Number and str
        The number and the rest, without blanks around it.

    Raises
    ------
    WrongEntry
        Where the text does not begin with a number; `AmbiguousNumber` as `parse_number`.

    Examples
    --------
    >>> number, rest = split_number("52-1/2 in")
    >>> float(number.value), rest
    (52.5, 'in')
    """
    shown = text if whole is None else whole
    body = text.strip()
    if fraction := _FRACTION.match(body):
        return _fraction(shown, fraction), body[fraction.end() :].strip()
    if body[:1] in _FRACTIONS:
        value = _FRACTIONS[body[0]]
        return Number(value, Fraction(1, value.denominator)), body[1:].strip()
    match = _NUMBER.match(body)
    if match is None or not any(c.isdigit() for c in match.group()):
        raise WrongEntry(shown, "has no number", "type a number and its unit, such as 0.38 mm")
    number = parse_number(match.group().rstrip(".,"), decimal=decimal, whole=shown)
    rest = body[match.end() :]
    joined = rest.lstrip(" -–")
    if rest[:1] in _FRACTIONS or (joined[:1] in _FRACTIONS and number.step == 1):
        extra = _FRACTIONS[joined[0]]
        return _joined(number, Number(extra, Fraction(1, extra.denominator))), joined[1:].strip()
    if number.step == 1 and (fraction := _FRACTION.match(joined)):
        return _joined(number, _fraction(shown, fraction)), joined[fraction.end() :].strip()
    return number, rest.strip()


def parse_number(
    text: str, *, decimal: DecimalSign = DecimalSign.UNKNOWN, whole: str | None = None
) -> Number:
    """Understand a bare decimal number with any customary grouping.

    Parameters
    ----------
    text : str
        The text.
    decimal : DecimalSign
        The decimal sign, where it is declared.
    whole : str, optional
        The whole entry, for messages.

    Returns
    -------
    Number
        The exact number, with the step of its last digit.

    Raises
    ------
    WrongEntry
        Where it is not one number; `AmbiguousNumber` where a sign could be a decimal sign or a
        group's, and nothing says which.

    Examples
    --------
    >>> float(parse_number("1.569,5").value), float(parse_number("1 569").value)
    (1569.5, 1569.0)
    """
    shown = text if whole is None else whole
    mantissa, _, exponent = text.strip().partition("e" if "e" in text else "E")
    negative = mantissa.startswith("-")
    body = re.sub(rf"[{_SPACE}'’]", "", mantissa.lstrip("+-"))
    mark = _decimal_mark(body, shown, decimal)
    group = {".": ",", ",": "."}.get(mark, "")
    if mark == "" and re.search(r"[.,]", body):
        group = "." if "." in body else ","
    _check_groups(body.partition(mark)[0] if mark else body, group, shown)
    digits = body.replace(group, "") if group else body
    left, _, right = digits.partition(mark) if mark else (digits, "", "")
    if not (left + right).isdigit():
        raise WrongEntry(shown, "is not one number", "type a single number, such as 1569.5")
    scale = Fraction(10) ** (int(exponent or 0) - len(right))
    value = Fraction(int(left + right)) * scale
    return Number(-value if negative else value, scale)


def _decimal_mark(body: str, shown: str, decimal: DecimalSign) -> str:
    """Return the decimal sign used in a number without blanks, or nothing where it has none."""
    points, commas = body.count("."), body.count(",")
    if points and commas:
        last = max(body.rfind("."), body.rfind(","))
        if body.count(body[last]) > 1:
            raise WrongEntry(shown, "mixes points and commas", "type it as 1569.5 or 1569,5")
        return body[last]
    if not points and not commas:
        return ""
    mark = "." if points else ","
    if points + commas > 1:
        return ""
    left, _, right = body.partition(mark)
    declared = {DecimalSign.POINT: ".", DecimalSign.COMMA: ","}.get(decimal)
    could_be_group = len(right) == 3 and 1 <= len(left) <= 3 and not left.startswith("0")
    if not could_be_group:
        return mark
    if declared is not None:
        return mark if declared == mark else ""
    if mark == ".":
        return mark
    raise AmbiguousNumber(
        shown,
        f"could be {left}{right} or {left}.{right}",
        f"type {left}{right} or {left}.{right}, or declare the decimal sign",
    )


def _check_groups(left: str, group: str, shown: str) -> None:
    """Refuse digits that are grouped otherwise than in threes."""
    if group and group in left:
        first, *others = left.split(group)
        if not 1 <= len(first) <= 3 or any(len(part) != 3 for part in others):
            raise WrongEntry(shown, "has digits in odd groups", "type it without grouping")


def _cleaned(text: str, example: str) -> str:
    if not text.strip():
        raise WrongEntry(text, "is empty", f"type for example {example}")
    if len(text) > 60 or any(unicodedata.category(c) in ("Cc", "Cf") for c in text):
        raise WrongEntry(
            text, "is not an entry of one number and a unit", f"type for example {example}"
        )
    return text.strip().replace("\u2212", "-").replace("−", "-")


def _leading_sign(text: str) -> tuple[Qualifier | None, str]:
    for sign, qualifier in (
        ("<", Qualifier.BELOW),
        ("≤", Qualifier.BELOW),
        (">", Qualifier.ABOVE),
        ("≥", Qualifier.ABOVE),
    ):
        if text.startswith(sign):
            return qualifier, text[1:].lstrip("= ")
    return None, text


def _looks_grouped(text: str) -> bool:
    """Tell 1'569 mm (a group) from 2' 3 1/4" (feet)."""
    return re.match(r"\d{1,3}(?:['’]\d{3})+(?![\d\"”″])\s*[^\d\s\"”″]", text) is not None


def _feet_and_inches(text: str, match: re.Match[str], decimal: DecimalSign) -> Number:
    negative, feet, rest = match.groups()
    inches, symbol = split_number(rest, decimal=decimal, whole=text)
    if symbol and unit(symbol).symbol != "in":
        raise WrongEntry(
            text, "has feet followed by something else than inches", "type for example 2' 3 1/4\""
        )
    value = Fraction(int(feet)) * 12 + inches.value
    return Number(-value if negative == "-" else value, inches.step)


def _fraction(shown: str, match: re.Match[str]) -> Number:
    over, under = int(match.group(1)), int(match.group(2))
    if under == 0:
        raise WrongEntry(shown, "divides by zero", "type a fraction such as 1/2")
    return Number(Fraction(over, under), Fraction(1, under))


def _joined(number: Number, fraction: Number) -> Number:
    value = number.value - fraction.value if number.value < 0 else number.value + fraction.value
    return Number(value, fraction.step)


def _fitting_unit(text: str, symbol: str, kind: str, default: str | None) -> Unit:
    wanted = dimension(kind)
    if not symbol and default is None and kind != "number":
        raise UnitDoesNotFit(text, "has no unit", f"type it with one, such as {wanted.example}")
    found = unit(symbol or default or "1")
    if found.dimension != wanted:
        raise UnitDoesNotFit(
            text,
            f"is {found.dimension.kind}, not {wanted.kind}",
            f"type for example {wanted.example}",
        )
    return found
