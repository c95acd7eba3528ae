"""When oil goes round the media through the bypass valve: how cold, for how long, how much.

Darcy's law for the media, ASTM D341 for the oil, Newton's law of heating for the warm-up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.filtration.pressure_drop import Media
from lees.oil.viscosity import WaltherLine, kinematic_viscosity_on, temperature_on
from lees.quantity.arrays import Numbers, alike, positive
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated

MEDIA_ALONE = (
    "Counts the media alone: centre tube and touching pleats cost pressure too, so that the "
    "valve opens at a higher temperature than this."
)


@dataclass(frozen=True, slots=True)
class WarmUp:
    """How the oil warms: from `start` towards `final` °C, two thirds of the way in one `constant`.

    The constant is the time in which the distance to the final temperature falls to 1/e.
    """

    start: Measured
    final: Measured
    constant: Measured


@dataclass(frozen=True, slots=True)
class ColdStart:
    """What goes unfiltered from a cold start until the bypass valve closes.

    `minutes` is how long the valve stays open and `share` what share of the oil pumped in that
    time went past it, 0 where it does not open.
    """

    minutes: Derived
    share: float


def opening_viscosity(
    opening_pressure: Measured, flow: Measured, *, media: Media, density: Measured
) -> Derived:
    """Return the kinematic viscosity at which the media alone would open the bypass valve.

    Parameters
    ----------
    opening_pressure : Measured
        The pressure difference at which the valve opens.
    flow : Measured
        The flow through the filter.
    media : Media
        The media, clean or loaded.
    density : Measured
        The oil's density when cold.

    Returns
    -------
    Derived
        The kinematic viscosity in mm²/s, with its budget and the warning that it is the highest.

    Raises
    ------
    OutOfRange
        Where a quantity is not above zero.

    Notes
    -----
    *ν = ΔP k A / (ρ L Q)*. *Not for* engines whose pump sheds flow through its relief valve when
    cold: give the flow that the filter gets.

    References
    ----------
    .. [1] Darcy's law; JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> media = Media(Measured(1000, 20, "cm²", "strip"), Measured(0.8, 0.02, "mm", "micrometer"),
    ...               Measured(4.826e-11, 5e-12, "m²", "Davies"))
    >>> print(opening_viscosity(Measured(100, 10, "kPa", "tested"), Measured(20, 0, "L/min", "assumed"),
    ...                         media=media, density=Measured(880, 0, "kg/m³", "assumed")).result)
    2060 ± 300 mm²/s
    """  # noqa: E501
    inputs = {
        "opening pressure": above_zero("opening pressure", opening_pressure, "kPa"),
        "flow": above_zero("flow", flow, "L/min"),
        **media.inputs(),
        "density": above_zero("density", density, "kg/m³"),
    }
    return propagated(
        lambda p, q, a, t, k, rho: p * 1e3 * k * a * 1e-4 / (rho * t * 1e-3 * q / 60e3) * 1e6,
        inputs,
        unit="mm²/s",
        source="Darcy's law at the valve's opening pressure",
    ).warned(MEDIA_ALONE)


def opening_temperature(viscosity: Derived, line: WaltherLine) -> Derived:
    """Return the oil temperature below which the bypass valve would be open.

    Parameters
    ----------
    viscosity : Derived
        The kinematic viscosity at which it opens, from `opening_viscosity`.
    line : WaltherLine
        The viscosity–temperature line of the oil.

    Returns
    -------
    Derived
        The temperature in °C with its budget, and the warnings of both.

    Raises
    ------
    OutOfRange
        Where the viscosity is below what ASTM D341 covers.

    Notes
    -----
    *Valid for* temperatures above the oil's cloud point. *Not for* polymer-thickened oils far
    below 0 °C, for which the line is only indicative.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products.

    Examples
    --------
    >>> from lees.oil.viscosity import walther_line
    >>> line = walther_line((40, 100), (100, 14.4))
    >>> found = propagated(lambda v: v, {"viscosity": Measured(2060, 310, "mm²/s", "Darcy")},
    ...                    unit="mm²/s", source="Darcy")
    >>> print(opening_temperature(found, line).result)
    -8.0 ± 1.7 °C
    """
    found = propagated(
        lambda nu: temperature_on(line, nu).value,
        {"viscosity at opening": viscosity.result.to("mm²/s")},
        unit="°C",
        source="ASTM D341 at the viscosity that opens the valve",
    )
    far = temperature_on(line, viscosity.result.value).warnings
    return found.warned(*viscosity.warnings, *far)


def share_past_open_valve(kv_mm2_s: ArrayLike, opening_kv_mm2_s: ArrayLike) -> Numbers:
    """Return the share of the flow that goes past the bypass valve when the oil is thick.

    Parameters
    ----------
    kv_mm2_s : ArrayLike
        The oil's kinematic viscosity. [mm²/s]
    opening_kv_mm2_s : ArrayLike
        The kinematic viscosity at which the valve opens. [mm²/s]

    Returns
    -------
    Numbers
        The share, 0 while the valve is closed. [1]

    Raises
    ------
    OutOfRange
        Where a viscosity is not above zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *b = 1 − ν_open/ν*: the open valve holds the pressure across the media at its opening
    pressure, so that they pass what they passed then, thinned by the viscosity. *Valid for* a
    valve wide enough. *Not for* valves that open little by little: more goes through the media.

    References
    ----------
    .. [1] Darcy's law at constant pressure.

    Examples
    --------
    >>> share_past_open_valve([500, 1000, 4000], 1000)
    array([0.  , 0.  , 0.75])
    """
    nu, opening = positive("The viscosity", kv_mm2_s), positive("The viscosity", opening_kv_mm2_s)
    alike(kv_mm2_s=nu, opening_kv_mm2_s=opening)
    return np.maximum(0.0, 1 - opening / nu)


def cold_start(temperature: Derived, warm_up: WarmUp, line: WaltherLine) -> ColdStart:
    """Return how long a cold start runs with the bypass valve open, and what goes past it.

    Parameters
    ----------
    temperature : Derived
        The oil temperature at which the valve closes, from `opening_temperature`.
    warm_up : WarmUp
        How the oil warms.
    line : WaltherLine
        The viscosity–temperature line of the oil.

    Returns
    -------
    ColdStart
        The minutes with their budget, and the mean share of the flow past the valve; no minutes
        where the valve stays closed even at the start.

    Raises
    ------
    OutOfRange
        Where the oil never gets warm enough for the valve to close, or the constant is not above
        zero.

    Notes
    -----
    *t = τ ln((T_∞ − T_0)/(T_∞ − T))*. *Valid for* steady running after the start. *Not for* stop
    and go, nor a valve that closes at a lower pressure than it opens: it stays open longer.

    References
    ----------
    .. [1] Newton's law of heating, for example F. P. Incropera, D. P. DeWitt, Fundamentals of
       Heat and Mass Transfer, 6th edition, 2007, eq. 5.6 (from memory).

    Examples
    --------
    >>> from lees.oil.viscosity import walther_line
    >>> valve = propagated(lambda t: t, {"t": Measured(0.0, 2.0, "°C", "bypass")}, unit="°C",
    ...                    source="bypass")
    >>> warm_up = WarmUp(Measured(-15, 0, "°C", "assumed"), Measured(90, 0, "°C", "assumed"),
    ...                  Measured(8, 1, "min", "assumed"))
    >>> start = cold_start(valve, warm_up, walther_line((40, 100), (100, 14.4)))
    >>> print(start.minutes.result, round(start.share, 2))
    1.23 ± 0.24 min 0.42
    """
    inputs = {
        "start": warm_up.start.to("°C"),
        "final temperature": warm_up.final.to("°C"),
        "time constant": above_zero("time constant of the warm-up", warm_up.constant, "min"),
        "temperature at opening": temperature.result.to("°C"),
    }
    start, final, constant, closing = (one.value for one in inputs.values())
    if start < closing and final <= closing:
        raise OutOfRange("The final oil temperature", f"{final:g} °C", f"above {closing:.3g} °C")
    source = "warm-up until the valve closes"
    if closing <= start:
        closed = propagated(lambda *_: 0.0, inputs, unit="min", source=source)
        return ColdStart(closed.warned(*temperature.warnings), 0.0)
    minutes = propagated(_minutes, inputs, unit="min", source=source)
    times = np.linspace(0.0, minutes.result.value, 401)
    along = final - (final - start) * np.exp(-times / constant)
    viscosities = kinematic_viscosity_on(line, along).value
    opening = kinematic_viscosity_on(line, closing).value
    shares = share_past_open_valve(viscosities, np.full_like(viscosities, opening))
    return ColdStart(minutes.warned(*temperature.warnings), float(shares.mean()))


def _minutes(start: Numbers, final: Numbers, constant: Numbers, closing: Numbers) -> Numbers:
    return constant * np.log((final - start) / (final - closing))
