"""Why: the statements behind the answers, what would explain them, and the check worth most."""

from __future__ import annotations

from typing import Any

from lees.chart.numbers import chance, plain
from lees.judge.findings import Explanation, Findings, NextCheck, Statement
from lees.publish.in_short import parts_in_line
from lees.publish.wording import STEPS, Content, words

MOST = 3
"""The letter gives so much evidence for and against, the weightiest first; the page gives all."""


def reasons(findings: Findings) -> list[Content]:
    """Return the statements under the question that each is about, numbered through.

    One that the letter says elsewhere, word for word, has no number.
    """
    found, numbers = [], _numbers(findings)
    facts = {fact.id: fact for fact in findings.facts}
    for about in dict.fromkeys(statement.about for statement in findings.statements):
        some = [one for one in findings.statements if one.about is about]
        found.append(
            {
                "about": words()["about"][about.value],
                "statements": [
                    {**_statement(one, facts), "number": numbers.get(one.id)} for one in some
                ],
            }
        )
    return found


def explained(findings: Findings) -> list[Content]:
    """Return the explanations with what speaks for and against each, and what was not seen."""
    return [_explanation(one, findings) for one in findings.explanations]


def next_check(findings: Findings) -> str | None:
    """Return the check that would tell most for its effort, in one sentence."""
    check = findings.next_check
    if check is None:
        return None
    return str(words()["word"]["next_check"].format(name=check.name, effort=_effort(check)))


def _effort(check: NextCheck) -> str:
    """Return how long a check takes, as people say it."""
    word = words()["effort"]
    for hours, name in ((0.125, "minutes"), (0.375, "quarter"), (0.75, "half"), (1.25, "hour")):
        if check.effort_h < hours:
            return str(word[name])
    return str(word["hours"].format(hours=plain(round(check.effort_h))))


def _numbers(findings: Findings) -> dict[str, int]:
    """Return the number of each statement that the letter gives as a reason."""
    cited = {
        key for one in findings.explanations for key in one.evidence_for + one.evidence_against
    }
    elsewhere = " ".join(
        [
            *(answer.sentence for answer in findings.answers),
            *(proposal.sentence for proposal in findings.next_fill.proposals),
            *parts_in_line(findings),
        ]
    )
    abouts = list(dict.fromkeys(statement.about for statement in findings.statements))
    given = [one for one in findings.statements if one.id in cited or one.text not in elsewhere]
    ordered = sorted(given, key=lambda one: abouts.index(one.about))
    return {statement.id: i for i, statement in enumerate(ordered, 1)}


def _statement(one: Statement, facts: dict[str, Any]) -> Content:
    return {
        "text": one.text,
        "step": STEPS[one.action],
        "action": one.action.value,
        "formula": one.formula,
        "sources": list(one.sources),
        "facts": [
            [facts[key].name, facts[key].value, facts[key].source]
            for key in one.facts
            if key in facts
        ],
        "weight": _weight(one.weight_db),
    }


def _weight(weight_db: float | None) -> str | None:
    if weight_db is None or weight_db == 0:
        return None
    word = words()["word"]["weighs_for" if weight_db > 0 else "weighs_against"]
    return f"{word}, {plain(round(abs(weight_db)))} dB"


def _explanation(one: Explanation, findings: Findings) -> Content:
    said = {statement.id: statement.text for statement in findings.statements}
    numbers = _numbers(findings)
    return {
        "name": one.name,
        "likelihood": one.likelihood.value,
        "chance": chance(one.probability),
        "for": [said.get(key, key) for key in one.evidence_for],
        "against": [said.get(key, key) for key in one.evidence_against],
        "for_short": [str(numbers.get(key, key)) for key in one.evidence_for[:MOST]],
        "against_short": [str(numbers.get(key, key)) for key in one.evidence_against[:MOST]],
        "not_looked_at": list(one.not_looked_at),
        "check": one.check,
        "check_is_asked": one.check in findings.checks,
    }
