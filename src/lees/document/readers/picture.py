"""Scans and photographs: PNG, JPEG, TIFF with its pages, WebP, BMP; HEIC where it can be opened."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import numpy as np

from lees.document.lines import cell_of, lines_of
from lees.document.readers import NeedsEyes, NotReadable
from lees.document.records import Box, Cell, Document, Page, Word
from lees.document.seen import Ocr, Picture, straightened
from lees.document.upright import stand_on_end, turned_upright

MOST_PIXELS = 80_000_000
_MOST_PAGES = 12
_LONGEST_SIDE = 2_000
_STARTS = (b"\x89PNG\r\n", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"BM", b"GIF8")
_HEIF_BRANDS = (b"heic", b"heix", b"mif1", b"heim", b"msf1", b"avif")
NO_OCR = "Pictures are read by an extra that is not installed: run pip install 'lees[ocr]'."


class PictureFile:
    """Reads pictures, every page of them."""

    name, version = "picture", 1

    def score(self, data: bytes) -> float | None:
        """Look for the start of a picture's file."""
        if data.startswith(_STARTS) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP"):
            return 0.99
        return 0.99 if _is_heif(data) else None

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return what is recognised on each page."""
        if ocr is None:
            raise NeedsEyes(NO_OCR)
        warnings: list[str] = []
        pages = []
        for number, picture in enumerate(_pictures(data, warnings), start=1):
            pages.append(page_seen(picture, number, ocr))
        if not pages:
            raise NotReadable("The picture is empty or broken; photograph the report again.")
        return Document("picture", tuple(pages), tuple(warnings), has_boxes=True)


def page_seen(picture: Picture, number: int, ocr: Ocr, scale: float = 1.0) -> Page:
    """Return what is recognised in a picture of a page, in the picture's own pixels times `scale`.

    Parameters
    ----------
    picture : ndarray of shape (M, N, 3)
        The page, red first.
    number : int
        The number of the page.
    ocr : callable
        What recognises its letters.
    scale : float
        What to multiply pixels by for the places that are shown. [1]
    """
    picture = turned_upright(_fitted(picture), picture, ocr)
    smaller = _fitted(picture)
    seen = ocr(smaller)
    if stand_on_end(seen):
        picture = np.ascontiguousarray(np.rot90(picture))
        smaller = _fitted(picture)
        seen = ocr(smaller)
    back = scale * picture.shape[1] / smaller.shape[1]
    placed = straightened(seen)
    shown = {id(word): one.shown for one in placed for word in one.words}
    cells = [
        _cell(run, number, shown, back)
        for line in lines_of([word for one in placed for word in one.words])
        for run in _runs(line, shown)
    ]
    return Page(number, picture.shape[1] * scale, picture.shape[0] * scale, tuple(cells))


def _runs(line: list[Word], shown: dict[int, Box]) -> Iterator[list[Word]]:
    """Yield the words of a line that were recognised together."""
    run: list[Word] = []
    for word in line:
        if run and shown[id(word)] is not shown[id(run[-1])]:
            yield run
            run = []
        run.append(word)
    if run:
        yield run


def _cell(run: list[Word], number: int, shown: dict[int, Box], back: float) -> Cell:
    one = cell_of(run, number)
    place = shown[id(run[0])]
    real = Box(place.x0 * back, place.y0 * back, place.x1 * back, place.y1 * back)
    return Cell(one.text, one.box, number, one.confidence, one.words, seen=True, shown=real)


def _fitted(picture: Picture) -> Picture:
    import cv2

    longest = max(picture.shape[:2])
    if longest <= _LONGEST_SIDE:
        return picture
    factor = _LONGEST_SIDE / longest
    return np.asarray(
        cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA), np.uint8
    )


def _is_heif(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in (
        b"heic",
        b"heix",
        b"mif1",
        b"heim",
        b"msf1",
        b"avif",
    )


def _pictures(data: bytes, warnings: list[str]) -> Iterator[Picture]:
    """Yield the pictures of a file upright as its own marks say; refuse what is far too large."""
    from PIL import Image, ImageOps, ImageSequence, UnidentifiedImageError

    if _is_heif(data):
        _open_heif()
    try:
        with Image.open(io.BytesIO(data)) as file:
            if file.width * file.height > MOST_PIXELS:
                raise NotReadable(
                    f"The picture has {file.width} × {file.height} pixels; at most "
                    f"{MOST_PIXELS // 1_000_000} million are read. Send a smaller one."
                )
            for count, frame in enumerate(ImageSequence.Iterator(file)):
                if count >= _MOST_PAGES:
                    warnings.append(f"Only the first {_MOST_PAGES} pages of the picture were read.")
                    return
                if frame.width * frame.height > MOST_PIXELS:
                    raise NotReadable("A page of the picture is too large; send a smaller one.")
                yield _plain(ImageOps.exif_transpose(frame))
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError) as error:
        raise NotReadable("The picture is broken or cut short; send it again.") from error
    except Image.DecompressionBombError as error:
        raise NotReadable(
            "The picture unpacks to far too many pixels; it is not opened."
        ) from error


def _plain(frame: Any) -> Picture:
    """Return a frame as red, green and blue on white."""
    from PIL import Image

    if frame.mode in ("RGBA", "LA", "PA") or "transparency" in frame.info:
        layered = frame.convert("RGBA")
        white = Image.new("RGBA", layered.size, (255, 255, 255, 255))
        frame = Image.alpha_composite(white, layered)
    elif frame.mode.startswith("I;16") or frame.mode in ("I", "F"):
        grey = np.asarray(frame, dtype=np.float64)
        top = max(1.0, float(grey.max()))
        frame = Image.fromarray((grey * (255 / top)).astype(np.uint8))
    return np.asarray(frame.convert("RGB"), dtype=np.uint8)


def _open_heif() -> None:
    try:
        from pillow_heif import register_heif_opener
    except ImportError as error:
        raise NotReadable(
            "HEIC pictures are opened by an extra that is not installed: run "
            "pip install 'lees[heif]', or send the photo as JPEG."
        ) from error
    register_heif_opener()
