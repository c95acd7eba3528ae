"""Texts brought to one form, so that both databases sort and search them alike.

Unicode normalisation form KD and case folding (The Unicode Standard, 3.11 and 3.13), without the
combining marks: “Fähre” is found by “fahre”.
"""

from __future__ import annotations

import re
import unicodedata

LONGEST_KEY = 200
_WORD = re.compile(r"[^\W_]+")


def key_of(text: str) -> str:
    """Return the form by which a text is sorted and compared.

    >>> key_of("  Harbour   FÄHRE ")
    'harbour fahre'
    """
    return " ".join(_plain(text).split())[:LONGEST_KEY]


def words_of(*texts: str) -> tuple[str, ...]:
    """Return the words of some texts, each once, in order.

    >>> words_of("5W-30, bonded seam", "seam torn")
    ('30', '5w', 'bonded', 'seam', 'torn')
    """
    found: set[str] = set()
    for text in texts:
        found.update(word[:60] for word in _WORD.findall(_plain(text)))
    return tuple(sorted(found))


def _plain(text: str) -> str:
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in parts if not unicodedata.combining(c) and c != "\x00")
