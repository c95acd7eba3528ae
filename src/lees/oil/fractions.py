"""Shares of a blend by mass and by volume, one from the other by the densities."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from lees.quantity.arrays import Numbers, alike, positive, within


def volume_fraction(
    mass_fraction: ArrayLike, *, added_density_kg_m3: ArrayLike, base_density_kg_m3: ArrayLike
) -> Numbers:
    """Return the share by volume of an addition known by its share by mass.

    Parameters
    ----------
    mass_fraction : array_like
        The share by mass [1].
    added_density_kg_m3 : array_like
        Density of what was added [kg/m³].
    base_density_kg_m3 : array_like
        Density of the liquid before the addition [kg/m³].

    Returns
    -------
    Numbers
        The share by volume, volumes taken as additive [1].

    Raises
    ------
    OutOfRange
        For a share outside 0 to 1, or a density that is not above zero.

    Notes
    -----
    ``φ = (x/ρ_a) / (x/ρ_a + (1 − x)/ρ_b)``.

    *Valid for* liquids that mix without shrinking.

    References
    ----------
    .. [1] The definition of density.

    Examples
    --------
    >>> share = volume_fraction(0.05, added_density_kg_m3=745, base_density_kg_m3=860)
    >>> round(100 * float(share), 2)
    5.73
    """
    x = within("The share by mass", mass_fraction, 0.0, 1.0)
    added = positive("The density of the addition", added_density_kg_m3)
    base = positive("The density of the base", base_density_kg_m3)
    alike(share=x, added=added, base=base)
    return np.asarray((x / added) / (x / added + (1.0 - x) / base))


def mass_fraction(
    volume_fraction: ArrayLike, *, added_density_kg_m3: ArrayLike, base_density_kg_m3: ArrayLike
) -> Numbers:
    """Return the share by mass of an addition known by its share by volume.

    Parameters
    ----------
    volume_fraction : array_like
        The share by volume [1].
    added_density_kg_m3 : array_like
        Density of what was added [kg/m³].
    base_density_kg_m3 : array_like
        Density of the liquid before the addition [kg/m³].

    Returns
    -------
    Numbers
        The share by mass [1].

    Raises
    ------
    OutOfRange
        For a share outside 0 to 1, or a density that is not above zero.

    Notes
    -----
    ``x = φ ρ_a / (φ ρ_a + (1 − φ) ρ_b)``.

    *Valid for* liquids that mix without shrinking.

    References
    ----------
    .. [1] The definition of density.

    Examples
    --------
    >>> share = mass_fraction(0.0573, added_density_kg_m3=745, base_density_kg_m3=860)
    >>> round(100 * float(share), 2)
    5.0
    """
    phi = within("The share by volume", volume_fraction, 0.0, 1.0)
    added = positive("The density of the addition", added_density_kg_m3)
    base = positive("The density of the base", base_density_kg_m3)
    alike(share=phi, added=added, base=base)
    return np.asarray(phi * added / (phi * added + (1.0 - phi) * base))
