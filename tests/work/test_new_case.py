"""A new case has a case.toml that parses, and one that is there is left alone."""

import re

import pytest

from lees.case.toml import read_case
from lees.errors import UnusableInput
from lees.quantity.data import text
from lees.work.new_case import new_case


def test_a_new_case_parses_and_is_left_alone_afterwards(tmp_path):
    path = new_case(tmp_path / "cases" / "one")
    assert read_case(path.read_text(encoding="utf-8")).title == "Untitled case"
    path.write_text("mine")
    with pytest.raises(UnusableInput, match="left alone"):
        new_case(tmp_path / "cases" / "one")
    assert path.read_text() == "mine"


def test_every_hint_in_it_is_right_when_it_is_filled_in():
    source = text("case", "template.toml")
    filled = re.sub(r"^# (\[|[a-z_]+ = )", r"\1", source, flags=re.MULTILINE)
    case = read_case(filled)
    assert case.report.file == "report.pdf"
    assert case.filter.parts
    assert case.picture[0].of == "media"
    assert case.inspector.risk == 0.10


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(UnusableInput, match="cannot be made"):
        new_case(tmp_path / "file" / "case")
