"""What share of the oil leaks past the media through a slit or a hole that stays open.

Darcy's law for the media beside creeping flow in a slit, or the orifice equation for a hole.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from lees.filtration.flowing import Oil
from lees.filtration.ports import TURBULENT_REYNOLDS
from lees.filtration.pressure_drop import Media
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

WIDE_GAP = 0.1
"""Above this share of its depth a gap leaks less by a twelfth and more than the slit formula says.

The ends of a slit cost as much as 8/(3π) = 0.85 of its gap more depth would (Hasimoto 1958).
"""


def slit_flow_l_min(
    pressure_kpa: ArrayLike,
    gap_mm: ArrayLike,
    *,
    width_mm: ArrayLike,
    depth_mm: ArrayLike,
    viscosity_mpa_s: ArrayLike,
) -> Numbers:
    """Return the creeping flow through a slit under a pressure difference.

    Parameters
    ----------
    pressure_kpa : ArrayLike
        The pressure difference. [kPa]
    gap_mm : ArrayLike
        How far the slit stands open. [mm]
    width_mm : ArrayLike
        Its length along the seat or the lip. [mm]
    depth_mm : ArrayLike
        The way through it. [mm]
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
    *Q = w h³ ΔP / (12 μ l)*. *Valid for* creeping flow in a gap of less than a tenth of its depth.
    *Not for* wider ones, which pass less than this.

    References
    ----------
    .. [1] Flow in a narrow slit, for example R. B. Bird, W. E. Stewart, E. N. Lightfoot, Transport
       Phenomena, 2nd edition, 2002, problem 2B.3 (from memory).

    Examples
    --------
    >>> flow = slit_flow_l_min(50, 0.05, width_mm=20, depth_mm=0.8, viscosity_mpa_s=12)
    >>> round(float(flow), 4)
    0.0651
    """
    p, h = not_negative("The pressure", pressure_kpa), positive("The gap", gap_mm)
    w, depth = positive("The width", width_mm), positive("The depth", depth_mm)
    mu = positive("The viscosity", viscosity_mpa_s)
    alike(pressure_kpa=p, gap_mm=h, width_mm=w, depth_mm=depth, viscosity_mpa_s=mu)
    return np.asarray(_slit(w, h, depth) * p * 1e3 / (mu * 1e-3) * 60e3)


def slit_leak_share(width: Measured, gap: Measured, *, depth: Measured, media: Media) -> Derived:
    """Return the share of the oil that goes through a slit instead of the media.

    Parameters
    ----------
    width : Measured
        The length of the slit along the seat or the lip.
    gap : Measured
        How far it stands open: the leak goes by its third power.
    depth : Measured
        The way through it.
    media : Media
        The media beside it.

    Returns
    -------
    Derived
        The share, a plain number, with its budget; a warning where the gap is wide for its depth.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    Both streams creep, so that neither flow nor viscosity matter: with conductances *g = w h³/(12 l)*
    and *G = k A/L*, *b = g/(g + G)*. *Not for* gaps of more than a tenth of their depth: the ends
    of the slit count then, and the share is an upper bound. See `hole_leak_share` for a gap in
    which the oil no longer creeps.

    References
    ----------
    .. [1] Flow in a narrow slit, for example R. B. Bird, W. E. Stewart, E. N. Lightfoot, Transport
       Phenomena, 2nd edition, 2002, problem 2B.3 (from memory); Darcy's law.
    .. [2] H. Hasimoto, On the flow of a viscous fluid past a thin screen at small Reynolds
       numbers, Journal of the Physical Society of Japan 13 (1958) 633–639 (from memory).

    Examples
    --------
    >>> media = Media(Measured(1000, 20, "cm²", "strip"), Measured(0.8, 0.02, "mm", "micrometer"),
    ...               Measured(4.826e-11, 5e-12, "m²", "Davies"))
    >>> leak = slit_leak_share(Measured(20, 1, "mm", "caliper"), Measured(0.10, 0.02, "mm", "feeler"),
    ...                        depth=Measured(0.8, 0.1, "mm", "caliper"), media=media)
    >>> print(leak.result, len(leak.warnings))
    0.00035 ± 0.00022 1
    """  # noqa: E501
    inputs = {
        "width of the slit": above_zero("width of the slit", width, "mm"),
        "gap": above_zero("gap", gap, "mm"),
        "depth": above_zero("depth of the slit", depth, "mm"),
        **media.inputs(),
    }

    def share(w: Numbers, h: Numbers, d: Numbers, a: Numbers, t: Numbers, k: Numbers) -> Numbers:
        slit = _slit(w, h, d)
        through = k * a * 1e-4 / (t * 1e-3)
        return slit / (slit + through)

    leak = propagated(share, inputs, unit="1", source="slit beside the media, both creeping")
    wide = inputs["gap"].value / inputs["depth"].value
    if wide > WIDE_GAP:
        leak = leak.warned(
            f"The gap is {wide:.2g} of its depth, above {WIDE_GAP:g}: the ends of the slit hold "
            "the oil back too, and the share is smaller than this: take it as an upper bound."
        )
    return leak


def hole_leak_share(
    diameter: Measured, flow: Measured, *, media: Media, oil: Oil, discharge: Measured
) -> Derived:
    """Return the share of the oil that goes through a hole instead of the media.

    Parameters
    ----------
    diameter : Measured
        The hole's diameter; for another shape that of equal area.
    flow : Measured
        The flow through the filter.
    media : Media
        The media beside it.
    oil : Oil
        The oil at its running temperature.
    discharge : Measured
        The hole's discharge coefficient, such as `lees.filtration.ports.SHARP_EDGE`.

    Returns
    -------
    Derived
        The share, a plain number, with its budget; a warning where the flow in the hole is too
        slow or the oil too thick for the coefficient.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    One pressure across both: *Q = C_d A √(2 ΔP/ρ) + k A_m ΔP/(μ L)*, solved for √ΔP. The thinner
    the oil, the *smaller* the leak: warm oil passes the media easily, the hole hardly more.
    *Valid for* turbulent flow in the hole. *Not for* a Reynolds number below about 3000: the
    coefficient falls there to 0.6 … 0.4, and the share is an upper bound.

    References
    ----------
    .. [1] ISO 5167-1:2022 (orifice equation); Darcy's law.

    Examples
    --------
    >>> media = Media(Measured(1000, 20, "cm²", "strip"), Measured(0.8, 0.02, "mm", "micrometer"),
    ...               Measured(4.826e-11, 5e-12, "m²", "Davies"))
    >>> oil = Oil(Measured(14, 0.5, "mm²/s", "D341"), Measured(850, 5, "kg/m³", "data sheet"))
    >>> leak = hole_leak_share(Measured(3, 0.1, "mm", "caliper"), Measured(20, 0, "L/min", "assumed"),
    ...                        media=media, oil=oil, discharge=Measured(0.6, 0.05, "1", "memory"))
    >>> print(leak.result, len(leak.warnings))
    0.0157 ± 0.0019 1
    """  # noqa: E501
    inputs = {
        "diameter": above_zero("diameter of the hole", diameter, "mm"),
        "flow": above_zero("flow", flow, "L/min"),
        **media.inputs(),
        **oil.inputs(),
        "discharge coefficient": above_zero("discharge coefficient", discharge, "1"),
    }

    def share(d: Numbers, q: Numbers, *others: Numbers) -> Numbers:
        area, thickness, k, nu, rho, c = others
        total = q / 60e3
        hole = c * math.pi * (d * 1e-3) ** 2 / 4 * np.sqrt(2 / rho)
        through = k * area * 1e-4 / (nu * 1e-6 * rho * thickness * 1e-3)
        root = (np.sqrt(hole**2 + 4 * through * total) - hole) / (2 * through)
        return np.asarray(hole * root / total)

    leak = propagated(share, inputs, unit="1", source="hole beside the media")
    width, nu = inputs["diameter"].value, inputs["kinematic viscosity"].value
    through = leak.result.value * inputs["flow"].value / 60e3
    reynolds = through / (math.pi * (width * 1e-3) ** 2 / 4) * 1e3 * width / nu
    if reynolds < TURBULENT_REYNOLDS:
        leak = leak.warned(
            f"The Reynolds number in the hole is {reynolds:.0f}, below {TURBULENT_REYNOLDS:.0f}: "
            "the oil is too thick for a constant discharge coefficient, and the share is smaller "
            "than this: take it as an upper bound."
        )
    return leak


def _slit(width: Numbers, gap: Numbers, depth: Numbers) -> Numbers:
    """Return the conductance of a slit in m³ from mm: flow times viscosity by pressure."""
    return width * 1e-3 * (gap * 1e-3) ** 3 / (12 * depth * 1e-3)
