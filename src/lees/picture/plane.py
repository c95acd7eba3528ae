"""How far apart two points of a picture are in the plane of the scale card, and how well known.

A pinhole camera sees a plane through a homography (Hartley and Zisserman, Multiple View Geometry,
2nd ed. 2004, sections 2.3 and 4.1), bent by the first radial term of the lens (section 7.4). Both
are fitted to the card's corners; the fit's covariance carries over to every length taken later
(JCGM 102:2011, 6.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lees.errors import OutOfRange
from lees.picture.card import CHECK_LINE_MM, MARKER_MM, FoundCard
from lees.quantity.arrays import Numbers

LENS_PRIOR = 0.012
"""How far a phone's lens moves the corner of the frame, as a share: common practice, no source."""
SPREAD_PRIOR_MM = 0.08
"""How far ink and light move the sides of a printed marker: common practice, no source."""
PRINT_RELATIVE = 0.1 / math.sqrt(3) / CHECK_LINE_MM
"""The check line was held to 50 mm within 0.1 mm, evenly spread (JCGM 100, 4.3.7)."""
_FINEST_CORNER_PX = 0.02


@dataclass(frozen=True, slots=True)
class Plane:
    """The way from a picture's pixels to millimetres in the plane.

    `parameters` are the eight of the homography from centred pixels, in half diagonals, to
    millimetres, then the lens's first radial term; `covariance` is theirs. `relative` is the
    standard uncertainty of the scale as a whole, from the print or the entry.
    """

    parameters: Numbers
    covariance: Numbers
    shape: tuple[int, int]
    relative: float
    source: str

    @property
    def centre(self) -> Numbers:
        """The picture's middle, taken as the lens's axis [px]."""
        return np.array([(self.shape[1] - 1) / 2, (self.shape[0] - 1) / 2])

    @property
    def half_diagonal(self) -> float:
        """Half the picture's diagonal [px]."""
        return math.hypot(*self.shape) / 2

    def to_mm(self, points_px: Numbers) -> Numbers:
        """Return points of the picture in the plane, one row each [mm]."""
        return _to_plane(self.parameters, (points_px - self.centre) / self.half_diagonal)

    def to_px(self, points_mm: Numbers) -> Numbers:
        """Return points of the plane in the picture, one row each [px]."""
        matrix = np.append(self.parameters[:8], 1.0).reshape(3, 3)
        ideal = np.column_stack([points_mm, np.ones(len(points_mm))]) @ np.linalg.inv(matrix).T
        ideal = ideal[:, :2] / ideal[:, 2:]
        bent = ideal
        for _ in range(12):
            bent = ideal / (1 + self.parameters[8] * (bent**2).sum(axis=1, keepdims=True))
        return np.asarray(bent * self.half_diagonal + self.centre)

    def jacobian(self, points_px: Numbers) -> Numbers:
        """Return the change of millimetres with pixels at points, of shape (N, 2, 2) [mm/px]."""
        return _jacobian(self.parameters, points_px, self.centre, self.half_diagonal)

    def mm_per_px(self, points_px: Numbers) -> Numbers:
        """Return the scale at points: the square root of a pixel's area in the plane [mm/px]."""
        return np.asarray(np.sqrt(np.abs(np.linalg.det(self.jacobian(points_px)))))

    def relative_uncertainty(self, points_px: Numbers) -> Numbers:
        """Return the standard uncertainty of the scale at points, as a share of it [1]."""
        sigma = np.sqrt(np.diag(self.covariance))
        gradient = np.zeros((len(points_px), 9))
        for i in np.flatnonzero(sigma > 0):
            high, low = self.parameters.copy(), self.parameters.copy()
            high[i] += sigma[i] / 2
            low[i] -= sigma[i] / 2
            areas = [
                np.abs(np.linalg.det(_jacobian(p, points_px, self.centre, self.half_diagonal)))
                for p in (high, low)
            ]
            gradient[:, i] = 0.5 * np.log(areas[0] / areas[1]) / sigma[i]
        variance = np.einsum("ni,ij,nj->n", gradient, self.covariance, gradient)
        return np.asarray(np.sqrt(np.maximum(variance, 0) + self.relative**2))

    def length_uncertainty(self, ends_px: Numbers) -> float:
        """Return the standard uncertainty that the scale lends to the length between two points.

        The points are two rows [px]; the answer is in the plane [mm].
        """
        sigma = np.sqrt(np.diag(self.covariance))
        unit = (ends_px - self.centre) / self.half_diagonal
        length = _span(self.parameters, unit)
        gradient = np.zeros(9)
        for i in np.flatnonzero(sigma > 0):
            high, low = self.parameters.copy(), self.parameters.copy()
            high[i] += sigma[i] / 2
            low[i] -= sigma[i] / 2
            gradient[i] = (_span(high, unit) - _span(low, unit)) / sigma[i]
        variance = max(float(gradient @ self.covariance @ gradient), 0.0)
        return math.sqrt(variance + (self.relative * length) ** 2)

    def tilt_degrees(self) -> float:
        """Return roughly how far the picture is from square on, from its stretch at the middle."""
        stretch = np.linalg.svd(self.jacobian(self.centre[None])[0], compute_uv=False)
        return math.degrees(math.acos(min(1.0, stretch[1] / stretch[0])))


