"""The tables of evidence over the causes, case by case: what the exact inference multiplies.

Elements and fluids by `causes_gauss`, signs and glitter by `causes_leaves`; priors as odds that the
circumstances multiply.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from lees.judge.causes_evidence import GLITTER_WORDS, Evidence, Told
from lees.judge.causes_gauss import Patterns, log_likelihoods
from lees.judge.causes_inference import Plan, Scope, plan
from lees.judge.causes_leaves import gains, log_count, noisy_max, word_shares
from lees.judge.causes_table import Table
from lees.quantity.arrays import Numbers

Flags: TypeAlias = NDArray[np.bool_]
SURE = 1e-300
TOGETHER = ("the elements", "the oil's properties")
"""Readings that are weighed as one piece for a mistake about all of them."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One piece of evidence: which table it is part of, and what leaving it out does to that.

    `scope` holds the causes that it weighs on; `log_without` the logarithm of the table without it
    over the table with it, of shape (cases, 2, …) over those causes, with no mistake at work.
    """

    name: str
    place: int
    scope: Scope
    log_without: Numbers
    told: Flags


@dataclass(frozen=True, slots=True)
class Tables:
    """All tables of a batch of cases, in the order of the plan's scopes, and the single leaves."""

    tables: list[Numbers]
    leaves: list[Leaf]


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The shape of the network: which table is over which causes; like itself alone."""

    table: Table
    plan: Plan
    elements: Scope
    fluids: Scope
    additives: Scope
    glitter: Scope
    signs: tuple[Scope, ...]
    parents: tuple[Scope, ...]

    def check_scope(self, number: int) -> Scope:
        """Return the causes that a check speaks to."""
        shows = self.table.checks[number].shows
        return tuple(i for i, cause in enumerate(self.table.causes) if cause.key in shows)


@cache
def model_of(table: Table) -> Model:
    """Return the network of a table of causes.

    Parameters
    ----------
    table : Table
        Causes, signs and checks.

    Returns
    -------
    Model
        Its scopes and the order of its sums.
    """
    causes = table.causes
    swapped = {i for i, c in enumerate(causes) if c.swapped}
    misread = {i for i, c in enumerate(causes) if c.misread}

    def scope(found: set[int]) -> Scope:
        return tuple(sorted(found))

    elements = scope({i for i, c in enumerate(causes) if c.elements} | swapped | misread)
    fluids = scope({i for i, c in enumerate(causes) if c.fluids} | swapped | misread)
    additives = scope({i for i, c in enumerate(causes) if c.additives} | swapped)
    glitter = scope({i for i, c in enumerate(causes) if c.glitter})
    signs = tuple(scope({i for i, c in enumerate(causes) if s.key in c.signs}) for s in table.signs)
    parents = tuple(
        scope({i} | {k for k, other in enumerate(causes) if cause.key in other.leads_to})
        for i, cause in enumerate(causes)
    )
    checks = tuple(
        scope({i for i, c in enumerate(causes) if c.key in check.shows}) for check in table.checks
    )
    scopes = (*parents, elements, fluids, additives, glitter, *signs, *checks)
    return Model(
        table=table,
        plan=plan(tuple(one for one in scopes if one), len(causes)),
        elements=elements,
        fluids=fluids,
        additives=additives,
        glitter=glitter,
        signs=signs,
        parents=parents,
    )


def tables_of(model: Model, cases: Sequence[Evidence]) -> Tables:
    """Return every table of evidence for a batch of cases.

    Parameters
    ----------
    model : Model
        The network.
    cases : sequence of Evidence
        What was seen in each case.

    Returns
    -------
    Tables
        Tables in the order of the plan's scopes, and the leaves one by one.
    """
    tables: list[Numbers] = [_prior(model, i, cases) for i in range(len(model.table.causes))]
    leaves: list[Leaf] = []
    for scope, leaf in (
        (model.elements, _elements),
        (model.fluids, _fluids),
        (model.additives, _additives),
        (model.glitter, _glitter),
    ):
        if scope:
            whole, pieces = leaf(model, cases, len(tables))
            tables.append(whole)
            leaves.extend(pieces)
    for number, scope in enumerate(model.signs):
        if scope:
            whole, pieces = _sign(model, number, cases, len(tables))
            tables.append(whole)
            leaves.extend(pieces)
    tables.extend(np.ones((1, *[2] * len(scope))) for scope in model.plan.scopes[len(tables) :])
    return Tables(tables, leaves)


def prior_odds(model: Model, number: int, circumstances: frozenset[str]) -> float:
    """Return by what the circumstances multiply a cause's prior odds.

    Parameters
    ----------
    model : Model
        The network.
    number : int
        The cause's number.
    circumstances : frozenset of str
        What the record tells.

    Returns
    -------
    float
        The factor [1].
    """
    odds = model.table.causes[number].odds
    return math.prod(float(odds[key]) for key in sorted(circumstances) if key in odds)


def _prior(model: Model, number: int, cases: Sequence[Evidence]) -> Numbers:
    """Return P(cause | what leads to it) for each case: noisy-or, then the circumstances' odds."""
    causes, scope = model.table.causes, model.parents[number]
    found = noisy_max(
        (1 - causes[number].prior, causes[number].prior),
        [
            (1 - causes[i].leads_to[causes[number].key], causes[i].leads_to[causes[number].key])
            for i in scope
            if i != number
        ],
    )
    factor = np.array([prior_odds(model, number, case.circumstances) for case in cases])
    raised = found[..., 1] * factor.reshape(-1, *[1] * (found.ndim - 1))
    lowered = np.broadcast_to(found[..., 0], raised.shape)
    table = np.stack([lowered, raised], axis=-1) / (lowered + raised)[..., None]
    return np.moveaxis(table, -1, 1 + scope.index(number))


