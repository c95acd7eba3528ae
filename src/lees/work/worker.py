"""Untrusted files are opened here: in a process of their own with limits on time and memory.

A report or a photograph comes from a stranger, and the libraries that parse them are large. The
worker may use so many seconds and so many megabytes; what it does beyond that ends the worker and
not the bench.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import sys
import threading
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection
from types import TracebackType
from typing import Any, ParamSpec, TypeVar, cast

from lees.errors import LeesError

P = ParamSpec("P")
T = TypeVar("T")


class FileTookTooLong(LeesError):
    """A file kept the worker longer than it may."""


class FileTookTooMuchMemory(LeesError):
    """A file wanted more memory than the worker may use."""


class FileBrokeTheReader(LeesError):
    """A file ended the worker: the library that parsed it failed on it."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one task may use."""

    seconds: float = 20.0
    memory_mb: int = 1500


def run_limited(
    function: Callable[P, T],
    *arguments: Any,
    limits: Limits | None = None,
) -> T:
    """Run a module-level function in a worker of its own and return what it returns.

    A `LeesError` raised in the worker is raised here again. Raises `FileTookTooLong`,
    `FileTookTooMuchMemory` or `FileBrokeTheReader` where the worker was ended.
    """
    with Worker(limits) as worker:
        return worker.run(function, *arguments)


_starting = threading.Lock()


class Worker:
    """A process that takes one task after another; a task that breaks it is given a fresh one."""

    def __init__(self, limits: Limits | None = None) -> None:
        self.limits = limits or Limits()
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None

    def __enter__(self) -> Worker:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def run(self, function: Callable[..., T], *arguments: Any) -> T:
        """Run one task within the limits; see `run_limited`."""
        pipe = self._start()
        try:
            pipe.send((function, arguments))
            if not pipe.poll(self.limits.seconds):
                self.close()
                raise FileTookTooLong(
                    f"It could not be read within {self.limits.seconds:g} s; "
                    "send a smaller or simpler file."
                )
            succeeded, result = pipe.recv()
        except (EOFError, ConnectionError):
            self.close()
            raise FileBrokeTheReader(
                "The reader broke down on it; the file is damaged or is not what it says it is."
            ) from None
        if succeeded:
            return cast("T", result)
        if isinstance(result, MemoryError):
            self.close()
            raise FileTookTooMuchMemory(
                f"It needs more than {self.limits.memory_mb} MB to read; send a smaller file."
            )
        raise result

    def close(self) -> None:
        """End the process."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join()
        self._pipe = self._process = None

    def _start(self) -> Connection:
        if self._pipe is not None and self._process is not None and self._process.is_alive():
            return self._pipe
        self.close()
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._process = context.Process(
            target=_serve, args=(theirs, self.limits.memory_mb), daemon=True
        )
        with _starting, _main_left_alone():
            self._process.start()
        theirs.close()
        self._pipe = ours
        return ours


@contextlib.contextmanager
def _main_left_alone() -> Iterator[None]:
    """Keep the child from running the parent's main module, which may be a script unguarded."""
    main = sys.modules["__main__"]
    spec, file = getattr(main, "__spec__", None), getattr(main, "__file__", None)
    main.__spec__ = None
    if file is not None:
        del main.__file__
    try:
        yield
    finally:
        main.__spec__ = spec
        if file is not None:
            main.__file__ = file


def _serve(pipe: Connection, memory_mb: int) -> None:
    _limit_memory(memory_mb)
    while True:
        try:
            function, arguments = pipe.recv()
        except EOFError:
            return
        try:
            answer: tuple[bool, object] = (True, function(*arguments))
        except (LeesError, MemoryError) as error:
            answer = (False, error)
        except Exception as error:
            broken = FileBrokeTheReader(
                f"The reader broke down on it ({type(error).__name__}); "
                "the file is damaged or is not what it says it is."
            )
            broken.add_note(traceback.format_exc())
            answer = (False, broken)
        pipe.send(answer)


def _limit_memory(memory_mb: int) -> None:
    """Bound the data the process may hold; no such bound exists on Windows."""
    try:
        import resource
    except ImportError:
        return
    size = memory_mb * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_DATA, (size, size))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