def plane_of_scale(mm_per_px: float, shape: tuple[int, int], *, relative: float = 0.0) -> Plane:
    """Return the plane of a picture taken square on with a known scale.

    Parameters
    ----------
    mm_per_px : float
        The scale [mm/px].
    shape
        The picture's rows and columns [px].
    relative
        The standard uncertainty of the scale, as a share of it [1].

    Returns
    -------
    Plane
        Its origin is the upright picture's top left.

    Raises
    ------
    OutOfRange
        Where the scale is not a finite number above zero.
    """
    if not (math.isfinite(mm_per_px) and mm_per_px > 0):
        raise OutOfRange("The scale in mm per px", mm_per_px, "above zero")
    half = math.hypot(*shape) / 2
    middle = np.array([(shape[1] - 1) / 2, (shape[0] - 1) / 2]) + 0.5
    parameters = np.array(
        [
            half * mm_per_px, 0, middle[0] * mm_per_px,
            0, half * mm_per_px, middle[1] * mm_per_px,
            0, 0, 0,
        ],
        dtype=np.float64,
    )  # fmt: skip
    return Plane(parameters, np.zeros((9, 9)), shape, relative, f"{mm_per_px:g} mm/px as given")


def plane_of_cards(cards: tuple[FoundCard, ...], shape: tuple[int, int]) -> Plane:
    """Return the plane that the scale cards in a picture define.

    Parameters
    ----------
    cards : tuple of FoundCard
        One card, or two that lie in one plane; the first gives the origin.
    shape
        The picture's rows and columns [px].

    Returns
    -------
    Plane
        Its origin is the outer corner of the first card's first marker, x towards the second
        marker and y towards the fourth.

    Notes
    -----
    Gauss–Newton with Marquardt's damping on the distances between fitted and seen corners. The
    lens term starts from zero with a standard uncertainty of `LENS_PRIOR`: one small card says
    little about it, and the covariance then says so at the frame's edges. Ink that spreads, or
    light that does, moves all sides of the markers outwards alike: one more term, told from the
    scale by the markers' size against their distance.
    """
    seen, true, which, sigma = _observations(cards)
    outward = true - np.repeat(true.reshape(-1, 4, 2).mean(axis=1), 4, axis=0)
    outward = outward / (MARKER_MM / 2)
    centre = np.array([(shape[1] - 1) / 2, (shape[0] - 1) / 2])
    half = math.hypot(*shape) / 2
    unit = (seen - centre) / half

    def residuals(p: Numbers) -> Numbers:
        printed = true + p[9] * outward
        model = printed.copy()
        for i in range(1, len(cards)):
            angle, right, down = p[10 + 3 * (i - 1) : 13 + 3 * (i - 1)]
            turn = np.array(
                [[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]
            )
            model[which == i] = printed[which == i] @ turn.T + (right, down)
        scale = np.sqrt(np.abs(np.linalg.det(_jacobian(p[:9], seen, centre, half))))
        apart = (_to_plane(p[:9], unit) - model) / (scale * sigma)[:, None]
        return np.append(apart.ravel(), (p[8] / LENS_PRIOR, p[9] / SPREAD_PRIOR_MM))

    start = _start(unit, true, which, len(cards))
    best = _least_squares(residuals, start)
    left = residuals(best)
    freedom = max(left.size - best.size, 4)
    spread = max(float(left @ left) / freedom, 1.0)
    slope = _slope(residuals, best)
    covariance = np.asarray(np.linalg.pinv(slope.T @ slope) * spread, np.float64)
    names = " and ".join(f"{card.first}–{card.first + 3}" for card in cards)
    count = sum(len(card.markers) for card in cards)
    source = f"scale card {names}, {count} markers"
    return Plane(best[:9], covariance[:9, :9], shape, PRINT_RELATIVE, source)


def _observations(
    cards: tuple[FoundCard, ...],
) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    seen = np.concatenate([card.corners_px for card in cards])
    true = np.concatenate([card.corners_mm for card in cards])
    which = np.concatenate([np.full(4 * len(card.markers), i) for i, card in enumerate(cards)])
    sigma = np.concatenate(
        [np.full(4, max(m.sigma_px, _FINEST_CORNER_PX)) for card in cards for m in card.markers]
    )
    return seen, true, which, sigma


def _start(unit: Numbers, true: Numbers, which: Numbers, cards: int) -> Numbers:
    """Return a first guess: a view without perspective, fitted to the first card alone."""
    first = which == 0
    design = np.column_stack([unit[first], np.ones(first.sum())])
    affine = np.linalg.lstsq(design, true[first], rcond=None)[0].T
    guess = [*affine[0], *affine[1], 0.0, 0.0, 0.0, 0.0]
    for i in range(1, cards):
        here = np.column_stack([unit[which == i], np.ones((which == i).sum())]) @ affine.T
        there = true[which == i]
        a, b = there - there.mean(axis=0), here - here.mean(axis=0)
        angle = math.atan2(
            float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum())
        )
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        guess += [angle, *(here.mean(axis=0) - there.mean(axis=0) @ turn.T)]
    return np.array(guess)


