"""What a count of particles is worth and how it is coded (Garwood 1936; ISO 4406, ISO 16232)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, not_negative, positive
from lees.quantity.data import rows

ISO4406_SIZES = ("4 µm(c)", "6 µm(c)", "14 µm(c)")
ABOVE_SCALE = 29
"""Returned by `iso4406_number` for more particles than scale number 28 holds."""


@dataclass(frozen=True, slots=True)
class CountLimits:
    """A count, or counts, with exact limits of the mean number behind."""

    count: Numbers
    low: Numbers
    high: Numbers


def poisson_limits(count: ArrayLike, coverage: float = 0.95) -> CountLimits:
    """Return the exact limits of the mean behind a count of independent events.

    Parameters
    ----------
    count : ArrayLike
        How many were counted. [1]
    coverage : float
        The least probability that the limits hold the mean. [1]

    Returns
    -------
    CountLimits
        The count with its lower and upper limit.

    Raises
    ------
    OutOfRange
        Where a count is below zero or not whole, or the coverage is not between 0 and 1.

    Notes
    -----
    With χ²_p(ν) the quantile of the chi-square distribution, *low = ½ χ²_{α/2}(2n)* and
    *high = ½ χ²_{1−α/2}(2n+2)*. *Valid for* particles that fall where they like. *Not for*
    clusters, such as one flake broken into many: the limits are too narrow then.

    References
    ----------
    .. [1] F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437–442.

    Examples
    --------
    >>> limits = poisson_limits([0, 10])
    >>> limits.low.round(3), limits.high.round(3)
    (array([0.   , 4.795]), array([ 3.689, 18.39 ]))
    """
    from scipy.special import gammaincinv

    n = not_negative("A count", count)
    if not (n == np.floor(n)).all():
        raise OutOfRange("A count", float(n[n != np.floor(n)].flat[0]), "a whole number")
    if not 0 < coverage < 1:
        raise OutOfRange("A coverage probability", coverage, "between 0 and 1")
    tail = (1 - coverage) / 2
    low = np.where(n > 0, gammaincinv(np.maximum(n, 1), tail), 0.0)
    return CountLimits(n, low, gammaincinv(n + 1, 1 - tail))


def scaled_up(
    count: ArrayLike,
    fields: ArrayLike,
    *,
    field_area_mm2: ArrayLike,
    total_area_mm2: ArrayLike,
    coverage: float = 0.95,
) -> CountLimits:
    """Return the number on a whole area from a count on some fields of it.

    Parameters
    ----------
    count : ArrayLike
        How many were counted on all the fields together. [1]
    fields : ArrayLike
        On how many fields. [1]
    field_area_mm2 : ArrayLike
        The area of one field. [mm²]
    total_area_mm2 : ArrayLike
        The whole area that the fields stand for. [mm²]
    coverage : float
        The least probability that the limits hold the mean. [1]

    Returns
    -------
    CountLimits
        The number on the whole area, with limits that hold the scatter of counting only.

    Raises
    ------
    OutOfRange
        Where a count is below zero or not whole, or the fields are larger than the whole.

    Notes
    -----
    *N = n A / (k a)*. *Valid for* fields chosen without looking, on evenly spread particles; at
    least 150 particles over 10 fields are customary (*from memory*). *Not for* particles that
    gather along folds: spread the fields over folds and flats alike.

    References
    ----------
    .. [1] ISO 4407:2002, Hydraulic fluid power: Fluid contamination: Determination of particulate
       contamination by the counting method using an optical microscope (calculation, from memory).

    Examples
    --------
    >>> whole = scaled_up(180, 20, field_area_mm2=0.5, total_area_mm2=962.1)
    >>> float(whole.count.round()), float(whole.low.round()), float(whole.high.round())
    (17318.0, 14880.0, 20041.0)
    """
    k, a = positive("The number of fields", fields), positive("A field's area", field_area_mm2)
    whole = positive("The whole area", total_area_mm2)
    limits = poisson_limits(count, coverage)
    alike(count=limits.count, fields=k, field_area_mm2=a, total_area_mm2=whole)
    factor = whole / (k * a)
    if (factor < 1).any():
        raise OutOfRange("The fields' area", float((k * a).max()), "no larger than the whole area")
    return CountLimits(limits.count * factor, limits.low * factor, limits.high * factor)


def iso4406_number(count_per_ml: ArrayLike) -> Numbers:
    """Return the scale number of a particle count.

    Parameters
    ----------
    count_per_ml : ArrayLike
        Particles of one size and larger in a millilitre of the fluid. [1/mL]

    Returns
    -------
    Numbers
        Scale numbers from 0 to 28, and `ABOVE_SCALE` (29) for more than 28 holds. [1]

    Raises
    ------
    OutOfRange
        Where a count is below zero.

    Notes
    -----
    Table 1 of the standard, whose bounds do not double everywhere. *Not for* particles washed off
    a medium: they have no volume of fluid.

    References
    ----------
    .. [1] ISO 4406:2021, Hydraulic fluid power: Fluids: Method for coding the level of
       contamination by solid particles, table 1.

    Examples
    --------
    >>> iso4406_number([2500, 2500.0001, 0.01, 3e6])
    array([18., 19.,  0., 29.])
    """
    counts = not_negative("A count per mL", count_per_ml)
    bounds = np.array([float(row["up_to_per_ml"]) for row in rows("quantity", "iso4406")])
    return np.searchsorted(bounds, counts, side="left").astype(np.float64)


def iso4406_code(counts: Sequence[int | None], volume_ml: float) -> str:
    """Return the code of particles counted in a known volume of fluid.

    Parameters
    ----------
    counts : sequence of int or None
        Particles counted at and above the three sizes 4, 6 and 14 µm(c), or 5 and 15 µm by
        microscope with None in the first place: None is a size that was not counted. [1]
    volume_ml : float
        The volume of fluid in which they were counted. [mL]

    Returns
    -------
    str
        Three scale numbers, ``–`` for a size not counted, ``≥`` before a number that stands on
        fewer than 20 particles.

    Raises
    ------
    OutOfRange
        Where there are not three sizes, the volume is not above zero, or a larger size has more
        particles than a smaller one.

    Notes
    -----
    Clauses 4.2 to 4.4 (from memory). *Valid for* a sample of fluid. *Not for* used filter media,
    which is neither a known volume nor an extracted surface: give the counts with their limits.

    References
    ----------
    .. [1] ISO 4406:2021, Hydraulic fluid power: Fluids: Method for coding the level of
       contamination by solid particles.

    Examples
    --------
    >>> iso4406_code([300_000, 50_000, 700], 100)
    '19/16/10'
    >>> iso4406_code([None, 3_000, 12], 10)
    '–/15/≥7'
    """
    volume = float(positive("The volume of fluid", volume_ml))
    if len(counts) != len(ISO4406_SIZES):
        raise OutOfRange("The number of sizes", len(counts), "three, None for one not counted")
    known = [count for count in counts if count is not None]
    if any(small < large for small, large in pairwise(known)):
        raise OutOfRange("The counts", known, "cumulative: fewer at each larger size")
    return "/".join("–" if count is None else _scale_text(count, volume) for count in counts)


def size_class(size_um: float) -> str | None:
    """Return the letter of a particle's size class, or None below the smallest class.

    Parameters
    ----------
    size_um : float
        The particle's greatest Feret diameter. [µm]

    Returns
    -------
    str or None
        B to N.

    Raises
    ------
    OutOfRange
        Where the size is not above zero.

    Notes
    -----
    *Not for* fibres, which are counted apart.

    References
    ----------
    .. [1] ISO 16232:2018, Road vehicles: Cleanliness of components and systems (size classes;
       letters H to N from memory).

    Examples
    --------
    >>> size_class(100), size_class(99.9), size_class(4)
    ('F', 'E', None)
    """
    size = float(positive("A particle's size", size_um))
    letters, bounds = _size_classes()
    place = int(np.searchsorted(bounds, size, side="right")) - 1
    return letters[place] if place >= 0 else None


def size_class_counts(sizes_um: ArrayLike) -> dict[str, int]:
    """Return how many particles fall into each size class, empty classes included.

    Parameters
    ----------
    sizes_um : ArrayLike
        The particles' greatest Feret diameters. [µm]

    Returns
    -------
    dict of str to int
        The count of each letter from B to N; particles under 5 µm are in none. [1]

    Raises
    ------
    OutOfRange
        Where a size is not above zero.

    References
    ----------
    .. [1] ISO 16232:2018, Road vehicles: Cleanliness of components and systems (size classes;
       letters H to N from memory).

    Examples
    --------
    >>> {k: n for k, n in size_class_counts([4, 60, 80, 120]).items() if n}
    {'E': 2, 'F': 1}
    """
    sizes = np.atleast_1d(positive("A particle's size", sizes_um)) if np.size(sizes_um) else ()
    letters, bounds = _size_classes()
    places = np.searchsorted(bounds, sizes, side="right") - 1
    return {letter: int(np.sum(places == k)) for k, letter in enumerate(letters)}


def concentration_level(count_per_reference: float) -> str:
    """Return the concentration level of a size class.

    Parameters
    ----------
    count_per_reference : float
        Particles per 1000 cm² of extracted surface, per 100 cm³, or per part. [1]

    Returns
    -------
    str
        ``00`` for none at all, else ``0`` to ``24``.

    Raises
    ------
    OutOfRange
        Where the count is below zero or above the highest level.

    References
    ----------
    .. [1] ISO 16232:2018, Road vehicles: Cleanliness of components and systems (concentration
       levels; from memory but for level 17).

    Examples
    --------
    >>> [concentration_level(n) for n in (0, 1, 3, 100, 1500, 100_000)]
    ['00', '0', '2', '7', '11', '17']
    """
    count = float(not_negative("A count per reference", count_per_reference))
    bounds = [float(row["up_to"]) for row in rows("quantity", "iso16232_levels")]
    if count == 0:
        return "00"
    if count > bounds[-1]:
        raise OutOfRange("A count per reference", count, f"{bounds[-1]:g} or less, the top level")
    return str(int(np.searchsorted(bounds, count, side="left")))


def iso16232_code(counts: Mapping[str, int], extracted_surface_cm2: float) -> str:
    """Return the code of particles extracted from a known surface.

    Parameters
    ----------
    counts : Mapping[str, int]
        Particles in each size class, by letter. [1]
    extracted_surface_cm2 : float
        The surface from which they were extracted. [cm²]

    Returns
    -------
    str
        Letters with their concentration levels per 1000 cm², neighbours of one level joined.

    Raises
    ------
    OutOfRange
        Where no class was counted, a letter is not a size class, a count is below zero or the
        surface is not above zero.

    Notes
    -----
    *Valid for* a wetted surface that was rinsed until a decline test says that it is clean.
    *Not for* the surface of used media: what is washed off them was caught from the oil.

    References
    ----------
    .. [1] ISO 16232:2018, Road vehicles: Cleanliness of components and systems (codes; from
       memory but for the form of the string).

    Examples
    --------
    >>> iso16232_code({"E": 31, "F": 37, "G": 33, "H": 0}, 50)
    'A(E-G10/H00)'
    """
    surface = float(positive("The extracted surface", extracted_surface_cm2))
    letters = _size_classes()[0]
    if not counts:
        raise OutOfRange("The number of size classes", 0, "one or more that were counted")
    unknown = [letter for letter in counts if letter not in letters]
    if unknown:
        raise OutOfRange("A size class", unknown[0], f"one of {' '.join(letters)}")
    groups: list[tuple[list[str], str]] = []
    for letter in letters:
        if letter not in counts:
            continue
        level = concentration_level(counts[letter] * 1000 / surface)
        last = letters.index(groups[-1][0][-1]) if groups else -2
        if groups and groups[-1][1] == level and letters.index(letter) == last + 1:
            groups[-1][0].append(letter)
        else:
            groups.append(([letter], level))
    shown = (f"{g[0]}-{g[-1]}{level}" if len(g) > 1 else f"{g[0]}{level}" for g, level in groups)
    return f"A({'/'.join(shown)})"


def _scale_text(count: int, volume_ml: float) -> str:
    number = int(iso4406_number(count / volume_ml))
    shown = ">28" if number == ABOVE_SCALE else str(number)
    return f"≥{shown}" if count < 20 else shown


@cache
def _size_classes() -> tuple[tuple[str, ...], tuple[float, ...]]:
    table = rows("quantity", "iso16232_classes")
    return tuple(row["letter"] for row in table), tuple(float(row["from_um"]) for row in table)
