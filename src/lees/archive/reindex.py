"""What cases are found by, made again from what was entered."""

from __future__ import annotations

import json

from sqlalchemy import select

from lees.archive.archive import Archive, Turn
from lees.archive.backup import Progress, no_progress
from lees.archive.cases import case_from, case_row
from lees.archive.index import clear_index, links_of, write_index
from lees.archive.tables import cases

_AT_ONCE = 200


def reindex(archive: Archive, progress: Progress = no_progress) -> int:
    """Make the index of every case again, some hundred at a time; return how many there are."""
    with archive.database.reading() as connection:
        refs = list(connection.execute(select(cases.c.ref).order_by(cases.c.id)).scalars())
    for start in range(0, len(refs), _AT_ONCE):
        some = refs[start : start + _AT_ONCE]
        archive.write(lambda turn, some=some: _reindex(turn, some))  # type: ignore[misc]
        progress(start + len(some), len(refs))
    return len(refs)


def _reindex(turn: Turn, refs: list[str]) -> None:
    for ref in refs:
        row = case_row(turn.connection, ref, lock=True)
        case = case_from(json.loads(row.entered))
        clear_index(turn.connection, row.id)
        write_index(turn, row.id, case, links_of(turn, case))
