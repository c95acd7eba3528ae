"""`lees archive …`: years of cases, stored, found, backed up and brought elsewhere."""

from __future__ import annotations

from cyclopts import App

GROUPS = {
    "cases": ("create", "store", "fetch", "bin", "unbin", "history", "undo"),
    "shelf": ("list", "find", "show", "fields", "compare", "register", "zero"),
    "safety": ("backup", "restore", "switch", "check", "reindex"),
    "exchange": ("export", "import"),
    "users": ("users",),
}

app = App(
    name="archive",
    help=(
        "Keep years of cases: store, find, compare, back up, restore, check, export, import.\n\n"
        "The archive is the folder or database given by --archive, or by LEES_ARCHIVE."
    ),
    result_action="return_value",
)
for _module, _names in GROUPS.items():
    for _name in _names:
        app.command(f"lees.cli.archive.{_module}:{_name}_app", name=_name)
