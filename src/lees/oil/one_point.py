"""How thick an oil is where only one viscosity is known: an index is assumed (ASTM D341, D2270)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.oil.viscosity import (
    WaltherLine,
    kinematic_viscosity_on,
    walther_line,
)
from lees.oil.viscosity_index import kv40_for_viscosity_index
from lees.quantity.arrays import Numbers, alike, finite, positive
from lees.quantity.cautioned import Cautioned


def kinematic_viscosity_from_one_point(
    temperature_c: ArrayLike,
    *,
    known_at_c: float,
    kv_mm2_s: ArrayLike,
    viscosity_index: ArrayLike,
) -> Cautioned:
    """Return the kinematic viscosity at a temperature from one point and an assumed index.

    Parameters
    ----------
    temperature_c : array_like
        The temperature asked for [°C].
    known_at_c : float
        The temperature of the known point [°C].
    kv_mm2_s : array_like
        The kinematic viscosity known there [mm²/s].
    viscosity_index : array_like
        The viscosity index assumed [1].

    Returns
    -------
    Cautioned
        Kinematic viscosity; one warning says that the index was assumed [mm²/s].

    Raises
    ------
    OutOfRange
        Where no oil of 2 mm²/s or more at 100 °C has that point and that index.

    Notes
    -----
    Looks for the viscosity at 100 °C whose partner at 40 °C (ASTM D2270 turned round) puts the
    Walther line through the known point, by halving.

    *Valid for* oils of 2 to 500 mm²/s at 100 °C.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.
    .. [2] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6.

    Examples
    --------
    >>> kv = kinematic_viscosity_from_one_point(
    ...     100, known_at_c=98.8889, kv_mm2_s=14.776, viscosity_index=148.29
    ... )
    >>> round(float(kv), 3)
    14.4
    """
    line = line_from_one_point(known_at_c, kv_mm2_s, viscosity_index=viscosity_index)
    found = kinematic_viscosity_on(line, temperature_c)
    assumed = f"The viscosity index was assumed ({_span(viscosity_index)}), not measured."
    return Cautioned(found.value, (assumed, *found.warnings))


def line_from_one_point(
    known_at_c: float, kv_mm2_s: ArrayLike, *, viscosity_index: ArrayLike
) -> WaltherLine:
    """Return the viscosity–temperature line through one point that has an assumed index.

    Parameters
    ----------
    known_at_c : float
        The temperature of the known point [°C].
    kv_mm2_s : array_like
        The kinematic viscosity known there [mm²/s].
    viscosity_index : array_like
        The viscosity index assumed [1].

    Returns
    -------
    WaltherLine
        The constants A and B [1].

    Raises
    ------
    OutOfRange
        Where no oil of 2 to 500 mm²/s at 100 °C has that point and that index.

    Notes
    -----
    *Valid for* oils of 2 to 500 mm²/s at 100 °C.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6.

    Examples
    --------
    >>> line = line_from_one_point(40, 100, viscosity_index=148.29)
    >>> round(float(kinematic_viscosity_on(line, 100)), 2)
    14.4
    """
    wanted = positive(f"The viscosity at {known_at_c:g} °C", kv_mm2_s)
    index = finite("The viscosity index", viscosity_index)
    alike(viscosity=wanted, index=index)
    wanted, index = np.broadcast_arrays(wanted, index)
    low, high = np.full(wanted.shape, np.log(2.0)), np.full(wanted.shape, np.log(500.0))
    if (_kv_of_pair(low, index, known_at_c) > wanted).any() or (
        _kv_of_pair(high, index, known_at_c) < wanted
    ).any():
        raise OutOfRange(
            f"The viscosity at {known_at_c:g} °C",
            f"{_span(wanted)} mm²/s with an index of {_span(index)}",
            "that of an oil of 2 to 500 mm²/s at 100 °C",
        )
    for _ in range(60):
        middle = (low + high) / 2
        too_thin = _kv_of_pair(middle, index, known_at_c) < wanted
        low, high = np.where(too_thin, middle, low), np.where(too_thin, high, middle)
    kv100 = np.exp((low + high) / 2)
    return walther_line((40.0, 100.0), (kv40_for_viscosity_index(index, kv100), kv100))


def _kv_of_pair(log_kv100: Numbers, index: Numbers, temperature_c: float) -> Numbers:
    """Return the viscosity at a temperature of the oil that has an index and a kv100."""
    kv100 = np.exp(log_kv100)
    line = walther_line((40.0, 100.0), (kv40_for_viscosity_index(index, kv100), kv100))
    return kinematic_viscosity_on(line, temperature_c).value


def _span(values: ArrayLike) -> str:
    array = np.asarray(values, dtype=np.float64)
    if not array.size:
        return "none"
    low, high = float(array.min()), float(array.max())
    return f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
