"""What is known about one filter and the oil that ran with it, as entered at the bench.

Every part may be missing; what cannot be judged without it is said in the findings. Values are
kept as typed, with their units.
"""

from __future__ import annotations

import datetime
from enum import StrEnum
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from lees.case.fields import (
    Area,
    ArealMass,
    BaseNumber,
    Length,
    Mass,
    Offset,
    Pressure,
    Results,
    Time,
    Volume,
    decimal_sign,
)
from lees.quantity.entry import DecimalSign, parse_entry
from lees.quantity.units import is_unit, unit

Text = Annotated[str, Field(max_length=400)]
Prose = Annotated[str, Field(max_length=8000)]
Name = Annotated[str, Field(max_length=200)]


class Part(BaseModel):
    """Base of every part of a case: nothing unknown, nothing changed once made."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, populate_by_name=True, str_strip_whitespace=True
    )


class Run(Part):
    """How far a fill or a filter ran: a distance, engine hours, or both; capped by months.

    A bare text such as "9 300 mi" or "402 h" will do.
    """

    distance: Length | None = None
    hours: Time | None = None
    months: Annotated[float, Field(gt=0, le=240)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any, info: ValidationInfo) -> Any:
        if not isinstance(value, str):
            return value
        symbol = value.strip().rstrip(".").split()[-1] if value.strip() else ""
        letters = symbol.lstrip("0123456789.,'’")
        if is_unit(letters) and unit(letters).dimension.name == "time":
            if unit(letters).symbol in ("months", "years"):
                months = parse_entry(value, "time", decimal=decimal_sign(info)).to("months")
                return {"months": months}
            return {"hours": value}
        return {"distance": value}

    @property
    def distance_km(self) -> float | None:
        """The distance in kilometres."""
        return self.distance.to("km") if self.distance else None

    @property
    def engine_hours(self) -> float | None:
        """The engine hours."""
        return self.hours.to("h") if self.hours else None


class Methods(Part):
    """By which method a result was measured, where that matters, such as D2896 or D4739."""

    bn: Text | None = None
    an: Text | None = None
    flash: Text | None = None
    fuel: Text | None = None
    kv40: Text | None = None
    kv100: Text | None = None
    water: Text | None = None
    soot: Text | None = None
    insolubles: Text | None = None


class Engine(Part):
    """The unit under observation."""

    name: Name | None = None
    family: Name | None = None
    fuel: Literal["petrol", "diesel", "gas", "other"] | None = None
    displacement: Volume | None = None
    cylinders: Annotated[int, Field(ge=1, le=32)] | None = None
    induction: Text | None = None
    valve_train: Text | None = None
    sump: Volume | None = None
    materials: dict[Name, Text] = {}
    maker_interval: Run | None = None
    warranty_until: datetime.date | None = None


class Consent(Part):
    """What the owner lets be shown, item by item; nothing unless they said so."""

    name: bool = False
    pictures: bool = False
    plate: bool = False


class Owner(Part):
    """Whose engine it is."""

    name: Name | None = None
    consent: Consent = Consent()
    wish: Run | None = None


class TopUp(Part):
    """Oil added during the fill; a bare text such as "0.5 L" will do."""

    volume: Volume
    at: Run | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"volume": value} if isinstance(value, str) else value


class Fill(Part):
    """One charge of oil, from pouring to draining."""

    poured: datetime.date | None = None
    drained: datetime.date | None = None
    run: Run | None = None
    engine_total: Run | None = None
    topped_up: tuple[TopUp, ...] | None = None
    duty: tuple[Text, ...] = ()
    events: tuple[Text, ...] = ()
    notes: Prose | None = None


class Sample(Part):
    """How the oil sample was taken."""

    label: Name | None = None
    taken: Literal["hot", "cold"] | None = None
    at: Text | None = None
    date: datetime.date | None = None


class Fresh(Part):
    """The oil before it was poured: a data sheet's figures or a measured fresh sample's."""

    source: Literal["data sheet", "same laboratory", "other laboratory"] = "data sheet"
    results: Results = {}
    methods: Methods = Methods()


class Oil(Part):
    """An oil product."""

    name: Name | None = None
    grade: Name | None = None
    fresh: Fresh | None = None


class Means(Part):
    """Population means printed on a report, with their own distance and number where known."""

    results: Results = {}
    run: Run | None = None
    count: Annotated[int, Field(ge=1)] | None = None


class Report(Part):
    """The laboratory's results: a file, results typed by hand, or both; what is typed wins."""

    file: Text | None = None
    results: Results = {}
    means: Means | None = None
    methods: Methods = Methods()
    advised: Run | None = None
    remark: Prose | None = None


