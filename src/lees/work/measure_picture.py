"""Measuring photographs: files in, the contract's numbers out, in a worker with limits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lees.errors import UnusableInput
from lees.work.worker import Limits, run_limited

if TYPE_CHECKING:
    from lees.picture.view import View

MOST_BYTES = 400 * 1024 * 1024
PICTURE_LIMITS = Limits(seconds=60.0, memory_mb=1500)


class What(StrEnum):
    """What is measured on a photograph."""

    PARTICLES = "particles"
    STRIP = "strip"
    PLEATS = "pleats"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the photographs, and what is known of them."""

    what: What
    mm_per_px: float | None = None
    overlay: bool = False
    contact_sheet: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """The contract's numbers as plain JSON, and the pictures asked for as PNG."""

    contract: dict[str, Any]
    pictures: dict[str, bytes] = field(default_factory=dict)


def measure_picture(
    paths: Sequence[Path], asked: Asked, *, limits: Limits = PICTURE_LIMITS
) -> Answer:
    """Return what photographs measure; the files are opened in a worker.

    Raises `UnusableInput` for a file that is missing, too large, broken or no photograph.
    """
    files = tuple(_bytes(path) for path in paths)
    return run_limited(measure_picture_here, files, asked, limits=limits)


def measure_picture_here(files: tuple[bytes, ...], asked: Asked) -> Answer:
    """Return what photographs measure, in this very process."""
    return _MEASURES[asked.what](files, asked)


def _look(data: bytes, asked: Asked) -> View:
    from lees.picture.decode import decode
    from lees.picture.plane import plane_of_scale
    from lees.picture.view import look

    photograph = decode(data)
    shape = (photograph.pixels.shape[0], photograph.pixels.shape[1])
    plane = plane_of_scale(asked.mm_per_px, shape) if asked.mm_per_px is not None else None
    return look(photograph, plane=plane)


def _particles(files: tuple[bytes, ...], asked: Asked) -> Answer:
    from lees.picture.contract import particles_contract
    from lees.picture.particles import measure_particles

    view = _look(files[0], asked)
    result = measure_particles(view.pixels, view.plane, view.sheet(), focus=view.focus)
    return Answer(particles_contract(result, view))


def _strip(files: tuple[bytes, ...], asked: Asked) -> Answer:
    from lees.picture.contract import strip_contract
    from lees.picture.folding import count_folds
    from lees.picture.strip import check_reaches_both_cards, measure_strip

    view = _look(files[0], asked)
    if not view.scaled:
        raise UnusableInput(
            "No scale is in sight: lay the scale cards at the ends of the strip, or give the scale."
        )
    strip = measure_strip(view.pixels, view.plane, view.sheet())
    check_reaches_both_cards(strip, view.cards, view.plane)
    return Answer(strip_contract(strip, count_folds(view.pixels, view.plane, strip), view))


def _pleats(files: tuple[bytes, ...], asked: Asked) -> Answer:
    from lees.picture.contract import pleats_contract
    from lees.picture.pack import find_pack
    from lees.picture.pleats import count_pleats

    view = _look(files[0], asked)
    return Answer(pleats_contract(count_pleats(find_pack(view.grey, view.papers)), view))


_MEASURES: dict[What, Callable[[tuple[bytes, ...], Asked], Answer]] = {
    What.PARTICLES: _particles,
    What.STRIP: _strip,
    What.PLEATS: _pleats,
}


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise UnusableInput(
                f"{path.name} has {size / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read."
            )
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise UnusableInput(f"{path} cannot be read ({reason}); check its name.") from None
