"""The open form of an archive: which tables an export has, and how a cell is written and read.

Tables are CSV (RFC 4180, UTF-8, a header, lines ended by LF). A text that a spreadsheet would take
for a formula, and one that begins with an apostrophe, gets an apostrophe before it; reading takes
that one away again, so that every text comes back exactly.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from lees.errors import UnusableInput, printable
from lees.quantity.data import rows

README, DICTIONARY, MANIFEST = "README.md", "dictionary.csv", "MANIFEST.sha256"
TABLES, CASES, SOURCES = "tables", "cases", "sources"
FINDINGS, READINGS, PEERS = "findings", "readings", "peers"
NUMBERS = frozenset(
    {"distance", "hours", "months", "number", "step", "zero_mm"}
    | {"version", "case_version", "ordinal", "size", "line", "undoes"}
)
REF = re.compile(r"[0-9a-z][0-9a-z-]{0,59}")
_RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
_LARGEST_CELL = 1 << 28

Cell = str | int | float | None


class WrongTable(UnusableInput):
    """A table of an export that cannot be read."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of an export, as its data dictionary describes it."""

    table: str
    name: str
    meaning: str
    unit: str


def dictionary() -> tuple[Column, ...]:
    """Return the data dictionary: every column of every table, in order."""
    return tuple(
        Column(row["table"], row["column"], row["meaning"], row["unit"] or "")
        for row in rows("archive", "dictionary")
    )


def columns_of(table: str) -> tuple[str, ...]:
    """Return the columns of a table, in order."""
    return tuple(column.name for column in dictionary() if column.table == table)


def write_table(path: Path, table: str, lines: Iterable[tuple[Cell, ...]]) -> None:
    """Write a table of an export."""
    names = columns_of(table)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(names)
        for line in lines:
            cells = (
                cell_of(cell, text=name not in NUMBERS)
                for name, cell in zip(names, line, strict=True)
            )
            writer.writerow(cells)


def read_table(path: Path, table: str) -> Iterator[dict[str, str]]:
    """Give the rows of a table of an export; raise `WrongTable` with the line that is wrong."""
    names = columns_of(table)
    csv.field_size_limit(_LARGEST_CELL)
    shown = f"{TABLES}/{table}.csv"
    try:
        with path.open(encoding="utf-8", newline="") as file:
            reader = csv.reader(file, strict=True)
            if tuple(next(reader, ())) != names:
                raise WrongTable(f"{shown} has not the columns of an export.")
            for cells in reader:
                if len(cells) != len(names):
                    raise WrongTable(f"{shown}, line {reader.line_num}: cells are missing.")
                yield {
                    name: cell if name in NUMBERS else text_of(cell)
                    for name, cell in zip(names, cells, strict=True)
                }
    except FileNotFoundError:
        raise WrongTable(f"{shown} is missing.") from None
    except (csv.Error, UnicodeDecodeError) as error:
        raise WrongTable(f"{shown} cannot be read ({printable(str(error))}).") from None


def cell_of(value: Cell, *, text: bool = True) -> str:
    """Return a value as a cell.

    >>> cell_of("=1+1"), cell_of("'quoted"), cell_of(None), cell_of(-0.02, text=False)
    ("'=1+1", "''quoted", '', '-0.02')
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if text and value.startswith(_RISKY) else value
    return repr(value)


def text_of(cell: str) -> str:
    """Return the text that a cell was written from.

    >>> text_of("'=1+1"), text_of("''quoted"), text_of("plain")
    ('=1+1', "'quoted", 'plain')
    """
    return cell[1:] if cell.startswith("'") else cell
