#!/usr/bin/env python3
"""Write comparison.md: each published value, ours beside it, the difference and the source."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("tests", "src"):
    if str(ROOT / folder) not in sys.path:
        sys.path.insert(0, str(ROOT / folder))

from published.rows import TAGS, Row, all_rows  # noqa: E402

PAGE = Path(__file__).with_name("comparison.md")
OPENING = """# Our values against published ones

Made by `docs/methods/make_tables.py` from `tests/published/*.csv`; do not edit. A test computes
each value again and holds it to half the last digit that the source prints. The difference is ours
less the printed value; what is below half the last digit is rounding. Tags say how the printed
value came here:

"""


def shown(row: Row) -> tuple[str, str]:
    """Return our value and its difference from the printed one, to two digits more than printed."""
    ours = row.ours()
    if not row.is_number:
        return str(ours), "none" if str(ours) == row.printed else "differs"
    value, step = float(ours), 2 * row.tolerance
    exponent = "e" in row.plain.lower()
    digits = max(2, len(row.plain.lower().split("e")[0].lstrip("+-").replace(".", "").lstrip("0")))
    text = f"{value:.{digits + 1}e}" if exponent else f"{value:.{digits + 2}g}"
    if not exponent and "e" in text:
        text = f"{value:.0f}"
    parts = (value - float(row.plain)) / step
    # Adding zero turns a rounded −0.0 into 0.0.
    return text, f"{round(parts, 1) + 0.0:+.1f} × last digit"


def comparison() -> str:
    """Return the page."""
    lines = [f"- {tag}: {words}" for tag, words in TAGS.items()]
    rows = all_rows()
    for file in dict.fromkeys(row.file for row in rows):
        title = file.removesuffix(".csv").replace("_", " ").capitalize()
        lines += [
            "",
            f"## {title}",
            "",
            "| quantity | ours | published | unit | difference | source | tag |",
            "|---|---|---|---|---|---|---|",
        ]
        for row in (r for r in rows if r.file == file):
            ours, difference = shown(row)
            cells = [
                row.quantity, ours, row.printed, row.unit, difference,
                f"{row.source}, {row.place}", row.tag,
            ]  # fmt: skip
            lines.append("| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |")
    return OPENING + "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(comparison(), encoding="utf-8")
