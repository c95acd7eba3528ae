"""Results of reading and measuring, as the public contract has them, as a case's records."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from lees.case.records import (
    LightSeen,
    ParticleSeen,
    ParticlesSeen,
    Place,
    PleatsSeen,
    ReportRead,
    Result,
    SampleRead,
    StripSeen,
)
from lees.errors import LeesError
from lees.quantity.entry import parse_number
from lees.quantity.measurands import measurands
from lees.quantity.measured import Measured
from lees.quantity.units import convert

Json = Mapping[str, Any]


def report_read(data: Json, file: str) -> ReportRead:
    """Return a report from the JSON of `lees read`."""
    samples = tuple(_sample(sample, file) for sample in data.get("samples", ()))
    units = {key: r.unit for sample in reversed(samples) for key, r in sample.results.items()}
    advised = data.get("advised_distance")
    details = data.get("details", {})
    return ReportRead(
        file=file,
        samples=samples,
        means=_plain(details.get("reference") or data.get("reference"), units, file),
        limits=_plain(data.get("limits"), units, file),
        own_means=_plain(details.get("own_mean") or data.get("own_mean"), units, file),
        means_run_km=_in(data.get("reference_distance"), "km"),
        means_run_h=_in(data.get("reference_hours"), "h"),
        advised_distance_km=_in(advised, "km"),
        advised_hours=_in(data.get("advised_hours") or advised, "h"),
        oil=data.get("oil"),
        engine=data.get("engine"),
        warnings=tuple(data.get("warnings", ())),
    )


def particles_seen(data: Json, file: str) -> ParticlesSeen:
    """Return particles from the JSON of `lees photo particles`."""
    area = data.get("area_mm2")
    return ParticlesSeen(
        file=file,
        area_cm2=area / 100 if area else None,
        smallest_mm=data.get("smallest_mm"),
        particles=tuple(
            ParticleSeen(
                kind=particle["class"],
                diameter=Measured(
                    particle["ecd_mm"], particle["u"]["ecd_mm"], "mm", f"photograph {file}"
                ),
                feret_mm=particle["feret_mm"],
                x_mm=particle["x_mm"],
                y_mm=particle["y_mm"],
            )
            for particle in data.get("particles", ())
            if particle.get("ecd_mm") is not None
        ),
        warnings=tuple(data.get("warnings", ())),
    )


def strip_seen(data: Json, file: str) -> StripSeen | None:
    """Return a strip from the JSON of `lees photo strip`; nothing where none was measured."""
    strip = data.get("strip") or {}
    if strip.get("length_mm") is None or strip.get("width_mm") is None:
        return None
    source = f"photograph {file}"
    return StripSeen(
        file=file,
        length=Measured(strip["length_mm"], strip["u"]["length_mm"], "mm", source),
        width=Measured(strip["width_mm"], strip["u"]["width_mm"], "mm", source),
        folds=strip.get("folds"),
        warnings=tuple(data.get("warnings", ())),
    )


def pleats_seen(data: Json, file: str) -> PleatsSeen | None:
    """Return pleats from the JSON of `lees photo pleats`; nothing where there are none."""
    count = data.get("pleats")
    candidates = (count,) if count is not None else tuple(data.get("pleats_candidates") or ())
    if not candidates:
        return None
    return PleatsSeen(file=file, candidates=candidates, warnings=tuple(data.get("warnings", ())))


def light_seen(data: Json, file: str) -> LightSeen | None:
    """Return transmission from the JSON of `lees photo transmission`."""
    value = data.get("transmission")
    if value is None:
        return None
    uncertainty = (data.get("u") or {}).get("transmission", 0.0)
    return LightSeen(
        file=file,
        transmission=Measured(value, uncertainty, "1", f"photograph {file}"),
        occluded=data.get("occluded"),
        warnings=tuple(data.get("warnings", ())),
    )


def _sample(data: Json, file: str) -> SampleRead:
    day: datetime.date | None = None
    with suppress(TypeError, ValueError):
        day = datetime.date.fromisoformat(data.get("date") or "")
    return SampleRead(
        label=data.get("label"),
        date=day,
        oil_distance_km=_in(data.get("oil_distance"), "km"),
        oil_hours=_in(data.get("oil_hours"), "h"),
        engine_distance_km=_in(data.get("engine_distance"), "km"),
        grade=data.get("grade"),
        results={
            key: _result(result, file)
            for key, result in data.get("results", {}).items()
            if key in measurands()
        },
    )


def _result(data: Json, file: str) -> Result:
    value, text = data.get("value"), str(data.get("text") or "")
    box = data.get("box")
    return Result(
        value=float(value) if value is not None else 0.0,
        unit=data["unit"] or "1",  # a viscosity index is printed as a bare number
        step=_step(text, value),
        qualifier=data.get("qualifier"),
        text=text,
        method=data.get("method"),
        confidence=data.get("confidence", 1.0),
        review=data.get("review", False),
        place=Place(file, data.get("page"), tuple(box) if box else None),
    )


def _step(text: str, value: float | None) -> float:
    """Return one unit of the last digit printed, by which a result was rounded."""
    number = text.strip(" <>*+=≤≥")
    with suppress(LeesError, ValueError, IndexError):
        return float(parse_number(number.split()[0]).step)
    if value is None:
        return 0.0
    _, _, decimals = f"{value:.10g}".partition(".")
    return float(10.0 ** -len(decimals))


def _plain(data: Any, units: Mapping[str, str], file: str) -> dict[str, Result]:
    """Return means or limits, which the contract gives as bare numbers in the samples' unit."""
    found = {}
    for key, value in (data or {}).items():
        if key not in measurands():
            continue
        if isinstance(value, Mapping):
            if value.get("value") is not None:
                found[key] = _result(
                    {"unit": units.get(key, measurands()[key].unit), **value}, file
                )
        elif isinstance(value, int | float):
            unit = units.get(key, measurands()[key].unit)
            found[key] = Result(float(value), unit, _step("", value), place=Place(file))
    return found


def _in(data: Any, unit: str) -> float | None:
    if not data or data.get("value") is None:
        return None
    with suppress(LeesError):
        return convert(float(data["value"]), data["unit"], unit)
    return None
