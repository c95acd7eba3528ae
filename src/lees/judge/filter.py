"""Did the filter do its work: built well, intact, not bypassed?

Each part's state by `lees.filtration.parts`; media and catch in modules of their own.
"""

from __future__ import annotations

from lees.case.model import PartSeen
from lees.case.records import Facts, LightSeen
from lees.filtration.parts import Bearing, part, parts, state_named
from lees.judge.bench_readings import measured_row, note_readings
from lees.judge.catch import caught
from lees.judge.findings import (
    About,
    Action,
    FilterFound,
    PartRow,
    Statement,
)
from lees.judge.media import media_found
from lees.judge.notes import Notes
from lees.judge.words import listed

AS_IT_SHOULD_BE = "as it should be"
"""What is said of a part with which nothing is wrong."""

_WORST = {
    Bearing.SOUND: Action.CARRY_ON,
    Bearing.NOTE: Action.CARRY_ON,
    Bearing.LESSENS: Action.LOOK_CLOSER,
    Bearing.DEFEATS: Action.LOOK_CLOSER,
    Bearing.ENDANGERS: Action.ACT_NOW,
}


def filter_found(facts: Facts, notes: Notes) -> FilterFound | None:
    """Return what the specimen showed and note what it says; nothing where there is none."""
    specimen = facts.case.filter
    if specimen is None:
        notes.not_judged.append("The filter: none was sent, or nothing of it was entered.")
        return None
    shifted = note_readings(facts, notes)
    rows = tuple(measured_row(measurement) for measurement in facts.measured)
    media = media_found(facts, notes, shifted=shifted)
    catch = caught(facts, notes)
    found_parts = tuple(_part_row(seen) for seen in specimen.parts)
    _parts(found_parts, notes)
    if specimen.media.torn:
        notes.state(
            Statement(
                id="filter.torn",
                about=About.FILTER,
                text="The media is torn: oil has passed unfiltered.",
                action=Action.LOOK_CLOSER,
                facts=(notes.fact("media.torn", "media", "torn", "the inspector's eye"),),
                sources=("common practice, no source",),
            )
        )
    light = next((seen for seen in facts.seen if isinstance(seen, LightSeen)), None)
    return FilterFound(
        name=specimen.name,
        measured=rows,
        parts=found_parts,
        media=media,
        caught=catch,
        transmission=light.transmission if light else None,
    )


def _part_row(seen: PartSeen) -> PartRow:
    wanted = " ".join(seen.part.casefold().replace("_", " ").split())
    key = next(
        (k for k, p in parts().items() if wanted in (k.replace("_", " "), p.name.casefold())), None
    )
    state = state_named(key, seen.condition) if key and seen.condition else None
    if key is None or state is None:
        return PartRow(
            part=part(key).name if key else seen.part,
            material=seen.material,
            condition=seen.condition,
            seen=seen.seen,
            action=Action.CARRY_ON,
            meaning="as the inspector found it; not weighed",
        )
    return PartRow(
        part=part(key).name,
        material=seen.material,
        condition=state.words,
        seen=seen.seen,
        action=_WORST[state.bearing],
        meaning=state.why or AS_IT_SHOULD_BE,
    )


def _parts(rows: tuple[PartRow, ...], notes: Notes) -> None:
    for row in rows:
        fact = notes.fact(
            f"part.{row.part.lower()}",
            row.part,
            row.condition or "not described",
            "the inspector's eye",
        )
        if row.action is Action.CARRY_ON:
            continue
        notes.state(
            Statement(
                id=f"filter.part.{row.part.lower()}",
                about=About.FILTER,
                text=f"{row.part}: {row.condition} — {row.meaning}.",
                action=row.action,
                facts=(fact,),
                sources=("common practice, no source",),
            )
        )
    sound = [row.part.lower() for row in rows if row.meaning == AS_IT_SHOULD_BE]
    if sound:
        notes.state(
            Statement(
                id="filter.sound",
                about=About.FILTER,
                text=f"Found as they should be: {listed(sound)}.",
                facts=tuple(f"part.{name}" for name in sound),
                sources=("the inspector's eye",),
            )
        )
