"""The drawings of one case: which charts it has, at which width, as SVG with what each says."""

from __future__ import annotations

from dataclasses import dataclass

from lees.chart.caught import particles
from lees.chart.look import Look
from lees.chart.media import areas, has_ring, media_areas, pleat_ring
from lees.chart.odds import has_odds, odds_curve
from lees.chart.parts import comparable, parts_in_range
from lees.chart.pieces import Spec
from lees.chart.spread import placeable, spread
from lees.chart.viscosity import has_grade, viscosity_in_grade
from lees.judge.findings import Findings
from lees.publish.press import Press


@dataclass(frozen=True, slots=True)
class Drawing:
    """A chart as SVG, and what it says to those who do not see it."""

    name: str
    svg: str
    says: str
    width_px: float


def specifications(findings: Findings, looks: dict[str, Look]) -> dict[str, Spec]:
    """Return the charts that a case allows, of those that a look is given for."""
    filter_, media = findings.filter, findings.filter.media if findings.filter else None
    able = {
        "spread": lambda look: (
            spread(findings.elements, look) if placeable(findings.elements) else None
        ),
        "odds": lambda look: (
            odds_curve(findings.next_fill, look) if has_odds(findings.next_fill) else None
        ),
        "viscosity": lambda look: (
            viscosity_in_grade(findings.oil, look) if has_grade(findings.oil) else None
        ),
        "parts": lambda look: (
            parts_in_range(filter_.measured, look)
            if filter_ and comparable(filter_.measured)
            else None
        ),
        "particles": lambda look: (
            particles(filter_.caught, look) if filter_ and filter_.caught else None
        ),
        "areas": lambda look: media_areas(media, look) if media and areas(media) else None,
        "ring": lambda look: pleat_ring(media, look) if media and has_ring(media) else None,
    }
    made = {name: able[name](look) for name, look in looks.items()}
    return {name: spec for name, spec in made.items() if spec}


def drawings(findings: Findings, looks: dict[str, Look], by: Press) -> dict[str, Drawing]:
    """Return the drawings that a case allows, by name."""
    return {
        name: Drawing(name, by.drawn(spec), spec["description"], looks[name].width_px)
        for name, spec in specifications(findings, looks).items()
    }
