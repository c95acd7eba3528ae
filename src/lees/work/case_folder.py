"""A case as it lies on disk: its folder, its `case.toml`, and the files that it names."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from lees.case.model import Case
from lees.case.toml import CASE_FILE, read_case
from lees.errors import LeesError, UnusableInput, printable

LARGEST_CASE_FILE = 2_000_000
LARGEST_FILE = 200_000_000


class UnusableFile(LeesError):
    """A file named in a case that cannot be used; it becomes a warning in the findings."""


@dataclass(frozen=True, slots=True)
class CaseFolder:
    """A folder with a `case.toml`."""

    path: Path

    def read_case(self) -> Case:
        """Return the case as typed; raise `UnusableInput` where there is none or it is wrong."""
        if not self.path.is_dir():
            raise UnusableInput(
                f"{printable(str(self.path))} is not a folder; name the folder of a case."
            )
        file = self.path / CASE_FILE
        if not file.is_file():
            raise UnusableInput(
                f"{printable(str(self.path))} has no {CASE_FILE}; name the folder of a case, "
                "or begin one with: lees new FOLDER"
            )
        if file.stat().st_size > LARGEST_CASE_FILE:
            raise UnusableInput(f"{CASE_FILE} is larger than 2 MB; it holds something else.")
        try:
            source = file.read_text(encoding="utf-8-sig")
        except UnicodeDecodeError:
            raise UnusableInput(f"{CASE_FILE} is not UTF-8 text; save it as UTF-8.") from None
        except OSError as error:
            raise UnusableInput(f"{CASE_FILE} cannot be opened ({error.strerror}).") from None
        return read_case(source)

    def bytes_of(self, name: str) -> bytes:
        """Return the content of a file named in the case.

        Raises `UnusableFile` where the name points outside the folder, through a link or at
        nothing, or where the file is empty or too large.
        """
        shown = printable(name)
        try:
            path = self._inside(name)
            size = path.stat().st_size
            if size == 0:
                raise UnusableFile(f"{shown} is empty; put the file there again.")
            if size > LARGEST_FILE:
                raise UnusableFile(f"{shown} is larger than {LARGEST_FILE // 10**6} MB; shrink it.")
            return path.read_bytes()
        except OSError as error:
            raise UnusableFile(f"{shown} cannot be opened ({error.strerror}).") from None

    def _inside(self, name: str) -> Path:
        shown = printable(name)
        pure = PurePosixPath(name.replace("\\", "/"))
        if pure.is_absolute() or ".." in pure.parts or ":" in name or "\0" in name:
            raise UnusableFile(f"{shown} points outside the case's folder; copy the file into it.")
        path = self.path
        for part in pure.parts:
            path = path / part
            if path.is_symlink():
                raise UnusableFile(f"{shown} is a link; copy the file itself into the folder.")
        if not path.is_file():
            raise UnusableFile(
                f"{shown} is not in the case's folder; put it there or strike it out."
            )
        return path
