"""Facts told in sentences: how far the oil had run, how far the engine, and when it was drained."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from lees.document.advice import paragraphs
from lees.document.conventions import Conventions, number
from lees.document.dates import PrintedDate, read_date
from lees.document.facts import Facts
from lees.document.lexicon import listed
from lees.document.records import Quantity
from lees.document.tables import Sheet
from lees.document.tokens import cleaned, folded
from lees.document.values import NUMERAL

_RUN = re.compile(
    rf"(?<![\w.,])({NUMERAL})\s*(km|kms|kilomet(?:re|er)s?|kilometros|mi|miles?|millas|meilen|h|hrs?|"
    r"hours?|stunden|betriebsstunden|horas|heures)\b",
    re.IGNORECASE,
)
_SYMBOL = {"k": "km", "m": "mi", "h": "h", "s": "h", "b": "h"}
_NEAR = 28


def facts_in_prose(sheets: Sequence[Sheet], conventions: Conventions) -> Facts:
    """Return the facts that running text tells; what only advises is left out."""
    found = Facts()
    for sheet in sheets:
        for text, items in paragraphs(sheet):
            plain = folded(cleaned(text))
            place = items[0].cell
            for match in _RUN.finditer(plain):
                key = _whose(plain, match.start(), match.end())
                read, _ = number(match[1], conventions)
                if key is None or read is None:
                    continue
                symbol = _SYMBOL[match[2][0]]
                name = key if symbol != "h" else key.replace("distance", "hours")
                quantity = Quantity(read, symbol, match.group(), place.page, place.place)
                found.quantities.setdefault(name, quantity)
            found.dates += _dates(plain)
    return found


def _whose(plain: str, start: int, end: int) -> str | None:
    """Tell whether a run is the oil's or the engine's, by the words right beside it."""
    after = plain[end : end + _NEAR].lstrip(" ,")
    before = plain[max(0, start - _NEAR) : start].rstrip(" ,:")
    for key in ("engine", "oil"):
        if any(_begins(after, phrase) for phrase in listed("running", f"{key}_after")):
            return f"{key}_distance"
    for key in ("engine", "oil"):
        if any(_ends(before, phrase) for phrase in listed("running", f"{key}_before")):
            return f"{key}_distance"
    return None


def _begins(text: str, phrase: str) -> bool:
    return re.match(rf"{re.escape(phrase)}(?!\w)", text) is not None


def _ends(text: str, phrase: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(phrase)}$", text) is not None


def _dates(plain: str) -> Iterator[PrintedDate]:
    for phrase in listed("running", "date_before"):
        for match in re.finditer(rf"(?<!\w){re.escape(phrase)}\s+(?:on\s+)?(.{{6,24}})", plain):
            found = read_date(match[1])
            if found is not None and match[1].find(found.text[:3]) <= 1:
                yield found
