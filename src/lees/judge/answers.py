"""The owner's four questions, each answered in one sentence that is no louder than its evidence."""

from __future__ import annotations

import numpy as np

from lees.judge.causes import ORDINARY, Evidence, Weighed, Weighing
from lees.judge.filter import AS_IT_SHOULD_BE
from lees.judge.findings import (
    About,
    Action,
    Answer,
    FilterFound,
    NextFill,
    OilCondition,
    Statement,
)
from lees.judge.likelihood import Likelihood, likelihood
from lees.judge.notes import Notes, worst
from lees.judge.reported import OilKnown
from lees.judge.words import exactly, inside, listed, number, run_text, sentence

QUESTIONS = {
    About.ENGINE: "Is the engine healthy?",
    About.OIL: "Is the oil still doing its work?",
    About.FILTER: "Did the filter do its work?",
    About.NEXT_FILL: "How far may the next fill run?",
}
MOST_SURE = 0.98
_FILTER_SOUND = {Action.CARRY_ON: 0.92, Action.LOOK_CLOSER: 0.30, Action.ACT_NOW: 0.05}


def engine_answer(weighing: Weighing, evidence: Evidence, notes: Notes) -> Answer:
    """Return whether the engine is healthy, from the causes weighed together."""
    if not evidence.log_ratio and not evidence.glitter.seen:
        return Answer(
            About.ENGINE,
            QUESTIONS[About.ENGINE],
            "We cannot tell how the engine wears: there is neither a report with means to hold it "
            "against nor a look at the media.",
            Action.CARRY_ON,
            None,
            (),
        )
    harm = weighing.harm
    healthy = min(1.0 - harm, MOST_SURE)
    leading = next(one for one in weighing if one.cause.harm)
    harmless = _harmless(weighing)
    seen = _seen(evidence)
    if harm < 0.34:
        word = likelihood(healthy)
        link = ", though " if evidence.standing_out else ": "
        text = f"It is {word} that the engine is healthy{link}{seen}"
        if harmless.cause is not ORDINARY and harmless.probability > 0.5:
            text += f", best explained by {harmless.cause.name}"
        action = Action.CARRY_ON if harm < 0.2 else Action.LOOK_CLOSER
    else:
        word = likelihood(harm)
        share = min(leading.probability / harm, MOST_SURE) if harm else 0.0
        text = (
            f"It is {word} that something is wrong: {seen}. Of what could be wrong, "
            f"{leading.cause.name} is the {_rank(share)} explanation"
        )
        grave = [one.cause.action for one in weighing if one.cause.harm and one.probability > 0.5]
        action = worst([Action.LOOK_CLOSER, *grave])
    if not evidence.log_ratio:
        text += "; the oil itself could not be held against its peers"
    key = notes.state(
        Statement(
            id="engine.weighed",
            about=About.ENGINE,
            text=sentence(text),
            action=action,
            facts=tuple(
                fact
                for fact in notes.facts
                if fact.startswith(("used.", "mean.", "caught.", "media."))
            ),
            formula="P(causes | evidence) ∝ Π priors · Π P(evidence | its causes)",
            sources=("priors and patterns: judgement", "US TM 38-301-4 (element patterns)"),
            weight_db=weighing.harm_db,
        )
    )
    because = [s.id for s in notes.statements if s.about is About.ENGINE and s.id != key]
    return Answer(
        About.ENGINE, QUESTIONS[About.ENGINE], sentence(text), action, word, (key, *because)
    )


def _harmless(weighing: Weighing) -> Weighed:
    """Return the likeliest explanation of wear and metal that does the engine no harm."""
    told = (
        one
        for one in weighing
        if not one.cause.harm
        and (one.cause.elements or one.cause.glitter or one.cause.about == "record")
    )
    ordinary = Weighed(ORDINARY, weighing.ordinary)
    return max((ordinary, *told), key=lambda one: one.probability)


def oil_answer(oil: OilKnown, condition: OilCondition, notes: Notes) -> Answer:
    """Return whether the oil is still fit, from what was noted about it."""
    stated = [s for s in notes.statements if s.about is About.OIL]
    because = tuple(s.id for s in stated)
    if not oil.present:
        return Answer(
            About.OIL,
            QUESTIONS[About.OIL],
            "We cannot tell: there is no report on the oil.",
            Action.CARRY_ON,
            None,
            because,
        )
    action = worst([s.action for s in stated])
    bad = [s for s in stated if s.action is not Action.CARRY_ON]
    fit = condition.in_grade
    if action is Action.CARRY_ON:
        reasons = []
        if condition.in_grade is not None:
            reasons.append(f"it is in grade {condition.grade}")
        if "bn" in oil.present:
            reasons.append(f"a base number of {oil.present['bn'].text} is left")
        told = f": {listed(reasons)}" if reasons else ", as far as the report goes"
        word = likelihood(min(fit, MOST_SURE)) if fit is not None else None
        start = f"It is {word} that the oil is still fit" if word else "The oil looks fit"
        return Answer(
            About.OIL, QUESTIONS[About.OIL], sentence(f"{start}{told}"), action, word, because
        )
    out = None if fit is None else min(max(1.0 - fit, 0.0), MOST_SURE)
    word = likelihood(out) if out is not None and out > 0.33 else None
    verb = "is no longer fit" if action is Action.ACT_NOW else "has something to look at"
    first = max(bad, key=lambda s: list(Action).index(s.action))
    text = f"The oil {verb}: {first.text[:1].lower()}{first.text[1:]}"
    return Answer(About.OIL, QUESTIONS[About.OIL], sentence(text), action, word, because)


