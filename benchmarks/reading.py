"""Accuracy of reading invented reports by kind of file, reliability of the confidence, timings.

    ./dev bench reading [--kinds pdf,table,…,scan,photo] [--first N] [--count N]

Seeds from 20000 on are kept apart: nothing was tuned on them. Limits are exact binomial limits of
95 % (Clopper and Pearson, Biometrika 26 (1934) 404). Scans and photographs need the extra `ocr`;
the peer for their time is the recogniser alone on the same picture.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import defaultdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from lees.document.read import read_bytes
from truth.reports import degrade, draw
from truth.reports.score import Score, score
from truth.reports.truth import Truth, invent

TEXT = ("pdf", "table", "sheet", "page", "data", "text")
EYES = ("scan", "photo")
BINS = (0.0, 0.5, 0.8, 0.9, 0.95, 0.99, 1.0)


def limits(hits: int, total: int) -> tuple[float, float]:
    """Return the exact 95 % limits of a share."""
    from scipy.stats import beta

    low = 0.0 if hits == 0 else float(beta.ppf(0.025, hits, total - hits + 1))
    high = 1.0 if hits == total else float(beta.ppf(0.975, hits + 1, total - hits))
    return low, high


def made(kind: str, truth: Truth) -> tuple[bytes, int]:
    """Return a file of a kind and how many pages it has to be read by its look."""
    if kind in EYES:
        picture = getattr(degrade, kind)(truth)
        return picture.data, picture.pages
    return getattr(draw, kind)(truth), 0


def one_page(truth: Truth) -> bool:
    """Tell whether a report fits one photograph."""
    return len(degrade.pages_of(draw.pdf(truth), 20)) == 1


def measure(kind: str, seeds: range) -> None:
    """Print the accuracy, the reliability and the time of one kind."""
    total, seconds, alone = Score(), 0.0, 0.0
    eyes = None
    if kind in EYES:
        from lees.work.ocr import recogniser

        eyes = recogniser()
        if eyes is None:
            print(f"{kind}: the extra `ocr` is not installed")
            return
    for seed in seeds:
        if kind == "photo" and not one_page(invent(seed)):
            continue
        truth = invent(seed)
        data, _ = made(kind, truth)
        spent = [0.0]

        def timed(picture, inner=eyes, spent=spent):  # type: ignore[no-untyped-def]
            start = time.perf_counter()
            found = inner(picture)
            spent.append(time.perf_counter() - start)
            return found

        start = time.perf_counter()
        report = read_bytes(data, timed if eyes else None)
        seconds += time.perf_counter() - start
        alone += max(spent)
        total.add(score(truth, report))
    show(kind, total, seconds / len(seeds), alone / len(seeds))


def show(kind: str, total: Score, seconds: float, alone: float) -> None:
    """Print one kind's lines."""
    counts = total.counts
    fields = sum(counts.values())
    right = counts["right"] + counts["right reviewed"]
    silent = counts["wrong"] + counts["invented"]
    low, high = limits(right, fields)
    _, worst = limits(silent, fields)
    reviewed = counts["right reviewed"] / max(1, right)
    print(
        f"{kind:6} {fields:6} fields  right {right / fields:8.3%} [{low:.3%}, {high:.3%}]  "
        f"silently wrong {silent} (at most {worst:.3%})  missed {counts['missed']}  "
        f"right but reviewed {reviewed:.2%}  {seconds:.2f} s"
        + (f" (recogniser alone {alone:.2f} s, ratio {seconds / alone:.2f})" if alone else "")
    )
    _reliability(total)


def _reliability(total: Score) -> None:
    groups: dict[float, list[bool]] = defaultdict(list)
    for trust, good in total.trust:
        groups[max(b for b in BINS[:-1] if trust >= b)].append(good)
    for lower in sorted(groups):
        good = groups[lower]
        low, high = limits(sum(good), len(good))
        share = sum(good) / len(good)
        print(
            f"         confidence ≥ {lower:.2f}: {len(good):6} results, "
            f"{share:.3%} right [{low:.2%}, {high:.2%}]"
        )
    if total.trust:
        base = sum(good for _, good in total.trust) / len(total.trust)
        base = min(max(base, 1e-4), 1 - 1e-4)
        ours = sum(-math.log(t if g else 1 - t) for t, g in total.trust) / len(total.trust)
        constant = sum(-math.log(base if g else 1 - base) for _, g in total.trust) / len(
            total.trust
        )
        print(f"         log score {ours:.5f}, constant base rate {constant:.5f}")


def main() -> None:
    """Measure the kinds asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kinds", default=",".join(TEXT))
    parser.add_argument("--first", type=int, default=20_000)
    parser.add_argument("--count", type=int, default=100)
    asked = parser.parse_args()
    for kind in asked.kinds.split(","):
        measure(kind, range(asked.first, asked.first + asked.count))


if __name__ == "__main__":
    main()
