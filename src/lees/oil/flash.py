"""What a flash point says of a lighter liquid in an oil, and which flash points may be compared."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import NotComparable, OutOfRange, ShapesDiffer
from lees.oil.precision import Laboratory, method_number, precision, standard_uncertainty
from lees.quantity.arrays import Numbers, alike, within
from lees.quantity.measured import Measured

ZERO_CELSIUS_K = 273.15
_HU_BURNS_POWER = 1.0 / -0.06


class Cup(StrEnum):
    """Whether the vapour can escape before the flame meets it."""

    OPEN = "open cup"
    CLOSED = "closed cup"


CUP_OF_METHOD: Mapping[str, Cup] = {
    "D92": Cup.OPEN,
    "2592": Cup.OPEN,
    "D1310": Cup.OPEN,
    "D93": Cup.CLOSED,
    "2719": Cup.CLOSED,
    "D56": Cup.CLOSED,
    "D3828": Cup.CLOSED,
    "3679": Cup.CLOSED,
    "D7094": Cup.CLOSED,
}
"""The cup of each method, by its bare number (D92 and D93 published, the others from memory)."""


@dataclass(frozen=True, slots=True)
class FlashPoint:
    """A flash point as reported, with its cup or its method where the report names one."""

    value_c: float
    method: str | None = None
    cup: Cup | None = None

    @property
    def known_cup(self) -> Cup | None:
        """The cup as said, or as the method uses it; None where neither is known."""
        if self.cup is not None or self.method is None:
            return self.cup
        return CUP_OF_METHOD.get(method_number(self.method))


@dataclass(frozen=True, slots=True)
class FlashDrop:
    """The fall of a flash point from fresh to used oil, both by one kind of cup."""

    fresh: Measured
    used: Measured
    drop: Measured
    cup: Cup | None
    warnings: tuple[str, ...]


def flash_drop(fresh: FlashPoint, used: FlashPoint, *, laboratory: Laboratory) -> FlashDrop:
    """Return how far the flash point fell, where the two may be compared at all.

    Parameters
    ----------
    fresh : FlashPoint
        The fresh oil's flash point [°C].
    used : FlashPoint
        The used oil's [°C].
    laboratory : Laboratory
        Whether both came from one laboratory; a data sheet is another one.

    Returns
    -------
    FlashDrop
        Fresh less used with its standard uncertainty, and what had to be assumed [°C].

    Raises
    ------
    NotComparable
        For an open against a closed cup.
    OutOfRange
        For a flash point that is not a temperature an oil can have.

    Notes
    -----
    Closed-cup results are lower, typically by 10 to 30 °C (from memory), and answer far more to
    fuel: an open cup lets light ends escape before the flame. Where a cup is not known, the two
    are compared as of one kind, and a warning says so.

    *Valid for* two flash points by one kind of cup.

    References
    ----------
    .. [1] ASTM D92, Standard Test Method for Flash and Fire Points by Cleveland Open Cup Tester,
       note 2 and 5.3.

    Examples
    --------
    >>> found = flash_drop(
    ...     FlashPoint(230, "D92"), FlashPoint(195, "D92"), laboratory=Laboratory.DIFFERENT
    ... )
    >>> print(found.drop)
    35.0 ± 9.2 °C
    """
    cups = (fresh.known_cup, used.known_cup)
    if None not in cups and cups[0] is not cups[1]:
        raise NotComparable(
            f"The fresh oil's flash point is by {cups[0]}, the used oil's by {cups[1]}: an open "
            "and a closed cup do not measure the same thing; measure the fresh oil as the used one."
        )
    warnings: tuple[str, ...] = ()
    if None in cups:
        which = "Neither flash point's" if cups == (None, None) else "Only one flash point's"
        warnings = (
            f"{which} cup is known; they are compared as if by one kind, which a closed cup "
            "against an open one would make wrong by 10 to 30 °C (from memory).",
        )
    cup = cups[0] or cups[1]
    measured = []
    for point in (fresh, used):
        within("The flash point in °C", point.value_c, 20.0, 400.0)
        method = point.method or {Cup.OPEN: "ASTM D92", Cup.CLOSED: "ASTM D93", None: None}[cup]
        found = precision("flash", method, point.value_c, "°C")
        measured.append(standard_uncertainty(found, laboratory))
    drop = Measured(
        fresh.value_c - used.value_c,
        math.hypot(measured[0].uncertainty, measured[1].uncertainty),
        "°C",
        f"{measured[0].source} less the same of the used oil",
    )
    return FlashDrop(measured[0], measured[1], drop, cup, warnings)


def flash_index(flash_c: ArrayLike) -> Numbers:
    """Return the blending index of a flash point by Wickey and Chittenden.

    Parameters
    ----------
    flash_c : array_like
        Flash point [°C].

    Returns
    -------
    Numbers
        The index, which adds up by volume [1].

    Raises
    ------
    OutOfRange
        Outside −60 to 400 °C.

    Notes
    -----
    ``log I = −6.1188 + 4345.2 / (T_F + 383)``, the flash point in °F (constants from memory; they
    reproduce a published blending table within 0.3 % up to 70 °C).

    *Valid for* blends of fuels. *Not for* fuel in engine oil by open cup as it stands: the light
    ends are gone before the flame, and the rule would see 2 % petrol as a flash of −14 °C.

    References
    ----------
    .. [1] R. O. Wickey and D. H. Chittenden, Flash points of blends correlated, Hydrocarbon
       Processing 42(6), 1963, 157; API Technical Data Book, procedure 2B7.

    Examples
    --------
    >>> round(float(flash_index(40)), 1)
    636.2
    """
    t = within("The flash point in °C", flash_c, -60.0, 400.0)
    return np.asarray(10.0 ** (-6.1188 + 4345.2 / (1.8 * t + 32.0 + 383.0)))


def flash_from_index(index: ArrayLike) -> Numbers:
    """Return the flash point that belongs to a Wickey–Chittenden index.

    Parameters
    ----------
    index : array_like
        The index [1].

    Returns
    -------
    Numbers
        Flash point [°C].

    Raises
    ------
    OutOfRange
        For an index of a flash point outside −60 to 400 °C.

    Notes
    -----
    `flash_index` solved for the temperature.

    *Valid for* what `flash_index` is valid for.

    References
    ----------
    .. [1] R. O. Wickey and D. H. Chittenden, Flash points of blends correlated, Hydrocarbon
       Processing 42(6), 1963, 157; API Technical Data Book, procedure 2B7.

    Examples
    --------
    >>> round(float(flash_from_index(flash_index(66))), 6)
    66.0
    """
    low, high = float(flash_index(400.0)), float(flash_index(-60.0))
    found = within("The flash index", index, low * (1 - 1e-9), high * (1 + 1e-9))
    return np.asarray((4345.2 / (np.log10(found) + 6.1188) - 383.0 - 32.0) / 1.8)


def blend_flash(flashes_c: Sequence[ArrayLike], volume_fractions: Sequence[ArrayLike]) -> Numbers:
    """Return the flash point of a blend by the Wickey–Chittenden index.

    Parameters
    ----------
    flashes_c : sequence of array_like
        Flash point of each component, all by one kind of cup [°C].
    volume_fractions : sequence of array_like
        The share of each by volume; they add up to one [1].

    Returns
    -------
    Numbers
        Flash point of the blend [°C].

    Raises
    ------
    OutOfRange
        For shares that do not add up to one, or a flash point outside −60 to 400 °C.
    ShapesDiffer
        Where there are not as many shares as flash points.

    Notes
    -----
    ``I = Σ vᵢ Iᵢ``.

    *Valid for* blends of fuels, closed cup. *Not for* fuel in engine oil; see `flash_index`.

    References
    ----------
    .. [1] R. O. Wickey and D. H. Chittenden, Flash points of blends correlated, Hydrocarbon
       Processing 42(6), 1963, 157; API Technical Data Book, procedure 2B7.

    Examples
    --------
    >>> round(float(blend_flash([38, 66], [0.5, 0.5])), 2)
    45.48
    """
    shares = _checked_shares(flashes_c, volume_fractions)
    indices = [flash_index(flash) for flash in flashes_c]
    alike(**{f"part {n}": part for n, part in enumerate((*indices, *shares), 1)})
    return flash_from_index(sum(v * i for v, i in zip(shares, indices, strict=True)))


def blend_flash_hu_burns(
    flashes_c: Sequence[ArrayLike], volume_fractions: Sequence[ArrayLike]
) -> Numbers:
    """Return the flash point of a blend by Hu and Burns, the rival of Wickey and Chittenden.

    Parameters
    ----------
    flashes_c : sequence of array_like
        Flash point of each component, all by one kind of cup [°C].
    volume_fractions : sequence of array_like
        The share of each by volume; they add up to one [1].

    Returns
    -------
    Numbers
        Flash point of the blend [°C].

    Raises
    ------
    OutOfRange
        For shares that do not add up to one, or a flash point outside −60 to 400 °C.
    ShapesDiffer
        Where there are not as many shares as flash points.

    Notes
    -----
    ``T = [Σ vᵢ Tᵢ^(1/−0.06)]^(−0.06)`` with absolute temperatures (from memory); the same in
    kelvin and in degrees Rankine.

    *Valid for* blends of fuels, closed cup. *Not for* fuel in engine oil; see `flash_index`.

    References
    ----------
    .. [1] J. Hu and A. M. Burns, New method predicts cloud, pour, flash points of distillate
       blends, Hydrocarbon Processing 49(11), 1970, 213 (from memory).

    Examples
    --------
    >>> round(float(blend_flash_hu_burns([38, 66], [0.5, 0.5])), 2)
    47.09
    """
    shares = _checked_shares(flashes_c, volume_fractions)
    temperatures = [
        within("The flash point in °C", flash, -60.0, 400.0) + ZERO_CELSIUS_K for flash in flashes_c
    ]
    alike(**{f"part {n}": part for n, part in enumerate((*temperatures, *shares), 1)})
    summed = sum(v * t**_HU_BURNS_POWER for v, t in zip(shares, temperatures, strict=True))
    return np.asarray(np.asarray(summed) ** (1.0 / _HU_BURNS_POWER) - ZERO_CELSIUS_K)


def effective_flash(base_c: float, blend_c: float, volume_fraction: float) -> float:
    """Return the flash point that an added liquid acts with, from a blend that was measured.

    Parameters
    ----------
    base_c : float
        Flash point before the addition [°C].
    blend_c : float
        Flash point of the blend, by the same cup [°C].
    volume_fraction : float
        The share added, by volume [1].

    Returns
    -------
    float
        The effective flash point of the addition in the Wickey–Chittenden rule [°C].

    Raises
    ------
    OutOfRange
        Where the blend does not flash lower than the base, or the share is not between 0 and 1.

    Notes
    -----
    ``I_a = (I_blend − (1 − v) I_base) / v``. For petrol in engine oil by open cup this is far
    above the petrol's own flash point, since its light ends escape before the flame.

    *Valid for* the cup and the kind of fuel it was found with.

    References
    ----------
    .. [1] D. Ljubas, H. Krpan, I. Matanović, Influence of engine oils dilution by fuels on their
       viscosity, flash point and fire point, Nafta 61(2), 2010 (year and issue from memory):
       5 % by mass of petrol brings 15W-40 and 5W-30 to about 150 °C.

    Examples
    --------
    >>> round(effective_flash(230, 150, 0.0573))
    89
    """
    v = float(within("The share by volume", volume_fraction, 1e-6, 1.0))
    if blend_c >= base_c:
        raise OutOfRange("The blend's flash point", f"{blend_c:g} °C", f"below {base_c:g} °C")
    index = (float(flash_index(blend_c)) - (1.0 - v) * float(flash_index(base_c))) / v
    return float(flash_from_index(index))


def _checked_shares(flashes: Sequence[ArrayLike], fractions: Sequence[ArrayLike]) -> list[Numbers]:
    if len(flashes) != len(fractions):
        raise ShapesDiffer(
            f"There are {len(flashes)} flash points and {len(fractions)} shares; give one share "
            "for each."
        )
    shares = [within("A share", share, 0.0, 1.0) for share in fractions]
    alike(**{f"share {n}": part for n, part in enumerate(shares, 1)})
    total = np.asarray(sum(shares))
    if (np.abs(total - 1.0) > 1e-6).any():
        raise OutOfRange("The sum of the shares", f"{float(total.flat[0]):g}", "1")
    return shares
