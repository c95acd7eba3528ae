"""A simple camera: slight perspective, uneven light, a lens's blur, a sensor's noise, a JPEG."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from lees.demo.drawing.texture import Plane

Radiance = NDArray[np.float32]
"""Linear light in three colours, red first; 1 is white paper in full light."""


@dataclass(frozen=True, slots=True)
class Camera:
    """How a scene was photographed.

    `corners` are where the picture's corners, clockwise from top left, lie on the scene, as shares
    of the scene's width and height. `light` is where the light is strongest, as shares too; it
    falls by `fall` towards the far corner. `blur_px` is the standard deviation of the lens's blur.
    """

    width_px: int
    height_px: int
    corners: tuple[tuple[float, float], ...]
    light: tuple[float, float] = (0.3, 0.2)
    fall: float = 0.45
    vignette: float = 0.25
    blur_px: float = 0.9
    noise: float = 1.5
    exposure: float = 0.95
    warmth: float = 1.05
    sharpening: float = 0.45
    quality: int = 82

    def homography(self, scene_shape: tuple[int, ...]) -> NDArray[np.float64]:
        """Return the matrix that takes scene pixels to picture pixels."""
        rows, columns = scene_shape[:2]
        seen = np.array(self.corners, np.float32) * np.array([columns, rows], np.float32)
        picture = np.array(
            [[0, 0], [self.width_px, 0], [self.width_px, self.height_px], [0, self.height_px]],
            np.float32,
        )
        # Pixel centres lie at whole numbers, corners half a pixel outside them.
        matrix = cv2.getPerspectiveTransform(seen - np.float32(0.5), picture - np.float32(0.5))
        return np.asarray(matrix, np.float64)

    def photograph(self, scene: Radiance, chance: np.random.Generator) -> bytes:
        """Return the scene as a JPEG."""
        size = (self.width_px, self.height_px)
        seen = cv2.warpPerspective(
            scene, self.homography(scene.shape), size, flags=cv2.INTER_LINEAR
        )
        seen = seen * self._light()[..., None]
        glare = cv2.GaussianBlur(np.maximum(seen - 0.6, 0), (0, 0), 6 * self.blur_px)
        seen += 0.25 * glare
        sharp = cv2.GaussianBlur(seen, (0, 0), self.blur_px)
        soft = cv2.GaussianBlur(seen, (0, 0), 2.2 * self.blur_px)
        edge = self._distance()[..., None] ** 3 * 0.8
        seen = sharp + edge * (soft - sharp)
        grain = chance.standard_normal(seen.shape[:2], dtype=np.float32)[..., None]
        colour = cv2.GaussianBlur(chance.standard_normal(seen.shape, dtype=np.float32), (0, 0), 1.2)
        grain = 0.7 * cv2.GaussianBlur(grain, (0, 0), 0.6)[..., None] + 0.5 * colour
        seen = seen * (self.exposure * np.array([self.warmth, 1.0, 2 - self.warmth], np.float32))
        seen += self.noise * grain * np.sqrt(np.float32(2.5e-4) * np.maximum(seen, 0) + 4e-6)
        return _jpeg(_sharpened(_encoded(np.asarray(seen)), self.sharpening), self.quality)

    def _light(self) -> Plane:
        y, x = np.mgrid[0 : self.height_px, 0 : self.width_px].astype(np.float32)
        away = np.hypot(x / self.width_px - self.light[0], y / self.height_px - self.light[1])
        spot = 1.1 - self.fall * away
        return np.asarray(spot * (1 - self.vignette * self._distance() ** 2), np.float32)

    def _distance(self) -> Plane:
        """Return the distance from the picture's middle, 1 in its corners."""
        y, x = np.mgrid[0 : self.height_px, 0 : self.width_px].astype(np.float32)
        middle = (self.width_px / 2, self.height_px / 2)
        away = np.hypot(x - middle[0], y - middle[1]) / np.hypot(*middle)
        return np.asarray(away, np.float32)


def _encoded(linear: Radiance) -> NDArray[np.uint8]:
    """Return linear light as sRGB (IEC 61966-2-1), with the highlights rolled off softly."""
    shoulder = np.where(linear > 0.8, 0.8 + 0.2 * np.tanh((linear - 0.8) / 0.2), linear)
    light = np.clip(shoulder, 0, 1)
    curve = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.round(curve * 255), np.uint8)


def _sharpened(pixels: NDArray[np.uint8], share: float) -> NDArray[np.uint8]:
    """Return the picture as telephones sharpen it: less of what is blurred, more of what is not."""
    soft = cv2.GaussianBlur(pixels, (0, 0), 1.5)
    return np.asarray(cv2.addWeighted(pixels, 1 + share, soft, -share, 0), np.uint8)


def _jpeg(pixels: NDArray[np.uint8], quality: int) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=quality, subsampling=2, optimize=True)
    return out.getvalue()
