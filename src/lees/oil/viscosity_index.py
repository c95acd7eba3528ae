"""How little an oil thins as it warms: the viscosity index of ASTM D2270 (ISO 2909)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, positive
from lees.quantity.data import rows

LOWEST_KV100_MM2_S = 2.0
"""Below this viscosity at 100 °C the index is not defined (ASTM D2270, 1.2)."""


def viscosity_index(kv40_mm2_s: ArrayLike, kv100_mm2_s: ArrayLike) -> Numbers:
    """Return the viscosity index, by the standard's table with linear interpolation.

    Parameters
    ----------
    kv40_mm2_s : array_like
        Kinematic viscosity at 40 °C [mm²/s].
    kv100_mm2_s : array_like
        Kinematic viscosity at 100 °C [mm²/s].

    Returns
    -------
    Numbers
        Viscosity index, not rounded; see `reported_index` [1].

    Raises
    ------
    OutOfRange
        Under 2 mm²/s at 100 °C, or where the oil would not thin as it warms.

    Notes
    -----
    Procedure A (index up to 100): ``VI = 100 (L − U) / (L − H)``. Procedure B (100 and above):
    ``VI = (10^N − 1) / 0.00715 + 100`` with ``N = (log H − log U) / log Y``. U and Y are the
    viscosities at 40 and 100 °C; L and H come from Table 1 by Y, above 70 mm²/s from
    ``L = 0.8353 Y² + 14.67 Y − 216`` and ``H = 0.1684 Y² + 11.85 Y − 97``.

    *Valid for* 2 mm²/s and above at 100 °C. *Not for* telling good from bad oils: a high index
    made by polymers shears down.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6, Table 1.

    Examples
    --------
    >>> round(float(viscosity_index(73.30, 8.86)), 2)
    92.43
    """
    u, y = _checked(kv40_mm2_s, kv100_mm2_s)
    low, high = _basic_values(y)
    return _index(u, y, low, high)


def viscosity_index_by_polynomials(kv40_mm2_s: ArrayLike, kv100_mm2_s: ArrayLike) -> Numbers:
    """Return the viscosity index by the standard's polynomials instead of its table.

    Parameters
    ----------
    kv40_mm2_s : array_like
        Kinematic viscosity at 40 °C [mm²/s].
    kv100_mm2_s : array_like
        Kinematic viscosity at 100 °C [mm²/s].

    Returns
    -------
    Numbers
        Viscosity index, not rounded [1].

    Raises
    ------
    OutOfRange
        Under 2 mm²/s at 100 °C, or where the oil would not thin as it warms.

    Notes
    -----
    The basic values come from Table 2 instead of Table 1 (coefficients from memory, held against
    Table 1: within 0.12 %). The two ways differ by up to a third of a unit for indices of 0 to 200.

    *Valid for* 2 mm²/s and above at 100 °C.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6, Table 2.

    Examples
    --------
    >>> round(float(viscosity_index_by_polynomials(73.30, 8.86)), 1)
    92.4
    """
    u, y = _checked(kv40_mm2_s, kv100_mm2_s)
    starts, coefficients = _polynomials()
    a, b, c, d, e, f = coefficients[:, np.searchsorted(starts, y, side="right") - 1]
    return _index(u, y, (a * y + b) * y + c, (d * y + e) * y + f)


def kv40_for_viscosity_index(index: ArrayLike, kv100_mm2_s: ArrayLike) -> Numbers:
    """Return the kinematic viscosity at 40 °C that gives an oil a viscosity index.

    Parameters
    ----------
    index : array_like
        Viscosity index [1].
    kv100_mm2_s : array_like
        Kinematic viscosity at 100 °C [mm²/s].

    Returns
    -------
    Numbers
        Kinematic viscosity at 40 °C [mm²/s].

    Raises
    ------
    OutOfRange
        Under 2 mm²/s at 100 °C, or for an index that no liquid could have.

    Notes
    -----
    `viscosity_index` solved for U: ``U = L − VI (L − H) / 100`` up to 100, above
    ``U = H / Y^N`` with ``N = log (0.00715 (VI − 100) + 1)``.

    *Valid for* 2 mm²/s and above at 100 °C.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6, Table 1.

    Examples
    --------
    >>> round(float(kv40_for_viscosity_index(92.43, 8.86)), 2)
    73.3
    """
    vi = finite("The viscosity index", index)
    y = _checked_kv100(kv100_mm2_s)
    alike(index=vi, kv100=y)
    low, high = _basic_values(y)
    above = np.maximum(vi, 100.0)
    u = np.where(
        vi > 100.0,
        high / y ** np.log10(0.00715 * (above - 100.0) + 1.0),
        low - vi * (low - high) / 100.0,
    )
    if not (u > y).all():
        raise OutOfRange(
            "The viscosity index", float(np.max(vi)), "that of an oil that thins as it warms"
        )
    return u


def reported_index(index: ArrayLike) -> Numbers:
    """Return a viscosity index as the standard has it reported: the nearest whole number.

    Parameters
    ----------
    index : array_like
        Viscosity index [1].

    Returns
    -------
    Numbers
        The nearest whole number, a half going to the even one [1].

    Raises
    ------
    OutOfRange
        For what is not a finite number.

    Notes
    -----
    *Valid for* any index.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clause 7; rounding by ASTM E29.

    Examples
    --------
    >>> float(reported_index(156.42)), float(reported_index(92.5))
    (156.0, 92.0)
    """
    return np.rint(finite("The viscosity index", index))


def _index(u: Numbers, y: Numbers, low: Numbers, high: Numbers) -> Numbers:
    by_a = 100.0 * (low - u) / (low - high)
    by_b = (10.0 ** (np.log(high / u) / np.log(y)) - 1.0) / 0.00715 + 100.0
    return np.where(u > high, by_a, by_b)


def _basic_values(y: Numbers) -> tuple[Numbers, Numbers]:
    """Return L and H of Table 1, or of the standard's equations above 70 mm²/s.

    All viscosities of the table are multiples of 0.1: the line between two of them is found
    without a search.
    """
    lines = _lines_of_table_1()
    place = np.minimum((y - 2.0) * 10.0, len(lines.l_start) - 1.0).astype(np.intp)
    low = lines.l_start.take(place) + lines.l_slope.take(place) * y
    high = lines.h_start.take(place) + lines.h_slope.take(place) * y
    above = y > 70.0
    if above.any():
        low = np.where(above, (0.8353 * y + 14.67) * y - 216.0, low)
        high = np.where(above, (0.1684 * y + 11.85) * y - 97.0, high)
    return low, high


def _checked(kv40_mm2_s: ArrayLike, kv100_mm2_s: ArrayLike) -> tuple[Numbers, Numbers]:
    u = positive("The viscosity at 40 °C", kv40_mm2_s)
    y = _checked_kv100(kv100_mm2_s)
    alike(kv40=u, kv100=y)
    if not (u > y).all():
        wrong = np.broadcast_to(u, np.broadcast(u, y).shape)[~(u > y)]
        raise OutOfRange(
            "The viscosity at 40 °C",
            f"{float(wrong.flat[0]):g} mm²/s",
            "above that at 100 °C; look whether the two were swapped",
        )
    return u, y


def _checked_kv100(kv100_mm2_s: ArrayLike) -> Numbers:
    y = positive("The viscosity at 100 °C", kv100_mm2_s)
    if (y < LOWEST_KV100_MM2_S).any():
        raise OutOfRange(
            "The viscosity at 100 °C",
            f"{float(y.min()):g} mm²/s",
            "2 mm²/s or above for a viscosity index (ASTM D2270)",
        )
    return y


@dataclass(frozen=True, slots=True)
class _Lines:
    """The straight lines of Table 1 for each tenth of a mm²/s from 2 to 70."""

    l_start: Numbers
    l_slope: Numbers
    h_start: Numbers
    h_slope: Numbers


@cache
def _lines_of_table_1() -> _Lines:
    table = rows("oil", "d2270_table1")
    nodes, lows, highs = np.array([[float(v) for v in row.values()] for row in table]).T
    middles = np.arange(2.05, 70.0, 0.1)
    upper = np.searchsorted(nodes, middles)
    lines = []
    for values in (lows, highs):
        slope = (values[upper] - values[upper - 1]) / (nodes[upper] - nodes[upper - 1])
        lines += [values[upper] - slope * nodes[upper], slope]
    return _Lines(*lines)


@cache
def _polynomials() -> tuple[Numbers, Numbers]:
    table = np.array([[float(v) for v in row.values()] for row in rows("oil", "d2270_table2")])
    return table[:, 0], table[:, 1:].T
