"""Cutting the filter open: what to do first, then every part with what to look for."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form
from starlette.responses import Response

from lees.archive.cases import entered_of
from lees.errors import LeesError
from lees.filtration.parts import BEARING_WORDS, Bearing, state_named
from lees.web.fields import FIRST_CUT, MEDIA_SEEN, values_of
from lees.web.pages import FieldContext, OpeningContext, PartShown, StateShown, shown
from lees.web.shop import Visiting
from lees.web.trouble import status_of
from lees.work.look_at_part import Looked, note_part, parts_looked_at
from lees.work.steps import Step

routes = APIRouter(include_in_schema=False)


@routes.get("/case/{ref}/opening")
def opening(visit: Visiting, ref: str) -> Response:
    """Show the guided list of parts."""
    opened = visit.opened(ref)
    parts = tuple(part_shown(one) for one in parts_looked_at(opened.kept.case))
    first_open = next((one.key for one in parts if not one.found), "")
    return shown(
        visit.case_page(
            OpeningContext,
            opened,
            Step.OPENING,
            first_cut=FIRST_CUT,
            media_seen=MEDIA_SEEN,
            values=values_of(entered_of(opened.kept.case)),
            parts=parts,
            open_part=first_open,
        )
    )


@routes.post("/case/{ref}/part")
def save_part(
    visit: Visiting,
    ref: str,
    part: Annotated[str, Form(max_length=60)],
    name: Annotated[str, Form(pattern="^(condition|material|seen)$")],
    value: Annotated[str, Form(max_length=4000)] = "",
) -> Response:
    """Save what was noted of a part."""
    said = f"part-{part}"
    try:
        stored = note_part(visit.archive, ref, part, {name: value})
    except LeesError as error:
        return shown(FieldContext(id=said, version=None, error=str(error)), status_of(error))
    return shown(FieldContext(id=said, version=stored.version))


def part_shown(looked: Looked) -> PartShown:
    """Return a part as its card shows it."""
    one, seen = looked.part, looked.seen
    words = (seen.condition if seen else None) or ""
    chosen = state_named(one.key, words) if words else None
    states = tuple(
        StateShown(
            key=state.key,
            words=state.words,
            means=BEARING_WORDS[state.bearing],
            sound=state.bearing is Bearing.SOUND,
            why=state.why,
            by_opening=state.by_opening,
            chosen=chosen is not None and state.key == chosen.key,
        )
        for state in one.states
    )
    return PartShown(
        key=one.key,
        name=one.name,
        what=one.what,
        states=states,
        found=chosen.words if chosen else words,
        material=(seen.material if seen else None) or "",
        seen=(seen.seen if seen else None) or "",
    )
