"""What differs between two states of a thing, written so that it can be shown and taken back.

Places in a document are JSON Pointers (RFC 6901). Tables are compared field by field; a list is one
value, because its members have no names.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from lees.archive.errors import CannotUndo
from lees.errors import printable

State = dict[str, Any]
ABSENT: Any = type("Absent", (), {"__repr__": lambda _: "absent", "__slots__": ()})()


@dataclass(frozen=True, slots=True)
class Change:
    """One field that changed; `before` or `after` is absent where it was not there."""

    path: str
    before: Any = ABSENT
    after: Any = ABSENT

    def as_json(self) -> dict[str, Any]:
        """Return the change as JSON, without what is absent."""
        sides = {"before": self.before, "after": self.after}
        return {"path": self.path} | {k: v for k, v in sides.items() if v is not ABSENT}


def from_json(data: dict[str, Any]) -> Change:
    """Return a change written by `Change.as_json`."""
    return Change(data["path"], data.get("before", ABSENT), data.get("after", ABSENT))


def differences(before: State, after: State) -> tuple[Change, ...]:
    """Return what changed between two states, field by field.

    >>> [c.as_json() for c in differences({"a": {"b": 1}}, {"a": {"b": 2, "c d": 3}})]
    [{'path': '/a/b', 'before': 1, 'after': 2}, {'path': '/a/c d', 'after': 3}]
    """
    return tuple(_differences("", before, after))


def applied(state: State, changes: Iterable[tuple[str, Any]]) -> State:
    """Return a state with some places set to new values, or cleared where the value is absent."""
    changed = copy.deepcopy(state)
    for path, value in changes:
        *parents, last = parts_of(path)
        place = changed
        for parent in parents:
            inner = place.get(parent)
            place[parent] = inner = dict(inner) if isinstance(inner, dict) else {}
            place = inner
        if value is ABSENT:
            place.pop(last, None)
        else:
            place[last] = value
    return changed


def taken_back(state: State, changes: Iterable[Change]) -> State:
    """Return a state with changes taken back; raise `CannotUndo` where later ones stand on them."""
    back = []
    for change in changes:
        now = value_at(state, change.path)
        if now != change.after:
            raise CannotUndo(
                f"“{printable(change.path)}” has been changed again since; take the later change "
                "back first."
            )
        back.append((change.path, change.before))
    return applied(state, back)


def value_at(state: State, path: str) -> Any:
    """Return what stands at a place, or absent."""
    place: Any = state
    for part in parts_of(path):
        if not isinstance(place, dict) or part not in place:
            return ABSENT
        place = place[part]
    return place


def overlap(one: str, other: str) -> bool:
    """Tell whether two places are the same or one lies within the other.

    >>> overlap("/fill/run", "/fill/run/distance"), overlap("/fill/run", "/fill/runs")
    (True, False)
    """
    first, second = parts_of(one), parts_of(other)
    shared = min(len(first), len(second))
    return first[:shared] == second[:shared]


def parts_of(path: str) -> list[str]:
    """Return the parts of a JSON Pointer (RFC 6901, section 4)."""
    return [part.replace("~1", "/").replace("~0", "~") for part in path.split("/")[1:]]


def pointer(*parts: str) -> str:
    """Return the JSON Pointer of a place (RFC 6901, section 3).

    >>> pointer("files", "photos/media.jpg")
    '/files/photos~1media.jpg'
    """
    return "".join("/" + part.replace("~", "~0").replace("/", "~1") for part in parts)


def _differences(place: str, before: State, after: State) -> Iterator[Change]:
    for key in sorted(before.keys() | after.keys()):
        old, new = before.get(key, ABSENT), after.get(key, ABSENT)
        path = place + pointer(key)
        if isinstance(old, dict) and isinstance(new, dict):
            yield from _differences(path, old, new)
        elif type(old) is not type(new) or old != new:
            yield Change(path, old, new)
