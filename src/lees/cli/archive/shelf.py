"""`lees archive list|find|show|fields|compare|register|zero`: what there is, side by side."""

from __future__ import annotations

import datetime
from statistics import median
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from lees.cli.archive.common import HERE, Where, command, counted, opened
from lees.errors import LeesError, printable

if TYPE_CHECKING:
    from lees.archive.compare import Row, Value
    from lees.archive.find import Found, Page

Kind = Literal["engine", "owner", "oil", "filter", "instrument"]
Compared = Literal["case", "engine", "oil", "filter", "owner"]

list_app = command("list")
find_app = command("find")
show_app = command("show")
fields_app = command("fields")
compare_app = command("compare")
register_app = command("register")
zero_app = command("zero")


@list_app.default
def list_(
    *,
    conditions: Annotated[
        list[str], Parameter(name="--where", help="Such as “fill.run.distance >= 9000 mi”.")
    ] = [],  # noqa: B006  (cyclopts reads it, nobody writes it)
    sort: Annotated[str, Parameter(help="A field, changed or added; - turns it.")] = "-changed",
    limit: Annotated[int, Parameter(help="How many at most.")] = 30,
    binned: Annotated[bool, Parameter(help="What is in the bin.", negative="")] = False,
    where: Where = HERE,
) -> None:
    """List cases, the latest changed first, or sorted and filtered by any field.

    Example: lees archive list --sort=-report.results.Fe --where "oil.name ~ quay"
    """
    from lees.archive.find import Question, condition, count, find

    asked = Question(
        conditions=tuple(condition(text) for text in conditions),
        sort=sort,
        limit=limit,
        binned=binned,
    )
    with opened(where) as archive:
        _print_page(find(archive, asked), count(archive, asked))


@find_app.default
def find_(words: list[str], *, limit: int = 30, where: Where = HERE) -> None:
    """Find cases that have words beginning so, the latest stored first.

    Parameters
    ----------
    words
        Words or their beginnings, all of which must be there.
    limit
        How many cases at most.
    """
    from lees.archive.find import Question, count, find

    asked = Question(words=" ".join(words), limit=limit)
    with opened(where) as archive:
        _print_page(find(archive, asked), count(archive, asked))


@show_app.default
def show(ref: str, *, where: Where = HERE) -> None:
    """Show a case as it was entered, with its files and what was found in it."""
    from lees.archive.cases import get_case
    from lees.archive.snapshots import findings_of
    from lees.case.toml import write_case

    with opened(where) as archive:
        kept = get_case(archive, ref)
        found = findings_of(archive, ref)
    state = "in the bin" if kept.binned_at else f"version {kept.version}"
    print(f"# {kept.ref}, {state}, changed {kept.changed_at[:16]} by {printable(kept.changed_by)}")
    for file in kept.files:
        print(f"# {file.role}: {printable(file.name)}, {file.size_bytes:,} bytes")
    for snapshot in found:
        print(f"# findings of {snapshot.made_at[:16]}, made with {printable(snapshot.made_with)}")
    text = write_case(kept.case)
    print("".join(c if c.isprintable() or c == "\n" else "·" for c in text))


@fields_app.default
def fields(*, where: Where = HERE) -> None:
    """List the fields that cases can be sorted and filtered by, each with its unit."""
    from lees.archive.find import field_names

    with opened(where) as archive:
        for name, unit in field_names(archive):
            print(f"{printable(name, 100)}{f'  [{unit}]' if unit else ''}")


@compare_app.default
def compare(
    kind: Compared,
    names: list[str],
    *,
    field: Annotated[list[str], Parameter(help="Only these fields, by their beginnings.")] = [],  # noqa: B006
    where: Where = HERE,
) -> None:
    """Put things side by side, field by field.

    Of several numbers in one place the median is shown, with the least and the greatest.

    Example: lees archive compare filter "Lock-gate filter" "Breakwater filter" --field filter.
    """
    from lees.archive.compare import compare as side_by_side

    with opened(where) as archive:
        found = side_by_side(archive, kind, tuple(names))
    heads = [
        f"{printable(name, 30)} ({number})" if kind != "case" else printable(name, 30)
        for name, number in zip(found.names, found.cases, strict=True)
    ]
    rows = [["", *heads]]
    wanted = tuple(field) or ("",)
    rows += [_compared(row) for row in found.rows if row.field.startswith(wanted)]
    _print_table(rows)


