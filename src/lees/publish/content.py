"""What letter and page say, in order, as plain data: findings turned into titled pieces of text."""

from __future__ import annotations

import re
from datetime import date

from lees.chart.numbers import grouped, plain, with_interval
from lees.chart.parts import comparable
from lees.judge.findings import (
    Action,
    Answer,
    Findings,
    MeasuredRow,
    NextFill,
    PropertyRow,
)
from lees.publish.in_short import (
    grouped_sources,
    in_line,
    materials,
    parts_apart,
    parts_in_line,
    unplaced,
)
from lees.publish.reasons import explained, next_check, reasons
from lees.publish.wording import STEPS, Content, words


def content(findings: Findings) -> Content:
    """Return all that a letter or a page says, without pictures and charts."""
    return {
        "words": words(),
        "title": title(findings),
        "invented": words()["invented"] if findings.invented else None,
        "owner": findings.owner,
        "inspector": findings.inspector,
        "inspector_words": [findings.inspector_words] if findings.inspector_words else [],
        "about": _about(findings),
        "date": written_date(findings.dates[1] or findings.dates[0]),
        "answers": [_answer(answer) for answer in findings.answers],
        "checks": list(findings.checks),
        "next_fill": _next_fill(findings.next_fill),
        "wear": words()["heading"]["wear" if _has_peers(findings) else "wear_mean"],
        "next_check": next_check(findings),
        "elements": unplaced(findings),
        "in_line": in_line(findings),
        "properties": [_property(row) for row in findings.oil.properties],
        "oil": ", ".join(part for part in (findings.oil.name, findings.oil.grade) if part),
        "filter": findings.filter.name if findings.filter else None,
        "measured": [_measured(row, findings) for row in _measured_rows(findings)],
        "parts": parts_apart(findings),
        "parts_in_line": parts_in_line(findings),
        "materials": materials(findings),
        "reasons": reasons(findings),
        "explanations": explained(findings),
        "not_judged": list(findings.not_judged),
        "warnings": list(findings.warnings),
        "cautions": list(findings.cautions),
        "sources": grouped_sources(sources(findings)),
        "basis": findings.basis,
        "made": words()["word"]["made"].format(made_with=findings.made_with),
        "measured_with": _instruments(findings),
        "facts": [[fact.name, fact.value, fact.source] for fact in findings.facts],
    }


def title(findings: Findings) -> str:
    """Return the case's title, or that it has none."""
    return findings.title.strip() or str(words()["untitled"])


def written_date(text: str | None) -> str | None:
    """Return a date in words, or as it stands where it is none.

    >>> written_date("2026-09-02"), written_date("late summer"), written_date(None)
    ('2 September 2026', 'late summer', None)
    """
    day = day_of(text)
    return f"{day.day} {words()['months'][day.month - 1]} {day.year}" if day else text


def day_of(text: str | None) -> date | None:
    """Return the day that a text in the form 2026-09-02 names, or nothing."""
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None


def sources(findings: Findings) -> list[str]:
    """Return what the findings rest on, each source once, in the order met."""
    met = [source for statement in findings.statements for source in statement.sources]
    met += [row.range_source for row in _measured_rows(findings) if row.range_source]
    met += [row.limit_source for row in findings.elements if row.limit_source]
    met += [findings.oil.grade_source] if findings.oil.grade_source else []
    return list(dict.fromkeys(met))


def _about(findings: Findings) -> list[str]:
    parts = [findings.engine, ", ".join(p for p in (findings.oil.name, findings.oil.grade) if p)]
    if findings.run is not None:
        parts.append(f"{_whole(findings.run.value)} {findings.run_unit or findings.run.unit}")
    parts.append(_period(*findings.dates))
    return [part for part in parts if part]


def _whole(run: float) -> str:
    """Write a run as people say it: whole where it is long."""
    return grouped(run) if run >= 100 else plain(run)


def _period(start: str | None, end: str | None) -> str | None:
    """Return when the fill ran, the year once where it is the same."""
    first, last = day_of(start), day_of(end)
    if not (start and end):
        return None
    if first and last and first.year == last.year:
        month = words()["months"][first.month - 1]
        return f"{first.day} {month} {words()['to']} {written_date(end)}"
    return f"{written_date(start)} {words()['to']} {written_date(end)}"


def _answer(answer: Answer) -> Content:
    word = answer.likelihood.value if answer.likelihood else None
    judged = word is not None or answer.action is not Action.CARRY_ON
    return {
        "about": words()["about"][answer.about.value],
        "question": answer.question,
        "sentence": answer.sentence,
        "split": _about_word(answer.sentence, word),
        "action": answer.action.value if judged else words()["word"]["not_judged"],
        "step": STEPS[answer.action] if judged else 0,
        "likelihood": word,
    }


def _about_word(sentence: str, word: str | None) -> list[str] | None:
    """Return a sentence in three parts about its likelihood word, where it says it once itself."""
    if not word or len(parts := re.split(rf"\b({word})\b", sentence)) != 3:
        return None
    return parts


def _next_fill(fill: NextFill) -> Content:
    months = words()["or_months"]
    return {
        "advised": grouped(fill.advised) if fill.advised is not None else None,
        "unit": fill.unit,
        "months": months.format(months=plain(fill.months)) if fill.months else None,
        "reason": fill.reason,
        "proposals": [proposal.sentence for proposal in fill.proposals]
        + ([fill.cost.sentence] if fill.cost else []),
    }


def _has_peers(findings: Findings) -> bool:
    return any(row.peers_middle for row in findings.elements)


def _property(row: PropertyRow) -> list[str]:
    word = words()["word"]
    fresh = "–"
    if row.fresh:
        unit = "" if row.fresh.unit == row.value.unit else f" {row.fresh.unit}"
        fresh = plain(row.fresh.value) + unit
    if row.fresh and row.fresh_method and row.fresh_method != row.method:
        fresh += f" ({row.fresh_method})"
    if row.low is not None and row.high is not None:
        keep = f"{plain(row.low)}–{plain(row.high)}"
    elif row.low is not None:
        keep = f"{word['at_least']} {plain(row.low)}"
    elif row.high is not None:
        keep = f"{word['at_most']} {plain(row.high)}"
    else:
        keep = "–"
    return [row.name, row.text, fresh, keep, row.method or "–", row.note or ""]


def _measured_rows(findings: Findings) -> tuple[MeasuredRow, ...]:
    return findings.filter.measured if findings.filter else ()


def _instruments(findings: Findings) -> str:
    """Return what was measured with, each instrument once."""
    used = dict.fromkeys(row.instrument for row in _measured_rows(findings))
    return words()["word"]["measured_with"].format(instruments=", ".join(used)) if used else ""


def _measured(row: MeasuredRow, findings: Findings) -> Content:
    word = words()["word"]
    said = {statement.text for statement in findings.statements}
    if row.low is not None and row.high is not None:
        custom = f"{plain(row.low)}–{plain(row.high)}"
    elif row.low is not None:
        custom = f"{word['at_least']} {plain(row.low)}"
    elif row.high is not None:
        custom = f"{word['at_most']} {plain(row.high)}"
    else:
        custom = "–"
    return {
        "what": row.what,
        "value": with_interval(row.value, row.expanded),
        "customary": custom,
        "instrument": row.instrument,
        "readings": ", ".join(plain(reading) for reading in row.readings),
        "zero": plain(row.zero) if row.zero else None,
        "doubts": list(row.doubts),
        "unsaid": [doubt for doubt in row.doubts if doubt not in said],
        "drawn": row in comparable((row,)),
    }
