"""How much media a filter has, by its strip and by its pleats, one face (plane geometry).

The two ways are compared by the normalised error of ISO 13528:2022.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from lees.errors import OutOfRange
from lees.quantity.checks import above_zero, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

STRIP_SOURCE = "length times width of the unfolded strip, one face"
PLEATS_SOURCE = "twice the number of pleats times depth times height, one face"


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two measurements of one thing: their difference in units of its expanded uncertainty."""

    difference: Measured
    normalised_error: float

    @property
    def agree(self) -> bool:
        """Whether the difference is within its expanded uncertainty (coverage 95 %)."""
        return abs(self.normalised_error) <= 1


@dataclass(frozen=True, slots=True)
class PleatSpacing:
    """How far apart the pleats stand at the outer and at the inner diameter, and the gap left.

    `inner_gap` is the free width between neighbouring folds at the inner diameter: the spacing
    there less two thicknesses of media.
    """

    outer: Derived
    inner: Derived
    inner_gap: Derived


def strip_area(length: Measured, width: Measured) -> Derived:
    """Return the area of one face of the media from its unfolded strip.

    Parameters
    ----------
    length : Measured
        The length of the strip, laid flat, without the overlap at the seam.
    width : Measured
        The width of the strip, which is the height of the pleats.

    Returns
    -------
    Derived
        The area in cm², with its budget.

    Raises
    ------
    OutOfRange
        Where a side is not above zero.

    Notes
    -----
    *A = L W*. One face, as a filter's area is customarily given; the oil passes both faces once.
    *Valid for* a strip that lies flat: folds that stay bent make the length read short.
    *Not for* the area that filters: subtract what glue and seam cover (`area_left`).

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> length = Measured(1830.0, 1.5, "mm", "steel rule")
    >>> print(strip_area(length, Measured(58.0, 0.1, "mm", "caliper")).result)
    1061.4 ± 2.0 cm²
    """
    sides = {"length of the strip": length, "width of the strip": width}
    in_mm = _lengths(sides)
    return propagated(lambda a, b: a * b / 100, in_mm, unit="cm²", source=STRIP_SOURCE)


def pleats_area(count: Measured, depth: Measured, height: Measured) -> Derived:
    """Return the area of one face of the media from its pleats.

    Parameters
    ----------
    count : Measured
        The number of pleats, counted at their outer tips; give a doubtful count an uncertainty.
    depth : Measured
        The depth of a pleat, from its outer tip to its inner fold.
    height : Measured
        The height of the pleats along the filter's axis.

    Returns
    -------
    Derived
        The area in cm², with its budget.

    Raises
    ------
    OutOfRange
        Where a count or a length is not above zero.

    Notes
    -----
    *A = 2 n d h*. *Valid for* pleats with straight legs and tight folds. *Not for* rounded or
    crushed pleats, whose legs are longer than they are deep: the strip tells then.

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> pleats = pleats_area(
    ...     Measured(55, 0, "1", "counted"),
    ...     Measured(12.0, 0.2, "mm", "caliper"),
    ...     Measured(70.0, 0.3, "mm", "caliper"),
    ... )
    >>> print(pleats.result)
    924 ± 16 cm²
    """
    inputs = {"number of pleats": _count(count)} | _lengths({"depth": depth, "height": height})
    return propagated(lambda n, d, h: 2 * n * d * h / 100, inputs, unit="cm²", source=PLEATS_SOURCE)


def agreement(first: Measured, second: Measured) -> Agreement:
    """Test whether two independent measurements of one thing agree.

    Parameters
    ----------
    first : Measured
        One measurement, such as the area by the strip.
    second : Measured
        The other, such as the area by the pleats.

    Returns
    -------
    Agreement
        The difference, first less second in the first's unit, and the normalised error.

    Raises
    ------
    OutOfRange
        Where neither measurement has an uncertainty: then nothing can be said.

    Notes
    -----
    *Eₙ = (x₁ − x₂) / √(U₁² + U₂²)* with expanded uncertainties at 95 %; |Eₙ| ≤ 1 agrees.
    *Valid for* independent measurements. *Not for* two that share an instrument's error, such as
    a caliper's zero: their difference is known better than this says, so that real differences
    may pass.

    References
    ----------
    .. [1] ISO 13528:2022, Statistical methods for use in proficiency testing by interlaboratory
       comparison, 9.7 (Eₙ score; clause from memory).

    Examples
    --------
    >>> strip = Measured(1061.4, 2.0, "cm²", "strip")
    >>> pleats = Measured(1044.0, 16.0, "cm²", "pleats")
    >>> agreement(strip, pleats).agree, round(agreement(strip, pleats).normalised_error, 2)
    (True, 0.55)
    """
    other = second.to(first.unit)
    half = math.hypot(first.expanded(), other.expanded())
    if half == 0:
        raise OutOfRange("The uncertainty of both measurements", 0, "above zero for one of them")
    difference = propagated(
        lambda a, b: a - b,
        {"first": first, "second": other},
        unit=first.unit,
        source=f"{first.source}, less {second.source}",
    )
    return Agreement(difference.result, (first.value - other.value) / half)


