"""Benches in the browser, open on a free port of this machine, over archives of their own."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from lees.app import bench_shop
from lees.web.guard import Rules
from lees.web.server import bench_application
from lees.web.shop import Shop


@dataclass(frozen=True)
class OpenBench:
    """A bench that answers at an address."""

    address: str
    shop: Shop


@contextlib.contextmanager
def open_bench(archive: Path, rules: Rules | None = None) -> Iterator[OpenBench]:
    """Open a bench over an archive, which is made where there is none, and close it again."""
    shop = bench_shop(str(archive))
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    hosts = frozenset(("127.0.0.1", "localhost"))
    application = bench_application(shop, rules or Rules(hosts))
    server = uvicorn.Server(uvicorn.Config(application, log_level="critical"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield OpenBench(f"http://127.0.0.1:{listening.getsockname()[1]}", shop)
    finally:
        server.should_exit = True
        thread.join(timeout=20)
        listening.close()
        shop.bench.workers.close()
        shop.archive.close()
