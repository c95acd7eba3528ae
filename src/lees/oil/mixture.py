"""In what shares two or three candidate oils make up the oil in the sump, by their elements."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lees.errors import OutOfRange
from lees.oil.additives import BORON_LOSS, content_uncertainty
from lees.oil.marks import common_marks
from lees.oil.precision import Laboratory
from lees.quantity.arrays import Numbers, not_negative

_STEPS = {2: 2000, 3: 200}
"""Into how many parts the shares are divided on the grid, by the number of candidates."""


@dataclass(frozen=True, slots=True)
class Share:
    """The share of one candidate: the best fit, and what it lies between with 95 %."""

    oil: str
    best: float
    mean: float
    uncertainty: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Mixture:
    """The shares of candidates in an oil; `probability` is that of a fit so poor by chance."""

    shares: tuple[Share, ...]
    chi_square: float
    degrees_of_freedom: int
    probability: float
    left_out: tuple[str, ...]

    @property
    def explains(self) -> bool:
        """Whether the candidates explain the oil at all, at one in a hundred."""
        return self.probability >= 0.01


def candidate_shares(
    mixed_mg_kg: Mapping[str, float],
    candidates_mg_kg: Mapping[str, Mapping[str, float]],
    *,
    laboratory: Laboratory,
) -> Mixture:
    """Return the shares in which two or three candidate oils give an oil's elements.

    Parameters
    ----------
    mixed_mg_kg : mapping of str to float
        The elements of the oil in question [mg/kg].
    candidates_mg_kg : mapping of str to mapping
        The elements of each candidate, by the candidate's name [mg/kg].
    laboratory : Laboratory
        Whether all were measured in one laboratory; a data sheet is another one.

    Returns
    -------
    Mixture
        The shares, which add up to one, each with its uncertainty, and how well they fit [1].

    Raises
    ------
    OutOfRange
        For other than two or three candidates, a negative content, or fewer marking elements in
        all oils than candidates.

    Notes
    -----
    Best fit: non-negative least squares of ``mixed = Σ sⱼ cⱼ``, each element weighted by its
    uncertainty, with ``Σ sⱼ = 1`` as an observation of a hundred times the weight of the others.
    Uncertainty: the posterior of the shares on a grid over all that add up to one, even beforehand,
    where ``u² = u_mixed² + Σ sⱼ² u_j²`` by ASTM D5185 (and 30 % of the boron, which use lowers).
    A share at its bound is so kept honest: its interval is one-sided.

    *Valid for* oils whose elements come from the candidates alone. *Not for* candidates that are
    alike: the intervals are then wide.

    References
    ----------
    .. [1] C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974, chapter 23.
    .. [2] ASTM D5185 (precision from memory).

    Examples
    --------
    >>> one = {"Ca": 2100, "Mg": 12, "Zn": 950, "P": 870, "Mo": 80}
    >>> two = {"Ca": 1200, "Mg": 800, "Zn": 800, "P": 730, "Mo": 2}
    >>> mixed = {"Ca": 1830, "Mg": 248, "Zn": 905, "P": 828, "Mo": 57}
    >>> found = candidate_shares(mixed, {"one": one, "two": two}, laboratory=Laboratory.SAME)
    >>> [round(share.best, 2) for share in found.shares], found.explains
    ([0.7, 0.3], True)
    """
    from scipy.optimize import nnls
    from scipy.special import gammaincc

    names = list(candidates_mg_kg)
    if len(names) not in _STEPS:
        raise OutOfRange("The number of candidate oils", len(names), "2 or 3")
    elements, left_out = common_marks([mixed_mg_kg, *candidates_mg_kg.values()])
    if len(elements) < len(names):
        raise OutOfRange(
            "The number of marking elements in all oils", len(elements), f"{len(names)} or more"
        )
    mixed = not_negative("A content of the oil", [mixed_mg_kg[e] for e in elements])
    parts = not_negative(
        "A content of a candidate",
        [[candidates_mg_kg[name][e] for name in names] for e in elements],
    )
    u_mixed = np.array(
        [content_uncertainty(e, float(c), laboratory) for e, c in zip(elements, mixed, strict=True)]
    )
    u_parts = np.array(
        [
            [
                math.hypot(
                    content_uncertainty(e, float(c), laboratory), BORON_LOSS * c * (e == "B")
                )
                for c in row
            ]
            for e, row in zip(elements, parts, strict=True)
        ]
    )
    spread = np.hypot(u_mixed, u_parts.mean(axis=1))
    weight = 100.0 * max(1.0, float(np.abs(parts / spread[:, np.newaxis]).max()))
    best, _ = nnls(
        np.vstack([parts / spread[:, np.newaxis], np.full(len(names), weight)]),
        np.append(mixed / spread, weight),
    )
    grid = _simplex(len(names), _STEPS[len(names)])
    chi_squares, log_scale = _misfit(grid, mixed, parts, (u_mixed, u_parts))
    density = np.exp(-0.5 * (chi_squares - chi_squares.min()) - log_scale + log_scale.min())
    density /= density.sum()
    lowest = float(chi_squares.min())
    freedom = len(elements) - len(names) + 1
    return Mixture(
        tuple(
            _share(name, float(best[j] / best.sum()), grid[:, j], density)
            for j, name in enumerate(names)
        ),
        lowest,
        freedom,
        float(gammaincc(freedom / 2, lowest / 2)),
        left_out,
    )


def _misfit(
    grid: Numbers, mixed: Numbers, parts: Numbers, uncertainties: tuple[Numbers, Numbers]
) -> tuple[Numbers, Numbers]:
    """Return χ² and the sum of the logarithms of the spreads for each point of the grid."""
    u_mixed, u_parts = uncertainties
    spread = np.sqrt(u_mixed**2 + (grid**2) @ (u_parts**2).T)
    apart = (mixed - grid @ parts.T) / spread
    return (apart**2).sum(axis=1), np.log(spread).sum(axis=1)


def _simplex(count: int, steps: int) -> Numbers:
    """Return all shares that add up to one, in equal steps."""
    first = np.arange(steps + 1) / steps
    if count == 2:
        return np.column_stack([first, 1.0 - first])
    a, b = np.meshgrid(first, first, indexing="ij")
    inside = a + b <= 1.0 + 1e-12
    return np.column_stack([a[inside], b[inside], np.maximum(1.0 - a[inside] - b[inside], 0.0)])


def _share(oil: str, best: float, values: Numbers, density: Numbers) -> Share:
    order = np.argsort(values, kind="stable")
    cumulative = np.cumsum(density[order])
    low, high = (
        float(values[order][min(int(np.searchsorted(cumulative, p)), len(values) - 1)])
        for p in (0.025, 0.975)
    )
    mean = float((density * values).sum())
    deviation = math.sqrt(max(0.0, float((density * (values - mean) ** 2).sum())))
    return Share(oil, best, mean, deviation, low, high)
