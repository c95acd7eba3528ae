"""A fleet's printed reports as counted readings, one cell a reading: what the model is given."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lees.wear.censored import Interval
from lees.wear.net import Ground, added, log_ends
from lees.wear.peer_counts import Counted
from lees.wear.placing import OilReading
from lees.wear.pooling import Cells
from lees.wear.starting import reference_run
from truth.fleet.engines import ELEMENTS
from truth.fleet.reports import Fleet


def interval(fleet: Fleet, key: str, rows: NDArray[np.intp]) -> Interval:
    """Return what was printed, as intervals."""
    k = ELEMENTS.index(key)
    value, step = fleet.printed.value[rows, k], fleet.printed.step[rows, k]
    below = fleet.printed.qualifier[rows, k] == 1
    return Interval(
        np.where(below, 0.0, np.maximum(value - step / 2, 0.0)),
        np.where(below, value, value + step / 2),
    )


def ground(fleet: Fleet, key: str, rows: NDArray[np.intp]) -> Ground:
    """Return what the inspector knows of the oil: fresh content as printed, and the topping up."""
    k = ELEMENTS.index(key)
    step = fleet.printed.step[rows, k]
    return Ground(np.round(fleet.fresh[rows, k] / step) * step, step, fleet.top_up[rows])


def counted(fleet: Fleet, key: str, *, by_hours: bool, engines: NDArray[np.bool_]) -> Counted:
    """Return the readings of chosen engines, for families that count km or hours."""
    chosen = engines[fleet.engine] & (fleet.families.by_hours[fleet.family] == by_hours)
    rows = np.flatnonzero(chosen)
    low, high = log_ends(added(interval(fleet, key, rows), ground(fleet, key, rows)))
    unit = "h" if by_hours else "km"
    numbers, engine = np.unique(fleet.engine[rows], return_inverse=True)
    present, family_of = np.unique(fleet.engines.family[numbers], return_inverse=True)
    cells = Cells(
        low, high, np.log(fleet.run[rows] / reference_run(unit)), np.ones(len(rows)),
        engine, family_of, len(present),
    )  # fmt: skip
    names = [fleet.families.name[k] for k in present]
    return Counted(key, unit, cells, names, [f"engine {k}" for k in numbers])


def reading(fleet: Fleet, key: str, row: int) -> OilReading:
    """Return one printed reading with what it stands on."""
    rows = np.array([row])
    found, on = interval(fleet, key, rows), ground(fleet, key, rows)
    first = [np.asarray(part)[0] for part in (on.fresh, on.fresh_step, on.top_up)]
    return OilReading(Interval(found.low[0], found.high[0]), float(fleet.run[row]), Ground(*first))
