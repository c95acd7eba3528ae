"""Cases as an archive keeps them: stored, opened, changed field by field, put into the bin."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select, text, update

from lees.archive.archive import Archive, Turn, written
from lees.archive.changes import State, applied, differences, overlap
from lees.archive.errors import ChangedMeanwhile, InTheBin, NotFound, UnsafeName
from lees.archive.history import Act, Subject, changes_since, record
from lees.archive.index import clear_index, links_of, write_index
from lees.archive.names import clashing, safe_name
from lees.archive.registers import insert_if_new
from lees.archive.tables import case_files, cases, files, users
from lees.case.model import Case

SOURCE = "case.toml"
BINNED, UNBINNED = "binned", "unbinned"
CHANGED = Act("changed")


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file of a case, already in the file store.

    `role` is `source` (the case.toml as typed), `picture`, `report`, `readings` or `other`.
    """

    name: str
    sha256: str
    size_bytes: int
    role: str


@dataclass(frozen=True, slots=True)
class KeptCase:
    """A case as it stands in the archive."""

    ref: str
    version: int
    case: Case
    files: tuple[KeptFile, ...]
    added_at: str
    changed_at: str
    changed_by: str
    binned_at: str | None


@dataclass(frozen=True, slots=True)
class Stored:
    """What became of a case handed in; `added` is false where the archive had it already."""

    ref: str
    version: int
    added: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """How a case stands in the archive: its reference, version and dates."""

    ref: str
    version: int
    added_at: str
    changed_at: str
    changed_by: int
    binned_at: str | None


def store_case(archive: Archive, case: Case, kept: Iterable[KeptFile] = ()) -> Stored:
    """Store a case with its files; the very same case, stored twice, is there once.

    The files must be in the archive's file store already. Raises `UnsafeName` for a file name that
    not every system can keep.
    """
    held = checked_files(kept)
    return archive.write(lambda turn: add_case(turn, case, held))


def add_case(turn: Turn, case: Case, held: tuple[KeptFile, ...]) -> Stored:
    """Store a case within a writer's turn; see `store_case`."""
    digest = digest_of(state_of(case, held))
    if turn.is_postgresql:
        lock = text("SELECT pg_advisory_xact_lock(hashtextextended(:digest, 0))")
        turn.connection.execute(lock, {"digest": digest})
    same = turn.connection.execute(
        select(cases.c.ref, cases.c.version)
        .where(cases.c.digest == digest, cases.c.binned_at.is_(None))
        .order_by(cases.c.id)
        .limit(1)
    ).one_or_none()
    if same is not None:
        return Stored(same.ref, same.version, added=False)
    ref = turn.archive.hands.token()
    write_case(turn, case, held, Standing(ref, 1, turn.now, turn.now, turn.archive.user.id, None))
    record(turn, Act("stored"), Subject("case", ref, 1))
    return Stored(ref, 1, added=True)


def write_case(turn: Turn, case: Case, held: tuple[KeptFile, ...], standing: Standing) -> int:
    """Write a new case's rows and return its key."""
    links = links_of(turn, case)
    row = {
        "ref": standing.ref,
        "title": case.title,
        "entered": written(entered_of(case)),
        "digest": digest_of(state_of(case, held)),
        "version": standing.version,
        "added_at": standing.added_at,
        "changed_at": standing.changed_at,
        "changed_by": standing.changed_by,
        "binned_at": standing.binned_at,
        **links.columns(),
    }
    inserted = turn.connection.execute(insert(cases).returning(cases.c.id), row)
    case_id = int(inserted.scalar_one())
    _write_files(turn, case_id, case, held)
    write_index(turn, case_id, case, links)
    return case_id


def get_case(archive: Archive, ref: str) -> KeptCase:
    """Return a case by its reference; raise `NotFound`."""
    with archive.database.reading() as connection:
        return kept_case(connection, case_row(connection, ref))


def kept_case(connection: Connection, row: Row[Any]) -> KeptCase:
    """Return a case from its row."""
    who = connection.execute(select(users.c.name).where(users.c.id == row.changed_by)).scalar_one()
    return KeptCase(
        ref=row.ref,
        version=row.version,
        case=case_from(json.loads(row.entered)),
        files=files_of(connection, row.id),
        added_at=row.added_at,
        changed_at=row.changed_at,
        changed_by=who,
        binned_at=row.binned_at,
    )


