"""Whether a used oil is the oil it is said to be, by its additive elements (ASTM D5185)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lees.errors import NotHeld, OutOfRange
from lees.oil.marks import common_marks
from lees.oil.precision import Laboratory, precision, standard_uncertainty
from lees.quantity.arrays import not_negative
from lees.quantity.data import table

CONCENTRATION_SPREAD = 0.05
"""One standard deviation of the common factor by which loss of volatile oil concentrates, or
top-up dilutes, all elements alike: an assumption, no source."""

BORON_LOSS = 0.3
"""The share of boron by which use may lower it, as one standard deviation: from memory."""

RESIDUE = 0.1
"""The share of the previous fill that an engine keeps, published as 5 to 20 %: what that oil was is
not known here, so that each element may be off by this share of what oils differ by."""

_EQUIVALENT_MASS = {"Ca": 40.078 / 2, "Mg": 24.305 / 2, "Na": 22.990, "Ba": 137.327 / 2}
"""Mass by unit charge, from the IUPAC standard atomic weights of 2021 [g/mol]."""


@dataclass(frozen=True, slots=True)
class Role:
    """What an element is in the fresh oil for, and whether it stays when the additive is spent."""

    element: str
    additive: str
    stays: str
    says: str
    between_oils_mg_kg: float
    tag: str


@dataclass(frozen=True, slots=True)
class ElementMatch:
    """One element of the fresh and of the used oil, and how many standard uncertainties apart."""

    element: str
    fresh_mg_kg: float
    used_mg_kg: float
    expected_mg_kg: float
    apart: float


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """A used oil held against the fresh oil it should be.

    `probability` is that of differences at least so large where it is that oil; `factor` is by how
    much all elements alike are concentrated.
    """

    matches: tuple[ElementMatch, ...]
    factor: float
    chi_square: float
    degrees_of_freedom: int
    probability: float
    left_out: tuple[str, ...]

    @property
    def strangers(self) -> tuple[str, ...]:
        """The elements that are more than three standard uncertainties off."""
        return tuple(one.element for one in self.matches if abs(one.apart) > 3)


@dataclass(frozen=True, slots=True)
class DetergentType:
    """Which metals neutralise acids in an oil, by their share of the base equivalents."""

    name: str
    shares: dict[str, float]


def role_of(element: str) -> Role:
    """Return what an element is in an oil for, and what its fall or rise can mean.

    Parameters
    ----------
    element : str
        The element's symbol.

    Returns
    -------
    Role
        The additive, whether the element stays when it is spent, and the tag of that knowledge.

    Raises
    ------
    NotHeld
        For an element that is no customary additive.

    Notes
    -----
    *Valid for* engine oils.

    References
    ----------
    .. [1] US Army TM 38-301-4, 2013; else from memory or common practice, see the tag.

    Examples
    --------
    >>> role_of("Ca").stays, role_of("B").stays
    ('yes', 'no')
    """
    entry = table("oil", "additive_elements").get(element)
    if entry is None:
        raise NotHeld(f"{element}: no customary additive of engine oils holds it.")
    return Role(element, **entry)


def fingerprint(
    fresh_mg_kg: Mapping[str, float], used_mg_kg: Mapping[str, float], *, laboratory: Laboratory
) -> Fingerprint:
    """Return whether a used oil can be the fresh oil it is said to be.

    Parameters
    ----------
    fresh_mg_kg : mapping of str to float
        The fresh oil's elements [mg/kg].
    used_mg_kg : mapping of str to float
        The used oil's [mg/kg].
    laboratory : Laboratory
        Whether both came from one laboratory; a data sheet is another one.

    Returns
    -------
    Fingerprint
        Each marking element, a common factor, and the probability of such differences by chance.

    Raises
    ------
    OutOfRange
        For a negative content, or fewer than two marking elements in both.

    Notes
    -----
    Least squares for one factor c that all elements share, with the assumption c = 1 ± 0.05 among
    the observations; ``χ² = Σ ((used − c · fresh) / u)² + ((c − 1) / 0.05)²``, with as many degrees
    of freedom as elements. u holds the precision of ASTM D5185 for both results, the residue of an
    unknown previous fill, and for boron, which use lowers, 30 % of the fresh value.

    *Valid for* oils whose elements come from additives alone. *Not for* a leak of coolant (sodium,
    boron) or hard water (calcium, magnesium): look at which elements are strangers.

    References
    ----------
    .. [1] ASTM D5185, Standard Test Method for Multielement Determination of Used and Unused
       Lubricating Oils by Inductively Coupled Plasma Atomic Emission Spectrometry (precision from
       memory).

    Examples
    --------
    >>> fresh = {"Ca": 2100, "Mg": 12, "Zn": 950, "P": 870, "Mo": 80, "B": 60}
    >>> used = {"Ca": 2150, "Mg": 15, "Zn": 960, "P": 860, "Mo": 84, "B": 45}
    >>> fingerprint(fresh, used, laboratory=Laboratory.SAME).probability > 0.05
    True
    >>> other = {"Ca": 1200, "Mg": 800, "Zn": 900, "P": 800, "Mo": 2, "B": 150}
    >>> fingerprint(fresh, other, laboratory=Laboratory.DIFFERENT).probability < 1e-6
    True
    """
    from scipy.special import gammaincc

    elements, left_out = common_marks([fresh_mg_kg, used_mg_kg])
    fresh = not_negative("A content of the fresh oil", [fresh_mg_kg[e] for e in elements])
    used = not_negative("A content of the used oil", [used_mg_kg[e] for e in elements])
    spread = np.array(
        [
            math.hypot(
                content_uncertainty(e, a, laboratory),
                content_uncertainty(e, b, laboratory),
                BORON_LOSS * a if e == "B" else 0.0,
                RESIDUE * role_of(e).between_oils_mg_kg,
            )
            for e, a, b in zip(elements, fresh, used, strict=True)
        ]
    )
    prior = 1.0 / CONCENTRATION_SPREAD**2
    factor = float(
        ((fresh * used / spread**2).sum() + prior) / ((fresh**2 / spread**2).sum() + prior)
    )
    apart = (used - factor * fresh) / spread
    chi_square = float((apart**2).sum() + prior * (factor - 1.0) ** 2)
    matches = tuple(
        ElementMatch(e, float(a), float(b), float(factor * a), float(z))
        for e, a, b, z in zip(elements, fresh, used, apart, strict=True)
    )
    probability = float(gammaincc(len(elements) / 2, chi_square / 2))
    return Fingerprint(matches, factor, chi_square, len(elements), probability, left_out)


def detergent_type(elements_mg_kg: Mapping[str, float]) -> DetergentType:
    """Return which metals make up the detergent of an oil.

    Parameters
    ----------
    elements_mg_kg : mapping of str to float
        The fresh oil's elements; those of calcium, magnesium, sodium and barium count [mg/kg].

    Returns
    -------
    DetergentType
        The metals that hold a tenth or more of the base equivalents, and all shares [1].

    Raises
    ------
    OutOfRange
        For a negative content, or none of the four metals.

    Notes
    -----
    Each metal counts by its charge: content · charge / molar mass. The tenth is common practice,
    no source.

    *Valid for* fresh oils. *Not for* used oils with coolant, hard water or road salt in them.

    References
    ----------
    .. [1] IUPAC, Standard atomic weights, 2021.

    Examples
    --------
    >>> detergent_type({"Ca": 1200, "Mg": 600}).name
    'calcium and magnesium'
    >>> detergent_type({"Ca": 2100, "Mg": 12}).name
    'calcium'
    """
    names = {"Ca": "calcium", "Mg": "magnesium", "Na": "sodium", "Ba": "barium"}
    held = {
        e: float(not_negative(f"The content of {e}", elements_mg_kg.get(e, 0.0))) / mass
        for e, mass in _EQUIVALENT_MASS.items()
    }
    total = sum(held.values())
    if total == 0:
        raise OutOfRange("The content of Ca, Mg, Na and Ba together", 0, "above zero")
    shares = {e: value / total for e, value in held.items()}
    counted = [names[e] for e in sorted(shares, key=lambda e: -shares[e]) if shares[e] >= 0.1]
    name = counted[0] if len(counted) == 1 else f"{', '.join(counted[:-1])} and {counted[-1]}"
    return DetergentType(name, shares)


def content_uncertainty(element: str, content_mg_kg: float, laboratory: Laboratory) -> float:
    """Return the standard uncertainty of one element's content by the customary method.

    Parameters
    ----------
    element : str
        The element's symbol.
    content_mg_kg : float
        Its content [mg/kg].
    laboratory : Laboratory
        Whether results of one laboratory are compared, or of several.

    Returns
    -------
    float
        The standard uncertainty, a tenth of the content where no precision is held [mg/kg].

    Raises
    ------
    OutOfRange
        For a negative content.

    Notes
    -----
    *Valid for* plasma methods.

    References
    ----------
    .. [1] ASTM D5185 (precision from memory); the tenth is an assumption, no source.

    Examples
    --------
    >>> round(content_uncertainty("Zn", 1000, Laboratory.SAME), 1)
    23.6
    """
    try:
        found = precision(element, "ASTM D5185", content_mg_kg, "mg/kg")
    except NotHeld:
        return max(1.0, 0.1 * float(not_negative(f"The content of {element}", content_mg_kg)))
    return standard_uncertainty(found, laboratory).uncertainty
