"""PDF (ISO 32000) by its text: characters with places to words, pages turned upright."""

from __future__ import annotations

import ctypes
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from lees.document.lines import cells_of
from lees.document.readers import NeedsEyes, NotReadable, Ocr
from lees.document.readers.picture import NO_OCR, page_seen
from lees.document.records import Box, Document, Page, Word

MOST_PAGES = 40
_MOST_CHARACTERS = 60_000
_MOST_OBJECTS = 5_000
_DOTS_PER_POINT = 200 / 72
_LONGEST_PIXELS = 3_000


class Pdf:
    """Reads PDF files that hold text."""

    name, version = "pdf", 1

    def score(self, data: bytes) -> float | None:
        """Look for the header that every PDF has near its start."""
        return 0.99 if b"%PDF-" in data[:1024] else None

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return the words of its pages as cells."""
        document = _opened(data)
        warnings: list[str] = []
        try:
            count = len(document)
            if count > MOST_PAGES:
                warnings.append(f"Only the first {MOST_PAGES} of {count} pages were read.")
            pages = []
            for number in range(min(count, MOST_PAGES)):
                page = _page(document, number, ocr, warnings)
                if page is not None:
                    pages.append(page)
        finally:
            document.close()
        return Document("pdf", tuple(pages), tuple(warnings), has_boxes=True)


def _opened(data: bytes) -> Any:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
        len(document)
    except pypdfium2.PdfiumError as error:
        if "password" in str(error).lower():
            raise NotReadable(
                "The PDF is locked with a password; save it without one and give it again."
            ) from error
        raise NotReadable(
            "The PDF is broken or cut short; get it from the laboratory again."
        ) from error
    return document


def _page(document: Any, number: int, ocr: Ocr | None, warnings: list[str]) -> Page | None:
    import pypdfium2

    try:
        page = document[number]
    except pypdfium2.PdfiumError:
        return None
    try:
        words, width, height = _words(page)
        if _is_picture(page, words, width * height):
            if ocr is not None:
                return _page_seen(page, number, ocr)
            if not words:
                raise NeedsEyes(NO_OCR)
            warnings.append(f"Page {number + 1} is a scan; its hidden text may be wrong. {NO_OCR}")
            words = [replace(word, confidence=0.9) for word in words]
    finally:
        page.close()
    cells = cells_of(words, number + 1)
    if any(word.confidence < 1 for word in words):
        cells = tuple(replace(cell, seen=True) for cell in cells)
    return Page(number + 1, width, height, cells)


def _is_picture(page: Any, words: list[Word], area: float) -> bool:
    """Tell whether a page is a picture: of a page with no text, or with a hidden layer of text."""
    from pypdfium2 import raw

    covered = 0.0
    hidden = 0
    for count, item in enumerate(page.get_objects(max_depth=3)):
        if count > _MOST_OBJECTS:
            break
        if item.type == raw.FPDF_PAGEOBJ_IMAGE:
            left, bottom, right, top = item.get_bounds()
            covered += max(0.0, right - left) * max(0.0, top - bottom)
        elif item.type == raw.FPDF_PAGEOBJ_TEXT:
            hidden += (
                raw.FPDFTextObj_GetTextRenderMode(item.raw) == raw.FPDF_TEXTRENDERMODE_INVISIBLE
            )
    if covered > 0.55 * area:
        return len(words) < 8 or hidden > 0 or covered > 0.8 * area
    return len(words) < 3 and covered > 0.2 * area


def _page_seen(page: Any, number: int, ocr: Ocr) -> Page:
    """Read a page by its look."""
    import numpy as np

    longest = max(page.get_size())
    scale = min(_DOTS_PER_POINT, _LONGEST_PIXELS / max(1.0, longest))
    picture = np.asarray(page.render(scale=scale).to_pil().convert("RGB"), dtype=np.uint8)
    return page_seen(picture, number + 1, ocr, 1 / scale)


def _words(page: Any) -> tuple[list[Word], float, float]:
    """Return the words of an upright page with its size in points."""
    textpage = page.get_textpage()
    try:
        characters = list(_characters(textpage))
    finally:
        textpage.close()
    left, bottom, right, top = page.get_cropbox() if page.get_cropbox() else page.get_mediabox()
    turned = (page.get_rotation() // 90) % 4
    quarter = turned
    angles = Counter(character[5] for character in characters)
    if angles:
        main = angles.most_common(1)[0][0]
        quarter = main
    width, height = right - left, top - bottom
    words = []
    for text, box in _joined(characters, quarter):
        upright = _upright(box, (left, bottom, right, top), quarter)
        words.append(Word(text, upright))
    if quarter % 2:
        width, height = height, width
    inside = [
        w
        for w in words
        if w.box.x0 >= -2 and w.box.x1 <= width + 2 and w.box.y0 >= -2 and w.box.y1 <= height + 2
    ]
    return inside, width, height


def _characters(textpage: Any) -> Iterator[tuple[str, float, float, float, float, int]]:
    """Return each character with its box in the PDF's own axes and its turn in quarters."""
    from pypdfium2 import raw

    handle = textpage.raw
    rect = raw.FS_RECTF()
    count = min(textpage.count_chars(), _MOST_CHARACTERS)
    for index in range(count):
        code = raw.FPDFText_GetUnicode(handle, index)
        if not 32 <= code < 0x110000 or 0xD800 <= code < 0xE000 or code == 0xFFFE:
            if code in (10, 13):
                yield "\n", 0, 0, 0, 0, -1
            continue
        if not raw.FPDFText_GetLooseCharBox(handle, index, ctypes.byref(rect)):
            continue
        angle = raw.FPDFText_GetCharAngle(handle, index)
        quarter = round(angle / (math.pi / 2)) % 4 if angle >= 0 else 0
        yield chr(code), rect.left, rect.bottom, rect.right, rect.top, quarter


