"""Our formulas give the values that published sources print, to half the last printed digit."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path

import pytest

from published.rows import TAGS, Row, all_rows

ROWS = all_rows()
ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("row", [pytest.param(r, id=f"{r.file}:{r.line}") for r in ROWS])
def test_published_value(row: Row) -> None:
    ours = row.ours()
    assert row.agrees(), (
        f"{row.quantity}: ours {ours}, printed {row.printed} {row.unit} ({row.source}, {row.place})"
    )


@pytest.mark.parametrize("row", [pytest.param(r, id=f"{r.file}:{r.line}") for r in ROWS])
def test_published_value_says_where_it_stands(row: Row) -> None:
    assert row.source
    assert row.place
    assert row.quantity
    assert row.tag in TAGS


def test_a_wrong_value_is_found() -> None:
    row = Row("none.csv", 1, "arithmetic", "–", "root of 2", "math.sqrt", "[2]", "1.41", "1", "L")
    assert row.agrees()
    assert replace(row, printed="1.414214").agrees()
    assert not replace(row, printed="1.42").agrees()
    assert not replace(row, printed="1.414215").agrees()


def test_the_table_of_comparisons_is_up_to_date() -> None:
    made = runpy.run_path(str(ROOT / "docs" / "methods" / "make_tables.py"))["comparison"]()
    page = (ROOT / "docs" / "methods" / "comparison.md").read_text(encoding="utf-8")
    assert page == made, "run: python docs/methods/make_tables.py"
