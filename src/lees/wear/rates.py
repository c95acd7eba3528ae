"""How much metal an engine sheds per distance or hour (mass balance; JCGM 100 for the doubt)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.checks import above_zero, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated
from lees.quantity.units import unit

STRAIGHT_LINE = (
    "Compared as if content grew in proportion to the run; carry-over and run-in make short runs "
    "look worse, top-ups make long ones look better."
)
FAR_APART = 2.0
"""Runs that differ by more than this factor are compared with a warning."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A reading and a mean from another run, both as rates, and the ratio of the two."""

    reading: Derived
    mean: Derived
    ratio: Derived


def content_rate(content: ArrayLike, run: ArrayLike, fresh: ArrayLike = 0.0) -> Numbers:
    """Return the rise of a content per unit of run, the fresh oil's content subtracted.

    Parameters
    ----------
    content : ArrayLike
        The content of the used oil. [mg/kg]
    run : ArrayLike
        Distance or hours on the oil, in whatever unit the rate is wanted for. [1000 km or h]
    fresh : ArrayLike
        The content of the fresh oil. [mg/kg]

    Returns
    -------
    Numbers
        The rate, below zero where the used oil holds less than the fresh. [mg/kg per unit of run]

    Raises
    ------
    OutOfRange
        Where a content is below zero or the run is not above zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *(C − C_f)/x*. *Valid for* a full change and no top-ups. *Not for* comparing runs of very
    different length: carry-over and run-in weigh more on short ones.

    References
    ----------
    .. [1] ASTM D7669-20, Standard Guide for Practical Lubricant Condition Data Trend Analysis
       (rate as change over usage; from memory).

    Examples
    --------
    >>> float(content_rate(100.0, 100.0))
    1.0
    """
    used, new = not_negative("A content", content), not_negative("The fresh oil's content", fresh)
    x = positive("The run", run)
    alike(content=used, run=x, fresh=new)
    return np.asarray((used - new) / x)


def content_by_mass(content_mg_l: ArrayLike, density_kg_l: ArrayLike) -> Numbers:
    """Return a content by mass from one by volume.

    Parameters
    ----------
    content_mg_l : ArrayLike
        The content by volume. [mg/L]
    density_kg_l : ArrayLike
        The oil's density at the temperature of the volume. [kg/L]

    Returns
    -------
    Numbers
        The content by mass. [mg/kg]

    Raises
    ------
    OutOfRange
        Where the content is below zero or the density is not above zero.

    Notes
    -----
    *w = c / ρ*: for an oil of 0.86 kg/L the two differ by 16 % of the smaller.

    References
    ----------
    .. [1] ISO 80000-9:2019, Quantities and units: Physical chemistry and molecular physics (mass
       concentration and mass fraction; from memory).

    Examples
    --------
    >>> round(float(content_by_mass(10.0, 0.86)), 3)
    11.628
    """
    by_volume = not_negative("A content", content_mg_l)
    density = positive("The density", density_kg_l)
    alike(content_mg_l=by_volume, density_kg_l=density)
    return np.asarray(by_volume / density)


def wear_rate(shed: Measured, run: Measured) -> Derived:
    """Return the metal shed per 1000 km or per hour.

    Parameters
    ----------
    shed : Measured
        The mass of metal shed over the run.
    run : Measured
        The run: a distance gives a rate per 1000 km, hours one per hour.

    Returns
    -------
    Derived
        The rate in mg/1000 km or mg/h, with its budget.

    Raises
    ------
    OutOfRange
        Where the run is not above zero.
    UnitDoesNotFit
        Where the run is neither a distance nor a time.

    References
    ----------
    .. [1] ASTM D7669-20, Standard Guide for Practical Lubricant Condition Data Trend Analysis
       (rate as change over usage; from memory).

    Examples
    --------
    >>> print(wear_rate(Measured(95.0, 4.2, "mg", "balance"), Measured(12000, 50, "km", "log")).result)
    7.92 ± 0.35 mg/1000 km
    """  # noqa: E501
    length, per = _run(run)
    return propagated(
        lambda m, x: m / x,
        {"metal shed": shed.to("mg"), "run": length},
        unit=f"mg/{per}",
        source=f"{shed.source}, divided by the run",
    )


