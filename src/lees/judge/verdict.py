"""A case in, findings out: every room's evidence weighed together and answered in plain words."""

from __future__ import annotations

from lees.case.records import Facts
from lees.judge.answers import engine_answer, filter_answer, next_answer, oil_answer
from lees.judge.causes import Weighing, explanations, next_check, weigh
from lees.judge.causes_facts import evidence_of
from lees.judge.contradictions import contradictions
from lees.judge.filter import filter_found
from lees.judge.findings import (
    About,
    Action,
    Findings,
    OilCondition,
    PictureShown,
    Statement,
)
from lees.judge.fuel import note_fuel
from lees.judge.next_fill import next_fill
from lees.judge.next_fill_filter import filter_life
from lees.judge.next_fill_limits import limits_of_the_oil
from lees.judge.notes import Notes, worst
from lees.judge.oil import oil_condition
from lees.judge.reported import OilKnown, oil_known
from lees.judge.run import FillRun, fill_run
from lees.judge.wear import wear_found
from lees.judge.words import inside, listed, run_text

FORMAT = 1
CAUTIONS = (
    "Used engine oil is harmful on long or repeated contact with the skin: wear gloves, wash, "
    "and keep oily rags out of pockets.",
    "Cut cans have razor edges and springs are under load: protect the eyes and clamp the can. "
    "Never cut or open a filter that is hot or under pressure.",
    "Drain and recycle used oil and filters as local rules ask.",
    "The engine maker's schedule, the terms of a warranty, local rules and a licensed mechanic on "
    "the spot go before this letter: it is an inspection's opinion, not a guarantee.",
)
BASIS = (
    "Judged from {what}. Peers are the population means printed on the report, with a judged "
    "spread; the priors of the causes are judged too: probabilities rest on judgement, not on "
    "counted outcomes, and are given in words."
)


def verdict(facts: Facts, *, made_with: str) -> Findings:
    """Return what the evidence of a case adds up to.

    Parameters
    ----------
    facts : Facts
        All that is known of the case.
    made_with : str
        The version of Lees, for the record.

    Returns
    -------
    Findings
        The four answers, the statements behind them, and the facts behind those.

    Notes
    -----
    Pure: the same facts give the same findings. *Not for* a diagnosis in place of a mechanic.
    """
    notes = Notes()
    case = facts.case
    oil = oil_known(facts)
    run = fill_run(facts, oil.sample)
    _note_run(run, notes)
    condition = oil_condition(oil, case.oil.name, _grade_name(facts, oil), notes)
    note_fuel(oil, case.engine.fuel, notes)
    wear = wear_found(facts, oil, run, notes)
    found = filter_found(facts, notes)
    evidence = evidence_of(facts, oil, wear=wear, found=found, run=run, notes=notes)
    weighing = weigh(evidence)
    limits = limits_of_the_oil(facts, oil, condition, run=run, wear=wear, notes=notes)
    life, filling = filter_life(facts, evidence, weighing, run=run, notes=notes)
    if limits and filling is not None:
        limits = (*limits, filling)
    _thinned_by_fuel(condition, oil, notes)
    engine = engine_answer(weighing, evidence, notes)
    oil_fit = oil_answer(oil, condition, notes)
    filled = next_fill(facts, run, limits, worst([engine.action, _stops(oil_fit.action)]), notes)
    answers = (engine, oil_fit, filter_answer(found, notes), next_answer(filled))
    if not case.picture:
        notes.not_judged.append("What the media caught: there are no photographs of it.")
    return Findings(
        format=FORMAT,
        made_with=made_with,
        title=case.title,
        invented=case.invented,
        owner=case.owner.name if case.owner.consent.name else None,
        engine=case.engine.name,
        inspector=case.inspector.name,
        inspector_words=case.inspector.words,
        run=run.measured if run else None,
        run_unit=run.unit if run else None,
        dates=(
            case.fill.poured.isoformat() if case.fill.poured else None,
            case.fill.drained.isoformat() if case.fill.drained else None,
        ),
        answers=answers,
        statements=tuple(notes.statements),
        facts=tuple(notes.facts.values()),
        elements=wear.rows,
        oil=condition,
        filter=found,
        next_fill=filled,
        explanations=explanations(weighing) if evidence.weighable else (),
        checks=tuple(dict.fromkeys([*notes.checks, *_checks(weighing, engine.action)])),
        not_judged=tuple(dict.fromkeys(notes.not_judged)),
        warnings=_warnings(facts, oil, run),
        cautions=CAUTIONS,
        pictures=tuple(
            PictureShown(kept.file, kept.of.value, kept.caption or _CAPTIONS[kept.of.value])
            for kept in facts.pictures
        ),
        basis=BASIS.format(what=_judged_from(facts)),
        next_check=next_check(weighing) if evidence.weighable else None,
        filter_life=life,
    )


