"""What the acts on a case need from outside; made in one place and handed down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lees.work.cache import Cache
from lees.work.worker import Worker

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Bench:
    """The version, the cache, the worker that opens files, and somebody to tell of progress."""

    version: str
    cache: Cache
    worker: Worker
    progress: Progress
