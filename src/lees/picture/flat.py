"""A plane seen square on: where each of its points lies in a tilted picture, and back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.plane import Plane
from lees.quantity.arrays import Numbers


@dataclass(frozen=True, slots=True)
class FlatView:
    """A square-on view of a part of the plane: `origin_mm` under its first pixel, turned."""

    origin_mm: tuple[float, float]
    px_per_mm: float
    degrees: float
    shape: tuple[int, int]

    def maps(self, plane: Plane, scale: float) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return where each pixel of the view lies in a picture made smaller by `scale`."""
        rows, columns = self.shape
        at = np.column_stack([a.ravel() for a in _grid(rows, columns)])
        seen = (plane.to_px(self.to_plane(at)) + 0.5) * scale - 0.5
        return _drawn_out(seen, rows, columns)

    def to_plane(self, places: Numbers) -> Numbers:
        """Return places of the view, column and row, in the plane [mm]."""
        turn = np.radians(self.degrees)
        spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        return np.asarray((places / self.px_per_mm) @ spin + self.origin_mm)

    def maps_back(
        self, plane: Plane, scale: float, shape: tuple[int, int]
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return where each pixel of the smaller picture lies in the view."""
        rows, columns = shape
        at = np.column_stack([a.ravel() for a in _grid(rows, columns)])
        points = plane.to_mm((at + 0.5) / scale - 0.5) - self.origin_mm
        turn = np.radians(self.degrees)
        spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        return _drawn_out(points @ spin * self.px_per_mm, rows, columns)


def flat_view(
    plane: Plane,
    outline_px: NDArray[np.float64],
    *,
    px_per_mm: float,
    degrees: float = 0.0,
    margin_mm: float = 0.0,
) -> FlatView:
    """Return the square-on view that holds an outline.

    Parameters
    ----------
    plane
        The plane of the picture.
    outline_px : ndarray of shape (N, 2)
        Points of the full picture that the view must hold [px].
    px_per_mm : float
        The view's scale [px/mm].
    degrees : float
        How far the view is turned clockwise against the plane's x [°].
    margin_mm : float
        How far the view reaches beyond the outline [mm].

    Returns
    -------
    FlatView
        The view.
    """
    points = plane.to_mm(outline_px)
    turn = np.radians(degrees)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    turned = points @ spin
    low, high = turned.min(axis=0) - margin_mm, turned.max(axis=0) + margin_mm
    size = np.ceil((high - low) * px_per_mm).astype(int) + 1
    size = np.clip(size, 8, 12_000)
    origin = low @ spin.T
    return FlatView(
        (float(origin[0]), float(origin[1])), px_per_mm, degrees, (int(size[1]), int(size[0]))
    )


def _grid(rows: int, columns: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    across = np.linspace(0, columns - 1, min(columns, 48))
    down = np.linspace(0, rows - 1, min(rows, 48))
    x, y = np.meshgrid(across, down)
    return x, y


def _drawn_out(
    points: NDArray[np.float64], rows: int, columns: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return a coarse grid of places drawn out to every pixel."""
    import cv2

    height, width = min(rows, 48), min(columns, 48)
    x = np.linspace(0, width - 1, columns).astype(np.float32)
    y = np.linspace(0, height - 1, rows).astype(np.float32)
    where = np.meshgrid(x, y)
    coarse = points.reshape(height, width, 2).astype(np.float32)
    drawn = cv2.remap(coarse, *where, cv2.INTER_LINEAR)
    return np.ascontiguousarray(drawn[..., 0]), np.ascontiguousarray(drawn[..., 1])