def _elements(model: Model, cases: Sequence[Evidence], place: int) -> tuple[Numbers, list[Leaf]]:
    keys = model.table.elements
    scale = model.table.scale
    values = np.full((len(cases), len(keys)), np.nan)
    doubts = np.zeros_like(values)
    spread = np.empty((len(cases), len(keys), len(keys)))
    for row, case in enumerate(cases):
        own = np.empty(len(keys))
        for column, key in enumerate(keys):
            usual, own[column] = _usual(case, key, scale["own_share"])
            if key in case.log_ratio:
                values[row, column] = case.log_ratio[key] - usual
                doubts[row, column] = case.log_uncertainty[key]
        correlated = np.full((len(keys), len(keys)), scale["correlation"])
        np.fill_diagonal(correlated, 1.0)
        spread[row] = correlated * np.outer(own, own) + np.diag(doubts[row] ** 2)
    patterns = _patterns(model, model.elements, keys, kind="elements")
    swapped = np.hypot(scale["swapped_deviation"], doubts)
    misread = np.hypot(scale["misread_deviation"], doubts)
    return _block(
        _Block(model, model.elements, patterns, _element_names(keys), TOGETHER[0], place),
        values,
        spread,
        swapped,
        misread,
    )


def _usual(case: Evidence, key: str, own_share: float) -> tuple[float, float]:
    """Return where this engine's element is expected, from its own past, and the deviation.

    Its past counts for no more than one deviation of the peers: an engine that has long been ill
    is no yardstick for itself.
    """
    past = case.past.get(key, ())
    between, within = own_share * case.deviation**2, (1 - own_share) * case.deviation**2
    if not past:
        return 0.0, case.deviation
    shrink = between / (between + within / len(past))
    middle = float(np.clip(np.mean(past), -case.deviation, case.deviation))
    return shrink * middle, math.sqrt(within + between * (1 - shrink))


def _fluids(model: Model, cases: Sequence[Evidence], place: int) -> tuple[Numbers, list[Leaf]]:
    fluids = model.table.fluids
    usual = np.array([fluid.usual for fluid in fluids])
    deviation = np.array([fluid.deviation for fluid in fluids])
    values, doubts = _told([case.fluids for case in cases], [fluid.key for fluid in fluids])
    spread = np.zeros((len(cases), len(fluids), len(fluids)))
    spread[:, range(len(fluids)), range(len(fluids))] = deviation**2 + doubts**2
    far = np.hypot(model.table.scale["swapped_fluids"] * deviation, doubts)
    patterns = _patterns(model, model.fluids, [fluid.key for fluid in fluids], kind="fluids")
    names = [fluid.name for fluid in fluids]
    block = _Block(model, model.fluids, patterns, names, TOGETHER[1], place)
    return _block(block, values - usual, spread, far, 2.0 * far)


