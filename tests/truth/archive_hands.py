"""What other processes do to an archive in tests; in a module of its own so that they can load it."""

import io
import itertools
import os
from pathlib import Path

from lees.archive.archive import Hands
from lees.archive.cases import add_file, change_case, store_case
from lees.archive.errors import ChangedMeanwhile
from lees.archive.files import FolderFiles
from truth.archives import START, archive_in, invented_case, kept


def keep_many(folder: str) -> None:
    """Keep the same fifty files as everybody else."""
    store = FolderFiles(Path(folder))
    for number in range(50):
        store.keep(io.BytesIO(b"%d" % number * 1000))


def own_hands(name: str) -> Hands:
    """Return tokens that no other process draws."""
    numbers = itertools.count(1)
    return Hands(clock=lambda: START, token=lambda: f"{name}-{os.getpid()}-{next(numbers)}")


def write_much(place: str, name: str, rounds: int, shared: str) -> None:
    """Store cases and pictures of one's own, and write on one case that all others write on too."""
    archive = archive_in(place, prefix=f"{name}-")
    for number in range(rounds):
        case = invented_case(number).model_copy(update={"title": f"{name} no. {number}"})
        store_case(archive, case, [kept(archive, "a.jpg", f"{name} {number}".encode())])
        store_case(archive, invented_case(number))  # everybody stores these; each is there once
        picture = kept(archive, f"{name}-{number}.jpg", f"shared {name} {number}".encode())
        add_file(archive, shared, picture, entered={"of": "media"})
        raise_the_count(archive, shared)
    archive.close()


def raise_the_count(archive, ref: str) -> None:
    """Add one to the number that stands in a case, whatever others do meanwhile."""
    from lees.archive.cases import get_case

    while True:
        now = get_case(archive, ref)
        counted = int(now.case.fill.notes or "0") + 1
        try:
            change_case(archive, ref, {"/fill/notes": str(counted)}, seen=now.version)
        except ChangedMeanwhile:
            continue
        return


def store_until_killed(
    place: str, name: str, acknowledged: str, surroundings: dict[str, str]
) -> None:
    """Store cases and pictures without end; what was acknowledged is written down each time."""
    os.environ.update(surroundings)
    archive = archive_in(place, prefix=f"{name}-")
    book = os.open(acknowledged, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    for number in itertools.count():
        content = f"{name} {number} ".encode() * 3000
        case = invented_case(number).model_copy(update={"title": f"{name} no. {number}"})
        picture = kept(archive, "media.jpg", content)
        stored = store_case(archive, case, [picture])
        os.write(book, f"{stored.ref} {picture.sha256} {number}\n".encode())
        if number % 3 == 0:
            change_case(archive, stored.ref, {"/fill/notes": f"changed {number}"}, seen=1)
            os.write(book, f"{stored.ref} changed {number}\n".encode())
