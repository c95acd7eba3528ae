"""The oil as it flows through a filter: kinematic viscosity, density, and their product."""

from __future__ import annotations

from dataclasses import dataclass

from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated


@dataclass(frozen=True, slots=True)
class Oil:
    """The oil at one temperature: kinematic viscosity and density there."""

    viscosity: Measured
    density: Measured

    def inputs(self) -> dict[str, Measured]:
        """Return the viscosity in mm²/s and the density in kg/m³, both above zero."""
        return {
            "kinematic viscosity": above_zero("kinematic viscosity", self.viscosity, "mm²/s"),
            "density": above_zero("density", self.density, "kg/m³"),
        }


def dynamic_viscosity(oil: Oil) -> Derived:
    """Return the dynamic viscosity of the oil.

    Parameters
    ----------
    oil : Oil
        The oil at one temperature.

    Returns
    -------
    Derived
        The dynamic viscosity in mPa·s, with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *μ = ν ρ*.

    References
    ----------
    .. [1] ISO 3104:2020, Petroleum products: Transparent and opaque liquids: Determination of
       kinematic viscosity and calculation of dynamic viscosity.

    Examples
    --------
    >>> print(dynamic_viscosity(Oil(Measured(1000, 20, "mm²/s", "D341"),
    ...                             Measured(880, 5, "kg/m³", "assumed"))).result)
    880 ± 18 mPa·s
    """
    return propagated(
        lambda nu, rho: nu * rho / 1e3,
        oil.inputs(),
        unit="mPa·s",
        source="kinematic viscosity times density",
    )
