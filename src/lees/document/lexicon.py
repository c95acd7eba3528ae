"""The words of a report: names of measurands and facts, units, column kinds, by the data files."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lees.document.tokens import folded, name_words, tokens, words_of
from lees.quantity.data import table
from lees.quantity.measurands import measurands
from lees.quantity.units import spellings, unit

LANGUAGES = ("en", "de", "es", "fr")
Phrase = tuple[str, ...]
_DIMENSIONS = frozenset(
    "content content_by_volume volume_fraction kinematic_viscosity saybolt_viscosity temperature "
    "base_or_acid_number absorbance".split()
)


@dataclass(frozen=True, slots=True)
class Concept:
    """What a name stands for: a measurand, another test, or a fact about the sample."""

    kind: str
    name: str


@cache
def concepts() -> dict[Phrase, Concept]:
    """Return every known name as tokens, with what it stands for."""
    found: dict[Phrase, Concept] = {}
    for language in LANGUAGES:
        for kind, entries in table("document", f"names_{language}").items():
            if kind == "concepts":
                continue
            for name, names in entries.items():
                for one in names:
                    found.setdefault(name_words(one), Concept(kind, name))
    return found


@cache
def language_of_words() -> dict[str, str]:
    """Return words of names that only one language has, with the language."""
    found: dict[str, set[str]] = {}
    for language in LANGUAGES:
        for kind, entries in table("document", f"names_{language}").items():
            if kind != "concepts":
                for names in entries.values():
                    for word in {word for one in names for word in name_words(one)}:
                        found.setdefault(word, set()).add(language)
    return {
        word: next(iter(languages))
        for word, languages in found.items()
        if len(languages) == 1 and len(word) >= 3
    }


@cache
def longest_name() -> int:
    """Return how many tokens the longest name has."""
    return max(map(len, concepts()))


@cache
def letters_of_names() -> dict[str, tuple[Phrase, ...]]:
    """Return the names of one long word by first letter, for names with a misread letter."""
    found: dict[str, list[Phrase]] = {}
    for phrase, concept in concepts().items():
        if concept.kind == "measurands" and len(phrase) == 1 and len(phrase[0]) >= 5:
            found.setdefault(phrase[0][0], []).append(phrase)
    return {letter: tuple(phrases) for letter, phrases in found.items()}


@cache
def fillers() -> frozenset[str]:
    """Return words that may stand in a name without changing it."""
    found: set[str] = set()
    for language in LANGUAGES:
        entries = table("document", f"names_{language}")["concepts"]
        for phrase in (*entries["fillers"], *entries["temperature_words"]):
            found.update(words_of(phrase))
    return frozenset(found)


@cache
def cups() -> dict[str, tuple[Phrase, ...]]:
    """Return the words for an open and a closed flash-point cup."""
    return {
        cup: tuple(
            words_of(one)
            for language in LANGUAGES
            for one in table("document", f"names_{language}")["concepts"][cup]
        )
        for cup in ("open_cup", "closed_cup")
    }


@cache
def symbols() -> dict[str, str]:
    """Return the chemical symbols by themselves, as printed."""
    return {key: key for key, one in measurands().items() if one.is_element}


@cache
def unit_phrases() -> dict[Phrase, str]:
    """Return unit spellings as tokens with the symbol they stand for."""
    found: dict[Phrase, str] = {}
    for symbol, names in table("document", "words")["units_also"].items():
        for name in names:
            found.setdefault(words_of(name), symbol)
    for spelling in sorted(spellings()):
        phrase = words_of(spelling)
        if unit(spelling).dimension.name not in _DIMENSIONS:
            continue
        if phrase and not all(word.replace(".", "").isdigit() for word in phrase):
            found.setdefault(phrase, unit(spelling).symbol)
    for word in (
        "s",
        "a",
        "m",
        "in",
        "c",
        "f",
        "l",
        "d",
        "x",
        "min",
        "mo",
        "mass",
        "ma",
        "cs",
        "mg",
    ):
        found.pop((word,), None)
    return found


@cache
def role_words() -> dict[str, frozenset[str]]:
    """Return the words for each kind of column."""
    entries = table("document", "roles")["words"]
    return {
        role: frozenset(one for name in names if len(words := words_of(name)) == 1 for one in words)
        for role, names in entries.items()
        if not role.endswith("_phrases")
    }


@cache
def role_phrases(role: str) -> tuple[str, ...]:
    """Return the folded phrases for a kind of column."""
    return tuple(folded(one) for one in table("document", "roles")["words"][role])


@cache
def value_words() -> dict[str, str]:
    """Return what stands instead of a number: trace, absent or missing."""
    entries = table("document", "words")["value_words"]
    return {folded(word): kind for kind in ("trace", "absent", "missing") for word in entries[kind]}


@cache
def listed(section: str, name: str) -> tuple[str, ...]:
    """Return a list of words of the page, folded."""
    return tuple(folded(word) for word in table("document", "words")[section][name])


@cache
def plausible(key: str) -> tuple[float, float, float, float] | None:
    """Return what a used engine oil shows as a rule, or None for an unknown measurand.

    Parameters
    ----------
    key : str
        The measurand.

    Returns
    -------
    tuple of four float, or None
        Rare below, usual from, usual to, never above. [the measurand's unit]
    """
    found = table("document", "plausible")["range"].get(key)
    return None if found is None else (found[0], found[1], found[2], found[3])


def has_letters(text: str) -> bool:
    """Tell whether a text has a word in it."""
    return any(token.text[0].isalpha() for token in tokens(text))
