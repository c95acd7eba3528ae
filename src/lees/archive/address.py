"""Where an archive is: a folder of this machine, or a PostgreSQL database and a place for files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from lees.archive.errors import NetworkShare, NotAnAddress, PasswordInAddress
from lees.archive.shares import network_share
from lees.errors import printable

DATABASE_FILE = "archive.sqlite"
FILES_FOLDER = "files"
BACKUPS_FOLDER = "backups"


@dataclass(frozen=True, slots=True)
class Address:
    """An archive's address, understood.

    `folder` is the archive's folder where it has one; `database` is what SQLAlchemy connects to;
    `files` is where pictures and documents lie (a folder or `s3://…`), empty where the archive
    itself remembers it; `shown` is the address as it may be printed.
    """

    folder: Path | None
    database: str
    files: str
    shown: str

    @property
    def is_postgresql(self) -> bool:
        """Tell whether several machines share this archive's database."""
        return self.folder is None


def address_of(text: str) -> Address:
    """Understand `FOLDER` or `postgresql://USER@HOST/NAME`, each with `?files=PLACE` if wanted.

    Raises `PasswordInAddress`, `NetworkShare` or `NotAnAddress`.
    """
    if text.startswith(("postgresql:", "postgres:")):
        return _postgresql(text)
    if "://" in text:
        raise NotAnAddress(
            f"“{printable(text)}” is no address of an archive; give a folder or postgresql://…."
        )
    name, _, query = text.partition("?files=")
    if not name.strip() or "\x00" in name:
        raise NotAnAddress("The address of the archive is empty; give a folder or postgresql://….")
    folder = Path(name).expanduser().absolute()
    nearest = next(place for place in (folder, *folder.parents) if place.exists())
    if kind := network_share(nearest):
        raise NetworkShare(str(folder), kind)
    return Address(
        folder=folder,
        database=f"sqlite:///{folder / DATABASE_FILE}",
        files=query or str(folder / FILES_FOLDER),
        shown=str(folder),
    )


def _postgresql(text: str) -> Address:
    try:
        parts = urlsplit(text)
        has_password = parts.password is not None
        _ = parts.port
    except ValueError:
        raise NotAnAddress(
            f"“{printable(text)}” is no address of a database; "
            "write it as postgresql://USER@HOST:PORT/NAME."
        ) from None
    options = dict(parse_qsl(parts.query, keep_blank_values=True))
    if has_password or "password" in options:
        raise PasswordInAddress
    if not parts.path.strip("/"):
        raise NotAnAddress(
            f"“{printable(text)}” names no database; write it as postgresql://USER@HOST/NAME."
        )
    files = options.pop("files", "")
    query = urlencode(options)
    database = urlunsplit(("postgresql+psycopg", parts.netloc, parts.path, query, ""))
    shown = urlunsplit(("postgresql", parts.netloc, parts.path, query, ""))
    return Address(folder=None, database=database, files=files, shown=shown)
