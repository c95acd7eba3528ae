"""Reports of the layout grammar, seed by seed: every kind of text file is read and never invented.

The seeds here are few so that the tests stay quick; `benchmarks/reading.py` counts over many.
"""

import pytest

from lees.document.read import read_bytes
from truth.reports import draw
from truth.reports.score import Score, score
from truth.reports.truth import invent

SEEDS = range(200, 212)


@pytest.mark.parametrize("kind", ["pdf", "table", "sheet", "page", "data", "text"])
def test_fields_are_right_and_none_silently_wrong(kind: str) -> None:
    total = Score()
    for seed in SEEDS:
        truth = invent(seed)
        total.add(score(truth, read_bytes(getattr(draw, kind)(truth))))
    counts = total.counts
    right = counts["right"] + counts["right reviewed"]
    assert right >= 0.97 * sum(counts.values()), total.notes[:10]
    assert counts["wrong"] + counts["invented"] <= 0.005 * sum(counts.values()), total.notes[:10]
