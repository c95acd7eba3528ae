"""A photograph as it may be published: upright, scaled down, and without what a camera adds.

Place, time and device lie in a photograph's metadata; none of it is kept.
"""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from typing import Any

from lees.errors import LeesError

LONGEST_PX = 2000
MOST_PIXELS = 120_000_000
QUALITY = 85


class UnusablePicture(LeesError):
    """A file that is no photograph we can open, or one too large."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A JPEG to publish, and the size of the upright original in pixels."""

    data: bytes
    width_px: int
    height_px: int

    def to_plain(self) -> dict[str, Any]:
        """Return it as plain JSON data."""
        return {
            "data": base64.b64encode(self.data).decode("ascii"),
            "width_px": self.width_px,
            "height_px": self.height_px,
        }

    @classmethod
    def from_plain(cls, data: dict[str, Any]) -> Shown:
        """Return what `to_plain` was made of."""
        return cls(base64.b64decode(data["data"]), data["width_px"], data["height_px"])


def picture_for_publishing(content: bytes) -> Shown:
    """Return a photograph as a JPEG of at most 2000 pixels, upright and without metadata.

    Raises `UnusablePicture` where it is none, is damaged, or has too many pixels.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = None
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "TIFF")) as image:
            width, height = image.size
            if width * height > MOST_PIXELS:
                raise UnusablePicture(
                    f"it has {width} × {height} pixels; "
                    f"at most {MOST_PIXELS // 10**6} megapixels are opened, so scale it down."
                )
            image.draft("RGB", (LONGEST_PX, LONGEST_PX))
            upright = ImageOps.exif_transpose(image)
            small = upright.convert("RGB") if upright.mode != "I;16" else upright.convert("L")
            turned = (upright.width > upright.height) != (width > height)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise UnusablePicture(
            "it is not a photograph that can be opened, or is damaged; save it as JPEG or PNG."
        ) from error
    small.thumbnail((LONGEST_PX, LONGEST_PX))
    out = io.BytesIO()
    small.convert("RGB").save(out, "JPEG", quality=QUALITY, optimize=True)
    if turned:
        width, height = height, width
    return Shown(out.getvalue(), width, height)
