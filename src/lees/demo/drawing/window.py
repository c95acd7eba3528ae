"""A piece of medium before a lighted window: how much light its fibres and its load let through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.specks import Sowing, sown
from lees.demo.drawing.texture import billows, clouds, felt

LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Weights of red, green and blue in luminance (IEC 61966-2-1)."""


@dataclass(frozen=True, slots=True)
class Window:
    """The lighted window and the piece before it; `clear` is the share that bare medium passes."""

    size_mm: tuple[float, float] = (146.0, 109.5)
    piece_mm: tuple[float, float, float, float] = (16.0, 12.0, 112.0, 84.0)
    pitch_mm: float = 15.5
    clear: float = 0.17
    grains: int = 420


def draw_window(
    window: Window, px_per_mm: float, chance: np.random.Generator
) -> tuple[NDArray[np.float32], dict[str, Any]]:
    """Return the scene in linear light, and what share of the light comes through the piece."""
    shape = (round(window.size_mm[1] * px_per_mm), round(window.size_mm[0] * px_per_mm))
    light = 0.92 + 0.012 * clouds(shape, 45 * px_per_mm, chance)
    passed = _passed(shape, window, px_per_mm, chance)
    grit, count = _grit(shape, window, px_per_mm, chance)
    cover = _piece(shape, window, px_per_mm, chance)
    tint = np.array([1.32, 0.94, 0.52], np.float32)
    colour = passed[..., None] * tint / float(tint @ LUMA)
    colour *= (1 - 0.94 * grit)[..., None]
    behind = light[..., None] * np.ones(3, np.float32)
    scene = behind + cover[..., None] * (light[..., None] * colour - behind)
    whole = cover > 0.999
    luminance = colour @ LUMA
    share = {
        "transmission": round(float(luminance[whole].mean()), 4),
        "transmission_of_bare_media": round(float(luminance[whole & (grit < 0.01)].mean()), 4),
        "occluded": round(float(grit[whole].mean()), 4),
        "grains": count,
        "piece_mm": list(window.piece_mm),
    }
    return np.asarray(scene, np.float32), {"light": share}


def _passed(
    shape: tuple[int, int], window: Window, px_per_mm: float, chance: np.random.Generator
) -> NDArray[np.float32]:
    """Return the share of light that gets through: fibres, cake, and folds where it lies double."""
    mat = felt(shape, px_per_mm, chance)
    mat = 0.6 * mat + 0.4 * cv2.GaussianBlur(mat, (0, 0), 0.12 * px_per_mm)
    cake = billows(shape, 9 * px_per_mm, chance)
    pores = clouds(shape, 0.45 * px_per_mm, chance)
    x = (np.arange(shape[1], dtype=np.float32) + 0.5) / px_per_mm - window.piece_mm[0]
    lean = 0.25 * clouds((1, shape[0]), 20 * px_per_mm, chance)[0]
    turn = (x[None] + lean[:, None]) / window.pitch_mm
    away = (turn - np.round(turn)) * window.pitch_mm
    crease = np.exp(-((away / 0.45) ** 2))
    dust = np.exp(-((away / 2.6) ** 2)) * (np.round(turn) % 2)
    lost = -1.1 * (mat - mat.mean()) + 0.16 * cake - 0.10 * pores + 0.9 * crease + 0.55 * dust
    return np.asarray(window.clear * np.exp(-lost), np.float32)


def _grit(
    shape: tuple[int, int], window: Window, px_per_mm: float, chance: np.random.Generator
) -> tuple[NDArray[np.float32], int]:
    """Return how much of each pixel grains of grit cover, and how many there are."""
    left, top, width, height = window.piece_mm
    sowing = Sowing("dark", window.grains, 0.30, 0.45, 0.16, 1.2)
    grains = sown((sowing,), (left + 1.5, top + 1.5, width - 3, height - 3), chance)
    fine = np.zeros((shape[0] * 2, shape[1] * 2), np.uint8)
    for grain in grains:
        corners = (grain.outline + np.array([grain.x_mm, grain.y_mm])) * px_per_mm * 2 - 0.5
        cv2.fillPoly(fine, [np.round(corners * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    cover = cv2.resize(fine, (shape[1], shape[0]), interpolation=cv2.INTER_AREA)
    return np.asarray(cover / 255, np.float32), len(grains)


def _piece(
    shape: tuple[int, int], window: Window, px_per_mm: float, chance: np.random.Generator
) -> NDArray[np.float32]:
    left, top, width, height = window.piece_mm
    x = (np.arange(shape[1], dtype=np.float32) + 0.5) / px_per_mm
    y = (np.arange(shape[0], dtype=np.float32) + 0.5) / px_per_mm
    worn = [0.05 * billows((1, n), 9.0 * px_per_mm, chance)[0] for n in (*shape, *shape)]
    sides = (
        x[None] - left - worn[0][:, None],
        left + width - x[None] + worn[2][:, None],
        y[:, None] - top - worn[1][None],
        top + height - y[:, None] + worn[3][None],
    )
    least = np.minimum(np.minimum(sides[0], sides[1]), np.minimum(sides[2], sides[3]))
    return np.asarray(np.clip(least * px_per_mm + 0.5, 0, 1), np.float32)
