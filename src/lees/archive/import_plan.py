"""A dry run of an import: is the export whole, is it harmless, and what would be new here.

An export comes from a stranger. Nothing in it is followed: no links, no names that leave their
folder; every file is held against the manifest, every case against the digest it was exported with.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select

from lees.archive.archive import Archive
from lees.archive.backup import Progress, no_progress
from lees.archive.cases import SOURCE, KeptFile, checked_files, digest_of, state_of
from lees.archive.names import LONGEST_NAME
from lees.archive.open_form import CASES, MANIFEST, REF, SOURCES, TABLES, read_table
from lees.archive.tables import cases
from lees.case.model import Case
from lees.case.toml import read_case
from lees.errors import LeesError, UnusableInput, printable

LARGEST_FILE = 200_000_000
LARGEST_CASE_FILE = 2_000_000
_MOST_PROBLEMS = 100


@dataclass(frozen=True, slots=True)
class Incoming:
    """A case of an export, read and held against its digest."""

    row: dict[str, str]
    case: Case
    files: tuple[KeptFile, ...]
    paths: dict[str, str]


@dataclass(slots=True)
class Plan:
    """What an import would do: `new` cases, those here already, those here with other content.

    `problems` stand in its way: while there is one, nothing is imported.
    """

    folder: Path
    new: list[Incoming] = field(default_factory=list)
    here: list[str] = field(default_factory=list)
    other: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    into_empty: bool = False


def plan_import(archive: Archive, folder: Path, progress: Progress = no_progress) -> Plan:
    """Look an export over without changing anything."""
    if not (folder / MANIFEST).is_file():
        raise UnusableInput(
            f"{printable(str(folder))} has no {MANIFEST}, so it is no export of an archive; "
            "case folders are stored with lees archive store."
        )
    plan = Plan(folder)
    whole = _Look(folder, plan)
    whole.look(progress)
    if not plan.problems:
        try:
            with archive.database.reading() as connection:
                total = connection.execute(select(func.count()).select_from(cases)).scalar_one()
                plan.into_empty = total == 0
                _sort(connection, plan)
        except LeesError as error:
            plan.problems.append(str(error))
    del plan.problems[_MOST_PROBLEMS:]
    return plan


@dataclass(slots=True)
class _Look:
    """Goes over the files of an export."""

    folder: Path
    plan: Plan

    def look(self, progress: Progress) -> None:
        """Hold every file against the manifest."""
        there = dict(self._files())
        listed = self._listed()
        done, total = 0, sum(there.values())
        for name, sha256 in listed.items():
            size = there.pop(name, None)
            if size is None:
                self.plan.problems.append(f"{printable(name)} is missing from the export.")
                continue
            with (self.folder / name).open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
            if found != sha256:
                self.plan.problems.append(f"{printable(name)} has been altered since the export.")
            done += size
            progress(done, total)
        there.pop(MANIFEST, None)
        if there:
            first = printable(next(iter(there)))
            self.plan.notes.append(
                f"{len(there)} files are not part of the export and are left ({first} …)."
            )

    def _files(self) -> Iterator[tuple[str, int]]:
        """Give every file below the folder with its size; links and devices are problems."""
        for place, folders, names in os.walk(self.folder, followlinks=False):
            for name in (*folders, *names):
                path = Path(place) / name
                shown = path.relative_to(self.folder).as_posix()
                about = path.lstat()
                if stat.S_ISDIR(about.st_mode):
                    continue
                if not stat.S_ISREG(about.st_mode):
                    self.plan.problems.append(
                        f"{printable(shown)} is a link or a device and no file; an export has none."
                    )
                elif about.st_size > LARGEST_FILE and not shown.startswith(f"{TABLES}/"):
                    self.plan.problems.append(
                        f"{printable(shown)} is larger than {LARGEST_FILE // 10**6} MB."
                    )
                else:
                    yield shown, about.st_size

    def _listed(self) -> dict[str, str]:
        """Return the manifest: names within the folder, each with its hash."""
        listed: dict[str, str] = {}
        try:
            lines = (self.folder / MANIFEST).read_text(encoding="utf-8").splitlines()
        except (UnicodeDecodeError, OSError):
            lines = ["unreadable"]
        for line in lines:
            sha256, _, name = line.partition("  ")
            parts = name.split("/")
            if (
                len(sha256) != 64
                or name.startswith("/")
                or not set(parts).isdisjoint({"", ".", ".."})
            ):
                self.plan.problems.append(
                    f"The line “{printable(line)}” of {MANIFEST} names no file of an export."
                )
            else:
                listed[name] = sha256
        return listed


def _sort(connection: Connection, plan: Plan) -> None:
    """Read every case and tell the new from those that are here."""
    files: dict[str, list[dict[str, str]]] = {}
    for row in read_table(plan.folder / TABLES / "case_files.csv", "case_files"):
        files.setdefault(row["case"], []).append(row)
    seen: set[str] = set()
    for row in read_table(plan.folder / TABLES / "cases.csv", "cases"):
        ref = row["ref"]
        if not REF.fullmatch(ref) or ref in seen:
            plan.problems.append(
                f"“{printable(ref)}” is no reference of a case, or is there twice."
            )
            continue
        seen.add(ref)
        try:
            incoming = _incoming(plan.folder, row, files.pop(ref, []))
        except LeesError as error:
            plan.problems.append(f"{ref}: {str(error).splitlines()[0]}")
            continue
        _place(connection, plan, incoming)
    for stray in files:
        plan.problems.append(f"Files are listed for a case “{printable(stray)}” that is not there.")


def _incoming(folder: Path, row: dict[str, str], listed: list[dict[str, str]]) -> Incoming:
    ref = row["ref"]
    place = f"{CASES}/{ref}/{SOURCE}"
    content = _bytes(folder, place, LARGEST_CASE_FILE)
    try:
        case = read_case(content.decode("utf-8-sig"), file=place)
    except UnicodeDecodeError:
        raise UnusableInput(f"{place} is not UTF-8 text.") from None
    files, paths = [], {}
    for item in listed:
        name = item["name"]
        path = f"{CASES}/{ref}/{name}"
        if item["role"] == "source" and (folder / SOURCES / f"{ref}.toml").is_file():
            path = f"{SOURCES}/{ref}.toml"
        files.append(KeptFile(name, item["sha256"], _whole(item["size"]), item["role"]))
        paths[name] = path
    held = checked_files(files)
    for file in held:
        there = folder / paths[file.name]
        if there.is_symlink() or not there.is_file() or there.stat().st_size != file.size_bytes:
            raise UnusableInput(f"{paths[file.name]} is missing or has another size than listed.")
    if digest_of(state_of(case, held)) != row["digest"]:
        raise UnusableInput(f"{place} does not say what was exported; export it again.")
    return Incoming(row, case, held, paths)


def _place(connection: Connection, plan: Plan, incoming: Incoming) -> None:
    """Tell whether a case is new, here already, or here with other content."""
    ref = incoming.row["ref"]
    same = (cases.c.digest == incoming.row["digest"]) & cases.c.binned_at.is_(None)
    rows = connection.execute(
        select(cases.c.ref, cases.c.digest).where((cases.c.ref == ref) | same)
    ).all()
    own = next((row for row in rows if row.ref == ref), None)
    if own is not None and own.digest != incoming.row["digest"]:
        plan.other.append(ref)
    elif own is not None or rows:
        plan.here.append(ref)
    else:
        plan.new.append(incoming)


def document(folder: Path, name: str) -> str:
    """Return a document of an export, which must be JSON."""
    try:
        text = _bytes(folder, name, LARGEST_FILE).decode()
        json.loads(text)
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise UnusableInput(f"{printable(name)} is not JSON; export it again.") from None
    return text


def whole(row: dict[str, Any], column: str) -> int:
    """Return a whole number of a table."""
    return _whole(row[column])


def _whole(cell: str) -> int:
    if not cell.isascii() or not cell.isdigit() or len(cell) > 15:
        raise UnusableInput(f"“{printable(cell)}” is not a number that an export has.")
    return int(cell)


def _bytes(folder: Path, name: str, largest: int) -> bytes:
    path = folder / name
    if len(name.encode()) > 2 * LONGEST_NAME or path.is_symlink() or not path.is_file():
        raise UnusableInput(f"{printable(name)} is missing from the export.")
    if path.stat().st_size > largest:
        raise UnusableInput(f"{printable(name)} is larger than {largest // 10**6} MB.")
    return path.read_bytes()