class Reading(Part):
    """Readings of one quantity of the specimen with one instrument."""

    what: Name
    readings: Annotated[tuple[float | str, ...], Field(min_length=1, max_length=200)]
    unit: Text = "mm"
    instrument: Annotated[Name, Field(alias="with")] = "caliper"


class PartSeen(Part):
    """One part of the specimen as the inspector found it."""

    part: Name
    material: Text | None = None
    condition: Text | None = None
    seen: Prose | None = None


class Claims(Part):
    """What the filter's maker says of it."""

    run: Run | None = None
    efficiency: Text | None = None
    media: Text | None = None
    media_area: Area | None = None
    bypass_opens: Pressure | None = None
    can_outer_diameter: Length | None = None
    can_height: Length | None = None
    gasket_outer_diameter: Length | None = None


class MediaSeen(Part):
    """The media as seen bare: words of the inspector, and what may not be counted as wear."""

    torn: bool | None = None
    condition: Text | None = None
    magnet: Text | None = None
    glitter: Literal["none", "a few", "some", "much"] | None = None
    metal_colour: Text | None = None
    swarf_wiped: bool | None = None
    areal_mass: ArealMass | None = None
    seen: Prose | None = None


class Filter(Part):
    """A filter model and the specimen on the bench."""

    name: Name | None = None
    claims: Claims = Claims()
    fitted: datetime.date | None = None
    run: Run | None = None
    received: Text | None = None
    opened: bool | None = None
    mass_before: Mass | None = None
    mass_after: Mass | None = None
    measured: tuple[Reading, ...] = ()
    measured_file: Text | None = None
    parts: tuple[PartSeen, ...] = ()
    media: MediaSeen = MediaSeen()


class InstrumentSheet(Part):
    """An instrument of the bench; what is left out is taken as customary for its kind."""

    kind: Literal["caliper", "micrometer", "rule", "tape", "scale", "counting"] | None = None
    resolution: Offset | None = None
    limit_of_error: Offset | None = None
    zero: Offset | None = None
    checked: datetime.date | None = None


class PictureOf(StrEnum):
    """What a photograph shows, which tells how it can be measured."""

    MEDIA = "media"
    PLEATS = "pleats"
    STRIP = "strip"
    BACKLIT = "backlit"
    MICROSCOPE = "microscope"
    OTHER = "other"


class Picture(Part):
    """A photograph that belongs to the case."""

    file: Text
    of: PictureOf = PictureOf.OTHER
    mm_per_px: Annotated[float, Field(gt=0, lt=1000)] | None = None
    caption: Text | None = None


class Floor(Part):
    """The base number below which the inspector lets no oil run, by the method it is meant in."""

    value: BaseNumber
    method: Text | None = None


class Costs(Part):
    """What a change costs, in any one currency: the inspector's figures for the second view.

    `early_failure` is what crossing a limit before the change is put at.
    """

    oil: Annotated[float, Field(ge=0)] = 0.0
    filter: Annotated[float, Field(ge=0)] = 0.0
    analysis: Annotated[float, Field(ge=0)] = 0.0
    early_failure: Annotated[float, Field(ge=0)] = 0.0
    currency: Annotated[str, Field(max_length=8)] = ""


class Inspector(Part):
    """Who answers, and by what rules of their own."""

    name: Name | None = None
    words: Prose | None = None
    base_number_floor: Floor | None = None
    risk: Annotated[float, Field(gt=0, lt=0.5)] = 0.10
    beyond_maker: bool = False
    next_duty: Literal["as this fill", "harder", "easier"] = "as this fill"
    costs: Costs | None = None


class Case(Part):
    """All that is known about one filter and one oil sample: the unit of work."""

    title: Annotated[str, Field(min_length=1, max_length=200)]
    invented: bool = False
    decimal: DecimalSign = DecimalSign.UNKNOWN
    engine: Engine = Engine()
    owner: Owner = Owner()
    fill: Fill = Fill()
    sample: Sample = Sample()
    oil: Oil = Oil()
    report: Report | None = None
    filter: Filter | None = None
    instruments: dict[Name, InstrumentSheet] = {}
    picture: tuple[Picture, ...] = ()
    inspector: Inspector = Inspector()

    @model_validator(mode="after")
    def _distinct_pictures(self) -> Self:
        files = [picture.file for picture in self.picture]
        for file in files:
            if files.count(file) > 1:
                raise PydanticCustomError(
                    "duplicate",
                    "the picture “{file}” is entered twice; leave one out",
                    {"file": file},
                )
        return self
