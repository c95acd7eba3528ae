"""What a letter says in one line: additives, parts that are as they should be, and sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from lees.chart.numbers import plain
from lees.chart.spread import placeable
from lees.judge.filter import AS_IT_SHOULD_BE
from lees.judge.findings import ElementRow, Findings, PartRow
from lees.judge.wear import ADDITIVES
from lees.judge.words import inside, listed, sentence
from lees.publish.wording import STEPS, Content, words

COMMON, JUDGED = "common practice, no source", "judgement"


def unplaced(findings: Findings) -> list[list[str]]:
    """Return the rows of a table of elements, where none of them has peers to stand against."""
    if placeable(findings.elements):
        return []
    rows = (row for row in findings.elements if row.key not in ADDITIVES)
    return [[row.name, row.text, _rate(row)] for row in rows]


def in_line(findings: Findings) -> list[list[str]]:
    """Return the elements that stand in no chart and no table, each group's name and its line."""
    word, placed = words()["heading"], placeable(findings.elements)
    additives = [row for row in findings.elements if row.key in ADDITIVES]
    others = [row for row in findings.elements if row.key not in ADDITIVES and row not in placed]
    groups = [(word["additives"], additives), (word["no_peers"], others if placed else [])]
    return [[name, _one_line(rows)] for name, rows in groups if rows]


def parts_apart(findings: Findings) -> list[Content]:
    """Return the parts that are not simply as they should be, each with what was found of it."""
    said = " ".join(one.text for one in findings.statements)
    return [
        {
            "part": row.part,
            "found": found_of(row),
            "meaning": sentence(row.meaning),
            "unsaid": "" if row.meaning in said else sentence(row.meaning),
            "action": row.action.value,
            "step": STEPS[row.action],
        }
        for row in _rows(findings)
        if row.meaning != AS_IT_SHOULD_BE
    ]


def parts_in_line(findings: Findings) -> list[str]:
    """Return one line for the parts that are as they should be, and of its run."""
    word = words()["word"]
    sound = [row for row in _rows(findings) if row.meaning == AS_IT_SHOULD_BE]
    lines = []
    if sound:
        names = listed([row.part.lower() for row in sound])
        notes = [f"{row.part}: {inside(row.seen or '')}" for row in sound if _adds(row)]
        lines.append(" ".join([f"{word['sound_parts']} {names}.", *map(sentence, notes)]))
    life = findings.filter_life
    if life and life.ran is not None and life.claimed is not None:
        ran, claimed = plain(life.ran), plain(life.claimed)
        lines.append(word["filter_ran"].format(ran=ran, claimed=claimed, unit=life.unit))
    return lines


def materials(findings: Findings) -> str:
    """Return what the parts that are as they should be are made of, in one line."""
    made: dict[str, list[str]] = {}
    for row in _rows(findings):
        if row.meaning == AS_IT_SHOULD_BE and row.material:
            made.setdefault(row.material, []).append(row.part.lower())
    told = "; ".join(f"{what} ({', '.join(parts)})" for what, parts in made.items())
    return f"{words()['word']['materials']} {told}." if told else ""


def found_of(row: PartRow) -> str:
    """Return material, condition and what was seen of a part, without saying a thing twice."""
    repeated = row.seen and _letters(row.condition or "") <= _letters(row.seen)
    condition = None if repeated else row.condition
    first = ", ".join(part for part in (row.material, condition) if part)
    return " ".join(sentence(part) for part in (first, row.seen) if part)


def grouped_sources(sources: Iterable[str]) -> list[str]:
    """Return sources for running text: each once, what is judged or customary gathered.

    >>> grouped_sources(["SAE J300", "SAE J300, table 1", "2 %: judgement", "floor: judgement"])
    ['SAE J300, table 1', 'judged: 2 %, floor']
    """
    word = words()["word"]
    met = list(dict.fromkeys(sources))
    judged, common, others = [], [], []
    for one in met:
        head, _, tail = one.rpartition(": ")
        if head and tail == JUDGED:
            judged.append(head)
        elif COMMON in (one, tail):
            common.append(head)
        elif not any(other.startswith(f"{one},") for other in met):
            others.append(one)
    for name, heads, is_met in (
        (word["judged"], judged, bool(judged)),
        (word["common_practice"], common, bool(common)),
    ):
        if is_met:
            told = ", ".join(head for head in heads if head)
            others.append(f"{name}: {told}" if told else name)
    return others


def _rows(findings: Findings) -> tuple[PartRow, ...]:
    return findings.filter.parts if findings.filter else ()


def _adds(row: PartRow) -> bool:
    """Tell whether what was seen of a part says more than its condition."""
    return bool(row.seen) and not _letters(row.condition or "") <= _letters(row.seen or "")


def _letters(text: str) -> set[str]:
    return set(re.findall(r"\w+", text.casefold()))


def _rate(row: ElementRow) -> str:
    return f"{plain(float(f'{row.rate.value:.2g}'))} {row.rate_unit or ''}" if row.rate else ""


def _one_line(rows: Sequence[ElementRow]) -> str:
    """Return elements as reported in one line, their unit once where they share it."""
    figures = [row.text.split() for row in rows]
    if all(len(one) == 2 and one[1] == figures[0][1] for one in figures):
        told = [f"{inside(row.name)} {one[0]}" for row, one in zip(rows, figures, strict=True)]
        return f"{', '.join(told)} {figures[0][1]}"
    return ", ".join(f"{inside(row.name)} {row.text}" for row in rows)
