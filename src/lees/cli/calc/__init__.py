"""`lees calc …`: conversions and calculations by hand, one family a module."""

from __future__ import annotations

from cyclopts import App

FAMILIES = {
    "convert": "Convert an entry to another unit.",
}

app = App(name="calc", help="Convert and calculate by hand.", result_action="return_value")
for _name, _help in FAMILIES.items():
    app.command(f"lees.cli.calc.{_name.replace('-', '_')}:app", name=_name, help=_help)
