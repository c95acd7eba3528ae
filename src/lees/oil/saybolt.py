"""Saybolt universal seconds and kinematic viscosity, at any temperature (ASTM D2161)."""

from __future__ import annotations

from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.oil.one_point import kinematic_viscosity_from_one_point
from lees.quantity.arrays import Numbers, alike, positive, within
from lees.quantity.cautioned import Cautioned

LOWEST_SAYBOLT_S = 31.95
"""The standard's table begins at 32.0 s, printed to a tenth."""

CUSTOMARY_INDEX = 160.0
"""The index assumed for the one degree between 210 °F and 100 °C where it is not known: multigrades
have 150 to 165 (common practice, no source)."""

_NEWTON_STEPS = 3

CELSIUS_OF_210_F = (210.0 - 32.0) / 1.8


def saybolt_seconds(kv_mm2_s: ArrayLike, *, temperature_f: ArrayLike) -> Numbers:
    """Return the Saybolt universal seconds of a kinematic viscosity at the same temperature.

    Parameters
    ----------
    kv_mm2_s : array_like
        Kinematic viscosity at that temperature [mm²/s].
    temperature_f : array_like
        The temperature of both [°F].

    Returns
    -------
    Numbers
        Saybolt universal seconds [s].

    Raises
    ------
    OutOfRange
        For an oil so thin that it runs through in less than 32 s, or outside 0 to 350 °F.

    Notes
    -----
    ``SUS = [1 + 0.000061 (t − 100)] · {4.6324 ν + (1 + 0.03264 ν) /
    [(3930.2 + 262.7 ν + 23.97 ν² + 1.646 ν³) · 10⁻⁵]}``.

    *Valid for* 32 s and above, 0 to 350 °F (the temperatures from memory). Above 75 mm²/s the
    relation is a plain factor. *Not for* a viscosity at another temperature: 210 °F is 98.89 °C,
    and an oil is about 2.6 % thicker there than at 100 °C.

    References
    ----------
    .. [1] ASTM D2161-93, Standard Practice for Conversion of Kinematic Viscosity to Saybolt
       Universal Viscosity or to Saybolt Furol Viscosity, 1993, clause 5.

    Examples
    --------
    >>> round(float(saybolt_seconds(10, temperature_f=100)), 2)
    58.84
    >>> round(float(saybolt_seconds(10, temperature_f=210)), 2)
    59.23
    """
    kv = positive("The kinematic viscosity", kv_mm2_s)
    factor = _temperature_factor(temperature_f)
    alike(viscosity=kv, temperature=factor)
    seconds = factor * _seconds_and_slope_at_100_f(kv)[0]
    if (seconds < LOWEST_SAYBOLT_S).any():
        raise OutOfRange(
            "The kinematic viscosity",
            f"{float(kv.min()):g} mm²/s",
            "about 1.8 mm²/s or above, since Saybolt seconds begin at 32 s (ASTM D2161)",
        )
    return seconds


def kinematic_from_saybolt(sus_s: ArrayLike, *, temperature_f: ArrayLike) -> Numbers:
    """Return the kinematic viscosity of Saybolt universal seconds at the same temperature.

    Parameters
    ----------
    sus_s : array_like
        Saybolt universal seconds [s].
    temperature_f : array_like
        The temperature of both [°F].

    Returns
    -------
    Numbers
        Kinematic viscosity at that temperature [mm²/s].

    Raises
    ------
    OutOfRange
        Under 32 s, or outside 0 to 350 °F.

    Notes
    -----
    `saybolt_seconds` solved by three of Newton's steps from ``S / 4.6324 − 170 / S``, which is
    within 13 % from 32 s upwards: enough for all digits of a double.

    *Valid for* 32 s and above, 0 to 350 °F (the temperatures from memory). *Not for* the kinematic
    viscosity at 100 °C of an oil measured at 210 °F: see `kv100_from_saybolt_at_210_f`.

    References
    ----------
    .. [1] ASTM D2161-93, Standard Practice for Conversion of Kinematic Viscosity to Saybolt
       Universal Viscosity or to Saybolt Furol Viscosity, 1993, clause 5.

    Examples
    --------
    >>> round(float(kinematic_from_saybolt(700, temperature_f=100)), 4)
    151.0891
    """
    seconds = positive("The Saybolt time", sus_s)
    if (seconds < LOWEST_SAYBOLT_S).any():
        raise OutOfRange(
            "The Saybolt time", f"{float(seconds.min()):g} s", "32 s or above (ASTM D2161)"
        )
    factor = _temperature_factor(temperature_f)
    alike(seconds=seconds, temperature=factor)
    wanted = seconds / factor
    kv = wanted / 4.6324 - 170.0 / wanted
    for _ in range(_NEWTON_STEPS):
        found, slope = _seconds_and_slope_at_100_f(kv)
        kv = kv - (found - wanted) / slope
    return kv


def kv100_from_saybolt_at_210_f(sus_s: ArrayLike, *, viscosity_index: ArrayLike) -> Cautioned:
    """Return the kinematic viscosity at 100 °C of an oil whose Saybolt time was taken at 210 °F.

    Parameters
    ----------
    sus_s : array_like
        Saybolt universal seconds at 210 °F [s].
    viscosity_index : array_like
        The viscosity index, measured or assumed; 150 to 165 is customary for multigrades [1].

    Returns
    -------
    Cautioned
        Kinematic viscosity at 100 °C; one warning says that the index was assumed [mm²/s].

    Raises
    ------
    OutOfRange
        Under 32 s, or where no oil of 2 mm²/s or more at 100 °C has that time and index.

    Notes
    -----
    Converts at 210 °F, then follows the Walther line from 98.89 to 100 °C. The index matters
    little over that one degree: from 100 to 180 the result moves by 0.5 %.

    *Valid for* a time that was really taken at 210 °F. *Not for* seconds that a laboratory printed
    "at 210 °F" but converted straight from its viscosity at 100 °C, as is common;
    `lees.oil.consistency` tells which of the two fits.

    References
    ----------
    .. [1] ASTM D2161-93, Standard Practice for Conversion of Kinematic Viscosity to Saybolt
       Universal Viscosity or to Saybolt Furol Viscosity, 1993, clause 5.
    .. [2] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> round(float(kv100_from_saybolt_at_210_f(77.04, viscosity_index=148)), 2)
    14.4
    """
    return kinematic_viscosity_from_one_point(
        100.0,
        known_at_c=CELSIUS_OF_210_F,
        kv_mm2_s=kinematic_from_saybolt(sus_s, temperature_f=210.0),
        viscosity_index=viscosity_index,
    )


def _temperature_factor(temperature_f: ArrayLike) -> Numbers:
    t = within("The temperature in °F", temperature_f, 0.0, 350.0)
    return 1.0 + 0.000061 * (t - 100.0)


def _seconds_and_slope_at_100_f(kv: Numbers) -> tuple[Numbers, Numbers]:
    """Return the seconds of a viscosity at 100 °F, and how they rise with it."""
    below = 3930.2 + kv * (262.7 + kv * (23.97 + 1.646 * kv))
    slope_below = 262.7 + kv * (2.0 * 23.97 + 3.0 * 1.646 * kv)
    excess = 1e5 * (1.0 + 0.03264 * kv) / below
    return 4.6324 * kv + excess, 4.6324 + (3264.0 - excess * slope_below) / below