def _additives(model: Model, cases: Sequence[Evidence], place: int) -> tuple[Numbers, list[Leaf]]:
    """Return the table of the additive metals, which another oil scatters about the fresh ones."""
    table = model.table
    keys = sorted({key for case in cases for key in case.additives})
    values, doubts = _told([case.additives for case in cases], keys)
    variance = np.asarray(table.additives**2)
    for number in model.additives:
        cause = table.causes[number]
        added = table.scale["swapped_deviation"] if cause.swapped else cause.additives
        variance = np.stack([variance, variance + added**2], axis=-1)
    wide = (len(cases), *[1] * len(model.additives), len(keys))
    total = variance[None, ..., None] + doubts.reshape(wide) ** 2
    seen = values.reshape(wide)
    terms = -0.5 * (seen**2 / total + np.log(2 * math.pi * total))
    whole = _scaled(np.nansum(terms, axis=-1))
    told = np.asarray((~np.isnan(values)).any(axis=1))
    return whole, [_single("the additive metals", place, model.additives, whole, told)]


def _glitter(model: Model, cases: Sequence[Evidence], place: int) -> tuple[Numbers, list[Leaf]]:
    entry = model.table.glitter
    gain = gains([model.table.causes[i].glitter for i in model.glitter])
    shares = word_shares(gain, entry["cuts"], entry["scatter"])
    logs = np.zeros((len(cases), *gain.shape))
    told = np.zeros(len(cases), dtype=bool)
    for row, case in enumerate(cases):
        seen = case.glitter
        if seen.counted:
            count, area = np.array([seen.count]), np.array([seen.area_cm2])
            logs[row] = log_count(count, area, gain, entry)[0]
        elif seen.word in GLITTER_WORDS:
            logs[row] = np.log(shares[..., GLITTER_WORDS[seen.word]] + SURE)
        told[row] = seen.counted or seen.word in GLITTER_WORDS
    whole = _scaled(logs)
    return whole, [_single("bright metal on the media", place, model.glitter, whole, told)]


def _sign(
    model: Model, number: int, cases: Sequence[Evidence], place: int
) -> tuple[Numbers, list[Leaf]]:
    sign, scope = model.table.signs[number], model.signs[number]
    shares = noisy_max(sign.usual, [model.table.causes[i].signs[sign.key] for i in scope])
    mistaken = model.table.scale["mistaken"]
    shares = (1 - mistaken) * shares + mistaken / len(sign.levels)
    whole = np.ones((len(cases), *shares.shape[:-1]))
    told = np.zeros(len(cases), dtype=bool)
    for row, case in enumerate(cases):
        if sign.key in case.signs:
            whole[row] = shares[..., case.signs[sign.key]]
            told[row] = True
    return whole, [_single(sign.name, place, scope, whole, told)]


def _single(name: str, place: int, scope: Scope, whole: Numbers, told: Flags) -> Leaf:
    """Return the leaf of a table that holds one piece of evidence alone."""
    return Leaf(name, place, scope, -np.log(np.maximum(whole, SURE)), told)


@dataclass(frozen=True, slots=True)
class _Block:
    """Readings that causes shift together, and the causes' places in the table."""

    model: Model
    scope: Scope
    patterns: Patterns
    names: Sequence[str]
    together: str
    place: int


