"""The recogniser of letters: rapidocr where it is installed, made once in a process."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lees.document.seen import Ocr, Picture, Seen


@cache
def recogniser() -> Ocr | None:
    """Return what recognises the letters of a picture, or None where the extra is not installed."""
    try:
        from rapidocr import RapidOCR
    except ImportError:
        return None
    engine = RapidOCR(params={"Global.log_level": "error"})

    def recognise(picture: Picture) -> list[Seen]:
        # The classifier of line direction turns numbers upside down (980 reads as 086): left out.
        return _seen(engine(picture[:, :, ::-1], use_cls=False))

    return recognise


def _seen(found: Any) -> list[Seen]:
    from lees.document.seen import Seen

    if found is None or found.boxes is None or found.txts is None:
        return []
    return [
        Seen(
            text,
            (
                (float(box[0][0]), float(box[0][1])),
                (float(box[1][0]), float(box[1][1])),
                (float(box[2][0]), float(box[2][1])),
                (float(box[3][0]), float(box[3][1])),
            ),
            float(score),
        )
        for box, text, score in zip(found.boxes, found.txts, found.scores, strict=True)
        if text.strip()
    ]
