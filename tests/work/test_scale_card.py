"""The printed card is the one that photographs are measured with, to scale."""

import io
import subprocess
import sys

import numpy as np
import pypdfium2
import pytest

from lees.picture.card import CARD_MM, find_cards
from lees.picture.plane import plane_of_cards
from lees.work.scale_card import Paper, scale_card_pdf

DPI = 300


def rendered(pdf):
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    return document[0].render(scale=DPI / 72, grayscale=True).to_numpy().copy().squeeze()


@pytest.mark.parametrize(
    ("paper", "size_mm"), [(Paper.A4, (210, 297)), (Paper.LETTER, (215.9, 279.4))]
)
def test_cards_are_found_to_scale(paper, size_mm):
    pdf = scale_card_pdf(paper)
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    assert np.allclose(np.array(document[0].get_size()) / 72 * 25.4, size_mm, atol=0.1)
    grey = rendered(pdf)
    cards = find_cards(grey)
    assert [[m.number for m in card.markers] for card in cards] == [[0, 1, 2, 3], [4, 5, 6, 7]]
    for card in cards:
        plane = plane_of_cards((card,), grey.shape)
        scale = plane.mm_per_px(card.corners_px.mean(axis=0)[None])[0]
        assert scale == pytest.approx(25.4 / DPI, rel=2e-3)  # a pixel on each side, below
        outer = np.ptp(card.corners_px, axis=0) * 25.4 / DPI
        # The renderer paints every pixel that it touches, up to one more on each side.
        assert outer == pytest.approx(CARD_MM, abs=3 * 25.4 / DPI)


def test_check_line_is_50_mm():
    grey = rendered(scale_card_pdf(Paper.A4))
    (card, _) = find_cards(grey)
    plane = plane_of_cards((card,), grey.shape)
    left, right = np.rint(plane.to_px(np.array([[10.0, 30.0], [80.0, 30.0]]))).astype(int)
    dark = np.flatnonzero(grey[left[1] - 12, left[0] : right[0]] < 128)  # through the end strokes
    assert (dark[-1] + 1 - dark[0]) * 25.4 / DPI == pytest.approx(50.0, abs=25.4 / DPI)


def test_quiet_zone_is_white():
    grey = rendered(scale_card_pdf(Paper.LETTER))
    for card in find_cards(grey):
        for marker in card.markers:
            low, high = marker.corners_px.min(axis=0), marker.corners_px.max(axis=0)
            rim = 4 * DPI / 25.4 - 1
            around = np.zeros(grey.shape, bool)
            x0, y0 = (low - rim).astype(int)
            x1, y1 = (high + rim).astype(int)
            around[y0:y1, x0:x1] = True
            x0, y0 = (low - 2).astype(int)
            x1, y1 = (high + 3).astype(int)
            around[y0:y1, x0:x1] = False
            assert grey[around].min() > 240


def test_command(tmp_path):
    out = tmp_path / "card.pdf"
    call = [sys.executable, "-c", "from lees.cli import main; main()", "scale-card", str(out)]
    done = subprocess.run([*call, "--paper", "letter"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert out.read_bytes().startswith(b"%PDF")
    wrong = subprocess.run([*call, "--paper", "a3"], capture_output=True, text=True, timeout=60)
    assert wrong.returncode == 2
    assert "a4 or letter" in wrong.stderr
