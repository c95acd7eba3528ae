"""Results of reading and measuring, kept by the content they were made from.

A key is the SHA-256 of the file, of what was done with it and of the version that did it; a result
is plain JSON. Losing the folder costs time and nothing else.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

KEPT = 4000


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of results; without a folder nothing is kept."""

    folder: Path | None
    version: str

    def result(self, content: bytes, task: str, make: Callable[[], Any]) -> Any:
        """Return the kept result of a task on a content, or make and keep it."""
        if self.folder is None:
            return make()
        path = self._path(content, task)
        with contextlib.suppress(OSError, ValueError):
            return json.loads(path.read_text(encoding="utf-8"))
        value = make()
        with contextlib.suppress(OSError):
            self._keep(path, value)
        return value

    def _path(self, content: bytes, task: str) -> Path:
        digest = hashlib.sha256(content)
        digest.update(f"\0{task}\0{self.version}".encode())
        assert self.folder is not None
        return self.folder / f"{digest.hexdigest()}.json"

    def _keep(self, path: Path, value: Any) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".new")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(value, file, ensure_ascii=False)
        Path(name).replace(path)
        kept = sorted(path.parent.glob("*.json"), key=lambda p: p.stat().st_mtime)
        for old in kept[:-KEPT]:
            old.unlink(missing_ok=True)
