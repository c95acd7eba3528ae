"""How well each combination of causes explains readings that they shift together, in closed form.

Readings are jointly normal about what is usual; a cause at work shifts them along its own pattern
by an uncertain severity, normal too, so that the severities integrate out (C. M. Bishop, Pattern
Recognition and Machine Learning, 2006, 2.3.3; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lees.quantity.arrays import Numbers


@dataclass(frozen=True, slots=True)
class Patterns:
    """What each cause does to the readings: shape (causes, readings), and how severely."""

    shifts: Numbers
    middle: Numbers
    deviation: Numbers


def log_likelihoods(values: Numbers, spread: Numbers, patterns: Patterns) -> Numbers:
    """Return the log-density of readings under every combination of causes.

    Parameters
    ----------
    values : Numbers
        Readings less what is usual, of shape (cases, readings); NaN where there is none [1].
    spread : Numbers
        Their covariance without any cause, of shape (cases, readings, readings) [1].
    patterns : Patterns
        What the causes do.

    Returns
    -------
    Numbers
        Log-densities of shape (cases, 2, …, 2), one axis per cause: not at work, at work [1].

    Notes
    -----
    ``y ~ N(Σ s_i p_i, Σ₀)``, ``s_i ~ N(μ_i, τ_i²)`` over the causes i at work. With
    ``Λ = T⁻¹ + PᵀΣ₀⁻¹P`` and ``η = T⁻¹μ + PᵀΣ₀⁻¹y`` the density of a combination S needs only
    ``log|Λ_SS|`` and ``η_SᵀΛ_SS⁻¹η_S``: one sweep per cause gives both for all combinations.
    *Valid for* shifts that add on the scale of the readings.

    References
    ----------
    .. [1] C. M. Bishop, Pattern Recognition and Machine Learning, 2006, 2.3.3; from memory.
    .. [2] J. H. Goodnight, A tutorial on the SWEEP operator, The American Statistician 33, 1979;
       from memory.
    """
    weight, base = _weights(values, spread)
    seen = np.nan_to_num(values)
    shifts, middle, deviation = patterns.shifts, patterns.middle, patterns.deviation
    cases, causes = len(values), len(middle)
    pulled = np.einsum("kr,brs->bks", shifts, weight)
    corner = np.zeros((cases, causes + 1, causes + 1))
    corner[:, :causes, :causes] = pulled @ shifts.T
    corner[:, range(causes), range(causes)] += 1 / deviation**2
    corner[:, :causes, causes] = middle / deviation**2 + np.einsum("bks,bs->bk", pulled, seen)
    corner[:, causes, :causes] = corner[:, :causes, causes]
    swept = np.moveaxis(corner, 0, 2)[..., None]
    log_density = base[:, None]
    for cause in range(causes):
        pivot = swept[0, 0]
        kept = swept[1:, 1:]
        taken = kept - swept[1:, :1] * (swept[:1, 1:] / pivot)
        here = -0.5 * (np.log(pivot) + 2 * math.log(deviation[cause]))
        here -= 0.5 * (middle[cause] / deviation[cause]) ** 2
        swept = np.stack([kept, taken], axis=-1).reshape(*kept.shape[:3], -1)
        log_density = np.stack([log_density, log_density + here], axis=-1).reshape(cases, -1)
    log_density = log_density - 0.5 * swept[0, 0]
    return np.asarray(log_density.reshape(cases, *[2] * causes))


def _weights(values: Numbers, spread: Numbers) -> tuple[Numbers, Numbers]:
    """Return the inverse covariance of what was read, nought elsewhere, and the density without."""
    weight = np.zeros_like(spread)
    base = np.zeros(len(values))
    for case, (row, covariance) in enumerate(zip(values, spread, strict=True)):
        there = np.flatnonzero(~np.isnan(row))
        if not len(there):
            continue
        part = np.ix_(there, there)
        inverse = np.linalg.inv(covariance[part])
        weight[case][part] = (inverse + inverse.T) / 2
        log_determinant = float(np.linalg.slogdet(covariance[part])[1])
        square = float(row[there] @ inverse @ row[there])
        base[case] = -0.5 * (square + log_determinant + len(there) * math.log(2 * math.pi))
    return weight, base
