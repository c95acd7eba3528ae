"""How much a filter holds back: β and efficiency (ISO 4548-12), what a leak leaves, clean-up.

Balances of a stirred sump as in any textbook of chemical engineering.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, not_negative, positive, within
from lees.quantity.checks import share
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated


def efficiency_from_beta(beta: ArrayLike) -> Numbers:
    """Return the share of particles that a filter holds back in one pass.

    Parameters
    ----------
    beta : ArrayLike
        Particles of a size and larger before the filter, for one behind it. [1]

    Returns
    -------
    Numbers
        The efficiency. [1]

    Raises
    ------
    OutOfRange
        Where β is below 1: more behind than before is no efficiency.

    Notes
    -----
    *E = 1 − 1/β*. *Valid for* the size, dust, flow and oil of the test alone.

    References
    ----------
    .. [1] ISO 4548-12:2017, Methods of test for full-flow lubricating oil filters for internal
       combustion engines: Filtration efficiency using particle counting and contaminant retention
       capacity (filtration ratio; from memory).

    Examples
    --------
    >>> efficiency_from_beta([2, 20, 75, 1000]).round(5)
    array([0.5    , 0.95   , 0.98667, 0.999  ])
    """
    ratio = positive("β", beta)
    if (ratio < 1).any():
        raise OutOfRange("β", float(np.min(ratio)), "1 or more: before over behind")
    return np.asarray(1 - 1 / ratio)


def beta_from_efficiency(efficiency: ArrayLike) -> Numbers:
    """Return β, particles before the filter for one behind it, from the efficiency.

    Parameters
    ----------
    efficiency : ArrayLike
        The share held back in one pass, below 1. [1]

    Returns
    -------
    Numbers
        β. [1]

    Raises
    ------
    OutOfRange
        Where the efficiency is below 0, or is 1 or above, where β has no bound.

    Notes
    -----
    *β = 1/(1 − E)*.

    References
    ----------
    .. [1] ISO 4548-12:2017, Methods of test for full-flow lubricating oil filters for internal
       combustion engines: Filtration efficiency using particle counting and contaminant retention
       capacity (filtration ratio; from memory).

    Examples
    --------
    >>> beta_from_efficiency([0.5, 0.95, 0.987]).round(1)
    array([ 2. , 20. , 76.9])
    """
    held = not_negative("The efficiency", efficiency)
    if (held >= 1).any():
        raise OutOfRange("The efficiency", float(np.max(held)), "from 0 to below 1")
    return np.asarray(1 / (1 - held))


def efficiency_left(efficiency: ArrayLike, leak_share: ArrayLike) -> Numbers:
    """Return the efficiency that is left when a share of the oil goes round the media.

    Parameters
    ----------
    efficiency : ArrayLike
        The efficiency of the media. [1]
    leak_share : ArrayLike
        The share of the flow that goes round them. [1]

    Returns
    -------
    Numbers
        The efficiency of the whole. [1]

    Raises
    ------
    OutOfRange
        Where a share is not from 0 to 1.

    Notes
    -----
    *E' = (1 − b) E*: at b = 5 %, β of the whole cannot exceed 20 however good the media.

    References
    ----------
    .. [1] Conservation of particles where two streams join.

    Examples
    --------
    >>> efficiency_left(0.95, [0.0, 0.05, 0.10, 0.20]).round(4)
    array([0.95  , 0.9025, 0.855 , 0.76  ])
    """
    held = within("The efficiency", efficiency, 0.0, 1.0)
    leaked = within("The share that leaks", leak_share, 0.0, 1.0)
    alike(efficiency=held, leak_share=leaked)
    return np.asarray((1 - leaked) * held)


def efficiency_with_leak(efficiency: Measured, leak_share: Measured) -> Derived:
    """Return the efficiency that is left with a leak, with its uncertainty.

    Parameters
    ----------
    efficiency : Measured
        The efficiency of the media, a plain number.
    leak_share : Measured
        The share of the flow that goes round them, a plain number.

    Returns
    -------
    Derived
        The efficiency of the whole, a plain number, with its budget.

    Raises
    ------
    OutOfRange
        Where a share is not from 0 to 1.

    Notes
    -----
    As `efficiency_left`.

    References
    ----------
    .. [1] Conservation of particles where two streams join; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> print(efficiency_with_leak(Measured(0.95, 0.01, "1", "maker's claim"),
    ...                            Measured(0.05, 0.02, "1", "slit")).result)
    0.902 ± 0.021
    """
    inputs = {"efficiency": share("efficiency", efficiency), "leak": share("leak", leak_share)}
    return propagated(
        lambda e, b: (1 - b) * e, inputs, unit="1", source="efficiency of media and leak together"
    )


def share_in_suspension(
    minutes: ArrayLike, *, efficiency: ArrayLike, flow_l_min: ArrayLike, volume_l: ArrayLike
) -> Numbers:
    """Return the share of particles still in the oil after some minutes of filtering.

    Parameters
    ----------
    minutes : ArrayLike
        For how long the oil has been filtered. [min]
    efficiency : ArrayLike
        The share held back in one pass. [1]
    flow_l_min : ArrayLike
        The flow through the filter. [L/min]
    volume_l : ArrayLike
        The oil in the sump. [L]

    Returns
    -------
    Numbers
        The share left. [1]

    Raises
    ------
    OutOfRange
        Where a quantity is outside its bounds.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *N/N₀ = exp(−E Q t / V)*. *Valid for* a stirred sump and no new particles. *Not for* what
    settles in the sump.

    References
    ----------
    .. [1] Conservation of particles in a stirred vessel.

    Examples
    --------
    >>> round(float(share_in_suspension(1, efficiency=0.5, flow_l_min=20, volume_l=5)), 4)
    0.1353
    """
    t, held = not_negative("The time", minutes), within("The efficiency", efficiency, 0.0, 1.0)
    flow, volume = positive("The flow", flow_l_min), positive("The volume", volume_l)
    alike(minutes=t, efficiency=held, flow_l_min=flow, volume_l=volume)
    return np.asarray(np.exp(-held * flow * t / volume))


def content_after_passes(
    passes: ArrayLike, *, removal: ArrayLike, production: ArrayLike
) -> Numbers:
    """Return the content of filterable particles after some passes of steady production.

    Parameters
    ----------
    passes : ArrayLike
        How many times the oil has passed the filter. [1]
    removal : ArrayLike
        The share removed in one pass. [1]
    production : ArrayLike
        What each pass adds. [any]

    Returns
    -------
    Numbers
        The content just before the filter, in the production's unit. [as production]

    Raises
    ------
    OutOfRange
        Where the removal is not above 0 and up to 1, or another quantity is below zero.

    Notes
    -----
    *Cₙ = p (1 − (1 − e)ⁿ)/e*, with the limit *p/e*: what a filter catches tells the rate now,
    while dissolved and fine metal tell the total since the fill.

    References
    ----------
    .. [1] D. P. Anderson, R. D. Driver, Equilibrium particle concentration in engine oil, Wear 56
       (1979) 415–419 (from memory).

    Examples
    --------
    >>> content_after_passes([1, 2, 1000], removal=0.5, production=3.0)
    array([3. , 4.5, 6. ])
    """
    n, added = not_negative("The passes", passes), not_negative("The production", production)
    removed = within("The removal", positive("The removal", removal), 0.0, 1.0)
    alike(passes=n, removal=removed, production=added)
    return np.asarray(added * (1 - (1 - removed) ** n) / removed)


def passes_to_share(share_of_limit: ArrayLike, removal: ArrayLike) -> Numbers:
    """Return after how many passes the content has come to a share of its limit.

    Parameters
    ----------
    share_of_limit : ArrayLike
        The share of the limit, below 1. [1]
    removal : ArrayLike
        The share removed in one pass, below 1. [1]

    Returns
    -------
    Numbers
        The number of passes, not rounded. [1]

    Raises
    ------
    OutOfRange
        Where a share is not between 0 and 1.

    Notes
    -----
    *n = ln(1 − s)/ln(1 − e)*.

    References
    ----------
    .. [1] D. P. Anderson, R. D. Driver, Equilibrium particle concentration in engine oil, Wear 56
       (1979) 415–419 (from memory).

    Examples
    --------
    >>> passes_to_share(0.99, [0.5, 0.05]).round(2)
    array([ 6.64, 89.78])
    """
    s, removed = _between("The share of the limit", share_of_limit), _between("Removal", removal)
    alike(share_of_limit=s, removal=removed)
    return np.asarray(np.log1p(-s) / np.log1p(-removed))


def _between(name: str, values: ArrayLike) -> Numbers:
    array = finite(name, values)
    outside = (array <= 0) | (array >= 1)
    if outside.any():
        raise OutOfRange(name, float(np.atleast_1d(array[outside]).flat[0]), "between 0 and 1")
    return array
