"""Whether the values of one report agree with each other, and whether a misprint explains it.

Saybolt against kinematic viscosity (ASTM D2161), viscosities against index (ASTM D2270), zinc
against phosphorus (the make-up of zinc dithiophosphate).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from lees.errors import OutOfRange
from lees.oil.misprints import AnotherReason, Printed, Verdict, judged
from lees.oil.precision import Laboratory, precision, standard_uncertainty
from lees.oil.saybolt import CELSIUS_OF_210_F, CUSTOMARY_INDEX, saybolt_seconds
from lees.oil.viscosity import kinematic_viscosity_on, walther_line
from lees.oil.viscosity_index import kv40_for_viscosity_index, viscosity_index
from lees.quantity.arrays import finite

CONVERSION_SPREAD = 0.002
"""What laboratories' own rounding on the way adds to a conversion: an assumption, no source."""

ZINC_TO_PHOSPHORUS = 1.09
ZINC_TO_PHOSPHORUS_SPREAD = 0.07
"""Zn/P by mass is 1.055 in the neutral salt and up to 1.17 in basic ones; the spread covers both
and a little phosphorus of other additives (from memory, but for the molar masses)."""

_BROAD_LOG = 0.7
_BROAD_INDEX = 50.0
"""How wide values lie that are apart for another reason: in natural logarithms, in index units."""

_OTHER_CONVERSION = 0.002
_OTHER_ADDITIVE = 0.05
"""The chance beforehand of another reason: small where one value is converted from the other,
larger where another additive brings phosphorus (assumptions, no source)."""

_FAR = 3.0


@dataclass(frozen=True, slots=True)
class _Held:
    """Printed values held against each other: what is expected, and how far off one of them is."""

    expected: float
    residual: float
    spread: float

    @property
    def apart(self) -> float:
        """The residual in standard uncertainties."""
        return self.residual / self.spread

    def density(self, broad: float | None = None) -> float:
        """Return how likely such a residual is, within its own spread or a broad one."""
        wide = self.spread if broad is None else broad
        return math.exp(-0.5 * (self.residual / wide) ** 2) / wide


@dataclass(frozen=True, slots=True)
class Consistency:
    """Two or more values of a report held against each other.

    `expected` is what the others ask for, `found` what was printed, `apart` their difference in
    standard uncertainties; both are None where no oil could have the values as printed. `fits`
    says which reading of the report fits best.
    """

    check: str
    expected: float | None
    found: float
    apart: float | None
    fits: str
    verdict: Verdict


def saybolt_against_kinematic(
    sus210: str, kv100: str, *, index: float | None = None
) -> Consistency:
    """Return whether Saybolt seconds "at 210 °F" agree with the viscosity at 100 °C.

    Parameters
    ----------
    sus210 : str
        Saybolt universal seconds as printed [s].
    kv100 : str
        Kinematic viscosity at 100 °C as printed [mm²/s].
    index : float, optional
        The viscosity index where it is known [1].

    Returns
    -------
    Consistency
        With `fits` saying whether the seconds belong to 210 °F or were converted straight from
        the viscosity at 100 °C, as laboratories commonly print them.

    Raises
    ------
    WrongEntry
        For a text that is no number.
    OutOfRange
        For a value that is not above zero, or an index that is no finite number.

    Notes
    -----
    Both readings are computed; each is compared within what rounding left and 0.2 %. Neither is
    wrong: one degree apart, they differ by about 2 % in seconds.

    *Valid for* oils of 2 to 500 mm²/s at 100 °C.

    References
    ----------
    .. [1] ASTM D2161-93, Standard Practice for Conversion of Kinematic Viscosity to Saybolt
       Universal Viscosity or to Saybolt Furol Viscosity, 1993, clause 5.

    Examples
    --------
    >>> found = saybolt_against_kinematic("75.6", "14.4")
    >>> found.fits, found.verdict.consistent > 0.95
    ('converted straight from 100 °C', True)
    >>> saybolt_against_kinematic("77.0", "14.4").fits
    'at 210 °F'
    """
    values = {"sus210": Printed.of(sus210), "kv100": Printed.of(kv100)}
    if index is not None:
        finite("The viscosity index", index)
    vi = CUSTOMARY_INDEX if index is None else index
    readings: dict[str, Callable[[float], float]] = {
        "at 210 °F": lambda kv: _seconds_at_210_f(kv, vi),
        "converted straight from 100 °C": _seconds_converted,
    }

    def held(of: dict[str, Printed], reading: str) -> _Held:
        seconds = readings[reading](of["kv100"].value)
        spread = math.hypot(
            of["sus210"].rounding / of["sus210"].value,
            of["kv100"].rounding / of["kv100"].value,
            CONVERSION_SPREAD,
        )
        return _Held(seconds, math.log(of["sus210"].value / seconds), spread)

    def density(of: dict[str, Printed]) -> float:
        both = (_tried(held, of, reading) for reading in readings)
        return sum(found.density() for found in both if found is not None) / len(readings)

    tried = {reading: _tried(held, values, reading) for reading in readings}
    possible = {reading: found for reading, found in tried.items() if found is not None}
    best = min(possible, key=lambda reading: abs(possible[reading].apart), default="neither")
    return _consistency(
        "Saybolt seconds against kinematic viscosity",
        possible.get(best),
        (best, "neither"),
        values["sus210"],
        judged(values, density, _another(possible.get(best), _OTHER_CONVERSION, _BROAD_LOG)),
    )


