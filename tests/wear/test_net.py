"""What the engine added: the ends of a reading above the fresh oil's content."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lees.errors import OutOfRange, ShapesDiffer
from lees.wear.censored import interval_of
from lees.wear.net import Ground, added, contents


def test_an_exact_reading_no_higher_than_fresh_oil_leaves_next_to_nothing() -> None:
    """An interval never ends at nothing, whose logarithm would not exist."""
    net = added(interval_of(5), Ground(fresh=5))
    assert (float(net.low), float(net.high)) == (0.0, 1e-6)


def test_contents_are_what_was_added_put_back() -> None:
    """20 mg/kg where a fifth of the charge was topped up: 22.067 was shed (balance of a sump)."""
    ground = Ground(fresh=0, top_up=0.2)
    assert float(added(interval_of(20), ground).high) == pytest.approx(22.067, abs=5e-4)
    assert float(contents(22.067, ground)) == pytest.approx(20, abs=5e-4)


def test_what_is_no_content_is_refused() -> None:
    with pytest.raises(OutOfRange):
        contents([1.0, math.nan], Ground())
    with pytest.raises(ShapesDiffer):
        contents([1.0, 2.0], Ground(fresh=np.zeros(3)))
