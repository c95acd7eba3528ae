"""`lees read FILE`: a laboratory's report as a table that a person checks at a glance."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import App, Parameter

from lees.errors import printable

if TYPE_CHECKING:
    from lees.document.records import Quantity, Report, Result, Sample

app = App(name="read", help="Read a laboratory's report.", result_action="return_value")


@app.default
def read(file: Path, *, as_json: Annotated[bool, Parameter("--json", negative="")] = False) -> None:
    """Read a laboratory's report of any form and show what it says and where.

    Parameters
    ----------
    file
        The report: PDF, picture, CSV, XLSX, HTML, JSON or text.
    as_json
        Print the results of the public contract instead of a table.
    """
    from lees.work.read_report import read_report

    report = read_report(file)
    if as_json:
        print(json.dumps(report.to_contract(), ensure_ascii=True, allow_nan=False))
        return
    for line in _lines(report):
        print(line)


def _lines(report: Report) -> list[str]:
    lines: list[str] = []
    for sample in report.samples:
        lines += [_title(sample), *_table(list(sample.results.values()), report), ""]
    for name, group in (("Own mean", report.own_mean), ("Fresh oil", report.fresh)):
        if group:
            listed = ", ".join(f"{key} {result.value:g}" for key, result in group.items())
            lines.append(printable(f"{name}: {listed}", 2000))
    for name, value in (("Oil", report.oil), ("Grade", report.grade), ("Engine", report.engine)):
        if value:
            lines.append(printable(f"{name}: {value}", 200))
    if report.advised_distance:
        lines.append(f"Advised for the next fill: {_quantity(report.advised_distance)}")
    lines += [printable(f"Note: {warning}", 400) for warning in report.warnings]
    return lines


def _title(sample: Sample) -> str:
    parts = [
        sample.label or "Sample",
        sample.date,
        _quantity(sample.oil_distance) and f"{_quantity(sample.oil_distance)} on the oil",
        _quantity(sample.oil_hours) and f"{_quantity(sample.oil_hours)} on the oil",
        _quantity(sample.engine_distance) and f"{_quantity(sample.engine_distance)} on the engine",
    ]
    return printable(" · ".join(part for part in parts if part), 200)


def _quantity(quantity: Quantity | None) -> str:
    return f"{quantity.value:,.10g} {quantity.unit}".replace(",", "\u202f") if quantity else ""


def _table(results: list[Result], report: Report) -> list[str]:
    rows = [("", "value", "unit", "mean", "sure", "where", "look at")]
    for result in results:
        mean = report.reference.get(result.key)
        rows.append(
            (
                result.key,
                _value(result),
                printable(result.unit or "", 20),
                f"{mean.value:g}" if mean and mean.value is not None else "",
                f"{min(result.confidence, 0.9994):.1%}",
                _where(result),
                printable("; ".join(result.reasons), 100) if result.review else "",
            )
        )
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    right = (1, 3, 4)
    return [
        "  ".join(
            cell.rjust(width) if k in right else cell.ljust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def _value(result: Result) -> str:
    if result.value is None:
        return result.qualifier or ""
    return f"{result.qualifier or ''}{result.value:g}"


def _where(result: Result) -> str:
    if result.box is None:
        return f"p. {result.page}"
    return f"p. {result.page} at {result.box.x0:.0f}, {result.box.y0:.0f}"
