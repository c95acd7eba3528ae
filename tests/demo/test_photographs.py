"""The photographs are those that the generator draws, and what is written of them is to be seen."""

import io
import json
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from scipy.signal import find_peaks

from lees.demo.drawing.card import slip_albedo
from lees.demo.drawing.pack import folded_line
from lees.demo.drawing.photographs import BUS_2_PACK, LAUNCH_PACK, PHOTOGRAPHS, WORDS
from lees.demo.scenario import demo_files

TRUTH = json.loads(Path(__file__).with_name("truth.json").read_text())
SHIPPED = {path: data for path, data in demo_files() if path.endswith(".jpg")}
QUICK = {"03-base-number/strip.jpg", "06-dust/backlit.jpg"}
WITH_PARTICLES = sorted(path for path in TRUTH if "particles" in TRUTH[path])


@cache
def pixels(jpeg):
    seen = np.asarray(Image.open(io.BytesIO(jpeg)))
    seen.setflags(write=False)
    return seen


@cache
def linear(jpeg):
    """Linear luminance, by the curve and weights of IEC 61966-2-1."""
    share = pixels(jpeg) / 255
    light = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return light @ (0.2126, 0.7152, 0.0722)


def test_every_photograph_has_its_generator_and_its_truth():
    assert SHIPPED.keys() == PHOTOGRAPHS.keys() == TRUTH.keys()
    assert sum(len(data) for data in SHIPPED.values()) < 6_000_000


@pytest.mark.parametrize(
    "path",
    [path if path in QUICK else pytest.param(path, marks=pytest.mark.long) for path in SHIPPED],
)
def test_the_generator_draws_what_is_shipped(path):
    drawn = PHOTOGRAPHS[path]()
    assert json.loads(json.dumps(drawn.truth)) == TRUTH[path]
    here, there = pixels(drawn.jpeg).astype(int), pixels(SHIPPED[path]).astype(int)
    # Image libraries may round differently from one processor to the next; no more than that.
    assert here.shape == there.shape
    assert np.abs(here - there).mean() < 0.5
    assert np.mean(np.abs(here - there) > 8) < 0.001


@pytest.mark.parametrize("path", SHIPPED)
def test_the_words_on_the_slip_can_be_read_in_the_picture(path):
    slip = TRUTH[path]["slip"]
    scale = 540 / slip["size_mm"][0]
    words = slip_albedo(scale, WORDS, tuple(slip["size_mm"]))
    others = slip_albedo(scale, "photographed on a bench, once", tuple(slip["size_mm"]))
    rows, columns = words.shape
    flat = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float32)
    matrix = cv2.getPerspectiveTransform(np.array(slip["corners_px"], np.float32), flat)
    seen = cv2.warpPerspective(pixels(SHIPPED[path]).mean(axis=2), matrix, (columns, rows))
    inside = (slice(4, -4), slice(6, -6))

    def alike(paper):
        paper = cv2.GaussianBlur(paper, (0, 0), 1.5)  # as a lens does
        return np.corrcoef(seen[inside].ravel(), paper[inside].ravel())[0, 1]

    assert alike(words) > 0.75
    assert alike(others) < 0.5


@pytest.mark.parametrize("path", [path for path in TRUTH if "card_corners_px" in TRUTH[path]])
def test_the_markers_are_found_where_they_were_drawn(path):
    # In linear light: in the picture's own values a blurred edge seems to lie in the dark side.
    light = np.round(linear(SHIPPED[path]) * 255).astype(np.uint8)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50))
    parameters = detector.getDetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    detector.setDetectorParameters(parameters)
    corners, numbers, _ = detector.detectMarkers(light)
    found = {int(number): quad[0] for number, quad in zip(numbers.ravel(), corners, strict=True)}
    for first, drawn in TRUTH[path]["card_corners_px"].items():
        for place in range(4):
            outer = found[int(first) + place][place] + 0.5
            assert np.hypot(*(outer - drawn[place])) < 0.8


