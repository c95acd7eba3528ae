"""Measuring with a caliper that types, or by hand: readings as dots, with their running mean."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Form
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from lees.chart.numbers import plain, with_interval
from lees.quantity.measured import Measured
from lees.web.pages import MeasureContext, MeasuringContext, shown, text_of
from lees.web.shop import Visiting
from lees.work.measure_part import (
    NewReading,
    Taken,
    Thing,
    check_zero,
    take_out_reading,
    take_reading,
    taken,
    things_to_measure,
)
from lees.work.steps import Step

routes = APIRouter(include_in_schema=False)
WIDTH, EDGE = 300.0, 12.0
REPEATS = 5
NOTHING = Taken()
ZERO = "zero"


class Typed(BaseModel):
    """A reading as the page sends it, with the key by which it is taken once."""

    model_config = ConfigDict(extra="forbid")

    key: str = Field(max_length=64)
    what: str = Field(max_length=100)
    text: str = Field(max_length=60)
    unit: str = Field(default="mm", max_length=10)
    instrument: str = Field(default="caliper", max_length=40)


@routes.get("/case/{ref}/measuring")
def measuring(visit: Visiting, ref: str) -> Response:
    """Show what can be measured and what was."""
    opened = visit.opened(ref)
    case = opened.kept.case
    found = taken(case)
    sheet = case.instruments.get("caliper")
    zero = sheet.zero.text if sheet and sheet.zero else ""
    checked = sheet.checked.isoformat() if sheet and sheet.checked else ""
    others = tuple(
        (what, one) for what, one in found.items() if what not in {t.what for t in things()}
    )
    return shown(
        visit.case_page(
            MeasuringContext,
            opened,
            Step.MEASURING,
            rows=tuple(row(ref, thing, found.get(thing.what, NOTHING)) for thing in things()),
            others=tuple((what, ", ".join(one.texts)) for what, one in others),
            zero=zero,
            zero_checked=checked,
            repeats=REPEATS,
            in_file=bool(case.filter and case.filter.measured_file),
        )
    )


@routes.post("/case/{ref}/readings")
def reading(visit: Visiting, ref: str, typed: Annotated[Typed, Body()]) -> dict[str, Any]:
    """Take one reading, and return the row that shows it."""
    new = NewReading(typed.what, typed.text, typed.unit, typed.instrument)
    if typed.what == ZERO:
        stored = check_zero(visit.archive, ref, new, key=typed.key)
        return {"version": stored.version, "row": None, "says": None}
    stored = take_reading(visit.archive, ref, new, key=typed.key)
    thing = next(one for one in things() if one.what == typed.what)
    now = taken(visit.opened(ref).kept.case).get(thing.what, NOTHING)
    return {
        "version": stored.version,
        "row": text_of(row(ref, thing, now)),
        "says": now.speaks_up,
    }


@routes.post("/case/{ref}/readings/out")
def out(
    visit: Visiting,
    ref: str,
    what: Annotated[str, Form(max_length=100)],
    place: Annotated[int, Form(ge=0, lt=1000)],
    text: Annotated[str, Form(max_length=60)],
) -> Response:
    """Take a reading out again."""
    take_out_reading(visit.archive, ref, what, place, text)
    return RedirectResponse(f"/case/{ref}/measuring#{row_id(what)}", 303)


def things() -> tuple[Thing, ...]:
    """Return what can be measured."""
    return things_to_measure()


def row_id(what: str) -> str:
    """Return the name of a row in the page."""
    return "m-" + what.replace(" ", "-")


def row(ref: str, thing: Thing, now: Taken) -> MeasureContext:
    """Return the row of one thing: its readings as dots, and what they give."""
    made = now.measured
    unit = "" if thing.measure.unit == "1" else thing.measure.unit
    usual = thing.measure.usual
    values = made.corrected if made else ()
    spread = _Spread(values) if values else None
    doubtful = {one.reading for one in made.remarks if one.reading is not None} if made else set()
    return MeasureContext(
        ref=ref,
        id=row_id(thing.what),
        what=thing.what,
        part=thing.part.name,
        name=thing.measure.name,
        unit=unit,
        instrument=thing.instrument,
        customary=f"{plain(usual[0])} to {plain(usual[1])} {unit}" if usual else "",
        texts=now.texts,
        mean=plain(_rounded(made.value)) if made else "",
        interval=with_interval(made.value, made.value.expanded()) if made else "",
        dots=tuple(
            (round(spread.x(value), 1), place in doubtful) for place, value in enumerate(values)
        )
        if spread
        else (),
        middle=round(spread.x(made.value.value), 1) if spread and made else None,
        says=now.speaks_up,
    )


class _Spread:
    """Where readings lie along a short line: the closest two dots of a caliper stay apart."""

    def __init__(self, values: tuple[float, ...]) -> None:
        low, high = min(values), max(values)
        least = max(abs(high) * 0.004, 1e-9)
        margin = max(0.0, (least - (high - low)) / 2)
        self.low, self.high = low - margin, high + margin

    def x(self, value: float) -> float:
        """Return the place of a value along the line."""
        share = (value - self.low) / (self.high - self.low)
        return EDGE + share * (WIDTH - 2 * EDGE)


def _rounded(value: Measured) -> float:
    """Return a mean to no more digits than its doubt leaves meaning."""
    if value.uncertainty <= 0:
        return value.value
    from math import floor, log10

    return round(value.value, max(0, 1 - floor(log10(value.uncertainty))))
