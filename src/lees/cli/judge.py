"""`lees judge`: a case's folder in; findings, letter, page and cards out."""

from __future__ import annotations

from pathlib import Path

from cyclopts import App

app = App(
    name="judge",
    help_epilogue="Example: lees judge demo-out/01-long-run --out answer",
    result_action="return_value",
)


@app.default
def judge(
    case_folder: Path, *, out: Path | None = None, json: bool = False, overwrite: bool = False
) -> int:
    """Judge the case in a folder: findings, letter, page and cards.

    Parameters
    ----------
    case_folder
        The folder that holds case.toml and the files it names.
    out
        Where the answers go; beside case.toml if not said.
    json
        Print the findings as JSON.
    overwrite
        Replace files of those names that Lees did not make.
    """
    from lees.app import bench
    from lees.cli.show import show_answers, show_warnings
    from lees.work.judge_case import Outputs, findings_json, judge_case

    findings = judge_case(case_folder, Outputs(out or case_folder, overwrite), bench())
    show_warnings(findings)
    if json:
        print(findings_json(findings), end="")
        return 0
    show_answers(findings)
    print(f"\nWritten to {out or case_folder}: letter.pdf, page.html, findings.json and cards.")
    return 0
