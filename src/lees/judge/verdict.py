"""A case in, findings out: every room's evidence weighed together and answered in plain words."""

from __future__ import annotations

from lees.case.records import Facts
from lees.judge.answers import engine_answer, filter_answer, next_answer, oil_answer
from lees.judge.catch import large_bright
from lees.judge.causes import Evidence, Glitter, Weighed, explanations, weigh
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
from lees.judge.next_fill import limits_of_the_oil, next_fill
from lees.judge.notes import Notes, worst
from lees.judge.oil import oil_condition
from lees.judge.reported import Known, OilKnown, oil_known
from lees.judge.run import FillRun, fill_run
from lees.judge.wear import Wear, wear_found
from lees.judge.words import run_text

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
    "Judged from {what}. Peers are the population means printed on the report, with a spread that "
    "is judged; the priors of the causes are judged too. Probabilities are therefore given in "
    "words and rest on judgement, not on counted outcomes."
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
    evidence = _evidence(facts, oil, wear)
    weighed = weigh(evidence)
    limits = limits_of_the_oil(facts, oil, condition, run, notes)
    _thinned_by_fuel(condition, oil, notes)
    engine = engine_answer(weighed, evidence, notes)
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
        explanations=explanations(weighed) if _weighable(evidence) else (),
        checks=tuple(dict.fromkeys([*notes.checks, *_checks(weighed, engine.action)])),
        not_judged=tuple(dict.fromkeys(notes.not_judged)),
        warnings=_warnings(facts, oil, run),
        cautions=CAUTIONS,
        pictures=tuple(
            PictureShown(kept.file, kept.of.value, kept.caption or _CAPTIONS[kept.of.value])
            for kept in facts.pictures
        ),
        basis=BASIS.format(what=_judged_from(facts)),
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


def _evidence(facts: Facts, oil: OilKnown, wear: Wear) -> Evidence:
    case = facts.case
    counted = large_bright(facts)
    media = case.filter.media if case.filter else None
    if counted is not None:
        glitter = Glitter(count=counted[0], area_cm2=counted[1])
    else:
        glitter = Glitter(word=media.glitter if media else None)
    glycol = oil.present.get("glycol")
    return Evidence(
        log_ratio=wear.log_ratio,
        log_uncertainty=wear.log_uncertainty,
        deviation=wear.deviation,
        glitter=glitter,
        standing_out=tuple(row.name.lower() for row in wear.rows if (row.percentile or 0.0) > 0.95),
        said=" ; ".join((*case.fill.duty, *case.fill.events, case.fill.notes or "")),
        coolant_found=_found(glycol),
        swarf_wiped=media.swarf_wiped if media else None,
    )


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


def _weighable(evidence: Evidence) -> bool:
    seen = evidence.glitter
    return bool(evidence.log_ratio) or seen.count is not None or seen.word is not None


def _checks(weighed: tuple[Weighed, ...], action: Action) -> list[str]:
    if action is Action.CARRY_ON:
        return []
    return [
        one.cause.check
        for one in weighed
        if one.cause.check and one.probability >= 0.1 and one.cause.key != "ordinary"
    ][:3]


def _warnings(facts: Facts, oil: OilKnown, run: FillRun | None) -> tuple[str, ...]:
    lines = [*facts.warnings, *contradictions(facts, oil, run), *oil.remarks]
    if facts.report:
        lines.extend(f"{facts.report.file}: {line}" for line in facts.report.warnings)
    for seen in facts.seen:
        lines.extend(f"{seen.file}: {line}" for line in seen.warnings)
    lines.extend(
        f"{known.name} of {known.text} was read with doubt ({known.origin}); look at it again."
        for known in oil.present.values()
        if known.review
    )
    return tuple(dict.fromkeys(lines))


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
    return " and ".join(parts) or "what was typed"


def _found(known: Known | None) -> bool | None:
    """Tell whether something was found, where it was looked for."""
    if known is None:
        return None
    return known.qualifier not in ("absent", "<") and (
        known.qualifier == "trace" or known.value.value > 0
    )
