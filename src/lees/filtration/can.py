"""What pressure the wall of a can stands, at most (thin-wall formula; Young and Budynas 2002)."""

from __future__ import annotations

from lees.errors import OutOfRange
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

THIN_WALL_RATIO = 10.0
UPPER_BOUND = (
    "An upper bound for the plain cylinder: seam, base plate and gasket usually yield first."
)


def hoop_stress(pressure: Measured, *, diameter: Measured, wall: Measured) -> Derived:
    """Return the hoop stress in the cylindrical wall of a can under pressure inside.

    Parameters
    ----------
    pressure : Measured
        The pressure inside over that outside.
    diameter : Measured
        The can's outer diameter.
    wall : Measured
        The thickness of its wall, paint removed.

    Returns
    -------
    Derived
        The stress in MPa at the wall's middle, with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero, or the wall is thicker than a tenth of the radius.

    Notes
    -----
    Table 13.1, case 1c: *σ = p r / t* with the mean radius *r = (D − t)/2*. *Valid for* a
    cylinder with *r / t* above 10, away from dome, bead and seam. *Not for* dome and base plate,
    which bend.

    References
    ----------
    .. [1] W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th edition, 2002,
       table 13.1, case 1c (from memory).

    Examples
    --------
    >>> stress = hoop_stress(
    ...     Measured(1.0, 0.0, "MPa", "assumed"),
    ...     diameter=Measured(76.0, 0.1, "mm", "caliper"),
    ...     wall=Measured(0.38, 0.005, "mm", "micrometer"),
    ... )
    >>> print(stress.result)
    99.5 ± 1.3 MPa
    """
    inputs = _cylinder(diameter, wall) | {"pressure": above_zero("pressure", pressure, "MPa")}
    return propagated(
        lambda d, t, p: p * (d - t) / (2 * t),
        inputs,
        unit="MPa",
        source="thin-wall formula on the can's cylinder",
    )


def wall_yield_pressure(yield_strength: Measured, *, diameter: Measured, wall: Measured) -> Derived:
    """Return the pressure at which the cylindrical wall of a can would begin to yield.

    Parameters
    ----------
    yield_strength : Measured
        The yield strength of the can's steel; a stated assumption unless it was tested.
    diameter : Measured
        The can's outer diameter.
    wall : Measured
        The thickness of its wall, paint removed.

    Returns
    -------
    Derived
        The pressure in MPa with its budget and the warning that it is an upper bound.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero, or the wall is thicker than a tenth of the radius.

    Notes
    -----
    `hoop_stress` solved for the pressure: *p = σ t / r*. *Not for* the pressure at which a can
    opens or leaks: that is a matter of seam, base plate and gasket and only a test shows it.

    References
    ----------
    .. [1] W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th edition, 2002,
       table 13.1, case 1c (from memory).

    Examples
    --------
    >>> bound = wall_yield_pressure(
    ...     Measured(200, 20, "MPa", "deep-drawing steel, assumed"),
    ...     diameter=Measured(76.0, 0.1, "mm", "caliper"),
    ...     wall=Measured(0.38, 0.005, "mm", "micrometer"),
    ... )
    >>> print(bound.result)
    2.01 ± 0.20 MPa
    """
    strength = {"yield strength": above_zero("yield strength", yield_strength, "MPa")}
    return propagated(
        lambda d, t, s: s * 2 * t / (d - t),
        _cylinder(diameter, wall) | strength,
        unit="MPa",
        source="thin-wall formula on the can's cylinder",
    ).warned(UPPER_BOUND)


def _cylinder(diameter: Measured, wall: Measured) -> dict[str, Measured]:
    d, t = above_zero("diameter", diameter, "mm"), above_zero("wall", wall, "mm")
    ratio = (d.value - t.value) / (2 * t.value)
    if ratio < THIN_WALL_RATIO:
        raise OutOfRange(
            "The ratio of the can's radius to its wall", f"{ratio:.3g}", "10 or more: a thin wall"
        )
    return {"diameter": d, "wall thickness": t}
