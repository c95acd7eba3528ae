"""How invented laboratories turn contents into print: bias, scatter, rounding, slips.

Scatter is the repeatability of ASTM D5185 (from memory), *r = a Xᵇ*, as a standard deviation r/2.77.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from truth.fleet.engines import ELEMENTS, Index, Numbers

REPEATABILITY = {
    "Fe": (0.13, 0.80), "Cr": (0.17, 0.75), "Al": (0.71, 0.41), "Cu": (0.12, 0.91),
    "Pb": (1.6, 0.32), "Sn": (2.4, 0.17), "Ni": (0.52, 0.49), "Mn": (0.010, 1.3),
    "Si": (1.3, 0.26), "Na": (0.49, 0.66), "K": (3.8, 0.33),
}  # fmt: skip
STRAY_SHARE = 0.006
PLAIN, BELOW = 0, 1


@dataclass(frozen=True)
class Laboratories:
    """What sets the laboratories apart: their bias on each element, their digits, their floors."""

    bias: Numbers  # laboratories × elements
    step: Numbers
    floor: Numbers  # the least content printed as a number; 0 where zeros are printed


@dataclass(frozen=True)
class Printed:
    """What was printed: values, the step of the last digit, and whether it is a bound (`<`)."""

    value: Numbers
    step: Numbers
    qualifier: Index
    stray: Numbers
    found: Numbers  # before rounding


def draw_laboratories(rng: np.random.Generator, count: int = 6) -> Laboratories:
    """Draw laboratories: half print whole numbers and zeros, some a decimal, some floors."""
    step = np.where(np.arange(count) % 3 == 2, 0.1, 1.0)
    floor = np.where(np.arange(count) % 2 == 1, np.where(step == 1.0, 1.0, 0.5), 0.0)
    return Laboratories(np.exp(rng.normal(0, 0.05, (count, len(ELEMENTS)))), step, floor)


def printed_by(
    rng: np.random.Generator, laboratories: Laboratories, which: Index, content: Numbers
) -> Printed:
    """Return what laboratories print of true contents (samples × elements)."""
    seen = content * laboratories.bias[which]
    factor, power = np.array([REPEATABILITY[key] for key in ELEMENTS]).T
    # Below its range a method's repeatability does not grow on: an absolute floor takes over.
    deviation = np.minimum(factor * np.maximum(seen, 0.3) ** power, 0.25 * seen + 0.6) / 2.77
    stray = rng.random(seen.shape) < STRAY_SHARE
    slip = np.exp(
        rng.uniform(np.log(2.5), np.log(10), seen.shape) * rng.choice([-1, 1, 1], seen.shape)
    )
    found = np.where(stray, seen * slip, seen) + deviation * rng.normal(size=seen.shape)
    step = laboratories.step[which][:, None] + np.zeros_like(seen)
    floor = laboratories.floor[which][:, None]
    value = np.maximum(np.round(found / step) * step, 0.0)
    below = (floor > 0) & (found < floor)
    return Printed(
        np.where(below, floor, np.round(value, 6)),
        step,
        np.where(below, BELOW, PLAIN),
        stray,
        found,
    )
