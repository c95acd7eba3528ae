"""What a printed name says: measurand or fact, with its unit, temperature and test method."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from lees.document.lexicon import (
    Concept,
    Phrase,
    concepts,
    cups,
    fillers,
    letters_of_names,
    longest_name,
    symbols,
    unit_phrases,
)
from lees.document.tokens import Token, cleaned, opened_camel, tokens, told
from lees.quantity.measurands import measurands

_METHOD = re.compile(
    r"\b(?:(?:ASTM|DIN|EN|ISO|IP|NF|UNE|JIS|FTM)[\s-]*)+(?:[A-Z]{1,2}[\s-]?)?\d{2,6}(?:[-–]\d{1,4})?"
    r"(?:\s?\(?mod\.?\)?)?(?:\s?[A-C]\b)?|\b[DE][\s-]?\d{3,4}(?:[-–]\d{2})?\b(?:\s?mod\.?)?"
    r"|\bE\s?2412\b",
    re.IGNORECASE,
)
_INSTRUMENT = re.compile(r"\b(?:ICP(?:[-–/ ](?:OES|AES|MS))?|RDE(?:[-–]OES)?|FT-?IR|XRF|GC|KF)\b")
_RATIO = re.compile(r"\b[A-Z][a-z]?\s?[/:+]\s?[A-Z][a-z]?\b")
_SENTENCE = re.compile(r"(?:[;:]|[a-z]{5,}\.)\s+\S+\s+\S+\s+\S")
_LONGEST_UNIT = 6


@dataclass(frozen=True, slots=True)
class Label:
    """What a name says; `key` is a measurand's contract key, or a fact's name.

    `strength` runs from 0 to 1; `kind` is `measurands`, `others` or `facts`. A viscosity whose
    temperature is not said has the key `viscosity`; a temperature alone has the key `temperature`.
    """

    kind: str
    key: str
    strength: float
    unit: str | None = None
    unit_text: str | None = None
    method: str | None = None
    temperature: tuple[float, str] | None = None
    symbol_only: bool = False


@lru_cache(maxsize=20_000)
def read_label(text: str) -> Label | None:
    """Return what a printed name says, or None where it names nothing known.

    >>> read_label("Kin. viscosity @ 100 °C, mm²/s (ASTM D445)").key
    'kv100'
    >>> read_label("Iron (Fe) [ppm]").unit_text, read_label("Copper pipe 15 mm")
    ('ppm', None)
    """
    clean = cleaned(text)
    if not clean or len(clean) > 120 or _SENTENCE.search(clean):
        return None
    if clean in measurands() and len(clean) > 2:
        return Label("measurands", clean, 1.0)
    found = _read(clean)
    if found is None and ("_" in clean or re.search(r"[a-z][A-Z]", clean)):
        found = _read(opened_camel(clean))
    return found


def method_in(text: str) -> str | None:
    """Return the test method named in a text, as printed.

    >>> method_in("Base number ASTM D2896, mg KOH/g")
    'ASTM D2896'
    """
    match = _METHOD.search(text)
    return " ".join(match.group().split()) if match else None


def is_method(text: str) -> bool:
    """Tell whether a cell holds nothing but a method or an instrument."""
    rest = _METHOD.sub(" ", text)
    if rest == text and not _INSTRUMENT.search(text):
        return False
    rest = _INSTRUMENT.sub(" ", rest)
    return len(re.sub(r"[\W_]", "", rest)) <= 3


def _read(text: str) -> Label | None:
    if _RATIO.search(text) and not re.search(r"[a-z]{4}", text):
        return None
    method = method_in(text)
    body = _METHOD.sub(lambda match: " " * len(match.group()), text)
    parts = told(tokens(body))
    if not parts or len(parts) > 16:
        return None
    scan = _Scan(body, parts)
    scan.run()
    return scan.label(method or _cup(parts))


def _cup(parts: tuple[Token, ...]) -> str | None:
    words = tuple(part.text for part in parts)
    for cup, phrases in cups().items():
        for phrase in phrases:
            if any(words[i : i + len(phrase)] == phrase for i in range(len(words))):
                return cup.replace("_", " ")
    return None


class _Scan:
    """One pass over the tokens of a name, longest known phrase first."""

    def __init__(self, text: str, parts: tuple[Token, ...]) -> None:
        self.text = text
        self.parts = parts
        self.words = tuple(part.text for part in parts)
        self.named: list[Concept] = []
        self.fact_words: list[Phrase] = []
        self.symbols: list[tuple[str, float]] = []
        self.unit: str | None = None
        self.unit_text: str | None = None
        self.temperature: tuple[float, str] | None = None
        self.loose = 0.0
        self.fuzzy = False

    def run(self) -> None:
        """Take token after token until all are explained or counted as loose."""
        at = 0
        while at < len(self.parts):
            at += (
                self._name(at)
                or self._symbol(at)
                or self._temperature(at)
                or self._unit(at)
                or self._rest(at)
            )

    def _name(self, at: int) -> int:
        for length in range(min(longest_name(), len(self.words) - at), 0, -1):
            phrase = self.words[at : at + length]
            concept = concepts().get(phrase)
            if concept is None or (length == 1 and self._is_symbol_like(at)):
                continue
            if concept.kind == "facts" and all(word in fillers() for word in phrase):
                self.fact_words.append(phrase)
            self.named.append(concept)
            return length
        return 0

    def _is_symbol_like(self, at: int) -> bool:
        """Tell a symbol from a name of two letters, such as Na from `na`."""
        raw = self.parts[at].raw
        return len(raw) <= 2 and raw in symbols() and self.words[at] not in ("vi", "an", "bn", "kv")

    def _symbol(self, at: int) -> int:
        raw = self.parts[at].raw
        if not 1 <= len(raw) <= 2 or not raw.isalpha() or self._is_hyphened(at):
            return 0
        if raw in symbols():
            if (
                raw in ("As", "In", "No", "Co")
                and self.words[at] in fillers()
                and len(self.parts) > 2
            ):
                return 0
            self.symbols.append((raw, 0.95 if len(raw) == 2 else 0.85))
            return 1
        changed = raw.capitalize()
        if changed in symbols() and len(raw) == 2 and self._unit(at) == 0:
            if self.words[at] in fillers() and len(self.parts) > 1:
                return 0
            self.symbols.append((changed, 0.8 if raw.isupper() else 0.7))
            return 1
        alone = raw.islower() and at == 0 and len(self.parts) > 1 and not self.named
        if alone and changed in symbols() and self._unit_at(1) is not None:
            self.symbols.append((changed, 0.7))
            return 1
        return 0

    def _is_hyphened(self, at: int) -> bool:
        """Tell whether a token hangs on others by a hyphen, as in a code such as ML-P."""
        beside = [*self.words[max(0, at - 1) : at], *self.words[at + 1 : at + 2]]
        if any((one := concepts().get((word,))) and one.kind == "measurands" for word in beside):
            return False
        start, end = self.parts[at].start, self.parts[at].end
        before, after = self.text[max(0, start - 2) : start], self.text[end : end + 2]
        return (before[-1:] == "-" and before[:1].isalnum() and len(before) == 2) or (
            after[:1] == "-" and after[1:].isalnum()
        )

    def _temperature(self, at: int) -> int:
        word = self.words[at]
        if not word.replace(".", "").isdigit():
            return 0
        value = float(word) if word.count(".") <= 1 else 0.0
        follow = self.words[at + 1 : at + 3]
        for length, marks in ((2, ("°c", "°f", "degc", "degf", "gradc")), (1, ("c", "f"))):
            if len(follow) >= length and "".join(follow[:length]) in marks:
                self.temperature = (value, follow[length - 1][-1].upper())
                return 1 + length
        if follow[:2] in (("deg", "c"), ("deg", "f"), ("o", "c"), ("o", "f")):
            self.temperature = (value, follow[1].upper())
            return 3
        if follow[:1] in (("degc",), ("degf",), ("gradc",)):
            self.temperature = (value, follow[0][-1].upper())
            return 2
        if follow[:1] == ("°",) and value in (40.0, 100.0, 210.0):
            self.temperature = (value, "F" if value == 210 else "C")
            return 2
        viscous = any(c.name in ("viscosity", "saybolt") for c in self.named)
        if (
            self.temperature is None
            and value in (40.0, 100.0, 210.0)
            and (viscous or self.words[at - 1 : at] == ("v",))
        ):
            self.temperature = (value, "F" if value == 210 else "C")
            return 1
        return 0

    def _unit_at(self, at: int) -> tuple[int, str] | None:
        for length in range(min(_LONGEST_UNIT, len(self.words) - at), 0, -1):
            found = unit_phrases().get(self.words[at : at + length])
            if found is not None:
                return length, found
        return None

    def _unit(self, at: int) -> int:
        found = self._unit_at(at)
        if found is None:
            return 0
        length, symbol = found
        if self.unit is None or symbol == "SUS":
            self.unit = symbol
            start, end = self.parts[at].start, self.parts[at + length - 1].end
            self.unit_text = self.text[start:end].strip(" .,:;")
        return length

    def _rest(self, at: int) -> int:
        word, part = self.words[at], self.parts[at]
        if word in ("c", "f") and any(c.name == "flash" for c in self.named):
            self.unit, self.unit_text = f"°{word.upper()}", word.upper()
            return 1
        if word in fillers():
            return 1
        if self._fuzzy(word):
            return 1
        note = len(word) == 1 and (part.raw in "¹²³⁴⁵⁶⁷⁸⁹" or not part.raw.isalnum())
        if not note:
            self.loose += 0.3 if part.bracketed else (2.0 if word[0].isdigit() else 1.0)
        return 1

    def _fuzzy(self, word: str) -> bool:
        """Take a long name with one letter misread for what it was meant to be."""
        if len(word) < 5 or self.named:
            return False
        for phrase in letters_of_names().get(word[0], ()):
            if abs(len(phrase[0]) - len(word)) <= 1 and _one_apart(phrase[0], word):
                self.named.append(concepts()[phrase])
                self.fuzzy = True
                return True
        return False

    def label(self, method: str | None) -> Label | None:
        """Weigh what was found."""
        names = [c for c in self.named if c.kind != "facts"]
        facts = [c for c in self.named if c.kind == "facts"]
        if any(c.kind == "others" for c in names):
            return Label("others", "other", 1.0)
        keys = {c.name for c in names}
        if not keys and self.symbols and not facts:
            return self._symbol_label(method)
        if not keys and facts:
            return self._fact_label(facts)
        if not keys:
            if self.temperature and self.loose == 0 and self.unit in ("SUS", "mm²/s"):
                keys = {"saybolt" if self.unit == "SUS" else "viscosity"}
            elif self.temperature and self.loose == 0:
                return Label(
                    "measurands",
                    "temperature",
                    0.6,
                    self.unit,
                    self.unit_text,
                    method,
                    self.temperature,
                )
            else:
                return None
        strength = 1.0 - 0.35 * self.loose - (0.15 if self.fuzzy else 0)
        strength -= 0.35 * sum(
            1 for c in facts if c.name not in ("oil", "engine", "label", "grade")
        )
        for symbol, _ in self.symbols:
            if symbol not in keys:
                if not keys & {"viscosity", "saybolt", "vi"} and symbol in (
                    "V",
                    "K",
                    "P",
                    "S",
                    "B",
                ):
                    strength -= 0.2
                elif len(keys) == 1 and not keys & {"viscosity", "saybolt"}:
                    strength -= 0.5
        if len(keys) > 1:
            keys = _narrowed(keys)
        if len(keys) > 1 or strength < 0.5:
            return None
        key = self._with_temperature(next(iter(keys)))
        if key is None:
            return Label("others", "other", 1.0)
        return Label(
            "measurands", key, strength, self.unit, self.unit_text, method, self.temperature
        )

    def _symbol_label(self, method: str | None) -> Label | None:
        keys = {key for key, _ in self.symbols}
        if len(keys) > 1:
            return None
        strength = min(weight for _, weight in self.symbols) - 0.35 * self.loose
        if self.temperature and self.symbols[0][0] == "V":
            key = self._with_temperature("viscosity")
            return (
                key
                and Label(
                    "measurands", key, 0.9, self.unit, self.unit_text, method, self.temperature
                )
            ) or None
        if strength <= 0.5:
            return None
        return Label(
            "measurands",
            self.symbols[0][0],
            strength + (0.04 if self.unit else 0),
            self.unit,
            self.unit_text,
            method,
            symbol_only=True,
        )

    def _fact_label(self, facts: list[Concept]) -> Label | None:
        names = {c.name for c in facts}
        if self.symbols or self.loose >= 1 or self.temperature:
            return None
        if len(names) > 1:
            strong = {
                c.name for c in facts if c.name in ("oil_distance", "engine_distance", "advised")
            }
            names = strong if len(strong) == 1 else names
        if len(names) > 1:
            return None
        key = facts[0].name if len(names) > 1 else names.pop()
        if key in ("oil", "engine") and self.unit in ("km", "mi", "h"):
            key += "_hours" if self.unit == "h" else "_distance"
        return Label(
            "facts",
            key,
            0.9,
            self.unit,
            self.unit_text,
        )

    def _with_temperature(self, key: str) -> str | None:
        if key not in ("viscosity", "saybolt"):
            return key
        universal = key == "saybolt" or self.unit == "SUS"
        if self.temperature is None:
            return "saybolt" if universal else "viscosity"
        return viscosity_key(self.temperature, universal=universal)


def viscosity_key(temperature: tuple[float, str], *, universal: bool) -> str | None:
    """Return the key of a viscosity at a printed temperature, or None where the contract has none.

    Parameters
    ----------
    temperature : tuple of float and str
        The temperature and its scale, C or F. [°C or °F]
    universal : bool
        Whether it is in Saybolt universal seconds.

    Returns
    -------
    str or None
        The key. [1]

    Examples
    --------
    >>> viscosity_key((210.0, "F"), universal=True), viscosity_key((40.0, "C"), universal=False)
    ('sus210', 'kv40')
    """
    value, scale = temperature
    celsius = value if scale == "C" else (value - 32) / 1.8
    if universal:
        if 98 <= celsius <= 100.5:
            return "sus210"
        return "sus100f" if 37 <= celsius <= 38.5 else None
    if 99.5 <= celsius <= 100.5:
        return "kv100"
    return "kv40" if 39.5 <= celsius <= 40.5 else None


def _narrowed(keys: set[str]) -> set[str]:
    """Settle names that come together: a Saybolt viscosity is a viscosity."""
    for loser, winner in (("viscosity", "saybolt"), ("viscosity", "vi"), ("water", "glycol")):
        if keys == {loser, winner}:
            return {winner}
    return keys


def _one_apart(a: str, b: str) -> bool:
    """Tell whether one letter changed, added or dropped makes the words equal."""
    if len(a) > len(b):
        a, b = b, a
    at = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    return a[at + 1 :] == b[at + 1 :] if len(a) == len(b) else a[at:] == b[at + 1 :]
