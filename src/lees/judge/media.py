"""How much media the filter has, and whether strip and pleats agree on it.

Normalised error of ISO 13528:2015; geometry by `lees.filtration.media`.
"""

from __future__ import annotations

from lees.case.records import Facts, PleatsSeen, StripSeen
from lees.errors import LeesError
from lees.filtration.media import (
    PleatSpacing,
    agreement,
    pleat_spacing,
    pleats_area,
    strip_area,
)
from lees.judge.bench_readings import value_of
from lees.judge.findings import (
    About,
    Action,
    MediaFound,
    Statement,
)
from lees.judge.notes import Notes
from lees.judge.words import number
from lees.quantity.measured import Measured


def media_found(facts: Facts, notes: Notes, *, shifted: bool) -> MediaFound | None:
    """Return the media's area, its pleats and their spacing; nothing where none was measured."""
    strip = next((seen for seen in facts.seen if isinstance(seen, StripSeen)), None)
    pleats = next((seen for seen in facts.seen if isinstance(seen, PleatsSeen)), None)
    length = value_of(facts, "media length") or (strip.length if strip else None)
    width = value_of(facts, "media width") or (strip.width if strip else None)
    depth = value_of(facts, "media pleat depth")
    candidates = pleats.candidates if pleats else ()
    counted = value_of(facts, "media pleats")
    if counted is not None:
        candidates = (round(counted.value),)
    if not any((length, width, depth, candidates)):
        return None
    by_strip = by_pleats = agree = None
    if length and width:
        by_strip = strip_area(length, width).result.to("cm²")
    count = candidates[0] if len(candidates) == 1 else None
    if count and depth and width:
        pleated = Measured(float(count), 0.0, "1", "count")
        by_pleats = pleats_area(pleated, depth, width).result.to("cm²")
    if by_strip and by_pleats:
        agree = _agreement(by_strip, by_pleats, notes, shifted=shifted)
    elif by_strip or by_pleats:
        area = by_strip or by_pleats
        assert area is not None
        how = "length × width" if by_strip else "2 × pleats × depth × width"
        _area_statement(area, how, notes)
    spacing = _spacing(facts, count, notes)
    return MediaFound(
        area_by_strip=by_strip,
        area_by_pleats=by_pleats,
        agree=agree,
        pleats=count,
        pleats_candidates=candidates,
        spacing_outer=spacing.outer.result if spacing else None,
        spacing_inner=spacing.inner.result if spacing else None,
        length=length,
        width=width,
        depth=depth,
    )


def _spacing(facts: Facts, count: int | None, notes: Notes) -> PleatSpacing | None:
    """Return how far apart the pleats stand, where the pack's diameters were measured."""
    outer = value_of(facts, "end caps outer diameter")
    inner = value_of(facts, "centre tube outer diameter")
    thickness = value_of(facts, "media thickness")
    if not (count and outer and inner and thickness):
        return None
    try:
        found = pleat_spacing(
            Measured(float(count), 0.0, "1", "count"),
            outer_diameter=outer,
            inner_diameter=inner,
            thickness=thickness,
        )
    except LeesError as error:
        notes.not_judged.append(f"The spacing of the pleats: {error}")
        return None
    gap = found.inner_gap.result
    touching = gap.value <= 0
    text = (
        f"The pleats stand {number(found.outer.result.value, 2)} mm apart at their tips and "
        f"{number(found.inner.result.value, 2)} mm at the tube, which leaves "
        + (
            "no gap between neighbouring folds: part of the media is hidden from the oil."
            if touching
            else f"a gap of {number(gap.value, 2)} mm between neighbouring folds."
        )
    )
    notes.state(
        Statement(
            id="filter.spacing",
            about=About.FILTER,
            text=text,
            action=Action.LOOK_CLOSER if touching else Action.CARRY_ON,
            facts=(
                notes.fact("media.spacing", "pleat spacing", str(found.outer.result), "geometry"),
            ),
            formula="π · diameter / pleats; less two thicknesses",
            sources=("geometry",),
        )
    )
    return found


def _area_statement(area: Measured, how: str, notes: Notes) -> None:
    fact = notes.fact("media.area", "media area", str(area), area.source)
    notes.state(
        Statement(
            id="filter.area",
            about=About.FILTER,
            text=(
                f"The media has {number(area.value)} ± {number(area.expanded(), 2)} cm² "
                "on one face."
            ),
            facts=(fact,),
            formula=how,
            sources=("geometry",),
        )
    )


def _agreement(by_strip: Measured, by_pleats: Measured, notes: Notes, *, shifted: bool) -> bool:
    found = agreement(by_strip, by_pleats)
    facts = (
        notes.fact("media.strip", "media area by length × width", str(by_strip), by_strip.source),
        notes.fact("media.pleats", "media area by pleats", str(by_pleats), by_pleats.source),
    )
    agree = abs(found.normalised_error) <= 1
    if agree:
        verdict = "the two agree"
    elif shifted:
        verdict = "they disagree, as they must while the depth of the pleats is read off its zero"
    else:
        verdict = (
            "the two disagree by more than their errors explain: one of the readings, or the "
            "count of pleats, is wrong"
        )
    text = (
        f"The media's area is {number(by_strip.value)} cm² by length and width and "
        f"{number(by_pleats.value)} cm² by pleats; {verdict}."
    )
    notes.state(
        Statement(
            id="filter.area",
            about=About.FILTER if agree else About.RECORD,
            text=text,
            action=Action.CARRY_ON if agree else Action.LOOK_CLOSER,
            facts=facts,
            formula="2 · pleats · depth · width against length · width; E_n",
            sources=("ISO 13528:2015, 9.7 (E_n score)",),
        )
    )
    return agree
