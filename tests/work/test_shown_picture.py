"""A published picture is upright, small and tells nothing of camera or place."""

import io

import pytest
from PIL import Image

from lees.work.shown_picture import Shown, UnusablePicture, picture_for_publishing


def photograph(size=(3000, 1200), mode="RGB", kind="JPEG", **more):
    out = io.BytesIO()
    Image.new(mode, size, 128).save(out, kind, **more)
    return out.getvalue()


def test_it_is_turned_upright_scaled_down_and_stripped():
    exif = Image.Exif()
    exif[0x0112] = 6  # turned a quarter
    exif[0x010F] = "maker"
    exif.get_ifd(0x8825)[1] = "N"
    shown = picture_for_publishing(photograph(exif=exif))
    assert (shown.width_px, shown.height_px) == (1200, 3000)
    with Image.open(io.BytesIO(shown.data)) as small:
        assert small.height == 2000
        assert not small.getexif()
        assert "exif" not in small.info


@pytest.mark.parametrize(
    ("mode", "kind"),
    [("L", "PNG"), ("I;16", "TIFF"), ("CMYK", "JPEG"), ("RGBA", "PNG"), ("P", "PNG")],
)
def test_every_customary_kind_is_opened(mode, kind):
    shown = picture_for_publishing(photograph((40, 30), mode, kind))
    assert (shown.width_px, shown.height_px) == (40, 30)


@pytest.mark.parametrize(
    "content", [b"", b"\xff\xd8\xff\xe0 cut", b"<svg/>", b"GIF89a" + bytes(20)]
)
def test_what_is_no_photograph_is_refused(content):
    with pytest.raises(UnusablePicture, match="photograph"):
        picture_for_publishing(content)


def test_it_comes_back_from_plain_data():
    shown = Shown(b"\x00\xff", 3, 4)
    assert Shown.from_plain(shown.to_plain()) == shown
