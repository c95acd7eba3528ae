"""Tasks for the worker, good and bad; in a module that its process can import."""

import os
import time

import numpy as np

from lees.errors import OutOfRange


def doubled(value: int) -> int:
    return 2 * value


def sleep_long() -> None:
    time.sleep(60)


def take_two_gigabytes() -> int:
    return int(np.ones(2 * 1024**3, dtype=np.uint8).sum())


def die() -> None:
    os.abort()


def complain() -> None:
    raise OutOfRange("the width", -1, "above zero")


def fail_of_ours() -> None:
    raise KeyError("a fault of ours")
