"""The fields of the service record: what each asks, where it is kept, and how it is entered."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from lees.archive.changes import ABSENT, value_at
from lees.errors import WrongEntry
from lees.work.enter import WrongField


class Kind(StrEnum):
    """How a field is entered."""

    TEXT = "text"
    PROSE = "prose"
    LINES = "lines"
    DAY = "day"
    WHOLE = "whole"
    NUMBER = "number"
    CHOICE = "choice"
    TICK = "tick"


@dataclass(frozen=True, slots=True)
class Field:
    """One field: where it is kept (a JSON Pointer), what it asks, and an example of an answer."""

    path: str
    label: str
    hint: str = ""
    kind: Kind = Kind.TEXT
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Fields that belong together; those in `more` are asked less often."""

    name: str
    title: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...] = ()


_FUELS = (("petrol", "petrol"), ("diesel", "diesel"), ("gas", "gas"), ("other", "other"))
_SIGNS = (("point", "a point: 1.5"), ("comma", "a comma: 1,5"))
_SOURCES = (
    ("data sheet", "a data sheet"),
    ("same laboratory", "a fresh sample, same laboratory"),
    ("other laboratory", "a fresh sample, other laboratory"),
)
_TAKEN = (("hot", "hot, engine just stopped"), ("cold", "cold"))

SERVICE = (
    FieldGroup(
        "engine",
        "The engine",
        (
            Field("/engine/name", "Which engine", "A name that you will know it by again."),
            Field(
                "/engine/family",
                "Its family",
                "Engines alike enough to be compared, in your own words: harbour four.",
            ),
            Field("/engine/fuel", "Fuel", kind=Kind.CHOICE, choices=_FUELS),
            Field("/engine/sump", "Oil in the sump, with filter", "5.2 L, or 5 1/2 qt"),
        ),
        (
            Field("/engine/displacement", "Displacement", "2.2 L, or 134 in³"),
            Field("/engine/cylinders", "Cylinders", kind=Kind.WHOLE),
            Field("/engine/induction", "Induction", "Naturally aspirated, turbocharged …"),
            Field("/engine/valve_train", "Valve train", "Overhead cam, roller followers …"),
            Field("/engine/maker_interval/distance", "Maker's interval, distance", "12 000 km"),
            Field("/engine/maker_interval/hours", "Maker's interval, hours", "250 h"),
            Field("/engine/maker_interval/months", "Maker's interval, months", kind=Kind.NUMBER),
            Field("/engine/warranty_until", "Under warranty until", kind=Kind.DAY),
        ),
    ),
    FieldGroup(
        "fill",
        "This fill",
        (
            Field("/fill/run/distance", "How far the oil ran", "9 300 mi, or 15 000 km"),
            Field("/fill/run/hours", "or how many engine hours", "148 h"),
            Field("/fill/poured", "Poured in", kind=Kind.DAY),
            Field("/fill/drained", "Drained", kind=Kind.DAY),
        ),
        (
            Field("/fill/engine_total/distance", "Engine's total distance", "143 900 km"),
            Field("/fill/engine_total/hours", "Engine's total hours", "2 514 h"),
            Field(
                "/fill/topped_up",
                "Topped up",
                "One a line: 0.5 L. None was added? Write 0 L.",
                Kind.LINES,
            ),
            Field("/fill/duty", "How it was used", "One a line: short trips, towing …", Kind.LINES),
            Field(
                "/fill/events",
                "What happened",
                "One a line: coolant hose changed, oil lamp flickered …",
                Kind.LINES,
            ),
            Field("/fill/notes", "Notes", kind=Kind.PROSE),
        ),
    ),
    FieldGroup(
        "oil",
        "The oil",
        (
            Field("/oil/name", "Which oil", "As on the can, or your own name for it."),
            Field("/oil/grade", "Grade", "5W-30"),
        ),
        (
            Field("/oil/fresh/source", "Fresh figures from", kind=Kind.CHOICE, choices=_SOURCES),
            Field("/oil/fresh/results/kv100", "Fresh viscosity at 100 °C", "10.4 mm²/s"),
            Field("/oil/fresh/results/kv40", "Fresh viscosity at 40 °C", "61.2 mm²/s"),
            Field("/oil/fresh/results/bn", "Fresh base number", "8.2 mgKOH/g"),
            Field("/oil/fresh/methods/bn", "by the method", "D2896 or D4739"),
            Field("/oil/fresh/results/flash", "Fresh flash point", "232 °C"),
            Field("/sample/label", "Sample's label"),
            Field("/sample/taken", "Sample taken", kind=Kind.CHOICE, choices=_TAKEN),
            Field("/sample/at", "Sample taken from", "Drain stream, dipstick tube …"),
            Field("/sample/date", "Sample taken on", kind=Kind.DAY),
        ),
    ),
    FieldGroup(
        "filter",
        "The filter",
        (
            Field("/filter/name", "Which filter", "As printed on it, or your own name for it."),
            Field("/filter/fitted", "Fitted", kind=Kind.DAY),
            Field("/filter/run/distance", "It ran", "Leave open if it ran as long as the oil."),
            Field("/filter/received", "How it came to the bench", "By post, drained, bagged …"),
        ),
        (
            Field("/filter/claims/run/distance", "Maker's claim: distance", "24 000 km"),
            Field("/filter/claims/efficiency", "Maker's claim: efficiency", "99 % at 25 µm"),
            Field("/filter/claims/media", "Maker's claim: media", "cellulose, glass …"),
            Field("/filter/claims/media_area", "Maker's claim: media area", "1 200 cm²"),
            Field("/filter/claims/bypass_opens", "Maker's claim: bypass opens", "100 kPa"),
            Field("/filter/mass_before", "Mass, drained", "361 g"),
            Field("/filter/mass_after", "Mass, as received", "384 g"),
        ),
    ),
    FieldGroup(
        "owner",
        "The owner",
        (
            Field("/owner/name", "Whose engine"),
            Field("/owner/wish/distance", "They would like to run", "20 000 km"),
        ),
        (
            Field("/owner/consent/name", "Their name may be shown", kind=Kind.TICK),
            Field("/owner/consent/pictures", "Pictures may be shown", kind=Kind.TICK),
            Field("/owner/consent/plate", "The number plate may be shown", kind=Kind.TICK),
        ),
    ),
    FieldGroup(
        "rules",
        "You, and your rules",
        (Field("/inspector/name", "Who answers", "Your name, as it stands under the letter."),),
        (
            Field("/title", "The case's title"),
            Field(
                "/decimal",
                "Figures are typed with",
                "Only asked where 1,234 could be two numbers.",
                Kind.CHOICE,
                _SIGNS,
            ),
            Field(
                "/inspector/base_number_floor/value",
                "No oil below a base number of",
                "2 mgKOH/g",
            ),
            Field("/inspector/base_number_floor/method", "by the method", "D2896 or D4739"),
            Field(
                "/inspector/risk",
                "Accepted chance of crossing a limit",
                "0.10 is one in ten.",
                Kind.NUMBER,
            ),
            Field(
                "/inspector/beyond_maker",
                "May the advice go beyond the maker's interval?",
                kind=Kind.TICK,
            ),
        ),
    ),
)

