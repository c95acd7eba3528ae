"""Which kind of column a heading announces: sample, population mean, own mean, limit or change."""

from __future__ import annotations

import re
from functools import lru_cache

from lees.document.lexicon import role_phrases, role_words
from lees.document.tokens import cleaned, folded, words_of

SAMPLE, MEAN, OWN, FRESH = "sample", "mean", "own", "fresh"
UPPER, LOWER, RANGE = "upper", "lower", "range"
CHANGE, SPREAD = "change", "spread"
NUMERIC = (SAMPLE, MEAN, OWN, FRESH, UPPER, LOWER, RANGE, CHANGE, SPREAD)
_COMPOUND_LEAST = 5
_LONELY = frozenset(
    {"all", "new", "este", "esta", "ce", "su", "start", "lab", "no", "n", "ok", "up"}
)


@lru_cache(maxsize=10_000)
def role_of(text: str) -> str | None:
    """Return the kind of column that a heading announces, or None where it says nothing known.

    >>> role_of("Flottenmittel"), role_of("Mean of this engine"), role_of("Change vs. mean")
    ('mean', 'own', 'change')
    >>> role_of("Upper limit"), role_of("Normal range"), role_of("Result"), role_of("Harbour")
    ('upper', 'range', 'sample', None)
    """
    plain = folded(cleaned(text))
    if not plain:
        return None
    found = {role for role in role_words() if _mentions(plain, role)}
    return _settled(plain, found)


def _settled(plain: str, found: set[str]) -> str | None:
    if re.search(r"[δ∆]|\+/-|±", plain) and "mean" not in found:
        return CHANGE if not re.search(r"\+/-|±", plain) else SPREAD
    if CHANGE in found or any(phrase in plain for phrase in role_phrases("rate_phrases")):
        return CHANGE
    if re.search(
        r"\bstd\b|\bstandard dev|deviation|abweichung|desviacion|ecart.type|σ|sigma", plain
    ):
        return SPREAD
    own = any(_has_phrase(plain, phrase) for phrase in role_phrases("own_phrases"))
    if MEAN in found and (own or OWN in found):
        return OWN
    if UPPER in found and LOWER in found:
        return RANGE
    for role in (LOWER, UPPER, RANGE):
        if role in found:
            return role
    if MEAN in found:
        return MEAN
    if own and SAMPLE not in found:
        return OWN
    for role in (FRESH, "unit", "method", "symbol", SAMPLE, "status", "name", SPREAD, "ordinal"):
        if role in found:
            return role
    return None


def _mentions(plain: str, role: str) -> bool:
    words = words_of(plain)
    listed = role_words()[role]
    for word in words:
        if word in listed:
            if word in _LONELY and len(words) == 1 and role in (OWN, MEAN):
                continue
            if word == "all" and len(words) < 2:
                continue
            return True
        if len(word) > 2 * _COMPOUND_LEAST and any(
            len(known) >= _COMPOUND_LEAST and (word.endswith(known) or word.startswith(known))
            for known in listed
        ):
            return True
    return False


def _has_phrase(plain: str, phrase: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", plain) is not None
