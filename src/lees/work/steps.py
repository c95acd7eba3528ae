"""How far a case has come: the seven steps of the work, and which of them waits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lees.case.model import Case
from lees.filtration.parts import parts


class Step(StrEnum):
    """The steps of the work on a case, in their order."""

    SERVICE = "service"
    REPORT = "report"
    OPENING = "opening"
    MEASURING = "measuring"
    PICTURES = "pictures"
    VERDICT = "verdict"
    LETTER = "letter"


class Progress(StrEnum):
    """How far one step has come."""

    EMPTY = "not begun"
    BEGUN = "begun"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class StepState:
    """One step of one case: how far it has come, and what is there in a few words."""

    step: Step
    progress: Progress
    says: str


@dataclass(frozen=True, slots=True)
class Answered:
    """What was computed of a case: whether it was judged as it stands, when it was signed.

    `doubtful` counts values of the report that a person has not looked at yet.
    """

    judged: bool = False
    signed_at: str | None = None
    signed_stands: bool = False
    doubtful: int = 0


def steps_of(case: Case, answered: Answered) -> tuple[StepState, ...]:
    """Return the seven steps of a case, each with how far it has come."""
    return (
        _service(case),
        _report(case, answered),
        _opening(case),
        _measuring(case),
        _pictures(case),
        _verdict(answered),
        _letter(answered),
    )


def waits_for(steps: tuple[StepState, ...]) -> StepState | None:
    """Return the step that the case waits for, or nothing where all is done.

    >>> waits_for(steps_of(Case(title="Launch"), Answered())).step.value
    'service'
    """
    last = steps[-1]
    if last.progress is Progress.DONE:
        return None
    return next((one for one in steps if one.progress is not Progress.DONE), None)


def _state(step: Step, there: int, wanted: int, says: str) -> StepState:
    if there == 0:
        return StepState(step, Progress.EMPTY, says)
    return StepState(step, Progress.DONE if there >= wanted else Progress.BEGUN, says)


def _service(case: Case) -> StepState:
    wanted = {
        "the engine": case.engine.name,
        "its fuel": case.engine.fuel,
        "how far the oil ran": case.fill.run,
        "when it was drained": case.fill.drained,
        "the oil": case.oil.name or case.oil.grade,
    }
    missing = [name for name, value in wanted.items() if not value]
    says = f"open: {', '.join(missing)}" if missing else "what ran, and how far"
    return _state(Step.SERVICE, len(wanted) - len(missing), len(wanted), says)


def _report(case: Case, answered: Answered) -> StepState:
    report = case.report
    if report is None or not (report.file or report.results):
        return StepState(Step.REPORT, Progress.EMPTY, "no report yet")
    if answered.doubtful:
        many = answered.doubtful
        says = f"{many} value{'s' if many > 1 else ''} to look at"
        return StepState(Step.REPORT, Progress.BEGUN, says)
    return StepState(Step.REPORT, Progress.DONE, "read" if report.file else "typed by hand")


def _opening(case: Case) -> StepState:
    found = case.filter
    judged = {seen.part.casefold() for seen in found.parts if seen.condition} if found else set()
    many = len(judged)
    if found is None or (not many and not found.opened):
        return StepState(Step.OPENING, Progress.EMPTY, "not opened yet")
    return _state(
        Step.OPENING, max(many, 1), _ENOUGH_PARTS, f"{many} of {len(parts())} parts looked at"
    )


_ENOUGH_PARTS = 6
"""With so many of the twelve parts judged the step is shown as done; few filters have all."""


def _measuring(case: Case) -> StepState:
    found = case.filter
    if found is None or not (found.measured or found.measured_file):
        return StepState(Step.MEASURING, Progress.EMPTY, "nothing measured yet")
    many = len(found.measured)
    says = f"{many} measured" if many else "readings in a file"
    if many and found.measured_file:
        says += ", and a file"
    return StepState(Step.MEASURING, Progress.DONE, says)


def _pictures(case: Case) -> StepState:
    many = len(case.picture)
    if not many:
        return StepState(Step.PICTURES, Progress.EMPTY, "no pictures yet")
    return StepState(Step.PICTURES, Progress.DONE, f"{many} picture{'s' if many > 1 else ''}")


def _verdict(answered: Answered) -> StepState:
    if answered.judged:
        return StepState(Step.VERDICT, Progress.DONE, "judged as it stands")
    return StepState(Step.VERDICT, Progress.EMPTY, "not judged yet")


def _letter(answered: Answered) -> StepState:
    if answered.signed_at is None:
        return StepState(Step.LETTER, Progress.EMPTY, "not signed")
    day = answered.signed_at[:10]
    if answered.signed_stands:
        return StepState(Step.LETTER, Progress.DONE, f"signed {day}")
    return StepState(Step.LETTER, Progress.BEGUN, f"signed {day}, changed since")
