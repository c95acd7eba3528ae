"""The shelf: all cases, what each waits for, search, and the first visit."""

from __future__ import annotations

import json
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from lees.archive.cases import bin_case, unbin_case
from lees.archive.find import Question, condition
from lees.errors import LeesError
from lees.web.pages import ShelfContext, WorkingContext, shown
from lees.web.shop import Visiting
from lees.work.enter import begin_case
from lees.work.look import look_at_shelf
from lees.work.take_demo import take_demo

routes = APIRouter(include_in_schema=False)
A_PAGE = 30
DEMO = "demonstration"


class NotAPlaceOnTheShelf(LeesError):
    """A link to a page of the shelf that no longer means anything."""


@routes.get("/")
def shelf(
    visit: Visiting,
    q: Annotated[str, Query(max_length=200)] = "",
    after: Annotated[str, Query(max_length=400)] = "",
    binned: bool = False,
) -> Response:
    """Show a page of the shelf."""
    words, conditions = asked(q)
    question = Question(
        words=words,
        conditions=conditions,
        after=place_on_shelf(after),
        limit=A_PAGE,
        binned=binned,
    )
    page = look_at_shelf(visit.archive, question, visit.shop.remembered)
    following = None
    if page.next is not None:
        following = urlencode({"q": q, "binned": binned, "after": json.dumps(page.next)})
    empty = not page.cases and not q and not after and not binned
    return shown(
        visit.page(
            ShelfContext,
            title="Shelf",
            cases=page.cases,
            words=q,
            next_page=following,
            binned=binned,
            first_visit=empty,
        )
    )


@routes.post("/cases")
def begin(visit: Visiting, title: Annotated[str, Form(max_length=200)] = "") -> Response:
    """Begin a case and open its service record."""
    stored = begin_case(visit.archive, title.strip() or f"Case of {visit.archive.now()[:10]}")
    return RedirectResponse(f"/case/{stored.ref}/service?guided=true", 303)


@routes.post("/demo")
def demo(request: Request, visit: Visiting) -> Response:
    """Put the demonstration's cases on the shelf, which takes a few seconds."""
    visit.archive.write(lambda turn: None)  # says so at once where the visitor may only read
    visit.shop.jobs.again(DEMO)
    visit.shop.jobs.hand_in(DEMO, lambda tell: take_demo(visit.archive, tell))
    return RedirectResponse("/demo", 303)


@routes.get("/demo")
def demo_progress(visit: Visiting) -> Response:
    """Show how far the demonstration is, or the shelf when it is there."""
    job = visit.shop.jobs.hand_in(DEMO, lambda tell: ())
    if job.is_done and job.error is None:
        return RedirectResponse("/", 303)
    says, error = job.says, job.error
    return shown(
        visit.page(WorkingContext, title="Demonstration", says=says, ask="/demo", error=error)
    )


@routes.post("/case/{ref}/bin")
def into_bin(visit: Visiting, ref: str) -> Response:
    """Put a case into the bin."""
    bin_case(visit.archive, ref)
    return RedirectResponse("/", 303)


@routes.post("/case/{ref}/unbin")
def out_of_bin(visit: Visiting, ref: str) -> Response:
    """Take a case out of the bin."""
    unbin_case(visit.archive, ref)
    return RedirectResponse(f"/case/{ref}/service", 303)


def asked(q: str) -> tuple[str, tuple[Any, ...]]:
    """Return the words and the conditions of a search as typed.

    >>> asked("launch fill.run.distance>9000km")[0]
    'launch'
    """
    words, conditions = [], []
    for part in q.split():
        if any(sign in part for sign in "<>=~") or (part.endswith("?") and "." in part):
            conditions.append(condition(part))
        else:
            words.append(part)
    return " ".join(words), tuple(conditions)


def place_on_shelf(text: str) -> tuple[Any, ...] | None:
    """Return where a page of the shelf starts, as a link carries it."""
    if not text:
        return None
    try:
        place = json.loads(text)
    except (ValueError, RecursionError):
        place = None
    if (
        not isinstance(place, list)
        or not 1 <= len(place) <= 4
        or not all(isinstance(part, str | int | float) for part in place)
        or any(isinstance(part, int) and abs(part) >= 2**63 for part in place)
    ):
        raise NotAPlaceOnTheShelf("That link to the shelf is out of date; begin at its start.")
    return tuple(place)
