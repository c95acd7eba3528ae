"""How much metal an engine shed over a fill (mass balance of the sump; JCGM 100 for the doubt)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers
from lees.quantity.checks import above_zero, share, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated
from lees.wear.balance import Response


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
        Where a content is by volume: mg/L need a density, see `lees.wear.rates.content_by_mass`.

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
