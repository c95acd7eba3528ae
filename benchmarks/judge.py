"""How long a case takes from its folder to its letter, cold and warm, part by part.

Run: ./dev bench judge. Whole processes are timed as a person would wait for them.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from lees.demo.scenario import demo_files

RUNS = 5


def timed(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def process(*arguments: str, cache: str = "") -> float:
    """Return the seconds that a whole process takes."""
    environment = {**os.environ, "LEES_CACHE": cache}
    command = [sys.executable, "-m", "lees.cli", *arguments]
    return timed(lambda: subprocess.run(command, env=environment, capture_output=True, check=True))


def told(what: str, seconds: list[float], asked: str) -> None:
    middle = statistics.median(seconds)
    print(f"{what:58} {middle:7.3f} s  ({min(seconds):.3f}–{max(seconds):.3f})   asked: {asked}")


def inner(case: Path) -> None:
    """Time the parts within one process, after imports."""
    from lees.app import bench
    from lees.judge.verdict import verdict
    from lees.publish.cards import card_pngs
    from lees.publish.letter import letter_pdf
    from lees.publish.page import page_html
    from lees.work.case_folder import CaseFolder
    from lees.work.gather import gather_facts

    gathered = gather_facts(CaseFolder(case), bench())
    findings = verdict(gathered.facts, made_with="benchmark")
    letter_pdf(findings, gathered.pictures)
    told("judging, once imported", _five(lambda: verdict(gathered.facts, made_with="b")), "0.15 s")
    told("letter, once imported", _five(lambda: letter_pdf(findings, gathered.pictures)), "0.5 s")
    told("page, once imported", _five(lambda: page_html(findings, gathered.pictures)), "0.5 s")
    count = len(card_pngs(findings, gathered.pictures))
    cards = _five(lambda: card_pngs(findings, gathered.pictures))
    told(f"a card (of {count}), once imported", [s / count for s in cards], "0.3 s")


def _five(act: Callable[[], object]) -> list[float]:
    return [timed(act) for _ in range(RUNS)]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        for name, data in demo_files():
            path = root / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        case, out, cache = root / "01-long-run", str(root / "out"), str(root / "cache")
        told("lees --help", [process("--help") for _ in range(RUNS)], "0.4 s")
        judged = ("judge", str(case), "--out", out)
        told("lees judge, cold", [process(*judged) for _ in range(RUNS)], "4 s")
        process(*judged, cache=cache)
        told("lees judge, results kept", [process(*judged, cache=cache) for _ in range(RUNS)], "–")
        demo = ("demo", "--out", str(root / "demo"))
        told("lees demo, cold", [process(*demo)], "–")
        process(*demo, cache=cache)
        told("lees demo, second run", [process(*demo, cache=cache)], "15 s")
        inner(case)


if __name__ == "__main__":
    main()