def filter_answer(found: FilterFound | None, notes: Notes) -> Answer:
    """Return whether the filter did its work, from what was seen of its parts and its media."""
    question = QUESTIONS[About.FILTER]
    stated = [s for s in notes.statements if s.about is About.FILTER]
    because = tuple(s.id for s in stated)
    doubts = [
        s
        for s in notes.statements
        if s.about is About.RECORD
        and s.action is not Action.CARRY_ON
        and not s.id.endswith("far_from_fellows")
    ]
    if found is None or not (found.parts or found.media or found.measured or found.caught):
        text = "We cannot tell: nothing of the filter was entered."
        return Answer(About.FILTER, question, text, Action.CARRY_ON, None, because)
    action = worst([s.action for s in stated])
    if not found.parts and action is Action.CARRY_ON:
        text = "Its parts were not judged; what was measured of it shows nothing amiss."
        if doubts:
            text = "Its parts were not judged, and its measurements are in doubt."
        return Answer(About.FILTER, question, text, _with(doubts, action), None, because)
    word = likelihood(_FILTER_SOUND[action])
    if action is Action.CARRY_ON:
        text = f"It is {word} that the filter did its work{_parts_in_short(found)}"
    else:
        bad = next(s for s in stated if s.action is action)
        text = f"It is {word} that the filter did all its work. {bad.text}"
    if doubts:
        text = f"{text.rstrip('.')}; some of its measurements are in doubt"
    return Answer(
        About.FILTER,
        question,
        sentence(text),
        _with(doubts, action),
        word,
        (*because, *(s.id for s in doubts)),
    )


def _parts_in_short(found: FilterFound) -> str:
    """Return how the parts were found: all sound, or which are not quite."""
    others = [p for p in found.parts if p.meaning != AS_IT_SHOULD_BE]
    named = [f"the {inside(p.part)}" + (f" ({p.condition})" if p.condition else "") for p in others]
    if len(found.parts) - len(others) < 2:
        return ""
    if not others:
        return f": all {len(found.parts)} parts looked at are as they should be"
    return f": its parts are as they should be, but for {listed(named)}"


def next_answer(filled: NextFill) -> Answer:
    """Return how far the next fill may run, with what odds."""
    question = QUESTIONS[About.NEXT_FILL]
    if filled.advised is None:
        stop = "checked" in filled.reason
        text = filled.reason if stop else f"We cannot advise a run: {filled.reason}"
        action = Action.ACT_NOW if stop else Action.LOOK_CLOSER
        return Answer(About.NEXT_FILL, question, sentence(text), action, None, ())
    length = run_text(filled.advised, filled.unit)
    months = f", or {exactly(filled.months)} months if those come first" if filled.months else ""
    shorter = filled.this_fill is not None and filled.advised < 0.95 * filled.this_fill
    text = f"Change the oil after {length}{months}"
    if (word := _odds_word(filled)) is not None:
        text += f": it is {word} that it has reached a limit by then"
    return Answer(
        About.NEXT_FILL,
        question,
        sentence(text),
        Action.LOOK_CLOSER if shorter else Action.CARRY_ON,
        word,
        tuple(f"next.{p.who.split()[1].strip(chr(39))}" for p in filled.proposals),
    )


def _odds_word(filled: NextFill) -> Likelihood | None:
    if not filled.first or filled.advised is None:
        return None
    return likelihood(float(np.interp(filled.advised, filled.runs, filled.first)))


def _rank(share: float) -> str:
    if share > 0.66:
        return "likeliest"
    return "leading, though not the only,"


def _seen(evidence: Evidence) -> str:
    """Return what the oil and the filter show, in a few words."""
    told = []
    if evidence.log_ratio:
        high = evidence.standing_out
        stands = "stands" if len(high) == 1 else "stand"
        told.append(f"{listed(high)} {stands} out in the oil" if high else "the oil is quiet")
    glitter = evidence.glitter
    if glitter.count is not None and glitter.area_cm2:
        told.append(
            f"the media holds {glitter.count or 'no'} bright particles of 0.2 mm and more on "
            f"{number(glitter.area_cm2)} cm²"
        )
    elif glitter.word is not None:
        told.append(_GLITTER[glitter.word])
    quiet_oil = evidence.log_ratio and not evidence.standing_out
    loud = glitter.word in ("some", "much") or (glitter.count or 0) > 10
    joined = ", but " if quiet_oil and loud else " and "
    return joined.join(told)


_GLITTER = {
    "none": "the media shows no metal",
    "a few": "the media shows no more than a few bright specks",
    "some": "the media glitters in places",
    "much": "the media is full of bright metal",
}


def _with(doubts: list[Statement], action: Action) -> Action:
    return worst([action, *(s.action for s in doubts)])
