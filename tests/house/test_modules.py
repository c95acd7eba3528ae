"""Modules stay small, open with one sentence, and the pure rooms touch nothing of the world."""

from __future__ import annotations

import ast
import re

import pytest

from house.source import Module, modules, pure_modules

CEILING = 600
LISTED: dict[str, str] = {}
"""Modules allowed above the ceiling, each with its reason."""

READERS = {"quantity.data"}
FORBIDDEN_IMPORTS = {
    "time", "random", "secrets", "socket", "urllib", "http", "requests", "httpx", "sqlite3",
    "sqlalchemy", "subprocess", "shutil", "tempfile", "pathlib", "os", "glob",
}  # fmt: skip
DISK = {"read_text", "read_bytes", "write_text", "write_bytes", "imread", "imwrite", "loadtxt"}
CLOCK = {"now", "today", "utcnow"}
RANDOM_TYPES = {"Generator", "BitGenerator"}

ALL = [pytest.param(module, id=module.name) for module in modules()]
PURE = [
    pytest.param(module, id=module.name) for module in pure_modules() if module.name not in READERS
]


@pytest.mark.parametrize("module", ALL)
def test_module_is_not_too_long(module: Module) -> None:
    lines = len(module.path.read_text(encoding="utf-8").splitlines())
    assert lines <= CEILING or module.name in LISTED


@pytest.mark.parametrize("module", ALL)
def test_module_opens_with_one_sentence(module: Module) -> None:
    opening = (ast.get_docstring(module.tree) or "").split("\n\n")[0]
    assert opening.endswith((".", "?")), "the first paragraph is not a sentence"
    assert not re.search(r"[a-z)][.?!]\s+[A-Z]", opening), "the first paragraph is not one sentence"


def worldly(tree: ast.AST) -> list[str]:
    """Return what in a module reaches for the disk, the network, the clock or chance."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [a.name for a in node.names if a.name.split(".")[0] in FORBIDDEN_IMPORTS]
        elif isinstance(node, ast.ImportFrom):
            pure = node.module == "pathlib" and all(a.name.startswith("Pure") for a in node.names)
            if (node.module or "").split(".")[0] in FORBIDDEN_IMPORTS and not pure:
                found.append(node.module or "")
        elif isinstance(node, ast.Call):
            found += _worldly_call(node)
        elif isinstance(node, ast.Attribute):
            drawn = ast.unparse(node.value) in ("np.random", "numpy.random")
            found += [node.attr] if drawn and node.attr not in RANDOM_TYPES else []
    return found


def _worldly_call(node: ast.Call) -> list[str]:
    if isinstance(node.func, ast.Name):
        return [node.func.id] if node.func.id in ("open", "print", "input") else []
    if isinstance(node.func, ast.Attribute):
        owner = ast.unparse(node.func.value)
        if node.func.attr in DISK:
            return [node.func.attr]
        if node.func.attr in CLOCK and owner.split(".")[-1] in ("datetime", "date"):
            return [f"{owner}.{node.func.attr}"]
    return []


@pytest.mark.parametrize("module", PURE)
def test_pure_room_touches_nothing_of_the_world(module: Module) -> None:
    assert worldly(module.tree) == []


@pytest.mark.parametrize(
    "line",
    [
        "open('x')", "Path('x').read_text()", "import time", "from random import random",
        "datetime.now()", "datetime.datetime.now()", "date.today()", "np.random.default_rng()",
        "np.random.normal()", "import os.path", "cv2.imread('x')",
    ],
)  # fmt: skip
def test_a_reach_for_the_world_is_found(line: str) -> None:
    assert worldly(ast.parse(line))


@pytest.mark.parametrize(
    "line",
    [
        "def f(generator: np.random.Generator) -> None: generator.normal()",
        "Image.open(stream)",
        "from pathlib import PurePath",
    ],
)
def test_what_is_handed_in_is_allowed(line: str) -> None:
    assert worldly(ast.parse(line)) == []
