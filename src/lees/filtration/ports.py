"""How the oil gets in and out: open area of holes and louvres, speed in them, pressure lost there.

The orifice equation as in ISO 5167-1:2022, with a discharge coefficient for sharp edges.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from lees.filtration.flowing import Oil
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

SHARP_EDGE = Measured(0.62, 0.03, "1", "sharp edge, turbulent, from memory")
"""Discharge coefficient of a sharp-edged hole where the flow is turbulent."""

TURBULENT_REYNOLDS = 3000.0
"""Below this Reynolds number the discharge coefficient of a small hole falls (from memory)."""


def open_area_of_holes(count: Measured, diameter: Measured) -> Derived:
    """Return the open area of a number of round holes.

    Parameters
    ----------
    count : Measured
        The number of holes.
    diameter : Measured
        The diameter of one; give the mean of several an uncertainty of their scatter.

    Returns
    -------
    Derived
        The area in mm², with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *A = n π d²/4*. *Not for* holes that the anti-drain-back valve covers in part.

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> print(open_area_of_holes(Measured(8, 0, "1", "counted"),
    ...                          Measured(5.0, 0.05, "mm", "caliper")).result)
    157.1 ± 3.1 mm²
    """
    inputs = {
        "number of holes": above_zero("number of holes", count, "1"),
        "diameter": above_zero("diameter", diameter, "mm"),
    }
    return propagated(
        lambda n, d: n * math.pi * d**2 / 4, inputs, unit="mm²", source="round holes, counted"
    )


def open_area_of_louvres(count: Measured, length: Measured, gap: Measured) -> Derived:
    """Return the open area of a number of louvres.

    Parameters
    ----------
    count : Measured
        The number of louvres.
    length : Measured
        The length of one slit.
    gap : Measured
        How far the lip stands off the tube: it decides the area and is hardest to measure.

    Returns
    -------
    Derived
        The area in mm², with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *A = n l g*, one slit to a louvre. *Valid for* lips that stand parallel to the tube. *Not for*
    lips that close towards their ends: take the mean gap.

    References
    ----------
    .. [1] Plane geometry; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> print(open_area_of_louvres(Measured(60, 0, "1", "counted"),
    ...                            Measured(8.0, 0.2, "mm", "caliper"),
    ...                            Measured(0.50, 0.05, "mm", "feeler gauge")).result)
    240 ± 25 mm²
    """
    inputs = {
        "number of louvres": above_zero("number of louvres", count, "1"),
        "length": above_zero("length of a louvre", length, "mm"),
        "gap": above_zero("gap of a louvre", gap, "mm"),
    }
    return propagated(
        lambda n, length_mm, gap_mm: n * length_mm * gap_mm,
        inputs,
        unit="mm²",
        source="louvres, counted",
    )


def port_speed(flow: Measured, area: Measured) -> Derived:
    """Return the mean speed of the oil in an opening.

    Parameters
    ----------
    flow : Measured
        The flow through all of it.
    area : Measured
        The open area.

    Returns
    -------
    Derived
        The speed in m/s, with its budget.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *v = Q/A*.

    References
    ----------
    .. [1] Continuity; uncertainty by JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> print(port_speed(Measured(20, 2, "L/min", "assumed"), Measured(157, 3, "mm²", "holes")).result)
    2.12 ± 0.22 m/s
    """  # noqa: E501
    inputs = {"flow": above_zero("flow", flow, "L/min"), "area": above_zero("area", area, "mm²")}
    return propagated(
        lambda q, a: q / 60e3 / (a * 1e-6), inputs, unit="m/s", source="flow divided by open area"
    )


def port_loss(
    flow: Measured,
    area: Measured,
    *,
    oil: Oil,
    opening: Measured,
    discharge: Measured = SHARP_EDGE,
) -> Derived:
    """Return the pressure lost in an opening.

    Parameters
    ----------
    flow : Measured
        The flow through all of it.
    area : Measured
        The open area.
    oil : Oil
        The oil; its viscosity tells whether the flow is turbulent.
    opening : Measured
        The width of one opening: a hole's diameter, twice a louvre's gap.
    discharge : Measured
        The discharge coefficient.

    Returns
    -------
    Derived
        The pressure in kPa, with its budget; a warning where the flow is too slow or the oil too
        thick for the coefficient.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *ΔP = ½ ρ (Q / (C_d A))²*. *Valid for* turbulent flow through sharp edges. *Not for* cold oil:
    below a Reynolds number of about 3000 the coefficient falls to 0.6 … 0.4 and the loss is larger.

    References
    ----------
    .. [1] ISO 5167-1:2022, Measurement of fluid flow by means of pressure differential devices:
       General principles (orifice equation, small opening in a large space).

    Examples
    --------
    >>> loss = port_loss(
    ...     Measured(30, 0, "L/min", "assumed"), Measured(157, 3, "mm²", "holes"),
    ...     oil=Oil(Measured(14, 0, "mm²/s", "100 °C"), Measured(850, 0, "kg/m³", "data sheet")),
    ...     opening=Measured(5, 0, "mm", "caliper"))
    >>> print(loss.result, len(loss.warnings))
    11.2 ± 1.2 kPa 1
    """
    inputs = {
        "flow": above_zero("flow", flow, "L/min"),
        "area": above_zero("area", area, "mm²"),
        "density": oil.inputs()["density"],
        "discharge coefficient": above_zero("discharge coefficient", discharge, "1"),
    }
    loss = propagated(
        lambda q, a, rho, c: 0.5 * rho * (q / 60e3 / (c * a * 1e-6)) ** 2 / 1e3,
        inputs,
        unit="kPa",
        source="orifice equation",
    )
    width = above_zero("width of an opening", opening, "mm").value
    nu = oil.inputs()["kinematic viscosity"].value
    speed = inputs["flow"].value / 60e3 / (inputs["area"].value * 1e-6)
    reynolds = speed * 1e3 * width / nu
    if reynolds < TURBULENT_REYNOLDS:
        loss = loss.warned(
            f"The Reynolds number is {reynolds:.0f}, below {TURBULENT_REYNOLDS:.0f}: the oil is "
            "too thick for a constant discharge coefficient, and the loss is larger than this."
        )
    return loss


def hole_flow_l_min(
    pressure_kpa: ArrayLike,
    diameter_mm: ArrayLike,
    *,
    density_kg_m3: ArrayLike,
    discharge: ArrayLike = 0.62,
) -> Numbers:
    """Return the flow through one round hole under a pressure difference.

    Parameters
    ----------
    pressure_kpa : ArrayLike
        The pressure difference. [kPa]
    diameter_mm : ArrayLike
        The hole's diameter. [mm]
    density_kg_m3 : ArrayLike
        The oil's density. [kg/m³]
    discharge : ArrayLike
        The discharge coefficient: 0.62 for turbulent flow, 0.4 to 0.6 for thick oil. [1]

    Returns
    -------
    Numbers
        The flow. [L/min]

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero; the pressure may be zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *Q = C_d A √(2 ΔP/ρ)*. *Not for* pinholes and slits in which the flow creeps: see
    `pinhole_flow_l_min` and `lees.filtration.leaks`.

    References
    ----------
    .. [1] ISO 5167-1:2022, Measurement of fluid flow by means of pressure differential devices:
       General principles (orifice equation, small opening in a large space).

    Examples
    --------
    >>> hole_flow_l_min(100, [0.5, 1, 2], density_kg_m3=850).round(3)
    array([0.112, 0.448, 1.793])
    """
    p, d = not_negative("The pressure", pressure_kpa), positive("The diameter", diameter_mm)
    rho, c = positive("The density", density_kg_m3), positive("The coefficient", discharge)
    alike(pressure_kpa=p, diameter_mm=d, density_kg_m3=rho, discharge=c)
    area_m2 = math.pi * (d * 1e-3) ** 2 / 4
    return np.asarray(c * area_m2 * np.sqrt(2 * p * 1e3 / rho) * 60e3)


def pinhole_flow_l_min(
    pressure_kpa: ArrayLike,
    diameter_mm: ArrayLike,
    *,
    depth_mm: ArrayLike,
    viscosity_mpa_s: ArrayLike,
) -> Numbers:
    """Return the creeping flow through a pinhole under a pressure difference.

    Parameters
    ----------
    pressure_kpa : ArrayLike
        The pressure difference. [kPa]
    diameter_mm : ArrayLike
        The pinhole's diameter. [mm]
    depth_mm : ArrayLike
        Its depth: the thickness of what it goes through. [mm]
    viscosity_mpa_s : ArrayLike
        The oil's dynamic viscosity. [mPa·s]

    Returns
    -------
    Numbers
        The flow. [L/min]

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero; the pressure may be zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *Q = π d⁴ ΔP / (128 μ L)*. *Valid for* creeping flow in a hole much deeper than wide. *Not for*
    holes with *d Re / L* above about 20, where the entry costs more.

    References
    ----------
    .. [1] Hagen and Poiseuille's law, for example R. B. Bird, W. E. Stewart, E. N. Lightfoot,
       Transport Phenomena, 2nd edition, 2002, eq. 2.3-21 (from memory).

    Examples
    --------
    >>> round(float(pinhole_flow_l_min(50, 0.2, depth_mm=0.8, viscosity_mpa_s=12)), 5)
    0.01227
    """
    p, d = not_negative("The pressure", pressure_kpa), positive("The diameter", diameter_mm)
    depth, mu = positive("The depth", depth_mm), positive("The viscosity", viscosity_mpa_s)
    alike(pressure_kpa=p, diameter_mm=d, depth_mm=depth, viscosity_mpa_s=mu)
    return np.asarray(math.pi * (d * 1e-3) ** 4 * p * 1e3 / (128 * mu * 1e-3 * depth * 1e-3) * 60e3)
