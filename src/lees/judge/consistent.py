"""Whether the values of one report agree with each other, or one is misprinted or misread.

ASTM D2161, ASTM D2270 and the make-up of zinc dithiophosphate, by `lees.oil.consistency`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from lees.errors import LeesError
from lees.judge.findings import About, Action, Statement
from lees.judge.likelihood import likelihood
from lees.judge.notes import Notes
from lees.judge.reported import Known
from lees.judge.words import inside, listed, number
from lees.oil.consistency import (
    Consistency,
    index_against_viscosities,
    saybolt_against_kinematic,
    zinc_against_phosphorus,
)

_SOURCES = {
    "sus210": ("ASTM D2161", "straight conversion: common practice, no source"),
    "vi": ("ASTM D2270",),
    "Zn": ("zinc dithiophosphate's make-up, from memory",),
}


def note_consistency(present: Mapping[str, Known], notes: Notes) -> None:
    """Hold the values of a report against each other and note what comes of it."""
    vi = present.get("vi")
    index = vi.value.value if vi else None
    if both := _printed(present, "sus210", "kv100"):
        _note("sus210", both, lambda a, b: saybolt_against_kinematic(a, b, index=index), notes)
    if three := _printed(present, "vi", "kv40", "kv100"):
        _note("vi", three, index_against_viscosities, notes)
    if both := _printed(present, "Zn", "P"):
        _note("Zn", both, zinc_against_phosphorus, notes)


def _printed(present: Mapping[str, Known], *keys: str) -> tuple[Known, ...]:
    """Return the values of the keys, where all are there as plain numbers above zero."""
    found = tuple(present[key] for key in keys if key in present)
    usable = [one.qualifier is None and one.value.value > 0 and one.step > 0 for one in found]
    return found if len(found) == len(keys) and all(usable) else ()


def _note(
    key: str, values: tuple[Known, ...], check: Callable[..., Consistency], notes: Notes
) -> None:
    names = listed([f"{inside(one.name)} ({one.text})" for one in values])
    try:
        found = check(*(_digits(one) for one in values))
    except LeesError as error:
        notes.not_judged.append(f"Whether {names} agree: {error}")
        return
    agree = found.verdict.consistent >= 0.5
    if agree:
        text = f"{names[:1].upper()}{names[1:]} agree"
        text += f", {found.fits}." if key == "sus210" else "."
    else:
        misprint = found.verdict.misprint
        text = (
            f"{names[:1].upper()}{names[1:]} do not agree; it is {likelihood(misprint)} that one "
            "is misprinted or misread"
        )
        if found.expected is not None:
            text += f" ({number(found.expected)} would fit)"
        text += "."
        notes.checks.append(f"Ask the laboratory which is right: {names}.")
    notes.state(
        Statement(
            id=f"oil.agree.{key}",
            about=About.OIL if key != "Zn" else About.RECORD,
            text=text,
            action=Action.CARRY_ON if agree else Action.LOOK_CLOSER,
            facts=tuple(notes.reported(one) for one in values),
            formula=found.check,
            sources=_SOURCES[key],
        )
    )


def _digits(known: Known) -> str:
    """Return a value with the digits that were printed of it, in the measurand's unit."""
    decimals = max(0, round(-math.log10(known.step)))
    return f"{known.value.value:.{decimals}f}"
