"""`lees archive …`: years of cases, stored, found, backed up and brought elsewhere."""

from __future__ import annotations

from cyclopts import App

COMMANDS = {
    "create": ("cases", "Make an archive."),
    "store": ("cases", "Store case folders."),
    "list": ("shelf", "List cases, sorted and filtered by any field."),
    "find": ("shelf", "Find cases by words."),
    "show": ("shelf", "Show a case as it was entered."),
    "compare": ("shelf", "Put cases, engines, oils, filters or owners side by side."),
    "fetch": ("cases", "Write a case into a folder, as it was stored."),
    "history": ("cases", "Say who changed what and when."),
    "undo": ("cases", "Take a line of the history back."),
    "bin": ("cases", "Put cases into the bin."),
    "unbin": ("cases", "Take cases out of the bin."),
    "fields": ("shelf", "List the fields that cases can be sorted and filtered by."),
    "register": ("shelf", "List engines, owners, oils, filters or instruments."),
    "zero": ("shelf", "Note or list what an instrument shows at zero."),
    "backup": ("safety", "Write the whole archive into one file, while it is in use."),
    "restore": ("safety", "Make an archive of a backup, in a new place."),
    "switch": ("safety", "Put a restored folder in the place of the archive."),
    "check": ("safety", "See that everything is there and as it was stored."),
    "reindex": ("safety", "Make again what cases are found by."),
    "export": ("exchange", "Write the archive as case folders and tables."),
    "import": ("exchange", "Take an export into the archive."),
    "users": ("users", "List, add and let go those who work with the archive."),
}

app = App(
    name="archive",
    help=(
        "Keep years of cases: store, find, compare, back up, restore, check, export, import.\n\n"
        "The archive is the folder or database given by --archive, or by LEES_ARCHIVE."
    ),
    result_action="return_value",
)
for _name, (_module, _help) in COMMANDS.items():
    app.command(f"lees.cli.archive.{_module}:{_name}_app", name=_name, help=_help)
