"""What the acts on a case need from outside; made in one place and handed down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lees.work.cache import Cache
from lees.work.workers import Workers

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Bench:
    """The version, the cache, the workers that open files, and somebody to tell of progress."""

    version: str
    cache: Cache
    workers: Workers
    progress: Progress
