#!/usr/bin/env python3
"""Write nomenclature.md: the names that public functions of the pure rooms take, with units."""

from __future__ import annotations

import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
for folder in ("tests", "src"):
    if str(ROOT / folder) not in sys.path:
        sys.path.insert(0, str(ROOT / folder))

import ast  # noqa: E402

from house.source import pure_modules  # noqa: E402

PAGE = Path(__file__).with_name("nomenclature.md")
OPENING = """# Nomenclature

Made by `docs/make_nomenclature.py` from the docstrings; do not edit. A name stands here once for
every meaning it has; the unit is the one in which a bare number of that name is given, `1` for a
plain number. A unit at the end of a name (`_mm`, `_km`, `_mm2_s`, `_mg_kg`) says the same.

| name | unit | meaning | rooms |
|---|---|---|---|
"""
_SECTION = re.compile(r"Parameters\n\s*-+\n(.*?)(?:\n\s*\n\s*\w+\n\s*-+|\Z)", re.DOTALL)
_UNIT = re.compile(r"\s*\[([^\]]+)\]\.?$")


def names() -> dict[tuple[str, str, str], set[str]]:
    """Return the rooms that use each name, unit and meaning."""
    found: dict[tuple[str, str, str], set[str]] = {}
    for module in pure_modules():
        room = module.name.split(".")[0]
        for function in module.public_functions():
            for name, text in parameters(ast.get_docstring(function) or ""):
                unit = _UNIT.search(text)
                meaning = _UNIT.sub("", text).rstrip(".").split(";")[0].split(". ")[0]
                key = (name, unit.group(1) if unit else "", " ".join(meaning.split()))
                found.setdefault(key, set()).add(room)
    return found


def parameters(docstring: str) -> list[tuple[str, str]]:
    """Return the parameters of a numpydoc docstring with their descriptions."""
    section = _SECTION.search(docstring + "\n")
    if section is None:
        return []
    found: list[tuple[str, list[str]]] = []
    for line in section.group(1).splitlines():
        if line and not line.startswith(" ") and " : " in line:
            found.append((line.split(" : ")[0], []))
        elif line.strip() and found:
            found[-1][1].append(line.strip())
    return [(name, " ".join(lines)) for group, lines in found for name in group.split(", ")]


def page() -> str:
    """Return the page."""
    rows = [
        f"| `{name}` | {unit or '—'} | {meaning.replace('|', '∣')} | {', '.join(sorted(rooms))} |"
        for (name, unit, meaning), rooms in sorted(names().items(), key=lambda item: item[0])
    ]
    return OPENING + "\n".join(rows) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
