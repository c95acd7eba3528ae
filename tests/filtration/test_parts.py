"""The table of parts: whole, in words of our own, and only asking."""

from __future__ import annotations

import pytest

from filtration.made_up import of
from lees.errors import UnitDoesNotFit, WrongEntry
from lees.filtration.parts import BEARING_WORDS, Bearing, part, parts, plausibility_warning
from lees.quantity.units import is_unit

NAMED = (
    "can", "base_plate", "inlet_holes", "thread", "gasket", "anti_drain_back_valve",
    "bypass_valve", "end_caps", "media", "seam", "centre_tube", "spring",
)  # fmt: skip


def test_every_part_of_a_filter_is_there() -> None:
    assert tuple(parts()) == NAMED


@pytest.mark.parametrize("key", NAMED)
def test_a_part_can_be_sound_and_otherwise(key: str) -> None:
    states = part(key).states
    assert states[0].key == "sound"
    assert [s for s in states if s.bearing is Bearing.SOUND] == [states[0]]
    assert len({s.key for s in states}) == len(states) > 1
    assert all(s.why for s in states[1:])


@pytest.mark.parametrize("key", NAMED)
def test_ranges_are_ordered_and_tagged(key: str) -> None:
    for measure in part(key).measures:
        assert is_unit(measure.unit)
        assert 0 < measure.low < measure.high
        assert measure.tag in ("common practice, no source", "from memory")
        if measure.usual:
            assert measure.low <= measure.usual[0] < measure.usual[1] <= measure.high


def test_every_bearing_has_words() -> None:
    assert set(BEARING_WORDS) == set(Bearing)


def test_a_slip_of_the_pen_is_asked_about() -> None:
    asked = plausibility_warning("can", "wall", of(3.8, "mm"))
    assert asked is not None
    assert "3.8 mm" in asked
    assert plausibility_warning("can", "wall", of(0.015, "in")) is None


def test_unknown_keys_are_refused_with_those_known() -> None:
    with pytest.raises(WrongEntry, match="gasket"):
        part("gaskett")
    with pytest.raises(WrongEntry, match="torn"):
        part("media").state("ripped")
    with pytest.raises(WrongEntry, match="thickness"):
        part("media").measure("colour")
    with pytest.raises(UnitDoesNotFit):
        plausibility_warning("can", "wall", of(3.8, "g"))
