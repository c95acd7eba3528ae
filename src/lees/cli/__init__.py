"""The command line: parse, call one act, show; every command is loaded only when it is called."""

from __future__ import annotations

import sys

from cyclopts import App

COMMANDS = {
    "new": "Begin a case with a case.toml to fill in.",
    "judge": "Judge a case: findings, letter, page and cards.",
    "demo": "Write the demonstration cases and judge them.",
    "archive": "Keep years of cases: store, find, compare, back up, export.",
    "calc": "Convert and calculate by hand.",
    "photo": "Measure a photograph.",
    "scale-card": "Print the scale card for photographs.",
    "read": "Read a laboratory's report.",
    "serve": "Open the bench in the browser.",
}


def _version() -> str:
    from lees.settings import lees_version

    return lees_version()


app = App(
    name="lees",
    help="The bench book of an oil-filter inspector: from a cut-open filter to a letter.",
    version=_version,
    help_format="plaintext",  # markdown would load three times as much to say the same
    result_action="return_value",
)
for _name, _help in COMMANDS.items():
    app.command(f"lees.cli.{_name.replace('-', '_')}:app", name=_name, help=_help)


def main() -> None:
    """Run the command line and leave with the contract's status."""
    from lees.errors import LeesError, UnusableInput

    try:
        status = app()
    except UnusableInput as error:
        print(f"lees: {error}", file=sys.stderr)
        status = 3
    except LeesError as error:
        print(f"lees: {error}", file=sys.stderr)
        status = 2
    sys.exit(status if isinstance(status, int) else 0)
