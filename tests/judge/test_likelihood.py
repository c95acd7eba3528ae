"""Likelihood words against the IPCC guidance note of 2010, table 1."""

import pytest

from lees.errors import OutOfRange
from lees.judge.likelihood import likelihood


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        (1.0, "virtually certain"),
        (0.99, "virtually certain"),
        (0.9899, "very likely"),
        (0.90, "very likely"),
        (0.8999, "likely"),
        (0.66, "likely"),
        (0.6599, "about as likely as not"),
        (0.3301, "about as likely as not"),
        (0.33, "unlikely"),
        (0.1001, "unlikely"),
        (0.10, "very unlikely"),
        (0.0101, "very unlikely"),
        (0.01, "exceptionally unlikely"),
        (0.0, "exceptionally unlikely"),
    ],
)
def test_each_word_starts_where_the_note_says(probability, word):
    assert likelihood(probability).value == word


def test_what_is_no_probability_is_refused():
    for value in (-0.01, 1.01, float("nan")):
        with pytest.raises(OutOfRange):
            likelihood(value)