def change_case(archive: Archive, ref: str, changes: Mapping[str, Any], *, seen: int) -> Stored:
    """Change fields of a case, named by JSON Pointers; an absent value clears the field.

    `seen` is the version that the person had before them. Raises `ChangedMeanwhile` where somebody
    changed the same field since; other fields do not matter. Raises pydantic's error for a value
    that does not fit its field.
    """

    def act(turn: Turn) -> Stored:
        row = open_row(turn.connection, ref)
        _refuse_overwriting(turn.connection, row, changes, seen)
        case = case_from(applied(json.loads(row.entered), changes.items()))
        return rewrite(turn, row, case, files_of(turn.connection, row.id))

    return archive.write(act)


def rewrite(
    turn: Turn,
    row: Row[Any],
    case: Case,
    held: tuple[KeptFile, ...],
    act: Act = CHANGED,
) -> Stored:
    """Write a changed case over its row and into the history; nothing changed, nothing written."""
    after = state_of(case, held)
    changes = differences(state_in(turn.connection, row), after)
    if not changes:
        return Stored(row.ref, row.version, added=False)
    links = links_of(turn, case)
    _set(
        turn,
        row,
        title=case.title,
        entered=written(entered_of(case)),
        digest=digest_of(after),
        **links.columns(),
    )
    turn.connection.execute(delete(case_files).where(case_files.c.case_id == row.id))
    clear_index(turn.connection, row.id)
    _write_files(turn, row.id, case, held)
    write_index(turn, row.id, case, links)
    record(turn, act, Subject("case", row.ref, row.version + 1), changes)
    return Stored(row.ref, row.version + 1, added=False)


def add_file(archive: Archive, ref: str, kept: KeptFile, *, entered: Mapping[str, Any]) -> Stored:
    """Add a file to a case, with what is entered of it where it is a picture.

    Several people may do so at once, from a phone each, and on a case that another changes: the
    picture is put behind those that are there. `entered` is a picture's part of a case.
    """

    def act(turn: Turn) -> Stored:
        row = open_row(turn.connection, ref)
        document = json.loads(row.entered)
        if kept.role == "picture":
            pictures = [*document.get("picture", []), {**entered, "file": kept.name}]
            document["picture"] = pictures
        held = checked_files([*files_of(turn.connection, row.id), kept])
        return rewrite(turn, row, case_from(document), held, Act("file added"))

    return archive.write(act)


def move(turn: Turn, ref: str, act: Act) -> Stored:
    """Put a case into the bin (the act `binned`) or take it out again (`unbinned`)."""
    row = case_row(turn.connection, ref, lock=True)
    into = act.name == BINNED
    if (row.binned_at is not None) == into:
        return Stored(ref, row.version, added=False)
    _set(turn, row, binned_at=turn.now if into else None)
    record(turn, act, Subject("case", ref, row.version + 1))
    return Stored(ref, row.version + 1, added=False)


def bin_case(archive: Archive, ref: str) -> Stored:
    """Put a case into the bin: it is on no shelf any more, and nothing of it is lost."""
    return archive.write(lambda turn: move(turn, ref, Act(BINNED)))


def unbin_case(archive: Archive, ref: str) -> Stored:
    """Take a case out of the bin."""
    return archive.write(lambda turn: move(turn, ref, Act(UNBINNED)))


def open_row(connection: Connection, ref: str) -> Row[Any]:
    """Return the row of a case that is to be changed, held against other writers."""
    row = case_row(connection, ref, lock=True)
    if row.binned_at is not None:
        raise InTheBin("case", ref)
    return row


def case_row(connection: Connection, ref: str, *, lock: bool = False) -> Row[Any]:
    """Return a case's row, held against other writers where it is to be changed."""
    query = select(cases).where(cases.c.ref == ref)
    if lock:
        query = query.with_for_update()
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotFound("case", ref)
    return row


