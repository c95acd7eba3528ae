"""An archive in an open form: case folders, tables with a data dictionary, and a manifest.

Everything is read in one transaction, so that an export is of one moment. What depends on the
archive it came from (its own name, the day of the export) is left out: an export that is imported
and exported again is the same, byte for byte.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from lees.archive.archive import Archive
from lees.archive.backup import Progress, no_progress
from lees.archive.cases import KeptCase, kept_case
from lees.archive.facts import facts_of
from lees.archive.fetch import new_folder, source_of, typed_source, write_folder
from lees.archive.open_form import (
    CASES,
    DICTIONARY,
    FINDINGS,
    MANIFEST,
    PEERS,
    READINGS,
    README,
    SOURCES,
    TABLES,
    Cell,
    dictionary,
    write_table,
)
from lees.archive.tables import (
    REGISTERS,
    case_files,
    cases,
    files,
    fills,
    findings,
    history,
    instruments,
    peers,
    reports,
    users,
    zero_checks,
)
from lees.quantity.data import text

LOCAL_KIND = "archive"
"""The kind of those lines of the history that are about one archive and stay with it."""


@dataclass(frozen=True, slots=True)
class Exported:
    """What went into an export; `missing` are files that could not be written, in one line each."""

    cases: int
    files: int
    missing: tuple[str, ...]


def export(
    archive: Archive, folder: Path, progress: Progress = no_progress, *, parquet: bool = False
) -> Exported:
    """Write an archive in its open form into a new folder."""
    with new_folder(folder) as room, archive.database.reading() as connection:
        for name in (TABLES, CASES, SOURCES, FINDINGS, READINGS, PEERS):
            (room / name).mkdir()
        (room / README).write_text(text("archive", "export-readme.md"), encoding="utf-8")
        _write_dictionary(room / DICTIONARY)
        done = _Cases(archive, connection, room, progress)
        write_table(room / TABLES / "facts.csv", "facts", done.written())
        _write_documents(connection, room)
        for table, lines in _tables(connection).items():
            write_table(room / TABLES / f"{table}.csv", table, lines)
        if parquet:
            from lees.archive.parquet import write_parquet

            write_parquet(room / TABLES)
        _write_manifest(room)
    return Exported(done.cases, done.files, tuple(done.missing))


@dataclass(slots=True)
class _Cases:
    """Writes each case's folder and gives its facts on the way, so that each is read once."""

    archive: Archive
    connection: Connection
    room: Path
    progress: Progress
    cases: int = 0
    files: int = 0
    missing: list[str] = field(default_factory=list)

    def written(self) -> Iterator[tuple[Cell, ...]]:
        """Write the folders, and give the rows of the table of facts."""
        keys = list(self.connection.execute(select(cases.c.id).order_by(cases.c.id)).scalars())
        for key in keys:
            row = self.connection.execute(select(cases).where(cases.c.id == key)).one()
            kept = kept_case(self.connection, row)
            self.missing += _write_case(self.archive, kept, self.room)
            self.cases, self.files = self.cases + 1, self.files + len(kept.files)
            yield from _facts(kept)
            self.progress(self.cases, len(keys))


def _write_case(archive: Archive, kept: KeptCase, room: Path) -> list[str]:
    folder = room / CASES / kept.ref
    folder.mkdir()
    missing = [f"{kept.ref}, {line}" for line in write_folder(archive.files, kept, folder)]
    source = source_of(kept)
    if source is not None and typed_source(archive.files, kept) is None:
        content = archive.files.fetch(source.sha256)
        (room / SOURCES / f"{kept.ref}.toml").write_bytes(content)
    return missing


def _write_documents(connection: Connection, room: Path) -> None:
    """Write findings, readings and peers, each as it was kept."""
    for line in _findings(connection):
        name = f"{line['case']}-{line['number']}.json"
        (room / FINDINGS / name).write_bytes(line["document"].encode())
    query = select(cases.c.ref, reports.c.read).join(cases, cases.c.id == reports.c.case_id)
    for row in connection.execute(query):
        (room / READINGS / f"{row.ref}.json").write_bytes(row.read.encode())
    for number, row in enumerate(connection.execute(select(peers).order_by(peers.c.id)), start=1):
        (room / PEERS / f"{number}.json").write_bytes(row.document.encode())


def _tables(connection: Connection) -> dict[str, Iterator[tuple[Cell, ...]]]:
    """Return the rows of every table of an export."""
    found = {
        "cases": _cases(connection),
        "case_files": _case_files(connection),
        "zero_checks": _zero_checks(connection),
        "users": _rows(
            connection,
            select(users.c.name, users.c.role, users.c.added_at, users.c.left_at).order_by(
                users.c.key
            ),
        ),
        "history": _history(connection),
        "findings": (
            tuple(line[name] for name in line if name != "document")
            for line in _findings(connection)
        ),
        "readings": _rows(
            connection,
            select(cases.c.ref, reports.c.made_with, reports.c.made_at)
            .join(cases, cases.c.id == reports.c.case_id)
            .order_by(cases.c.id),
        ),
        "peers": _peers(connection),
    }
    for table in REGISTERS.values():
        kept = table.c
        query = select(
            kept.ref, kept.name, kept.version, kept.added_at, kept.changed_at, kept.entered
        )
        found[table.name] = _rows(connection, query.order_by(kept.key))
    return found


