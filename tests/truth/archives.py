"""Archives for tests: a clock that stands still, tokens that count, and cases that are invented."""

import datetime
import io
import itertools
from pathlib import Path

from lees.archive.address import address_of
from lees.archive.archive import Hands
from lees.archive.cases import KeptFile
from lees.archive.opening import create_archive
from lees.case.toml import read_case

START = datetime.datetime(2026, 8, 19, 7, 30, tzinfo=datetime.UTC)


def hands(prefix: str = "t") -> Hands:
    """Return a clock that moves a second a look, and tokens that count."""
    ticks, tokens = itertools.count(), itertools.count(1)
    return Hands(
        clock=lambda: START + datetime.timedelta(seconds=next(ticks)),
        token=lambda: f"{prefix}{next(tokens):04d}",
    )


def archive_in(place: Path | str, *, user: str = "inspector", prefix: str = "t"):
    """Make an archive, or open the one that is there."""
    return create_archive(address_of(str(place)), hands(prefix), user=user)


def kept(archive, name: str, content: bytes = b"an invented picture", role: str = "picture"):
    """Keep a file in the archive's store, ready to be named by a case."""
    sha256, size = archive.files.keep(io.BytesIO(content))
    return KeptFile(name, sha256, size, role)


def invented_case(number: int = 1, **more: str):
    """Return an invented case; `more` are lines of TOML by their part."""
    text = f"""
title = "Pilot launch no. {number}, invented"
invented = true
[engine]
name = "Port engine {number % 3}"
sump = "5.2 L"
[owner]
name = "Harbour co-operative"
consent = {{ name = true }}
[fill]
poured = 2026-03-01
drained = 2026-08-{1 + number % 28:02d}
run = "{9000 + number} mi"
[oil]
name = "Quay oil"
grade = "5W-30"
[report]
results = {{ Fe = "{12 + number % 5} ppm", flash = "395 °F", fuel = "<0.5 %", kv100 = "10.{number % 10}" }}
[filter]
name = "Lock-gate filter"
claims = {{ run = "15 000 mi" }}
measured = [{{ what = "can wall", readings = [0.38, 0.39], with = "caliper" }}]
parts = [{{ part = "gasket", condition = "supple", seen = "Fähre Überlinger" }}]
[instruments.caliper]
zero = "-0.02 mm"
checked = 2026-08-01
"""
    for lines in more.values():
        text += lines
    return read_case(text)
