"""What an inspector finds in the filter of a sample: metal on the media, parts, duty, events."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from truth.fleet.faults import FAULTS
from truth.fleet.reports import Fleet

USUAL_PER_100_CM2 = 1.2
"""Bright particles of 0.2 mm and more of an ordinary engine after its usual run (invented)."""


@dataclass(frozen=True)
class Teardown:
    """What was seen, and the truth behind it."""

    fault: str
    harm: bool
    area_cm2: float
    bright: int
    largest_mm: float | None
    parts: dict[str, str]
    duty: tuple[str, ...]
    events: tuple[str, ...]


def draw_teardown(rng: np.random.Generator, fleet: Fleet, sample: int) -> Teardown:
    """Draw the teardown of a sample's filter; what owners tell is told now and then only."""
    fault = FAULTS[fleet.fault[sample]]
    usual = fleet.families.usual_run[fleet.family[sample]]
    run = fleet.run[sample] / (100.0 if fleet.families.by_hours[fleet.family[sample]] else 1000.0)
    area = float(rng.uniform(40, 400))
    engine = fleet.engines.wear[fleet.engine[sample]].mean()
    rate = USUAL_PER_100_CM2 * engine * fault.bright * (run / usual) ** 0.7
    bright = int(rng.poisson(rate * rng.gamma(2.0, 0.5) * area / 100))
    sizes = 0.2 * (1 - rng.random(bright)) ** (-1 / 3.2)  # a power law of sizes
    duty = ["mostly long trips", "mixed", "short trips"][
        int(np.digitize(fleet.starts[sample], [0.7, 1.4]))
    ]
    told = tuple(word for word in fault.words if rng.random() < 0.5)
    return Teardown(
        fault.name,
        fault.harm,
        round(area, 1),
        bright,
        round(float(sizes.max()), 2) if bright else None,
        {part: seen for part, seen in fault.parts.items() if rng.random() < 0.7},
        (duty, *(("dusty roads",) if fleet.dust[sample] > 1.8 else ())),
        told,
    )
