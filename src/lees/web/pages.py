"""Pages: what each one shows, as a record of its own, and the templates that set it.

Every template gets exactly the fields of its record; a house test holds both together.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from lees.chart.numbers import grouped
from lees.web.fields import Field, FieldGroup
from lees.work.look import OnShelf
from lees.work.steps import StepState

FOLDER = Path(__file__).parent
STATIC = FOLDER / "static"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What every page has: its title, where in the house it is, who looks, and how."""

    template: ClassVar[str]
    title: str
    here: str = "shelf"
    user: str = ""
    may_write: bool = True
    signed_in: bool = False
    plain_lan: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfContext(Page):
    """The shelf."""

    template: ClassVar[str] = "shelf.html"
    cases: tuple[OnShelf, ...]
    words: str
    next_page: str | None
    binned: bool
    first_visit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CasePage(Page):
    """What every page of a case has: the case, its steps, and which of them is open."""

    ref: str
    version: int
    case_title: str
    invented: bool
    steps: tuple[StepState, ...]
    step: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceContext(CasePage):
    """The service record of a case."""

    template: ClassVar[str] = "service.html"
    groups: tuple[FieldGroup, ...]
    values: dict[str, str]
    more_open: tuple[str, ...]
    guided: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StateShown:
    """A state that a part may be found in, as its card offers it."""

    key: str
    words: str
    means: str
    sound: bool
    why: str
    by_opening: bool
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PartShown:
    """A part of the filter as its card shows it."""

    key: str
    name: str
    what: str
    states: tuple[StateShown, ...]
    found: str
    material: str
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningContext(CasePage):
    """Cutting open: what to do first, and every part."""

    template: ClassVar[str] = "opening.html"
    first_cut: tuple[Field, ...]
    media_seen: tuple[Field, ...]
    values: dict[str, str]
    parts: tuple[PartShown, ...]
    open_part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureContext:
    """One thing to measure: its readings as typed, as dots along a line, and their mean."""

    template: ClassVar[str] = "measure.html"
    ref: str
    id: str
    what: str
    part: str
    name: str
    unit: str
    instrument: str
    customary: str
    texts: tuple[str, ...]
    mean: str
    interval: str
    dots: tuple[tuple[float, bool], ...]
    middle: float | None
    says: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuringContext(CasePage):
    """Measuring: every thing to measure, the caliper's zero, and how often each is read."""

    template: ClassVar[str] = "measuring.html"
    rows: tuple[MeasureContext, ...]
    others: tuple[tuple[str, str], ...]
    zero: str
    zero_checked: str
    repeats: int
    in_file: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingContext(Page):
    """Long work that is being done, and how far it is."""

    template: ClassVar[str] = "working.html"
    says: str
    ask: str
    error: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorContext(Page):
    """What went wrong and what to do about it."""

    template: ClassVar[str] = "error.html"
    line: str
    status: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldContext:
    """What is said beside a field after it was entered."""

    template: ClassVar[str] = "field_status.html"
    id: str
    version: int | None
    error: str | None = None


def shown(page: Any, status: int = 200) -> HTMLResponse:
    """Return a page or a piece of one as a response."""
    return HTMLResponse(text_of(page), status)


def text_of(page: Any) -> str:
    """Return a page or a piece of one as HTML text."""
    template = templates().get_template(page.template)
    return template.render({one.name: getattr(page, one.name) for one in fields(page)})


@cache
def templates() -> Environment:
    """Return the templates, which escape everything and know nothing that they are not given."""
    environment = Environment(
        loader=FileSystemLoader(FOLDER / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters["day"] = lambda text: str(text)[:10]
    environment.filters["distance"] = distance
    environment.filters["section"] = section_drawing
    environment.filters["piece"] = piece
    environment.globals["field_id"] = field_id
    return environment


def piece(record: Any) -> Markup:
    """Return a piece of a page, set by its own template."""
    return Markup(text_of(record))  # noqa: S704 - the template has escaped it


def distance(km: float | None) -> str:
    """Return a distance as people say it.

    >>> distance(14966.9)
    '14\u202f967 km'
    """
    return "" if km is None else f"{grouped(round(km))} km"


def field_id(path: str) -> str:
    """Return the name that a field has in a page.

    >>> field_id("/fill/run/distance")
    'fill-run-distance'
    """
    return path.strip("/").replace("/", "-")


@cache
def section_drawing(part: str) -> Markup:
    """Return the drawing of a filter cut open, with one part brought out."""
    drawing = (STATIC / "section.svg").read_text(encoding="utf-8")
    return Markup(drawing.replace('class="section"', f'class="section at-{part}"'))  # noqa: S704