def files_of(connection: Connection, case_id: int) -> tuple[KeptFile, ...]:
    """Return the files of a case, by name."""
    rows = connection.execute(
        select(case_files.c.name, case_files.c.sha256, files.c.size_bytes, case_files.c.role)
        .join(files, files.c.sha256 == case_files.c.sha256)
        .where(case_files.c.case_id == case_id)
        .order_by(case_files.c.name)
    )
    return tuple(KeptFile(*row) for row in rows)


def titled(connection: Connection, title: str) -> tuple[str, ...]:
    """Return the cases on the shelf that have a title, the latest first."""
    query = select(cases.c.ref).where(cases.c.title == title, cases.c.binned_at.is_(None))
    return tuple(connection.execute(query.order_by(cases.c.id.desc())).scalars())


def files_named(case: Case) -> dict[str, str]:
    """Return the files that a case names, each with what it is to the case."""
    named = {picture.file: "picture" for picture in case.picture}
    if case.filter is not None and case.filter.measured_file:
        named[case.filter.measured_file] = "readings"
    if case.report is not None and case.report.file:
        named[case.report.file] = "report"
    return named


def checked_files(kept: Iterable[KeptFile]) -> tuple[KeptFile, ...]:
    """Return files in order of their names, all of them safe and told apart everywhere."""
    held = tuple(sorted(kept, key=lambda file: file.name))
    for file in held:
        safe_name(file.name)
        if (file.name.casefold() == SOURCE) != (file.role == "source"):
            raise UnsafeName(file.name, f"is not what a file of the role “{file.role}” is called")
    if (twice := clashing([file.name for file in held])) is not None:
        raise UnsafeName(twice, "is there twice in this case")
    return held


def state_of(case: Case, held: Iterable[KeptFile]) -> State:
    """Return all that is entered of a case, as one document."""
    return with_files(entered_of(case), held)


def state_in(connection: Connection, row: Row[Any]) -> State:
    """Return the state of a case as its rows hold it."""
    return with_files(json.loads(row.entered), files_of(connection, row.id))


def with_files(entered: dict[str, Any], held: Iterable[KeptFile]) -> State:
    """Return a case's document with its files in it."""
    named = {file.name: {"sha256": file.sha256, "role": file.role} for file in held}
    return entered | {"files": named} if named else entered


def entered_of(case: Case) -> dict[str, Any]:
    """Return a case as entered, without what was left out."""
    return case.model_dump(mode="json", by_alias=True, exclude_defaults=True)


def case_from(entered: Mapping[str, Any]) -> Case:
    """Return the case that a document describes."""
    sign = entered.get("decimal", "unknown")
    return Case.model_validate(entered, context={"decimal": sign})


def digest_of(state: State) -> str:
    """Return what tells one state of a case from any other."""
    return hashlib.sha256(written(state).encode()).hexdigest()


def _refuse_overwriting(
    connection: Connection, row: Row[Any], changes: Mapping[str, Any], seen: int
) -> None:
    if row.version == seen:
        return
    for later in changes_since(connection, "case", row.ref, seen):
        for change in later.changes:
            for path in changes:
                if overlap(change.path, path):
                    raise ChangedMeanwhile(path.strip("/").replace("/", "."), later.who, later.at)


def _set(turn: Turn, row: Row[Any], **values: Any) -> None:
    """Write values over a case's row, as its next version."""
    turn.connection.execute(
        update(cases)
        .where(cases.c.id == row.id)
        .values(
            version=row.version + 1,
            changed_at=turn.now,
            changed_by=turn.archive.user.id,
            **values,
        )
    )


def _write_files(turn: Turn, case_id: int, case: Case, held: tuple[KeptFile, ...]) -> None:
    if not held:
        return
    shows = {picture.file: picture.of.value for picture in case.picture}
    rows = {
        file.sha256: {"sha256": file.sha256, "size_bytes": file.size_bytes, "kept_at": turn.now}
        for file in sorted(held, key=lambda file: file.sha256)
    }
    insert_if_new(turn.connection, files, list(rows.values()))
    turn.connection.execute(
        insert(case_files),
        [
            {
                "case_id": case_id,
                "name": file.name,
                "sha256": file.sha256,
                "role": file.role,
                "shows": shows.get(file.name),
            }
            for file in held
        ],
    )
