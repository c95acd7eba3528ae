"""The printed scale card as it lies on the bench, and slips of paper with words on them."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from lees.demo.drawing.texture import Plane

MARKER_MM = 20.0
OUTER_MM = (90.0, 60.0)
QUIET_MM = 6.0
INK, PAPER = 0.035, 0.80


def card_albedo(px_per_mm: float, first: int) -> Plane:
    """Return the card's albedo; marker `first` stands at top left, the next three clockwise.

    The paper reaches `QUIET_MM` beyond the outer rectangle of the markers on every side.
    """
    width, height = (round((side + 2 * QUIET_MM) * px_per_mm) for side in OUTER_MM)
    fine = 4
    sheet = np.ones((height * fine, width * fine), np.float32)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    scale = px_per_mm * fine
    for place, (left, top) in enumerate(_places()):
        # The marker is drawn module by module, so that each edge falls where it should.
        bits = cv2.aruco.generateImageMarker(dictionary, first + place, 6)
        module = MARKER_MM / 6
        for (row, column), bit in np.ndenumerate(bits):
            if bit:
                continue
            x0 = (QUIET_MM + left + column * module) * scale
            y0 = (QUIET_MM + top + row * module) * scale
            side = module * scale
            sheet[round(y0) : round(y0 + side), round(x0) : round(x0 + side)] = 0
    picture = Image.fromarray((sheet * 255).astype(np.uint8))
    pen = ImageDraw.Draw(picture)
    x0, y0 = (QUIET_MM + 20) * scale, (QUIET_MM + 30) * scale
    x1 = x0 + 50 * scale
    pen.rectangle((x0, y0, x1, y0 + 0.35 * scale), fill=0)
    for at in range(11):
        x = x0 + at * 5 * scale
        pen.rectangle((x - 0.12 * scale, y0 - 1.6 * scale, x + 0.12 * scale, y0), fill=0)
    middle = (QUIET_MM + OUTER_MM[0] / 2) * scale
    _write(pen, "50 mm", (middle, (QUIET_MM + 34) * scale), 3.4 * scale)
    _write(pen, "scale card", (middle, (QUIET_MM + 10) * scale), 4.6 * scale)
    _write(pen, "invented for", (middle, (QUIET_MM + 46) * scale), 4.2 * scale)
    _write(pen, "demonstration", (middle, (QUIET_MM + 51.5) * scale), 4.2 * scale)
    small = cv2.resize(
        np.asarray(picture, np.float32), (width, height), interpolation=cv2.INTER_AREA
    )
    return np.asarray(INK + (PAPER - INK) * small / 255, np.float32)


def slip_albedo(px_per_mm: float, words: str, size_mm: tuple[float, float]) -> Plane:
    """Return the albedo of a slip of paper with a line of words in its middle."""
    width, height = (round(side * px_per_mm) for side in size_mm)
    picture = Image.new("L", (width * 2, height * 2), 255)
    _write(ImageDraw.Draw(picture), words, (width, height), size_mm[1] * px_per_mm * 0.9)
    small = cv2.resize(
        np.asarray(picture, np.float32), (width, height), interpolation=cv2.INTER_AREA
    )
    return np.asarray(0.05 + 0.70 * small / 255, np.float32)


def _places() -> tuple[tuple[float, float], ...]:
    right, low = OUTER_MM[0] - MARKER_MM, OUTER_MM[1] - MARKER_MM
    return ((0.0, 0.0), (right, 0.0), (right, low), (0.0, low))


def _write(
    pen: ImageDraw.ImageDraw, words: str, middle: tuple[float, float], height: float
) -> None:
    font = ImageFont.load_default(size=height)
    pen.text(middle, words, fill=0, font=font, anchor="mm")


def laid(
    scene: NDArray[np.float32], sheet: Plane, corner_px: tuple[float, float], turn_degrees: float
) -> NDArray[np.float32]:
    """Return the matrix that lays a sheet into the scene, and lay it there with its shadow.

    The sheet's top left corner comes to `corner_px`, turned clockwise about it.
    """
    turn = np.deg2rad(turn_degrees)
    cos, sin = np.cos(turn), np.sin(turn)
    matrix = np.array([[cos, -sin, corner_px[0]], [sin, cos, corner_px[1]]], np.float32)
    size = (scene.shape[1], scene.shape[0])
    moved = cv2.warpAffine(sheet, matrix, size, flags=cv2.INTER_LINEAR)
    cover = cv2.warpAffine(np.ones_like(sheet), matrix, size, flags=cv2.INTER_LINEAR)
    reach = max(2.0, 0.006 * max(sheet.shape))
    shadow = cv2.GaussianBlur(cover, (0, 0), reach)
    shift = np.array([[1, 0, reach], [0, 1, reach]], np.float32)
    shadow = cv2.warpAffine(shadow, shift, size)
    scene *= (1 - 0.45 * shadow * (1 - cover))[..., None]
    tint = np.array([1.0, 0.995, 0.965], np.float32)
    scene += cover[..., None] * (moved[..., None] * tint - scene)
    return matrix
