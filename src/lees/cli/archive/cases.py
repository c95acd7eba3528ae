"""`lees archive create|store|fetch|bin|unbin|history|undo`: cases in, out, and back again."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from lees.cli.archive.common import HERE, Where, command, opened
from lees.errors import LeesError, UnusableInput, printable

create_app = command("create")
store_app = command("store")
fetch_app = command("fetch")
bin_app = command("bin")
unbin_app = command("unbin")
history_app = command("history")
undo_app = command("undo")


@create_app.default
def create(*, where: Where = HERE) -> None:
    """Make an archive, with you as the first who works in it; one that is there is left as it is.

    Example: lees archive create --archive /srv/lees
    """
    from lees.app import create_archive

    archive = create_archive(where.archive, where.user)
    print(f"The archive is in {printable(archive.database.shown, 300)}.")
    print(f"Pictures and documents are in {printable(archive.files.place, 300)}.")
    archive.close()


@store_app.default
def store(
    folders: Annotated[list[Path], Parameter(help="Folders with a case.toml.")],
    *,
    changes: Annotated[str | None, Parameter(help="The case that the folder is now.")] = None,
    new: Annotated[bool, Parameter(help="Another case of the same title.", negative="")] = False,
    where: Where = HERE,
) -> int:
    """Store case folders with the files that they name; the very same one twice is there once.

    Example: lees archive store demo-out/*
    """
    from lees.work.store_case import store_case, store_changed_case, store_new_case

    if changes is not None and (len(folders) != 1 or new):
        raise LeesError("--changes goes with one folder, and not with --new.")
    status = 0
    with opened(where) as archive:
        for folder in folders:
            try:
                if changes is not None:
                    done = store_changed_case(archive, folder, changes)
                else:
                    done = (store_new_case if new else store_case)(archive, folder)
            except UnusableInput as error:
                print(f"lees: {error}", file=sys.stderr)
                status = 3
                continue
            what = "stored" if done.stored.added else f"is there, version {done.stored.version}"
            print(f"{done.stored.ref}  {printable(done.title)}  {what}")
            for warning in done.warnings:
                print(f"lees: {warning}", file=sys.stderr)
    return status


@fetch_app.default
def fetch(ref: str, folder: Path, *, where: Where = HERE) -> None:
    """Write a case with its files into a new folder, ready for lees judge.

    Parameters
    ----------
    ref
        The case, as lees archive list names it.
    folder
        A folder that is not there yet.
    """
    from lees.archive.fetch import fetch_case

    with opened(where) as archive:
        missing = fetch_case(archive, ref, folder)
    print(f"{ref} is in {printable(str(folder), 300)}.")
    for line in missing:
        print(f"lees: {line}", file=sys.stderr)


@bin_app.default
def bin_(refs: list[str], *, where: Where = HERE) -> None:
    """Put cases into the bin: on no shelf any more, and nothing of them is lost."""
    from lees.archive.cases import bin_case

    with opened(where) as archive:
        for ref in refs:
            bin_case(archive, ref)
            print(f"{ref} is in the bin; lees archive unbin {ref} takes it out.")


@unbin_app.default
def unbin(refs: list[str], *, where: Where = HERE) -> None:
    """Take cases out of the bin."""
    from lees.archive.cases import unbin_case

    with opened(where) as archive:
        for ref in refs:
            unbin_case(archive, ref)
            print(f"{ref} is on the shelf.")


@history_app.default
def history(ref: str | None = None, *, limit: int = 30, where: Where = HERE) -> None:
    """Say who changed what and when, the latest first.

    Parameters
    ----------
    ref
        Only of this case, or of this thing of a register.
    limit
        How many lines at most.
    """
    from lees.archive.history import deeds

    with opened(where) as archive:
        for deed in deeds(archive, ref=ref, limit=limit):
            line = f"{deed.id:>6}  {deed.at[:16].replace('T', ' ')}  {printable(deed.who, 20):<12}"
            print(f"{line}  {deed.kind} {printable(deed.ref, 40)}  {deed.act}".rstrip())
            for change in deed.changes:
                sides = change.as_json()
                before, after = (
                    printable(str(sides[side]), 60) if side in sides else "nothing"
                    for side in ("before", "after")
                )
                print(f"{'':>8}{printable(change.path[1:].replace('/', '.'))}: {before} → {after}")


@undo_app.default
def undo(line: int, *, where: Where = HERE) -> None:
    """Take a line of the history back, as a change of its own.

    Parameters
    ----------
    line
        Its number, as lees archive history shows it.
    """
    from lees.archive.undo import undo as take_back

    with opened(where) as archive:
        done = take_back(archive, line)
    print(f"Taken back; {done.ref} is now version {done.version}.")
