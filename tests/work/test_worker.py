"""The worker ends a task that takes too long, takes too much or breaks down, and goes on."""

import pytest

from lees.errors import OutOfRange
from lees.work.worker import (
    FileBrokeTheReader,
    FileTookTooLong,
    FileTookTooMuchMemory,
    Limits,
    Worker,
    run_limited,
)
from truth import worker_tasks


def test_a_result_comes_back():
    assert run_limited(worker_tasks.doubled, 21) == 42


def test_a_line_for_the_bench_comes_back_whole():
    with pytest.raises(OutOfRange, match="the width is -1; it must be above zero"):
        run_limited(worker_tasks.complain)


def test_every_way_of_breaking_is_named_and_the_worker_goes_on():
    with Worker(Limits(seconds=1.5, memory_mb=600)) as worker:
        with pytest.raises(FileTookTooLong):
            worker.run(worker_tasks.sleep_long)
        with pytest.raises(FileTookTooMuchMemory):
            worker.run(worker_tasks.take_two_gigabytes)
        with pytest.raises(FileBrokeTheReader):
            worker.run(worker_tasks.die)
        assert worker.run(worker_tasks.doubled, 2) == 4


def test_a_fault_in_the_reader_names_itself_and_keeps_its_trace():
    with pytest.raises(FileBrokeTheReader, match="KeyError") as caught:
        run_limited(worker_tasks.fail_of_ours)
    assert "fail_of_ours" in "".join(caught.value.__notes__)