def rate_of(content: Measured, run: Measured, fresh: Measured | None = None) -> Derived:
    """Return the rise of a content per 1000 km or per hour, the fresh oil's content subtracted.

    Parameters
    ----------
    content : Measured
        The content of the used oil.
    run : Measured
        The run: a distance gives a rate per 1000 km, hours one per hour.
    fresh : Measured, optional
        The content of the fresh oil, in a unit of the same kind; without it none is subtracted
        and a warning says so.

    Returns
    -------
    Derived
        The rate in the content's unit per 1000 km or per h, with its budget.

    Raises
    ------
    OutOfRange
        Where a content is below zero or the run is not above zero.
    UnitDoesNotFit
        Where the run is neither a distance nor a time, or one content is by mass and the other
        by volume.

    Notes
    -----
    As `content_rate`.

    References
    ----------
    .. [1] ASTM D7669-20, Standard Guide for Practical Lubricant Condition Data Trend Analysis
       (rate as change over usage; from memory).

    Examples
    --------
    >>> iron = Measured(20.0, 0.8, "mg/kg", "laboratory")
    >>> print(rate_of(iron, Measured(402, 1, "h", "log")).result)
    0.0498 ± 0.0020 mg/kg per h
    """
    length, per = _run(run)
    inputs = {"content": zero_or_above("content", content, content.unit), "run": length}
    source = f"{content.source}, divided by the run"
    shown = f"{content.unit} per {per}"
    if fresh is None:
        rate = propagated(lambda c, x: c / x, inputs, unit=shown, source=source)
        return rate.warned("The fresh oil's content is not known and was not subtracted.")
    inputs["fresh oil"] = zero_or_above("fresh oil's content", fresh, content.unit)
    return propagated(lambda c, x, f: (c - f) / x, inputs, unit=shown, source=source)


def compared_at_rate(
    reading: Measured,
    run: Measured,
    *,
    mean: Measured,
    mean_run: Measured,
    fresh: Measured | None = None,
) -> Comparison:
    """Compare a reading with a mean that was taken at another distance, both as rates.

    Parameters
    ----------
    reading : Measured
        The content of the used oil.
    run : Measured
        Its run, a distance or hours.
    mean : Measured
        The mean content that it is compared with; give it the spread of the mean.
    mean_run : Measured
        The mean run of the samples behind it, of the same kind.
    fresh : Measured, optional
        The content of the fresh oil, taken as that of both.

    Returns
    -------
    Comparison
        Both rates and their ratio, with warnings where the runs are far apart.

    Raises
    ------
    OutOfRange
        Where a content is below zero, a run is not above zero, or the mean does not exceed the
        fresh oil's content: no ratio exists then.
    UnitDoesNotFit
        Where one run is a distance and the other a time.

    Notes
    -----
    *((C − C_f)/x) / ((C̄ − C_f)/x̄)*. *Not for* a verdict: what engines like it do is a matter of
    their spread, not of one mean.

    References
    ----------
    .. [1] ASTM D7669-20, Standard Guide for Practical Lubricant Condition Data Trend Analysis
       (rate as change over usage; from memory).

    Examples
    --------
    >>> compared = compared_at_rate(
    ...     Measured(12, 0.5, "mg/kg", "laboratory"), Measured(19000, 50, "km", "log"),
    ...     mean=Measured(9, 0.2, "mg/kg", "peers"), mean_run=Measured(9500, 100, "km", "peers"),
    ...     fresh=Measured(1, 0.3, "mg/kg", "fresh sample"))
    >>> print(compared.ratio.result)
    0.688 ± 0.037
    """
    first, second = _run(run), _run(mean_run)
    if first[1] != second[1]:
        convert_to = "a distance" if first[1] == "1000 km" else "hours"
        raise OutOfRange("The mean's run", f"in {mean_run.unit}", f"{convert_to}, as the reading's")
    new = fresh if fresh is not None else Measured(0.0, 0.0, reading.unit, "not known")
    inputs = {
        "reading": zero_or_above("reading", reading, reading.unit),
        "run": first[0],
        "mean": zero_or_above("mean", mean, reading.unit),
        "run of the mean": second[0],
        "fresh oil": zero_or_above("fresh oil's content", new, reading.unit),
    }
    if inputs["mean"].value <= inputs["fresh oil"].value:
        raise OutOfRange("The mean", f"{mean.value:g} {mean.unit}", "above the fresh oil's content")
    ratio = propagated(
        lambda c, x, m, y, f: ((c - f) / x) / ((m - f) / y),
        inputs,
        unit="1",
        source="ratio of the two rates",
    )
    factor = first[0].value / second[0].value
    if not 1 / FAR_APART <= factor <= FAR_APART:
        ratio = ratio.warned(f"The runs differ by a factor of {factor:.2g}. {STRAIGHT_LINE}")
    return Comparison(rate_of(reading, run, fresh), rate_of(mean, mean_run, fresh), ratio)


def _run(run: Measured) -> tuple[Measured, str]:
    """Return a run in the unit that its rate is given for, and that unit."""
    one = above_zero("run", run, run.unit)
    if unit(one.unit).dimension.name == "time":
        return one.to("h"), "h"
    km = one.to("km")
    return Measured(
        km.value / 1000, km.uncertainty / 1000, "1000 km", km.source, km.degrees_of_freedom
    ), "1000 km"
