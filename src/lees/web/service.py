"""The service record of a case, and the saving of any field of a case as it is left."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from lees.archive.cases import entered_of
from lees.errors import LeesError
from lees.web.fields import SERVICE, field_at, understood, values_of
from lees.web.pages import FieldContext, ServiceContext, field_id, shown
from lees.web.shop import ORDER, Visiting
from lees.web.trouble import status_of
from lees.work.enter import enter_fields
from lees.work.steps import Step, waits_for

routes = APIRouter(include_in_schema=False)


@routes.get("/case/{ref}")
def resume(visit: Visiting, ref: str) -> Response:
    """Open a case at the step that it waits for."""
    waits = waits_for(visit.opened(ref).steps)
    step = waits.step if waits and waits.step in ORDER else ORDER[0]
    return RedirectResponse(f"/case/{ref}/{step.value}", 303)


@routes.get("/case/{ref}/service")
def service(visit: Visiting, ref: str, guided: bool = False) -> Response:
    """Show the service record."""
    opened = visit.opened(ref)
    values = values_of(entered_of(opened.kept.case))
    return shown(
        visit.case_page(
            ServiceContext,
            opened,
            Step.SERVICE,
            groups=SERVICE,
            values=values,
            more_open=tuple(
                group.name for group in SERVICE if any(values[field.path] for field in group.more)
            ),
            guided=guided,
        )
    )


@routes.post("/case/{ref}/field")
def save_field(
    visit: Visiting,
    ref: str,
    path: Annotated[str, Form(max_length=200)],
    seen: Annotated[int, Form(ge=0, lt=2**31)],
    value: Annotated[str, Form(max_length=10_000)] = "",
) -> Response:
    """Save one field and say beside it that it is saved, or what is wrong."""
    name = field_id(path)
    try:
        field = field_at(path)
        stored = enter_fields(visit.archive, ref, {path: understood(field, value)}, seen=seen)
    except LeesError as error:
        said = FieldContext(id=name, version=None, error=str(error))
        return shown(said, status_of(error))
    return shown(FieldContext(id=name, version=stored.version))
