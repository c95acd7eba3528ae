"""A pleated medium, wet with used oil, pulled out on the bench: folds, fibres, stains, glue."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.texture import Plane, billows, clouds, felt


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip of medium on the bench, along x: where it lies, how it is folded, how dark it is.

    `pitch_mm` is from one fold to the next, `crest_mm` how far the folds still stand up.
    """

    left_mm: float
    top_mm: float
    length_mm: float
    width_mm: float
    pitch_mm: float
    crest_mm: float = 0.8
    tone: float = 1.0
    wet: float = 1.0
    glue_mm: float = 2.6


def draw_strip(
    scene: NDArray[np.float32], strip: Strip, px_per_mm: float, chance: np.random.Generator
) -> None:
    """Draw a strip into a scene of linear light, with the shadow that it throws."""
    cover = _cover(scene.shape[:2], strip, px_per_mm, chance)
    rows, columns = _box(scene.shape, strip, px_per_mm)
    inside = cover[rows, columns]
    soft = max(1.5, 0.9 * px_per_mm)
    shift = np.array([[1, 0, 0.8 * soft], [0, 1, 0.9 * soft]], np.float32)
    shadow = cv2.warpAffine(
        cv2.GaussianBlur(cover, (0, 0), soft), shift, (scene.shape[1], scene.shape[0])
    )
    scene *= (1 - 0.6 * shadow * (1 - cover))[..., None]
    part = scene[rows, columns]
    corner_mm = (columns.start / px_per_mm, rows.start / px_per_mm)
    light = _light(inside.shape, _moved(strip, corner_mm), px_per_mm, chance)
    part += inside[..., None] * (light - part)


def _moved(strip: Strip, corner_mm: tuple[float, float]) -> Strip:
    left, top = strip.left_mm - corner_mm[0], strip.top_mm - corner_mm[1]
    return replace(strip, left_mm=left, top_mm=top)


def _box(shape: tuple[int, ...], strip: Strip, px_per_mm: float) -> tuple[slice, slice]:
    def span(start: float, length: float, end: int) -> slice:
        first = max(int((start - 1.5) * px_per_mm), 0)
        return slice(first, min(int((start + length + 1.5) * px_per_mm), end))

    return (
        span(strip.top_mm, strip.width_mm, shape[0]),
        span(strip.left_mm, strip.length_mm, shape[1]),
    )


def _cover(
    shape: tuple[int, int], strip: Strip, px_per_mm: float, chance: np.random.Generator
) -> Plane:
    """Return the share of each pixel that the strip covers; its edges are a little worn."""
    x = (np.arange(shape[1], dtype=np.float32) + 0.5) / px_per_mm
    y = (np.arange(shape[0], dtype=np.float32) + 0.5) / px_per_mm
    ragged = [0.10 * clouds((1, shape[1]), max(2.0, 1.2 * px_per_mm), chance)[0] for _ in range(2)]
    worn = [0.10 * clouds((1, shape[0]), max(2.0, 0.8 * px_per_mm), chance)[0] for _ in range(2)]
    below = (y[:, None] - (strip.top_mm + ragged[0])[None]) * px_per_mm + 0.5
    above = ((strip.top_mm + strip.width_mm + ragged[1])[None] - y[:, None]) * px_per_mm + 0.5
    after = (x[None] - (strip.left_mm + worn[0])[:, None]) * px_per_mm + 0.5
    before = ((strip.left_mm + strip.length_mm + worn[1])[:, None] - x[None]) * px_per_mm + 0.5
    least = np.minimum(np.minimum(below, above), np.minimum(after, before))
    return np.asarray(np.clip(least, 0, 1), np.float32)