@pytest.mark.parametrize("path", WITH_PARTICLES)
def test_particles_are_brighter_or_darker_than_what_they_lie_on(path):
    grey = pixels(SHIPPED[path]).mean(axis=2)
    right = 0
    listed = [one for one in TRUTH[path]["particles"] if one["class"] in ("bright", "dark")]
    px_per_mm = _px_per_mm(TRUTH[path])
    for one in listed:
        column, row = int(one["x_px"]), int(one["y_px"])
        reach = int(one["feret_mm"] * px_per_mm) + 5
        around = np.median(
            grey[max(row - reach, 0) : row + reach, max(column - reach, 0) : column + reach]
        )
        here = grey[row - 1 : row + 2, column - 1 : column + 2].mean()
        right += (here > around) if one["class"] == "bright" else (here < around)
    # A dull flake on a gleaming film, or a crumb in a valley, may be hard to see, as on a bench.
    assert right / len(listed) > 0.95


@pytest.mark.parametrize(
    "path", [path for path in WITH_PARTICLES if "mm_per_px" not in TRUTH[path]]
)
def test_positions_on_card_and_in_picture_agree(path):
    corners = np.array(TRUTH[path]["card_corners_px"]["0"], np.float32)
    card = np.array([[0, 0], [90, 0], [90, 60], [0, 60]], np.float32)
    matrix = cv2.getPerspectiveTransform(corners, card)
    listed = TRUTH[path]["particles"]
    in_picture = np.array([[(one["x_px"], one["y_px"]) for one in listed]])
    on_card = np.array([(one["x_mm"], one["y_mm"]) for one in listed])
    assert cv2.perspectiveTransform(in_picture, matrix)[0] == pytest.approx(on_card, abs=0.01)


@pytest.mark.parametrize("path", [path for path in TRUTH if "pleats" in TRUTH[path]])
def test_as_many_tips_stand_out_as_were_drawn(path):
    grey = pixels(SHIPPED[path]).mean(axis=2).astype(np.float32)
    around = cv2.warpPolar(grey, (700, 3600), TRUTH[path]["middle_px"], 700, cv2.WARP_POLAR_LINEAR)
    around -= cv2.GaussianBlur(around, (0, 0), 25)
    ring = cv2.GaussianBlur(around[:, 540:549].mean(axis=1, keepdims=True), (1, 41), 8)[:, 0]
    peaks, _ = find_peaks(np.concatenate([ring, ring[:60]]), prominence=4)
    tips = [peak for peak in peaks if 30 <= peak < 3630]
    # A plain count on one ring may miss the clip or a short pleat.
    assert len(tips) == pytest.approx(TRUTH[path]["pleats"], abs=1)


@pytest.mark.parametrize("pack", [LAUNCH_PACK, BUS_2_PACK])
def test_the_line_of_the_medium_has_a_tip_for_each_pleat(pack):
    line = folded_line(pack, np.random.default_rng(1))
    away = np.hypot(*line.T)
    assert len(find_peaks(np.concatenate([away, away[:60]]), distance=40)[0]) == pack.pleats
    assert np.ptp(away) == pytest.approx(pack.depth_mm, rel=0.1)


def test_the_light_through_the_media_is_that_written_down():
    path = "06-dust/backlit.jpg"
    light, truth = linear(SHIPPED[path]), TRUTH[path]["light"]
    rows, columns = light.shape
    piece = light[int(0.13 * rows) : int(0.86 * rows), int(0.13 * columns) : int(0.86 * columns)]
    bare = np.concatenate(
        [light[int(0.92 * rows) :, int(0.2 * columns) : int(0.8 * columns)].ravel(),
         light[int(0.3 * rows) : int(0.7 * rows), : int(0.07 * columns)].ravel()]
    )  # fmt: skip
    assert bare.max() < 0.99
    assert piece.mean() / bare.mean() == pytest.approx(truth["transmission"], rel=0.08)


def _px_per_mm(truth):
    if "mm_per_px" in truth:
        return 1 / truth["mm_per_px"]
    corners = np.array(truth["card_corners_px"]["0"])
    return np.hypot(*(corners[1] - corners[0])) / 90
