"""Outputs are written whole, replace only what Lees made, and leave nothing half-written."""

import json

import pytest

from lees.errors import UnusableInput
from lees.work.outputs import MANIFEST, write_outputs


def names(folder):
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_files_are_written_and_replaced_and_old_ones_go(tmp_path):
    write_outputs(tmp_path, {"letter.pdf": b"1", "cards/a.png": b"2"})
    write_outputs(tmp_path, {"letter.pdf": b"3"})
    assert names(tmp_path) == [MANIFEST, "letter.pdf"]
    assert (tmp_path / "letter.pdf").read_bytes() == b"3"


def test_a_strangers_file_is_left_alone_unless_said(tmp_path):
    (tmp_path / "letter.pdf").write_bytes(b"mine")
    with pytest.raises(UnusableInput, match="was not made by Lees"):
        write_outputs(tmp_path, {"letter.pdf": b"1", "page.html": b"2"})
    assert names(tmp_path) == ["letter.pdf"]
    assert (tmp_path / "letter.pdf").read_bytes() == b"mine"
    write_outputs(tmp_path, {"letter.pdf": b"1"}, overwrite=True)
    assert (tmp_path / "letter.pdf").read_bytes() == b"1"


def test_a_manifest_cannot_point_outside(tmp_path):
    outside = tmp_path / "outside.txt"
    outside.write_text("keep")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / MANIFEST).write_text(json.dumps({"files": {"../outside.txt": "", str(outside): ""}}))
    write_outputs(folder, {"page.html": b"1"})
    assert outside.read_text() == "keep"


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(UnusableInput, match="cannot be written"):
        write_outputs(tmp_path / "file" / "out", {"page.html": b"1"})
