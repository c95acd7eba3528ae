"""The distance that a remark advises for the next fill, among the other numbers around it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from lees.document.conventions import Conventions, number
from lees.document.items import Item
from lees.document.lexicon import listed
from lees.document.records import Quantity
from lees.document.tables import Sheet
from lees.document.tokens import cleaned, folded
from lees.document.values import NUMERAL

_DISTANCE = re.compile(
    rf"(?<![\w.,])({NUMERAL})\s*(?:-\s?)?(km|kms|kilomet(?:re|er)s?|kilometros|mi|miles?|millas|milles|meilen|kilometer)\b",
    re.IGNORECASE,
)
_THOUSANDS = re.compile(r"(?<![\w.,])(\d{1,3})\s?k\s?(km|mi|miles)\b", re.IGNORECASE)
_UNIT = {
    "km": "km",
    "kms": "km",
    "mi": "mi",
    "mile": "mi",
    "miles": "mi",
    "millas": "mi",
    "milles": "mi",
    "meilen": "mi",
}
_BREAK = re.compile(r"[,;()]\s|\s\(|\s[-–—]\s|\b(?:and|but|und|aber|y|pero|et|mais)\b")
_SENTENCE = re.compile(r"(?<=[.!?;])\s+(?=[^\d\s]|\d+\s?[a-z])")


def advised_in(
    sheets: Sequence[Sheet], fields: Sequence[Quantity], conventions: Conventions
) -> tuple[Quantity | None, str | None]:
    """Return the advised distance and, where the page gives several, a warning instead."""
    found = list(fields)
    if not found:
        scored = [one for sheet in sheets for one in _in_sheet(sheet, conventions)]
        best = max((score for score, _ in scored), default=0)
        found = [quantity for score, quantity in scored if score == best and best >= 2]
    distinct = {(one.value, one.unit) for one in found}
    if len(distinct) > 1:
        listing = " and ".join(sorted(f"{value:g} {unit}" for value, unit in distinct))
        return (
            None,
            f"Several distances are named for the next fill ({listing}); type the one advised.",
        )
    return (found[0], None) if found else (None, None)


def paragraphs(sheet: Sheet) -> Iterable[tuple[str, list[Item]]]:
    """Return the running text of a page as paragraphs, with the items each is made of."""
    text, bottom, left = "", 0.0, 0.0
    held: list[Item] = []
    for row in sheet.rows:
        for run in _sentence_runs([item for item in row if sheet.free(item)]):
            joined = " ".join(item.text for item in run)
            top, x0 = min(i.box.y0 for i in run), run[0].box.x0
            near = top - bottom < 0.9 * sheet.letters and abs(x0 - left) < 12 * sheet.letters
            if text and near:
                text, held = f"{text} {joined}", held + run
            else:
                if text:
                    yield text, held
                text, held = joined, list(run)
            bottom, left = max(i.box.y1 for i in run), x0
    if text:
        yield text, held


def _sentence_runs(row: Sequence[Item]) -> list[list[Item]]:
    """Return the parts of a line that could be running text: several words with small letters."""
    wholes: list[list[Item]] = []
    for item in row:
        cell = item.whole or item.cell
        if wholes and (wholes[-1][-1].whole or wholes[-1][-1].cell) is cell:
            wholes[-1].append(item)
        else:
            wholes.append([item])
    found = []
    for run in wholes:
        text = " ".join(item.text for item in run)
        if len(re.findall(r"[^\W\d_]{2,}", text)) >= 2:
            found.append(run)
    return found


def _in_sheet(sheet: Sheet, conventions: Conventions) -> list[tuple[int, Quantity]]:
    found = []
    for text, items in paragraphs(sheet):
        for sentence in _SENTENCE.split(cleaned(text)):
            plain = folded(sentence)
            strong = _mentions(plain, "strong")
            weak = _mentions(plain, "weak")
            if not (strong or weak):
                continue
            for start, end, numeral, unit in _distances(sentence):
                clause = _clause(plain, start, end)
                score = (
                    2 * _mentions(clause, "strong") + 2 * _mentions(clause, "weak") + strong + weak
                )
                score -= 6 * _mentions(clause, "resample") + 5 * _mentions(clause, "past")
                read, _ = number(numeral, conventions)
                if score < 2 or read is None or read < 500:
                    continue
                page, box = items[0].cell.page, items[0].box
                found.append((score, Quantity(read, unit, sentence[start:end].strip(), page, box)))
    return found


def _distances(sentence: str) -> list[tuple[int, int, str, str]]:
    found = []
    for match in _DISTANCE.finditer(sentence):
        unit = _UNIT.get(folded(match[2]), "km")
        found.append((match.start(), match.end(), match[1], unit))
    found += [
        (match.start(), match.end(), match[1] + "000", _UNIT.get(folded(match[2]), "km"))
        for match in _THOUSANDS.finditer(sentence)
    ]
    return found


def _mentions(text: str, name: str) -> bool:
    return any(
        re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text) for word in listed("advice", name)
    )


def _clause(plain: str, start: int, end: int) -> str:
    """Return the part of the sentence around a distance, up to the next break or distance."""
    breaks = [
        m.end()
        for m in re.finditer(
            r"[,;()]\s|\s\(|\s[-–—]\s|\b(?:and|but|und|aber|y|pero|et|mais)\b", plain
        )
    ]
    left = max((b for b in breaks if b <= start), default=0)
    right = min((b for b in breaks if b >= end), default=len(plain))
    return plain[left:right]