def index_against_viscosities(vi: str, kv40: str, kv100: str) -> Consistency:
    """Return whether a printed viscosity index agrees with the two viscosities beside it.

    Parameters
    ----------
    vi : str
        Viscosity index as printed [1].
    kv40 : str
        Kinematic viscosity at 40 °C as printed [mm²/s].
    kv100 : str
        Kinematic viscosity at 100 °C as printed [mm²/s].

    Returns
    -------
    Consistency
        Expected and printed index, and what a misprint would have meant.

    Raises
    ------
    WrongEntry
        For a text that is no number.
    OutOfRange
        Where the viscosities as printed have no index.

    Notes
    -----
    The index is computed from the printed viscosities; the rounding of all three is carried
    through to first order, and half a unit is added.

    *Valid for* 2 mm²/s and above at 100 °C.

    References
    ----------
    .. [1] ASTM D2270-10 (2016), Standard Practice for Calculating Viscosity Index from Kinematic
       Viscosity at 40 °C and 100 °C, 2016, clauses 5 and 6.

    Examples
    --------
    >>> found = index_against_viscosities("153", "60.0", "10.0")
    >>> round(found.expected, 1), found.verdict.consistent > 0.95
    (153.3, True)
    >>> found = index_against_viscosities("135", "60.0", "10.0")
    >>> found.verdict.misprint > 0.5, found.verdict.likeliest_slip[1].intended.text
    (True, '153')
    """
    values = {"vi": Printed.of(vi), "kv40": Printed.of(kv40), "kv100": Printed.of(kv100)}

    def held(of: dict[str, Printed]) -> _Held:
        u, y = of["kv40"], of["kv100"]
        expected = float(viscosity_index(u.value, y.value))
        by_u = float(viscosity_index(u.value * 1.0001, y.value)) - expected
        by_y = float(viscosity_index(u.value, y.value * 1.0001)) - expected
        spread = math.hypot(
            of["vi"].rounding,
            0.5,
            by_u / (1e-4 * u.value) * u.rounding,
            by_y / (1e-4 * y.value) * y.rounding,
        )
        return _Held(expected, of["vi"].value - expected, spread)

    found = _tried(held, values)
    return _consistency(
        "viscosity index against the viscosities",
        found,
        ("as printed", "neither"),
        values["vi"],
        judged(
            values,
            lambda of: _density(_tried(held, of)),
            _another(found, _OTHER_CONVERSION, _BROAD_INDEX),
        ),
    )


def zinc_against_phosphorus(zinc: str, phosphorus: str) -> Consistency:
    """Return whether zinc and phosphorus stand in the ratio of zinc dithiophosphate.

    Parameters
    ----------
    zinc : str
        Zinc as printed [mg/kg].
    phosphorus : str
        Phosphorus as printed [mg/kg].

    Returns
    -------
    Consistency
        Expected and printed zinc, and what a misprint would have meant.

    Raises
    ------
    WrongEntry
        For a text that is no number.
    OutOfRange
        For a content that is not above zero.

    Notes
    -----
    ``Zn/P = 65.38 / (2 · 30.974) = 1.055`` in the neutral salt. Compared within the repeatability
    of ASTM D5185 for both and the spread of commercial salts.

    *Valid for* oils whose zinc and phosphorus come from one additive. *Not for* oils without zinc,
    nor for gear oils, whose phosphorus has other sources.

    References
    ----------
    .. [1] IUPAC standard atomic weights, 2021; the ratios of basic salts from memory.

    Examples
    --------
    >>> zinc_against_phosphorus("890", "810").verdict.consistent > 0.95
    True
    >>> found = zinc_against_phosphorus("1890", "810")
    >>> found.verdict.consistent < 0.01
    True
    """
    values = {"Zn": Printed.of(zinc), "P": Printed.of(phosphorus)}

    def held(of: dict[str, Printed]) -> _Held:
        measured = [
            standard_uncertainty(
                precision(key, "ASTM D5185", one.value, "mg/kg"), Laboratory.SAME
            ).uncertainty
            / one.value
            for key, one in of.items()
        ]
        expected = ZINC_TO_PHOSPHORUS * of["P"].value
        spread = math.hypot(ZINC_TO_PHOSPHORUS_SPREAD, *measured)
        return _Held(expected, math.log(of["Zn"].value / expected), spread)

    found = held(values)
    return _consistency(
        "zinc against phosphorus",
        found,
        ("one additive", "not one additive alone"),
        values["Zn"],
        judged(
            values,
            lambda of: _density(_tried(held, of)),
            _another(found, _OTHER_ADDITIVE, _BROAD_LOG),
        ),
    )


def _tried(held: Callable[..., _Held], *arguments: object) -> _Held | None:
    """Return how printed values compare, or None where no oil could have them."""
    try:
        return held(*arguments)
    except OutOfRange:
        return None


def _density(found: _Held | None) -> float:
    return 0.0 if found is None else found.density()


def _another(found: _Held | None, beforehand: float, broad: float) -> AnotherReason:
    density = math.exp(-0.5 * _FAR**2) / broad if found is None else found.density(broad)
    return AnotherReason(beforehand, density)


def _consistency(
    check: str,
    found: _Held | None,
    fits: tuple[str, str],
    printed: Printed,
    verdict: Verdict,
) -> Consistency:
    """Put a check together; the second of `fits` is said where the first is too far off."""
    near = found is not None and abs(found.apart) <= _FAR
    return Consistency(
        check,
        None if found is None else found.expected,
        printed.value,
        None if found is None else found.apart,
        fits[0] if near else fits[1],
        verdict,
    )


def _seconds_at_210_f(kv100: float, index: float) -> float:
    line = walther_line((40.0, 100.0), (kv40_for_viscosity_index(index, kv100), kv100))
    kv = kinematic_viscosity_on(line, CELSIUS_OF_210_F).value
    return float(saybolt_seconds(kv, temperature_f=210.0))


def _seconds_converted(kv100: float) -> float:
    return float(saybolt_seconds(kv100, temperature_f=210.0))
