"""Counts of particles: exact limits against SciPy, codes at their bounds, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from lees.errors import OutOfRange, ShapesDiffer
from lees.quantity.counts import (
    ABOVE_SCALE,
    concentration_level,
    iso4406_code,
    iso4406_number,
    iso16232_code,
    poisson_limits,
    scaled_up,
    size_class,
    size_class_counts,
)


@pytest.mark.parametrize("coverage", [0.68, 0.95, 0.99])
def test_limits_agree_with_chi_square_quantiles(coverage: float) -> None:
    """Garwood 1936 through scipy.stats.chi2, another road to the same limits."""
    counts = np.array([0, 1, 3, 5, 10, 20, 50, 100, 150, 400, 10_000])
    found, tail = poisson_limits(counts, coverage), (1 - coverage) / 2
    low = np.where(counts > 0, stats.chi2.ppf(tail, 2 * np.maximum(counts, 1)) / 2, 0)
    high = stats.chi2.ppf(1 - tail, 2 * counts + 2) / 2
    np.testing.assert_allclose(found.low, low, rtol=1e-9)
    np.testing.assert_allclose(found.high, high, rtol=1e-9)


@pytest.mark.parametrize("mean", [0.5, 3.0, 17.0])
def test_limits_hold_the_mean_often_enough(mean: float) -> None:
    """By definition the exact limits hold the mean in at least 95 % of drawn counts."""
    drawn = np.random.default_rng(11).poisson(mean, 20_000)
    found = poisson_limits(drawn)
    assert np.mean((found.low <= mean) & (mean <= found.high)) >= 0.948


def test_scale_up_by_area() -> None:
    whole = scaled_up(180, 20, field_area_mm2=0.5, total_area_mm2=962.1)
    assert float(whole.count) == pytest.approx(17318, abs=0.5)
    bare = poisson_limits(180)
    assert float(whole.low / whole.count) == pytest.approx(float(bare.low / 180))


@pytest.mark.parametrize(
    ("per_ml", "number"),
    [(0, 0), (0.01, 0), (0.010001, 1), (640, 16), (1300, 17), (2500, 18), (2500.0001, 19)],
)
def test_scale_numbers_at_their_bounds(per_ml: float, number: int) -> None:
    """ISO 4406:2021, table 1: more than the bound before, up to and including the own."""
    assert iso4406_number(per_ml) == number


def test_more_than_the_scale_holds() -> None:
    assert iso4406_number(2_500_000.1) == ABOVE_SCALE
    assert iso4406_code([3_000_000, 10_000, 5_000], 1) == ">28/20/19"


@given(st.lists(st.floats(0, 1e7), min_size=2, max_size=20))
def test_more_particles_never_give_a_lower_number(counts: list[float]) -> None:
    numbers = iso4406_number(sorted(counts))
    assert (np.diff(numbers) >= 0).all()


@pytest.mark.parametrize(
    ("size", "letter"),
    [(4.99, None), (5, "B"), (15, "C"), (149.9, "F"), (150, "G"), (3000, "N"), (9999, "N")],
)
def test_size_classes_at_their_bounds(size: float, letter: str | None) -> None:
    assert size_class(size) == letter


@given(st.lists(st.floats(0.1, 5000), max_size=50))
def test_every_particle_from_5_um_is_in_one_class(sizes: list[float]) -> None:
    assert sum(size_class_counts(sizes).values()) == sum(size >= 5 for size in sizes)


@pytest.mark.parametrize(
    ("count", "level"),
    [(0, "00"), (0.4, "0"), (1, "0"), (2, "1"), (64_000, "16"), (64_001, "17"), (130_000, "17")],
)
def test_levels_at_their_bounds(count: float, level: str) -> None:
    """ISO 16232:2018: level 17 is more than 64 000 and up to 130 000."""
    assert concentration_level(count) == level


def test_class_without_a_count_is_not_claimed_clean() -> None:
    assert iso16232_code({"E": 3, "G": 3}, 1000) == "A(E2/G2)"


@pytest.mark.parametrize(
    "call",
    [
        lambda: poisson_limits(-1),
        lambda: poisson_limits(2.5),
        lambda: poisson_limits(float("nan")),
        lambda: poisson_limits(float("inf")),
        lambda: poisson_limits(3, 1.0),
        lambda: scaled_up(3, 0, field_area_mm2=1, total_area_mm2=10),
        lambda: scaled_up(3, 20, field_area_mm2=1, total_area_mm2=10),
        lambda: iso4406_number(-0.1),
        lambda: iso4406_code([10, 5, 2], 0),
        lambda: iso4406_code([10, 5], 1),
        lambda: iso4406_code([10, 50, 2], 1),
        lambda: size_class(0),
        lambda: concentration_level(2e7),
        lambda: iso16232_code({"E": 3}, 0),
        lambda: iso16232_code({}, 10),
        lambda: iso16232_code({"Q": 3}, 10),
        lambda: iso16232_code({"E": -3}, 10),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_unequal_lengths_are_refused() -> None:
    with pytest.raises(ShapesDiffer):
        scaled_up([1, 2, 3], [1, 2], field_area_mm2=1, total_area_mm2=10)
