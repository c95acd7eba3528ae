"""Look at the shelf and open a case: what is there, how far it has come, what it waits for."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from lees.archive.archive import Archive
from lees.archive.cases import KeptCase, get_case
from lees.archive.find import Found, Page, Question, find
from lees.work.steps import Answered, StepState, steps_of, waits_for

REMEMBERED = 4000


@dataclass(frozen=True, slots=True)
class Opened:
    """A case as it is worked on: what is kept, and how far each step has come."""

    kept: KeptCase
    answered: Answered
    steps: tuple[StepState, ...]


@dataclass(frozen=True, slots=True)
class OnShelf:
    """One case on the shelf and the step that it waits for."""

    found: Found
    waits: StepState | None


@dataclass(frozen=True, slots=True)
class ShelfPage:
    """A page of the shelf; `next` is where the following one starts."""

    cases: tuple[OnShelf, ...]
    next: tuple[object, ...] | None


class Remembered:
    """What each case waits for, remembered as long as the case is not changed.

    The shelf shows it for fifty cases at a time, and to find it out a case has to be opened.
    """

    def __init__(self) -> None:
        self._known: OrderedDict[tuple[str, str], StepState | None] = OrderedDict()
        self._lock = Lock()

    def waits(self, archive: Archive, found: Found) -> StepState | None:
        """Return the step that a case on the shelf waits for."""
        key = (found.ref, found.changed_at)
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
        waits = waits_for(open_case(archive, found.ref).steps)
        with self._lock:
            self._known[key] = waits
            while len(self._known) > REMEMBERED:
                self._known.popitem(last=False)
        return waits

    def forget(self, ref: str) -> None:
        """Forget a case of which something was computed, which does not change the case."""
        with self._lock:
            for key in [key for key in self._known if key[0] == ref]:
                del self._known[key]


def look_at_shelf(archive: Archive, question: Question, remembered: Remembered) -> ShelfPage:
    """Return a page of the shelf, each case with the step that it waits for."""
    page: Page = find(archive, question)
    cases = tuple(OnShelf(found, remembered.waits(archive, found)) for found in page.cases)
    return ShelfPage(cases, page.next)


def open_case(archive: Archive, ref: str) -> Opened:
    """Return a case as it is worked on; raise `NotFound`."""
    kept = get_case(archive, ref)
    answered = Answered()
    return Opened(kept, answered, steps_of(kept.case, answered))
