"""How large a small disc is that blur has made to look larger or smaller than it is.

A disc blurred by a Gaussian is the chance that a point scattered about *r* falls within *R*: the
non-central chi-square distribution with two degrees of freedom (Abramowitz and Stegun, 26.4.25).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from lees.quantity.arrays import Numbers, not_negative, positive

_LARGEST = 40.0


def radius_behind(apparent_px: Numbers, blur_px: Numbers) -> Numbers:
    """Return the radius of a disc from the radius at which its blurred image is half its middle.

    Parameters
    ----------
    apparent_px : ndarray
        The radius of the contour at half the height of the blurred disc's middle [px].
    blur_px : ndarray
        The blur as a Gaussian's sigma [px].

    Returns
    -------
    ndarray
        The radius of the sharp disc; where blur alone looks as large, next to nothing [px].

    Notes
    -----
    Valid for discs; for any smooth outline the blur takes π σ² from the area to first order,
    whatever its shape, which is what this comes to where the radius is above three sigmas.

    References
    ----------
    .. [1] M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 1964, 26.4.25.

    Examples
    --------
    >>> radius_behind(np.array([2.85, 20.0]), np.array([1.0, 1.0])).round(1)
    array([ 3., 20.])
    """
    apparent = not_negative("An apparent radius", apparent_px)
    blur = positive("The blur", blur_px)
    true, seen = _table()
    ratio = apparent / blur
    inside = np.interp(ratio, seen, true)
    far = np.sqrt(np.maximum(ratio**2 + 1.0, 0.0))
    return np.where(ratio < seen[-1], inside, far) * blur


@cache
def _table() -> tuple[Numbers, Numbers]:
    """Return radii in sigmas and the radii at half height that they show."""
    from scipy.special import chndtr

    true = np.concatenate([np.linspace(0.02, 4, 160), np.geomspace(4.05, _LARGEST, 60)])
    half = -np.expm1(-(true**2) / 2) / 2
    low, high = np.zeros_like(true), true + 2.0
    for _ in range(50):
        middle = (low + high) / 2
        inside = chndtr(true**2, 2, middle**2) > half
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return true, np.maximum.accumulate(low)
