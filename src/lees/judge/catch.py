"""What the filter caught: particles by kind and size on an area, with exact Poisson limits.

Size classes after ISO 16232:2018.
"""

from __future__ import annotations

from itertools import pairwise

from lees.case.records import Facts, ParticlesSeen
from lees.judge.findings import (
    About,
    Action,
    Caught,
    Statement,
)
from lees.judge.notes import Notes
from lees.judge.words import number
from lees.quantity.counts import poisson_limits

CLASSES_MM = (0.1, 0.2, 0.4, 0.6, 1.0)


def caught(facts: Facts, notes: Notes) -> tuple[Caught, ...]:
    """Return what was caught by kind, and note the bright particles."""
    found = []
    for kind in ("bright", "dark", "fibre"):
        one = _caught_of(kind, [s for s in facts.seen if isinstance(s, ParticlesSeen)])
        if one is not None:
            found.append(one)
    bright = next((one for one in found if one.kind == "bright"), None)
    if bright is not None:
        count = sum(bright.counts)
        per = count / bright.area_cm2 * 100
        fact = notes.fact(
            "caught.bright",
            "bright particles of 0.1 mm and more",
            f"{count} on {number(bright.area_cm2)} cm²",
            "counted on the photographs",
        )
        text = (
            f"{count} bright particles of 0.1 mm and more were counted on "
            f"{number(bright.area_cm2)} cm² of media, {number(per, 2)} per 100 cm²"
            + (f"; the largest is {number(bright.largest_mm, 2)} mm." if count else ".")
        )
        notes.state(
            Statement(
                id="filter.bright",
                about=About.ENGINE,
                text=text,
                action=Action.CARRY_ON,
                facts=(fact,),
                formula="count / area, exact Poisson limits",
                sources=("ISO 16232:2018 (size classes)", "chi-square limits of a Poisson count"),
            )
        )
    return tuple(found)


def _caught_of(kind: str, seen: list[ParticlesSeen]) -> Caught | None:
    usable = [one for one in seen if one.area_cm2]
    if not usable:
        return None
    area = sum(one.area_cm2 or 0.0 for one in usable)
    sizes = [p.diameter.value for one in usable for p in one.particles if p.kind == kind]
    bounds = (*CLASSES_MM, float("inf"))
    counts = tuple(sum(low <= size < high for size in sizes) for low, high in pairwise(bounds))
    limits = poisson_limits(counts)
    scale = 100.0 / area
    smallest = [one.smallest_mm for one in usable if one.smallest_mm is not None]
    return Caught(
        kind=kind,
        from_mm=CLASSES_MM,
        counts=counts,
        per_100_cm2=tuple(count * scale for count in counts),
        low=tuple(float(value) * scale for value in limits.low),
        high=tuple(float(value) * scale for value in limits.high),
        largest_mm=max(sizes, default=0.0),
        smallest_countable_mm=max(smallest, default=None),
        area_cm2=area,
    )


def large_bright(facts: Facts, *, from_mm: float = 0.2) -> tuple[int, float] | None:
    """Return how many bright particles of a size and more lie on which area, where counted.

    Parameters
    ----------
    facts : Facts
        The case's facts.
    from_mm : float
        The least diameter counted [mm].

    Returns
    -------
    tuple of int and float, or None
        The count and its area; nothing where no photograph could have shown them [1, cm²].

    References
    ----------
    .. [1] ISO 16232:2018 (counts of particles by size); the least size counted is judgement.
    """
    usable = [
        one
        for one in facts.seen
        if isinstance(one, ParticlesSeen)
        and one.area_cm2
        and (one.smallest_mm is None or one.smallest_mm <= from_mm)
    ]
    if not usable:
        return None
    count = sum(
        p.kind == "bright" and p.diameter.value >= from_mm for one in usable for p in one.particles
    )
    return count, sum(one.area_cm2 or 0.0 for one in usable)