def _rows(connection: Connection, query: Any) -> Iterator[tuple[Cell, ...]]:
    streamed = connection.execution_options(yield_per=1000)
    return (tuple(row) for row in streamed.execute(query))


def _cases(connection: Connection) -> Iterator[tuple[Cell, ...]]:
    names = {kind: REGISTERS[kind].c for kind in ("engine", "owner", "oil", "filter")}
    query = (
        select(
            cases.c.ref,
            cases.c.title,
            cases.c.version,
            cases.c.added_at,
            cases.c.changed_at,
            users.c.name,
            cases.c.binned_at,
            *(kept.name for kept in names.values()),
            fills.c.poured,
            fills.c.drained,
            fills.c.distance_km,
            fills.c.hours,
            fills.c.months,
            cases.c.digest,
        )
        .join(users, users.c.id == cases.c.changed_by)
        .outerjoin(fills, fills.c.case_id == cases.c.id)
    )
    for kind, kept in names.items():
        query = query.outerjoin(REGISTERS[kind], kept.id == cases.c[f"{kind}_id"])
    return _rows(connection, query.order_by(cases.c.id))


def _case_files(connection: Connection) -> Iterator[tuple[Cell, ...]]:
    query = (
        select(
            cases.c.ref, case_files.c.name, case_files.c.role, files.c.sha256, files.c.size_bytes
        )
        .join(cases, cases.c.id == case_files.c.case_id)
        .join(files, files.c.sha256 == case_files.c.sha256)
        .order_by(cases.c.id, case_files.c.name)
    )
    return _rows(connection, query)


def _facts(kept: KeptCase) -> Iterator[tuple[Cell, ...]]:
    """Give the facts of a case, made from what was entered and not from the archive's index."""
    for fact in sorted(facts_of(kept.case), key=lambda fact: (fact.field, fact.ordinal)):
        yield (
            kept.ref,
            fact.field,
            fact.ordinal,
            fact.entered,
            fact.number,
            fact.unit,
            fact.step,
            fact.qualifier,
        )


def _zero_checks(connection: Connection) -> Iterator[tuple[Cell, ...]]:
    kept = zero_checks.c
    query = (
        select(instruments.c.name, kept.checked, kept.zero, kept.zero_mm, cases.c.ref)
        .join(instruments, instruments.c.id == kept.instrument_id)
        .outerjoin(cases, cases.c.id == kept.case_id)
        .order_by(instruments.c.key, kept.checked, kept.case_id.is_(None), cases.c.id, kept.id)
    )
    return _rows(connection, query)


def _history(connection: Connection) -> Iterator[tuple[Cell, ...]]:
    """Give the lines of the history, numbered from 1."""
    query = (
        select(history, users.c.name)
        .join(users, users.c.id == history.c.user_id)
        .where(history.c.kind != LOCAL_KIND)
        .order_by(history.c.id)
    )
    numbers: dict[int, int] = {}
    for number, row in enumerate(
        connection.execution_options(yield_per=1000).execute(query), start=1
    ):
        numbers[row.id] = number
        undoes = numbers[row.undoes] if row.undoes is not None else None
        yield (
            number,
            row.at,
            row.name,
            row.act,
            row.kind,
            row.ref,
            row.version,
            row.changes,
            undoes,
        )


def _findings(connection: Connection) -> Iterator[dict[str, Any]]:
    query = (
        select(findings, cases.c.ref)
        .join(cases, cases.c.id == findings.c.case_id)
        .order_by(cases.c.id, findings.c.id)
    )
    number, last = 0, None
    for row in connection.execution_options(yield_per=100).execute(query):
        number = number + 1 if row.ref == last else 1
        last = row.ref
        yield {
            "case": row.ref,
            "number": number,
            "case_version": row.case_version,
            "made_with": row.made_with,
            "made_at": row.made_at,
            "sha256": row.sha256,
            "document": row.document,
        }


def _peers(connection: Connection) -> Iterator[tuple[Cell, ...]]:
    rows = connection.execute(select(peers).order_by(peers.c.id))
    for number, row in enumerate(rows, start=1):
        yield (number, row.name, row.made_with, row.made_at, row.sha256)


def _write_dictionary(path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("table", "column", "meaning", "unit"))
        for column in dictionary():
            writer.writerow((column.table, column.name, column.meaning, column.unit))


def _write_manifest(room: Path) -> None:
    """Write the hash of every file, as `sha256sum --check` reads it."""
    lines = []
    for path in sorted(room.rglob("*")):
        if path.is_file():
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
            lines.append(f"{digest}  {path.relative_to(room).as_posix()}\n")
    (room / MANIFEST).write_text("".join(sorted(lines, key=lambda line: line[66:])))
