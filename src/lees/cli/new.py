"""`lees new`: begin a case with a case.toml to fill in."""

from __future__ import annotations

from pathlib import Path

from cyclopts import App

app = App(name="new", result_action="return_value")


@app.default
def new(case_folder: Path) -> int:
    """Begin a case: write a case.toml to fill in.

    Parameters
    ----------
    case_folder
        The folder of the case; it is made if it is not there.
    """
    from lees.work.new_case import new_case

    print(f"Fill in {new_case(case_folder)}, then: lees judge {case_folder}")
    return 0
