"""Judge a case: from its folder to findings, letter, page and cards beside it."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from lees.case.records import Facts
from lees.errors import UnusableInput
from lees.judge.findings import Findings, as_json
from lees.work.bench import Bench
from lees.work.case_folder import CaseFolder
from lees.work.gather import gather_facts
from lees.work.outputs import write_outputs


@dataclass(frozen=True, slots=True)
class Outputs:
    """Where the answers go, and whether a stranger's file may be written over."""

    folder: Path
    overwrite: bool = False


def judge_case(case_folder: Path, outputs: Outputs, bench: Bench) -> Findings:
    """Judge the case in a folder and write findings, letter, page and cards.

    Raises `UnusableInput` where the case cannot be parsed, where nothing is left to judge, or
    where the answers cannot be written; nothing is then written.
    """
    from lees.judge.verdict import verdict

    with ThreadPoolExecutor(1) as aside:
        aside.submit(_made_ready)
        gathered = gather_facts(CaseFolder(case_folder), bench)
    if not _anything_to_judge(gathered.facts):
        raise UnusableInput(
            "\n".join(
                (
                    *gathered.facts.warnings,
                    f"{case_folder.name}: nothing is left to judge; "
                    "enter a report, a filter or a picture.",
                )
            )
        )
    bench.progress("weighing the evidence")
    findings = verdict(gathered.facts, made_with=f"Lees {bench.version}")
    bench.progress("writing letter, page and cards")
    write_outputs(
        outputs.folder,
        documents(findings, gathered.pictures),
        overwrite=outputs.overwrite,
    )
    return findings


def _made_ready() -> None:
    """Load the press and start its chart engine while the files are still being read."""
    from lees.publish import cards, letter, page  # noqa: F401
    from lees.publish.press import press

    press().warm_up()


def documents(findings: Findings, pictures: dict[str, bytes]) -> dict[str, bytes]:
    """Return everything that is made from findings, by file name."""
    from lees.publish.cards import card_pngs
    from lees.publish.letter import letter_pdf
    from lees.publish.page import page_html

    with ThreadPoolExecutor(2) as together:
        cards = together.submit(card_pngs, findings, pictures)
        letter = together.submit(letter_pdf, findings, pictures)
        page = page_html(findings, pictures)
    return {
        "findings.json": findings_json(findings).encode(),
        "letter.pdf": letter.result(),
        "page.html": page.encode(),
        **{f"cards/{name}": data for name, data in cards.result().items()},
    }


def findings_json(findings: Findings) -> str:
    """Return findings as JSON text, the same for the same findings."""
    return json.dumps(as_json(findings), ensure_ascii=False, indent=1) + "\n"


def _anything_to_judge(facts: Facts) -> bool:
    case = facts.case
    typed = bool(case.report and case.report.results)
    read = bool(facts.report and facts.report.samples)
    filter_told = case.filter is not None and (
        bool(facts.measured) or bool(case.filter.parts) or bool(case.filter.model_fields_set)
    )
    return typed or read or filter_told or bool(facts.seen) or bool(facts.pictures)
