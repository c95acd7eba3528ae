"""How easily oil passes the media: rival formulas of fibre beds, and the measured air permeability.

Davies 1952, Kuwabara 1959, Jackson and James 1986, Kozeny and Carman 1937; all for Darcy's law.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, positive
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

AIR_VISCOSITY_MPA_S = 0.0182
"""Dynamic viscosity of air at about 20 °C and one atmosphere."""

DARCY_M2 = 9.869233e-13
KOZENY_FIBRES = 5.0
FIBRE_DENSITY_KG_M3: Mapping[str, float] = MappingProxyType(
    {"cellulose": 1500.0, "glass": 2500.0, "polyester": 1380.0}
)
"""Densities of the solid fibres (from memory)."""


@dataclass(frozen=True, slots=True)
class Model:
    """A formula for the permeability of a fibre bed, and the solidities it holds for."""

    function: Callable[[ArrayLike, ArrayLike], Numbers]
    lower: float
    upper: float
    source: str


@dataclass(frozen=True, slots=True)
class Rival:
    """What one of the models gives, and a warning where it is used outside its solidities."""

    permeability_m2: float
    warning: str | None


def solidity(basis_weight: Measured, thickness: Measured, fibre_density: Measured) -> Derived:
    """Return the share of a medium's volume that is solid.

    Parameters
    ----------
    basis_weight : Measured
        The mass per area of the clean, dry medium.
    thickness : Measured
        Its thickness.
    fibre_density : Measured
        The density of what it is made of; see `FIBRE_DENSITY_KG_M3`.

    Returns
    -------
    Derived
        The solidity, a plain number, with its budget; one less it is the porosity.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero, or the solidity would be 1 or more.

    Notes
    -----
    *α = W / (t ρ)*. *Valid for* media washed and dried. *Not for* media that still hold oil or
    dirt: they weigh too much.

    References
    ----------
    .. [1] R. C. Brown, Air Filtration, 1993, chapter 2 (packing fraction; from memory).

    Examples
    --------
    >>> print(solidity(Measured(130, 2, "g/m²", "scale"), Measured(0.60, 0.01, "mm", "micrometer"),
    ...                Measured(1500, 0, "kg/m³", "cellulose")).result)
    0.1444 ± 0.0033
    """
    inputs = {
        "mass per area": above_zero("mass per area", basis_weight, "g/m²"),
        "thickness": above_zero("thickness", thickness, "mm"),
        "density of the fibres": above_zero("density of the fibres", fibre_density, "kg/m³"),
    }
    found = propagated(
        lambda w, t, d: w / (t * d), inputs, unit="1", source="mass per area, thickness, density"
    )
    if found.result.value >= 1:
        raise OutOfRange(
            "The solidity", f"{found.result.value:.3g}", "below 1: look at the units once more"
        )
    return found


def davies(fibre_diameter_um: ArrayLike, solidity: ArrayLike) -> Numbers:
    """Return the permeability of a fibre bed by Davies' formula.

    Parameters
    ----------
    fibre_diameter_um : ArrayLike
        The diameter of the fibres. [µm]
    solidity : ArrayLike
        The share of the volume that is solid. [1]

    Returns
    -------
    Numbers
        The permeability. [m²]

    Raises
    ------
    OutOfRange
        Where a diameter is not above zero or a solidity not between 0 and 1.

    Notes
    -----
    *k = d² / (64 α^1.5 (1 + 56 α³))*: a fit to measured beds. *Valid for* solidities from 0.006
    to 0.3. *Not for* wide mixtures of fibre diameters.

    References
    ----------
    .. [1] C. N. Davies, The separation of airborne dust and particles, Proceedings of the
       Institution of Mechanical Engineers B1 (1952) 185–213 (constants from memory).

    Examples
    --------
    >>> print(f"{davies(3.42, 0.0493):.3e}")
    1.658e-11
    """
    d, a = _bed(fibre_diameter_um, solidity)
    return np.asarray(d**2 / (64 * a**1.5 * (1 + 56 * a**3)))


def kuwabara(fibre_diameter_um: ArrayLike, solidity: ArrayLike) -> Numbers:
    """Return the permeability of a fibre bed by Kuwabara's cell model.

    Parameters
    ----------
    fibre_diameter_um : ArrayLike
        The diameter of the fibres. [µm]
    solidity : ArrayLike
        The share of the volume that is solid. [1]

    Returns
    -------
    Numbers
        The permeability. [m²]

    Raises
    ------
    OutOfRange
        Where a diameter is not above zero or a solidity not between 0 and 1.

    Notes
    -----
    *k = d² Ku / (16 α)*, *Ku = −½ ln α − ¾ + α − α²/4*: parallel fibres across the flow, evenly
    spaced. *Not for* close beds, nor where fibres lie along the flow: real mats let more through.

    References
    ----------
    .. [1] S. Kuwabara, The forces experienced by randomly distributed parallel circular cylinders
       or spheres in a viscous flow at small Reynolds numbers, Journal of the Physical Society of
       Japan 14 (1959) 527–532 (from memory).

    Examples
    --------
    >>> print(f"{kuwabara(3.42, 0.0493):.3e}")
    1.192e-11
    """
    d, a = _bed(fibre_diameter_um, solidity)
    factor = -0.5 * np.log(a) - 0.75 + a - a**2 / 4
    return np.asarray(d**2 * factor / (16 * a))


def jackson_james(fibre_diameter_um: ArrayLike, solidity: ArrayLike) -> Numbers:
    """Return the permeability of a random fibre bed by Jackson and James.

    Parameters
    ----------
    fibre_diameter_um : ArrayLike
        The diameter of the fibres. [µm]
    solidity : ArrayLike
        The share of the volume that is solid. [1]

    Returns
    -------
    Numbers
        The permeability. [m²]

    Raises
    ------
    OutOfRange
        Where a diameter is not above zero, or a solidity is not between 0 and 0.394, where the
        formula ends.

    Notes
    -----
    *k = 3 r² (−ln α − 0.931) / (20 α)*: fibres in three directions, by a theory of thin beds.

    References
    ----------
    .. [1] G. W. Jackson, D. F. James, The permeability of fibrous porous media, Canadian Journal
       of Chemical Engineering 64 (1986) 364–374 (from memory).

    Examples
    --------
    >>> print(f"{jackson_james(3.42, 0.0493):.3e}")
    1.850e-11
    """
    d, a = _bed(fibre_diameter_um, solidity)
    factor = -np.log(a) - 0.931
    if (factor <= 0).any():
        raise OutOfRange("The solidity", float(np.max(a)), "below 0.394 for this formula")
    return np.asarray(3 * (d / 2) ** 2 * factor / (20 * a))


def kozeny_carman(fibre_diameter_um: ArrayLike, solidity: ArrayLike) -> Numbers:
    """Return the permeability of a fibre bed by Kozeny and Carman.

    Parameters
    ----------
    fibre_diameter_um : ArrayLike
        The diameter of the fibres. [µm]
    solidity : ArrayLike
        The share of the volume that is solid. [1]

    Returns
    -------
    Numbers
        The permeability. [m²]

    Raises
    ------
    OutOfRange
        Where a diameter is not above zero or a solidity not between 0 and 1.

    Notes
    -----
    *k = ε³ d² / (16 k₀ α²)* with *ε = 1 − α* and *k₀ = 5*: channels between packed solids.
    *Valid for* solidities from about 0.15. *Not for* open mats: at 0.05 it lets three times too
    much through.

    References
    ----------
    .. [1] P. C. Carman, Fluid flow through granular beds, Transactions of the Institution of
       Chemical Engineers 15 (1937) 150–166 (from memory).

    Examples
    --------
    >>> print(f"{kozeny_carman(20, 0.20):.2e}")
    6.40e-11
    """
    d, a = _bed(fibre_diameter_um, solidity)
    return np.asarray((1 - a) ** 3 * d**2 / (16 * KOZENY_FIBRES * a**2))


MODELS: Mapping[str, Model] = MappingProxyType(
    {
        "Davies": Model(davies, 0.006, 0.3, "Davies 1952"),
        "Kuwabara": Model(kuwabara, 0.0, 0.2, "Kuwabara 1959; bounds from memory"),
        "Jackson–James": Model(jackson_james, 0.0, 0.25, "Jackson and James 1986; from memory"),
        "Kozeny–Carman": Model(kozeny_carman, 0.15, 0.7, "Carman 1937; bounds from memory"),
    }
)
"""The rivals by name, with the solidities that each holds for."""


def rivals(fibre_diameter_um: float, solidity: float) -> dict[str, Rival]:
    """Return what every model gives, each with a warning outside its solidities.

    Parameters
    ----------
    fibre_diameter_um : float
        The diameter of the fibres. [µm]
    solidity : float
        The share of the volume that is solid. [1]

    Returns
    -------
    dict of str to Rival
        The permeabilities by the models' names; a model that ends before this solidity is
        left out.

    Raises
    ------
    OutOfRange
        Where the diameter is not above zero or the solidity not between 0 and 1.

    Notes
    -----
    The rivals differ by a third and more: their spread is part of what is not known. A measured
    air permeability (`permeability_from_air`) beats them all.

    References
    ----------
    .. [1] As each model's.

    Examples
    --------
    >>> {name: f"{one.permeability_m2:.2e}" for name, one in rivals(5, 0.08).items()}
    {'Davies': '1.68e-11', 'Kuwabara': '1.15e-11', 'Jackson–James': '1.87e-11', 'Kozeny–Carman': '3.80e-11'}
    >>> rivals(5, 0.08)["Kozeny–Carman"].warning
    'Kozeny–Carman holds for solidities from 0.15 to 0.7; this is 0.08.'
    """  # noqa: E501
    _bed(fibre_diameter_um, solidity)
    found = {}
    for name, model in MODELS.items():
        try:
            value = float(model.function(fibre_diameter_um, solidity))
        except OutOfRange:  # the model ends before this solidity
            continue
        held = model.lower <= solidity <= model.upper
        warning = (
            f"{name} holds for solidities from {model.lower:g} to {model.upper:g}; "
            f"this is {solidity:.3g}."
        )
        found[name] = Rival(value, None if held else warning)
    return found


def permeability_from_air(velocity: Measured, pressure: Measured, thickness: Measured) -> Derived:
    """Return the permeability of a medium from its measured air permeability.

    Parameters
    ----------
    velocity : Measured
        The air's flow per area: 200 L/(m²·s) is 200 mm/s.
    pressure : Measured
        The pressure difference of the test, such as 200 Pa or 0.5 inH2O.
    thickness : Measured
        The thickness of the medium.

    Returns
    -------
    Derived
        The permeability in m², with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *k = μ U L / ΔP* with air at 20 °C. *Valid for* clean, dry media at these small pressures.
    *Not for* media that swell in oil.

    References
    ----------
    .. [1] ISO 9237:1995, Textiles: Determination of the permeability of fabrics to air (what is
       measured); Darcy's law.

    Examples
    --------
    >>> found = permeability_from_air(
    ...     Measured(200, 4, "mm/s", "air permeability"), Measured(200, 2, "Pa", "manometer"),
    ...     Measured(0.60, 0.01, "mm", "micrometer"))
    >>> print(f"{found.result.value:.3e} ± {found.result.uncertainty:.1e}")
    1.092e-11 ± 3.0e-13
    """
    inputs = {
        "flow per area": above_zero("flow per area", velocity, "mm/s"),
        "pressure difference": above_zero("pressure difference", pressure, "Pa"),
        "thickness": above_zero("thickness", thickness, "mm"),
    }
    return propagated(
        lambda u, p, t: AIR_VISCOSITY_MPA_S * 1e-3 * (u * 1e-3) * (t * 1e-3) / p,
        inputs,
        unit="m²",
        source="air permeability by Darcy's law",
    )


def _bed(fibre_diameter_um: ArrayLike, solidity: ArrayLike) -> tuple[Numbers, Numbers]:
    """Return the fibre diameter in metres and the solidity, both checked."""
    d = positive("The fibre diameter", fibre_diameter_um) * 1e-6
    a = finite("The solidity", solidity)
    outside = (a <= 0) | (a >= 1)
    if outside.any():
        raise OutOfRange(
            "The solidity", float(np.atleast_1d(a[outside]).flat[0]), "between 0 and 1"
        )
    alike(fibre_diameter_um=d, solidity=a)
    return d, a
