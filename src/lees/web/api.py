"""The same acts as JSON over HTTP, for those who script; described at /openapi.json."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import BaseModel, ConfigDict, Field

from lees.archive.cases import bin_case, entered_of, unbin_case
from lees.archive.find import Question
from lees.web.shelf import asked
from lees.web.shop import Visiting
from lees.work.enter import begin_case, enter_fields
from lees.work.look import look_at_shelf
from lees.work.look_at_part import note_part
from lees.work.measure_part import NewReading, take_reading


class Trouble(BaseModel):
    """What went wrong, in one line."""

    error: str


routes = APIRouter(
    prefix="/api",
    tags=["cases"],
    responses={status: {"model": Trouble} for status in (400, 403, 404, 409, 413, 422, 503)},
)
Ref = Annotated[str, Path(max_length=40, description="The case's reference.")]


class Strict(BaseModel):
    """What is sent in: nothing unknown."""

    model_config = ConfigDict(extra="forbid")


class Beginning(Strict):
    """A new case."""

    title: str = Field(min_length=1, max_length=200, examples=["Mail launch, late summer"])


class Changes(Strict):
    """Fields to change, by JSON Pointer; null clears. `seen` is the version they were read at."""

    seen: int = Field(ge=0, lt=2**31)
    changes: dict[str, Any] = Field(
        max_length=200, examples=[{"/fill/run/distance": "9 300 mi", "/engine/fuel": "diesel"}]
    )


class Kept(BaseModel):
    """What became of an act: the case and its version now."""

    ref: str
    version: int


class Step(BaseModel):
    """One step of the work on a case."""

    step: str
    progress: str
    says: str


class CaseShown(BaseModel):
    """A case as entered, in the form of `case.toml`, with how far it has come."""

    ref: str
    version: int
    changed_at: str
    case: dict[str, Any]
    steps: list[Step]


class OnShelf(BaseModel):
    """One case on the shelf and the step that it waits for."""

    ref: str
    title: str
    engine: str | None
    oil: str | None
    filter: str | None
    drained: str | None
    distance_km: float | None
    waits_for: str | None
    changed_at: str


class ShelfShown(BaseModel):
    """A page of the shelf."""

    cases: list[OnShelf]


@routes.get("/cases")
def cases(
    visit: Visiting,
    q: Annotated[str, Query(max_length=200, description="Words to search for.")] = "",
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
) -> ShelfShown:
    """List the cases on the shelf, the latest changed first."""
    words, conditions = asked(q)
    question = Question(words=words, conditions=conditions, limit=limit)
    page = look_at_shelf(visit.archive, question, visit.shop.remembered)
    return ShelfShown(
        cases=[
            OnShelf(
                ref=one.found.ref,
                title=one.found.title,
                engine=one.found.engine,
                oil=one.found.oil,
                filter=one.found.filter,
                drained=one.found.drained,
                distance_km=one.found.distance_km,
                waits_for=one.waits.step.value if one.waits else None,
                changed_at=one.found.changed_at,
            )
            for one in page.cases
        ]
    )


@routes.post("/cases", status_code=201)
def begin(visit: Visiting, wanted: Beginning) -> Kept:
    """Begin a case."""
    stored = begin_case(visit.archive, wanted.title)
    return Kept(ref=stored.ref, version=stored.version)


@routes.get("/cases/{ref}")
def case(visit: Visiting, ref: Ref) -> CaseShown:
    """Return a case."""
    opened = visit.opened(ref)
    kept = opened.kept
    return CaseShown(
        ref=kept.ref,
        version=kept.version,
        changed_at=kept.changed_at,
        case=entered_of(kept.case),
        steps=[
            Step(step=one.step.value, progress=one.progress.value, says=one.says)
            for one in opened.steps
        ],
    )


@routes.patch("/cases/{ref}")
def change(visit: Visiting, ref: Ref, wanted: Changes) -> Kept:
    """Change fields of a case."""
    stored = enter_fields(visit.archive, ref, wanted.changes, seen=wanted.seen)
    return Kept(ref=stored.ref, version=stored.version)


class Reading(Strict):
    """One reading; `key` is a text of your own by which one sent twice is taken once."""

    key: str = Field(pattern="^[0-9A-Za-z-]{8,64}$", examples=["bench-2026-08-19-0001"])
    what: str = Field(max_length=100, examples=["can wall"])
    text: str = Field(max_length=60, examples=["0.38", "15.2 thou", "52 1/2 in"])
    unit: str = Field(default="mm", max_length=10)
    instrument: str = Field(default="caliper", max_length=40)


class PartNoted(Strict):
    """How a part was found; an empty text clears what was noted."""

    part: str = Field(max_length=60, examples=["gasket"])
    condition: str | None = Field(default=None, max_length=60, examples=["hard"])
    material: str | None = Field(default=None, max_length=400)
    seen: str | None = Field(default=None, max_length=4000)


@routes.post("/cases/{ref}/readings")
def reading(visit: Visiting, ref: Ref, wanted: Reading) -> Kept:
    """Take one reading of a part, exactly once for each key."""
    new = NewReading(wanted.what, wanted.text, wanted.unit, wanted.instrument)
    stored = take_reading(visit.archive, ref, new, key=wanted.key)
    return Kept(ref=stored.ref, version=stored.version)


@routes.post("/cases/{ref}/parts")
def part(visit: Visiting, ref: Ref, wanted: PartNoted) -> Kept:
    """Note how a part was found."""
    noted = wanted.model_dump(exclude={"part"}, exclude_none=True)
    stored = note_part(visit.archive, ref, wanted.part, noted)
    return Kept(ref=stored.ref, version=stored.version)


@routes.post("/cases/{ref}/bin")
def into_bin(visit: Visiting, ref: Ref) -> Kept:
    """Put a case into the bin; nothing of it is lost."""
    stored = bin_case(visit.archive, ref)
    return Kept(ref=stored.ref, version=stored.version)


@routes.post("/cases/{ref}/unbin")
def out_of_bin(visit: Visiting, ref: Ref) -> Kept:
    """Take a case out of the bin."""
    stored = unbin_case(visit.archive, ref)
    return Kept(ref=stored.ref, version=stored.version)
