"""Charts are valid Vega-Lite, say in words what they show, and stand where the findings put them."""

from __future__ import annotations

import warnings
from typing import Any

import pytest

from lees.chart.look import Look
from lees.chart.odds import odds_curve
from lees.chart.spread import spread
from lees.publish.drawings import specifications
from truth.findings import CASES, CLEAN, HOURS

NAMES = ("spread", "odds", "viscosity", "parts", "particles", "areas", "ring")
LOOKS = {
    "wide": {name: Look(text_px=11, width_px=640) for name in NAMES},
    "narrow": {name: Look(text_px=12, width_px=320) for name in NAMES},
    "glance": {name: Look(text_px=30, width_px=1600, scale_numbers=False) for name in NAMES},
}
ALL = [
    pytest.param(case, size, name, id=f"{case}-{size}-{name}")
    for case, findings in CASES.items()
    for size, looks in LOOKS.items()
    for name in specifications(findings, looks)
]


@pytest.mark.parametrize(("case", "size", "name"), ALL)
def test_chart_is_valid_vega_lite(case: str, size: str, name: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import altair
    spec = specifications(CASES[case], {name: LOOKS[size][name]})[name]
    altair.LayerChart.from_dict(spec)  # validates against the schema
    assert spec["description"]


def _rows(spec: dict[str, Any], field: str) -> list[dict[str, Any]]:
    return [row for layer in spec["layer"] for row in layer["data"]["values"] if field in row]


def test_spread_stands_at_the_ratio_to_the_peers_middle() -> None:
    rows = {row["key"]: row for row in _rows(spread(CLEAN.elements, Look()), "ratio")}
    iron = next(row for row in CLEAN.elements if row.key == "Fe")
    middle, low = iron.peers_middle, iron.peers_low
    assert middle is not None
    assert low is not None
    assert rows["Fe"]["ratio"] == pytest.approx(iron.value.value / middle, abs=1e-4)
    assert rows["Fe"]["peers_low"] == pytest.approx(low / middle, abs=1e-4)
    assert rows["Fe"]["past"] == pytest.approx([value / middle for value in iron.past], abs=1e-4)


def test_odds_marks_every_run_that_somebody_proposes() -> None:
    said = [row["text"] for row in _rows(odds_curve(CLEAN.next_fill, Look()), "text")]
    for run in ("advised 15\u202f000", "the laboratory 18\u202f000", "this fill 14\u202f300"):
        assert run in said


def test_without_advice_nothing_is_marked_as_advised() -> None:
    said = [row["text"] for row in _rows(odds_curve(HOURS.next_fill, Look()), "text")]
    assert not any("advised" in text for text in said)
