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
        _note_bright(bright, notes)
    return tuple(found)


def _note_bright(bright: Caught, notes: Notes) -> None:
    count, least = sum(bright.counts), number(bright.from_mm[0])
    area = number(bright.area_cm2)
    fact = notes.fact(
        "caught.bright",
        f"bright particles of {least} mm and more",
        f"{count} on {area} cm²",
        "counted on the photographs",
    )
    shown = f"{count}" if count else "No"
    largest = f"; the largest is {number(bright.largest_mm, 2)} mm" if count else ""
    text = (
        f"{shown} bright particles of {least} mm and more were counted on {area} cm² of media, "
        f"{number(sum(bright.per_100_cm2), 2)} per 100 cm²{largest}."
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


def _caught_of(kind: str, seen: list[ParticlesSeen]) -> Caught | None:
    """Return the catch of one kind in the classes that the photographs could have shown.

    A class counts only on the photographs fine enough for it, and on their area.
    """
    usable = [one for one in seen if one.area_cm2]
    bounds = (*CLASSES_MM, float("inf"))
    classes = []
    for low, high in pairwise(bounds):
        fine = [one for one in usable if (one.smallest_mm or 0.0) <= low]
        if fine:
            area = sum(one.area_cm2 or 0.0 for one in fine)
            count = sum(
                p.kind == kind and low <= p.diameter.value < high
                for one in fine
                for p in one.particles
            )
            classes.append((low, count, 100.0 / area))
    if not classes:
        return None
    limits = poisson_limits([count for _, count, _ in classes])
    scales = [scale for _, _, scale in classes]
    sizes = [p.diameter.value for one in usable for p in one.particles if p.kind == kind]
    return Caught(
        kind=kind,
        from_mm=tuple(low for low, _, _ in classes),
        counts=tuple(count for _, count, _ in classes),
        per_100_cm2=tuple(count * scale for _, count, scale in classes),
        low=tuple(float(v) * scale for v, scale in zip(limits.low, scales, strict=True)),
        high=tuple(float(v) * scale for v, scale in zip(limits.high, scales, strict=True)),
        largest_mm=max(sizes, default=0.0),
        smallest_countable_mm=min(
            (one.smallest_mm for one in usable if one.smallest_mm), default=None
        ),
        area_cm2=sum(one.area_cm2 or 0.0 for one in usable),
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
