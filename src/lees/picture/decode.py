"""What a file's bytes show: an upright 8-bit colour array, or one clear line why not.

Formats: JPEG (ITU-T T.81, CMYK included), PNG (ISO/IEC 15948), TIFF 6.0 with 8 or 16 bits, WebP,
BMP; HEIC where the extra is installed. Nothing of the file's location or device data is kept.
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from lees.errors import UnusableInput

if TYPE_CHECKING:
    from PIL.Image import Image as PillowImage

Pixels: TypeAlias = NDArray[np.uint8]
"""An 8-bit picture: rows, columns and, for colour, blue, green, red."""

PIXEL_LIMIT = 120_000_000
"""More pixels than any camera at the bench takes; a file may claim any number."""
SMALLEST_SIDE = 48
_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF")
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"heim", b"heis", b"avif")
_DRAWINGS = {
    b"%PDF": "a PDF document",
    b"%!PS": "a PostScript drawing",
    b"\xc5\xd0\xd3\xc6": "a PostScript drawing",
    b"<svg": "an SVG drawing",
    b"<?xml": "an XML drawing",
    b"<!DOCTYPE": "a page of text",
    b"<html": "a web page",
    b"\xd7\xcd\xc6\x9a": "a metafile drawing",
}


class NotAPhotograph(UnusableInput):
    """The bytes are no picture that can be measured."""


class DamagedPicture(UnusableInput):
    """The bytes begin as a picture and do not go on as one."""


class TooManyPixels(UnusableInput):
    """The picture claims more pixels than may be unpacked."""


class NothingInThePicture(UnusableInput):
    """The picture is of one colour, black or white."""


@dataclass(frozen=True, slots=True)
class Photograph:
    """An upright picture in 8-bit blue, green, red, and what was done to get there."""

    pixels: Pixels
    notes: tuple[str, ...] = ()


def decode(data: bytes, *, pixel_limit: int = PIXEL_LIMIT) -> Photograph:
    """Return the upright picture that a file's bytes hold.

    Parameters
    ----------
    data : bytes
        The whole file.
    pixel_limit
        The largest number of pixels that is unpacked [1].

    Returns
    -------
    Photograph
        Blue, green and red in 8 bits.

    Raises
    ------
    NotAPhotograph, DamagedPicture, TooManyPixels, NothingInThePicture
        With one line on what is wrong and what to do.

    Notes
    -----
    The header is read first and the pixels are unpacked only where their number is allowed.
    """
    _refuse_what_is_no_photograph(data)
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        photograph = Photograph(_from_heic(data, pixel_limit))
    else:
        photograph = _from_raster(data, pixel_limit)
    _refuse_emptiness(photograph.pixels)
    return photograph


def _refuse_what_is_no_photograph(data: bytes) -> None:
    if not data:
        raise NotAPhotograph("The file is empty (0 bytes); copy it again from the camera.")
    start = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n")
    for mark, what in _DRAWINGS.items():
        if start[: len(mark)].lower() == mark.lower():
            raise NotAPhotograph(
                f"The file is {what}, not a photograph; save the photograph as JPEG or PNG."
            )


def _from_raster(data: bytes, pixel_limit: int) -> Photograph:
    header = _header(data, pixel_limit)
    if header.format not in ("JPEG", "MPO") and getattr(header, "n_frames", 1) > 1:
        raise NotAPhotograph(
            f"The file holds {getattr(header, 'n_frames', 2)} pictures, an animation or a stack; "
            "save the one to be measured by itself."
        )
    _refuse_truncation(data, header.format or "")
    if header.mode in ("CMYK", "LAB", "P", "1", "LA") or header.format in ("GIF", "WEBP"):
        photograph = Photograph(_by_pillow(header))
    else:
        photograph = _by_opencv(data)
    return replace(photograph, pixels=_upright(photograph.pixels, _orientation(header)))


def _header(data: bytes, pixel_limit: int) -> PillowImage:
    from PIL import Image, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            header = Image.open(io.BytesIO(data), formats=_FORMATS)
            width, height = header.size
        except Image.DecompressionBombError:
            raise _too_many(None, pixel_limit) from None
        except UnidentifiedImageError:
            raise NotAPhotograph(
                "The file is no picture known here; save it as JPEG, PNG or TIFF."
            ) from None
        except (OSError, ValueError, SyntaxError, EOFError, KeyError, IndexError, TypeError) as e:
            raise DamagedPicture(
                f"The picture's header is damaged ({type(e).__name__}); copy it again."
            ) from None
    if width * height > pixel_limit:
        raise _too_many((width, height), pixel_limit)
    if min(width, height) < SMALLEST_SIDE:
        raise NotAPhotograph(
            f"The picture has {width} × {height} pixels; "
            f"{SMALLEST_SIDE} on each side are needed at least."
        )
    return header


def _too_many(size: tuple[int, int] | None, pixel_limit: int) -> TooManyPixels:
    got = f"{size[0]} × {size[1]} pixels" if size else "too many pixels"
    return TooManyPixels(
        f"The picture claims {got}; at most {pixel_limit // 1_000_000} million are unpacked: "
        "save it smaller or cut out the part to be measured."
    )


def _refuse_truncation(data: bytes, kind: str) -> None:
    """Say so where the end mark of a JPEG or PNG is missing: decoders fill the rest with grey."""
    ends = {"JPEG": b"\xff\xd9", "MPO": b"\xff\xd9", "PNG": b"IEND"}
    mark = ends.get(kind)
    if mark is None:
        return
    begin = _scan_start(data) if kind != "PNG" else 8
    if data.rfind(mark, begin) < 0:
        raise DamagedPicture(
            "The picture breaks off before its end; copy it again from the camera."
        )


def _scan_start(data: bytes) -> int:
    """Return where a JPEG's first scan begins, past any preview in its header (T.81, B.1.1)."""
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xDA:
            return at
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return min(at, len(data))


