"""An export taken into an archive: wholly or not at all, and as often as one likes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Connection, insert, select, update

from lees.archive.archive import READS, WORKS, Archive, NotStorable, Turn, written
from lees.archive.backup import Progress, no_progress
from lees.archive.cases import Standing, write_case
from lees.archive.changes import from_json
from lees.archive.export import LOCAL_KIND
from lees.archive.history import Act, Subject, record
from lees.archive.import_plan import Incoming, Plan, document, whole
from lees.archive.open_form import FINDINGS, PEERS, READINGS, REF, TABLES, WrongTable, read_table
from lees.archive.register_changes import MODELS
from lees.archive.registers import insert_if_new
from lees.archive.snapshots import made_with_of, snapshot_row
from lees.archive.tables import (
    REGISTERS,
    findings,
    history,
    instruments,
    peers,
    reports,
    users,
    zero_checks,
)
from lees.archive.words import key_of
from lees.errors import UnusableInput, printable
from lees.quantity.entry import parse_entry

_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did."""

    cases: int
    files: int


def import_planned(archive: Archive, plan: Plan, progress: Progress = no_progress) -> Imported:
    """Do what a plan says; raise `UnusableInput` where problems stand in its way.

    Files are kept first, then everything else is written in one transaction.
    """
    if plan.problems:
        raise UnusableInput(
            f"The export has {len(plan.problems)} problems and nothing was imported; the first: "
            f"{plan.problems[0]}"
        )
    number = 0
    for done, incoming in enumerate(plan.new, start=1):
        number += _keep(archive, plan, incoming)
        progress(done, len(plan.new))
    archive.write(lambda turn: _Import(turn, plan).run())
    return Imported(len(plan.new), number)


def _keep(archive: Archive, plan: Plan, incoming: Incoming) -> int:
    for file in incoming.files:
        with (plan.folder / incoming.paths[file.name]).open("rb") as source:
            sha256, _ = archive.files.keep(source)
        if sha256 != file.sha256:
            raise UnusableInput(
                f"{printable(incoming.paths[file.name])} changed while it was read; try again."
            )
    return len(incoming.files)