@register_app.default
def register(kind: Kind, *, where: Where = HERE) -> None:
    """List engines, owners, oils, filters or instruments with the number of their cases."""
    from lees.archive.register_changes import entries

    with opened(where) as archive:
        for entry in entries(archive, kind):
            print(f"{printable(entry.name, 60)}  {counted(entry.cases, 'case')}")


@zero_app.default
def zero(
    instrument: str,
    shown: Annotated[str | None, Parameter(allow_leading_hyphen=True)] = None,
    *,
    checked: datetime.date | None = None,
    where: Where = HERE,
) -> None:
    """List what an instrument showed at zero over time, or note what it shows now.

    Parameters
    ----------
    instrument
        Its name, as in the cases.
    shown
        What it shows when closed, such as "-0.02 mm"; left out, the checks are listed.
    checked
        The day of the check; today where left out.
    """
    from lees.archive.register_changes import note_zero, zeros

    with opened(where) as archive:
        if shown is not None:
            day = (checked or archive.hands.clock().date()).isoformat()
            note_zero(archive, instrument, shown, checked=day)
        elif checked is not None:
            raise LeesError("Say what it shows too, such as: lees archive zero caliper '0.01 mm'.")
        for check in zeros(archive, instrument):
            print(f"{check.checked}  {printable(check.zero):>10}  {check.case or ''}".rstrip())


def _print_page(page: Page, number: int) -> None:
    rows = [["", "drained", "run", "engine", "oil", "filter", "pictures", "title"]]
    sorted_by = any(case.sorted_by is not None for case in page.cases)
    for case in page.cases:
        cells = [case.ref, case.drained or "", _run(case)]
        cells += [printable(name or "", 24) for name in (case.engine, case.oil, case.filter)]
        cells += [str(case.pictures or ""), printable(case.title, 50)]
        rows.append([*cells, printable(case.sorted_by or "–", 24)] if sorted_by else cells)
    if page.cases:
        _print_table(rows)
    more = f", {len(page.cases)} of them shown" if number > len(page.cases) else ""
    print(f"{counted(number, 'case')}{more}.")


def _run(case: Found) -> str:
    runs = ((case.distance_km, "km"), (case.hours, "h"))
    known = (f"{value:,.0f} {unit}" for value, unit in runs if value is not None)
    return ", ".join(run.replace(",", "\u202f") for run in known)


def _compared(row: Row) -> list[str]:
    unit = f" [{row.unit}]" if row.unit and row.unit != "1" else ""
    return [f"{printable(row.field, 50)}{unit}", *(_values(values) for values in row.values)]


def _values(values: tuple[Value, ...]) -> str:
    """Return a cell: one entry as typed, several numbers as median and range, several texts."""
    numbers = [value.number for value in values if value.number is not None]
    if len(values) > 1 and len(numbers) == len(values):
        censored = "~" if any(value.qualifier for value in values) else ""
        middle, least, most = median(numbers), min(numbers), max(numbers)
        return f"{censored}{middle:.4g} ({least:.4g} to {most:.4g}, n {len(numbers)})"
    texts = sorted({value.entered for value in values})
    return printable(" / ".join(texts), 40)


def _print_table(rows: list[list[str]]) -> None:
    width = max(len(row) for row in rows)
    padded = [row + [""] * (width - len(row)) for row in rows]
    widths = [max(len(row[k]) for row in padded) for k in range(width)]
    for row in padded:
        cells = (cell.ljust(size) for cell, size in zip(row, widths, strict=True))
        print("  ".join(cells).rstrip())
