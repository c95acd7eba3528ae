"""Write the demonstration's cases into a folder and judge them all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from lees.judge.findings import Findings
from lees.work.bench import Bench
from lees.work.judge_case import Outputs, judge_case
from lees.work.outputs import write_outputs


def run_demo(folder: Path, bench: Bench) -> dict[str, Findings]:
    """Write the demonstration and judge its cases; return the findings by the case's folder.

    Raises `UnusableInput` where the folder holds files of those names that are not ours.
    """
    from lees.demo.scenario import CASES, demo_files

    bench.progress("writing the demonstration's files")
    write_outputs(folder, dict(demo_files()))
    found = {}
    for case in CASES:

        def told(text: str, case: str = case) -> None:
            bench.progress(f"{case}: {text}")

        path = folder / case
        found[case] = judge_case(path, Outputs(path), replace(bench, progress=told))
    return found
