"""A case against the peers: what sources do, own past, unknowns, and what must stay wide."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from lees.wear.censored import Interval, interval_of
from lees.wear.net import Ground, added, contents
from lees.wear.peer_counts import Counted, peers_of
from lees.wear.peers import FamilyKnown, MeasurandPeers, Member
from lees.wear.placing import Asked, OilReading, placed
from lees.wear.pooling import Cells, Spreads
from lees.wear.printed_mean import PrintedMean, mean_of_family
from lees.wear.starting import limits_for, starting_spreads

NONE = np.empty(0)
INDEX = np.empty(0, dtype=np.intp)


def starting(key: str = "Fe", unit: str = "km") -> MeasurandPeers:
    return peers_of(Counted(key, unit, Cells(NONE, NONE, NONE, NONE, INDEX, INDEX, 0), (), ()))


def known(level: float = 10.0, deviation: float = 0.05, **more: object) -> MeasurandPeers:
    """Return peers whose family F has a middle of `level` mg/kg at 10 000 km."""
    family = FamilyKnown(math.log(level), deviation, 300, 90, {"archive": 300}, **more)  # type: ignore[arg-type]
    return replace(
        starting(),
        spreads=Spreads(0.3, 0.4, 0.5, 0.9),
        degrees_of_freedom=1e6,
        power_deviation=0.0,
        families={"F": family},
    )


def read(value: float, run: float | None = 10_000.0, step: float = 1.0) -> OilReading:
    return OilReading(interval_of(value, step=step), run)


def test_the_middle_reading_is_in_the_middle() -> None:
    found = placed(known(deviation=1e-6), Asked(read(10, step=1e-6), "F"))
    assert found.percentile == pytest.approx(0.5, abs=1e-4)
    assert found.middle == pytest.approx(10.0, rel=1e-6)
    assert found.high == pytest.approx(10 * math.exp(norm.ppf(0.95) * 0.5), rel=1e-4)
    assert found.spoke == ("archive", "starting point")


def test_above_the_mean_at_twice_the_distance_is_better_than_average() -> None:
    near, far = (placed(known(), Asked(read(14, run), "F")) for run in (10_000.0, 20_000.0))
    assert near.percentile > 0.7
    assert far.percentile < 0.35


def test_a_family_known_from_few_says_so() -> None:
    few = placed(known(deviation=0.4), Asked(read(20), "F"))
    many = placed(known(deviation=0.03), Asked(read(20), "F"))
    assert few.effective == pytest.approx(0.25 / 0.16, rel=1e-6)
    assert many.effective > 200
    assert few.known_to - few.known_from > 5 * (many.known_to - many.known_from)
    assert few.high > many.high


def test_an_unknown_family_or_measurand_stays_wide() -> None:
    found = placed(starting("Ag"), Asked(read(3)))
    assert found.high / found.low > 30
    assert found.effective < 1
    assert found.spoke == ("starting point",)


def test_an_unknown_run_widens() -> None:
    with_run = placed(known(), Asked(read(12), "F"))
    without = placed(known(), Asked(read(12, None), "F"))
    assert without.high / without.low > with_run.high / with_run.low


def test_own_past_overrules_the_peers() -> None:
    past = tuple(read(30, 10_000.0) for _ in range(5))
    found = placed(known(), Asked(read(31), "F", past=past))
    assert found.percentile > 0.95
    assert found.own is not None
    assert 0.4 < found.own.percentile < 0.7
    assert found.own.low < 30 < found.own.high
    assert found.own.readings == 5


def test_own_past_is_the_normal_posterior_where_readings_are_exact() -> None:
    """The conjugate normal posterior in closed form (any textbook of Bayesian statistics)."""
    past = tuple(OilReading(Interval(np.asarray(c), np.asarray(c)), 10_000.0) for c in (12, 15, 11))
    model = replace(known(deviation=0.1), spreads=Spreads(0.3, 0.4, 0.5, 0.9, 0.0))
    own = placed(model, Asked(read(13, step=1e-6), "F", past=past)).own
    prior, each = 1 / (0.1**2 + 0.4**2), 1 / 0.3**2
    mean = (prior * math.log(10) + each * sum(map(math.log, (12, 15, 11)))) / (prior + 3 * each)
    deviation = math.sqrt(1 / (prior + 3 * each) + 0.3**2)
    assert own is not None
    assert own.percentile == pytest.approx(norm.cdf((math.log(13) - mean) / deviation), abs=1e-4)
    assert own.high == pytest.approx(math.exp(mean + norm.ppf(0.95) * deviation), rel=2e-3)


def test_an_engine_is_no_peer_of_itself() -> None:
    member = Member(math.log(40), 1 / 0.5**2)
    others = known(level=10.0, deviation=0.3)
    variance = 1 / (1 / 0.3**2 + member.precision)
    level = (math.log(10) / 0.3**2 + member.level * member.precision) * variance
    family = FamilyKnown(level, math.sqrt(variance), 4, 3, {}, members={"mine": member})
    model = replace(others, families={"F": family})
    mine = placed(model, Asked(read(40), "F", engine="mine"))
    assert mine.middle == pytest.approx(placed(others, Asked(read(40), "F")).middle, rel=1e-9)
    assert mine.percentile > placed(model, Asked(read(40), "F")).percentile


def test_a_family_of_one_engine_leaves_that_engine_all_others_as_peers() -> None:
    cells = Cells(
        np.log([79.5, 84.5]), np.log([80.5, 85.5]), np.zeros(2), np.ones(2),
        np.zeros(2, dtype=np.intp), np.zeros(1, dtype=np.intp), 1,
    )  # fmt: skip
    model = peers_of(Counted("Fe", "km", cells, ("F",), ("mine",)))
    found = placed(model, Asked(read(85), "F", engine="mine"))
    assert found.middle < 60
    assert found.high / found.low > 8


def test_a_printed_mean_speaks_and_twenty_of_it_say_no_more() -> None:
    mean = PrintedMean(9.0, 1.0, run=10_000.0, count=200)
    alone = placed(starting(), Asked(read(12)))
    told = placed(starting(), Asked(read(12), mean=mean))
    assert told.spoke == ("printed mean", "starting point")
    assert told.high / told.low < 0.5 * alone.high / alone.low
    spreads = starting_spreads()
    assert mean_of_family([mean] * 20, spreads, "km") == mean_of_family([mean], spreads, "km")


def test_a_mean_lies_above_the_middle_of_its_peers() -> None:
    """The mean of a log-normal quantity is its middle times exp(s²/2)."""
    rng = np.random.default_rng(1)
    spreads = Spreads(0.3, 0.4, 0.5, 0.9)
    drawn = np.exp(np.log(7.0) + 0.5 * rng.normal(size=200_000))
    said = mean_of_family(
        [PrintedMean(float(drawn.mean()), 0.01, 10_000.0, 200_000)], spreads, "km"
    )
    assert math.exp(said.level) == pytest.approx(7.0, rel=0.01)


def test_zero_mean_and_unknown_run_are_wide_but_finite() -> None:
    spreads = starting_spreads()
    zero = mean_of_family([PrintedMean(0.0, 1.0)], spreads, "h")
    assert zero.deviation > 1.0
    printed = mean_of_family([PrintedMean(5.0, 1.0)], spreads, "h")
    at_run = mean_of_family([PrintedMean(5.0, 1.0, 250.0)], spreads, "h")
    assert printed.deviation > at_run.deviation


def test_all_zeros_leave_a_zero_unremarkable() -> None:
    cells = Cells(
        np.full(40, -np.inf), np.full(40, np.log(0.5)), np.zeros(40), np.ones(40),
        np.arange(40), np.zeros(40, dtype=np.intp), 1,
    )  # fmt: skip
    model = peers_of(Counted("Sn", "km", cells, ("F",), [f"e{k}" for k in range(40)]))
    assert model.diagnostics is not None
    assert model.diagnostics.bounded == 1.0
    zero = placed(model, Asked(read(0), "F"))
    assert 0.3 < zero.percentile < 0.6
    assert placed(model, Asked(read(4), "F")).percentile > 0.99


def test_net_and_back() -> None:
    ground = Ground(fresh=4.0, fresh_step=0.0, top_up=0.3)
    net = added(interval_of(20, step=1), ground)
    assert contents([net.low, net.high], ground) == pytest.approx([19.5, 20.5])


def test_less_than_the_fresh_oil_is_open_below_and_not_negative() -> None:
    net = added(interval_of(3, step=1), Ground(fresh=5.0, fresh_step=1.0))
    assert float(net.low) == 0.0
    assert float(net.high) > 0.0


def test_published_limits_carry_their_source() -> None:
    assert {limit.tag for limit in limits_for("Fe")} == {"common practice", "from memory"}
    assert all(limit.source for limit in limits_for("Fe", "diesel"))
    assert limits_for("Ag") == ()
