"""What engines like this one do: the fitted model of all measurands, as plain data.

Made by `lees.wear.peer_counts` from counted readings, asked by `lees.wear.placing`, written and
read by `lees.wear.peer_file`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lees.wear.pooling import Spreads

FORMAT = 1
MOST_MEMBERS = 12
"""Families of up to this many engines keep what each engine says of them, so that an engine is
not counted among the peers that it is compared with."""


@dataclass(frozen=True, slots=True)
class Member:
    """What one engine says of its family: a level and its precision (inverse variance)."""

    level: float
    precision: float


@dataclass(frozen=True, slots=True)
class FamilyKnown:
    """What is known of a family: its level at the reference run, and from what.

    `level` is a natural logarithm of content, `deviation` its standard uncertainty. `sources`
    counts samples by where they came from; `printed_means` counts distinct means, used as one.
    """

    level: float
    deviation: float
    samples: int
    engines: int
    sources: Mapping[str, int] = field(default_factory=dict)
    printed_means: int = 0
    members: Mapping[str, Member] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Diagnostics:
    """How the fit went: what it was made from and how well it describes it.

    `bounded` is the share of readings that are only bounds (`0`, `<1`); `inside_90` the share of
    readings inside the peers' own 90 % interval, rounding shared out evenly.
    """

    cells: int
    cells_for_spreads: int
    evaluations: int
    settled: bool
    bounded: float
    inside_90: float


@dataclass(frozen=True, slots=True)
class MeasurandPeers:
    """The peers of one measurand, for runs counted in `run_unit` (km or h).

    Levels are natural logarithms of content at `reference_run`. `power_deviation` is the standard
    uncertainty of the power; `degrees_of_freedom` is how well the spread of one reading is known.
    """

    key: str
    run_unit: str
    reference_run: float
    spreads: Spreads
    overall: float
    overall_deviation: float
    power_deviation: float
    degrees_of_freedom: float
    middle_log_run: float
    samples: int
    engines: int
    starting: str
    families: Mapping[str, FamilyKnown] = field(default_factory=dict)
    diagnostics: Diagnostics | None = None
    digest: str = ""


@dataclass(frozen=True, slots=True)
class PeerModel:
    """All peers: one entry per measurand and kind of run, with the version and date that made it.

    `samples` and `engines` count what was read over all measurands, by source where known.
    """

    made_with: str
    made_at: str
    samples: int
    engines: int
    sources: Mapping[str, int]
    measurands: Mapping[tuple[str, str], MeasurandPeers]
    format: int = FORMAT

    def of(self, key: str, run_unit: str) -> MeasurandPeers | None:
        """Return the peers of a measurand for a kind of run, `km` or `h`."""
        return self.measurands.get((key, run_unit))
