"""How findings are told on a terminal: the four answers, what to check, what was doubtful."""

from __future__ import annotations

import shutil
import sys
import textwrap

from lees.errors import printable
from lees.judge.findings import Findings


def show_answers(findings: Findings) -> None:
    """Print the answers with what to do, and what to check next."""
    width = min(100, shutil.get_terminal_size().columns)
    for answer in findings.answers:
        head = f"  {answer.about.value.capitalize():<10}{answer.action.value:<13}"
        print(_wrapped(head, answer.sentence, width))
    for check in findings.checks:
        print(_wrapped(f"  {'Check':<23}", check, width))


def show_warnings(findings: Findings) -> None:
    """Print on standard error what could not be used or does not fit together."""
    for line in findings.warnings:
        print(f"lees: {printable(line, limit=400)}", file=sys.stderr)


def _wrapped(head: str, text: str, width: int) -> str:
    return textwrap.fill(
        printable(text, limit=2000), width, initial_indent=head, subsequent_indent=" " * len(head)
    )
