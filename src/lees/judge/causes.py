"""What explains the evidence: one cause at a time, oil and filter weighed together by Bayes' rule.

The elements' logarithms over their peers' middle are jointly normal; a cause shifts them along its
own pattern by an uncertain severity. Bright metal on the media is a Poisson count whose rate is
log-normal. Priors, patterns and factors lie in `data/causes.toml` and are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from scipy.special import gammaln, logsumexp

from lees.judge.findings import Action, Explanation
from lees.judge.likelihood import likelihood
from lees.quantity.arrays import Numbers
from lees.quantity.data import table

MOST_FROM_ONE_SAMPLE = 0.98
"""No failure is more certain than this from a single sample."""
GLITTER_WORDS = {"none": 0, "a few": 1, "some": 2, "much": 3}
_NODES, _STEP = np.linspace(-8.0, 8.0, 1601, retstep=True)
"""Deviations over which a rate is integrated; a smooth integrand makes the plain sum exact."""
_WORDS_USUAL = np.log([0.50, 0.37, 0.10, 0.03])
_WORDS_SHED = np.log([0.05, 0.20, 0.35, 0.40])


@dataclass(frozen=True, slots=True)
class Cause:
    """An explanation and what it does to the evidence."""

    key: str
    name: str
    prior: float
    harm: bool
    action: Action
    shift: Mapping[str, float]
    glitter: float
    words: tuple[str, ...]
    when_said: float
    check: str


@dataclass(frozen=True, slots=True)
class Glitter:
    """Bright metal on the media: a count of 0.2 mm and more on an area, or the inspector's word."""

    count: int | None = None
    area_cm2: float | None = None
    word: str | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything that the causes are weighed by.

    `log_ratio` holds the natural logarithm of each element's content over its peers' middle,
    `log_uncertainty` the measurement's part in it, and `deviation` the peers' own.
    """

    log_ratio: Mapping[str, float]
    log_uncertainty: Mapping[str, float]
    deviation: float
    glitter: Glitter
    standing_out: tuple[str, ...]
    said: str
    coolant_found: bool | None
    swarf_wiped: bool | None


@dataclass(frozen=True, slots=True)
class Weighed:
    """A cause with its probability and what each kind of evidence weighs against ordinary wear."""

    cause: Cause
    probability: float
    weights_db: Mapping[str, float]


def weigh(evidence: Evidence) -> tuple[Weighed, ...]:
    """Return every cause with its probability, the likeliest first.

    Parameters
    ----------
    evidence : Evidence
        What was seen.

    Returns
    -------
    tuple of Weighed
        Probabilities that add up to one [1].

    Notes
    -----
    ``P(c | e) ∝ P(c) · N(y; s·p_c, Σ + τ² p_c p_cᵀ) · P(count | c) · P(said | c)`` with severity
    s ± τ along the pattern p_c, Σ the healthy engines' spread plus the measurement's. *Valid for*
    one cause at work. *Not for* several at once.

    References
    ----------
    .. [1] C. M. Bishop, Pattern Recognition and Machine Learning, 2006, 2.3.3 (linear Gaussian
       models); from memory.
    """
    known = causes()
    parts = {
        "elements": np.array([_log_elements(cause, evidence) for cause in known]),
        "metal on the media": np.array([_log_glitter(cause, evidence) for cause in known]),
        "coolant": np.array([_log_coolant(cause, evidence) for cause in known]),
        "what was said": np.array([_log_said(cause, evidence) for cause in known]),
    }
    prior = np.log([_prior(cause, evidence) for cause in known])
    joint = prior + sum(parts.values())
    posterior = np.exp(joint - logsumexp(joint))
    ordinary = next(i for i, cause in enumerate(known) if cause.key == "ordinary")
    weighed = [
        Weighed(
            cause,
            float(posterior[i]),
            {
                name: float(10 * (part[i] - part[ordinary]) / math.log(10))
                for name, part in parts.items()
            },
        )
        for i, cause in enumerate(known)
    ]
    return tuple(sorted(weighed, key=lambda one: -one.probability))


def harm_probability(weighed: tuple[Weighed, ...]) -> float:
    """Return the probability that something is wrong with the engine, short of certainty.

    Parameters
    ----------
    weighed : tuple of Weighed
        The causes with their probabilities.

    Returns
    -------
    float
        The sum over harmful causes, at most `MOST_FROM_ONE_SAMPLE` [1].
    """
    return min(MOST_FROM_ONE_SAMPLE, sum(one.probability for one in weighed if one.cause.harm))


def explanations(weighed: tuple[Weighed, ...]) -> tuple[Explanation, ...]:
    """Return the causes worth telling of, with what speaks for and against each."""
    told = [one for one in weighed if one.probability >= 0.02][:5]
    return tuple(
        Explanation(
            cause=one.cause.key,
            name=one.cause.name,
            probability=min(one.probability, MOST_FROM_ONE_SAMPLE),
            likelihood=likelihood(min(one.probability, MOST_FROM_ONE_SAMPLE)),
            evidence_for=_told(one, positive=True),
            evidence_against=_told(one, positive=False),
            check=one.cause.check or None,
        )
        for one in told
    )


@cache
def causes() -> tuple[Cause, ...]:
    """Return the causes of the table."""
    return tuple(
        Cause(
            key=key,
            name=entry["name"],
            prior=float(entry["prior"]),
            harm=entry["harm"],
            action=Action(entry["action"]),
            shift=entry.get("shift", {}),
            glitter=float(entry.get("glitter", 1.0)),
            words=tuple(entry.get("words", ())),
            when_said=float(entry.get("when_said", 1.0)),
            check=entry["check"],
        )
        for key, entry in _table()["cause"].items()
    )


def _table() -> dict[str, Any]:
    return table("judge", "causes")


def _told(one: Weighed, *, positive: bool) -> tuple[str, ...]:
    wanted = [
        (name, weight)
        for name, weight in one.weights_db.items()
        if (weight > 1.0 if positive else weight < -1.0)
    ]
    wanted.sort(key=lambda pair: -abs(pair[1]))
    return tuple(f"{name} ({weight:+.0f} dB)".replace("-", "−") for name, weight in wanted)


def _prior(cause: Cause, evidence: Evidence) -> float:
    if cause.key == "swarf" and evidence.swarf_wiped is not None:
        return cause.prior * (0.2 if evidence.swarf_wiped else 2.0)
    return cause.prior


def _log_elements(cause: Cause, evidence: Evidence) -> float:
    keys = sorted(evidence.log_ratio)
    if not keys:
        return 0.0
    severity = _table()["severity"]
    values = np.array([evidence.log_ratio[key] for key in keys])
    doubts = np.array([evidence.log_uncertainty[key] for key in keys])
    pattern = np.array([float(cause.shift.get(key, 0.0)) for key in keys])
    correlation = float(severity["correlation"])
    spread = evidence.deviation**2 * (
        (1 - correlation) * np.eye(len(keys)) + correlation * np.ones((len(keys), len(keys)))
    )
    spread += np.diag(doubts**2)
    spread += float(severity["deviation"]) ** 2 * np.outer(pattern, pattern)
    return _log_normal(values - float(severity["middle"]) * pattern, spread)


def _log_normal(offset: Numbers, spread: Numbers) -> float:
    factor = np.linalg.cholesky(spread)
    scaled = np.linalg.solve(factor, offset)
    log_determinant = 2 * np.log(np.diag(factor)).sum()
    return float(-0.5 * (scaled @ scaled + log_determinant + len(offset) * math.log(2 * math.pi)))


def _log_glitter(cause: Cause, evidence: Evidence) -> float:
    seen = evidence.glitter
    if seen.count is not None and seen.area_cm2:
        return _log_count(seen.count, seen.area_cm2 / 100.0, cause.glitter)
    if seen.word in GLITTER_WORDS:
        place = GLITTER_WORDS[seen.word]
        share = min(1.0, math.log(cause.glitter) / math.log(15.0)) if cause.glitter > 1 else 0.0
        usual, shed = float(_WORDS_USUAL[place]), float(_WORDS_SHED[place])
        return math.log((1 - share) * math.exp(usual) + share * math.exp(shed))
    return 0.0


def _log_count(count: int, hundreds_cm2: float, factor: float) -> float:
    """Return the logarithm of a Poisson count's probability, its log-normal rate integrated out."""
    entry = _table()["glitter"]
    middle = float(entry["middle"]) * factor * hundreds_cm2
    log_rate = math.log(middle) + float(entry["log_deviation"]) * _NODES
    log_terms = count * log_rate - np.exp(log_rate) - gammaln(count + 1) - _NODES**2 / 2
    return float(logsumexp(log_terms) + math.log(_STEP) - 0.5 * math.log(2 * math.pi))


def _log_coolant(cause: Cause, evidence: Evidence) -> float:
    if evidence.coolant_found is None:
        return 0.0
    found = 0.7 if cause.key == "coolant" else 0.01
    return math.log(found if evidence.coolant_found else 1 - found)


def _log_said(cause: Cause, evidence: Evidence) -> float:
    said = evidence.said.casefold()
    return math.log(cause.when_said) if any(word in said for word in cause.words) else 0.0