def _joined(
    characters: list[tuple[str, float, float, float, float, int]], quarter: int
) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    """Join characters into words: a blank, a step or another line ends one."""
    text, box = "", (0.0, 0.0, 0.0, 0.0)
    for character, x0, y0, x1, y1, turned in characters:
        ended = character.isspace() or turned != quarter
        if not ended and text:
            ended = _steps(box, (x0, y0, x1, y1), quarter)
        if ended and text:
            yield text, box
            text = ""
        if character.isspace() or turned != quarter:
            continue
        if text:
            box = (min(box[0], x0), min(box[1], y0), max(box[2], x1), max(box[3], y1))
            text += character
        else:
            text, box = character, (x0, y0, x1, y1)
    if text:
        yield text, box


def _steps(
    box: tuple[float, float, float, float], new: tuple[float, float, float, float], quarter: int
) -> bool:
    """Tell whether a character does not follow its word without a gap."""
    if quarter % 2:
        high = max(0.1, new[2] - new[0])
        gap = new[1] - box[3] if quarter == 1 else box[1] - new[3]
        beside = min(box[2], new[2]) - max(box[0], new[0])
    else:
        high = max(0.1, new[3] - new[1])
        gap = new[0] - box[2] if quarter == 0 else box[0] - new[2]
        beside = min(box[3], new[3]) - max(box[1], new[1])
    return gap > 0.18 * high or gap < -0.9 * high or beside < 0.3 * high


def _upright(
    box: tuple[float, float, float, float], crop: tuple[float, float, float, float], quarter: int
) -> Box:
    """Turn a box from the PDF's axes to the upright page's, from its top left."""
    x0, y0, x1, y1 = box
    left, bottom, right, top = crop
    if quarter == 0:
        return Box(x0 - left, top - y1, x1 - left, top - y0)
    if quarter == 1:
        return Box(y0 - bottom, x0 - left, y1 - bottom, x1 - left)
    if quarter == 2:
        return Box(right - x1, y0 - bottom, right - x0, y1 - bottom)
    return Box(top - y1, right - x1, top - y0, right - x0)
