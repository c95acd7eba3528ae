"""Readings off the bench: what was measured, what is doubtful, and a zero that was never read.

Doubts by `lees.quantity.readings`; one shift shared by several sizes points to the instrument.
"""

from __future__ import annotations

import math
from datetime import date

from lees.case.records import Facts
from lees.filtration.parts import measure_named
from lees.judge.findings import (
    About,
    Action,
    MeasuredRow,
    Statement,
)
from lees.judge.notes import Notes
from lees.judge.words import listed, number
from lees.quantity.measured import Measured
from lees.quantity.readings import Doubt, Instrument, Measurement, common_shift

_OF_INSTRUMENT = (Doubt.ZERO_UNKNOWN, Doubt.INSTRUMENT_ASSUMED, Doubt.SINGLE)
FARTHEST_ZERO_MM = 2.0
CHECK_HOLDS_DAYS = 366
CLAIM_TOLERANCE_MM = 0.3
"""How far a can or gasket may lie from its maker's claim (judgement)."""


def measured_row(measurement: Measurement) -> MeasuredRow:
    """Return a measurement as the letter shows it, with the range customarily found."""
    named = measure_named(measurement.what)
    low = high = source = None
    if named and named[1].usual:
        (low, high), source = named[1].usual, named[1].tag
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
        doubts=tuple(r.text for r in measurement.remarks if r.doubt not in _OF_INSTRUMENT),
    )


def note_readings(facts: Facts, notes: Notes) -> bool:
    """Note doubtful readings, and tell whether quantities off one instrument share a shift."""
    by_instrument: dict[str, list[Measurement]] = {}
    claims, shifted = size_claims(facts), False
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
        _note_zero(name, group, notes)
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
        _note_check(group[0].instrument, facts.case.fill.drained, notes)
    _note_assumed(by_instrument, notes)
    return shifted


def _note_check(instrument: Instrument, drained: date | None, notes: Notes) -> None:
    """Note that an instrument's last check lies more than a year before the oil was drained."""
    if instrument.checked is None or drained is None:
        return
    days = (drained - instrument.checked).days
    if days > CHECK_HOLDS_DAYS:
        name, day = instrument.name, instrument.checked.isoformat()
        fact = notes.fact(f"check.{name}", f"last check of the {name}", day, "the case")
        notes.state(
            Statement(
                id=f"record.check.{name}",
                about=About.RECORD,
                text=(
                    f"The {name} was last checked on {day}, more than a year before; "
                    "check it against a gauge block before its sizes are relied on."
                ),
                facts=(fact,),
                sources=("a year between checks: common practice, no source",),
            )
        )


def _note_zero(name: str, group: list[Measurement], notes: Notes) -> None:
    """Note once that nobody read an instrument's zero."""
    texts = [r.text for m in group for r in m.remarks if r.doubt is Doubt.ZERO_UNKNOWN]
    if texts:
        notes.state(
            Statement(
                id=f"record.instrument.{name}",
                about=About.RECORD,
                text=texts[0],
                facts=(notes.fact(f"instrument.{name}", name, "no sheet", "the case"),),
                sources=("JCGM 100:2008, 4.3",),
            )
        )


def _note_assumed(by_instrument: dict[str, list[Measurement]], notes: Notes) -> None:
    """Note once for all instruments whose limit of error is the customary one."""
    assumed = {
        name: group[0].instrument
        for name, group in by_instrument.items()
        if any(r.doubt is Doubt.INSTRUMENT_ASSUMED for m in group for r in m.remarks)
    }
    if assumed:
        told = [f"{name} ± {one.limit_of_error:g} {one.unit}" for name, one in assumed.items()]
        notes.state(
            Statement(
                id="record.instruments",
                about=About.RECORD,
                text=f"Customary limits of error, from memory: {listed(told)}.",
                facts=tuple(
                    notes.fact(
                        f"limit.{name}", f"limit of error of the {name}", "no sheet", "the case"
                    )
                    for name in assumed
                ),
                sources=("JCGM 100:2008, 4.3",),
            )
        )


def size_claims(facts: Facts) -> dict[str, Measured]:
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


def value_of(facts: Facts, name: str) -> Measured | None:
    """Return the value measured under a name, where it was."""
    wanted = measure_named(name)
    for measurement in facts.measured:
        if measure_named(measurement.what) == wanted:
            return measurement.value
    return None
