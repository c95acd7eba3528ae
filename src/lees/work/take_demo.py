"""Put the demonstration's cases on the shelf, so that a first visit has something to look at."""

from __future__ import annotations

import tempfile
from pathlib import Path

from lees.archive.archive import Archive
from lees.work.bench import Progress
from lees.work.outputs import write_outputs
from lees.work.store_case import TitleIsThere, store_case


def take_demo(archive: Archive, progress: Progress) -> tuple[str, ...]:
    """Store the demonstration's cases and return their references; what is there is left alone."""
    from lees.demo.scenario import CASES, demo_files

    refs = []
    with tempfile.TemporaryDirectory(prefix="lees-demo-") as name:
        folder = Path(name)
        progress("drawing the demonstration's reports")
        write_outputs(folder, dict(demo_files()))
        for number, case in enumerate(CASES, 1):
            progress(f"putting case {number} of {len(CASES)} on the shelf")
            try:
                refs.append(store_case(archive, folder / case).stored.ref)
            except TitleIsThere as there:
                refs.append(there.ref)
    return tuple(refs)