def _by_pillow(header: PillowImage) -> Pixels:
    try:
        rgb = np.asarray(header.convert("RGB"))
    except (OSError, ValueError, SyntaxError, EOFError, IndexError) as error:
        raise _undecodable(type(error).__name__) from None
    return np.ascontiguousarray(rgb[:, :, ::-1])


def _by_opencv(data: bytes) -> Photograph:
    import cv2

    cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)
    flags = cv2.IMREAD_COLOR | cv2.IMREAD_ANYDEPTH | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        raw: NDArray[Any] | None = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    except cv2.error:
        raw = None
    if raw is None:
        raise _undecodable("no pixels")
    if raw.dtype == np.uint8:
        return Photograph(raw)
    if raw.dtype == np.uint16:
        return _to_8_bit(raw)
    raise NotAPhotograph(
        f"The picture's pixels are {raw.dtype} numbers; save it with 8 or 16 bits a channel."
    )


def _to_8_bit(raw: NDArray[Any]) -> Photograph:
    """Reduce 16 bits to 8; cameras of 10, 12 or 14 bits leave the upper ones empty."""
    top = int(raw.max())
    bits = max(8, top.bit_length())
    pixels = (raw >> np.uint16(bits - 8)).astype(np.uint8)
    return Photograph(pixels, (f"{bits} bits a channel were reduced to 8",))


def _undecodable(reason: str) -> DamagedPicture:
    return DamagedPicture(
        f"The picture's data are damaged or break off ({reason}); copy it again from the camera."
    )


def _orientation(header: PillowImage) -> int:
    """Return the EXIF orientation, 1 where there is none that can be read.

    Both libraries turn a TIFF upright by themselves while they unpack it.
    """
    if header.format == "TIFF":
        return 1
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            value = header.getexif().get(0x0112, 1)
        except (OSError, ValueError, SyntaxError, KeyError, TypeError, IndexError):
            return 1
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _upright(pixels: Pixels, orientation: int) -> Pixels:
    """Turn and mirror as the EXIF orientation says (CIPA DC-008, tag 274)."""
    turned = pixels.swapaxes(0, 1) if orientation >= 5 else pixels
    if orientation in (3, 4, 7, 8):
        turned = turned[::-1]
    if orientation in (2, 3, 6, 7):
        turned = turned[:, ::-1]
    return np.ascontiguousarray(turned)


def _from_heic(data: bytes, pixel_limit: int) -> Pixels:
    try:
        import pillow_heif
    except ImportError:
        raise NotAPhotograph(
            "The file is a HEIC picture and its reader is not installed; "
            "install lees[heif], or save the picture as JPEG."
        ) from None
    try:
        heic = pillow_heif.open_heif(io.BytesIO(data))
        if heic.size[0] * heic.size[1] > pixel_limit:
            raise _too_many(heic.size, pixel_limit)
        rgb = np.asarray(heic.to_pillow().convert("RGB"))
    except (OSError, ValueError, RuntimeError, EOFError, SyntaxError) as error:
        raise _undecodable(type(error).__name__) from None
    return np.ascontiguousarray(rgb[:, :, ::-1])


def _refuse_emptiness(pixels: Pixels) -> None:
    step = max(1, min(pixels.shape[:2]) // 400)
    sample = pixels[::step, ::step]
    low, high = np.percentile(sample, (0.2, 99.8))
    if high <= 10 and pixels.max() <= 40:
        raise NothingInThePicture("The picture is all black; photograph it again with more light.")
    if low >= 250 and pixels.min() >= 225:
        raise NothingInThePicture("The picture is all white; photograph it again with less light.")
    spread = sample.reshape(-1, 3).std(axis=0)
    if spread.max() < 0.5:
        raise NothingInThePicture(
            "The picture is of one even colour: nothing in it can be measured."
        )
