"""Repeated readings off one instrument as one measurement, and what ought to be asked about them.

JCGM 100:2008 for the uncertainty; Grubbs' test (ASTM E178, in the form of the NIST/SEMATECH
e-Handbook of Statistical Methods, 1.3.5.17.1) for a reading far from its fellows. A doubtful
reading is shown and asked about; it is never dropped.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from statistics import fmean, median, stdev

from lees.errors import OutOfRange
from lees.quantity.budget import Budget, Component, bounded, resolution, type_a
from lees.quantity.measured import Measured

UNEVEN = 0.005
"""By what share parts of a filter differ from place to place (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument of the bench, all in its own unit.

    `zero` is what it shows when it should show nothing; `None` where nobody looked.
    `limit_of_error` bounds its error anywhere on the scale; `assumed` tells that the figures are
    customary ones and not its own.
    """

    name: str
    unit: str
    resolution: float
    limit_of_error: float
    zero: float | None = None
    checked: date | None = None
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Plausible:
    """The range in which a quantity is customarily found, and who says so."""

    low: float
    high: float
    source: str


class Doubt(StrEnum):
    """Why a measurement ought to be looked at again."""

    FAR_FROM_FELLOWS = "far from its fellows"
    IMPLAUSIBLE = "outside the customary range"
    ZERO_UNKNOWN = "zero not recorded"
    ZERO_LARGE = "zero far off"
    SINGLE = "single reading"
    INSTRUMENT_ASSUMED = "instrument's limit of error assumed"


@dataclass(frozen=True, slots=True)
class Remark:
    """A doubt in one sentence; `reading` is the place of the reading it is about, from 0."""

    doubt: Doubt
    text: str
    reading: int | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """Readings, the value they give, its budget and what to ask about them."""

    what: str
    readings: tuple[float, ...]
    instrument: Instrument
    budget: Budget
    value: Measured
    remarks: tuple[Remark, ...]

    @property
    def corrected(self) -> tuple[float, ...]:
        """The readings less the instrument's zero."""
        return tuple(reading - (self.instrument.zero or 0.0) for reading in self.readings)


def measure(
    what: str,
    readings: Sequence[float],
    instrument: Instrument,
    *,
    plausible: Plausible | None = None,
) -> Measurement:
    """Return what repeated readings say of a quantity.

    Parameters
    ----------
    what : str
        The quantity, in words.
    readings : sequence of float
        What the instrument showed, in its unit, not corrected [instrument's unit].
    instrument : Instrument
        What it was read with.
    plausible : Plausible, optional
        Where such a quantity is customarily found.

    Returns
    -------
    Measurement
        Mean of the readings less the zero, with its budget and its doubts [instrument's unit].

    Raises
    ------
    OutOfRange
        Where there is no reading, or one is not a finite number.

    Notes
    -----
    Scatter is of type A, s/√n with n − 1 degrees of freedom; resolution δ/√12, limit of error
    a/√3 and the zero's own resolution are of type B (JCGM 100:2008, 4.2.3, 4.3.7, F.2.2.1). The
    limit of error does not shrink with more readings.
    *Valid for* readings off one instrument in one session. *Not for* a quantity that differs from
    place to place: its spread is then a property of the part.

    References
    ----------
    .. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, clauses 4, 5, G.

    Examples
    --------
    >>> caliper = Instrument("caliper", "mm", 0.01, 0.02, zero=0.0)
    >>> result = measure("wall", [10.02, 10.00, 10.03, 10.01, 10.02], caliper)
    >>> str(result.value)
    '10.016 ± 0.013 mm'
    """
    values = tuple(readings)
    if not values:
        raise OutOfRange(f"The number of readings of {what}", 0, "one or more")
    for value in values:
        if not math.isfinite(value):
            raise OutOfRange(f"A reading of {what}", value, "a finite number")
    parts = [] if len(values) == 1 else [type_a("scatter of the readings", values)]
    parts.append(resolution("resolution of the instrument", instrument.resolution))
    if instrument.limit_of_error:
        parts.append(bounded("limit of error of the instrument", instrument.limit_of_error))
    if instrument.zero is not None and instrument.resolution:
        parts.append(_zero(instrument))
    budget = Budget(tuple(parts), instrument.unit)
    best = fmean(values) - (instrument.zero or 0.0)
    source = f"{len(values)} reading{'s' if len(values) > 1 else ''} with the {instrument.name}"
    return Measurement(
        what,
        values,
        instrument,
        budget,
        budget.measured(best, source),
        tuple(_remarks(what, values, instrument, plausible)),
    )


def farthest_reading(readings: Sequence[float], *, risk: float = 0.05) -> int | None:
    """Return the place of the reading that Grubbs' test finds too far from the others, or nothing.

    Parameters
    ----------
    readings : sequence of float
        Three or more readings of one quantity [any unit].
    risk : float
        The chance of naming one where all belong together [1].

    Returns
    -------
    int or None
        Its place, from 0; nothing where all belong together or there are fewer than three [1].

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1, Grubbs' test for outliers.

    Examples
    --------
    >>> farthest_reading([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    7
    """
    count = len(readings)
    if count < 3:
        return None
    spread = stdev(readings)
    if spread == 0:
        return None
    centre = fmean(readings)
    place = max(range(count), key=lambda i: abs(readings[i] - centre))
    statistic = abs(readings[place] - centre) / spread
    return place if statistic > grubbs_critical(count, risk=risk) else None


def grubbs_critical(count: int, *, risk: float = 0.05) -> float:
    """Return the two-sided critical value of Grubbs' statistic.

    Parameters
    ----------
    count : int
        The number of readings, three or more [1].
    risk : float
        The chance of exceeding it where all belong together [1].

    Returns
    -------
    float
        The critical value [1].

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.

    Examples
    --------
    >>> round(grubbs_critical(8), 4)
    2.1266
    """
    from scipy.special import stdtrit

    t = float(stdtrit(count - 2, 1 - risk / (2 * count)))
    return (count - 1) / math.sqrt(count) * math.sqrt(t**2 / (count - 2 + t**2))


@dataclass(frozen=True, slots=True)
class CommonShift:
    """Several quantities off by one same amount: what an instrument that was not zeroed does.

    `evidence_db` weighs one common shift of unknown size (up to `reach`) against none, in
    decibans.
    """

    shift: Measured
    count: int
    evidence_db: float


def common_shift(differences: Sequence[Measured], *, reach: float) -> CommonShift | None:
    """Return the shift that quantities off one instrument share, where they share one.

    Parameters
    ----------
    differences : sequence of Measured
        Measured less expected, of different quantities, in one unit [one unit].
    reach : float
        How far a zero may be off at most; shifts within ± this are taken as alike likely before
        anything was seen [one unit].

    Returns
    -------
    CommonShift or None
        Nothing with fewer than two quantities, where a shift is not at least ten times likelier
        than none, or where the quantities do not agree on one.

    Notes
    -----
    Weighted mean of the differences with weights 1/u²; agreement by χ² with n − 1 degrees of
    freedom at 1 %. Likelihood ratio of a shift spread evenly over ± reach against no shift.

    References
    ----------
    .. [1] P. R. Bevington, D. K. Robinson, Data Reduction and Error Analysis for the Physical
       Sciences, 3rd ed., 2003, 4.1 (weighted mean), 4.3 (χ²); from memory.
    """
    from scipy.special import chdtrc

    if len(differences) < 2:
        return None
    unit = differences[0].unit
    known = [difference.to(unit) for difference in differences]
    weights = [1 / difference.uncertainty**2 for difference in known]
    mean = math.fsum(
        w * difference.value for w, difference in zip(weights, known, strict=True)
    ) / math.fsum(weights)
    deviation = 1 / math.sqrt(math.fsum(weights))
    chi_squared = math.fsum(
        w * (difference.value - mean) ** 2 for w, difference in zip(weights, known, strict=True)
    )
    if chdtrc(len(known) - 1, chi_squared) < 0.01 or abs(mean) > reach:
        return None
    likelihood = math.sqrt(2 * math.pi) * deviation / (2 * reach)
    evidence = 10 * (math.log10(likelihood) + (mean / deviation) ** 2 / 2 * math.log10(math.e))
    if evidence < 10:
        return None
    shift = Measured(mean, deviation, unit, f"{len(known)} quantities off by the same amount")
    return CommonShift(shift, len(known), evidence)


def _zero(instrument: Instrument) -> Component:
    return resolution("zero reading", instrument.resolution)


def _remarks(
    what: str, values: tuple[float, ...], instrument: Instrument, plausible: Plausible | None
) -> list[Remark]:
    unit = instrument.unit
    remarks = []
    size = abs(median(values) - (instrument.zero or 0.0))
    noise = max(3 * instrument.resolution, 3 * instrument.limit_of_error, UNEVEN * size)
    far = farthest_reading(values)
    if far is None and len(values) == 2 and abs(values[0] - values[1]) > noise:
        remarks.append(
            Remark(
                Doubt.FAR_FROM_FELLOWS,
                f"The two readings of {what} differ by {abs(values[0] - values[1]):.3g} {unit}, "
                f"more than the {instrument.name} explains; read it again.",
            )
        )
    if far is not None and abs(values[far] - median(values)) > noise:
        remarks.append(
            Remark(
                Doubt.FAR_FROM_FELLOWS,
                f"Reading {far + 1} of {what}, {values[far]:g} {unit}, is far from the others "
                f"({median(values):g} {unit}); was it mistyped? It is still counted.",
                far,
            )
        )
    corrected = [value - (instrument.zero or 0.0) for value in values]
    if plausible and not plausible.low <= fmean(corrected) <= plausible.high:
        remarks.append(
            Remark(
                Doubt.IMPLAUSIBLE,
                f"{what[:1].upper()}{what[1:]} of {fmean(corrected):.3g} {unit} is outside the "
                f"customary {plausible.low:g} to {plausible.high:g} {unit} ({plausible.source}); "
                "read it again, and look at the zero.",
            )
        )
    if len(values) == 1 and unit != "1":
        text = f"{what[:1].upper()}{what[1:]} was read once: its scatter is unknown."
        remarks.append(Remark(Doubt.SINGLE, text))
    return remarks + _instrument_remarks(instrument)


def _instrument_remarks(instrument: Instrument) -> list[Remark]:
    remarks = []
    if instrument.zero is None:
        remarks.append(
            Remark(
                Doubt.ZERO_UNKNOWN,
                f"Nobody recorded what the {instrument.name} shows at zero; "
                "a zero that is off shifts every reading by the same amount.",
            )
        )
    elif abs(instrument.zero) > 3 * max(instrument.limit_of_error, instrument.resolution):
        remarks.append(
            Remark(
                Doubt.ZERO_LARGE,
                f"The {instrument.name} showed {instrument.zero:+g} {instrument.unit} at zero; "
                "every reading is corrected for it.",
            )
        )
    if instrument.assumed:
        remarks.append(
            Remark(
                Doubt.INSTRUMENT_ASSUMED,
                f"The limit of error of the {instrument.name} is taken as customary, "
                f"± {instrument.limit_of_error:g} {instrument.unit} (from memory).",
            )
        )
    return remarks
