"""Shares of candidate oils: recovered from drawn mixtures, with intervals that cover the truth."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from lees.errors import OutOfRange
from lees.oil.additives import content_uncertainty
from lees.oil.mixture import candidate_shares
from lees.oil.precision import Laboratory

ONE = {"Ca": 2100.0, "Mg": 12.0, "Zn": 950.0, "P": 870.0, "Mo": 80.0}
TWO = {"Ca": 1200.0, "Mg": 800.0, "Zn": 800.0, "P": 730.0, "Mo": 2.0}
THREE = {"Ca": 3000.0, "Mg": 15.0, "Zn": 1200.0, "P": 1100.0, "Mo": 5.0}
SAME = Laboratory.SAME


def measured(rng, oil):
    return {e: max(0.0, rng.normal(c, content_uncertainty(e, c, SAME))) for e, c in oil.items()}


def blend(shares, oils):
    return {e: sum(s * oil[e] for s, oil in zip(shares, oils, strict=True)) for e in oils[0]}


@pytest.mark.parametrize("oils", [(ONE, TWO), (ONE, TWO, THREE)])
def test_intervals_cover_the_shares_of_drawn_mixtures(oils):
    rng = np.random.default_rng(3)
    inside, best_error, fits, trials = 0, [], [], 200
    for _ in range(trials):
        shares = rng.dirichlet(np.ones(len(oils)))
        candidates = {f"oil {n}": measured(rng, oil) for n, oil in enumerate(oils)}
        found = candidate_shares(measured(rng, blend(shares, oils)), candidates, laboratory=SAME)
        first = found.shares[0]
        inside += first.low - 0.0051 <= shares[0] <= first.high + 0.0051  # the grid's own step
        best_error.append(first.best - shares[0])
        fits.append(found.probability)
    assert inside / trials > 0.90
    assert np.std(best_error) < 0.06
    assert np.mean(np.array(fits) < 0.01) < 0.04


def test_exact_mixtures_come_back():
    shares = (0.55, 0.25, 0.20)
    found = candidate_shares(
        blend(shares, (ONE, TWO, THREE)), {"a": ONE, "b": TWO, "c": THREE}, laboratory=SAME
    )
    assert [one.best for one in found.shares] == pytest.approx(shares, abs=2e-3)
    assert sum(one.best for one in found.shares) == pytest.approx(1)
    assert found.explains
    assert found.probability > 0.99


def test_a_pure_oil_has_a_one_sided_interval():
    found = candidate_shares(ONE, {"a": ONE, "b": TWO}, laboratory=SAME)
    assert found.shares[1].best == pytest.approx(0, abs=1e-6)
    assert found.shares[1].low < 0.005
    assert 0 < found.shares[1].high < 0.1


def test_an_oil_that_none_explains_is_said():
    stranger = {"Ca": 500.0, "Mg": 5.0, "Zn": 100.0, "P": 2000.0, "Mo": 700.0}
    found = candidate_shares(stranger, {"a": ONE, "b": TWO}, laboratory=SAME)
    assert not found.explains


def test_alike_candidates_cannot_be_told_apart():
    twin = {e: 1.01 * c for e, c in ONE.items()}
    found = candidate_shares(ONE, {"a": ONE, "b": twin}, laboratory=Laboratory.DIFFERENT)
    assert found.shares[0].high - found.shares[0].low > 0.9


def test_bad_input():
    with pytest.raises(OutOfRange, match="2 or 3"):
        candidate_shares(ONE, {"a": ONE}, laboratory=SAME)
    with pytest.raises(OutOfRange, match="marking elements"):
        candidate_shares(ONE, {"a": ONE, "b": {"Ca": 1200.0}}, laboratory=SAME)
    with pytest.raises(OutOfRange):
        candidate_shares(ONE | {"Ca": float("nan")}, {"a": ONE, "b": TWO}, laboratory=SAME)
    with pytest.raises(OutOfRange):
        candidate_shares(ONE, {"a": ONE, "b": TWO | {"Zn": -3.0}}, laboratory=SAME)


def test_best_shares_are_the_constrained_least_squares():
    """Against SciPy's bounded minimiser, the last share being what the others leave of one."""
    thinned = {element: 0.8 * content for element, content in blend((0.6, 0.4), (ONE, TWO)).items()}
    found = candidate_shares(thinned, {"a": ONE, "b": TWO}, laboratory=SAME)

    def misfit(share):
        both = zip(ONE, ONE.values(), TWO.values(), strict=True)
        return sum(
            (thinned[e] - share * a - (1 - share) * b) ** 2
            / (
                content_uncertainty(e, thinned[e], SAME) ** 2
                + ((content_uncertainty(e, a, SAME) + content_uncertainty(e, b, SAME)) / 2) ** 2
            )
            for e, a, b in both
            if e not in found.left_out
        )

    expected = minimize_scalar(misfit, bounds=(0, 1), method="bounded", options={"xatol": 1e-9}).x
    assert found.shares[0].best == pytest.approx(expected, abs=1e-3)
    assert sum(one.best for one in found.shares) == pytest.approx(1, abs=1e-3)
