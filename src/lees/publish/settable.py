"""Texts from anywhere made fit to be set: no control signs, and no letters that cannot be shown."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from enum import StrEnum
from typing import Any, TypeVar

from lees.publish.press import coverage

T = TypeVar("T")

MISSING = "□"
"""Stands for a sign that the fonts do not hold; the page, read in a browser, shows the sign."""

JOINERS = {0x200C, 0x200D}
TIGHT = re.compile(
    r"(?<=\d) (?=(?:[%°µ±×]|mgKOH|mm|cm|km|mi|h|L|mg|g|kg|dB|in|months|hours)(?![a-z]))"
    r"|(?<=[±×]) (?=\d)"
)
"""Where a line must not break: between a number and its unit, and about ± and ×."""

BREAK = re.compile(r"\s*[\n\r\t\v\f\x85\u2028\u2029]\s*")
PARAGRAPH = re.compile(r"\n\s*\n")


def readable(text: str) -> str:
    r"""Return text without control signs and without marks that turn reading round.

    >>> readable("0.38 mm\x1b[31m \u202eon"), readable("two\n lines")
    ('0.38\xa0mm[31m on', 'two lines')
    """
    line = BREAK.sub(" ", unicodedata.normalize("NFC", text).strip())
    return TIGHT.sub("\xa0", "".join(c for c in line if _is_harmless(c)))


def paragraphs(text: str | None, change: Callable[[str], str]) -> list[str]:
    r"""Return the paragraphs of a text, each changed.

    >>> paragraphs("One.\n\nTwo\nlines.", readable)
    ['One.', 'Two lines.']
    """
    return [change(part) for part in PARAGRAPH.split(text or "") if part.strip()]


def settable(text: str) -> str:
    """Return text as `readable` does, with a square for each sign that the fonts do not hold.

    >>> settable("Ostrava 😀, Łódź, Ωmega")
    'Ostrava □, Łódź, Ωmega'
    """
    known = coverage()
    shown = [c if ord(c) in known else MISSING for c in readable(text) if not _is_joining(c)]
    return "".join(c for i, c in enumerate(shown) if c != MISSING or shown[i - 1 : i] != [MISSING])


def each(value: T, change: Callable[[str], str]) -> T:
    """Return records with every text in them changed; words that are ours stay as they are."""
    return _each(value, change)  # type: ignore[no-any-return]


def _each(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, StrEnum):
        return value
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_each(item, change) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        return type(value)(**{f.name: _each(getattr(value, f.name), change) for f in fields(value)})
    return value


def _is_harmless(sign: str) -> bool:
    if ord(sign) in JOINERS:
        return True
    return unicodedata.category(sign) not in {"Cc", "Cf", "Cs", "Co", "Cn"}


def _is_joining(sign: str) -> bool:
    return ord(sign) in JOINERS or 0xFE00 <= ord(sign) <= 0xFE0F


def shortened(text: str, letters: int) -> str:
    """Return a text cut at a word, and saying so, where it is longer than some letters.

    >>> shortened("one two three", 9), shortened("one two", 9)
    ('one two …', 'one two')
    """
    if len(text) <= letters:
        return text
    return f"{text[: letters - 1].rpartition(' ')[0] or text[: letters - 2]} …"
