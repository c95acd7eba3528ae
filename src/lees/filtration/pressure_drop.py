"""What pressure the media cost at a flow, clean and loaded (Darcy's law, 1856)."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.checks import above_zero, share
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

DARCY = "Darcy's law across the media"


@dataclass(frozen=True, slots=True)
class Media:
    """The media as the oil meets them: area that filters, thickness, permeability in m²."""

    area: Measured
    thickness: Measured
    permeability: Measured

    def __post_init__(self) -> None:
        if self.permeability.unit != "m²":
            raise OutOfRange("The permeability's unit", self.permeability.unit, "m²")

    def inputs(self) -> dict[str, Measured]:
        """Return area in cm², thickness in mm and permeability in m², all above zero."""
        return {
            "area": above_zero("area of the media", self.area, "cm²"),
            "thickness": above_zero("thickness of the media", self.thickness, "mm"),
            "permeability": above_zero("permeability", self.permeability, "m²"),
        }


def pressure_drop_kpa(
    flow_l_min: ArrayLike,
    *,
    area_cm2: ArrayLike,
    thickness_mm: ArrayLike,
    permeability_m2: ArrayLike,
    viscosity_mpa_s: ArrayLike,
) -> Numbers:
    """Return the pressure lost across the media at a flow.

    Parameters
    ----------
    flow_l_min : ArrayLike
        The flow through the media. [L/min]
    area_cm2 : ArrayLike
        The area that filters, one face. [cm²]
    thickness_mm : ArrayLike
        Their thickness. [mm]
    permeability_m2 : ArrayLike
        Their permeability. [m²]
    viscosity_mpa_s : ArrayLike
        The oil's dynamic viscosity: kinematic viscosity times density. [mPa·s]

    Returns
    -------
    Numbers
        The pressure. [kPa]

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero; the flow may be zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *ΔP = μ L Q / (k A)*. *Valid for* creeping flow, which it is in media. *Not for* the whole
    filter: the ports, the centre tube and touching pleats cost more.

    References
    ----------
    .. [1] H. Darcy, Les fontaines publiques de la ville de Dijon, 1856; for the form used here
       R. B. Bird, W. E. Stewart, E. N. Lightfoot, Transport Phenomena, 2nd edition, 2002,
       eq. 4C.3-2 (from memory).

    Examples
    --------
    >>> round(float(pressure_drop_kpa(20, area_cm2=1000, thickness_mm=0.8,
    ...                               permeability_m2=4.826e-11, viscosity_mpa_s=14 * 0.85)), 3)
    0.658
    """
    q, a = not_negative("The flow", flow_l_min), positive("The area", area_cm2)
    t, k = positive("The thickness", thickness_mm), positive("The permeability", permeability_m2)
    mu = positive("The viscosity", viscosity_mpa_s)
    alike(flow_l_min=q, area_cm2=a, thickness_mm=t, permeability_m2=k, viscosity_mpa_s=mu)
    return np.asarray(_darcy(q, a, t, k, mu))


def pressure_drop(flow: Measured, media: Media, viscosity: Measured) -> Derived:
    """Return the pressure lost across the media at a flow, with its uncertainty.

    Parameters
    ----------
    flow : Measured
        The flow through the media.
    media : Media
        The media.
    viscosity : Measured
        The oil's dynamic viscosity.

    Returns
    -------
    Derived
        The pressure in kPa, with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    As `pressure_drop_kpa`.

    References
    ----------
    .. [1] Darcy's law; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> media = Media(Measured(1000, 20, "cm²", "strip"), Measured(0.8, 0.02, "mm", "micrometer"),
    ...               Measured(4.826e-11, 5e-12, "m²", "Davies"))
    >>> print(pressure_drop(Measured(20, 0, "L/min", "assumed"), media,
    ...                     Measured(880, 0, "mPa·s", "cold")).result)
    48.6 ± 5.3 kPa
    """
    inputs = {
        "flow": above_zero("flow", flow, "L/min"),
        **media.inputs(),
        "viscosity": above_zero("dynamic viscosity", viscosity, "mPa·s"),
    }
    return propagated(_darcy, inputs, unit="kPa", source=DARCY)


def loaded(media: Media, *, blocked: Measured, layer: Measured | None = None) -> Media:
    """Return media of which a share is blocked and the rest covered by a layer of dirt.

    Parameters
    ----------
    media : Media
        The clean media.
    blocked : Measured
        The share of the area that no longer passes oil: full, stuck together, collapsed.
    layer : Measured, optional
        By which factor the layer of dirt multiplies the resistance of what is left, 1 or more.

    Returns
    -------
    Media
        The loaded media, whose permeability carries the layer.

    Raises
    ------
    OutOfRange
        Where the share is not from 0 to below 1, or the factor is below 1.

    Notes
    -----
    *A' = A (1 − s)*, *k' = k/f*: area lost costs in proportion, as does a layer.

    References
    ----------
    .. [1] Darcy's law for areas side by side and layers one behind another.

    Examples
    --------
    >>> media = Media(Measured(1000, 20, "cm²", "strip"), Measured(0.8, 0.02, "mm", "micrometer"),
    ...               Measured(4.8e-11, 5e-12, "m²", "Davies"))
    >>> print(loaded(media, blocked=Measured(0.3, 0.05, "1", "looked at")).area)
    700 ± 52 cm²
    """
    gone = share("blocked share", blocked)
    if gone.value >= 1:
        raise OutOfRange("The blocked share", f"{gone.value:g}", "below 1")
    area = propagated(
        lambda a, s: a * (1 - s),
        {"area": above_zero("area", media.area, "cm²"), "blocked share": gone},
        unit="cm²",
        source=f"{media.area.source}, less the blocked share",
    ).result
    if layer is None:
        return replace(media, area=area)
    if layer.value < 1:
        raise OutOfRange("The layer's factor", f"{layer.value:g}", "1 or more")
    permeability = propagated(
        lambda k, f: k / f,
        {"permeability": media.permeability, "layer": layer.to("1")},
        unit="m²",
        source=f"{media.permeability.source}, with a layer of dirt",
    ).result
    return replace(media, area=area, permeability=permeability)


def _darcy(q: Numbers, a: Numbers, t: Numbers, k: Numbers, mu: Numbers) -> Numbers:
    """Return the pressure in kPa from L/min, cm², mm, m² and mPa·s."""
    return mu * 1e-3 * (t * 1e-3) * (q / 60e3) / (k * a * 1e-4) / 1e3
