"""Each page of docs/methods says formula, source, validity and when it lies, and its example runs.

Examples are Python sessions (``>>>``), or commands in a ``console`` block: a line ``$ lees …`` and
what it prints.
"""

from __future__ import annotations

import contextlib
import doctest
import io
import re
import shlex
from pathlib import Path

import pytest

METHODS = Path(__file__).parents[2] / "docs" / "methods"
GENERATED = {"comparison.md"}
SECTIONS = ("Formula", "Source", "Valid for", "Worked example", "When it lies")

PAGES = [
    pytest.param(path, id=path.name)
    for path in sorted(METHODS.glob("*.md"))
    if path.name not in GENERATED
]
CONSOLE = re.compile(r"```console\n(.*?)```", re.DOTALL)


def printed_by(command: str) -> str:
    """Return what a command of ours prints."""
    from lees.cli import app

    arguments = shlex.split(command)
    assert arguments.pop(0) == "lees", f"not a command of ours: {command}"
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        app(arguments)
    return out.getvalue()


def commands(text: str) -> list[tuple[str, str]]:
    """Return the commands of a page's console blocks with what they are said to print."""
    found = []
    for block in CONSOLE.findall(text):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output.strip()))
    return found


@pytest.mark.parametrize("page", PAGES)
def test_page_has_its_sections(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    missing = [name for name in SECTIONS if not re.search(rf"^##+ {name}", text, re.MULTILINE)]
    assert not missing


@pytest.mark.parametrize("page", PAGES)
def test_worked_examples_run(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    session = re.sub(r"^```.*$", "", text, flags=re.MULTILINE)
    test = doctest.DocTestParser().get_doctest(session, {}, page.name, str(page), 0)
    told = commands(text)
    assert test.examples or told, "no worked example"
    report = io.StringIO()
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    runner.run(test, out=report.write)
    assert runner.failures == 0, report.getvalue()
    for command, output in told:
        assert printed_by(command).strip() == output


def test_a_wrong_example_is_found(tmp_path: Path) -> None:
    page = tmp_path / "wrong.md"
    page.write_text("## Worked example\n\n```python\n>>> 1 + 1\n3\n```\n", encoding="utf-8")
    with pytest.raises(AssertionError):
        test_worked_examples_run(page)
