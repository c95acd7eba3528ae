"""Begin a case: a folder with a `case.toml` to fill in."""

from __future__ import annotations

from pathlib import Path

from lees.case.toml import CASE_FILE
from lees.errors import UnusableInput, printable
from lees.quantity.data import text


def new_case(folder: Path) -> Path:
    """Write a `case.toml` to fill in and return its path; one that is there is left alone.

    Raises `UnusableInput` where there is one already, or the folder cannot be made.
    """
    path = folder / CASE_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text("case", "template.toml"))
    except FileExistsError:
        raise UnusableInput(f"{printable(str(path))} is there already; it is left alone.") from None
    except OSError as error:
        raise UnusableInput(
            f"{printable(str(folder))} cannot be made ({error.strerror}); choose another."
        ) from None
    return path
