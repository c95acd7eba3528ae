"""Hostile and odd files end in one clear line; good ones in an upright 8-bit picture."""

import contextlib
import io

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from lees.errors import UnusableInput
from lees.picture.decode import (
    DamagedPicture,
    NotAPhotograph,
    NothingInThePicture,
    TooManyPixels,
    decode,
)


@pytest.fixture
def scene():
    rng = np.random.default_rng(3)
    return cv2.GaussianBlur(rng.integers(0, 255, (120, 170, 3), dtype=np.uint8), (0, 0), 2)


def packed(picture, kind, **settings):
    file = io.BytesIO()
    Image.fromarray(picture).save(file, kind, **settings)
    return file.getvalue()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_orientation_is_that_of_pillow(scene, orientation, kind):
    exif = Image.Exif()
    exif[0x0112] = orientation
    settings = {"quality": 100, "subsampling": 0} if kind == "JPEG" else {}
    data = packed(scene, kind, exif=exif, **settings)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))))[:, :, ::-1]
    got = decode(data).pixels
    assert got.shape == expected.shape
    assert np.abs(got.astype(int) - expected).max() <= 3


def test_cmyk_becomes_colour(scene):
    for kind in ("JPEG", "TIFF"):
        file = io.BytesIO()
        Image.fromarray(scene).convert("CMYK").save(file, kind)
        got = decode(file.getvalue()).pixels
        assert np.abs(got[:, :, ::-1].astype(int) - scene).mean() < 6


@pytest.mark.parametrize("bits", [16, 12])
@pytest.mark.parametrize("suffix", [".png", ".tif"])
def test_sixteen_bits_are_reduced_and_said_so(scene, suffix, bits):
    deep = scene.astype(np.uint16) << (bits - 8)
    deep[0, 0] = 2**bits - 1
    photograph = decode(cv2.imencode(suffix, deep)[1].tobytes())
    assert np.array_equal(photograph.pixels[1:], scene[1:])
    assert str(bits) in photograph.notes[0]


def test_grey_pictures_have_three_channels(scene):
    assert decode(packed(scene[:, :, 0], "PNG")).pixels.shape == (120, 170, 3)


def animation(scene):
    file = io.BytesIO()
    frames = [Image.fromarray(np.roll(scene, 5 * i, axis=1)) for i in range(4)]
    frames[0].save(file, "GIF", save_all=True, append_images=frames[1:])
    return file.getvalue()


def bomb():
    """Return a PNG that claims a gigapixel."""
    import struct
    import zlib

    head = struct.pack(">IIBBBBB", 40_000, 30_000, 8, 2, 0, 0, 0)
    chunk = b"IHDR" + head
    end = b"IEND"
    return (
        b"\x89PNG\r\n\x1a\n"
        + struct.pack(">I", 13) + chunk + struct.pack(">I", zlib.crc32(chunk))
        + struct.pack(">I", 0) + end + struct.pack(">I", zlib.crc32(end))
    )  # fmt: skip


def test_hostile_files_end_in_one_line(scene):
    jpeg, png = packed(scene, "JPEG"), packed(scene, "PNG")
    tiff, webp = packed(scene, "TIFF"), packed(scene, "WEBP")
    flat = np.full((120, 170, 3), 90, np.uint8)
    cases = [
        (b"", NotAPhotograph, "empty"),
        (b"\x00" * 5000, NotAPhotograph, "no picture"),
        (jpeg[: len(jpeg) // 2], DamagedPicture, "breaks off"),
        (jpeg[:40], UnusableInput, "picture"),
        (png[: len(png) // 2], DamagedPicture, "breaks off"),
        (tiff[: len(tiff) // 2], UnusableInput, "picture"),
        (webp[: len(webp) // 2], DamagedPicture, "damaged"),
        (bomb(), TooManyPixels, "million"),
        (animation(scene), NotAPhotograph, "4 pictures"),
        (b'<?xml version="1.0"?><svg/>', NotAPhotograph, "drawing"),
        (b"%PDF-1.7 ...", NotAPhotograph, "PDF"),
        (packed(flat, "PNG"), NothingInThePicture, "one even colour"),
        (packed(flat * 0, "JPEG"), NothingInThePicture, "black"),
        (packed(flat * 0 + 255, "JPEG"), NothingInThePicture, "white"),
        (packed(scene[:20, :20], "PNG"), NotAPhotograph, "20 × 20"),
    ]
    for data, error, words in cases:
        with pytest.raises(error, match=words) as caught:
            decode(data)
        assert "\n" not in str(caught.value)


def test_damage_in_the_middle_never_gives_another_error(scene):
    rng = np.random.default_rng(11)
    for kind in ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF"):
        good = packed(scene, kind)
        for _ in range(60):
            bad = bytearray(good)
            for at in rng.integers(0, len(bad), 8):
                bad[at] = rng.integers(256)
            with contextlib.suppress(UnusableInput):
                decode(bytes(bad))
