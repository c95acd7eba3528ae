"""Did the filter do its work: built well, intact, not bypassed, and what did it catch?

Media area by strip and by pleats held against each other (normalised error, ISO 13528), each
part's state by `lees.filtration.parts`, catch per area with exact Poisson limits.
"""

from __future__ import annotations

import math
from itertools import pairwise

from lees.case.model import PartSeen
from lees.case.records import Facts, LightSeen, ParticlesSeen, PleatsSeen, StripSeen
from lees.errors import LeesError
from lees.filtration.media import (
    PleatSpacing,
    agreement,
    pleat_spacing,
    pleats_area,
    strip_area,
)
from lees.filtration.parts import Bearing, measure_named, part, parts, state_named
from lees.judge.findings import (
    About,
    Action,
    Caught,
    FilterFound,
    MeasuredRow,
    MediaFound,
    PartRow,
    Statement,
)
from lees.judge.notes import Notes
from lees.judge.words import listed, number
from lees.quantity.counts import poisson_limits
from lees.quantity.measured import Measured
from lees.quantity.readings import Doubt, Measurement, common_shift

CLASSES_MM = (0.1, 0.2, 0.4, 0.6, 1.0)
FARTHEST_ZERO_MM = 2.0
CLAIM_TOLERANCE_MM = 0.3
"""How far a can or gasket may lie from its maker's claim (judgement)."""
_WORST = {
    Bearing.SOUND: Action.CARRY_ON,
    Bearing.NOTE: Action.CARRY_ON,
    Bearing.LESSENS: Action.LOOK_CLOSER,
    Bearing.DEFEATS: Action.LOOK_CLOSER,
    Bearing.ENDANGERS: Action.ACT_NOW,
}


def filter_found(facts: Facts, notes: Notes) -> FilterFound | None:
    """Return what the specimen showed and note what it says; nothing where there is none."""
    specimen = facts.case.filter
    if specimen is None:
        notes.not_judged.append("The filter: none was sent, or nothing of it was entered.")
        return None
    shifted = _readings(facts, notes)
    rows = tuple(_measured_row(measurement) for measurement in facts.measured)
    media = _media(facts, notes, shifted=shifted)
    caught = _caught(facts, notes)
    found_parts = tuple(_part_row(seen) for seen in specimen.parts)
    _parts(found_parts, notes)
    if specimen.media.torn:
        notes.state(
            Statement(
                id="filter.torn",
                about=About.FILTER,
                text="The media is torn: oil has passed unfiltered.",
                action=Action.LOOK_CLOSER,
                facts=(notes.fact("media.torn", "media", "torn", "the inspector's eye"),),
                sources=("common practice, no source",),
            )
        )
    light = next((seen for seen in facts.seen if isinstance(seen, LightSeen)), None)
    return FilterFound(
        name=specimen.name,
        measured=rows,
        parts=found_parts,
        media=media,
        caught=caught,
        transmission=light.transmission if light else None,
    )


def _measured_row(measurement: Measurement) -> MeasuredRow:
    named = measure_named(measurement.what)
    low = high = source = None
    if named:
        low, high = named[1].usual or (named[1].low, named[1].high)
        source = named[1].tag
    return MeasuredRow(
        what=measurement.what,
        value=measurement.value,
        expanded=measurement.budget.expanded(),
        readings=measurement.readings,
        instrument=measurement.instrument.name,
        zero=measurement.instrument.zero,
        low=low,
        high=high,
        range_source=source,
        doubts=tuple(remark.text for remark in measurement.remarks),
    )


