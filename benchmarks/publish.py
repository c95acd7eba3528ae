"""How long a letter, a page and a card take once everything is imported, and what they weigh.

The first chart of a process starts the chart engine; it is timed apart, as `press.warm_up`. Charts
are drawn afresh in every round: nothing is taken from the round before.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from lees.publish import photographs
from lees.publish import press as pressing
from lees.publish.cards import CLEAR, SOLID, WIDE, cards, legible_anywhere
from lees.publish.letter import letter_pdf
from lees.publish.page import page_html
from lees.publish.press import press

TESTS = Path(__file__).parents[1] / "tests"
ROUNDS = 5


def timed(act: Callable[[], Any]) -> tuple[float, Any]:
    """Return the middle time of some rounds without anything kept between them, and the result."""
    took = []
    for _ in range(ROUNDS):
        pressing._drawn.cache_clear()
        photographs.smaller.cache_clear()
        start = time.perf_counter()
        made = act()
        took.append(time.perf_counter() - start)
    return statistics.median(took), made


def line(name: str, took: float, allowed: float, weight: int) -> None:
    """Print one figure beside what is allowed."""
    print(f"{name:32} {took * 1000:7.0f} ms  of {allowed * 1000:4.0f} ms  {weight / 1000:8.0f} kB")


def main() -> None:
    """Time every case."""
    sys.path.insert(0, str(TESTS))
    from truth.findings import CASES, pictures

    shown = pictures()
    start = time.perf_counter()
    press().warm_up()
    print(f"first chart of the process       {(time.perf_counter() - start) * 1000:7.0f} ms")
    for case, findings in CASES.items():
        took, letter = timed(lambda findings=findings: letter_pdf(findings, shown))
        line(f"letter, {case}", took, 0.5, len(letter))
        took, page = timed(lambda findings=findings: page_html(findings, shown))
        line(f"page, {case}", took, 0.5, len(page.encode()))
        for name, card in cards(findings, WIDE).items():
            took, made = timed(lambda card=card: card.printed(SOLID, press()))
            line(f"card, {case}, {name}", took, 0.3, len(made))
            took, made = timed(lambda card=card: legible_anywhere(card.printed(CLEAR, press())))
            line(f"card, {case}, {name}, clear", took, 0.3, len(made))


if __name__ == "__main__":
    main()