def pleat_spacing(
    count: Measured, *, outer_diameter: Measured, inner_diameter: Measured, thickness: Measured
) -> PleatSpacing:
    """Return the spacing of the pleats at their outer tips and inner folds.

    Parameters
    ----------
    count : Measured
        The number of pleats.
    outer_diameter : Measured
        The diameter over the outer tips.
    inner_diameter : Measured
        The diameter at the inner folds, which is about that of the centre tube.
    thickness : Measured
        The thickness of the media.

    Returns
    -------
    PleatSpacing
        Spacings and the free gap at the inner folds in mm; a gap that is not clearly above zero
        carries a warning, since touching pleats hide media from the oil.

    Raises
    ------
    OutOfRange
        Where a count or a length is not above zero, or the inner diameter is not the smaller.

    Notes
    -----
    *s = π D / n*; gap *= π Dᵢ / n − 2 t*. *Valid for* evenly spread pleats; gather them or lean
    them and some touch sooner.

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> spacing = pleat_spacing(
    ...     Measured(55, 0, "1", "counted"),
    ...     outer_diameter=Measured(64.0, 0.2, "mm", "caliper"),
    ...     inner_diameter=Measured(38.0, 0.2, "mm", "caliper"),
    ...     thickness=Measured(0.6, 0.02, "mm", "micrometer"),
    ... )
    >>> print(spacing.outer.result, "|", spacing.inner.result, "|", spacing.inner_gap.result)
    3.656 ± 0.011 mm | 2.171 ± 0.011 mm | 0.971 ± 0.042 mm
    """
    number = {"number of pleats": _count(count)}
    outer = _lengths({"outer diameter": outer_diameter})
    inner = _lengths({"inner diameter": inner_diameter})
    sheet = _lengths({"thickness of the media": thickness})
    if inner["inner diameter"].value >= outer["outer diameter"].value:
        raise OutOfRange(
            "The inner diameter", f"{inner_diameter.value:g} {inner_diameter.unit}",
            "smaller than the outer diameter",
        )  # fmt: skip
    source = "circumference divided by the number of pleats"
    gap = propagated(
        lambda n, d, t: math.pi * d / n - 2 * t, number | inner | sheet, unit="mm", source=source
    )
    if gap.result.interval()[0] <= 0:
        gap = gap.warned(
            "The pleats touch, or may touch, at the inner diameter: part of the media is hidden "
            "from the oil."
        )
    return PleatSpacing(
        propagated(lambda n, d: math.pi * d / n, number | outer, unit="mm", source=source),
        propagated(lambda n, d: math.pi * d / n, number | inner, unit="mm", source=source),
        gap,
    )


def area_left(
    length: Measured, width: Measured, *, seam_overlap: Measured, glued_edge: Measured
) -> Derived:
    """Return the area of one face that the oil can pass, less seam and glued edges.

    Parameters
    ----------
    length : Measured
        The length of the whole strip, the overlap at the seam counted once.
    width : Measured
        The width of the whole strip.
    seam_overlap : Measured
        The length of strip covered or crimped at the seam.
    glued_edge : Measured
        The width that each end cap's glue covers; the two edges are taken as alike.

    Returns
    -------
    Derived
        The area in cm², with its budget.

    Raises
    ------
    OutOfRange
        Where a side is not above zero, a loss is below zero, or nothing is left.

    Notes
    -----
    *A = (L − s)(W − 2 g)*. Customary losses are 5 to 15 % of the area (*from memory*); measure
    them where glue can be seen.

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> def mm(value): return Measured(value, 0.5, "mm", "rule")
    >>> print(area_left(mm(1830), mm(58), seam_overlap=mm(12), glued_edge=mm(2.5)).result)
    964 ± 20 cm²
    """
    sides = _lengths({"length of the strip": length, "width of the strip": width})
    losses = {"overlap at the seam": seam_overlap, "glued edge": glued_edge}
    in_mm = sides | {name: zero_or_above(name, one, "mm") for name, one in losses.items()}
    whole, high, overlap, edge = (one.value for one in in_mm.values())
    if overlap >= whole or 2 * edge >= high:
        raise OutOfRange("The area lost to seam and glue", "the whole strip", "less than the strip")
    return propagated(
        lambda a, b, s, g: (a - s) * (b - 2 * g) / 100,
        in_mm,
        unit="cm²",
        source="strip less seam and two glued edges, one face",
    )


def _lengths(sides: dict[str, Measured]) -> dict[str, Measured]:
    """Return lengths in mm; refuse what is not above zero."""
    return {name: above_zero(name, one, "mm") for name, one in sides.items()}


def _count(count: Measured) -> Measured:
    one = count.to("1")
    if one.value < 1:
        raise OutOfRange("The number of pleats", f"{one.value:g}", "one or more")
    return one
