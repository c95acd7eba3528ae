"""What a cell beside a name says: a number with its mark and unit, a word, a range, nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from lees.document.lexicon import listed, unit_phrases, value_words
from lees.document.tokens import cleaned, folded, words_of
from lees.errors import LeesError
from lees.quantity.entry import DecimalSign, parse_number

_SPACE = "\u0020\u00a0\u2007\u2009\u202f"
NUMERAL = (
    rf"(?:\d{{1,3}}(?:[{_SPACE}]\d{{3}})+(?![\d])(?:[.,]\d+)?"
    r"|\d{1,3}(?:['’]\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)(?:[eE][+-]?\d{1,2}(?!\w))?"
)
_DASHES = re.compile(r"^[-–—−_.…·•\s]+$")
_QUALIFIER = {
    "<": "<",
    "≤": "<",
    "‹": "<",
    "«": "<",
    ">": ">",
    "≥": ">",
    "›": ">",
    "»": ">",
    "⩽": "<",
    "⩾": ">",
}
_NUMBER = re.compile(rf"^([<>≤≥‹›«»⩽⩾]\s*=?\s*)?([+\-–−±]\s?)?({NUMERAL})(.*)$", re.DOTALL)
_RANGE = re.compile(
    rf"^({NUMERAL})\s*([^\s\d]{{0,10}})\s*(?:\.\.\.?|…|[-–—−~÷]|\b(?:to|bis|a|à|and|und|y|et|hasta|through)\b)\s*({NUMERAL})(.*)$",
    re.DOTALL | re.IGNORECASE,
)
_ASIDE = re.compile(rf"^\(\s*[<>]?\s*[+\-–−]?\s*{NUMERAL}[^()]*\)")
_FLAGGED = re.compile(r"^([A-Za-z]{1,2}|[*!†‡#^▲▼↑↓●○◆■□✓✔✗⚠△▽→►•~=]{1,3})\s*(?=[<>≤≥]?\s*\d)")


@dataclass(frozen=True, slots=True)
class Value:
    """What a cell says.

    `kind` is `number`, `word` (trace, absent), `range`, `missing`. `numeral` is the number as
    printed, `second` the upper end of a range; `aside` is a further number in brackets.
    """

    kind: str
    text: str
    numeral: str = ""
    second: str = ""
    qualifier: str | None = None
    sign: str = ""
    unit: str | None = None
    unit_text: str | None = None
    flag: str = ""
    aside: str = ""
    percent_change: bool = False


@lru_cache(maxsize=20_000)
def read_value(text: str) -> Value | None:
    """Return what a cell beside a name says, or None where it is no value.

    >>> read_value("< 1 ppm").qualifier, read_value("1.569,5*").numeral, read_value("trace").kind
    ('<', '1.569,5', 'word')
    >>> read_value("12.5 – 16.3").second, read_value("D2896"), read_value("n/a").kind
    ('16.3', None, 'missing')
    """
    clean = cleaned(text)
    if not clean or len(clean) > 60:
        return None
    if _DASHES.match(clean):
        return Value("missing", clean)
    if word := _word(clean):
        return word
    plain = clean.strip("[]{}|").strip()
    if plain.startswith("(") and plain.endswith(")") and plain.count("(") == 1:
        plain = plain[1:-1].strip()
    if ranged := _range(plain, clean):
        return ranged
    return _number(plain, clean)


@lru_cache(maxsize=20_000)
def unit_of(text: str) -> tuple[str, str] | None:
    """Return the unit that a cell holds and nothing else: as printed, and the symbol it stands for.

    >>> unit_of("[mg KOH/g]"), unit_of("Iron")
    (('mg KOH/g', 'mgKOH/g'), None)
    """
    clean = cleaned(text).strip("()[]{},;: ")
    if not clean or len(clean) > 40:
        return None
    if clean in ("C", "F", "s", "sec"):
        return {"C": ("C", "°C"), "F": ("F", "°F")}.get(clean)
    found = unit_phrases().get(words_of(clean))
    return None if found is None else (clean, found)


def number_in(numeral: str, decimal: DecimalSign) -> float | None:
    """Return the number that a numeral stands for under a decimal sign, or None if unreadable.

    Parameters
    ----------
    numeral : str
        The number as printed.
    decimal : DecimalSign
        The document's decimal sign.

    Returns
    -------
    float or None
        The number, in the unit that is printed with it. [as printed]

    Examples
    --------
    >>> number_in("1 569", DecimalSign.UNKNOWN), number_in("1,569", DecimalSign.UNKNOWN)
    (1569.0, None)
    """
    text = numeral if not numeral.startswith((".", ",")) else "0" + numeral
    try:
        return float(parse_number(text, decimal=decimal).value)
    except LeesError:
        return None


def decimal_votes(numeral: str) -> tuple[int, int]:
    """Return what a numeral shows of the page's decimal sign: votes for the point, for the comma.

    >>> decimal_votes("11.2"), decimal_votes("1.569,5"), decimal_votes("1,569")
    ((1, 0), (0, 1), (0, 0))
    """
    plain = re.sub(rf"[{_SPACE}'’]", "", numeral)
    points, commas = plain.count("."), plain.count(",")
    if points and commas:
        return (1, 0) if plain.rfind(".") > plain.rfind(",") else (0, 1)
    if points + commas != 1:
        return (0, 1) if points > 1 else ((1, 0) if commas > 1 else (0, 0))
    left, right = re.split("[.,]", plain)
    if len(right) == 3 and 1 <= len(left) <= 3 and not left.startswith("0"):
        return (0, 0)
    return (1, 0) if points else (0, 1)


def _word(clean: str) -> Value | None:
    plain = folded(clean).strip(" *.!()")
    for candidate in (folded(clean).strip(" *"), plain, folded(clean).replace(". ", ".")):
        kind = value_words().get(candidate)
        if kind == "missing":
            return Value("missing", clean)
        if kind:
            return Value("word", clean, qualifier=kind)
    head, _, tail = plain.rpartition(" ")
    if (
        head
        and value_words().get(head) in ("trace", "absent")
        and tail in listed("value_words", "flags")
    ):
        return Value("word", clean, qualifier=value_words()[head], flag=tail)
    return None


def _range(plain: str, clean: str) -> Value | None:
    match = _RANGE.match(plain)
    if match is None or ("/" in plain and not _starts_with_unit(match[4])):
        return None
    low, between, high, rest = match.groups()
    if between and unit_of(between) is None:
        return None
    tail = _tail(rest)
    if tail is None:
        return None
    unit_text, symbol, flag, _ = tail
    if between and symbol is None:
        unit_text, symbol = unit_of(between) or (None, None)
    return Value("range", clean, low, high, unit=symbol, unit_text=unit_text, flag=flag)


def _starts_with_unit(text: str) -> bool:
    """Tell whether what follows a number starts with a unit."""
    return _unit_prefix(text.strip()) is not None


def _number(plain: str, clean: str) -> Value | None:
    qualifier, flag = None, ""
    lowered = folded(plain)
    for sign, words in (
        ("<", listed("value_words", "below")),
        (">", listed("value_words", "above")),
    ):
        for word in sorted(words, key=len, reverse=True):
            if lowered.startswith(word + " ") or (word.endswith(".") and lowered.startswith(word)):
                rest = plain[len(word) :].strip()
                if rest[:1].isdigit():
                    qualifier, plain = sign, rest
                break
            if lowered.endswith(" " + word.rstrip(".")) and lowered[:1].isdigit() and len(word) > 2:
                qualifier, plain = sign, plain[: -len(word.rstrip("."))].strip()
                break
        if qualifier:
            break
    if leading := _FLAGGED.match(plain):
        if leading[1].isalpha() and folded(leading[1]) not in listed("value_words", "flags"):
            return None
        if leading[1].isalpha() and leading.end() == leading.end(1):
            return None
        flag, plain = leading[1], plain[leading.end() :]
    match = _NUMBER.match(plain)
    if match is None:
        return None
    mark, sign, numeral, rest = match.groups()
    if mark:
        qualifier = _QUALIFIER[mark.strip()[0]]
    tail = _tail(rest)
    if tail is None:
        return None
    unit_text, symbol, after, aside = tail
    signed = (sign or "").strip().replace("–", "-").replace("−", "-")
    return Value(
        "number",
        clean,
        numeral,
        qualifier=qualifier,
        sign=signed,
        unit=symbol,
        unit_text=unit_text,
        flag=flag or after,
        aside=aside,
        percent_change=bool(signed) and symbol == "%",
    )


def _tail(rest: str) -> tuple[str | None, str | None, str, str] | None:
    """Read what follows a number: unit as printed, its symbol, a flag, a number in brackets."""
    left, aside, flag = rest.strip(), "", ""
    unit_text: str | None = None
    symbol: str | None = None
    while left:
        if match := _ASIDE.match(left):
            aside, left = match.group(), left[match.end() :].strip()
            continue
        bare = folded(left).strip(" ()[].,;")
        if bare in listed("value_words", "flags") or not bare:
            return unit_text, symbol, left.strip(" ()[]") or flag, aside
        if symbol is None and (found := _unit_prefix(left)):
            unit_text, symbol, used = found
            left = left[used:].strip()
            continue
        first, _, others = left.partition(" ")
        if folded(first).strip("()[].,;") in listed("value_words", "flags"):
            flag, left = first.strip("()[]"), others.strip()
            continue
        return None
    return unit_text, symbol, flag, aside


def _unit_prefix(text: str) -> tuple[str, str, int] | None:
    """Return the longest unit that a text starts with: printed, its symbol, how much it took."""
    if text[:1] in ("C", "F") and not text[1:2].isalpha():
        return text[0], "°" + text[0], 1
    parts = text.split(" ")
    for count in range(min(5, len(parts)), 0, -1):
        piece = " ".join(parts[:count])
        bare = piece.rstrip("*!†‡#^.,;")
        if bare and (found := unit_of(bare)):
            return found[0], found[1], len(bare)
    return None
