"""The bench under the pictures: a grey enamel tray with scratches and smears of oil."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.texture import billows, clouds


def tray(
    shape: tuple[int, int], px_per_mm: float, chance: np.random.Generator
) -> NDArray[np.float32]:
    """Return an empty tray in linear light."""
    grain = clouds(shape, max(1.5, 0.10 * px_per_mm), chance)
    worn = billows(shape, 40 * px_per_mm, chance)
    base = 0.22 * np.exp(0.06 * worn + 0.03 * grain)
    scratches = np.zeros(shape, np.uint8)
    for _ in range(240):
        start = chance.random(2) * (shape[1], shape[0])
        angle = float(chance.normal(0.2, 0.4))
        length = float(chance.gamma(2, 9)) * px_per_mm
        end = start + length * np.array([np.cos(angle), np.sin(angle)])
        line = np.round(np.stack([start, end]) * 16).astype(np.int32)
        cv2.polylines(scratches, [line], False, int(chance.integers(30, 220)), 1, cv2.LINE_AA, 4)
    fine = cv2.GaussianBlur(scratches, (0, 0), 0.7).astype(np.float32) / 255
    base *= 1 + 0.35 * fine
    light = base[..., None] * np.array([0.97, 1.0, 1.02], np.float32)
    smear = np.clip((billows(shape, 45 * px_per_mm, chance) - 1.5) / 0.25, 0, 1)
    thick = smear * (0.25 + 0.12 * billows(shape, 4 * px_per_mm, chance))
    thick += _drops(shape, px_per_mm, chance)
    soaks = np.array([0.65, 1.05, 1.75], np.float32)
    light *= np.exp(-np.maximum(thick, 0)[..., None] * soaks)
    edge = _rims(thick)
    light += (0.25 * edge)[..., None]
    return np.asarray(light, np.float32)


def _drops(
    shape: tuple[int, int], px_per_mm: float, chance: np.random.Generator
) -> NDArray[np.float32]:
    """Return the thickness of drops of oil: round, of many sizes, a few of them run together."""
    thick = np.zeros(shape, np.float32)
    count = min(int(shape[0] * shape[1] / px_per_mm**2 / 500), 60)
    for _ in range(count):
        radius = float(np.exp(chance.normal(-0.5, 0.8))) * px_per_mm
        x, y = (chance.random(2) * (shape[1], shape[0])).tolist()
        reach = int(2 * radius) + 2
        left, top = int(x) - reach, int(y) - reach
        if left < 0 or top < 0 or left + 2 * reach >= shape[1] or top + 2 * reach >= shape[0]:
            continue
        v, u = np.mgrid[0 : 2 * reach, 0 : 2 * reach].astype(np.float32) - reach
        wobble = 1 + 0.06 * np.sin(3 * np.arctan2(v, u) + float(chance.uniform(0, 6)))
        dome = np.sqrt(np.maximum(1 - (np.hypot(u, v) / radius / wobble) ** 2, 0))
        part = thick[top : top + 2 * reach, left : left + 2 * reach]
        np.maximum(part, 1.1 * dome, out=part)
    return thick


def _rims(thick: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return where a drop's flank towards the light glints."""
    soft = cv2.GaussianBlur(thick.astype(np.float32), (0, 0), 1.2)
    down, right = np.gradient(soft)
    facing = np.maximum(-(-0.6 * right - 0.8 * down), 0)
    return np.asarray(np.clip((facing - 0.10) * 4, 0, 1), np.float32)
