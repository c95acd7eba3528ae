"""Whether an oil is in its viscosity grade: the classification of SAE J300."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

from lees.errors import WrongEntry
from lees.oil.saybolt import kv100_from_saybolt_at_210_f
from lees.quantity.arrays import positive
from lees.quantity.data import rows
from lees.quantity.measured import Measured
from lees.quantity.propagation import propagated

EDITION = "SAE J300, January 2015 (the limits of April 2021 are the same as far as known)"


@dataclass(frozen=True, slots=True)
class WinterPart:
    """The cold limits of a W grade: cranking and pumping, each at its temperature."""

    name: str
    cranking_max_mpa_s: float
    cranking_c: float
    pumping_max_mpa_s: float
    pumping_c: float
    kv100_min_mm2_s: float


@dataclass(frozen=True, slots=True)
class Grade:
    """The limits of a grade, of both its parts; None where the standard sets none.

    A viscosity of `kv100_max_mm2_s` itself is outside the grade.
    """

    name: str
    winter: WinterPart | None
    kv100_min_mm2_s: float
    kv100_max_mm2_s: float | None
    hths150_min_mpa_s: float | None
    edition: str = EDITION


@dataclass(frozen=True, slots=True)
class InGrade:
    """The probabilities that the true viscosity is below, within and above a grade."""

    grade: Grade
    kv100: Measured
    below: float
    within: float
    above: float
    bands: tuple[str, ...]


def grade(name: str) -> Grade:
    """Return the limits of a viscosity grade.

    Parameters
    ----------
    name : str
        The grade as written, such as ``5W-30``, ``SAE 10w40``, ``15W/40``, ``0W`` or ``50``.

    Returns
    -------
    Grade
        Kinematic viscosity at 100 °C [mm²/s], high-shear and cold viscosities [mPa·s].

    Raises
    ------
    WrongEntry
        For what is no grade of the standard.

    Notes
    -----
    A multigrade oil keeps both lower limits; that of its high-temperature part is the higher. The
    high-shear limit of a 40 is 3.5 mPa·s behind 0W, 5W and 10W, otherwise 3.7.

    *Valid for* engine oils. *Not for* gear oils (SAE J306), whose numbers look alike.

    References
    ----------
    .. [1] SAE J300, Engine Oil Viscosity Classification, January 2015, Table 1.

    Examples
    --------
    >>> found = grade("SAE 5w30")
    >>> found.name, found.kv100_min_mm2_s, found.kv100_max_mm2_s, found.hths150_min_mpa_s
    ('5W-30', 9.3, 12.5, 2.9)
    >>> grade("10W-40").hths150_min_mpa_s, grade("15W-40").hths150_min_mpa_s
    (3.5, 3.7)
    """
    match = _NAME.fullmatch(name.strip().upper())
    winter_name, summer_name = match.groups() if match else (None, None)
    winters, summers = _table()
    if winter_name is None and summer_name is None:
        raise _no_grade(name)
    if winter_name is not None and winter_name not in winters:
        raise _no_grade(name)
    winter = winters[winter_name] if winter_name else None
    if summer_name is None and winter is not None:
        return Grade(winter.name, winter, winter.kv100_min_mm2_s, None, None)
    after = "light" if winter_name in ("0W", "5W", "10W") else "other"
    found = summers.get((str(summer_name), after)) or summers.get((str(summer_name), "any"))
    if found is None:
        raise _no_grade(name)
    low, high, hths = found
    if winter is not None and winter.kv100_min_mm2_s >= high:
        raise _no_grade(name)  # no viscosity could satisfy both parts
    if winter is None:
        return Grade(str(summer_name), None, low, high, hths)
    return Grade(
        f"{winter.name}-{summer_name}", winter, max(low, winter.kv100_min_mm2_s), high, hths
    )


def bands(kv100_mm2_s: float) -> tuple[str, ...]:
    """Return the high-temperature grades whose band holds a kinematic viscosity at 100 °C.

    Parameters
    ----------
    kv100_mm2_s : float
        Kinematic viscosity at 100 °C [mm²/s].

    Returns
    -------
    tuple of str
        The grades: several among the light ones, whose bands overlap; none under 4.0 and from
        26.1 mm²/s.

    Raises
    ------
    OutOfRange
        For a viscosity that is zero, negative or not a finite number.

    Notes
    -----
    *Valid for* telling which grades are possible. *Not for* deciding between 8, 12, 16 and 20:
    there the high-shear viscosity decides.

    References
    ----------
    .. [1] SAE J300, Engine Oil Viscosity Classification, January 2015, Table 1.

    Examples
    --------
    >>> bands(12.49), bands(12.5), bands(7.0), bands(26.1)
    (('30',), ('40',), ('12', '16', '20'), ())
    """
    kv = float(positive("The viscosity at 100 °C", kv100_mm2_s))
    _, summers = _table()
    return tuple(
        dict.fromkeys(name for (name, _), (low, high, _) in summers.items() if low <= kv < high)
    )


def probability_in_grade(kv100: Measured, grade: Grade) -> InGrade:
    """Return the probability that the true viscosity is in grade, below it and above it.

    Parameters
    ----------
    kv100 : Measured
        Kinematic viscosity at 100 °C with its standard uncertainty; against a grade's limits that
        is the reproducibility's (`lees.oil.precision.standard_uncertainty`) [mm²/s].
    grade : Grade
        The grade that it should have.

    Returns
    -------
    InGrade
        The three probabilities, which add up to one [1].

    Raises
    ------
    OutOfRange
        For a viscosity that is zero or negative.
    UnitDoesNotFit
        For a value that is no kinematic viscosity.

    Notes
    -----
    The true value is taken as normal about the result (Student's t at few degrees of freedom),
    with no belief about it beforehand. A certain result has probabilities of 0 and 1.

    *Valid for* the limits on kinematic viscosity. *Not for* the cold and the high-shear limits,
    which used oils are hardly ever measured for.

    References
    ----------
    .. [1] SAE J300, Engine Oil Viscosity Classification, January 2015, Table 1.
    .. [2] JCGM 106:2012, Evaluation of measurement data, The role of measurement uncertainty in
       conformity assessment, 2012, clause 7.

    Examples
    --------
    >>> found = probability_in_grade(Measured(9.4, 0.06, "mm²/s", "example"), grade("5W-30"))
    >>> round(found.below, 3), round(found.within, 3)
    (0.048, 0.952)
    """
    result = kv100.to("mm²/s")
    positive("The viscosity at 100 °C", result.value)
    below = _probability_under(grade.kv100_min_mm2_s, result)
    high = grade.kv100_max_mm2_s
    above = 0.0 if high is None else 1.0 - _probability_under(high, result)
    return InGrade(grade, result, below, max(0.0, 1.0 - below - above), above, bands(result.value))


def kv100_from_seconds(seconds: Measured, *, viscosity_index: float) -> Measured:
    """Return the kinematic viscosity at 100 °C of Saybolt seconds really taken at 210 °F.

    Parameters
    ----------
    seconds : Measured
        Saybolt universal seconds at 210 °F [SUS].
    viscosity_index : float
        The viscosity index, measured or assumed [1].

    Returns
    -------
    Measured
        Kinematic viscosity at 100 °C, with the seconds' uncertainty carried over [mm²/s].

    Raises
    ------
    OutOfRange
        Under 32 s.

    Notes
    -----
    First-order propagation; the index adds less than 0.3 % and is left out.

    *Valid for* seconds taken at 210 °F; see `lees.oil.saybolt.kv100_from_saybolt_at_210_f`.

    References
    ----------
    .. [1] ASTM D2161-93, Standard Practice for Conversion of Kinematic Viscosity to Saybolt
       Universal Viscosity or to Saybolt Furol Viscosity, 1993, clause 5.

    Examples
    --------
    >>> found = kv100_from_seconds(Measured(77.04, 0.3, "SUS", "example"), viscosity_index=148)
    >>> print(found)
    14.401 ± 0.074 mm²/s
    """
    return propagated(
        lambda value: kv100_from_saybolt_at_210_f(value, viscosity_index=viscosity_index).value,
        {"Saybolt seconds": seconds.to("SUS")},
        unit="mm²/s",
        source=f"ASTM D2161 and D341 from {seconds.source}",
    ).result


_NAME = re.compile(r"(?:SAE[\s-]*)?(\d{1,2}W)?\s*[-–/]?\s*(\d{1,2})?")

_Summer = tuple[float, float, float]


def _no_grade(name: str) -> WrongEntry:
    return WrongEntry(
        name, "is not a grade of SAE J300", "type for example 5W-30, 0W-20, SAE 40 or 10W"
    )


def _probability_under(limit: float, result: Measured) -> float:
    """Return the probability that the true value is under a limit."""
    apart = limit - result.value
    if result.uncertainty == 0:
        return 1.0 if apart > 0 else 0.0
    if math.isinf(result.degrees_of_freedom):
        return 0.5 * math.erfc(-apart / result.uncertainty / math.sqrt(2))
    from scipy.special import stdtr

    return float(stdtr(result.degrees_of_freedom, apart / result.uncertainty))


@cache
def _table() -> tuple[dict[str, WinterPart], dict[tuple[str, str], _Summer]]:
    winters: dict[str, WinterPart] = {}
    summers: dict[tuple[str, str], _Summer] = {}
    for row in rows("oil", "j300"):
        kv100_min = float(row["kv100_min_mm2_s"])
        if row["after"]:
            high, hths = float(row["kv100_max_mm2_s"]), float(row["hths150_min_mpa_s"])
            summers[row["grade"], row["after"]] = (kv100_min, high, hths)
        else:
            winters[row["grade"]] = WinterPart(
                row["grade"],
                float(row["cranking_max_mpa_s"]),
                float(row["cranking_c"]),
                float(row["pumping_max_mpa_s"]),
                float(row["pumping_c"]),
                kv100_min,
            )
    return winters, summers
