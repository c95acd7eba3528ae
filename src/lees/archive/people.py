"""Who works with the archive: named users, and two roles, *reads* and *works*."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, insert, select, update

from lees.archive.archive import READS, WORKS, Archive, Turn
from lees.archive.errors import UnknownUser
from lees.archive.history import Act, Subject, record
from lees.archive.tables import users
from lees.archive.words import key_of
from lees.errors import LeesError, printable


class NotARole(LeesError):
    """A role that there is not."""


class NameTaken(LeesError):
    """A name that somebody goes by already."""


class LastOneWorks(LeesError):
    """The only one who may write was to be taken away."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works, or once worked, with the archive."""

    name: str
    role: str
    added_at: str
    left_at: str | None
    has_password: bool


def people(archive: Archive) -> tuple[Person, ...]:
    """Return everybody by name, those who left too."""
    with archive.database.reading() as connection:
        rows = connection.execute(select(users).order_by(users.c.key))
        return tuple(
            Person(row.name, row.role, row.added_at, row.left_at, row.password_hash is not None)
            for row in rows
        )


def add_person(archive: Archive, name: str, role: str) -> None:
    """Let somebody in; one who had left comes back under the same name."""
    _check(name, role)

    def act(turn: Turn) -> None:
        key = key_of(name)
        found = turn.connection.execute(select(users).where(users.c.key == key)).one_or_none()
        if found is not None and found.left_at is None:
            raise NameTaken(f"“{printable(name)}” is here already; choose another name.")
        if found is not None:
            back = update(users).where(users.c.id == found.id)
            turn.connection.execute(back.values(role=role, left_at=None))
        else:
            row = {"name": name.strip(), "key": key, "role": role, "added_at": turn.now}
            turn.connection.execute(insert(users), row)
        record(turn, Act(f"let in, {role}"), Subject("user", name, 1))

    archive.write(act)


def set_role(archive: Archive, name: str, role: str) -> None:
    """Change what somebody may do; one who works must be left."""
    _check(name, role)
    _set(archive, name, Act(f"now {role}"), role=role)


def let_go(archive: Archive, name: str) -> None:
    """Let somebody in no more; what they did stays under their name."""
    _set(archive, name, Act("let go"), left_at=archive.now())


def set_password_hash(archive: Archive, name: str, password_hash: str) -> None:
    """Keep the hash of somebody's password; the archive never sees the password itself."""
    _set(archive, name, Act("new password"), password_hash=password_hash)


def password_hash(archive: Archive, name: str) -> str | None:
    """Return the hash of somebody's password, if they have one; raise `UnknownUser`."""
    here = (users.c.key == key_of(name)) & users.c.left_at.is_(None)
    with archive.database.reading() as connection:
        row = connection.execute(select(users.c.password_hash).where(here)).one_or_none()
    if row is None:
        raise UnknownUser(name)
    found: str | None = row.password_hash
    return found


def _set(archive: Archive, name: str, act: Act, **values: object) -> None:
    def change(turn: Turn) -> None:
        here = (users.c.key == key_of(name)) & users.c.left_at.is_(None)
        row = turn.connection.execute(select(users).where(here).with_for_update()).one_or_none()
        if row is None:
            raise UnknownUser(name)
        turn.connection.execute(update(users).where(users.c.id == row.id).values(**values))
        working = select(func.count()).where(users.c.role == WORKS, users.c.left_at.is_(None))
        if turn.connection.execute(working).scalar_one() == 0:
            raise LastOneWorks(
                f"{printable(name)} is the last who may write to this archive; "
                "let somebody else in first."
            )
        record(turn, act, Subject("user", row.name, 1))

    archive.write(change)


def _check(name: str, role: str) -> None:
    if role not in (READS, WORKS):
        raise NotARole(f"“{printable(role)}” is no role; it is “reads” or “works”.")
    if not key_of(name) or len(name) > 200 or not name.isprintable():
        raise NameTaken(f"“{printable(name)}” is not a name to go by; choose one with letters.")
