"""`lees demo`: the demonstration scenario, start to end."""

from __future__ import annotations

from pathlib import Path

from cyclopts import App

app = App(name="demo", result_action="return_value")


@app.default
def demo(*, out: Path = Path("demo-out")) -> int:
    """Write the demonstration cases and judge them; all of it is invented.

    Parameters
    ----------
    out
        The folder they are written into.
    """
    from lees.app import bench
    from lees.cli.show import show_answers
    from lees.work.demo import run_demo

    for case, findings in run_demo(out, bench()).items():
        print(f"\n{findings.title}  ({out / case})")
        show_answers(findings)
    print(f"\nOpen {out}/<case>/letter.pdf or page.html; the cards lie beside them.")
    print("All of it is invented for demonstration.")
    return 0