_GLITTER = tuple((word, word) for word in ("none", "a few", "some", "much"))

FIRST_CUT = (
    Field(
        "/filter/opened", "Cut open", "Cold, drained, clamped; eyes and hands protected.", Kind.TICK
    ),
    Field(
        "/filter/media/swarf_wiped",
        "Cutter's swarf wiped off before the media were pulled",
        "Sweep the cut with a magnet, wipe the rim, keep the wipe aside as your blank.",
        Kind.TICK,
    ),
    Field(
        "/filter/media/magnet",
        "What the magnet found afterwards",
        "On the media, not on the rim: nothing, a dusting, slivers …",
    ),
)

MEDIA_SEEN = (
    Field("/filter/media/glitter", "Glitter on the media", kind=Kind.CHOICE, choices=_GLITTER),
    Field("/filter/media/metal_colour", "Colour of the metal", "Bright grey, yellow, copper red …"),
    Field("/filter/media/torn", "Media torn", kind=Kind.TICK),
    Field("/filter/media/seen", "Anything else on the media", kind=Kind.PROSE),
)

_ALL = (
    *(field for group in SERVICE for field in (*group.fields, *group.more)),
    *FIRST_CUT,
    *MEDIA_SEEN,
    Field("/inspector/words", "Your own words", kind=Kind.PROSE),
)
_BY_PATH = {field.path: field for field in _ALL}


def field_at(path: str) -> Field:
    """Return the field kept at a place; raise `WrongField` where no page has one."""
    found = _BY_PATH.get(path)
    if found is None:
        raise WrongField("No page has that field.")
    return found


def understood(field: Field, text: str) -> Any:
    """Return what a form sent for a field as a case keeps it."""
    words = text.strip()
    match field.kind:
        case Kind.LINES:
            return [line.strip() for line in words.splitlines() if line.strip()]
        case Kind.TICK:
            return {"yes": True, "no": False}.get(words, "")
        case Kind.WHOLE | Kind.NUMBER if words:
            return _number(words)
        case _:
            return words


def written(field: Field, document: dict[str, Any]) -> str:
    """Return what a form shows of a field."""
    value = value_at(document, field.path)
    if value is ABSENT or value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "\n".join(_line(one) for one in value)
    return str(value)


def values_of(document: dict[str, Any]) -> dict[str, str]:
    """Return what every field shows, by its place."""
    return {path: written(field, document) for path, field in _BY_PATH.items()}


def _line(value: Any) -> str:
    """Return one line of a list; a top-up is said by its volume."""
    return str(value.get("volume", "")) if isinstance(value, dict) else str(value)


def _number(words: str) -> float | int:
    from lees.quantity.entry import parse_number

    try:
        number = parse_number(words).value
    except WrongEntry as error:
        raise WrongField(str(error)) from None
    return int(number) if number.denominator == 1 else float(number)
