"""A few workers side by side, one for each core that a case may use."""

from __future__ import annotations

from collections.abc import Callable
from queue import SimpleQueue
from types import TracebackType
from typing import Any, TypeVar

from lees.work.worker import Limits, Worker

T = TypeVar("T")


class Workers:
    """Workers that start when they are first needed; any thread may run a task on a free one."""

    def __init__(self, limits: Limits, *, count: int = 2) -> None:
        self.count = count
        self._all = tuple(Worker(limits) for _ in range(count))
        self._free: SimpleQueue[Worker] = SimpleQueue()
        for worker in self._all:
            self._free.put(worker)

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def run(self, function: Callable[..., T], *arguments: Any) -> T:
        """Run one task within the limits; see `lees.work.worker.run_limited`."""
        worker = self._free.get()
        try:
            return worker.run(function, *arguments)
        finally:
            self._free.put(worker)

    def close(self) -> None:
        """End every process."""
        for worker in self._all:
            worker.close()
