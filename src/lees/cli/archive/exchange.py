"""`lees archive export|import`: the archive in an open form, and from one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from lees.cli.archive.common import HERE, Shown, Where, command, counted, holdings, opened
from lees.errors import printable

export_app = command("export")
import_app = command("import")


@export_app.default
def export(
    folder: Path,
    *,
    parquet: Annotated[bool, Parameter(help="The tables as Parquet too.", negative="")] = False,
    where: Where = HERE,
) -> int:
    """Write the archive into a new folder: case folders, tables, a data dictionary, a manifest.

    Parameters
    ----------
    folder
        A folder that is not there yet.
    """
    from lees.archive.export import export as write

    with opened(where) as archive:
        done = write(archive, folder, Shown("Exporting", "cases", 1), parquet=parquet)
    print(f"{printable(str(folder), 300)}: {holdings(done.cases, done.files)}.")
    for line in done.missing:
        print(f"lees: {line}", file=sys.stderr)
    return 3 if done.missing else 0


@import_app.default
def import_(
    folder: Path,
    *,
    dry_run: Annotated[bool, Parameter(help="Only look.", negative="")] = False,
    where: Where = HERE,
) -> int:
    """Take an export into the archive: first a dry run, then wholly or not at all.

    Doing it again changes nothing. A case that is here with other content is left as it is.

    Parameters
    ----------
    folder
        The folder that lees archive export wrote.
    """
    from lees.archive.import_plan import plan_import
    from lees.archive.importing import import_planned

    with opened(where) as archive:
        plan = plan_import(archive, folder, Shown("Looking it over"))
        for problem in plan.problems:
            print(f"lees: {problem}", file=sys.stderr)
        for note in plan.notes:
            print(f"Note: {note}")
        if plan.problems:
            print("lees: Nothing was imported; mend these or export again.", file=sys.stderr)
            return 3
        print(f"New: {counted(len(plan.new), 'case')}; here already: {len(plan.here)}.")
        for ref in plan.other:
            print(f"{ref} is here with other content and is left as it is.")
        if dry_run:
            return 0
        done = import_planned(archive, plan, Shown("Importing", "cases", 1))
    print(f"Imported {counted(done.cases, 'case')} with {counted(done.files, 'file')}.")
    return 0
