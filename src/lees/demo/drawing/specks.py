"""What lies on a medium: bright flakes of metal, dark carbon, fibres; each with its true size."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.texture import clouds

Outline = NDArray[np.float64]
"""Corners of a polygon, one row each [mm]."""


@dataclass(frozen=True, slots=True)
class Speck:
    """One particle as drawn: where its middle lies in the scene, and its outline about it."""

    kind: str
    x_mm: float
    y_mm: float
    outline: Outline
    seed: int

    @property
    def area_mm2(self) -> float:
        """The area within the outline (the surveyor's formula)."""
        x, y = self.outline.T
        return float(abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2)

    @property
    def equivalent_diameter_mm(self) -> float:
        """The diameter of the circle of the same area."""
        return float(np.sqrt(4 * self.area_mm2 / np.pi))

    @property
    def longest_mm(self) -> float:
        """The longest distance between two corners."""
        apart = self.outline[:, None] - self.outline[None]
        return float(np.hypot(apart[..., 0], apart[..., 1]).max())


@dataclass(frozen=True, slots=True)
class Sowing:
    """How many specks of one kind lie there, and how large: a log-normal, cut at both ends."""

    kind: str
    count: int
    median_mm: float
    spread: float
    smallest_mm: float
    largest_mm: float


def sown(
    sowings: tuple[Sowing, ...],
    field_mm: tuple[float, float, float, float],
    chance: np.random.Generator,
) -> list[Speck]:
    """Return specks that lie within a field (left, top, width, height) and touch no other."""
    specks: list[Speck] = []
    left, top, width, height = field_mm
    for sowing in sowings:
        for _ in range(sowing.count):
            size = 0.0
            while not sowing.smallest_mm <= size <= sowing.largest_mm:
                size = sowing.median_mm * float(np.exp(sowing.spread * chance.standard_normal()))
            outline = _outline(sowing.kind, size, chance)
            reach = float(np.abs(outline).max())
            while True:
                x = left + reach + float(chance.random()) * (width - 2 * reach)
                y = top + reach + float(chance.random()) * (height - 2 * reach)
                if all(
                    np.hypot(x - other.x_mm, y - other.y_mm)
                    > reach + float(np.abs(other.outline).max()) + 0.4
                    for other in specks
                ):
                    break
            specks.append(Speck(sowing.kind, x, y, outline, int(chance.integers(2**31))))
    return specks


def _outline(kind: str, size_mm: float, chance: np.random.Generator) -> Outline:
    if kind == "fibre":
        return _fibre(size_mm, chance)
    corners = int(chance.integers(9, 19))
    rough = 0.20 if kind == "bright" else 0.24
    angle = np.sort((np.arange(corners) + chance.uniform(-0.3, 0.3, corners)) / corners) * 2 * np.pi
    radius = np.exp(chance.normal(0, rough, corners))
    long = float(chance.uniform(1.0, 2.4 if kind == "bright" else 1.5))
    shape = np.stack([radius * np.cos(angle) * long, radius * np.sin(angle)], axis=1)
    turn = float(chance.uniform(0, np.pi))
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    shape = shape @ spin.T
    x, y = shape.T
    area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    shape *= size_mm / np.sqrt(4 * area / np.pi)
    return np.asarray(shape - shape.mean(axis=0), np.float64)


def _fibre(length_mm: float, chance: np.random.Generator) -> Outline:
    """Return the outline of a bent fibre of the given length, some 0.05 mm thick."""
    steps = 14
    angle = float(chance.uniform(0, 2 * np.pi)) + np.cumsum(chance.normal(0, 0.16, steps))
    along = np.cumsum(np.stack([np.cos(angle), np.sin(angle)], axis=1), axis=0) * length_mm / steps
    along -= along.mean(axis=0)
    half = float(chance.uniform(0.022, 0.034))
    normal = np.stack([-np.sin(angle), np.cos(angle)], axis=1) * half
    return np.asarray(np.concatenate([along + normal, (along - normal)[::-1]]), np.float64)


def lay(scene: NDArray[np.float32], specks: list[Speck], px_per_mm: float) -> None:
    """Draw specks into a scene of linear light, each with the small shadow that it throws."""
    for speck in specks:
        _lay(scene, speck, px_per_mm)


DUST_MM = 0.07
"""What is smaller than this lies everywhere and is not listed one by one."""


def dust(
    scene: NDArray[np.float32],
    field_mm: tuple[float, float, float, float],
    px_per_mm: float,
    chance: np.random.Generator,
) -> None:
    """Strew soot and a little glitter, all of it finer than what is listed, over a field."""
    left, top, width, height = (round(side * px_per_mm) for side in field_mm)
    part = scene[top : top + height, left : left + width]
    shape = (part.shape[0], part.shape[1])
    grain_px = 0.016 * px_per_mm
    for per_mm2, light in ((5.0, 0.012), (0.12, 0.5)):
        count = int(width * height / px_per_mm**2 * per_mm2)
        grains = np.zeros(shape, np.float32)
        rows, columns = chance.integers(0, shape[0], count), chance.integers(0, shape[1], count)
        np.maximum.at(grains, (rows, columns), chance.random(count, dtype=np.float32))
        spread = max(grain_px, 0.5)
        cover = cv2.GaussianBlur(grains, (0, 0), spread) * (2 * np.pi * spread**2)
        cover = np.minimum(cover * min(1.0, grain_px**2 * 7), 0.8)
        part += cover[..., None] * (light - part)


_FINE = 8


def _lay(scene: NDArray[np.float32], speck: Speck, px_per_mm: float) -> None:
    chance = np.random.default_rng(speck.seed)
    shadow_px = max(1.0, (0.02 + 0.08 * min(speck.equivalent_diameter_mm, 1.0)) * px_per_mm)
    reach = int(np.ceil(np.abs(speck.outline).max() * px_per_mm + 3 * shadow_px + 3))
    column, row = int(speck.x_mm * px_per_mm), int(speck.y_mm * px_per_mm)
    side = 2 * reach + 1
    offset = np.array([speck.x_mm, speck.y_mm]) * px_per_mm - (column - reach, row - reach)
    corners = (speck.outline * px_per_mm + offset) * _FINE - 0.5
    fine = np.zeros((side * _FINE, side * _FINE), np.uint8)
    cv2.fillPoly(fine, [np.round(corners * 16).astype(np.int32)], 255, cv2.LINE_8, 4)
    cover = cv2.resize(fine, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    patch = scene[row - reach : row + reach + 1, column - reach : column + reach + 1]
    if patch.shape[:2] != cover.shape:
        return
    shift = np.array([[1, 0, 0.7 * shadow_px], [0, 1, 0.7 * shadow_px]], np.float32)
    shadow = cv2.warpAffine(cv2.GaussianBlur(cover, (0, 0), 0.6 * shadow_px), shift, (side, side))
    depth = 0.6 if speck.kind != "fibre" else 0.35
    patch *= (1 - depth * shadow * (1 - cover))[..., None]
    patch += cover[..., None] * (_surface(speck.kind, cover.shape, chance) - patch)


def _surface(kind: str, shape: tuple[int, ...], chance: np.random.Generator) -> NDArray[np.float32]:
    rows, columns = shape
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    lean = chance.normal(0, 1, 2)
    slope = (x * lean[0] + y * lean[1]).astype(np.float32)
    rough = chance.standard_normal((rows, columns)).astype(np.float32)
    if kind == "bright":
        turn = float(chance.uniform(0, np.pi))
        lines = np.sin((x * np.cos(turn) + y * np.sin(turn)) * chance.uniform(14, 40))
        crease = x * np.sin(turn + 0.6) - y * np.cos(turn + 0.6) + float(chance.normal(0, 0.25))
        facet = np.tanh(crease * 9) * float(chance.uniform(0.0, 0.32))
        pits = clouds((rows, columns), max(1.5, 0.12 * rows), chance)
        tone = float(chance.uniform(0.30, 0.80)) + 0.22 * slope + facet
        tone = tone * (1 + 0.09 * lines + 0.10 * pits + 0.06 * rough)
        colour = (1.0, 0.84, 0.54) if chance.random() < 0.12 else (1.0, 0.99, 0.96)
        light = np.clip(tone, 0.20, 1.30)
    elif kind == "dark":
        colour = (1.0, 0.97, 0.93)
        light = np.clip(0.012 + 0.006 * slope + 0.006 * rough, 0.004, 0.05)
    else:
        colour = (0.98, 0.98, 1.0)
        light = np.clip(0.42 + 0.05 * slope + 0.03 * rough, 0.2, 0.6)
    return np.asarray(light[..., None] * np.array(colour, np.float32), np.float32)
