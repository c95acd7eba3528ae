"""Photographs made small enough to send, upright, and without anything hidden in the file."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from functools import lru_cache

from PIL import Image, ImageOps, UnidentifiedImageError


@dataclass(frozen=True, slots=True)
class Photograph:
    """An encoded photograph with its size."""

    data: bytes
    kind: str
    width_px: int
    height_px: int

    @property
    def uri(self) -> str:
        """Return the photograph as a `data:` address, for a file that asks nothing of a network."""
        return f"data:image/{self.kind};base64,{base64.b64encode(self.data).decode('ascii')}"

    @property
    def as_svg(self) -> str:
        """Return the photograph inside a drawing, which the typesetter takes as text."""
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
            f' width="{self.width_px}" height="{self.height_px}"'
            f' viewBox="0 0 {self.width_px} {self.height_px}">'
            f'<image width="{self.width_px}" height="{self.height_px}" xlink:href="{self.uri}"/>'
            "</svg>"
        )


@lru_cache(maxsize=64)
def smaller(data: bytes, longest_px: int, kind: str) -> Photograph | None:
    """Return a photograph cut down to a longest side, as `jpeg` or `webp`, if it is one."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as opened:
            opened.draft("RGB", (longest_px, longest_px))
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError):
        return None
    picture.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    if kind == "webp":
        picture.save(out, "WEBP", quality=76, method=1)
    else:
        picture.save(out, "JPEG", quality=84, optimize=True)
    return Photograph(out.getvalue(), kind, *picture.size)