def _light(
    shape: tuple[int, ...], strip: Strip, px_per_mm: float, chance: np.random.Generator
) -> NDArray[np.float32]:
    """Return the light that the strip sends to the camera, fold by fold and fibre by fibre."""
    size = (shape[0], shape[1])
    phase = _phase(size, strip, px_per_mm, chance)
    wave = np.arcsin(0.985 * np.cos(np.pi * phase)) / np.arcsin(0.985)
    wave = cv2.GaussianBlur(wave.astype(np.float32), (0, 0), max(0.8, 0.18 * px_per_mm))
    mat = felt(size, px_per_mm, chance)
    sag = clouds(size, 11 * px_per_mm, chance)
    dent = clouds(size, 3.0 * px_per_mm, chance)
    low = (phase - 1) / 2
    valley = np.exp(-(((low - np.round(low)) * 2 * strip.pitch_mm / 1.7) ** 2))
    peak = np.exp(-(((phase / 2 - np.round(phase / 2)) * 2 * strip.pitch_mm / 0.22) ** 2))
    flow = billows(size, 8 * px_per_mm, chance) + 1.1 * valley - 0.3
    pool = np.clip((flow - 0.9) / 0.5, 0, 1)
    damp = np.clip(0.55 + 0.30 * flow, 0.1, 1.0)
    height = strip.crest_mm * wave + 0.22 * sag + 0.02 * dent
    bump = height + np.float32(0.017) * mat * (1 - 0.8 * pool)
    smooth = cv2.GaussianBlur(mat, (0, 0), max(0.8, 0.05 * px_per_mm))
    film = height + np.float32(0.010) * smooth * (1 - 0.85 * pool)
    step = 1 / px_per_mm
    diffuse = _lambert(bump, step)
    stain = billows(size, 14 * px_per_mm, chance)
    soot = clouds(size, max(1.5, 0.35 * px_per_mm), chance)
    albedo = (
        0.085
        * strip.tone
        * np.exp(
            0.22 * stain
            - 0.45 * damp
            - 0.35 * pool
            + 0.60 * (mat - 0.45) * (1 - 0.6 * pool)
            - 0.75 * valley
            + 0.35 * peak
            + 0.10 * soot
        )
    )
    colour = np.stack(
        [
            albedo * (1.0 + 0.04 * stain),
            albedo * 0.76,
            albedo * (0.50 - 0.04 * stain),
        ],
        axis=-1,
    )
    glue = _glue(size, strip, px_per_mm, chance)
    paste = 0.17 * np.exp(0.15 * clouds(size, max(2.0, 0.6 * px_per_mm), chance) - 0.5 * damp)
    colour += glue[..., None] * (
        paste[..., None] * np.array([0.95, 0.83, 0.60], np.float32) - colour
    )
    lit = colour * (0.34 + 0.80 * diffuse)[..., None]
    gloss = strip.wet * (0.35 + 0.65 * damp + 0.8 * pool) * _shine(film, step)
    lit += gloss[..., None] * np.array([1.0, 0.98, 0.94], np.float32)
    return np.asarray(lit, np.float32)


def _phase(
    shape: tuple[int, int], strip: Strip, px_per_mm: float, chance: np.random.Generator
) -> Plane:
    """Return how many folds lie to the left of each pixel; folds lean and wander a little."""
    folds = int(strip.length_mm / strip.pitch_mm) + 3
    place = np.arange(-1, folds - 1) * strip.pitch_mm
    top = place + chance.normal(0, 0.018 * strip.pitch_mm, folds)
    bottom = place + chance.normal(0, 0.018 * strip.pitch_mm, folds)
    x = (np.arange(shape[1]) + 0.5) / px_per_mm - strip.left_mm
    wander = 0.10 * clouds((1, shape[0]), 9 * px_per_mm, chance)[0]
    phase = np.empty(shape, np.float32)
    for row in range(shape[0]):
        share = row / shape[0]
        phase[row] = np.interp(
            x + wander[row], (1 - share) * top + share * bottom, np.arange(-1, folds - 1)
        )
    return phase


def _glue(
    shape: tuple[int, int], strip: Strip, px_per_mm: float, chance: np.random.Generator
) -> Plane:
    """Return where paste of the end caps still sticks along both long edges."""
    y = (np.arange(shape[0], dtype=np.float32) + 0.5) / px_per_mm - strip.top_mm
    edge = np.minimum(y, strip.width_mm - y)[:, None]
    wander = 0.45 * billows((shape[0], shape[1]), 3.5 * px_per_mm, chance)
    return np.asarray(np.clip((strip.glue_mm + wander - edge) / 0.25, 0, 1) * 0.8, np.float32)


_TO_LIGHT = np.array([-0.52, -0.40, 0.755])


def _slopes(height: Plane, step_mm: float) -> tuple[Plane, Plane, Plane]:
    down, right = np.gradient(height, step_mm)
    length = np.sqrt(1 + down**2 + right**2)
    return -right / length, -down / length, 1 / length


def _lambert(height: Plane, step_mm: float) -> Plane:
    x, y, z = _slopes(height, step_mm)
    return np.asarray(
        np.maximum(x * _TO_LIGHT[0] + y * _TO_LIGHT[1] + z * _TO_LIGHT[2], 0), np.float32
    )


_LAMP = np.array([-0.16, -0.07, 1.0])
_WINDOW = np.array([0.05, -0.10, 1.0])
"""Half-way vectors of two lights whose mirror images are seen in the film of oil."""


def _shine(height: Plane, step_mm: float) -> Plane:
    """Return the mirror-like part: lights seen in a film of oil (Blinn's half-way vector)."""
    x, y, z = _slopes(height, step_mm)
    total = np.zeros_like(height)
    for half, broad, sharp in ((_LAMP, 0.024, 0.20), (_WINDOW, 0.014, 0.05)):
        unit = half / np.linalg.norm(half)
        towards = np.maximum(x * unit[0] + y * unit[1] + z * unit[2], 0)
        total += broad * towards**60 + sharp * towards**700
    return np.asarray(total, np.float32)
