"""The scale at the card and away from it, on drawn cards at known tilts."""

import cv2
import numpy as np
import pytest

from lees.errors import OutOfRange
from lees.picture.card import find_cards
from lees.picture.decode import decode
from lees.picture.plane import plane_of_cards, plane_of_scale
from truth.scenes.canvas import Camera, draw_card, finish

SIZE = (1500, 1100)


def picture_of_card(seed, tilt, *, hidden=(), middle=(45, 30), px_per_mm=8.0):
    rng = np.random.default_rng(seed)
    camera = Camera.looking(
        SIZE, middle, px_per_mm, tilt=tilt, towards=rng.uniform(0, 360), roll=rng.uniform(-60, 60),
        k1=rng.normal(0, 0.01),
    )  # fmt: skip
    canvas = np.full((SIZE[1], SIZE[0], 3), 120, np.float32)
    draw_card(canvas, camera, np.zeros(2), hidden=hidden)
    data = finish(canvas, rng, blur=rng.uniform(0.7, 1.3))
    return camera, cv2.cvtColor(decode(data).pixels, cv2.COLOR_BGR2GRAY)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    ("tilt", "hidden", "allowed"), [(0, (), 0.003), (35, (), 0.003), (25, (2,), 0.006)]
)
def test_scale_at_the_card(seed, tilt, hidden, allowed):
    camera, grey = picture_of_card(seed, tilt, hidden=hidden)
    cards = find_cards(grey)
    assert [m.number for m in cards[0].markers] == [n for n in range(4) if n not in hidden]
    plane = plane_of_cards(cards, grey.shape)
    at = np.array([(0, 0), (90, 0), (90, 60), (0, 60), (45, 30)], float)
    scale = plane.mm_per_px(camera.project(at))
    true = np.array([1 / camera.px_per_mm(p) for p in at])
    assert np.abs(scale / true - 1).max() < allowed
    assert np.abs(plane.to_mm(camera.project(at)) - at).max() < 0.1


def test_there_and_back():
    _, grey = picture_of_card(5, 20)
    plane = plane_of_cards(find_cards(grey), grey.shape)
    points = np.random.default_rng(0).uniform(0, 1000, (50, 2))
    assert np.allclose(plane.to_px(plane.to_mm(points)), points, atol=1e-6)


def test_jacobian_is_the_slope():
    _, grey = picture_of_card(6, 20)
    plane = plane_of_cards(find_cards(grey), grey.shape)
    points = np.array([(100.0, 200.0), (1300.0, 900.0)])
    for axis in range(2):
        shift = np.eye(2)[axis] * 1e-3
        slope = (plane.to_mm(points + shift) - plane.to_mm(points - shift)) / 2e-3
        assert np.allclose(plane.jacobian(points)[:, :, axis], slope, rtol=1e-6)


def test_two_cards_in_one_plane():
    rng = np.random.default_rng(9)
    camera = Camera.looking((2400, 700), (500, 30), 2.1, tilt=8, towards=90)
    canvas = np.full((700, 2400, 3), 150, np.float32)
    draw_card(canvas, camera, np.array([0.0, 0.0]))
    draw_card(canvas, camera, np.array([900.0, 10.0]), first=4, turn=2)
    grey = cv2.cvtColor(decode(finish(canvas, rng)).pixels, cv2.COLOR_BGR2GRAY)
    cards = find_cards(grey)
    assert [card.first for card in cards] == [0, 4]
    plane = plane_of_cards(cards, grey.shape)
    ends = camera.project([(0, 0), (1000, 30)])
    length = np.linalg.norm(np.diff(plane.to_mm(ends), axis=0))
    assert abs(length - np.hypot(1000, 30)) < 3.0
    assert abs(length - np.hypot(1000, 30)) < 3 * plane.length_uncertainty(ends)


def test_given_scale_has_its_origin_at_the_top_left():
    plane = plane_of_scale(0.02, (300, 500), relative=0.01)
    assert np.allclose(plane.to_mm(np.array([[-0.5, -0.5], [499.5, 299.5]])), [[0, 0], [10, 6]])
    assert np.allclose(plane.relative_uncertainty(np.zeros((1, 2))), 0.01)
    for wrong in (0, -1, float("nan")):
        with pytest.raises(OutOfRange):
            plane_of_scale(wrong, (300, 500))


def test_no_card_is_no_card():
    rng = np.random.default_rng(1)
    assert find_cards(rng.integers(0, 255, (600, 900), dtype=np.uint8)) == ()
