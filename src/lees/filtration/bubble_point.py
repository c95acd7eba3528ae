"""What pore a bubble point stands for, with the caution of the standard itself (ISO 2942:2018)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lees.errors import OutOfRange
from lees.quantity.checks import above_zero, zero_or_above
from lees.quantity.measured import Measured
from lees.quantity.propagation import Between, Derived, propagated

CAUTION = (
    "The first bubble point shows whether an element is whole; by ISO 2942 it is under no "
    "circumstances a functional characteristic: it tells nothing of rating, efficiency, retention."
)
ISOPROPANOL_MN_M = 21.7
"""Surface tension of isopropyl alcohol against air at 20 °C; 21.3 mN/m at 25 °C."""

EMPIRICAL_UM_INH2O = (143.0, 149.0)
"""Published range of the constant of the empirical rule, in isopropyl alcohol."""

GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True, slots=True)
class Pore:
    """A pore diameter by the capillary formula and by the empirical rule, which disagree."""

    capillary: Derived
    empirical: Derived


def capillary_pore(
    pressure: Measured,
    *,
    surface_tension: Measured,
    contact_angle_deg: float = 0.0,
    immersion: Measured | None = None,
    liquid_density: Measured | None = None,
) -> Derived:
    """Return the diameter of the round, straight pore that would give this bubble point.

    Parameters
    ----------
    pressure : Measured
        The pressure inside over that outside, at the first bubble.
    surface_tension : Measured
        Of the test liquid.
    contact_angle_deg : float
        Between liquid and media; zero for a liquid that wets wholly. [°]
    immersion : Measured, optional
        The depth of the bubble's place under the surface.
    liquid_density : Measured, optional
        Of the test liquid; needed with `immersion`.

    Returns
    -------
    Derived
        The diameter in µm with its budget and the standard's caution.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero, the angle is not from 0 to below 90°, the pressure is
        no more than the liquid's head, or depth comes without density.

    Notes
    -----
    *d = 4 γ cos θ / (P − ρ g h)*. *Valid for* a round, straight pore. *Not for* any claim on what
    a medium holds back: real pores are neither, and give 0.4 times this diameter by an empirical
    rule (`empirical_pore`).

    References
    ----------
    .. [1] ISO 2942:2018, Hydraulic fluid power: Filter elements: Verification of fabrication
       integrity and determination of the first bubble point.
    .. [2] Young and Laplace's equation for a capillary.

    Examples
    --------
    >>> pore = capillary_pore(Measured(2000, 20, "Pa", "manometer"),
    ...                       surface_tension=Measured(21.3, 0.2, "mN/m", "table, 25 °C"))
    >>> print(pore.result)
    42.60 ± 0.58 µm
    """
    if not 0 <= contact_angle_deg < 90:
        raise OutOfRange("The contact angle", f"{contact_angle_deg:g}°", "from 0° to below 90°")
    if (immersion is None) != (liquid_density is None):
        raise OutOfRange("The depth of immersion", "alone", "given together with the density")
    inputs = {
        "pressure": above_zero("pressure", pressure, "Pa"),
        "surface tension": above_zero("surface tension", surface_tension, "mN/m"),
    }
    if immersion is not None and liquid_density is not None:
        inputs["depth"] = zero_or_above("depth of immersion", immersion, "mm")
        inputs["density"] = above_zero("liquid's density", liquid_density, "kg/m³")
    cosine = math.cos(math.radians(contact_angle_deg))

    def diameter(p: float, g: float, h: float = 0.0, rho: float = 0.0) -> float:
        return 4 * g * 1e-3 * cosine / (p - rho * GRAVITY_M_S2 * h * 1e-3) * 1e6

    values = [one.value for one in inputs.values()]
    if inputs["pressure"].value <= (
        values[3] * GRAVITY_M_S2 * values[2] / 1e3 if values[2:] else 0
    ):
        raise OutOfRange(
            "The pressure", f"{pressure.value:g} {pressure.unit}", "above the head of the liquid"
        )
    source = "capillary formula at the first bubble point"
    return propagated(diameter, inputs, unit="µm", source=source).warned(CAUTION)


def empirical_pore(pressure: Measured) -> Derived:
    """Return the pore diameter that an empirical rule gives for a bubble point in isopropanol.

    Parameters
    ----------
    pressure : Measured
        The pressure inside over that outside, at the first bubble, the liquid's head taken off.

    Returns
    -------
    Derived
        The diameter in µm with its budget and the standard's caution.

    Raises
    ------
    OutOfRange
        Where the pressure is not above zero.

    Notes
    -----
    *d = K / P*, *K* from 143 to 149 µm·inH₂O (a published range, taken as its bounds): about 0.42
    times the capillary diameter, for shape and winding of real pores.

    References
    ----------
    .. [1] ISO 2942:2018, Hydraulic fluid power: Filter elements: Verification of fabrication
       integrity and determination of the first bubble point (what is measured; the constant is
       from filter texts).

    Examples
    --------
    >>> print(empirical_pore(Measured(8, 0.1, "inH2O", "manometer")).result)
    18.25 ± 0.31 µm
    """
    low, high = EMPIRICAL_UM_INH2O
    constant = Measured(
        (low + high) / 2, (high - low) / 2 / math.sqrt(3), "µm·inH2O", "published range"
    )
    inputs = {"pressure": above_zero("pressure", pressure, "inH2O"), "constant": constant}
    source = "empirical rule at the first bubble point"
    return propagated(lambda p, k: k / p, inputs, unit="µm", source=source).warned(CAUTION)


def empirical_bounds(pressure: Measured) -> Between:
    """Return the pore diameters at the two ends of the empirical rule's published constant.

    Parameters
    ----------
    pressure : Measured
        The pressure inside over that outside, at the first bubble, the liquid's head taken off.

    Returns
    -------
    Between
        The bounds in µm, for the pressure as it is.

    Raises
    ------
    OutOfRange
        Where the pressure is not above zero.

    Notes
    -----
    As `empirical_pore`.

    References
    ----------
    .. [1] ISO 2942:2018, Hydraulic fluid power: Filter elements: Verification of fabrication
       integrity and determination of the first bubble point (what is measured; the constant is
       from filter texts).

    Examples
    --------
    >>> found = empirical_bounds(Measured(8, 0.1, "inH2O", "manometer"))
    >>> round(found.low, 1), round(found.high, 1)
    (17.9, 18.6)
    """
    inches = above_zero("pressure", pressure, "inH2O").value
    low, high = EMPIRICAL_UM_INH2O
    return Between(low / inches, high / inches)


def pore(pressure: Measured, surface_tension: Measured) -> Pore:
    """Return the pore diameter of a bubble point by both ways, which differ by a factor 0.42.

    Parameters
    ----------
    pressure : Measured
        The pressure at the first bubble, the liquid's head taken off.
    surface_tension : Measured
        Of the test liquid, isopropanol.

    Returns
    -------
    Pore
        Both diameters with their budgets and the standard's caution.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    References
    ----------
    .. [1] ISO 2942:2018, Hydraulic fluid power: Filter elements: Verification of fabrication
       integrity and determination of the first bubble point.

    Examples
    --------
    >>> both = pore(Measured(8, 0.1, "inH2O", "manometer"), Measured(21.3, 0.2, "mN/m", "table"))
    >>> round(both.empirical.result.value / both.capillary.result.value, 2)
    0.43
    """
    return Pore(capillary_pore(pressure, surface_tension=surface_tension), empirical_pore(pressure))
