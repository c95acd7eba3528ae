"""What debris a filter should hold by balance, and what it holds by weight (ISO 4405:1991)."""

from __future__ import annotations

import numpy as np

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers
from lees.quantity.checks import above_zero, share, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated


def expected_retained_mass(
    ingress: Measured, *, efficiency: Measured, flow: Measured, volume: Measured, run: Measured
) -> Derived:
    """Return the mass of filterable debris that a filter should have caught over a run.

    Parameters
    ----------
    ingress : Measured
        The mass of debris of filterable size that came into the oil over the run.
    efficiency : Measured
        The share held back in one pass, a plain number, leaks included.
    flow : Measured
        The flow through the filter.
    volume : Measured
        The oil in the sump.
    run : Measured
        The hours run.

    Returns
    -------
    Derived
        The mass in mg, with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    With *κ = E Q t / V* passes held over the run, *M = M₀ (1 − (1 − e^−κ)/κ)*: after minutes all
    but what has just come in is caught, so that even a poor filter holds nearly all coarse debris
    in the end. It differs from a good one in what passed the bearings meanwhile. *Not for* debris
    that settles in the sump or is too fine for the media.

    References
    ----------
    .. [1] Conservation of particles in a stirred vessel with steady ingress; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> caught = expected_retained_mass(
    ...     Measured(40, 10, "mg", "estimate"), efficiency=Measured(0.9, 0.02, "1", "claim"),
    ...     flow=Measured(20, 5, "L/min", "assumed"), volume=Measured(5, 0.1, "L", "poured"),
    ...     run=Measured(200, 1, "h", "log"))
    >>> print(caught.result)
    40 ± 10 mg
    """
    inputs = {
        "debris that came in": zero_or_above("debris that came in", ingress, "mg"),
        "efficiency": share("efficiency", above_zero("efficiency", efficiency, "1")),
        "flow": above_zero("flow", flow, "L/min"),
        "volume": above_zero("volume", volume, "L"),
        "run": above_zero("run", run, "min"),
    }

    def caught(m: Numbers, e: Numbers, q: Numbers, v: Numbers, t: Numbers) -> Numbers:
        passes = e * q * t / v
        return np.asarray(m * (1 + np.expm1(-passes) / passes))

    return propagated(caught, inputs, unit="mg", source="mass balance of the sump and filter")


def washed_debris(before: Measured, after: Measured, blank_loss: Measured | None = None) -> Derived:
    """Return the mass of debris washed off a piece of media, by weighing.

    Parameters
    ----------
    before : Measured
        The mass of the piece with its debris, oil washed out and dried.
    after : Measured
        The mass of the same piece with the debris washed off, dried alike.
    blank_loss : Measured, optional
        What a clean piece of the same size loses in the same washing; without it a warning says
        that lost fibres and resin count as debris.

    Returns
    -------
    Derived
        The mass in mg with its budget, and a warning where it is not clearly above zero.

    Raises
    ------
    OutOfRange
        Where a mass is not above zero, or the piece weighs clearly more after than before.

    Notes
    -----
    *m = m₁ − m₂ − m_blank*. *Valid for* pieces dried to constant mass before each weighing.
    *Not for* oily media: a drop of oil weighs as much as all the debris.

    References
    ----------
    .. [1] ISO 4405:1991, Hydraulic fluid power: Fluid contamination: Determination of particulate
       contamination by the gravimetric method (the way of weighing; from memory).

    Examples
    --------
    >>> debris = washed_debris(
    ...     Measured(2.4131, 0.0002, "g", "scale"), Measured(2.3980, 0.0002, "g", "scale"),
    ...     Measured(0.0012, 0.0003, "g", "scale"))
    >>> print(debris.result)
    13.90 ± 0.41 mg
    """
    inputs = {
        "mass before": above_zero("mass before", before, "mg"),
        "mass after": above_zero("mass after", after, "mg"),
    }
    source = "weighed before and after washing"
    if blank_loss is None:
        debris = propagated(lambda a, b: a - b, inputs, unit="mg", source=source).warned(
            "No blank was washed: fibres and resin lost in washing count as debris."
        )
    else:
        inputs["loss of a blank"] = zero_or_above("loss of a blank", blank_loss, "mg")
        debris = propagated(lambda a, b, c: a - b - c, inputs, unit="mg", source=source)
    low, high = debris.result.interval()
    if high < 0:
        raise OutOfRange(
            "The mass washed off",
            f"{debris.result.value:.3g} mg",
            "zero or above: dry and weigh again",
        )
    if low <= 0:
        return debris.warned("Not clearly above zero: the scale cannot tell it from nothing.")
    return debris
