"""`case.toml` read into a case and written again, with errors that name the line and the field.

TOML v1.0.0. The format is published as a JSON Schema in `docs/case.schema.json`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from typing import Any

import tomlkit
from pydantic import ValidationError

from lees.case.model import Case
from lees.errors import UnusableInput, printable
from lees.quantity.entry import DecimalSign

CASE_FILE = "case.toml"


class UnreadableCase(UnusableInput):
    """A `case.toml` that cannot be parsed; `problems` are its lines for the bench."""

    def __init__(self, problems: Sequence[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.problems))


def read_case(source: str, *, file: str = CASE_FILE) -> Case:
    r"""Return the case that a `case.toml` describes.

    Raises `UnreadableCase` with one line a problem: file, line, field, what is wrong, what to do.

    >>> read_case('title = "Pilot launch"\n[engine]\nsump = "5.2 L"').engine.sump.value
    5.2
    """
    data = _parsed(source, file)
    try:
        decimal = DecimalSign(data.get("decimal", "unknown"))
    except ValueError:
        decimal = DecimalSign.UNKNOWN
    try:
        return Case.model_validate(data, context={"decimal": decimal})
    except ValidationError as error:
        raise UnreadableCase(
            [
                _problem(file, source, tuple(problem["loc"]), problem["type"], problem["msg"])
                for problem in error.errors(include_url=False, include_context=True)
            ]
        ) from None


def write_case(case: Case) -> str:
    """Return a case as the text of a `case.toml`, with nothing that was not entered."""
    data = case.model_dump(mode="python", exclude_defaults=True, by_alias=True)
    return tomlkit.dumps(_plain(data))


def line_of(source: str, path: Sequence[str | int]) -> int:
    r"""Return the line, from 1, on which a field stands, or the nearest one above it that does.

    >>> line_of('a = 1\n[b]\nc = 2', ("b", "c"))
    3
    """
    best, depth = 1, 0
    header: list[str | int] = []
    counts: dict[str, int] = {}
    quoted = False
    for number, text in enumerate(source.splitlines(), start=1):
        was_quoted = quoted
        if text.count('"""') % 2 or text.count("'''") % 2:
            quoted = not quoted
        if was_quoted:
            continue
        if table := _TABLE.match(text):
            header = _keys(table.group(2))
            if table.group(1) == "[[":
                counts[table.group(2)] = counts.get(table.group(2), -1) + 1
                header.append(counts[table.group(2)])
            place = header
        elif key := _KEY.match(text):
            place = [*header, *_keys(key.group(1))]
        else:
            continue
        if list(path[: len(place)]) == place and len(place) > depth:
            best, depth = number, len(place)
    rest = list(path[depth:])
    return best + _rows_into(source.splitlines()[best - 1 :], rest) if rest else best


_TABLE = re.compile(r"\s*(\[\[?)\s*([^\]\[]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(
    r"\s*((?:[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|\"[^\"]*\"))*)\s*="
)
_MESSAGES = {
    "missing": "is needed and is not there; add it",
    "extra_forbidden": "is not a field known here; look for a slip of the pen in its name",
}


def _keys(text: str) -> list[str | int]:
    return [part.strip().strip("\"'") for part in text.split(".")]


def _rows_into(lines: list[str], rest: list[str | int]) -> int:
    """Return how many lines below its key the given row of a list of tables starts."""
    if not rest or not isinstance(rest[0], int):
        return 0
    opened = -1
    for offset, text in enumerate(lines):
        opened += len(re.findall(r"\{", text))
        if opened >= rest[0]:
            return offset
        if offset and text.strip() == "]":
            break
    return 0


def _parsed(source: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        where = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        line = int(where.group(1)) if where else len(source.splitlines())
        what = str(error).split(" (at ")[0]
        raise UnreadableCase(
            [f"{file}, line {line}: {_explained(what)}; mend that line."]
        ) from None


def _explained(what: str) -> str:
    if what.startswith("Cannot overwrite a value"):
        return "this field is entered a second time"
    if what.startswith("Cannot declare"):
        return "this part is entered a second time"
    return f"this is not TOML ({what[:1].lower()}{what[1:]})"


def _problem(file: str, source: str, place: tuple[str | int, ...], kind: str, message: str) -> str:
    path = tuple(part for part in place if not str(part).startswith("function-"))
    field = ".".join(
        f"no. {part + 1}" if isinstance(part, int) else printable(part) for part in path
    )
    text = _MESSAGES.get(kind, message.rstrip("."))
    text = text.replace("Input should be", "it must be").replace("should", "must")
    return f"{file}, line {line_of(source, path)}, {field}: {text}."


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items() if item is not None}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, str):
        return str(value)
    return value
