"""Dates as laboratories print them, in four languages (ISO 8601 wherever it is written so)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from lees.document.tokens import folded

_MONTHS = {
    1: ("jan", "januar", "january", "enero", "ene", "janvier", "janv", "janner"),
    2: ("feb", "februar", "february", "febrero", "fevrier", "fevr", "fev"),
    3: ("mar", "march", "marz", "mrz", "marzo", "mars", "maerz", "mae"),
    4: ("apr", "april", "abril", "abr", "avril", "avr"),
    5: ("may", "mai", "mayo"),
    6: ("jun", "june", "juni", "junio", "juin"),
    7: ("jul", "july", "juli", "julio", "juillet", "juil"),
    8: ("aug", "august", "agosto", "ago", "aout"),
    9: ("sep", "sept", "september", "septiembre", "septembre", "set"),
    10: ("oct", "october", "okt", "oktober", "octubre", "octobre"),
    11: ("nov", "november", "noviembre", "novembre"),
    12: ("dec", "december", "dez", "dezember", "diciembre", "dic", "decembre"),
}
_MONTH_OF = {name: number for number, names in _MONTHS.items() for name in names}
_NAMES = "|".join(sorted(_MONTH_OF, key=len, reverse=True))
_YEAR_FIRST = re.compile(r"(?<!\d)((?:19|20)\d{2})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)")
_NUMBERS = re.compile(
    r"(?<![\d.,])(\d{1,2})\s?([-/.])\s?(\d{1,2})\s?\2\s?((?:19|20)?\d{2})(?![\d,]|\.\d)"
)
_DAY_FIRST = re.compile(
    rf"(?<!\d)(\d{{1,2}})(?:\.|st|nd|rd|th|er|º)?[\s./-]*(?:de\s+)?({_NAMES})\b\.?,?[\s./-]*(?:de\s+|del\s+)?((?:19|20)?\d{{2}})(?!\d)"
)
_MONTH_FIRST = re.compile(
    rf"\b({_NAMES})\b\.?\s*(\d{{1,2}})(?:st|nd|rd|th)?,?\s+((?:19|20)\d{{2}})(?!\d)"
)
_COMPACT = re.compile(r"(?<!\d)((?:19|20)\d{2})(\d{2})(\d{2})(?!\d)")


class DayOrder(StrEnum):
    """Which of two numbers is the day, as far as the page shows it."""

    UNKNOWN = "unknown"
    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


@dataclass(frozen=True, slots=True)
class PrintedDate:
    """A date on the page: its one or two readings and the text."""

    text: str
    readings: tuple[date, ...]
    order: DayOrder = DayOrder.UNKNOWN

    def settled(self, order: DayOrder) -> date | None:
        """Return the date under the page's order, or None where that is not known."""
        if len(self.readings) == 1:
            return self.readings[0]
        if order is DayOrder.DAY_FIRST:
            return self.readings[0]
        return self.readings[1] if order is DayOrder.MONTH_FIRST else None


def read_date(text: str) -> PrintedDate | None:
    """Return the first date in a text, with both readings where day and month could be swapped.

    >>> read_date("19. August 2026").readings[0].isoformat()
    '2026-08-19'
    >>> len(read_date("03/04/2026").readings), read_date("31/04/2026")
    (2, None)
    """
    plain = folded(text)
    if match := _YEAR_FIRST.search(plain):
        year, month, day = (int(part) for part in match.groups())
        return _single(match, plain, year, month, day)
    if match := _DAY_FIRST.search(plain):
        return _single(match, plain, _year(match[3]), _MONTH_OF[match[2]], int(match[1]))
    if match := _MONTH_FIRST.search(plain):
        return _single(match, plain, _year(match[3]), _MONTH_OF[match[1]], int(match[2]))
    if match := _NUMBERS.search(plain):
        return _two_numbers(match)
    return None


def read_compact_date(text: str) -> PrintedDate | None:
    """Return a date printed as eight digits; only where a heading says that it is a date.

    >>> read_compact_date("20260819").readings[0].isoformat()
    '2026-08-19'
    """
    if match := _COMPACT.search(text):
        year, month, day = (int(part) for part in match.groups())
        return _single(match, text, year, month, day)
    return None


def _single(match: re.Match[str], text: str, year: int, month: int, day: int) -> PrintedDate | None:
    found = _date(year, month, day)
    return None if found is None else PrintedDate(match.group().strip(), (found,))


def _two_numbers(match: re.Match[str]) -> PrintedDate | None:
    first, mark, second, year = int(match[1]), match[2], int(match[3]), _year(match[4])
    day_first, month_first = _date(year, second, first), _date(year, first, second)
    text = match.group().strip()
    if mark == ".":
        return None if day_first is None else PrintedDate(text, (day_first,), DayOrder.UNKNOWN)
    if day_first and month_first and day_first != month_first:
        return PrintedDate(text, (day_first, month_first))
    if day_first and month_first:
        return PrintedDate(text, (day_first,))
    if day_first:
        return PrintedDate(text, (day_first,), DayOrder.DAY_FIRST)
    return None if month_first is None else PrintedDate(text, (month_first,), DayOrder.MONTH_FIRST)


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
