"""Over both databases: several programs write at once; nothing is lost, nothing doubled."""

import multiprocessing
import time
from collections import Counter

import pytest

from lees.archive.cases import get_case, store_case
from lees.archive.check import check
from lees.archive.find import Question, count, find
from lees.archive.register_changes import entries
from truth.archive_hands import write_much
from truth.archives import archive_in, invented_case


def written_at_once(place: str, processes: int, rounds: int) -> None:
    archive = archive_in(place)
    shared = store_case(archive, invented_case(0).model_copy(update={"title": "Shared by all"})).ref
    context = multiprocessing.get_context("spawn")
    names = [f"hand{k}" for k in range(processes)]
    hands = [
        context.Process(target=write_much, args=(place, name, rounds, shared)) for name in names
    ]
    start = time.perf_counter()
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    took = time.perf_counter() - start
    assert [hand.exitcode for hand in hands] == [0] * processes
    total = processes * rounds
    assert count(archive, Question()) == 1 + total + rounds
    titles = Counter(found.title for found in find(archive, Question(limit=10_000)).cases)
    assert set(titles.values()) == {1}
    assert all(titles[f"{name} no. {k}"] == 1 for name in names for k in range(rounds))
    kept = get_case(archive, shared)
    assert kept.case.fill.notes == str(total)  # every one counted, none overwritten
    assert len(kept.case.picture) == len(kept.files) == total
    assert kept.version == 1 + 2 * total
    for kind in ("engine", "owner", "oil", "filter", "instrument"):
        names_of_kind = [entry.name for entry in entries(archive, kind)]
        assert len(names_of_kind) == len(set(names_of_kind))
    assert check(archive).problems == []
    archive.close()
    print(
        f"{processes} processes, {4 * total} writes in {took:.1f} s: {4 * total / took:.0f} a second"
    )


def test_several_programs_write_at_once(place):
    written_at_once(place, 3, 4)


@pytest.mark.long
def test_eight_programs_write_at_once(place):
    written_at_once(place, 8, 40)
