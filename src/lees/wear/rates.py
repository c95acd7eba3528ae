"""How much metal an engine sheds per distance or hour (mass balance; JCGM 100 for the doubt)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.checks import above_zero, share, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated
from lees.quantity.units import unit
from lees.wear.balance import Response

STRAIGHT_LINE = (
    "Compared as if content grew in proportion to the run; carry-over and run-in make short runs "
    "look worse, top-ups make long ones look better."
)
FAR_APART = 2.0
"""Runs that differ by more than this factor are compared with a warning."""


@dataclass(frozen=True, slots=True)
class Charge:
    """The oil of one fill.

    `volume` is the full charge as poured, `density` the oil's at that temperature, `fresh` the
    content of the fresh oil. Where it is known, `previous` is the content of the oil drained and
    `residual` the share of the charge that stayed behind; contents are by mass.
    """

    volume: Measured
    density: Measured
    fresh: Measured
    previous: Measured | None = None
    residual: Measured | None = None


@dataclass(frozen=True, slots=True)
class ShedBounds:
    """Metal shed over a fill under both ways of losing oil: each is a bound, the truth between."""

    lost_with_oil: Derived
    evaporated: Derived


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


def shed_metal(content: Measured, charge: Charge, response: Response) -> Derived:
    """Return the mass of a metal shed into the oil over a fill.

    Parameters
    ----------
    content : Measured
        The content of the used oil, by mass.
    charge : Charge
        The oil of the fill.
    response : Response
        How the sump answered, from `lees.wear.balance`: single numbers, not arrays.

    Returns
    -------
    Derived
        The mass in mg with its budget; a warning where it is not clearly above zero.

    Raises
    ------
    OutOfRange
        Where a content is below zero, volume or density are not above zero, a share is not from
        0 to 1, or only one of previous content and residual share is given.
    UnitDoesNotFit
        Where a content is by volume: mg/L need a density, see `content_by_mass`.

    Notes
    -----
    *M = ρ V (C − carry C₀ − fresh C_f) / shed*, with *C₀* the fresh oil's content, or that of its
    mixture with the old oil left behind. *Valid for* what the laboratory's method sees: dissolved
    metal and particles up to a few micrometres. *Not for* what the filter holds. The doubt of the
    top-ups themselves is not in the budget; the two bounds of `shed_bounds` are wider than it.

    References
    ----------
    .. [1] Conservation of mass; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> from lees.wear.balance import steady_loss_with_oil
    >>> none = Measured(0.0, 0.0, "mg/kg", "assumed")
    >>> oil = Charge(Measured(5.0, 0.1, "L", "poured"), Measured(860, 0, "kg/m³", "data sheet"),
    ...              none)
    >>> iron = Measured(20.0, 0.8, "mg/kg", "laboratory")
    >>> print(shed_metal(iron, oil, steady_loss_with_oil(0.2)).result)
    94.9 ± 4.2 mg
    """
    inputs: Mapping[str, Measured] = {
        "content": zero_or_above("content", content, "mg/kg"),
        "fresh oil": zero_or_above("fresh oil's content", charge.fresh, "mg/kg"),
        "volume": above_zero("volume", charge.volume, "L"),
        "density": above_zero("density", charge.density, "kg/m³"),
        **_left_behind(charge),
    }

    # One model for both: the fresh oil's doubt comes in once, by way of mixture and top-ups.
    def mass(
        c: Numbers, cf: Numbers, v: Numbers, d: Numbers, old: ArrayLike = 0.0, f: ArrayLike = 0.0
    ) -> Numbers:
        start = np.asarray(f) * old + (1 - np.asarray(f)) * cf
        return d / 1000 * v * response.shed_per_charge(c, start, cf)

    shed = propagated(mass, inputs, unit="mg", source="mass balance of the sump")
    if shed.result.interval()[0] <= 0:
        return shed.warned(
            "Not clearly more than the oil held at the start: no wear can be shown from it."
        )
    return shed


def shed_bounds(
    content: Measured, charge: Charge, *, with_oil: Response, evaporated: Response
) -> ShedBounds:
    """Return the mass of a metal shed over a fill, under both ways of losing oil.

    Parameters
    ----------
    content : Measured
        The content of the used oil, by mass.
    charge : Charge
        The oil of the fill.
    with_oil : Response
        The response where the oil took its metals along: leaks, burnt oil.
    evaporated : Response
        The response where it left them behind.

    Returns
    -------
    ShedBounds
        Both masses in mg with their budgets.

    Raises
    ------
    OutOfRange
        As `shed_metal`.

    References
    ----------
    .. [1] Conservation of mass; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> from lees.wear.balance import steady_evaporation, steady_loss_with_oil
    >>> none = Measured(0.0, 0.0, "mg/kg", "assumed")
    >>> oil = Charge(Measured(5.0, 0.1, "L", "poured"), Measured(860, 0, "kg/m³", "data sheet"),
    ...              none)
    >>> bounds = shed_bounds(Measured(20.0, 0.8, "mg/kg", "laboratory"), oil,
    ...                      with_oil=steady_loss_with_oil(0.2), evaporated=steady_evaporation(0.2))
    >>> print(bounds.evaporated.result, "to", bounds.lost_with_oil.result)
    86.0 ± 3.8 mg to 94.9 ± 4.2 mg
    """
    return ShedBounds(
        shed_metal(content, charge, with_oil), shed_metal(content, charge, evaporated)
    )


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
    0.688 ± 0.037 1
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


def _left_behind(charge: Charge) -> dict[str, Measured]:
    """Return the old oil's content and share, or nothing where they are not known."""
    if charge.previous is None and charge.residual is None:
        return {}
    if charge.previous is None or charge.residual is None:
        raise OutOfRange(
            "The old oil left behind", "half known", "given by its content and its share, or not"
        )
    return {
        "old oil": zero_or_above("content of the old oil", charge.previous, "mg/kg"),
        "share left behind": share("share left behind", charge.residual),
    }


def _run(run: Measured) -> tuple[Measured, str]:
    """Return a run in the unit that its rate is given for, and that unit."""
    one = above_zero("run", run, run.unit)
    if unit(one.unit).dimension.name == "time":
        return one.to("h"), "h"
    km = one.to("km")
    return Measured(
        km.value / 1000, km.uncertainty / 1000, "1000 km", km.source, km.degrees_of_freedom
    ), "1000 km"
