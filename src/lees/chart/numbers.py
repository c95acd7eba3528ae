"""How numbers are written where people read them (JCGM 100:2008, 7.2.6; ISO 80000-1:2009, 7.3)."""

from __future__ import annotations

from fractions import Fraction

from lees.quantity.measured import Measured, rounded, significant

THIN = "\u202f"
"""The narrow space that groups digits by three and keeps a number on one line."""


def grouped(value: float, decimals: int = 0) -> str:
    """Write a number with its digits in groups of three from ten thousand up.

    Parameters
    ----------
    value : float
        The number. [any]
    decimals : int
        How many decimals it is given. [1]

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> grouped(14300), grouped(8200), grouped(-12345.6, 1)
    ('14\u202f300', '8200', '−12\u202f345.6')
    """
    size = abs(value)
    digits = f"{size:,.{decimals}f}" if round(size) >= 10_000 else f"{size:.{decimals}f}"
    sign = "−" if value < 0 and float(digits.replace(",", "")) else ""
    return sign + digits.replace(",", THIN)


def plain(value: float) -> str:
    """Write a number as short as it is known, to four digits at most.

    Parameters
    ----------
    value : float
        The number. [any]

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> plain(9.3), plain(0.30), plain(12000), plain(0.00004)
    ('9.3', '0.3', '12\u202f000', '0.00004')
    """
    if abs(value) >= 1000:
        return grouped(round(value))
    short = f"{value:.4g}"
    if "e" in short:
        short = f"{value:.12f}".rstrip("0").rstrip(".")
    return short.replace("-", "−")


def best_value(value: Measured) -> str:
    """Write a measured value to the last digit of its uncertainty, without unit.

    Parameters
    ----------
    value : Measured
        The value.

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> best_value(Measured(1242.4, 14, "cm²", "rule"))
    '1242'
    """
    text = rounded(value.value, value.uncertainty)
    if "e" in text:
        return plain(value.value)
    return grouped(float(text), len(text.partition(".")[2]))


def with_interval(value: Measured, expanded: float | None = None) -> str:
    """Write a measured value with its expanded uncertainty and its unit.

    Parameters
    ----------
    value : Measured
        The value.
    expanded : float or None
        Its expanded uncertainty, by default that of a 95 % interval. [as the value]

    Returns
    -------
    str
        Value, uncertainty and unit.

    Examples
    --------
    >>> with_interval(Measured(0.38, 0.008, "mm", "caliper"), 0.017)
    '0.380 ± 0.017 mm'
    >>> with_interval(Measured(62, 0, "1", "counting"))
    '62'
    >>> with_interval(Measured(14300, 80, "km", "case"))
    '14\u202f300 ± 160 km'
    """
    half = value.expanded() if expanded is None else expanded
    unit = "" if value.unit == "1" else f" {value.unit}"
    if half == 0:
        return f"{plain(value.value)}{unit}"
    decimals = len(significant(half).partition(".")[2])
    middle = float(rounded(value.value, half))
    known = half if half < 100 else float(f"{half:.2g}")
    return f"{grouped(middle, decimals)} ± {grouped(known, decimals)}{unit}"


def chance(probability: float) -> str:
    """Write a probability as a chance in a hundred.

    Parameters
    ----------
    probability : float
        The probability. [1]

    Returns
    -------
    str
        The chance in words.

    Examples
    --------
    >>> chance(0.081), chance(0.997), chance(0.0004)
    ('8 in 100', 'over 99 in 100', 'under 1 in 100')
    """
    if probability < 0.01:
        return "under 1 in 100"
    if probability > 0.99:
        return "over 99 in 100"
    return f"{round(probability * 100)} in 100"


def odds_in(probability: float) -> str:
    """Write a round probability as one in so many, any other as a chance in a hundred.

    Parameters
    ----------
    probability : float
        The probability. [1]

    Returns
    -------
    str
        The chance in words.

    Examples
    --------
    >>> odds_in(0.1), odds_in(0.05), odds_in(0.75), odds_in(0.137)
    ('1 in 10', '1 in 20', '3 in 4', '14 in 100')
    """
    simple = Fraction(probability).limit_denominator(20)
    if 0 < simple < 1 and abs(float(simple) - probability) < 1e-9:
        return f"{simple.numerator} in {simple.denominator}"
    return chance(probability)
