"""Taking a change back, as a change of its own: nothing is ever struck from the history."""

from __future__ import annotations

from sqlalchemy import select

from lees.archive.archive import Archive, Turn
from lees.archive.cases import (
    BINNED,
    UNBINNED,
    KeptFile,
    Stored,
    case_from,
    case_row,
    move,
    open_row,
    rewrite,
    state_in,
)
from lees.archive.changes import State, taken_back
from lees.archive.errors import CannotUndo
from lees.archive.history import Act, Deed, deed
from lees.archive.register_changes import undo_register
from lees.archive.tables import files

# What puts a thing on the shelf or takes it off, and what takes that back.
_OPPOSITE = {"stored": BINNED, "imported": BINNED, BINNED: UNBINNED, UNBINNED: BINNED}
UNDONE = "taken back"


def undo(archive: Archive, line: int) -> Stored:
    """Take back one line of the history.

    Raises `CannotUndo` where a later change stands on it, or where there is nothing to take back.
    """

    def act(turn: Turn) -> Stored:
        done = deed(turn.connection, line)
        if done.kind == "case":
            return _undo_case(turn, done)
        if done.kind in ("engine", "owner", "oil", "filter", "instrument"):
            return undo_register(turn, done, Act(UNDONE, undoes=done.id))
        raise CannotUndo(
            f"Line {line} of the history says what was done to the archive as a whole."
        )

    return archive.write(act)


def _undo_case(turn: Turn, done: Deed) -> Stored:
    opposite = _OPPOSITE.get(done.act)
    if opposite is not None:
        before = case_row(turn.connection, done.ref).version
        stored = move(turn, done.ref, Act(opposite, undoes=done.id))
        if stored.version == before:
            raise CannotUndo(f"Line {done.id} of the history has been taken back already.")
        return stored
    row = open_row(turn.connection, done.ref)
    state = taken_back(state_in(turn.connection, row), done.changes)
    held = _held(turn, state)
    entered = {key: value for key, value in state.items() if key != "files"}
    return rewrite(turn, row, case_from(entered), held, Act(UNDONE, undoes=done.id))


def _held(turn: Turn, state: State) -> tuple[KeptFile, ...]:
    """Return the files of a state with their sizes, which the table of files remembers."""
    named: dict[str, dict[str, str]] = state.get("files", {})
    wanted = [file["sha256"] for file in named.values()]
    sizes = {
        row.sha256: row.size_bytes
        for row in turn.connection.execute(select(files).where(files.c.sha256.in_(wanted)))
    }
    return tuple(
        KeptFile(name, file["sha256"], sizes[file["sha256"]], file["role"])
        for name, file in sorted(named.items())
    )
