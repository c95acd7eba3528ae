"""Base and acid numbers as reserves: which methods may be compared, and where the two cross."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from lees.errors import NotComparable
from lees.oil.base_number import Reserve
from lees.oil.precision import (
    FROM_LIMIT_TO_DEVIATION,
    Laboratory,
    Precision,
    precision,
    standard_uncertainty,
)
from lees.quantity.measured import Measured

ALLOWANCE = Measured(
    2.0,
    1.0 / math.sqrt(3),
    "mgKOH/g",
    "ASTM D2896 reads 1 to 3 above D4739 on fresh oils (from memory)",
)
"""By how much ASTM D2896 customarily exceeds D4739; used only where a person asks for it."""


@dataclass(frozen=True, slots=True)
class Titration:
    """A base or acid number as reported, with the method where the report names one."""

    value_mgkoh_g: float
    method: str | None = None


def base_number_reserve(
    fresh: Titration,
    present: Titration,
    *,
    run: float,
    laboratory: Laboratory,
    allowance: Measured | None = None,
) -> Reserve:
    """Return the base number of a fill as a reserve, fresh against used.

    Parameters
    ----------
    fresh : Titration
        The base number of the fresh oil [mgKOH/g].
    present : Titration
        That of the used oil [mgKOH/g].
    run : float
        The distance or time between them, in any one unit [run].
    laboratory : Laboratory
        Whether both were titrated in one laboratory; a data sheet is another one.
    allowance : Measured, optional
        By how much ASTM D2896 is taken to exceed D4739, such as `ALLOWANCE`, where the two are
        mixed; without it they are refused [mgKOH/g].

    Returns
    -------
    Reserve
        Both values with the uncertainty that the comparison calls for [mgKOH/g].

    Raises
    ------
    NotComparable
        For ASTM D2896 against D4739 without an allowance.
    OutOfRange
        For a negative base number or a run that is not above zero.

    Notes
    -----
    In one laboratory each value has r/2.77, and both share what the reproducibility holds beyond
    that; from different ones, or by two methods, each has R/2.77. ASTM D4739 itself says that the
    two methods "in many cases … provide different results" and that its use is for tracking loss.

    *Valid for* used engine oils. *Not for* a share left across methods.

    References
    ----------
    .. [1] ASTM D4739-23, Standard Test Method for Base Number Determination by Potentiometric
       Hydrochloric Acid Titration, 2023, introduction and 5.1.
    .. [2] ISO 4259-1:2017, Petroleum and related products, Precision of measurement methods and
       results, Part 1, 2017.

    Examples
    --------
    >>> found = base_number_reserve(
    ...     Titration(8.0, "ASTM D2896"), Titration(5.0, "ASTM D2896"),
    ...     run=10_000, laboratory=Laboratory.SAME,
    ... )
    >>> round(found.fresh.uncertainty, 3), round(found.present.uncertainty, 3)
    (0.087, 0.054)
    """
    fresh_method = fresh.method or present.method
    present_method = present.method or fresh.method
    first = precision("bn", fresh_method, fresh.value_mgkoh_g, "mgKOH/g")
    second = precision("bn", present_method, present.value_mgkoh_g, "mgKOH/g")
    comparable = first.method == second.method or _family(first) == _family(second)
    # Two methods have no bias in common, even in one laboratory.
    reserve = _reserve(first, second, run, laboratory if comparable else Laboratory.DIFFERENT)
    if bool(fresh.method) != bool(present.method):
        one = "fresh" if fresh.method else "used"
        told = f"Only the {one} oil's method is named; the other value is taken as by the same."
        reserve = replace(reserve, warnings=(told, *reserve.warnings))
    if comparable:
        return reserve
    if allowance is None:
        raise NotComparable(
            f"The fresh oil's base number is by {first.method}, the used oil's by "
            f"{second.method}: they are not comparable; measure the fresh oil by "
            f"{second.method}, or ask for an allowance."
        )
    return _with_allowance(reserve, first, second, allowance)


def acid_number_rise(
    fresh: Titration, present: Titration, *, run: float, laboratory: Laboratory
) -> Reserve:
    """Return the acid number of a fill, fresh against used.

    Parameters
    ----------
    fresh : Titration
        The acid number of the fresh oil [mgKOH/g].
    present : Titration
        That of the used oil [mgKOH/g].
    run : float
        The distance or time between them, in any one unit [run].
    laboratory : Laboratory
        Whether both were titrated in one laboratory.

    Returns
    -------
    Reserve
        Both values with the uncertainty that the comparison calls for [mgKOH/g].

    Raises
    ------
    OutOfRange
        For a negative acid number or a run that is not above zero.

    Notes
    -----
    *Valid for* ASTM D664 on used oils. *Not for* the fresh oil's acid number as a sign of acids:
    zinc dithiophosphate titrates as acid too.

    References
    ----------
    .. [1] ASTM D664, Standard Test Method for Acid Number of Petroleum Products by Potentiometric
       Titration, precision for used oils, buffer end point.

    Examples
    --------
    >>> found = acid_number_rise(
    ...     Titration(1.0, "D664"), Titration(2.5, "D664"), run=10_000, laboratory=Laboratory.SAME
    ... )
    >>> round(found.present.uncertainty, 3)
    0.106
    """
    first = precision("an", fresh.method, fresh.value_mgkoh_g, "mgKOH/g")
    second = precision("an", present.method, present.value_mgkoh_g, "mgKOH/g")
    return _reserve(first, second, run, laboratory)


def margin_over_acid(base: Reserve, acid: Reserve) -> Reserve:
    """Return the base number less the acid number as a reserve: it crosses zero where they cross.

    Parameters
    ----------
    base : Reserve
        The base number, fresh and present [mgKOH/g].
    acid : Reserve
        The acid number over the same run [mgKOH/g].

    Returns
    -------
    Reserve
        Their difference, to be used with a linear loss and a floor of zero [mgKOH/g].

    Raises
    ------
    NotComparable
        Where the two do not span the same run.

    Notes
    -----
    Two straight lines cross where their difference is zero. That the crossing is a limit is common
    practice, no source.

    *Valid for* linear losses. *Not for* oils whose acid number is high when fresh.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> from lees.oil.base_number import Loss, loss_of
    >>> def known(value):
    ...     return Measured(value, 0.1, "mgKOH/g", "example")
    >>> base = Reserve(known(8.92), known(4.82), 10)
    >>> acid = Reserve(known(1.0), known(3.0), 10)
    >>> round(loss_of(margin_over_acid(base, acid), Loss.LINEAR).run_at(0), 4)
    12.9836
    """
    if base.run != acid.run or base.fresh.unit != acid.fresh.unit:
        raise NotComparable(
            f"The base number was followed over {base.run:g} in {base.fresh.unit}, the acid number "
            f"over {acid.run:g} in {acid.fresh.unit}; give both over the same run."
        )
    return Reserve(
        _less(base.fresh, acid.fresh),
        _less(base.present, acid.present),
        base.run,
        math.hypot(base.shared_uncertainty, acid.shared_uncertainty),
        (*base.warnings, *acid.warnings),
    )


def _reserve(first: Precision, second: Precision, run: float, laboratory: Laboratory) -> Reserve:
    shared = 0.0
    if laboratory is Laboratory.SAME:
        beyond = max(0.0, second.reproducibility**2 - second.repeatability**2)
        shared = math.sqrt(beyond) / FROM_LIMIT_TO_DEVIATION
    return Reserve(
        standard_uncertainty(first, laboratory),
        standard_uncertainty(second, laboratory),
        run,
        shared,
        tuple(dict.fromkeys((*first.warnings, *second.warnings))),
    )


def _family(found: Precision) -> str:
    return "ASTM D2896" if found.method.startswith("ASTM D2896") else found.method


def _with_allowance(
    reserve: Reserve, first: Precision, second: Precision, allowance: Measured
) -> Reserve:
    """Bring the fresh value to the scale of the used one's method."""
    sign = -1.0 if _family(first) == "ASTM D2896" else 1.0
    fresh = replace(
        reserve.fresh,
        value=reserve.fresh.value + sign * allowance.to(reserve.fresh.unit).value,
        uncertainty=math.hypot(reserve.fresh.uncertainty, allowance.uncertainty),
    )
    told = (
        f"{first.method} and {second.method} are not comparable; an allowance of "
        f"{allowance} was asked for ({allowance.source})."
    )
    return replace(reserve, fresh=fresh, warnings=(told, *reserve.warnings))


def _less(first: Measured, second: Measured) -> Measured:
    return Measured(
        first.value - second.value,
        math.hypot(first.uncertainty, second.uncertainty),
        first.unit,
        f"{first.source} less {second.source}",
    )
