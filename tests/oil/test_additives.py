"""Additive elements: the fingerprint against drawn truth, detergents, and what stays."""

import numpy as np
import pytest
from scipy.stats import kstest

from lees.errors import NotHeld, OutOfRange
from lees.oil.additives import (
    content_uncertainty,
    detergent_type,
    fingerprint,
    role_of,
)
from lees.oil.marks import MARKS, common_marks
from lees.oil.precision import Laboratory

FRESH = {"Ca": 2100.0, "Mg": 400.0, "Zn": 950.0, "P": 870.0, "Mo": 80.0, "B": 150.0}


def drawn(rng, oil):
    """Return results on an oil as the model takes them to scatter."""
    factor = rng.normal(1, 0.05)
    return {
        e: max(
            0.0,
            rng.normal(
                factor * c,
                np.hypot(
                    content_uncertainty(e, c, Laboratory.SAME) * 2**0.5,
                    np.hypot(0.1 * role_of(e).between_oils_mg_kg, 0.3 * c if e == "B" else 0.0),
                ),
            ),
        )
        for e, c in oil.items()
    }


def test_the_probability_of_the_same_oil_is_true():
    rng = np.random.default_rng(11)
    stated = [
        fingerprint(FRESH, drawn(rng, FRESH), laboratory=Laboratory.SAME).probability
        for _ in range(400)
    ]
    assert kstest(stated, "uniform").pvalue > 0.005
    assert np.mean(np.array(stated) < 0.05) == pytest.approx(0.05, abs=0.033)


def test_another_oil_is_a_stranger_by_the_elements_that_differ():
    other = FRESH | {"Ca": 1200.0, "Mg": 900.0, "Mo": 2.0}
    found = fingerprint(FRESH, other, laboratory=Laboratory.DIFFERENT)
    assert found.probability < 1e-3
    assert "Mg" in found.strangers
    assert found.degrees_of_freedom == 6


def test_a_common_factor_and_lost_boron_are_forgiven():
    used = {e: 1.06 * c for e, c in FRESH.items()} | {"B": 100.0}
    found = fingerprint(FRESH, used, laboratory=Laboratory.SAME)
    assert found.probability > 0.3
    assert found.factor == pytest.approx(1.05, abs=0.015)


def test_what_only_one_oil_has_is_left_out_and_said():
    found = fingerprint(FRESH, {"Ca": 2100, "Zn": 950, "Ti": 30}, laboratory=Laboratory.SAME)
    assert set(found.left_out) == {"Mg", "P", "Mo", "B", "Ti"}


def test_the_marks_have_a_role_with_a_tag():
    for element in MARKS:
        assert role_of(element).tag
        assert role_of(element).stays in ("yes", "mostly", "partly", "no")
    with pytest.raises(NotHeld):
        role_of("Fe")


@pytest.mark.parametrize(
    ("elements", "name"),
    [
        ({"Ca": 2100, "Mg": 12}, "calcium"),
        ({"Ca": 1200, "Mg": 600}, "calcium and magnesium"),
        ({"Ca": 100, "Mg": 900}, "magnesium"),
        ({"Ca": 1500, "Na": 500}, "calcium and sodium"),
        ({"Ca": 1000, "Mg": 600, "Na": 500}, "calcium, magnesium and sodium"),
    ],
)
def test_detergent_type(elements, name):
    found = detergent_type(elements)
    assert found.name == name
    assert sum(found.shares.values()) == pytest.approx(1)


def test_bad_input():
    with pytest.raises(OutOfRange, match="two or more"):
        common_marks([{"Ca": 1.0}, {"Zn": 1.0}])
    with pytest.raises(OutOfRange):
        fingerprint({"Ca": -1, "Zn": 1}, {"Ca": 1, "Zn": 1}, laboratory=Laboratory.SAME)
    with pytest.raises(OutOfRange):
        fingerprint({"Ca": float("nan"), "Zn": 1}, {"Ca": 1, "Zn": 1}, laboratory=Laboratory.SAME)
    with pytest.raises(OutOfRange):
        detergent_type({"Fe": 12})
    with pytest.raises(OutOfRange):
        detergent_type({"Ca": -5})
