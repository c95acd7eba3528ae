"""Results in running text: `iron 12 ppm (fleet mean 9), copper at 4 ppm`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lees.document.advice import paragraphs
from lees.document.conventions import Conventions, number
from lees.document.labels import Label, read_label
from lees.document.printed_units import Note, fits, shown
from lees.document.records import Result
from lees.document.roles import MEAN, OWN, role_of
from lees.document.tables import Sheet
from lees.document.tokens import cleaned
from lees.document.values import NUMERAL, unit_of
from lees.quantity.measurands import measurand

_VALUE = re.compile(rf"(?<![\w.,])([<>≤≥]\s?)?({NUMERAL})")
_LINK = re.compile(
    r"^\W*(?:(?:is|was|were|are|at|of|the|a|only|just|with|about|around|found|measured|came|out|to|reads|read|stands|"
    r"stood|result|level|content|shows|showed|in|this|sample|has|had|gave|liegt|bei|betragt|beträgt|von|ist|war|mit|es|de|a|"
    r"está|esta|fue|en|est|a|à|était|etait|se|situe|mesuré|mesure|medido|gemessen|auf|rose|fell|up|down|steady|"
    r"now|hat|noch|nur|aún|solo|encore|seulement|equal|equals|counted)\b\W*)*$",
    re.IGNORECASE,
)
_BELOW = re.compile(
    r"\b(?:below|under|less than|unter|weniger als|menos de|moins de)\b", re.IGNORECASE
)
_PAST = re.compile(
    r"\b(?:from|was last|previous|before|instead|anstatt|statt|zuvor|vorher|antes|avant|limit|below"
    r"|above|over|under|max)\b",
    re.IGNORECASE,
)


def prose_results(
    sheets: Sequence[Sheet], conventions: Conventions, notes: Sequence[Note]
) -> tuple[dict[str, Result], dict[str, Result]]:
    """Return results and population means that running text states, by measurand."""
    found: dict[str, Result] = {}
    means: dict[str, Result] = {}
    for sheet in sheets:
        for text, items in paragraphs(sheet):
            told = _in_text(cleaned(text), conventions)
            if len({result.key for result, _ in told}) < 2:
                continue  # a single number in a sentence is a rule of thumb as often as a result
            for result, mean in told:
                if result.key in found:
                    if found[result.key].value != result.value:
                        found[result.key].doubt(0.6, "The text gives it more than once.")
                    continue
                result.page = items[0].cell.page
                result.box = items[0].box if len(items) == 1 else None
                found[result.key] = result
                if mean is not None:
                    mean.page = result.page
                    means[result.key] = mean
    return found, means


def _in_text(text: str, conventions: Conventions) -> list[tuple[Result, Result | None]]:
    found: list[tuple[Result, Result | None]] = []
    values = list(_VALUE.finditer(text))
    used = 0
    for match in values:
        if match.start() < used:
            continue
        before = text[used : match.start()]
        label, gap = _name_before(before)
        if label is None or label.kind != "measurands" or not _LINK.match(_BELOW.sub(" ", gap)):
            continue
        if label.key in ("viscosity", "saybolt", "temperature"):
            continue
        after = text[match.end() :]
        unit, length = _unit_after(after)
        if unit is not None and not fits(label.key, unit[1]):
            continue
        if unit is None and label.symbol_only:
            continue
        read, sure = number(match[2], conventions, label.key)
        if read is None:
            continue
        printed = unit or (
            (label.unit_text, label.unit) if label.unit and label.unit_text else None
        )
        whole = (match[0] + after[:length]).strip()
        result = _result(label, read, printed, whole, match[1])
        result.doubt(0.985)
        if not sure:
            result.doubt(0.8, f"“{match[2]}” can be read as two numbers.")
        if role_of(_clause_before(before, gap)) == MEAN:
            continue
        below = _BELOW.search(gap)
        if below and unit is None:
            continue
        if below:
            result.qualifier = result.qualifier or "<"
            gap = gap[: below.start()] + gap[below.end() :]
        if _PAST.search(gap):
            result.doubt(0.6, "The sentence compares several numbers.")
        used = match.end() + length
        found.append((result, _mean_after(text[used:], label, printed, conventions)))
    return found


def _clause_before(text: str, gap: str) -> str:
    """Return the words of the sentence before and after a name, up to its number."""
    return re.split(r"[.;,()]\s", text)[-1] + " " + gap


def _result(
    label: Label, read: float, printed: tuple[str, str] | None, text: str, sign: str | None
) -> Result:
    implied = measurand(label.key).unit if label.key != "vi" else None
    return Result(
        label.key,
        read,
        shown(*printed) if printed else implied,
        text,
        1,
        qualifier={"<": "<", "≤": "<", ">": ">", "≥": ">"}.get((sign or "").strip()) or None,
        method=label.method,
        unit_printed=printed is not None,
    )


def _name_before(text: str) -> tuple[Label | None, str]:
    """Return the last name in a text, longest first, and the words after it."""
    words = [(m.start(), m.end()) for m in re.finditer(r"\S+", text)][-14:]
    best: tuple[int, int, Label, str] | None = None
    for end_at in range(len(words), 0, -1):
        for start_at in range(max(0, end_at - 7), end_at):
            piece = text[words[start_at][0] : words[end_at - 1][1]]
            bare = piece.strip(" .,;:()")
            if not bare or ";" in piece[:-1] or re.search(r"[^\W\d_]{5,}\.\s", piece):
                continue
            label = read_label(bare)
            if label is None or label.strength < 0.8 or label.kind == "facts":
                continue
            if label.symbol_only and len(bare.split()[0]) == 1:
                continue
            gap = text[words[end_at - 1][1] :]
            if best is None:
                best = (start_at, end_at, label, gap)
            break
        if best is not None and end_at < best[1]:
            break
    return (best[2], best[3]) if best else (None, "")


def _unit_after(text: str) -> tuple[tuple[str, str] | None, int]:
    parts = list(re.finditer(r"\S+", text))[:4]
    for count in range(len(parts), 0, -1):
        end = parts[count - 1].end()
        piece = text[:end]
        bare = piece.rstrip(".,;:)")
        if "," in bare.strip() and count > 1:
            continue
        if found := unit_of(bare.strip()):
            return found, len(bare)
    return None, 0


def _mean_after(
    text: str, label: Label, printed: tuple[str, str] | None, conventions: Conventions
) -> Result | None:
    match = re.match(rf"\s*[,(\[]\s*([^()\[\]\d]{{2,50}}?)\s*({NUMERAL})", text)
    if match is None or role_of(match[1]) not in (MEAN,) or role_of(match[1]) == OWN:
        return None
    read, _ = number(match[2], conventions, label.key)
    return None if read is None else _result(label, read, printed, match[2], None)
