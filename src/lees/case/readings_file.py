"""Readings of a caliper or another instrument from a CSV file: one reading a row (RFC 4180).

Columns `what` and `reading` are needed, `unit` and `with` may be there; comma, semicolon or tab.
"""

from __future__ import annotations

import csv
import io

from lees.case.model import Reading
from lees.errors import LeesError, printable


class UnreadableReadings(LeesError):
    """A file of readings that cannot be understood."""


def readings_from_csv(text: str, *, file: str) -> tuple[Reading, ...]:
    r"""Return the readings of a file, those of one quantity and one instrument together.

    Raises `UnreadableReadings` naming file, line and what is wrong.

    >>> readings_from_csv("what,reading\ncan wall,0.38\ncan wall,0.39", file="c.csv")[0].readings
    ('0.38', '0.39')
    """
    lines = [line for line in text.lstrip("\ufeff").splitlines() if not line.startswith("#")]
    header = lines[0] if lines else ""
    delimiter = max(",;\t", key=header.count)
    rows = csv.DictReader(io.StringIO("\n".join(lines)), delimiter=delimiter)
    names = {name.strip().casefold(): name for name in rows.fieldnames or ()}
    for needed in ("what", "reading"):
        if needed not in names:
            raise UnreadableReadings(
                f"{printable(file)} has no column “{needed}”; "
                "its first line needs what,reading,unit,with."
            )
    gathered: dict[tuple[str, str, str], list[str]] = {}
    for row in rows:
        cells = {key: (row.get(name) or "").strip() for key, name in names.items()}
        if not cells["what"] and not cells["reading"]:
            continue
        if not cells["what"] or not cells["reading"]:
            raise UnreadableReadings(
                f"{printable(file)}, line {rows.line_num}: "
                "a reading needs what was read and the number."
            )
        key = (cells["what"], cells.get("unit") or "mm", cells.get("with") or "caliper")
        gathered.setdefault(key, []).append(cells["reading"])
    return tuple(
        Reading(what=what, readings=tuple(readings), unit=unit, instrument=instrument)
        for (what, unit, instrument), readings in gathered.items()
    )
