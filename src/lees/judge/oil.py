"""Is the oil still doing its work: viscosity in grade, changes since fresh, what got in.

SAE J300 for the grade, ASTM D2161 to hold Saybolt seconds against the viscosity at 100 °C,
ISO 4259-2 for what a single result can prove.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lees.errors import LeesError
from lees.judge.consistent import note_consistency
from lees.judge.findings import About, Action, OilCondition, PropertyRow, Statement
from lees.judge.likelihood import likelihood
from lees.judge.notes import Notes
from lees.judge.reported import Known, OilKnown
from lees.judge.words import exactly, number
from lees.oil.grades import InGrade, grade, kv100_from_seconds, probability_in_grade
from lees.quantity.measurands import measurands
from lees.quantity.measured import Measured

J300 = "SAE J300, January 2015, table 1"
ASSUMED_INDEX = 155.0
PROPERTIES = (
    "kv100", "kv40", "vi", "sus210", "sus100f", "flash", "bn", "an", "fuel", "water", "glycol",
    "soot", "insolubles", "oxidation", "nitration", "sulfation",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A ceiling for something that gets into the oil, in the measurand's unit, and who says so."""

    key: str
    look_closer: float
    act_now: float
    source: str


CEILINGS = (
    Ceiling("fuel", 2.0, 5.0, "common practice, no source"),
    Ceiling("water", 0.1, 0.3, "common practice, no source"),
    Ceiling("glycol", 0.0, 0.05, "common practice, no source"),
    Ceiling("soot", 2.0, 4.0, "common practice, no source"),
    Ceiling("insolubles", 0.6, 1.0, "common practice, no source"),
)


def oil_condition(
    oil: OilKnown, name: str | None, grade_name: str | None, notes: Notes
) -> OilCondition:
    """Return the oil's condition and note what it says.

    The grade is left out, with a note, where it is not one of SAE J300.
    """
    found = _grade(oil, grade_name, notes)
    note_consistency(oil.present, notes)
    _changes(oil, notes)
    _ceilings(oil.present, notes)
    return OilCondition(
        name=name,
        grade=found.grade.name if found else grade_name,
        properties=tuple(_row(key, oil, found) for key in PROPERTIES if key in oil.present),
        in_grade=found.within if found else None,
        below_grade=found.below if found else None,
        above_grade=found.above if found else None,
        grade_low_mm2_s=found.grade.kv100_min_mm2_s if found else None,
        grade_high_mm2_s=found.grade.kv100_max_mm2_s if found else None,
        grade_source=J300 if found else None,
    )


def _row(key: str, oil: OilKnown, found: InGrade | None) -> PropertyRow:
    used, fresh = oil.present[key], oil.fresh.get(key)
    limits: tuple[float | None, float | None] = (None, None)
    if key == "kv100" and found:
        limits = (found.grade.kv100_min_mm2_s, found.grade.kv100_max_mm2_s)
    high = next((c.look_closer for c in CEILINGS if c.key == key), limits[1])
    return PropertyRow(
        key=key,
        name=measurands()[key].name,
        value=used.value,
        text=used.text,
        method=used.method,
        fresh=fresh.value if fresh else None,
        fresh_method=fresh.method if fresh else None,
        low=limits[0],
        high=high,
        note="; ".join(used.remarks) or ("look at the report again" if used.review else None),
    )


def _grade(oil: OilKnown, grade_name: str | None, notes: Notes) -> InGrade | None:
    if not oil.present:
        return None
    if grade_name is None:
        notes.not_judged.append("The viscosity grade: the case does not say which oil was poured.")
        return None
    try:
        viscosity, fact = _viscosity_at_100(oil.present, notes)
        if viscosity is None:
            notes.not_judged.append("The viscosity grade: the report has none near 100 °C.")
            return None
        wanted = grade(grade_name)
        found = probability_in_grade(viscosity, wanted)
    except LeesError as error:
        notes.not_judged.append(f"The viscosity grade: {error}")
        return None
    high = f" to {exactly(wanted.kv100_max_mm2_s)}" if wanted.kv100_max_mm2_s else " and above"
    band = f"{exactly(wanted.kv100_min_mm2_s)}{high} mm²/s"
    shown = f"{number(viscosity.value)} mm²/s at 100 °C"
    out = max(found.below, found.above)
    if out > 0.33:
        side = "below" if found.below > found.above else "above"
        word = likelihood(min(out, 0.98))
        why = "thinned by fuel or sheared down" if side == "below" else "thickened"
        text = f"At {shown} it is {word} that the oil is {side} {wanted.name} ({band}): {why}."
        action = Action.LOOK_CLOSER
    else:
        word = likelihood(min(found.within, 0.98))
        text = f"At {shown} it is {word} that the oil is still in grade {wanted.name} ({band})."
        action = Action.CARRY_ON
    notes.state(
        Statement(
            id="oil.grade",
            about=About.OIL,
            text=text,
            action=action,
            facts=(fact,),
            formula="true viscosity normal about the result with s = R/2.77",
            sources=(J300, "ISO 4259-1:2017", viscosity.source),
        )
    )
    return found


def _viscosity_at_100(present: Mapping[str, Known], notes: Notes) -> tuple[Measured | None, str]:
    if "kv100" in present:
        return present["kv100"].value, notes.reported(present["kv100"])
    if "sus210" in present:
        seconds = present["sus210"]
        index = present["vi"].value.value if "vi" in present else ASSUMED_INDEX
        return kv100_from_seconds(seconds.value, viscosity_index=index), notes.reported(seconds)
    return None, ""


def _changes(oil: OilKnown, notes: Notes) -> None:
    present, fresh = oil.present, oil.fresh
    for key in ("kv100", "kv40"):
        if key in present and key in fresh and fresh[key].value.value > 0:
            used, new = present[key], fresh[key]
            change = used.value.value / new.value.value - 1
            direction = "thinner" if change < 0 else "thicker"
            at = "100" if key == "kv100" else "40"
            text = (
                f"The oil is {abs(change) * 100:.0f} % {direction} at {at} °C "
                f"than when fresh ({new.text} to {used.text})."
            )
            notes.state(
                Statement(
                    id=f"oil.{key}.change",
                    about=About.OIL,
                    text=text,
                    action=Action.CARRY_ON,
                    facts=(notes.reported(used), notes.reported(new, fresh=True)),
                    formula="ν used / ν fresh − 1",
                    sources=(new.origin,),
                )
            )
            break


def _ceilings(present: Mapping[str, Known], notes: Notes) -> None:
    for ceiling in CEILINGS:
        used = present.get(ceiling.key)
        if used is None or used.qualifier in ("<", "absent"):
            continue
        trace = used.qualifier == "trace"
        value = used.value.value
        if not trace and value <= ceiling.look_closer:
            continue
        if trace and ceiling.key != "glycol":
            continue
        action = Action.ACT_NOW if value > ceiling.act_now else Action.LOOK_CLOSER
        text = (
            f"{used.name} of {used.text} is above the {exactly(ceiling.look_closer)} % at which "
            "one looks closer."
            if ceiling.look_closer
            else f"{used.name} was found ({used.text}); none should be there."
        )
        notes.state(
            Statement(
                id=f"oil.{ceiling.key}",
                about=About.OIL,
                text=text,
                action=action,
                facts=(notes.reported(used),),
                formula=f"{ceiling.key} > {exactly(ceiling.look_closer)} {used.value.unit}",
                sources=(ceiling.source,),
            )
        )
