"""Enter facts of a case one by one, as a person does at the bench, each saved at once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from lees.archive.archive import Archive
from lees.archive.cases import Stored, change_case, store_case
from lees.archive.changes import ABSENT
from lees.case.model import Case
from lees.errors import LeesError, printable

_POINTER = re.compile(r"(?:/[^/]{1,200}){1,8}")
_PLAIN = {
    "missing": "is needed; enter it",
    "extra_forbidden": "is not a field of a case; look for a slip of the pen in its name",
}


class WrongField(LeesError):
    """A value that its field cannot hold."""


def begin_case(archive: Archive, title: str) -> Stored:
    """Begin a case with a title; one just begun under that title is opened again."""
    try:
        return store_case(archive, Case(title=title))
    except ValidationError as error:
        raise WrongField(line_of_error(error)) from None


def enter_fields(archive: Archive, ref: str, changes: Mapping[str, Any], *, seen: int) -> Stored:
    """Change fields of a case by their JSON Pointers; nothing (or an empty text) clears a field.

    Raises `WrongField` where a value does not fit, and what the archive raises.
    """
    for path, value in changes.items():
        known = _POINTER.fullmatch(path) and path.split("/")[1] in _FIELDS
        if not known:
            raise WrongField(f"“{printable(path)}” is not a field of a case.")
        if not _is_text(value):
            raise WrongField("The text holds half a character; type it again.")
    wanted = {path: _cleared(value) for path, value in changes.items()}
    try:
        return change_case(archive, ref, wanted, seen=seen)
    except ValidationError as error:
        raise WrongField(line_of_error(error)) from None


def line_of_error(error: ValidationError) -> str:
    """Return what is wrong with a case, as one line for the bench."""
    problem = error.errors(include_url=False, include_context=True, include_input=False)[0]
    kind, message = problem["type"], str(problem["msg"])
    if kind == "entry":
        return message
    field = ".".join(str(part) for part in problem["loc"] if not str(part).startswith("function-"))
    text = _PLAIN.get(kind, message.rstrip(".").replace("Input should be", "must be"))
    text = text.replace("should", "must")
    return f"{printable(field or 'it').replace('_', ' ')}: {text}."


_FIELDS = {field.alias or name for name, field in Case.model_fields.items()}


def _cleared(value: Any) -> Any:
    empty = value is None or value in ("", [], {})
    return ABSENT if empty else value


def _is_text(value: Any) -> bool:
    """Tell whether every text in a value can be written down (no half of a surrogate pair)."""
    if isinstance(value, str):
        return value.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in value)
    if isinstance(value, dict):
        return all(_is_text(key) and _is_text(inner) for key, inner in value.items())
    if isinstance(value, list):
        return all(_is_text(inner) for inner in value)
    return True
