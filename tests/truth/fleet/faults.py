"""What goes wrong with some engines, what it sheds into the oil, and what a teardown then shows."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Fault:
    """A fault: factors on the pairs' wear, metal and salts added per sump, and what is seen.

    `bright` multiplies the bright metal on the media; `harm` is false for what only looks bad.
    """

    name: str
    share: float
    harm: bool
    pairs: dict[str, float] = field(default_factory=dict)
    adds: dict[str, float] = field(default_factory=dict)  # mg/kg per usual run
    dust: float = 1.0
    bright: float = 1.0
    words: tuple[str, ...] = ()
    parts: dict[str, str] = field(default_factory=dict)


NONE = Fault("none", 0.0, harm=False)
FAULTS = (
    NONE,
    Fault("bearing", 0.006, True, {"bearings": 9.0, "valve train": 1.3}, bright=9.0,
          words=("low oil pressure when hot",), parts={"media": "grey and bright flakes"}),
    Fault("rings", 0.005, True, {"rings": 4.0, "pistons": 2.0}, bright=2.0,
          words=("uses oil",), parts={"media": "dark, fine magnetic mud"}),
    Fault("valve train", 0.004, True, {"valve train": 14.0}, bright=7.0,
          words=("ticks when cold",), parts={"media": "bright slivers, magnetic"}),
    Fault("dust", 0.006, True, {"rings": 2.6, "pistons": 2.0}, dust=7.0, bright=1.5,
          words=("air filter box open", "dusty roads"), parts={"media": "gritty"}),
    Fault("coolant", 0.005, True, {"bearings": 2.2, "rings": 1.4},
          adds={"Na": 70.0, "K": 25.0, "Si": 8.0}, bright=1.3,
          words=("coolant topped up",), parts={"media": "swollen, brown"}),
    Fault("cooler leaching", 0.007, False, adds={"Cu": 45.0}, words=("new oil cooler",)),
    Fault("sealant", 0.006, False, adds={"Si": 28.0}, words=("sump resealed",),
          parts={"media": "threads of sealant"}),
)  # fmt: skip


def draw_faults(rng: np.random.Generator, fills: np.ndarray) -> np.ndarray:
    """Return for each engine and fill the number of its fault; once there, it stays."""
    kind = rng.choice(
        len(FAULTS), len(fills),
        p=[1 - sum(f.share for f in FAULTS), *(f.share for f in FAULTS[1:])],
    )  # fmt: skip
    since = np.floor(rng.random(len(fills)) * fills)
    return np.where(np.arange(fills.max())[None, :] >= since[:, None], kind[:, None], 0)
