"""Where things are wired: clock, chance, archive, cache and progress are made here alone."""

from __future__ import annotations

import datetime
import secrets
import socket
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from lees.settings import (
    archive_address,
    backups_folder,
    cache_folder,
    lees_version,
    user_name,
)

if TYPE_CHECKING:
    from lees.archive.archive import Archive, Hands
    from lees.web.shop import Shop
    from lees.work.bench import Bench

_LETTERS = "0123456789abcdefghjkmnpqrstvwxyz"  # none that is taken for another
_TOKEN_LENGTH = 12


def token() -> str:
    """Return a reference that nobody else has drawn: 60 bits of chance."""
    return "".join(secrets.choice(_LETTERS) for _ in range(_TOKEN_LENGTH))


def hands() -> Hands:
    """Return the clock and the tokens that an archive is handed."""
    from lees.archive.archive import Hands

    return Hands(clock=lambda: datetime.datetime.now(datetime.UTC), token=token)


def open_archive(address: str | None = None, user: str | None = None) -> Archive:
    """Open the archive at an address, or the one that the settings name."""
    from lees.archive.address import address_of
    from lees.archive.opening import open_archive as opened

    place = address_of(address or archive_address())
    return opened(place, hands(), user=user or user_name(), backups=backups_folder())


def create_archive(address: str | None = None, user: str | None = None) -> Archive:
    """Make an archive at an address, or open the one that is there."""
    from lees.archive.address import address_of
    from lees.archive.opening import create_archive as created

    place = address_of(address or archive_address())
    return created(place, hands(), user=user or user_name(), backups=backups_folder())


def bench() -> Bench:
    """Return what the acts on a case need."""
    from lees.work.bench import Bench
    from lees.work.cache import Cache
    from lees.work.worker import Limits
    from lees.work.workers import Workers

    version = lees_version()
    workers = Workers(Limits(seconds=30, memory_mb=1500))
    return Bench(version, Cache(cache_folder(), version), workers, progress())


def progress() -> Callable[[str], None]:
    """Return what tells of progress: a line on a terminal, nothing where nobody looks."""
    if not sys.stderr.isatty():
        return lambda text: None
    return lambda text: print(f"  {text} …", file=sys.stderr)


LOOPBACK = frozenset(("127.0.0.1", "localhost", "[::1]"))


def serve_bench(address: str | None, port: int) -> None:
    """Open the bench in the browser for this machine, until it is stopped."""
    import uvicorn

    from lees.web.guard import Rules
    from lees.web.server import bench_application

    shop = bench_shop(address)
    listening = _listening("127.0.0.1", port)
    shown = f"http://127.0.0.1:{listening.getsockname()[1]}/"
    application = bench_application(shop, Rules(LOOPBACK))
    settings = uvicorn.Config(
        application, log_level="warning", server_header=False, timeout_keep_alive=15
    )
    print(f"The bench is open at {shown} (for this machine alone; stop it with Ctrl-C).")
    sys.stdout.flush()
    try:
        uvicorn.Server(settings).run(sockets=[listening])
    finally:
        listening.close()
        shop.bench.workers.close()
        shop.archive.close()


def bench_shop(address: str | None) -> Shop:
    """Return what the bench in the browser works with."""
    from lees.web.jobs import Jobs
    from lees.web.shop import Shop
    from lees.work.look import Remembered

    archive = create_archive(address)
    return Shop(archive, bench(), Jobs(), Remembered())


def _listening(host: str, port: int) -> socket.socket:
    """Return a socket that listens; raise `UnusableInput` where the port is taken."""
    from lees.errors import UnusableInput

    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except (OSError, OverflowError) as error:
        listening.close()
        raise UnusableInput(
            f"Port {port} cannot be used ({getattr(error, 'strerror', None) or error}); "
            "give another with --port, or 0 for any that is free."
        ) from None
    return listening
