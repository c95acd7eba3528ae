"""How thick an oil is at a temperature: the Walther equation of ASTM D341, low viscosities too."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, positive, within
from lees.quantity.cautioned import Cautioned

ZERO_CELSIUS_K = 273.15
LOWEST_KV_MM2_S = 0.21
"""Where the low-viscosity terms of the short form end (ASTM D341-20)."""

_COLDEST_C, _WARMEST_C = -100.0, 400.0


@dataclass(frozen=True, slots=True)
class WaltherLine:
    """The line log log Z = A − B log T of an oil, and the temperatures it was put through."""

    a: Numbers
    b: Numbers
    from_c: float
    to_c: float


def walther_z(kv_mm2_s: ArrayLike) -> Numbers:
    """Return the quantity Z whose double logarithm is linear in the logarithm of temperature.

    Parameters
    ----------
    kv_mm2_s : array_like
        Kinematic viscosity [mm²/s].

    Returns
    -------
    Numbers
        Z [mm²/s].

    Raises
    ------
    OutOfRange
        For a viscosity under 0.21 mm²/s.

    Notes
    -----
    ``Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²)``. The exponentials are on base e; a general
    library prints them on base ten, which is wrong by up to 18 % below 2 mm²/s.

    *Valid for* 0.21 mm²/s and above.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> round(float(walther_z(1.0)), 6)
    1.721928
    """
    kv = _checked_viscosity("The kinematic viscosity", kv_mm2_s)
    return kv + 0.7 + np.exp(-1.47 - 1.84 * kv - 0.51 * kv**2)


def kinematic_viscosity_from_z(z_mm2_s: ArrayLike) -> Numbers:
    """Return the kinematic viscosity that belongs to a Walther Z.

    Parameters
    ----------
    z_mm2_s : array_like
        Z of the Walther equation [mm²/s].

    Returns
    -------
    Numbers
        Kinematic viscosity [mm²/s].

    Raises
    ------
    OutOfRange
        For a Z that belongs to less than 0.21 mm²/s.

    Notes
    -----
    ``ν = (Z − 0.7) − exp(−0.7487 − 3.295 (Z − 0.7) + 0.6119 (Z − 0.7)² − 0.3193 (Z − 0.7)³)``:
    the standard's own fit of the inverse, true to 0.024 % from 0.3 mm²/s.

    *Valid for* 0.21 mm²/s and above.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> round(float(kinematic_viscosity_from_z(walther_z(0.5))), 5)
    0.50005
    """
    x = finite("Z of the Walther equation", z_mm2_s) - 0.7
    _lowest = float(walther_z(LOWEST_KV_MM2_S)) - 0.7
    if (x < _lowest - 1e-9).any():
        raise OutOfRange(
            "Z of the Walther equation",
            f"{float(np.min(x)) + 0.7:.4g} mm²/s",
            f"{_lowest + 0.7:.4g} mm²/s or above, since ASTM D341 ends at {LOWEST_KV_MM2_S} mm²/s",
        )
    return x - np.exp(-0.7487 - 3.295 * x + 0.6119 * x**2 - 0.3193 * x**3)


def walther_line(
    temperatures_c: tuple[float, float], kvs_mm2_s: tuple[ArrayLike, ArrayLike]
) -> WaltherLine:
    """Return the viscosity–temperature line of an oil through two known points.

    Parameters
    ----------
    temperatures_c : tuple of float
        The two temperatures [°C].
    kvs_mm2_s : tuple of array_like
        The kinematic viscosity at each of them, alone or in arrays of one length [mm²/s].

    Returns
    -------
    WaltherLine
        The constants A and B [1].

    Raises
    ------
    OutOfRange
        Where the temperatures are equal, or a viscosity does not fall as the temperature rises.

    Notes
    -----
    ``log log Z = A − B log T`` with T in kelvin (eq. A1.1).

    *Valid for* a homogeneous liquid between its cloud point and its initial boiling point.
    *Not for* temperatures at which wax forms.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> line = walther_line((40, 100), (100, 14.4))
    >>> round(float(line.a), 5), round(float(line.b), 5)
    (7.84759, 3.0235)
    """
    (cold_c, cold_kv), (warm_c, warm_kv) = sorted(
        zip(temperatures_c, kvs_mm2_s, strict=True), key=lambda point: point[0]
    )
    _checked_temperature(cold_c)
    _checked_temperature(warm_c)
    if warm_c == cold_c:
        raise OutOfRange("The second temperature", f"{warm_c:g} °C", "another than the first")
    cold = _checked_viscosity(f"The viscosity at {cold_c:g} °C", cold_kv)
    warm = _checked_viscosity(f"The viscosity at {warm_c:g} °C", warm_kv)
    alike(colder=cold, warmer=warm)
    if not (cold > warm).all():
        raise OutOfRange(
            f"The viscosity at {cold_c:g} °C",
            f"{_worst(cold, warm):g} mm²/s",
            f"above that at {warm_c:g} °C; look whether the two were swapped",
        )
    w_cold, w_warm = np.log10(np.log10(walther_z(cold))), np.log10(np.log10(walther_z(warm)))
    log_t_cold = np.log10(cold_c + ZERO_CELSIUS_K)
    b = (w_cold - w_warm) / (np.log10(warm_c + ZERO_CELSIUS_K) - log_t_cold)
    return WaltherLine(w_cold + b * log_t_cold, b, float(cold_c), float(warm_c))


def kinematic_viscosity_on(line: WaltherLine, temperature_c: ArrayLike) -> Cautioned:
    """Return the kinematic viscosity at a temperature on a viscosity–temperature line.

    Parameters
    ----------
    line : WaltherLine
        The line of the oil.
    temperature_c : array_like
        The temperature asked for [°C].

    Returns
    -------
    Cautioned
        Kinematic viscosity, with a warning where it is extrapolated far [mm²/s].

    Raises
    ------
    OutOfRange
        Where the viscosity would be under 0.21 mm²/s or beyond 2·10⁷ mm²/s.
    ShapesDiffer
        Where there are not as many temperatures as oils.

    Notes
    -----
    *Valid for* temperatures near those of the line. More than 40 K below or 50 K above its points
    the value carries a warning (these distances are common practice, no source): polymer-thickened
    oils, wax and light ends leave the line there.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> line = walther_line((40, 100), (100, 14.4))
    >>> round(float(kinematic_viscosity_on(line, 20)), 2)
    278.16
    """
    t = _checked_temperature(temperature_c)
    alike(line=np.asarray(line.a), temperature=t)
    w = line.a - line.b * np.log10(t + ZERO_CELSIUS_K)
    if (w > np.log10(np.log10(2e7))).any():
        raise OutOfRange(
            "The temperature", f"{float(np.min(t)):g} °C", "one at which the oil still flows"
        )
    kv = kinematic_viscosity_from_z(10.0 ** (10.0**w))
    return Cautioned(kv, _warnings_far_from(line, t))


def temperature_on(line: WaltherLine, kv_mm2_s: ArrayLike) -> Cautioned:
    """Return the temperature at which an oil has a kinematic viscosity.

    Parameters
    ----------
    line : WaltherLine
        The line of the oil.
    kv_mm2_s : array_like
        The kinematic viscosity asked for [mm²/s].

    Returns
    -------
    Cautioned
        The temperature, with a warning where it is extrapolated far [°C].

    Raises
    ------
    OutOfRange
        For a viscosity under 0.21 mm²/s, or one that the oil has below −100 or above 400 °C.
    ShapesDiffer
        Where there are not as many viscosities as oils.

    Notes
    -----
    *Valid for* the temperatures of `kinematic_viscosity_on`.

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> line = walther_line((40, 100), (100, 14.4))
    >>> round(float(temperature_on(line, 1000)), 1)
    0.8
    """
    w = np.log10(np.log10(walther_z(kv_mm2_s)))
    alike(line=np.asarray(line.a), viscosity=w)
    log_t = (line.a - w) / line.b
    outside = (log_t < np.log10(_COLDEST_C + ZERO_CELSIUS_K)) | (
        log_t > np.log10(_WARMEST_C + ZERO_CELSIUS_K)
    )
    if outside.any():
        raise OutOfRange(
            "The viscosity",
            f"{_span(kv_mm2_s)} mm²/s",
            f"one that this oil has between {_COLDEST_C:g} and {_WARMEST_C:g} °C",
        )
    t = 10.0**log_t - ZERO_CELSIUS_K
    return Cautioned(t, _warnings_far_from(line, t))


def kinematic_viscosity_at(
    temperature_c: ArrayLike, *, kv40_mm2_s: ArrayLike, kv100_mm2_s: ArrayLike
) -> Cautioned:
    """Return the kinematic viscosity at a temperature from those at 40 and 100 °C.

    Parameters
    ----------
    temperature_c : array_like
        The temperature asked for [°C].
    kv40_mm2_s : array_like
        Kinematic viscosity at 40 °C [mm²/s].
    kv100_mm2_s : array_like
        Kinematic viscosity at 100 °C [mm²/s].

    Returns
    -------
    Cautioned
        Kinematic viscosity, with a warning under 0 °C and over 150 °C [mm²/s].

    Raises
    ------
    OutOfRange
        Where the viscosity at 40 °C is not above that at 100 °C, or where the line ends.

    Notes
    -----
    *Valid for* 0 to 150 °C; polymer-thickened oils are true to the line between 40 and 100 °C, and
    below 0 °C the value is indicative only (from memory).

    References
    ----------
    .. [1] ASTM D341-20, Standard Practice for Viscosity-Temperature Equations and Charts for
       Liquid Petroleum or Hydrocarbon Products, 2020, annex A1.

    Examples
    --------
    >>> round(float(kinematic_viscosity_at(80, kv40_mm2_s=32, kv100_mm2_s=5.4)), 4)
    8.5332
    """
    return kinematic_viscosity_on(
        walther_line((40.0, 100.0), (kv40_mm2_s, kv100_mm2_s)), temperature_c
    )


def _checked_viscosity(quantity: str, kv_mm2_s: ArrayLike) -> Numbers:
    kv = positive(quantity, kv_mm2_s)
    if (kv < LOWEST_KV_MM2_S).any() or (kv > 2e7).any():
        raise OutOfRange(quantity, f"{_span(kv)} mm²/s", "from 0.21 to 2·10⁷ mm²/s (ASTM D341)")
    return kv


def _checked_temperature(temperature_c: ArrayLike) -> Numbers:
    return within("The temperature in °C", temperature_c, _COLDEST_C, _WARMEST_C)


def _warnings_far_from(line: WaltherLine, temperature_c: Numbers) -> tuple[str, ...]:
    """Say in one sentence which temperatures lie far outside those the line was put through."""
    below, above = line.from_c - 40.0, line.to_c + 50.0
    far = (temperature_c < below) | (temperature_c > above)
    if not far.any():
        return ()
    which = (
        f"{float(temperature_c):.4g} °C lies" if far.ndim == 0 else f"{int(far.sum())} values lie"
    )
    return (
        f"{which} far from the measured points ({line.from_c:g} and {line.to_c:g} °C); outside "
        f"{below:g} to {above:g} °C a viscosity by ASTM D341 is indicative only.",
    )


def _span(values: ArrayLike) -> str:
    array = np.asarray(values, dtype=np.float64)
    low, high = float(array.min()), float(array.max())
    return f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"


def _worst(cold: Numbers, warm: Numbers) -> float:
    wrong = np.broadcast_to(cold, np.broadcast(cold, warm).shape)[~(cold > warm)]
    return float(wrong.flat[0]) if wrong.ndim else float(wrong)