def _block(
    block: _Block, values: Numbers, spread: Numbers, swapped: Numbers, misread: Numbers
) -> tuple[Numbers, list[Leaf]]:
    """Return the table of jointly normal readings, and each reading's part in it.

    One more combination of all readings but one is reckoned for each reading: a misread figure
    tells nothing, and a figure's weight is what the others leave to be said.
    """
    cases, readings = values.shape
    told: Flags = ~np.isnan(values)
    left_out = np.repeat(values[None], readings + 1, axis=0)
    for column in range(readings):
        left_out[column + 1, :, column] = np.nan
    wanted = np.concatenate([np.ones((1, cases), dtype=bool), told.T])
    logs = np.zeros((readings + 1, cases, *[2] * len(block.patterns.middle)))
    case_of = np.nonzero(wanted)[1]
    logs[wanted] = log_likelihoods(left_out[wanted], spread[case_of], block.patterns)
    logs[1:][~told.T] = np.broadcast_to(logs[0], logs[1:].shape)[~told.T]
    elsewhere = _log_normal(values, misread)
    other = _log_normal(values, swapped)
    share = block.model.table.scale["misread_share"]
    count = np.maximum(told.sum(axis=1), 1)
    wide = (readings, cases, *[1] * len(block.patterns.middle))
    slipped = logs[1:] + np.where(told.T, elsewhere.T, -np.inf).reshape(wide)
    top = np.maximum(slipped.max(axis=0), logs[0])
    mixed = (1 - share) * np.exp(logs[0] - top) + share * np.exp(slipped - top).sum(
        axis=0
    ) / count.reshape(wide[1:])
    misprinted = np.where(told.any(axis=1).reshape(wide[1:]), np.log(mixed) + top, logs[0])
    whole = _scaled(_with_mistakes(block, logs[0], misprinted, other.sum(axis=1)))
    causes = block.model.table.causes
    mistakes = tuple(i for i in block.scope if causes[i].swapped or causes[i].misread)
    shifting = tuple(i for i in block.scope if i not in mistakes)
    pieces = [
        Leaf(name, block.place, shifting, logs[column + 1] - logs[0], told[:, column])
        for column, name in enumerate(block.names)
    ]
    together = _single(
        block.together, block.place, block.scope, whole, np.asarray(told.any(axis=1))
    )
    return whole, [*pieces, together]


def _with_mistakes(block: _Block, right: Numbers, misprinted: Numbers, swapped: Numbers) -> Numbers:
    """Return the table with the axes of a mixed-up bottle and of a misprint set in."""
    causes = block.model.table.causes
    found = right
    for axis, number in enumerate(block.scope, start=1):
        if causes[number].misread:
            found = np.stack([found, misprinted], axis=axis)
        elif causes[number].swapped:
            other = np.broadcast_to(swapped.reshape(-1, *[1] * (right.ndim - 1)), right.shape)
            found = np.stack([found, other], axis=axis)
            misprinted = np.stack([misprinted, other], axis=axis)
    return found


def _patterns(model: Model, scope: Scope, keys: Sequence[str], *, kind: str) -> Patterns:
    table = model.table
    found = [table.causes[i] for i in scope]
    shifting = [cause for cause in found if getattr(cause, kind)]
    return Patterns(
        shifts=np.array([[float(getattr(c, kind).get(k, 0.0)) for k in keys] for c in shifting]),
        middle=np.array([cause.severity[0] for cause in shifting]),
        deviation=np.array([cause.severity[1] for cause in shifting]),
    )


def _element_names(keys: Sequence[str]) -> list[str]:
    from lees.quantity.measurands import measurand

    return [measurand(key).name.lower() for key in keys]


def _told(told: Sequence[object], keys: Sequence[str]) -> tuple[Numbers, Numbers]:
    """Return values and doubts as arrays of shape (cases, keys), NaN where nothing was told."""
    values = np.full((len(told), len(keys)), np.nan)
    doubts = np.zeros_like(values)
    for row, one in enumerate(told):
        assert isinstance(one, dict)
        for column, key in enumerate(keys):
            found = one.get(key)
            if isinstance(found, Told):
                values[row, column], doubts[row, column] = found.value, found.doubt
    return values, doubts


def _log_normal(values: Numbers, deviation: Numbers) -> Numbers:
    """Return the log-density of each reading by itself about nought, nought where there is none."""
    found = -0.5 * (values / deviation) ** 2 - np.log(deviation) - 0.5 * math.log(2 * math.pi)
    return np.nan_to_num(found)


def _scaled(logs: Numbers) -> Numbers:
    """Return exponentials scaled so that each case's largest is one."""
    top = logs.reshape(len(logs), -1).max(axis=1).reshape(-1, *[1] * (logs.ndim - 1))
    return np.asarray(np.exp(np.maximum(logs - top, -650.0)))