def _readings(facts: Facts, notes: Notes) -> bool:
    """Note doubtful readings, and tell whether quantities off one instrument share a shift."""
    by_instrument: dict[str, list[Measurement]] = {}
    claims, shifted = _claims(facts), False
    for measurement in facts.measured:
        by_instrument.setdefault(measurement.instrument.name, []).append(measurement)
    for name, group in by_instrument.items():
        differences = [d for m in group if (d := _from_expected(m, claims)) is not None]
        shift = common_shift(differences, reach=FARTHEST_ZERO_MM) if differences else None
        if shift is not None:
            shifted = True
            shown = f"{number(abs(shift.shift.value), 2)} {shift.shift.unit}"
            side = "more" if shift.shift.value > 0 else "less"
            fact = notes.fact(
                f"shift.{name}",
                f"common shift of the {name}",
                str(shift.shift),
                f"{shift.count} quantities against what is customary",
            )
            notes.state(
                Statement(
                    id=f"record.shift.{name}",
                    about=About.RECORD,
                    text=(
                        f"All {shift.count} quantities read with the {name} are about {shown} "
                        f"{side} than is claimed or customary: the {name} was very likely not "
                        "zeroed. Read its zero, enter it, and every figure corrects itself; until "
                        "then sizes of the filter are not to be relied on."
                    ),
                    action=Action.LOOK_CLOSER,
                    facts=(fact,),
                    formula="weighted mean of (measured − claimed or customary), χ² for agreement",
                    sources=("common practice, no source (customary sizes)",),
                    weight_db=shift.evidence_db,
                )
            )
            notes.checks.append(f"Close the {name}, read its zero and enter it.")
        for measurement in group:
            for remark in measurement.remarks:
                if remark.doubt in (Doubt.FAR_FROM_FELLOWS, Doubt.IMPLAUSIBLE):
                    notes.state(
                        Statement(
                            id=f"record.{measurement.what}.{remark.doubt.name.lower()}",
                            about=About.RECORD,
                            text=remark.text,
                            action=Action.LOOK_CLOSER,
                            facts=(
                                notes.fact(
                                    f"measured.{measurement.what}",
                                    measurement.what,
                                    str(measurement.value),
                                    measurement.value.source,
                                ),
                            ),
                            sources=("NIST/SEMATECH e-Handbook, 1.3.5.17.1",),
                        )
                    )
    return shifted


def _claims(facts: Facts) -> dict[str, Measured]:
    """Return the sizes that the filter's maker claims, by the name of the measure."""
    if facts.case.filter is None:
        return {}
    claims = facts.case.filter.claims
    entries = {
        "can outer diameter": claims.can_outer_diameter,
        "can height": claims.can_height,
        "gasket outer diameter": claims.gasket_outer_diameter,
    }
    return {
        name: Measured(entry.to("mm"), CLAIM_TOLERANCE_MM / math.sqrt(3), "mm", "the maker's claim")
        for name, entry in entries.items()
        if entry is not None
    }


def _from_expected(measurement: Measurement, claims: dict[str, Measured]) -> Measured | None:
    """Return how far a measurement lies from its claim or from what is customary, where known."""
    named = measure_named(measurement.what)
    if named is None or measurement.value.unit != "mm":
        return None
    expected = next((claim for name, claim in claims.items() if measure_named(name) == named), None)
    if expected is None and named[1].usual is not None:
        low, high = named[1].usual
        expected = Measured((low + high) / 2, (high - low) / math.sqrt(12), "mm", named[1].tag)
    if expected is None:
        return None
    spread = math.hypot(expected.uncertainty, measurement.value.uncertainty)
    return Measured(measurement.value.value - expected.value, spread, "mm", measurement.what)


def _value(facts: Facts, name: str) -> Measured | None:
    wanted = measure_named(name)
    for measurement in facts.measured:
        if measure_named(measurement.what) == wanted:
            return measurement.value
    return None


def _media(facts: Facts, notes: Notes, *, shifted: bool) -> MediaFound | None:
    strip = next((seen for seen in facts.seen if isinstance(seen, StripSeen)), None)
    pleats = next((seen for seen in facts.seen if isinstance(seen, PleatsSeen)), None)
    length = _value(facts, "media length") or (strip.length if strip else None)
    width = _value(facts, "media width") or (strip.width if strip else None)
    depth = _value(facts, "media pleat depth")
    candidates = pleats.candidates if pleats else ()
    counted = _value(facts, "media pleats")
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
    outer = _value(facts, "end caps outer diameter")
    inner = _value(facts, "centre tube outer diameter")
    thickness = _value(facts, "media thickness")
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


def _part_row(seen: PartSeen) -> PartRow:
    wanted = " ".join(seen.part.casefold().replace("_", " ").split())
    key = next(
        (k for k, p in parts().items() if wanted in (k.replace("_", " "), p.name.casefold())), None
    )
    state = state_named(key, seen.condition) if key and seen.condition else None
    if key is None or state is None:
        return PartRow(
            part=part(key).name if key else seen.part,
            material=seen.material,
            condition=seen.condition,
            seen=seen.seen,
            action=Action.CARRY_ON,
            meaning="as the inspector found it; not weighed",
        )
    return PartRow(
        part=part(key).name,
        material=seen.material,
        condition=state.words,
        seen=seen.seen,
        action=_WORST[state.bearing],
        meaning=state.why or "as it should be",
    )


