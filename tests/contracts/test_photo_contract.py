"""`lees photo … --json` gives what outsiders may rely on."""

import json
import subprocess
import sys

import cv2
import jsonschema
import numpy as np
import pytest

from truth.scenes.media import media_scene
from truth.scenes.packs import pack_scene
from truth.scenes.strips import strip_scene

NUMBER = {"type": ["number", "null"]}
PARTICLE = {
    "type": "object",
    "required": [
        "x_mm", "y_mm", "ecd_mm", "feret_mm", "area_mm2", "class", "confidence", "x_px", "y_px", "u",
    ],
    "properties": {
        "class": {"enum": ["bright", "dark", "fibre"]},
        "confidence": {"type": "number", "minimum": 0, "maximum": 1},
        **dict.fromkeys(("x_mm", "y_mm", "ecd_mm", "feret_mm", "area_mm2"), NUMBER),
        "x_px": {"type": "number"},
        "y_px": {"type": "number"},
        "u": {
            "type": "object",
            "required": ["x_mm", "y_mm", "ecd_mm", "feret_mm", "area_mm2"],
            "additionalProperties": {"type": ["number", "null"], "minimum": 0},
        },
    },
}  # fmt: skip
PARTICLES = {
    "type": "object",
    "required": ["mm_per_px", "area_mm2", "particles", "u", "warnings"],
    "properties": {
        "mm_per_px": NUMBER,
        "area_mm2": NUMBER,
        "particles": {"type": "array", "items": PARTICLE},
        "warnings": {"type": "array", "items": {"type": "string"}},
    },
}


@pytest.fixture(scope="module")
def scene(tmp_path_factory):
    drawn = media_scene(3, size=(1800, 1300))
    path = tmp_path_factory.mktemp("scene") / "media.jpg"
    path.write_bytes(drawn.data)
    return drawn, path


def lees(*arguments):
    return subprocess.run(
        [sys.executable, "-c", "from lees.cli import main; main()", *map(str, arguments)],
        capture_output=True, text=True, timeout=120,
    )  # fmt: skip


def test_particles(scene):
    drawn, path = scene
    done = lees("photo", "particles", path, "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    jsonschema.validate(found, PARTICLES)
    at = np.array([(p["x_mm"], p["y_mm"]) for p in found["particles"]])
    true = np.array([(p.x_mm, p.y_mm) for p in drawn.particles if p.kind != "fibre"])
    apart = np.linalg.norm(at[:, None] - true[None], axis=2).min(axis=0)
    assert (apart < 0.5).mean() > 0.9
    assert found["u"]["area_mm2"] > 0
    assert found["mm_per_px"] == pytest.approx(1 / drawn.camera.px_per_mm((45, 30)), rel=0.1)


def test_scale_given_has_positions_from_the_top_left(tmp_path):
    canvas = np.full((400, 600, 3), 180, np.uint8)
    canvas += np.random.default_rng(0).integers(0, 4, canvas.shape, np.uint8)
    cv2.circle(canvas, (300, 100), 12, (20, 20, 20), -1, cv2.LINE_AA)
    path = tmp_path / "field.png"
    cv2.imwrite(str(path), cv2.GaussianBlur(canvas, (0, 0), 0.8))
    found = json.loads(lees("photo", "particles", path, "--mm-per-px", "0.01", "--json").stdout)
    assert found["mm_per_px"] == 0.01
    (particle,) = found["particles"]
    assert (particle["x_mm"], particle["y_mm"]) == pytest.approx((3.005, 1.005), abs=0.01)
    assert particle["class"] == "dark"
    alone = cv2.circle(np.zeros((400, 600), np.uint8), (300, 100), 12, 255, -1, cv2.LINE_AA)
    true = 0.01 * 2 * np.sqrt(alone.sum() / 255 / np.pi)
    assert particle["ecd_mm"] == pytest.approx(true, abs=0.003)
    assert found["area_mm2"] == pytest.approx(24, rel=0.01)


def test_without_a_scale_it_counts_and_asks(tmp_path):
    canvas = np.full((400, 600, 3), 180, np.uint8)
    canvas += np.random.default_rng(0).integers(0, 4, canvas.shape, np.uint8)
    cv2.circle(canvas, (300, 100), 12, (20, 20, 20), -1, cv2.LINE_AA)
    path = tmp_path / "field.png"
    cv2.imwrite(str(path), cv2.GaussianBlur(canvas, (0, 0), 0.8))
    found = json.loads(lees("photo", "particles", path, "--json").stdout)
    jsonschema.validate(found, PARTICLES)
    assert found["mm_per_px"] is None
    assert found["particles"][0]["ecd_mm"] is None
    assert any("no scale" in warning for warning in found["warnings"])


def test_strip(tmp_path):
    drawn = strip_scene(3)
    path = tmp_path / "strip.jpg"
    path.write_bytes(drawn.data)
    found = json.loads(lees("photo", "strip", path, "--json").stdout)
    strip = found["strip"]
    assert strip["length_mm"] == pytest.approx(drawn.facts["length_mm"], rel=0.003)
    assert strip["width_mm"] == pytest.approx(drawn.facts["width_mm"], rel=0.01)
    assert drawn.facts["folds"] in (
        [strip["folds"]] if strip["folds"] else strip["folds_candidates"]
    )
    assert strip["u"]["length_mm"] > 0


@pytest.mark.parametrize("seed", [1, 11])
def test_pleats(tmp_path, seed):
    drawn = pack_scene(seed)
    path = tmp_path / "pack.jpg"
    path.write_bytes(drawn.data)
    found = json.loads(lees("photo", "pleats", path, "--json").stdout)
    if found["pleats"] is None:
        assert len(found["pleats_candidates"]) > 1
        assert drawn.facts["pleats"] in found["pleats_candidates"]
        assert any("cannot tell" in warning for warning in found["warnings"])
    else:
        assert found["pleats"] == drawn.facts["pleats"]


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "empty"), (b"%PDF-1.4", "PDF"), (b"no picture at all " * 9, "no picture")],
)
def test_what_cannot_be_used_ends_with_status_3_and_one_line(tmp_path, content, words):
    path = tmp_path / "picture.jpg"
    path.write_bytes(content)
    done = lees("photo", "particles", path, "--json")
    assert done.returncode == 3
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
    assert not done.stdout
