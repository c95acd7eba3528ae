"""How this document writes numbers and dates: the decimal sign and the order of day and month."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from lees.document.dates import DayOrder, PrintedDate
from lees.document.items import Item
from lees.document.lexicon import language_of_words, plausible
from lees.document.tokens import folded, words_of
from lees.document.values import decimal_votes, number_in
from lees.quantity.entry import DecimalSign

_OTHER = {DecimalSign.POINT: DecimalSign.COMMA, DecimalSign.COMMA: DecimalSign.POINT}


@dataclass(frozen=True, slots=True)
class Conventions:
    """The document's decimal sign (unknown where it shows none) and its order of day and month."""

    decimal: DecimalSign
    day_order: DayOrder


def conventions_of(items: Iterable[Item]) -> Conventions:
    """Return what the numbers and dates of a document show of its conventions."""
    points = commas = 0
    dates: list[PrintedDate] = []
    for item in items:
        if item.date is not None:
            dates.append(item.date)
        elif item.value is not None and not item.cell.typed:
            for numeral in (item.value.numeral, item.value.second):
                if numeral:
                    point, comma = decimal_votes(numeral)
                    points, commas = points + point, commas + comma
    if points > 4 * commas:
        decimal = DecimalSign.POINT
    elif commas > 4 * points:
        decimal = DecimalSign.COMMA
    else:
        decimal = DecimalSign.UNKNOWN
    return Conventions(decimal, _day_order(dates))


def with_languages(found: Conventions, words: str) -> Conventions:
    """Return conventions settled by words that only one usage has, where numbers did not."""
    order = found.day_order
    if order is DayOrder.UNKNOWN:
        known = language_of_words()
        votes = Counter(known[word] for word in words_of(words) if word in known)
        others = sum(count for language, count in votes.items() if language != "en")
        if others >= 3 and others > 2 * votes["en"]:
            order = DayOrder.DAY_FIRST
        else:
            order = _by_spelling(folded(words))
    return Conventions(found.decimal, order)


def _by_spelling(plain: str) -> DayOrder:
    """Tell American from British usage by spelling and units: months first, or days."""
    american = sum(
        mark in plain for mark in (" aluminum", "sulfur", "°f", " miles", " mi ", " color")
    )
    british = sum(mark in plain for mark in (" aluminium", "sulph", " litre", "colour", "tyre"))
    if american >= 2 and not british:
        return DayOrder.MONTH_FIRST
    return DayOrder.DAY_FIRST if british and not american else DayOrder.UNKNOWN


def conventions_in(item: Item, found: Conventions) -> Conventions:
    """Return the conventions that hold in one cell.

    A typed number always has a point. Letters recognised in a picture mistake commas for points:
    there a sign before three last digits parts thousands.
    """
    if item.cell.typed:
        return replace(found, decimal=DecimalSign.POINT)
    numeral = item.value.numeral if item.value else ""
    if item.cell.seen and re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", numeral):
        other = DecimalSign.COMMA if "." in numeral else DecimalSign.POINT
        return replace(found, decimal=other)
    return found


def number(numeral: str, found: Conventions, key: str | None = None) -> tuple[float | None, bool]:
    """Return the number of a numeral and whether only one reading was possible.

    Where the sign could part thousands or decimals and the page does not say, the reading that a
    used oil could show is taken, and the result is said to be unsure.

    Parameters
    ----------
    numeral : str
        The number as printed.
    found : Conventions
        What the document shows of its decimal sign.
    key : str, optional
        The measurand, whose usual range helps where both readings are possible.

    Returns
    -------
    tuple of float or None and bool
        The number, in the unit that is printed with it, and whether it is sure. [as printed]
    """
    sure = number_in(numeral, found.decimal)
    if decimal_votes(numeral) != (0, 0) or not any(mark in numeral for mark in ".,"):
        return sure, True
    if found.decimal is not DecimalSign.UNKNOWN:
        return sure, True
    readings = [
        one
        for sign in (DecimalSign.POINT, DecimalSign.COMMA)
        if (one := number_in(numeral, sign)) is not None
    ]
    usual = plausible(key) if key else None
    if usual is None:
        return (max(readings), False) if readings else (None, False)
    fits = [one for one in readings if usual[1] <= one <= usual[2]]
    if len(fits) == 1:
        return fits[0], usual[2] > 1000
    return (max(fits or readings), False) if readings else (None, False)


def _day_order(dates: Sequence[PrintedDate]) -> DayOrder:
    orders = {one.order for one in dates} - {DayOrder.UNKNOWN}
    return orders.pop() if len(orders) == 1 else DayOrder.UNKNOWN