def _least_squares(residuals: object, start: Numbers) -> Numbers:
    assert callable(residuals)
    at, damping = start, 1e-3
    left = residuals(at)
    for _ in range(80):
        slope = _slope(residuals, at)
        normal, pull = slope.T @ slope, slope.T @ left
        step = np.linalg.lstsq(normal + damping * np.diag(np.diag(normal)), -pull, rcond=None)[0]
        trial = residuals(at + step)
        if np.isfinite(trial).all() and trial @ trial < left @ left:
            small = left @ left - trial @ trial < 1e-9 * (left @ left + 1e-12)
            at, left, damping = at + step, trial, damping / 5
            if small:
                break
        else:
            damping *= 8
            if damping > 1e9:
                break
    return at


def _slope(residuals: object, at: Numbers) -> Numbers:
    assert callable(residuals)
    columns = []
    for i in range(at.size):
        width = 1e-6 * max(1.0, abs(at[i]))
        high, low = at.copy(), at.copy()
        high[i] += width
        low[i] -= width
        columns.append((residuals(high) - residuals(low)) / (2 * width))
    return np.column_stack(columns)


def _to_plane(parameters: Numbers, unit: Numbers) -> Numbers:
    """Map centred pixels, in half diagonals, to the plane."""
    a, b, c, d, e, f, g, h, k = parameters
    straight = unit * (1 + k * (unit**2).sum(axis=1, keepdims=True))
    x, y = straight[:, 0], straight[:, 1]
    depth = g * x + h * y + 1
    return np.column_stack([(a * x + b * y + c) / depth, (d * x + e * y + f) / depth])


def _span(parameters: Numbers, unit: Numbers) -> float:
    ends = _to_plane(parameters, unit)
    return float(np.linalg.norm(ends[1] - ends[0]))


def _jacobian(parameters: Numbers, points_px: Numbers, centre: Numbers, half: float) -> Numbers:
    a, b, _, d, e, _, g, h, k = parameters
    unit = (points_px - centre) / half
    squared = (unit**2).sum(axis=1)
    straight = unit * (1 + k * squared)[:, None]
    lens = (1 + k * squared)[:, None, None] * np.eye(2) + 2 * k * unit[:, :, None] * unit[:, None]
    depth = (straight @ np.array([g, h]) + 1)[:, None, None]
    plane = _to_plane(parameters, unit)
    upper = np.array([[a, b], [d, e]])
    view = (upper - plane[:, :, None] * np.array([g, h])) / depth
    return np.asarray(view @ lens / half)
