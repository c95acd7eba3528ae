"""The end view of a pleat pack on its centre tube, with the end cap taken off."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.texture import Plane, billows, clouds


@dataclass(frozen=True, slots=True)
class Pack:
    """A pleat pack seen along its axis: where its middle lies, how many pleats, how deep."""

    x_mm: float
    y_mm: float
    pleats: int
    outer_mm: float
    depth_mm: float
    paper_mm: float
    height_mm: float = 60.0
    uneven: float = 0.13


_LAYERS = 44
_SINKING = 0.14
"""How much smaller the far end of the pack is seen than the near one."""
_ASIDE_MM = np.array([4.5, 6.0])
"""Where the far end is seen beside the near one: the camera looks a little from one side [mm]."""


def draw_pack(
    scene: NDArray[np.float32], pack: Pack, px_per_mm: float, chance: np.random.Generator
) -> None:
    """Draw a pack into a scene of linear light, from its far end to the near one."""
    outline = folded_line(pack, chance)
    middle = np.array([pack.x_mm, pack.y_mm]) * px_per_mm
    shape = (scene.shape[0], scene.shape[1])
    _shade_under(scene, pack, px_per_mm)
    away, bearing = _polar(shape, middle)
    inner = pack.outer_mm - pack.depth_mm
    # Light reaches less far down between the pleats the nearer to the tube.
    open_sky = np.clip((away / px_per_mm - inner) / pack.depth_mm, 0, 1)
    lamp = 0.72 + 0.28 * np.cos(bearing + 2.3)
    paper = 0.12 * np.exp(0.28 * billows(shape, 6 * px_per_mm, chance))
    fuzz = clouds(shape, max(1.5, 0.15 * px_per_mm), chance)
    tint = np.array([1.0, 0.76, 0.50], np.float32)
    _far_cap(scene, pack, middle + _ASIDE_MM * px_per_mm, px_per_mm)
    for layer in range(_LAYERS):
        depth = 1 - layer / _LAYERS
        far = outline * (1 - _SINKING * depth) + _ASIDE_MM * depth
        wall = _band(shape, far, pack, middle, px_per_mm)
        dim = (0.12 + 0.80 * np.exp(-2.2 * depth)) * (0.15 + 0.85 * open_sky**1.2)
        tone = paper * dim * lamp * (1 + 0.06 * fuzz)
        scene += wall[..., None] * (tone[..., None] * tint - scene)
    inside = _disc(shape, middle, (inner - pack.paper_mm) * px_per_mm)
    _inside_of_tube(scene, inside, pack, middle, px_per_mm)
    top = _band(shape, outline, pack, middle, px_per_mm)
    down, right = np.gradient(cv2.GaussianBlur(top, (0, 0), 0.15 * px_per_mm))
    relief = np.clip(1 - 2.6 * (0.6 * right + 0.8 * down), 0.45, 1.8)
    crust = np.clip(0.5 + 0.5 * billows(shape, 1.3 * px_per_mm, chance), 0, 1)
    edge = (0.10 + 0.14 * crust) * (1 + 0.16 * fuzz) * relief
    cream = np.array([1.0, 0.82, 0.56], np.float32)
    scene += top[..., None] * (edge[..., None] * cream - scene)
    _clip(scene, outline, middle, px_per_mm)


def _polar(shape: tuple[int, int], middle: NDArray[np.float64]) -> tuple[Plane, Plane]:
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    across, along = x + 0.5 - np.float32(middle[0]), y + 0.5 - np.float32(middle[1])
    away, bearing = np.hypot(across, along), np.arctan2(along, across)
    return np.asarray(away, np.float32), np.asarray(bearing, np.float32)


def _far_cap(
    scene: NDArray[np.float32], pack: Pack, middle: NDArray[np.float64], px_per_mm: float
) -> None:
    """Draw the cap at the far end: seen between the pleats, nearly dark, its rim just outside."""
    radius = (pack.outer_mm + 1.2) * (1 - _SINKING) * px_per_mm
    cover = _disc((scene.shape[0], scene.shape[1]), middle, radius)
    scene += cover[..., None] * (np.array([0.020, 0.018, 0.015], np.float32) - scene)


def _inside_of_tube(
    scene: NDArray[np.float32],
    inside: Plane,
    pack: Pack,
    middle: NDArray[np.float64],
    px_per_mm: float,
) -> None:
    """Draw the steel tube that holds the pleats: rim, punched wall, floor."""
    shape = (scene.shape[0], scene.shape[1])
    away, bearing = _polar(shape, middle)
    outer = (pack.outer_mm - pack.depth_mm - pack.paper_mm) * px_per_mm
    wall = 0.7 * px_per_mm
    # How far down the wall is seen depends on the side that the camera looks from.
    reach = outer * _SINKING - np.hypot(*_ASIDE_MM) * px_per_mm * np.cos(
        bearing - np.arctan2(_ASIDE_MM[1], _ASIDE_MM[0])
    )
    sunk = np.clip((outer - wall - away) / np.maximum(reach, 0.02 * outer), 0, 1)
    gleam = 0.20 + 0.30 * np.maximum(np.cos(bearing - 0.85), 0) ** 5
    gleam += 0.08 * np.maximum(np.cos(bearing + 2.4), 0) ** 9
    rows = np.abs(np.mod(sunk * 6, 1) - 0.5) < 0.26
    around = np.abs(np.mod(bearing / (2 * np.pi) * 22 + 0.5 * np.floor(sunk * 6), 1) - 0.5) < 0.24
    holes = cv2.GaussianBlur((rows & around).astype(np.float32), (0, 0), 0.10 * px_per_mm)
    tone = 0.42 * gleam * np.exp(-2.4 * sunk) * (1 - 0.85 * holes)
    tone = np.where(sunk >= 1, 0.016 + 0.012 * np.cos(bearing - 0.8) * away / outer, tone)
    rim = np.clip(away - (outer - wall) + 0.5, 0, 1)
    tone = tone + rim * (0.55 * (0.35 + 0.65 * np.maximum(np.cos(bearing + 2.3), 0) ** 2) - tone)
    steel = np.array([1.0, 0.99, 0.97], np.float32)
    scene += inside[..., None] * (tone.astype(np.float32)[..., None] * steel - scene)


def folded_line(pack: Pack, chance: np.random.Generator) -> NDArray[np.float64]:
    """Return the middle line of the folded medium about the pack's middle [mm]."""
    steps = 40
    turns = 2 * pack.pleats
    knots = np.arange(turns) + 0.0
    knots[0::2] += chance.normal(0, pack.uneven, pack.pleats)
    knots[1::2] += chance.normal(0, 0.6 * pack.uneven, pack.pleats)
    reach = np.where(np.arange(turns) % 2 == 0, 1.0, -1.0) + chance.normal(0, 0.035, turns)
    t = np.arange(turns * steps) / steps
    whole = np.floor(t).astype(int)
    after = (whole + 1) % turns
    share = t - whole
    angle = knots[whole] + share * (
        np.where(after == 0, knots[0] + turns, knots[after]) - knots[whole]
    )
    # A rounded zigzag: straight flanks, tips as tight as the paper allows.
    bend = np.arcsin(0.97 * np.cos(np.pi * share)) / np.arcsin(0.97)
    high, low = reach[whole], reach[after]
    swing = (high + low) / 2 + bend * (high - low) / 2
    radius = pack.outer_mm - pack.paper_mm / 2 - pack.depth_mm / 2 * (1 - swing)
    lean = 0.10 * np.sin(3 * angle * np.pi / pack.pleats + float(chance.uniform(0, 6)))
    angle = (angle + lean * swing) * np.pi / pack.pleats
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _band(
    shape: tuple[int, int],
    line_mm: NDArray[np.float64],
    pack: Pack,
    middle: NDArray[np.float64],
    px_per_mm: float,
) -> Plane:
    canvas = np.zeros(shape, np.uint8)
    points = np.round((line_mm * px_per_mm + middle - 0.5) * 16).astype(np.int32)
    thick = max(round(pack.paper_mm * px_per_mm), 1)
    cv2.polylines(canvas, [points], True, 255, thick, cv2.LINE_AA, 4)
    return np.asarray(canvas / 255, np.float32)