class _Import:
    """One import within a writer's turn."""

    def __init__(self, turn: Turn, plan: Plan) -> None:
        self.turn, self.plan = turn, plan
        self.connection: Connection = turn.connection
        self.people: dict[str, int] = {}
        self.new_refs = {incoming.row["ref"] for incoming in plan.new}

    def run(self) -> None:
        """Write everything; those tables first that others point to."""
        self._users()
        for kind in REGISTERS:
            self._register(kind)
        keys = {}
        for incoming in self.plan.new:
            keys[incoming.row["ref"]] = write_case(
                self.turn, incoming.case, incoming.files, self._standing(incoming.row)
            )
        self._zero_checks()
        self._documents(keys)
        self._peers()
        self._history()
        if self.plan.new:
            act = Act(f"imported, cases: {len(self.plan.new)}")
            record(self.turn, act, Subject(LOCAL_KIND, LOCAL_KIND, 1))

    def _rows(self, table: str) -> Iterator[dict[str, str]]:
        return read_table(self.plan.folder / TABLES / f"{table}.csv", table)

    def _users(self) -> None:
        """Take over who did things: as they were into an empty archive, else as people who left."""
        empty = self.plan.into_empty
        for row in self._rows("users"):
            key = key_of(row["name"])
            if not key or row["role"] not in (READS, WORKS):
                raise WrongTable("tables/users.csv has somebody without a name or a role.")
            added = _time(row["added_at"])
            left = _time(row["left_at"]) if row["left_at"] else None
            insert_if_new(
                self.connection,
                users,
                {
                    "name": row["name"],
                    "key": key,
                    "role": row["role"],
                    "added_at": added,
                    "left_at": left if empty else (left or self.turn.now),
                },
            )
            found = self.connection.execute(select(users).where(users.c.key == key)).one()
            self.people[row["name"]] = found.id
            if empty and added < found.added_at:
                here = update(users).where(users.c.id == found.id)
                self.connection.execute(here.values(added_at=added, name=row["name"]))

    def _person(self, name: str) -> int:
        if name not in self.people:
            raise WrongTable(f"“{printable(name)}” did something and is not in tables/users.csv.")
        return self.people[name]

    def _register(self, kind: str) -> None:
        table = REGISTERS[kind]
        for row in self._rows(table.name):
            if not REF.fullmatch(row["ref"]) or not key_of(row["name"]):
                raise WrongTable(f"tables/{table.name}.csv has a row without a reference or name.")
            query = select(table.c.ref).where(
                (table.c.key == key_of(row["name"])) | (table.c.ref == row["ref"])
            )
            if self.connection.execute(query).first() is not None:
                continue
            entered = _json(row["entered"])
            try:
                MODELS[kind].model_validate(entered)
            except ValidationError:
                raise WrongTable(
                    f"tables/{table.name}.csv has a cell that says nothing of an {kind}."
                ) from None
            values = {
                "ref": row["ref"],
                "name": row["name"],
                "key": key_of(row["name"]),
                "entered": written(entered),
                "version": whole(row, "version"),
                "added_at": _time(row["added_at"]),
                "changed_at": _time(row["changed_at"]),
            }
            self.connection.execute(insert(table), values)
            self.new_refs.add(row["ref"])

    def _standing(self, row: dict[str, str]) -> Standing:
        return Standing(
            ref=row["ref"],
            version=whole(row, "version"),
            added_at=_time(row["added_at"]),
            changed_at=_time(row["changed_at"]),
            changed_by=self._person(row["changed_by"]),
            binned_at=_time(row["binned_at"]) if row["binned_at"] else None,
        )

    def _zero_checks(self) -> None:
        """Take over the checks that were noted apart from any case; the others came with theirs."""
        for row in self._rows("zero_checks"):
            if row["case"]:
                continue
            if not _DAY.fullmatch(row["checked"]):
                raise WrongTable("tables/zero_checks.csv has a check without a day.")
            instrument = self.connection.execute(
                select(instruments.c.id).where(instruments.c.key == key_of(row["instrument"]))
            ).scalar()
            if instrument is None:
                raise WrongTable("tables/zero_checks.csv names an instrument that is not there.")
            values = {
                "instrument_id": instrument,
                "checked": row["checked"],
                "zero": row["zero"],
                "zero_mm": parse_entry(row["zero"], "length", default="mm").to("mm"),
            }
            same = [zero_checks.c[name] == value for name, value in values.items()]
            query = select(zero_checks.c.id).where(*same, zero_checks.c.case_id.is_(None))
            if self.plan.into_empty or self.connection.execute(query).first() is None:
                self.connection.execute(insert(zero_checks), values)

    def _documents(self, keys: dict[str, int]) -> None:
        for row in self._rows("findings"):
            if row["case"] in keys:
                number = whole(row, "number")
                text = document(self.plan.folder, f"{FINDINGS}/{row['case']}-{number}.json")
                values = snapshot_row(text, made_with_of(text), _time(row["made_at"]))
                values["case_id"] = keys[row["case"]]
                values["case_version"] = whole(row, "case_version")
                self.connection.execute(insert(findings), values)
        for row in self._rows("readings"):
            if row["case"] in keys:
                text = document(self.plan.folder, f"{READINGS}/{row['case']}.json")
                values = {
                    "case_id": keys[row["case"]],
                    "read": text,
                    "made_with": made_with_of(text),
                    "made_at": _time(row["made_at"]),
                }
                self.connection.execute(insert(reports), values)

    def _peers(self) -> None:
        for row in self._rows("peers"):
            text = document(self.plan.folder, f"{PEERS}/{whole(row, 'number')}.json")
            values = snapshot_row(text, made_with_of(text), _time(row["made_at"]))
            values["name"] = row["name"]
            same = [peers.c[name] == values[name] for name in ("name", "sha256", "made_at")]
            if self.connection.execute(select(peers.c.id).where(*same)).first() is None:
                self.connection.execute(insert(peers), values)

    def _history(self) -> None:
        """Take over the lines about what is new here, and all of them into an empty archive."""
        keys: dict[str, int] = {}
        for row in self._rows("history"):
            if row["kind"] == LOCAL_KIND:
                raise WrongTable("tables/history.csv has a line that no export has.")
            if not self.plan.into_empty and row["ref"] not in self.new_refs:
                continue
            changes = _json(row["changes"])
            try:
                said = [from_json(change).as_json() for change in changes]
                if not all(change["path"].startswith("/") for change in said):
                    raise TypeError
            except (KeyError, TypeError, AttributeError):
                raise WrongTable("tables/history.csv has a line that is no change.") from None
            values = {
                "at": _time(row["at"]),
                "user_id": self._person(row["who"]),
                "act": row["act"],
                "kind": row["kind"],
                "ref": row["ref"],
                "version": whole(row, "version"),
                "changes": written(said),
                "undoes": keys.get(row["undoes"]),
            }
            statement = insert(history).returning(history.c.id)
            keys[row["line"]] = self.connection.execute(statement, values).scalar_one()


def _time(text: str) -> str:
    if not _TIME.fullmatch(text):
        raise UnusableInput(f"“{printable(text)}” is no time that an export has.")
    return text


def _json(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise NotStorable("A table of the export has a cell that should be JSON.") from None
