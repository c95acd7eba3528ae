"""What explains the evidence: all causes at once, oil and filter weighed together by Bayes' rule.

A network of some thirty causes over the evidence they leave; several may be at work, and one
explains another away (J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988). Inference is
exact. The numbers lie in `data/causes.toml` and are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import product

import numpy as np

from lees.judge.causes_evidence import Evidence, Glitter, Told
from lees.judge.causes_inference import Beliefs, Scope, beliefs, log_total
from lees.judge.causes_model import (
    SURE,
    TOGETHER,
    Leaf,
    Model,
    Tables,
    model_of,
    tables_of,
)
from lees.judge.causes_table import Cause, Table, judged_table
from lees.judge.findings import Action, Explanation, NextCheck
from lees.judge.likelihood import likelihood
from lees.judge.words import capital
from lees.quantity.arrays import Numbers

__all__ = [
    "MOST_FROM_ONE_SAMPLE",
    "ORDINARY",
    "Evidence",
    "Glitter",
    "Told",
    "Weighed",
    "Weighing",
    "explanations",
    "next_check",
    "weigh",
    "weigh_many",
]

MOST_FROM_ONE_SAMPLE = 0.98
"""No cause is more certain than this from a single sample."""
TOLD = 1.0
"""Evidence is told of from this weight on [dB]."""
HEAVIEST = 60.0
"""No piece of evidence is said to weigh more than this [dB]."""
WORTH_TELLING = 0.10
"""A cause is told of from this probability on, and open up to as much below one."""
LEAST_BITS = 0.02
"""A check that would tell less than this is not worth a word [bit]."""
_CHUNK = 4
_DECIBANS = 10 / math.log(10)

ORDINARY = Cause(
    key="ordinary",
    name="ordinary wear",
    about="engine",
    prior=1.0,
    harm=False,
    action=Action.CARRY_ON,
    severity=(0.0, 1.0),
    elements={},
    fluids={},
    glitter=0.0,
    signs={},
    additives=0.0,
    leads_to={},
    odds={},
    swapped=False,
    misread=False,
    check="",
)
"""What is left where no cause about the engine, and no mistake about its evidence, is at work."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A cause with its probability, what each piece of evidence weighs, and what was not seen.

    `weights_db` holds for each piece by how many decibans it moves the cause's odds, all the other
    evidence given; `unseen` what would be likely to show, and was not looked at.
    """

    cause: Cause
    probability: float
    weights_db: Mapping[str, float] = field(default_factory=dict)
    unseen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Weighing:
    """All causes of one case, the likeliest first, and what is worth checking.

    `harm` is the probability that at least one cause that harms the engine is at work, `harm_db`
    by how many decibans the evidence moved its odds, `ordinary` the probability that no cause about
    the engine and no mistake about its evidence is at work.
    """

    causes: tuple[Weighed, ...]
    harm: float
    harm_db: float
    ordinary: float
    checks: tuple[NextCheck, ...]

    def __iter__(self) -> Iterator[Weighed]:
        """Return the causes, the likeliest first."""
        return iter(self.causes)

    def of(self, key: str) -> Weighed:
        """Return one cause."""
        return next(one for one in self.causes if one.cause.key == key)


def weigh(evidence: Evidence, table: Table | None = None) -> Weighing:
    """Return every cause with its probability, the likeliest first.

    Parameters
    ----------
    evidence : Evidence
        What was seen.
    table : Table, optional
        Causes and numbers other than those that ship with Lees.

    Returns
    -------
    Weighing
        Probabilities, each by itself; several causes may be at work [1].

    Notes
    -----
    ``P(c | e) ∝ Π P(c_i | what leads to it) · Π P(e_k | its causes)``, summed over all
    combinations by elimination. *Valid for* causes and numbers as in the table. *Not for* certainty
    from one sample: that is held under `MOST_FROM_ONE_SAMPLE`.

    References
    ----------
    .. [1] J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, chapters 2 and 4; from
       memory.
    """
    return weigh_many([evidence], table)[0]


def weigh_many(cases: Sequence[Evidence], table: Table | None = None) -> tuple[Weighing, ...]:
    """Return the weighing of many cases, reckoned together.

    Parameters
    ----------
    cases : sequence of Evidence
        What was seen in each.
    table : Table, optional
        Causes and numbers other than those that ship with Lees.

    Returns
    -------
    tuple of Weighing
        One for each case, the same as each by itself would give.
    """
    model = model_of(judged_table() if table is None else table)
    found: list[Weighing] = []
    for start in range(0, len(cases), _CHUNK):
        found.extend(_weighed(model, cases[start : start + _CHUNK]))
    return tuple(found)


def explanations(weighing: Weighing) -> tuple[Explanation, ...]:
    """Return the causes worth telling of, with what speaks for and against each."""
    told = [one for one in weighing if one.probability >= WORTH_TELLING][:5]
    ordinary = Weighed(ORDINARY, weighing.ordinary)
    if weighing.ordinary >= WORTH_TELLING:
        told = sorted([*told, ordinary], key=lambda one: -one.probability)[:5]
    return tuple(
        Explanation(
            cause=one.cause.key,
            name=capital(one.cause.name),
            probability=min(one.probability, MOST_FROM_ONE_SAMPLE),
            likelihood=likelihood(min(one.probability, MOST_FROM_ONE_SAMPLE)),
            evidence_for=_told(one, positive=True),
            evidence_against=_told(one, positive=False),
            check=one.cause.check or None,
            not_looked_at=one.unseen,
            about=one.cause.about,
        )
        for one in told
    )


def next_check(weighing: Weighing) -> NextCheck | None:
    """Return the check that would tell most for its effort; nothing where none would tell much.

    Only checks that speak to a cause that is open, neither ruled out nor as good as known.
    """
    open_ones = {
        one.cause.key for one in weighing if WORTH_TELLING <= one.probability <= 1 - WORTH_TELLING
    }
    worth = [
        one
        for one in weighing.checks
        if one.bits >= LEAST_BITS and open_ones.intersection(one.speaks_to)
    ]
    return max(worth, key=lambda one: one.bits / one.effort_h, default=None)


def _weighed(model: Model, cases: Sequence[Evidence]) -> list[Weighing]:
    causes = model.table.causes
    tables = tables_of(model, cases)
    found = beliefs(model.plan, tables.tables)
    single = np.stack([found.marginal((i,))[:, 1] for i in range(len(causes))], axis=1)
    harm = _all_off(model, tables, found, [i for i, c in enumerate(causes) if c.harm])
    about = [i for i, c in enumerate(causes) if c.about in ("engine", "record")]
    ordinary = _all_off(model, tables, found, about)
    weights = _weights(model, cases, tables, found)
    checks = _checks(model, found)
    result = []
    for row, case in enumerate(cases):
        listed = [
            Weighed(
                cause,
                min(float(single[row, i]), MOST_FROM_ONE_SAMPLE),
                weights[row][i],
                _unseen(model, i, case),
            )
            for i, cause in enumerate(causes)
        ]
        listed.sort(key=lambda one: (-one.probability, one.cause.key))
        result.append(
            Weighing(
                tuple(listed),
                min(1 - float(harm[row]), MOST_FROM_ONE_SAMPLE),
                _DECIBANS * (_odds(1 - float(harm[row])) - _odds(_prior_harm(model))),
                float(ordinary[row]),
                tuple(one[row] for one in checks),
            )
        )
    return result


def _odds(probability: float) -> float:
    """Return the logarithm of the odds, finite for any probability."""
    return math.log(max(probability, 1e-12)) - math.log(max(1 - probability, 1e-12))


@cache
def _prior_harm(model: Model) -> float:
    """Return how likely harm is before anything is seen."""
    tables = tables_of(model, [Evidence()])
    found = beliefs(model.plan, tables.tables)
    harmful = [i for i, cause in enumerate(model.table.causes) if cause.harm]
    return 1 - float(_all_off(model, tables, found, harmful)[0])


def _all_off(model: Model, tables: Tables, found: Beliefs, numbers: list[int]) -> Numbers:
    """Return the probability that none of some causes is at work."""
    clamped = list(tables.tables)
    for number in numbers:
        scope = model.parents[number]
        keep = np.array([1.0, 0.0]).reshape(1, *[2 if v == number else 1 for v in scope])
        clamped[number] = clamped[number] * keep
    return np.clip(np.exp(log_total(model.plan, clamped) - found.log_total), 0.0, 1.0)


def _weights(
    model: Model, cases: Sequence[Evidence], tables: Tables, found: Beliefs
) -> list[list[dict[str, float]]]:
    """Return by how many decibans each piece of evidence moves each cause that it speaks to."""
    causes = model.table.causes
    weights: list[list[dict[str, float]]] = [[{} for _ in causes] for _ in cases]
    for leaf in tables.leaves:
        if not leaf.told.any():
            continue
        whole = model.plan.scopes[leaf.place]
        joint = _right(found.marginal(whole), whole, leaf.scope)
        log_other = np.log(np.maximum(joint, SURE)) + leaf.log_without
        moved = _DECIBANS * (_log_odds(joint) - _log_odds(_exponential(log_other)))
        moved = np.clip(moved, -HEAVIEST, HEAVIEST)
        mistakes = _mistakes(model, leaf)
        for row in np.flatnonzero(leaf.told).tolist():
            for column, number in enumerate(leaf.scope):
                if mistakes is None or number in mistakes:
                    weights[row][number][leaf.name] = float(moved[row, column])
    for row, case in enumerate(cases):
        for number, cause in enumerate(causes):
            for key in sorted(case.circumstances.intersection(cause.odds)):
                name = f"the record: {model.table.circumstance_names.get(key, key)}"
                weights[row][number][name] = _DECIBANS * math.log(cause.odds[key])
    return weights


def _right(joint: Numbers, whole: Scope, kept: Scope) -> Numbers:
    """Return a joint table where the causes that are not kept, the mistakes, are not at work."""
    return joint[(slice(None), *(slice(None) if i in kept else 0 for i in whole))]


def _mistakes(model: Model, leaf: Leaf) -> set[int] | None:
    """Return the mistakes that readings together tell of; the causes are told of one by one."""
    if leaf.name not in TOGETHER:
        return None
    causes = model.table.causes
    return {i for i in leaf.scope if causes[i].swapped or causes[i].misread}


def _exponential(logs: Numbers) -> Numbers:
    top = logs.reshape(len(logs), -1).max(axis=1).reshape(-1, *[1] * (logs.ndim - 1))
    return np.asarray(np.exp(logs - top))


def _log_odds(joint: Numbers) -> Numbers:
    """Return the log-odds of each cause of a joint table, of shape (cases, causes)."""
    flat = joint.reshape(len(joint), -1)
    bits = _bits(joint.ndim - 1)
    on = flat @ bits
    off = flat @ (1.0 - bits)
    return np.log(np.maximum(on, SURE)) - np.log(np.maximum(off, SURE))


@cache
def _bits(count: int) -> Numbers:
    """Return which causes are at work in each cell of a flattened table."""
    return np.array(list(product((0.0, 1.0), repeat=count)))


def _unseen(model: Model, number: int, case: Evidence) -> tuple[str, ...]:
    """Return what a cause would be likely to show and nobody looked at, the most telling first."""
    cause = model.table.causes[number]
    found = []
    for sign in model.table.signs:
        if sign.key in cause.signs and sign.key not in case.signs and sign.look:
            shown, usual = 1 - cause.signs[sign.key][0], 1 - sign.usual[0]
            if shown >= 0.25 and shown > 2 * usual:
                found.append((shown / usual, sign.look))
    if cause.glitter >= 2 and not case.glitter.seen:
        found.append((1 + cause.glitter, "the media, for bright metal"))
    if cause.elements and not case.log_ratio:
        found.append((3.0, "the elements in the oil against their peers"))
    return tuple(name for _, name in sorted(found, key=lambda one: (-one[0], one[1])))


def _checks(model: Model, found: Beliefs) -> list[list[NextCheck]]:
    """Return for each check how much it would tell about the causes it speaks to, case by case.

    The mutual information of its outcome and those causes, all the evidence given.
    """
    result = []
    for number, check in enumerate(model.table.checks):
        scope: Scope = model.check_scope(number)
        if not scope:
            continue
        joint = found.marginal(scope)
        silent: Numbers = np.full((), 1 - check.usual)
        for i in scope:
            missed = 1 - check.shows[model.table.causes[i].key]
            silent = np.stack([silent, silent * missed], axis=-1)
        mean = (joint * silent).reshape(len(joint), -1).sum(axis=1)
        inside = (joint * _entropy(silent)).reshape(len(joint), -1).sum(axis=1)
        bits = np.maximum(_entropy(mean) - inside, 0.0)
        result.append(
            [NextCheck(check.name, float(one), check.effort_h, tuple(check.shows)) for one in bits]
        )
    return result


def _entropy(p: Numbers) -> Numbers:
    """Return the entropy of a yes or no [bit]."""
    q = 1 - p
    return np.asarray(-(p * np.log2(np.maximum(p, SURE)) + q * np.log2(np.maximum(q, SURE))))


def _told(one: Weighed, *, positive: bool) -> tuple[str, ...]:
    wanted = [
        (name, weight)
        for name, weight in one.weights_db.items()
        if (weight > TOLD if positive else weight < -TOLD)
    ]
    wanted.sort(key=lambda pair: (-abs(pair[1]), pair[0]))
    return tuple(f"{name} ({_signed(weight)} dB)" for name, weight in wanted)


def _signed(weight: float) -> str:
    return f"{weight:+.0f}".replace("-", "−")
