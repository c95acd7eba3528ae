"""Columns of several tables brought together as the samples of one report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from lees.document.columns import Slot
from lees.document.conventions import Conventions
from lees.document.dates import PrintedDate
from lees.document.facts import Facts
from lees.document.lexicon import role_words
from lees.document.tokens import folded, words_of

_NOW = frozenset(
    words_of(
        "current latest now today this newest recent aktuell aktuelle diese jetzt neueste actual "
        "actuel actuelle esta cette"
    )
)
_THEN = frozenset(
    words_of(
        "previous prior earlier before oldest older vorprobe vorherige davor alteste anterior "
        "precedent precedente last letzte"
    )
)


@dataclass(slots=True, eq=False)
class Gathered:
    """One sample so far: its columns and the facts that stand in or over them."""

    slots: list[Slot] = field(default_factory=list)
    facts: Facts = field(default_factory=Facts)

    @property
    def headings(self) -> set[str]:
        """Its headings, folded."""
        return {folded(slot.heading) for slot in self.slots if slot.heading}

    def when(self, conventions: Conventions) -> date | None:
        """Return its date where the page tells it for sure."""
        for printed in self.printed_dates():
            return printed.settled(conventions.day_order)
        return None

    def printed_dates(self) -> list[PrintedDate]:
        """Return its dates from the best place to the weakest."""
        over = [slot.date for slot in self.slots if slot.date]
        return [*self.facts.dates, *over, *self.facts.weak_dates]

    def names(self) -> list[str]:
        """Return its labels from the best place to the weakest."""
        return [*self.facts.labels, *(slot.label for slot in self.slots if slot.label)]


def gathered(tables: Sequence[Sequence[Slot]]) -> list[Gathered]:
    """Return the samples of a report from the sample columns of each of its tables."""
    found: list[Gathered] = []
    most = max((len(slots) for slots in tables), default=0)
    for slots in sorted(tables, key=lambda one: one is not None and -len(one)):
        if not slots:
            continue
        taken: list[Gathered] = []
        for at, slot in enumerate(slots):
            match = _match(slot, found, taken)
            if match is None and len(slots) == most == len(found) and not _differs(slot, found[at]):
                match = found[at] if found[at] not in taken else None
            if match is None and len(slots) == 1 and found and not _identified(slot):
                match = current(found)
            if match is None and most == 1 and len(found) == 1 and not slot.facts:
                match = found[0] if _adds(slot, found[0]) else None
            if match is None:
                match = Gathered()
                found.append(match)
            match.slots.append(slot)
            taken.append(match)
    return found


def _adds(slot: Slot, sample: Gathered) -> bool:
    """Tell whether a lone column only adds measurands to a lone sample, as a second list does."""
    known = {row.key for other in sample.slots for row in other.table.rows} - {"other"}
    return not known & {row.key for row in slot.table.rows}


def current(samples: Sequence[Gathered]) -> Gathered:
    """Return the sample that the report is about: said so, newest, or first."""
    for sample in samples:
        if any(_NOW & set(words_of(heading)) for heading in sample.headings):
            return sample
    dated = [
        (min(printed.readings), sample)
        for sample in samples
        if (dates := sample.printed_dates())
        for printed in dates[:1]
    ]
    if dated and len(dated) == len(samples):
        return max(dated, key=lambda pair: pair[0])[1]
    return samples[0]


def _match(slot: Slot, found: Sequence[Gathered], taken: Sequence[Gathered]) -> Gathered | None:
    for sample in found:
        if sample in taken:
            continue
        for other in sample.slots:
            contrary = (slot.label and other.label and slot.label != other.label) or (
                slot.date and other.date and slot.date.readings != other.date.readings
            )
            if contrary:
                continue
            same_day = slot.date and other.date and slot.date.readings == other.date.readings
            if same_day:
                return sample
            if slot.label and slot.label == other.label:
                return sample
            if (
                slot.heading
                and folded(slot.heading) == folded(other.heading)
                and not _plain(slot.heading)
            ):
                return sample
    return None


def _plain(heading: str) -> bool:
    """Tell whether a heading says no more than `result`."""
    return set(words_of(heading)) <= (role_words()["sample"] | role_words()["unit"]) - _NOW - _THEN


def _identified(slot: Slot) -> bool:
    return bool(slot.date or slot.label)


def _differs(slot: Slot, sample: Gathered) -> bool:
    """Tell whether a column says that it is another sample than the one in its place."""
    dates = [other.date.readings for other in sample.slots if other.date]
    if slot.date and dates and slot.date.readings not in dates:
        return True
    labels = [other.label for other in sample.slots if other.label]
    return bool(slot.label and labels and slot.label not in labels)
