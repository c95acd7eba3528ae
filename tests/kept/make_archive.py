"""Makes the archives kept here: run with the version of Lees whose tables are to be kept.

    python tests/kept/make_archive.py ADDRESS

It uses nothing of the tests, so that it runs under every version. The cases are invented.
"""

import datetime
import io
import itertools
import sys

from lees.archive.address import address_of
from lees.archive.archive import Hands
from lees.archive.cases import KeptFile, add_file, bin_case, change_case, store_case
from lees.archive.opening import create_archive
from lees.case.toml import read_case

START = datetime.datetime(2026, 8, 19, 7, 30, tzinfo=datetime.UTC)
CASE = """
title = "Kept launch no. {number}, invented"
invented = true
[engine]
name = "Port engine {number}"
sump = "5.2 L"
[owner]
name = "Harbour co-operative"
consent = {{ name = true }}
[fill]
poured = 2026-03-01
drained = 2026-08-1{number}
run = "9 30{number} mi"
topped_up = ["0.5 L"]
[oil]
name = "Quay oil"
grade = "5W-30"
[report]
results = {{ Fe = "1{number} ppm", flash = "395 °F", fuel = "<0.5 %" }}
[filter]
name = "Lock-gate filter"
measured = [{{ what = "can wall", readings = [0.38, "0.39"], with = "caliper" }}]
[instruments.caliper]
zero = "-0.02 mm"
checked = 2026-08-01
"""


def make(address: str) -> None:
    """Make an archive with three cases: one changed, one with pictures, one in the bin."""
    ticks, tokens = itertools.count(), itertools.count(1)
    hands = Hands(
        clock=lambda: START + datetime.timedelta(seconds=next(ticks)),
        token=lambda: f"k{next(tokens):04d}",
    )
    archive = create_archive(address_of(address), hands, user="inspector")
    refs = []
    for number in range(3):
        case = read_case(CASE.format(number=number))
        sha256, size = archive.files.keep(io.BytesIO(b"an invented report %d" % number))
        file = KeptFile("report.pdf", sha256, size, "other")
        refs.append(store_case(archive, case, [file]).ref)
    change_case(archive, refs[0], {"/fill/run": "9 400 mi"}, seen=1)
    sha256, size = archive.files.keep(io.BytesIO(b"an invented picture"))
    picture = KeptFile("media.jpg", sha256, size, "picture")
    add_file(archive, refs[1], picture, entered={"of": "media", "caption": "As cut open"})
    bin_case(archive, refs[2])
    archive.close()


if __name__ == "__main__":
    make(sys.argv[1])
