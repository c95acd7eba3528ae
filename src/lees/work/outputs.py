"""Files made by Lees are written whole or not at all, and never over somebody else's.

Each file is written under a temporary name and renamed; a manifest beside them names what was
made, so that the next run replaces just that.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from lees.errors import UnusableInput, printable

MANIFEST = ".lees-made.json"


def write_outputs(folder: Path, files: Mapping[str, bytes], *, overwrite: bool = False) -> None:
    """Write files into a folder, replacing those that an earlier run made.

    Raises `UnusableInput` where a file of that name is not ours (unless `overwrite`), or where the
    folder cannot be written; nothing is then changed.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        made = _made_before(folder)
        for name in files:
            path = folder / name
            if path.exists() and name not in made and not overwrite:
                raise UnusableInput(
                    f"{printable(str(path))} is there and was not made by Lees; "
                    "move it, choose another --out, or say --overwrite."
                )
        with _written_aside(folder, files) as aside:
            for name in files:
                path = folder / name
                path.parent.mkdir(parents=True, exist_ok=True)
                aside[name].replace(path)
        for name in made - set(files):
            _remove(folder, name)
        _write_manifest(folder, files)
    except OSError as error:
        where = printable(str(error.filename or folder))
        raise UnusableInput(
            f"{where} cannot be written ({error.strerror}); choose another --out."
        ) from None


def _made_before(folder: Path) -> set[str]:
    try:
        made = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return {
        name
        for name in made
        if isinstance(name, str) and not Path(name).is_absolute() and ".." not in Path(name).parts
    }


def _write_manifest(folder: Path, files: Mapping[str, bytes]) -> None:
    content = {
        "note": "Files that Lees made in this folder; a later run replaces just these.",
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in sorted(files.items())},
    }
    text = json.dumps(content, indent=1, ensure_ascii=False).encode()
    with _written_aside(folder, {MANIFEST: text}) as aside:
        aside[MANIFEST].replace(folder / MANIFEST)


def _remove(folder: Path, name: str) -> None:
    path = folder / name
    path.unlink(missing_ok=True)
    if path.parent != folder:
        with contextlib.suppress(OSError):
            path.parent.rmdir()


@contextlib.contextmanager
def _written_aside(folder: Path, files: Mapping[str, bytes]) -> Iterator[dict[str, Path]]:
    """Write files under temporary names in the folder; what was not taken is removed."""
    aside: dict[str, Path] = {}
    try:
        for name, data in files.items():
            handle, path = tempfile.mkstemp(dir=folder, prefix=".lees-")
            aside[name] = Path(path)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            mode = 0o666 & ~_umask()
            aside[name].chmod(mode)
        yield aside
    finally:
        for left in aside.values():
            left.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
