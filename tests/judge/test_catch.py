"""Counts per area against the exact Poisson limits of a published table."""

import pytest

from judge.judge_cases import LONG_RUN, facts
from lees.case.records import ParticleSeen, ParticlesSeen
from lees.judge.verdict import verdict
from lees.quantity.measured import Measured


def seen(file, area_cm2, smallest_mm, *sizes):
    particles = tuple(
        ParticleSeen("bright", Measured(size, 0.01, "mm", file), size, 0.0, 0.0) for size in sizes
    )
    return ParticlesSeen(file, area_cm2, smallest_mm, particles)


def caught(*pictures):
    source = LONG_RUN + "[filter]\nopened = true\n"
    findings = verdict(facts(source, seen=pictures), made_with="test")
    return findings, next(one for one in findings.filter.caught if one.kind == "bright")


def test_limits_are_those_of_a_poisson_count():
    # 5 → 1.623–11.668, 0 → 0–3.689 at 95 % (exact chi-square limits, as tabulated).
    _, one = caught(seen("a.jpg", 200.0, 0.1, 0.15, 0.15, 0.15, 0.15, 0.15))
    assert one.counts[:2] == (5, 0)
    assert one.per_100_cm2[0] == pytest.approx(2.5)
    assert (one.low[0] * 2, one.high[0] * 2) == pytest.approx((1.623, 11.668), abs=5e-4)
    assert one.high[1] * 2 == pytest.approx(3.689, abs=5e-4)


def test_a_class_counts_only_where_a_photograph_is_fine_enough():
    findings, one = caught(
        seen("far.jpg", 300.0, 0.35, 0.5), seen("near.jpg", 100.0, 0.15, 0.25, 0.5)
    )
    assert one.from_mm == (0.2, 0.4, 0.6, 1.0)
    assert one.counts == (1, 2, 0, 0)
    assert one.per_100_cm2[:2] == pytest.approx((1.0, 0.5))
    assert "of 0.2 mm and more" in findings.statement("filter.bright").text


def test_nothing_is_counted_without_a_scale():
    source = LONG_RUN + "[filter]\nopened = true\n"
    findings = verdict(facts(source, seen=(seen("a.jpg", None, None),)), made_with="test")
    assert findings.filter.caught == ()
