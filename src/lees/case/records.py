"""What was read from a report, measured on a photograph or counted, as a case keeps it.

Records are filled by the acts in `work/`; they know nothing of how they were made but the name of
their source. Everything can be written as JSON and read again.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from lees.case.model import Case, PictureOf
from lees.quantity.measured import Measured
from lees.quantity.readings import Measurement


@dataclass(frozen=True, slots=True)
class Place:
    """Where a value stands: the file, the page from 1, and the box on the upright page."""

    file: str
    page: int | None = None
    box: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Result:
    """One result of a laboratory as reported; `step` is one unit of its last digit.

    `qualifier` is `<`, `>`, `trace`, `absent` or nothing. `review` asks for a person's look.
    """

    value: float
    unit: str
    step: float = 0.0
    qualifier: str | None = None
    text: str = ""
    method: str | None = None
    confidence: float = 1.0
    review: bool = False
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class SampleRead:
    """One sample of a report: its label, its date, the run of its oil, and its results."""

    label: str | None = None
    date: datetime.date | None = None
    oil_distance_km: float | None = None
    oil_hours: float | None = None
    engine_distance_km: float | None = None
    grade: str | None = None
    results: dict[str, Result] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ReportRead:
    """What was read from a laboratory's report; the first sample is the latest."""

    file: str
    samples: tuple[SampleRead, ...] = ()
    means: dict[str, Result] = field(default_factory=dict)
    limits: dict[str, Result] = field(default_factory=dict)
    own_means: dict[str, Result] = field(default_factory=dict)
    means_run_km: float | None = None
    means_run_h: float | None = None
    advised_distance_km: float | None = None
    advised_hours: float | None = None
    oil: str | None = None
    engine: str | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ParticleSeen:
    """One particle on a photograph, in the plane of the media."""

    kind: str
    diameter: Measured
    feret_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class ParticlesSeen:
    """The particles of one photograph and the area they were counted on.

    `smallest_mm` is the smallest diameter that this photograph could have shown; `area_cm2` is
    nothing where no scale was in sight.
    """

    file: str
    area_cm2: float | None
    smallest_mm: float | None
    particles: tuple[ParticleSeen, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StripSeen:
    """The stretched media as measured on a photograph."""

    file: str
    length: Measured
    width: Measured
    folds: int | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PleatsSeen:
    """The pleats as counted on a photograph; several candidates mean that it cannot tell."""

    file: str
    candidates: tuple[int, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LightSeen:
    """The share of light that backlit media let through, and the share of it that is dark."""

    file: str
    transmission: Measured
    occluded: float | None = None
    warnings: tuple[str, ...] = ()


Seen = ParticlesSeen | StripSeen | PleatsSeen | LightSeen


@dataclass(frozen=True, slots=True)
class PictureKept:
    """A photograph of the case that may be shown: its file, what it shows, its size in pixels."""

    file: str
    of: PictureOf
    caption: str | None
    width_px: int
    height_px: int


@dataclass(frozen=True, slots=True)
class Facts:
    """All that is known about one case: as typed, as read, as measured, as seen.

    `warnings` are about files that could not be used and facts that cannot be so.
    """

    case: Case
    report: ReportRead | None = None
    measured: tuple[Measurement, ...] = ()
    seen: tuple[Seen, ...] = ()
    pictures: tuple[PictureKept, ...] = ()
    warnings: tuple[str, ...] = ()
