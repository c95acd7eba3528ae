"""Every calculation on the command line shows a worked example in its help, and the example is true."""

from __future__ import annotations

import ast
import re
import shlex
from pathlib import Path

import pytest

import lees.cli.calc
from lees.cli import app
from lees.cli.calc import FAMILIES

FOLDER = Path(lees.cli.calc.__file__).parent
EXAMPLE = re.compile(r"Example: lees (calc .*?)\s+→\s+(.+)")


def commands(family: str) -> dict[str, str]:
    """Return the help of each command of a family."""
    tree = ast.parse((FOLDER / f"{family.replace('-', '_')}.py").read_text(encoding="utf-8"))
    return {
        node.name: ast.get_docstring(node) or ""
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
        and any("app." in ast.unparse(decorator) for decorator in node.decorator_list)
    }


ALL = [
    pytest.param(help_, id=f"{family}:{name}")
    for family in FAMILIES
    for name, help_ in commands(family).items()
]


@pytest.mark.parametrize("help_", ALL)
def test_worked_example_is_true(help_: str, capsys: pytest.CaptureFixture[str]) -> None:
    example = EXAMPLE.search(help_)
    assert example, "the help has no line “Example: lees calc … → …”"
    app(shlex.split(example.group(1)))
    assert example.group(2).strip() in capsys.readouterr().out


def test_every_family_has_commands() -> None:
    assert all(commands(family) for family in FAMILIES)


def pages() -> list[str]:
    """Return what to type for every page of help: each family's, and each of its commands'."""
    typed = {
        family: [name.strip("_").replace("_", "-") for name in commands(family)]
        for family in FAMILIES
    }
    below = [f"{family} {name}" for family in FAMILIES for name in typed[family] if name != family]
    return [*FAMILIES, *below]


@pytest.mark.parametrize("page", pages())
def test_page_of_help_shows_one_worked_example(
    page: str, capsys: pytest.CaptureFixture[str]
) -> None:
    app(["calc", *page.split(), "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    assert len(re.findall(rf"Example: lees calc {page}\b.+? → \S", shown)) == 1
    assert shown.count("Example: ") == 1
