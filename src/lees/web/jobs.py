"""Long work, done one after another beside the pages, with its progress to be asked for.

A page never waits for a report to be read or a photograph to be measured: it hands the work in
here, shows how far it is, and asks again. Work on strangers' files goes on from here into the
worker process (`lees.work.worker`), which has limits of its own.
"""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any

from lees.errors import LeesError

KEPT = 24
Tell = Callable[[str], None]


@dataclass(slots=True)
class Job:
    """One piece of long work: what it says of itself, and at the end its result or its error."""

    key: Hashable
    says: str = "waiting for its turn"
    done: threading.Event = field(default_factory=threading.Event)
    result: Any = None
    error: str | None = None

    @property
    def is_done(self) -> bool:
        """Tell whether there is a result or an error."""
        return self.done.is_set()


class Jobs:
    """A thread that does long work in the order in which it was handed in."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[Hashable, Job] = OrderedDict()
        self._queue: queue.Queue[tuple[Job, Callable[[Tell], Any]] | None] = queue.Queue()
        self._lock = threading.Lock()
        self._thread = threading.Thread(target=self._run, name="long work", daemon=True)
        self._thread.start()

    def hand_in(self, key: Hashable, act: Callable[[Tell], Any]) -> Job:
        """Hand work in, or return the job where the same was handed in before."""
        with self._lock:
            job = self._jobs.get(key)
            if job is not None:
                self._jobs.move_to_end(key)
                return job
            job = self._jobs[key] = Job(key)
            self._forget_old()
        self._queue.put((job, act))
        return job

    def again(self, key: Hashable) -> None:
        """Forget finished work, so that it is done again when handed in."""
        with self._lock:
            job = self._jobs.get(key)
            if job is not None and job.is_done:
                del self._jobs[key]

    def close(self) -> None:
        """Finish what is being done and take no more."""
        self._queue.put(None)
        self._thread.join(timeout=60)

    def _forget_old(self) -> None:
        done = [key for key, job in self._jobs.items() if job.is_done]
        for key in done[: max(0, len(self._jobs) - KEPT)]:
            del self._jobs[key]

    def _run(self) -> None:
        while (item := self._queue.get()) is not None:
            job, act = item

            def tell(text: str, job: Job = job) -> None:
                job.says = text

            try:
                job.result = act(tell)
            except LeesError as error:
                job.error = str(error)
            except Exception:
                job.error = "Something broke in our own work on it; the log has the details."
                threading.excepthook(threading.ExceptHookArgs((*_current(), self._thread)))
            job.done.set()


def _current() -> tuple[Any, Any, Any]:
    import sys

    return sys.exc_info()
