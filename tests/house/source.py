"""The package's source as syntax trees, for the house tests."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "src" / "lees"
PURE_ROOMS = (
    "quantity", "oil", "wear", "filtration", "picture", "document", "case", "judge", "chart",
    "publish",
)  # fmt: skip


@dataclass(frozen=True)
class Module:
    """One module: where it lies and what it says."""

    path: Path

    @property
    def name(self) -> str:
        return ".".join(self.path.relative_to(PACKAGE).with_suffix("").parts)

    @property
    def tree(self) -> ast.Module:
        return _tree(self.path)

    def public_functions(self) -> Iterator[ast.FunctionDef]:
        for node in self.tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield node


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def modules() -> list[Module]:
    """Return every module of the package."""
    return [Module(path) for path in sorted(PACKAGE.rglob("*.py"))]


def pure_modules() -> list[Module]:
    """Return every module of the pure rooms that exist, and the errors."""
    return [module for module in modules() if module.name.split(".")[0] in PURE_ROOMS]
