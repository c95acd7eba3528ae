"""Reading a laboratory's report: a file in, proposed results out, in a worker with limits."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from lees.errors import UnusableInput
from lees.work.worker import Limits, Worker, run_limited

if TYPE_CHECKING:
    from lees.document.records import Report

MOST_BYTES = 100 * 1024 * 1024


EYES = Limits(seconds=180.0, memory_mb=4000)
"""A page read by its look takes seconds and, with the recogniser's models, near a gigabyte."""


def read_report(path: Path, *, limits: Limits | None = None) -> Report:
    """Return the results that a laboratory's report proposes; the file is opened in a worker.

    What has text is read as text, within strict limits; only what turns out to be a picture is
    read by its look. Raises `UnusableInput` for a file that is missing, empty, too large, broken
    or of no kind known.
    """
    with Worker(limits or Limits()) as worker:
        return read_report_bytes(_bytes(path), worker.run, eyes=limits or EYES)


def read_report_bytes(
    data: bytes, run: Callable[[Callable[[bytes], Report], bytes], Report], *, eyes: Limits = EYES
) -> Report:
    """Return what a report proposes: its text read by `run`, a picture in a larger worker."""
    from lees.document.readers import NeedsEyes
    from lees.document.readers.picture import NO_OCR

    try:
        report = run(read_report_here, data)
    except NeedsEyes:
        return run_limited(read_by_look, data, limits=eyes)
    if any(NO_OCR in warning for warning in report.warnings):
        return run_limited(read_by_look, data, limits=eyes)
    return report


def read_report_here(data: bytes) -> Report:
    """Return what a report proposes by its text, read in this very process."""
    from lees.document.read import read_bytes

    return read_bytes(data)


def read_by_look(data: bytes) -> Report:
    """Return what a report proposes, pictures read by the recogniser where it is installed."""
    from lees.document.read import read_bytes
    from lees.work.ocr import recogniser

    return read_bytes(data, recogniser())


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise UnusableInput(
                f"{path.name} has {size / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read."
            )
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise UnusableInput(f"{path} cannot be read ({reason}); check its name.") from None
