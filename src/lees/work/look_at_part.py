"""Note how a part of the opened filter was found, in the words that the verdict understands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lees.archive.archive import Archive
from lees.archive.cases import Stored
from lees.archive.history import Act
from lees.case.model import Case, PartSeen
from lees.filtration.parts import Part, part, parts
from lees.work.measure_part import changed

NOTED = ("condition", "material", "seen")


@dataclass(frozen=True, slots=True)
class Looked:
    """A part to look at and what was noted of it, if anything was."""

    part: Part
    seen: PartSeen | None


def parts_looked_at(case: Case) -> tuple[Looked, ...]:
    """Return every part of a filter, each with what was noted of it."""
    noted = {_key_of(seen.part): seen for seen in (case.filter.parts if case.filter else ())}
    return tuple(Looked(one, noted.get(one.key)) for one in parts().values())


def note_part(archive: Archive, ref: str, key: str, noted: dict[str, str]) -> Stored:
    """Note the condition, the material or what was seen of a part; an empty text clears it.

    Raises `WrongEntry` for a part or a state that there is not.
    """
    one = part(key)
    if state := noted.get("condition"):
        one.state(state)

    def change(document: dict[str, Any]) -> None:
        listed = document.setdefault("filter", {}).setdefault("parts", [])
        entry = next((old for old in listed if _key_of(old["part"]) == key), None)
        if entry is None:
            entry = {"part": one.name.casefold()}
            listed.append(entry)
        for name in NOTED:
            if name in noted:
                entry[name] = noted[name].strip() or None
        if not any(entry.get(name) for name in NOTED):
            listed.remove(entry)

    return archive.write(lambda turn: changed(turn, ref, change, Act("part looked at")))


def _key_of(words: str) -> str:
    """Return the key of a part named by its key or its name; other parts keep their words."""
    spoken = " ".join(words.casefold().replace("_", " ").split())
    for key, one in parts().items():
        if spoken in (key.replace("_", " "), one.name.casefold()):
            return key
    return spoken