def _disc(shape: tuple[int, int], middle: NDArray[np.float64], radius_px: float) -> Plane:
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    away = np.hypot(x + 0.5 - middle[0], y + 0.5 - middle[1])
    return np.asarray(np.clip(radius_px - away + 0.5, 0, 1), np.float32)


def _shade_under(scene: NDArray[np.float32], pack: Pack, px_per_mm: float) -> None:
    shift = np.array([0.10, 0.12]) * pack.height_mm
    middle = (np.array([pack.x_mm, pack.y_mm]) + shift) * px_per_mm
    dark = _disc(scene.shape[:2], middle, pack.outer_mm * px_per_mm)
    small = cv2.resize(dark, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), 5.0 * px_per_mm / 8)
    soft = cv2.resize(small, (scene.shape[1], scene.shape[0]), interpolation=cv2.INTER_LINEAR)
    scene *= (1 - 0.62 * soft)[..., None]


def _clip(
    scene: NDArray[np.float32],
    outline: NDArray[np.float64],
    middle: NDArray[np.float64],
    px_per_mm: float,
) -> None:
    """Draw the metal clip that closes the ring, folded over one outward tip."""
    start = 40 * 2 - 15
    clip = outline[start : start + 31]
    canvas = np.zeros(scene.shape[:2], np.uint8)
    points = np.round((clip * px_per_mm + middle - 0.5) * 16).astype(np.int32)
    cv2.polylines(canvas, [points], False, 255, max(round(1.0 * px_per_mm), 1), cv2.LINE_AA, 4)
    cover = canvas.astype(np.float32) / 255
    down, right = np.gradient(cv2.GaussianBlur(cover, (0, 0), 0.2 * px_per_mm))
    tone = np.clip(0.30 - 1.6 * (0.6 * right + 0.8 * down), 0.10, 0.9)
    scene += cover[..., None] * (tone[..., None] * np.array([1, 0.99, 0.97], np.float32) - scene)
