"""`lees calc trend`: a straight line through readings, where it crosses a level or another."""

from __future__ import annotations

import math

from cyclopts import App

from lees.cli.calc.typed import notes, number, show_example
from lees.errors import WrongEntry
from lees.quantity.line_fit import Crossing, LineFit
from lees.quantity.measured import Measured, rounded, significant

app = App(
    name="trend",
    help="Straight line through readings, and where it crosses a level or another line.",
    result_action="return_value",
)


@app.command
def line(readings: str, *, level: str | None = None) -> None:
    """Line through readings of equal scatter, its doubt taken from the scatter itself.

    Example: lees calc trend line '2: 8.1; 4: 7.3; 6: 6.4; 8: 5.7; 10: 4.8' --level 4   →   crosses 4 at 12.00 ± 0.13

    Parameters
    ----------
    readings
        Places and readings as plain numbers, such as '2: 8.1; 4: 7.3; 6: 6.4'.
    level
        A level for which the crossing is wanted.
    """  # noqa: E501
    from lees.quantity.line_fit import line_fit

    points = _points(readings)
    found = line_fit([x.value for x, _ in points], [y.value for _, y in points])
    _show_line(found.line)
    print(f"  scatter about the line: {significant(found.residual_deviation)}")
    print("  source: least squares, ISO/TS 28037:2010; limits of a crossing by Fieller 1954")
    _show_level(found.line, level)


@app.command
def weighted(readings: str, *, level: str | None = None) -> None:
    """Line through readings that each have their standard uncertainty.

    Example: lees calc trend weighted '2: 8.1 ± 0.2; 4: 7.3 ± 0.2; 6: 6.4 ± 0.2; 10: 4.8 ± 0.3' --level 4   →   slope: -0.416 ± 0.043

    Parameters
    ----------
    readings
        Places and readings as plain numbers, such as '2: 8.1 ± 0.2; 4: 7.3 ± 0.2'.
    level
        A level for which the crossing is wanted.
    """  # noqa: E501
    from lees.quantity.line_fit import weighted_line_fit

    points = _points(readings)
    found = weighted_line_fit(
        [x.value for x, _ in points],
        [y.value for _, y in points],
        uncertainty=[y.uncertainty for _, y in points],
    )
    _show_line(found.line)
    print(f"  probability of so much scatter: {100 * found.probability:.2g} %")
    print("  source: least squares, ISO/TS 28037:2010; limits of a crossing by Fieller 1954")
    _show_level(found.line, level)


@app.command
def meet(first: str, second: str) -> None:
    """Where the lines through two rows of readings meet, such as base and acid number.

    Example: lees calc trend meet '2: 8.1; 4: 7.3; 6: 6.4; 8: 5.7; 10: 4.8' '2: 1.5; 4: 1.7; 6: 2.2; 8: 2.7; 10: 2.9'   →   the lines meet at 13.10 ± 0.24

    Parameters
    ----------
    first
        Places and readings of one row.
    second
        Places and readings of the other, over the same run.
    """  # noqa: E501
    from lees.quantity.line_fit import crossing, line_between, line_fit

    rows = [_points(text) for text in (first, second)]
    lines = [line_fit([x.value for x, _ in row], [y.value for _, y in row]).line for row in rows]
    _show_crossing("the lines meet", crossing(line_between(*lines), 0.0))
    print("  source: least squares, ISO/TS 28037:2010; limits of a crossing by Fieller 1954")


def _points(text: str) -> list[tuple[Measured, Measured]]:
    """Understand places and readings, such as ``2: 8.1; 4: 7.3``."""
    points = []
    for part in text.split(";"):
        place, colon, reading = part.partition(":")
        if not colon:
            raise WrongEntry(part, "is not a place with its reading", "type for example 2: 8.1")
        points.append((number(place), number(reading)))
    return points


def _show_line(line: LineFit) -> None:
    for name, value, doubt in (
        ("slope", line.slope, line.slope_uncertainty),
        ("at zero", line.intercept, line.intercept_uncertainty),
    ):
        print(f"{name}: {rounded(value, doubt)} ± {significant(doubt)}")


def _show_level(line: LineFit, level: str | None) -> None:
    from lees.quantity.line_fit import crossing

    if level is None:
        notes(line.warnings)
        return
    wanted = number(level).value
    _show_crossing(f"crosses {wanted:g}", crossing(line, wanted))


def _show_crossing(what: str, found: Crossing) -> None:
    print(f"{what} at {rounded(found.at, found.uncertainty)} ± {significant(found.uncertainty)}")
    if math.isfinite(found.low):
        low, high = (rounded(end, found.uncertainty) for end in (found.low, found.high))
        print(f"  95 %: {low} to {high}")
    notes(found.warnings)


show_example(app, line)