_CAPTIONS = {
    "media": "The media, stretched out",
    "pleats": "The pleats, from the end",
    "strip": "The whole strip of media",
    "backlit": "The media against the light",
    "microscope": "Under the microscope",
    "other": "From the bench",
}


def _note_run(run: FillRun | None, notes: Notes) -> None:
    if run is not None:
        notes.fact("run", "run of this fill", run_text(run.value, run.unit), run.source)


def _grade_name(facts: Facts, oil: OilKnown) -> str | None:
    return facts.case.oil.grade or (oil.sample.grade if oil.sample else None)


def _thinned_by_fuel(condition: OilCondition, oil: OilKnown, notes: Notes) -> None:
    """State that fuel has taken the viscosity out of grade, which is a reason to stop."""
    fuel = any(
        s.id in ("oil.fuel", "oil.flash", "oil.dilution") and s.action is not Action.CARRY_ON
        for s in notes.statements
    )
    if fuel and condition.below_grade is not None and condition.below_grade > 0.66:
        facts = tuple(f"used.{key}" for key in ("kv100", "fuel", "flash") if key in oil.present)
        notes.state(
            Statement(
                id="oil.thinned_by_fuel",
                about=About.OIL,
                text=(
                    "Fuel has taken the viscosity out of grade: change the oil and find out where "
                    "the fuel comes from before running on."
                ),
                action=Action.ACT_NOW,
                facts=facts,
                formula="below grade, and fuel or a lowered flash point",
                sources=("SAE J300", "ASTM D92, 5.3"),
            )
        )
        notes.checks.append(
            "Find where the fuel comes from: short trips, a dripping injector or a rich mixture."
        )


def _stops(action: Action) -> Action:
    """Return the engine's standing that an oil in this state gives: only a stop reaches it."""
    return action if action is Action.ACT_NOW else Action.CARRY_ON


def _checks(weighing: Weighing, action: Action) -> list[str]:
    if action is Action.CARRY_ON:
        return []
    return [
        one.cause.check
        for one in weighing
        if one.cause.about in ("engine", "record") and one.probability >= 0.1
    ][:3]


def _warnings(facts: Facts, oil: OilKnown, run: FillRun | None) -> tuple[str, ...]:
    lines = [*facts.warnings, *contradictions(facts, oil, run), *oil.remarks]
    if facts.report:
        lines.extend(f"{facts.report.file}: {line}" for line in facts.report.warnings)
    by_line: dict[str, list[str]] = {}
    for seen in facts.seen:
        for line in seen.warnings:
            by_line.setdefault(line, []).append(seen.file)
    lines.extend(f"{listed(files)}: {line}" for line, files in by_line.items())
    lines.extend(_read_with_doubt(oil))
    return tuple(dict.fromkeys(lines))


def _read_with_doubt(oil: OilKnown) -> list[str]:
    """Return the figures that were read with doubt, one line for each place they came from."""
    doubtful: dict[str, list[str]] = {}
    for known in oil.present.values():
        if known.review:
            doubtful.setdefault(known.origin, []).append(f"{inside(known.name)} {known.text}")
    return [
        f"Read with doubt ({origin}), look again: {listed(figures)}."
        for origin, figures in doubtful.items()
    ]


def _judged_from(facts: Facts) -> str:
    parts = []
    if facts.report and facts.report.samples:
        parts.append("one laboratory report")
    elif facts.case.report and facts.case.report.results:
        parts.append("results typed in")
    if facts.case.filter:
        parts.append("one filter")
    if facts.seen:
        parts.append(f"{len(facts.seen)} measured photograph{'s' if len(facts.seen) > 1 else ''}")
    return listed(parts) or "what was typed"
