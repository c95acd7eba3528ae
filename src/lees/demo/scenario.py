"""The files of the demonstration: what an inspector would have on the bench for each case."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from lees.demo.bench import SHORT, TALL, WIDE, Caliper, caliper_csv
from lees.demo.harbour import BASE_NUMBER, CALIPER, DUST, LONG_RUN, QUIET_REPORT, SHORT_TRIPS
from lees.demo.reports import report_csv, report_pdf
from lees.quantity.data import binary, text

ZERO_LEFT_MM = 0.44
"""What the caliper of the fourth case showed when it was closed; nobody looked."""

INCHES = Caliper(unit="in", step=0.0005)

_DRAWN: dict[str, Callable[[], bytes]] = {
    "01-long-run/report.pdf": lambda: report_pdf(LONG_RUN, "columns"),
    "01-long-run/caliper.csv": lambda: caliper_csv(TALL, INCHES, seed="bus 3"),
    "02-quiet-report/report.pdf": lambda: report_pdf(QUIET_REPORT, "rows"),
    "02-quiet-report/caliper.csv": lambda: caliper_csv(SHORT, Caliper(), seed="launch"),
    "03-base-number/report.pdf": lambda: report_pdf(BASE_NUMBER, "tiles"),
    "04-caliper/caliper.csv": lambda: caliper_csv(
        TALL, Caliper(zero_mm=ZERO_LEFT_MM), seed="bus 2"
    ),
    "05-short-trips/report.csv": lambda: report_csv(SHORT_TRIPS),
    "05-short-trips/caliper.csv": lambda: caliper_csv(SHORT, INCHES, seed="shuttle"),
    "06-dust/report.pdf": lambda: report_pdf(DUST, "ledger"),
    "06-dust/caliper.csv": lambda: caliper_csv(WIDE, Caliper(zero_mm=0.01), seed="generator"),
}

_PHOTOGRAPHED = (
    "01-long-run/media.jpg",
    "02-quiet-report/flakes.jpg",
    "02-quiet-report/media.jpg",
    "02-quiet-report/pleats.jpg",
    "03-base-number/strip.jpg",
    "04-caliper/pleats.jpg",
    "05-short-trips/media.jpg",
    "06-dust/backlit.jpg",
)
"""Drawn beforehand by `lees.demo.drawing`, which takes longer than a demonstration should."""

CASES = tuple(
    story.folder for story in (LONG_RUN, QUIET_REPORT, BASE_NUMBER, CALIPER, SHORT_TRIPS, DUST)
)
"""The folders of the cases, in the order in which they are best read."""


def demo_files() -> Iterator[tuple[str, bytes]]:
    """Yield every file of the demonstration: its path below the output folder, and its bytes.

    >>> sorted(path for path, _ in demo_files() if path.endswith("case.toml"))[0]
    '01-long-run/case.toml'
    """
    yield "README.md", text("demo", "README.md").encode("utf-8")
    for folder in CASES:
        yield f"{folder}/case.toml", text("demo", f"cases/{folder}.toml").encode("utf-8")
        for path, draw in _DRAWN.items():
            if path.startswith(f"{folder}/"):
                yield path, draw()
        for path in _PHOTOGRAPHED:
            if path.startswith(f"{folder}/"):
                yield path, binary("demo", f"photographs/{path}")
