"""Area of the media: against GTC, by two ways that must agree, and what is refused."""

from __future__ import annotations

import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from filtration.made_up import of
from lees.errors import OutOfRange, UnitDoesNotFit
from lees.filtration.media import agreement, area_left, pleat_spacing, pleats_area, strip_area


def test_strip_agrees_with_gtc() -> None:
    found = strip_area(of(1830, "mm", 1.5), of(58, "mm", 0.1)).result
    reference = GTC.ureal(183.0, 0.15) * GTC.ureal(5.8, 0.01)
    assert (found.value, found.unit) == (pytest.approx(reference.x), "cm²")
    assert found.uncertainty == pytest.approx(reference.u)


def test_pleats_agree_with_gtc() -> None:
    """55 pleats of 12 mm by 70 mm: 0.0924 m²."""
    found = pleats_area(of(55, "1", 0.5), of(12, "mm", 0.2), of(70, "mm", 0.3)).result
    reference = 2 * GTC.ureal(55, 0.5) * GTC.ureal(1.2, 0.02) * GTC.ureal(7.0, 0.03)
    assert found.to("m²").value == pytest.approx(0.0924)
    assert found.uncertainty == pytest.approx(reference.u)


def test_inches_give_the_same_area() -> None:
    metric = strip_area(of(1333.5, "mm", 1.0), of(57.15, "mm", 0.1)).result
    inches = strip_area(of(52.5, "in", 1.0 / 25.4), of(2.25, "in", 0.1 / 25.4)).result
    assert inches.value == pytest.approx(metric.value)
    assert inches.uncertainty == pytest.approx(metric.uncertainty)


@given(st.integers(10, 150), st.floats(5, 30), st.floats(30, 200))
def test_both_ways_agree_on_a_perfect_filter(count: int, depth: float, height: float) -> None:
    strip = strip_area(of(2 * count * depth, "mm", 1), of(height, "mm", 0.2)).result
    pleats = pleats_area(of(count, "1"), of(depth, "mm", 0.2), of(height, "mm", 0.2)).result
    assert agreement(strip, pleats).agree
    assert agreement(strip, pleats).normalised_error == pytest.approx(0, abs=1e-9)


def test_a_blunder_does_not_agree() -> None:
    """A caliper not zeroed, off by half a millimetre on every pleat."""
    strip = strip_area(of(1320, "mm", 1.5), of(70, "mm", 0.1)).result
    pleats = pleats_area(of(55, "1"), of(12.5, "mm", 0.1), of(70, "mm", 0.1)).result
    found = agreement(strip, pleats)
    assert not found.agree
    assert found.difference.value == pytest.approx(strip.value - pleats.value)
    assert agreement(pleats, strip).normalised_error == pytest.approx(-found.normalised_error)


def test_agreement_converts_units() -> None:
    assert agreement(of(1000, "cm²", 10), of(0.1, "m²", 0.001)).normalised_error == 0


def test_spacing_and_touching_pleats() -> None:
    spacing = pleat_spacing(
        of(55, "1"),
        outer_diameter=of(64, "mm"),
        inner_diameter=of(38, "mm"),
        thickness=of(0.6, "mm", 0.02),
    )
    assert spacing.outer.result.value * 55 == pytest.approx(math.pi * 64)
    assert spacing.inner.result.value * 55 == pytest.approx(math.pi * 38)
    assert spacing.inner_gap.warnings == ()
    touching = pleat_spacing(
        of(99, "1"),
        outer_diameter=of(64, "mm"),
        inner_diameter=of(38, "mm"),
        thickness=of(0.6, "mm", 0.02),
    )
    assert "touch" in touching.inner_gap.warnings[0]


def test_seam_and_glue_take_area() -> None:
    left = area_left(
        of(1000, "mm"), of(60, "mm"), seam_overlap=of(10, "mm"), glued_edge=of(2, "mm")
    ).result
    assert left.value == pytest.approx(99.0 * 5.6)
    assert 0.05 < 1 - left.value / 600 < 0.15


@pytest.mark.parametrize(
    "call",
    [
        lambda: strip_area(of(0, "mm"), of(58, "mm")),
        lambda: strip_area(of(-3, "mm"), of(58, "mm")),
        lambda: pleats_area(of(0, "1"), of(12, "mm"), of(70, "mm")),
        lambda: pleats_area(of(55, "1"), of(12, "mm"), of(0, "mm")),
        lambda: agreement(of(5, "cm²"), of(5, "cm²")),
        lambda: pleat_spacing(
            of(55, "1"),
            outer_diameter=of(38, "mm"),
            inner_diameter=of(64, "mm"),
            thickness=of(0.6, "mm"),
        ),
        lambda: area_left(
            of(100, "mm"), of(5, "mm"), seam_overlap=of(0, "mm"), glued_edge=of(2.5, "mm")
        ),
        lambda: area_left(
            of(100, "mm"), of(5, "mm"), seam_overlap=of(-1, "mm"), glued_edge=of(1, "mm")
        ),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_wrong_dimension_is_refused() -> None:
    with pytest.raises(UnitDoesNotFit):
        strip_area(of(5, "L"), of(58, "mm"))
    with pytest.raises(UnitDoesNotFit):
        pleats_area(of(55, "mm"), of(12, "mm"), of(70, "mm"))
