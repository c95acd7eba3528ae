"""A printed text cut into comparable tokens: capitals, accents and punctuation set aside."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

_TOKEN = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+|[%‰°º℃℉]")
_PART = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+|[%‰°]")
_CAMEL = re.compile(r"(?<=[a-z0-9])(?=[A-Z])")
_LIKE = str.maketrans({"º": "°", "ø": "o", "ß": "ss", "æ": "ae", "œ": "oe", "\u2126": "ω"})
_INVISIBLE = {"Cc", "Cf", "Cs", "Co", "Cn"}


@dataclass(frozen=True, slots=True)
class Token:
    """A comparable word or number, where it stands in the text, and whether in brackets."""

    text: str
    raw: str
    start: int
    end: int
    bracketed: bool


def cleaned(text: str) -> str:
    r"""Return a text without control and direction marks, blanks drawn together.

    >>> cleaned("12\u202e.5\x00  mg")
    '12.5 mg'
    """
    kept = "".join(
        c if unicodedata.category(c) not in _INVISIBLE else (" " if c in "\t\n\r\v\f" else "")
        for c in text
    )
    return " ".join(kept.split())


@lru_cache(maxsize=20_000)
def folded(text: str) -> str:
    """Return a text in small letters without accents.

    >>> folded("Viskosität"), folded("Ruß"), folded("mm²/s")
    ('viskositat', 'russ', 'mm2/s')
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LIKE))
    return "".join(c for c in plain if not unicodedata.combining(c)).translate(_LIKE)


@lru_cache(maxsize=20_000)
def tokens(text: str) -> tuple[Token, ...]:
    """Return the tokens of a text; letters and digits that touch are parted.

    >>> [token.text for token in tokens("Visc. @ 100°C (mm²/s)")]
    ['visc', '100', '°', 'c', 'mm', '2', 's']
    """
    found: list[Token] = []
    depth = 0
    position = 0
    for match in _TOKEN.finditer(text):
        between = text[position : match.start()]
        depth = max(0, depth + sum(between.count(c) for c in "([{"))
        depth = max(0, depth - sum(between.count(c) for c in ")]}"))
        position = match.end()
        raw = match.group()
        for part in _PART.findall(folded(raw)):
            plain = part.replace(",", ".") if part[0].isdigit() else part
            found.append(Token(plain, raw, match.start(), match.end(), depth > 0))
    return tuple(found)


_ARTICLES = frozenset(
    (
        "the",
        "this",
        "der",
        "die",
        "das",
        "des",
        "dem",
        "den",
        "el",
        "la",
        "los",
        "las",
        "le",
        "les",
        "l",
        "d",
    )
)


def told(parts: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return tokens without articles and the ring of `N°`; all where nothing else is there."""
    kept = tuple(
        part
        for at, part in enumerate(parts)
        if (part.text not in _ARTICLES or part.raw[0].isupper())
        and not (part.text == "°" and at and parts[at - 1].text in ("n", "no", "nr"))
    )
    return kept or parts


def name_words(text: str) -> tuple[str, ...]:
    """Return the token texts of a name without articles.

    >>> name_words("miles on the oil")
    ('miles', 'on', 'oil')
    """
    return tuple(part.text for part in told(tokens(text.lower())))


def words_of(text: str) -> tuple[str, ...]:
    """Return the token texts alone.

    >>> words_of("mg KOH/g")
    ('mg', 'koh', 'g')
    """
    return tuple(token.text for token in tokens(text))


def opened_camel(text: str) -> str:
    """Return a programmer's name with its words apart.

    >>> opened_camel("oilDistance_km")
    'oil Distance km'
    """
    return _CAMEL.sub(" ", text.replace("_", " "))
