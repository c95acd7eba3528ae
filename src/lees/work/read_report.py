"""Reading a laboratory's report: a file in, proposed results out, in a worker with limits."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lees.errors import UnusableInput
from lees.work.worker import Limits, run_limited

if TYPE_CHECKING:
    from lees.document.records import Report

MOST_BYTES = 100 * 1024 * 1024


def read_report(path: Path, *, limits: Limits | None = None) -> Report:
    """Return the results that a laboratory's report proposes; the file is opened in a worker.

    Raises `UnusableInput` for a file that is missing, empty, too large, broken or of no kind known.
    """
    return run_limited(read_report_here, _bytes(path), limits=limits or Limits())


def read_report_here(data: bytes) -> Report:
    """Return what a report proposes, read in this very process."""
    from lees.document.read import needs_eyes, read_bytes
    from lees.work.ocr import recogniser

    return read_bytes(data, recogniser() if needs_eyes(data) else None)


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
