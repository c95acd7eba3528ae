"""A file named in a case must lie in its folder; everything else is one clear line."""

import pytest

from lees.errors import UnusableInput
from lees.work.case_folder import CaseFolder, UnusableFile


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "case"
    path.mkdir()
    (path / "case.toml").write_text('title = "x"')
    (path / "report.pdf").write_bytes(b"%PDF")
    (path / "empty.csv").write_bytes(b"")
    (tmp_path / "secret").write_bytes(b"secret")
    (path / "link").symlink_to(tmp_path / "secret")
    (path / "linked").symlink_to(tmp_path, target_is_directory=True)
    return CaseFolder(path)


def test_a_file_inside_is_read(folder):
    assert folder.bytes_of("report.pdf") == b"%PDF"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("../secret", "outside"),
        ("/etc/passwd", "outside"),
        ("a/../../secret", "outside"),
        ("..\\secret", "outside"),
        ("C:\\secret", "outside"),
        ("link", "is a link"),
        ("linked/secret", "is a link"),
        ("nothing.pdf", "is not in the case's folder"),
        ("empty.csv", "is empty"),
        ("x\0y", "outside"),
        ("n" * 5000, "is not in the case's folder|cannot be opened"),
    ],
)
def test_anything_else_is_one_clear_line(folder, name, says):
    with pytest.raises(UnusableFile, match=says) as caught:
        folder.bytes_of(name)
    assert str(caught.value).isprintable()


def test_a_folder_without_a_case_says_so(tmp_path):
    with pytest.raises(UnusableInput, match=r"has no case\.toml"):
        CaseFolder(tmp_path).read_case()
    with pytest.raises(UnusableInput, match="is not a folder"):
        CaseFolder(tmp_path / "none").read_case()
    (tmp_path / "case.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(UnusableInput, match="UTF-8"):
        CaseFolder(tmp_path).read_case()