def _parts(rows: tuple[PartRow, ...], notes: Notes) -> None:
    for row in rows:
        fact = notes.fact(
            f"part.{row.part.lower()}",
            row.part,
            row.condition or "not described",
            "the inspector's eye",
        )
        if row.action is Action.CARRY_ON:
            continue
        notes.state(
            Statement(
                id=f"filter.part.{row.part.lower()}",
                about=About.FILTER,
                text=f"{row.part}: {row.condition} — {row.meaning}.",
                action=row.action,
                facts=(fact,),
                sources=("common practice, no source",),
            )
        )
    sound = [row.part.lower() for row in rows if row.meaning == "as it should be"]
    if sound:
        notes.state(
            Statement(
                id="filter.sound",
                about=About.FILTER,
                text=f"Found as they should be: {listed(sound)}.",
                facts=tuple(f"part.{name}" for name in sound),
                sources=("the inspector's eye",),
            )
        )


def _caught(facts: Facts, notes: Notes) -> tuple[Caught, ...]:
    found = []
    for kind in ("bright", "dark", "fibre"):
        one = _caught_of(kind, [s for s in facts.seen if isinstance(s, ParticlesSeen)])
        if one is not None:
            found.append(one)
    bright = next((one for one in found if one.kind == "bright"), None)
    if bright is not None:
        count = sum(bright.counts)
        per = count / bright.area_cm2 * 100
        fact = notes.fact(
            "caught.bright",
            "bright particles of 0.1 mm and more",
            f"{count} on {number(bright.area_cm2)} cm²",
            "counted on the photographs",
        )
        text = (
            f"{count} bright particles of 0.1 mm and more were counted on "
            f"{number(bright.area_cm2)} cm² of media, {number(per, 2)} per 100 cm²"
            + (f"; the largest is {number(bright.largest_mm, 2)} mm." if count else ".")
        )
        notes.state(
            Statement(
                id="filter.bright",
                about=About.ENGINE,
                text=text,
                action=Action.CARRY_ON,
                facts=(fact,),
                formula="count / area, exact Poisson limits",
                sources=("ISO 16232:2018 (size classes)", "chi-square limits of a Poisson count"),
            )
        )
    return tuple(found)


def _caught_of(kind: str, seen: list[ParticlesSeen]) -> Caught | None:
    usable = [one for one in seen if one.area_cm2]
    if not usable:
        return None
    area = sum(one.area_cm2 or 0.0 for one in usable)
    sizes = [p.diameter.value for one in usable for p in one.particles if p.kind == kind]
    bounds = (*CLASSES_MM, float("inf"))
    counts = tuple(sum(low <= size < high for size in sizes) for low, high in pairwise(bounds))
    limits = poisson_limits(counts)
    scale = 100.0 / area
    smallest = [one.smallest_mm for one in usable if one.smallest_mm is not None]
    return Caught(
        kind=kind,
        from_mm=CLASSES_MM,
        counts=counts,
        per_100_cm2=tuple(count * scale for count in counts),
        low=tuple(float(value) * scale for value in limits.low),
        high=tuple(float(value) * scale for value in limits.high),
        largest_mm=max(sizes, default=0.0),
        smallest_countable_mm=max(smallest, default=None),
        area_cm2=area,
    )


def large_bright(facts: Facts, *, from_mm: float = 0.2) -> tuple[int, float] | None:
    """Return how many bright particles of a size and more lie on which area, where counted.

    Parameters
    ----------
    facts : Facts
        The case's facts.
    from_mm : float
        The least diameter counted [mm].

    Returns
    -------
    tuple of int and float, or None
        The count and its area; nothing where no photograph could have shown them [1, cm²].

    References
    ----------
    .. [1] ISO 16232:2018 (counts of particles by size); the least size counted is judgement.
    """
    usable = [
        one
        for one in facts.seen
        if isinstance(one, ParticlesSeen)
        and one.area_cm2
        and (one.smallest_mm is None or one.smallest_mm <= from_mm)
    ]
    if not usable:
        return None
    count = sum(
        p.kind == "bright" and p.diameter.value >= from_mm for one in usable for p in one.particles
    )
    return count, sum(one.area_cm2 or 0.0 for one in usable)
