"""How far two results of a method may differ by chance: repeatability and reproducibility as data.

The figures are those of each method's own precision statement; the rules are ISO 4259-2:2017.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from lees.errors import NotHeld
from lees.oil.precision_table import Statement, Tag, statements
from lees.oil.saybolt import kinematic_from_saybolt, saybolt_seconds
from lees.quantity.arrays import finite, not_negative
from lees.quantity.measurands import measurand as known_measurand
from lees.quantity.measured import Measured
from lees.quantity.units import convert, convert_difference

FROM_LIMIT_TO_DEVIATION = 2.77
"""r and R are 2.77 standard deviations of a single result: 1.96 · √2 (ISO 4259-1:2017)."""


class Laboratory(StrEnum):
    """Whether two results that are compared came from one laboratory or from two."""

    SAME = "the same laboratory"
    DIFFERENT = "different laboratories"


@dataclass(frozen=True, slots=True)
class Precision:
    """The precision of a method at one level, in `unit`, and how well it is known."""

    measurand: str
    value: float
    unit: str
    repeatability: float
    reproducibility: float
    method: str
    source: str
    repeatability_tag: Tag
    reproducibility_tag: Tag
    warnings: tuple[str, ...] = ()

    @property
    def tag(self) -> Tag:
        """The tag of the pair: from memory where either of the two is."""
        both = {self.repeatability_tag, self.reproducibility_tag}
        return Tag.FROM_MEMORY if Tag.FROM_MEMORY in both else Tag.PUBLISHED

    def limit(self, laboratory: Laboratory) -> float:
        """Return by how much two results may differ by chance, in 95 of 100 comparisons."""
        return self.repeatability if laboratory is Laboratory.SAME else self.reproducibility


def precision(measurand: str, method: str | None, value: float, unit: str) -> Precision:
    """Return the repeatability and the reproducibility of a method at the level of a result.

    Parameters
    ----------
    measurand : str
        The contract key of what was measured, such as ``Fe`` or ``kv100``.
    method : str or None
        The method as named by the report, such as ``ASTM D5185`` or ``D 445-21``; None where it
        names none: the customary method is taken, and a warning says so.
    value : float
        The result [in `unit`].
    unit : str
        Its unit.

    Returns
    -------
    Precision
        r and R [in `unit`].

    Raises
    ------
    NotHeld
        Where no precision is held for that measurand and method.
    OutOfRange
        For a negative result, or one that is not a finite number.

    Notes
    -----
    Each is ``factor · (level + shift)^exponent``, as the method prints it. Below the method's
    lowest level the figures of that level are taken, since a power law would promise certainty at
    zero; above the highest it is extrapolated; both with a warning. Where versions of a method
    disagree and nothing here decides, the wider figures are taken, from memory.

    *Valid for* the levels of the method. *Not for* particles of more than a few micrometres, which
    plasma methods do not see.

    References
    ----------
    .. [1] ISO 4259-1:2017, Petroleum and related products, Precision of measurement methods and
       results, Part 1, 2017; the precision statement of each method, named in the result.

    Examples
    --------
    >>> found = precision("Fe", "ASTM D5185", 14, "mg/kg")
    >>> round(found.repeatability, 2), round(found.reproducibility, 2), found.tag.value
    (1.07, 4.29, 'from memory')
    """
    what = f"The result for {_in_a_sentence(known_measurand(measurand).name)}"
    finite(what, value)
    if measurand in _SAYBOLT_TEMPERATURE_F:
        return _saybolt_precision(measurand, method, value, unit)
    entries, warnings = _entries_for(measurand, method)
    level = float(not_negative(what, convert(value, unit, entries[0].unit)))
    versions = [_at_level(entry, level) for entry in _covering(entries, level)]
    if len(versions) > 1:
        warnings = (*warnings, _says_unresolved(entries[0].method, versions))
    widest = max(versions, key=lambda version: version.reproducibility)
    r = max(version.repeatability for version in versions)

    def back(limit: float) -> float:
        return convert_difference(limit, entries[0].unit, unit)

    source = widest.source
    if len(versions) > 1:
        source = f"{widest.method} (the wider of {len(versions)} versions)"
    return replace(
        widest,
        source=source,
        value=value,
        unit=unit,
        repeatability=back(r),
        reproducibility=back(widest.reproducibility),
        warnings=(*warnings, *widest.warnings),
    )


def standard_uncertainty(found: Precision, laboratory: Laboratory) -> Measured:
    """Return a single result with the standard uncertainty that its comparison calls for.

    Parameters
    ----------
    found : Precision
        The precision at the level of the result.
    laboratory : Laboratory
        Whether it is compared with results of the same laboratory or of another.

    Returns
    -------
    Measured
        The result, its standard uncertainty r/2.77 or R/2.77 [in the result's unit].

    Raises
    ------
    OutOfRange
        For a result that is not a finite number.

    Notes
    -----
    *Valid for* one result. Against a fixed limit the reproducibility counts, whoever measured.

    References
    ----------
    .. [1] ISO 4259-1:2017, Petroleum and related products, Precision of measurement methods and
       results, Part 1, 2017.

    Examples
    --------
    >>> found = precision("kv100", "D445", 14.4, "mm²/s")
    >>> round(standard_uncertainty(found, Laboratory.DIFFERENT).uncertainty, 4)
    0.0601
    """
    deviation = found.limit(laboratory) / FROM_LIMIT_TO_DEVIATION
    word = "repeatability" if laboratory is Laboratory.SAME else "reproducibility"
    return Measured(found.value, deviation, found.unit, f"{found.source}, {word} ({found.tag})")


def methods_held(measurand: str) -> tuple[str, ...]:
    """Return the methods whose precision is held for a measurand, the customary one first.

    Parameters
    ----------
    measurand : str
        The contract key.

    Returns
    -------
    tuple of str
        The names of the methods.

    Raises
    ------
    WrongEntry
        For a key that is not in the contract.

    Notes
    -----
    *Valid for* every key of the contract; empty where nothing is held.

    References
    ----------
    .. [1] The methods' own precision statements.

    Examples
    --------
    >>> methods_held("flash")
    ('ASTM D92', 'ASTM D93', 'ASTM D93 A')
    """
    known_measurand(measurand)
    found = sorted(statements().get(measurand, ()), key=lambda entry: not entry.is_customary)
    return tuple(dict.fromkeys(entry.method for entry in found))


def method_number(method: str) -> str:
    """Return the bare number of a method, without issuer, year and variant.

    Parameters
    ----------
    method : str
        The method as a report names it.

    Returns
    -------
    str
        Its number, with the letter D of ASTM's petroleum methods.

    Notes
    -----
    *Valid for* ASTM D and ISO methods; what has no number comes back squeezed and in capitals.

    References
    ----------
    .. [1] The customary designations of ASTM and ISO.

    Examples
    --------
    >>> method_number("ASTM D 5185M-18"), method_number("EN ISO 2719:2016"), method_number("d93 A")
    ('D5185', '2719', 'D93')
    """
    normalised = _normalised(method)
    found = re.match(r"D?\d+", normalised)
    return found.group() if found else normalised


_SAYBOLT_TEMPERATURE_F = {"sus100f": (100.0, "kv40"), "sus210": (210.0, "kv100")}


def _entries_for(measurand: str, method: str | None) -> tuple[Sequence[Statement], tuple[str, ...]]:
    """Return the rows of a method, or of the customary one with a warning that it was assumed."""
    name = known_measurand(measurand).name
    entries = statements().get(measurand, ())
    if not entries:
        raise NotHeld(f"{name}: no method's precision is held here; give the laboratory's own.")
    if method is None or not method.strip():
        customary = [entry for entry in entries if entry.is_customary]
        assumed = f"{name}: the report names no method; {customary[0].method} is assumed."
        return customary, (assumed,)
    wanted = _normalised(method)
    for asked in (wanted, method_number(method)):
        found = [e for e in entries if asked in map(_normalised, (e.method, e.also))]
        if found:
            return found, _caution_about(found[0].method, name)
    raise NotHeld(
        f"{name}: the precision of {method.strip()} is not held here; known are "
        f"{', '.join(methods_held(measurand))}."
    )


def _normalised(method: str) -> str:
    """Return a method's name without issuer, blanks, year and the letter of a dual standard.

    >>> [_normalised(name) for name in ("ASTM D 5185M-18", "EN ISO 3104:2020", "D93 Procedure A")]
    ['D5185', '3104', 'D93A']
    """
    text = re.sub(r"ASTM|ISO|DIN|\bEN\b|\bIP\b|PROC(?:EDURE|\.)?|[\s/(),]+", "", method.upper())
    text = re.sub(r"^EN(?=\d)", "", text)
    return re.sub(r"^(D?\d+)M?(?:[-:](?:19|20)?\d{2}[A-Z]?(?:E\d)?)?", r"\1", text)


def _caution_about(method: str, name: str) -> tuple[str, ...]:
    if method != "ASTM D2896":
        return ()
    return (
        f"{name}: forward titration is assumed; by back titration, common for used oils, "
        "ASTM D2896 gives r 24 % and R 32 % (data of 1972, from memory).",
    )


def _covering(entries: Sequence[Statement], level: float) -> Sequence[Statement]:
    """Return the rows whose levels hold the result, or the nearest where none does."""
    inside = [entry for entry in entries if entry.low <= level <= entry.high]
    if inside:
        lowest = min(entry.low for entry in inside)  # where two pieces meet, the lower one
        return [entry for entry in inside if entry.low == lowest]
    if level < min(entry.low for entry in entries):
        lowest = min(entry.low for entry in entries)
        return [entry for entry in entries if entry.low == lowest]
    highest = max(entry.high for entry in entries)
    return [entry for entry in entries if entry.high == highest]


def _at_level(entry: Statement, level: float) -> Precision:
    warnings: tuple[str, ...] = ()
    used, name = max(level, entry.low), known_measurand(entry.measurand).name
    if level < entry.low:
        warnings = (
            f"{name}: {level:g} {entry.unit} is below the levels of {entry.method} "
            f"({entry.low:g} to {entry.high:g}); the precision at {entry.low:g} is taken.",
        )
    elif level > entry.high:
        warnings = (
            f"{name}: {level:g} {entry.unit} is above the levels of {entry.method} "
            f"({entry.low:g} to {entry.high:g}); its precision is extrapolated.",
        )
    return Precision(
        entry.measurand,
        level,
        entry.unit,
        entry.r.at(used),
        entry.R.at(used),
        entry.method,
        f"{entry.method} ({entry.edition})",
        entry.r_tag,
        entry.R_tag,
        warnings,
    )


def _says_unresolved(method: str, versions: Sequence[Precision]) -> str:
    listed = "; ".join(
        f"{v.source}: r {v.repeatability:.3g}, R {v.reproducibility:.3g}" for v in versions
    )
    return (
        f"{method}: versions of its precision disagree ({listed}); the wider is taken, from memory."
    )


def _saybolt_precision(measurand: str, method: str | None, value: float, unit: str) -> Precision:
    """Return the precision of seconds that were converted from a kinematic viscosity."""
    temperature_f, kv_key = _SAYBOLT_TEMPERATURE_F[measurand]
    seconds = convert(value, unit, "SUS")
    kv = float(kinematic_from_saybolt(seconds, temperature_f=temperature_f))
    step = 1e-4 * kv
    slope = (
        float(
            saybolt_seconds(kv + step, temperature_f=temperature_f)
            - saybolt_seconds(kv, temperature_f=temperature_f)
        )
        / step
    )
    of_kv = precision(kv_key, None, kv, "mm²/s")
    return replace(
        of_kv,
        measurand=measurand,
        value=value,
        unit=unit,
        repeatability=of_kv.repeatability * slope,
        reproducibility=of_kv.reproducibility * slope,
        method=method or "ASTM D2161",
        source=f"ASTM D2161 from {of_kv.source}",
        warnings=(
            "Saybolt seconds are taken as converted from a kinematic viscosity by ASTM D445.",
            *of_kv.warnings[1:],
        ),
    )


def _in_a_sentence(name: str) -> str:
    return name[:1].lower() + name[1:]
