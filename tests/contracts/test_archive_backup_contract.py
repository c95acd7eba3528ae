"""Over both databases: a backup is whole, is restored elsewhere, and a check sees what is wrong."""

import io
import json
import os
import tarfile
import threading

import pytest

from lees.archive.address import address_of
from lees.archive.backup import back_up
from lees.archive.cases import get_case, store_case
from lees.archive.check import check
from lees.archive.errors import NotABackup, PlaceTaken, ToolMissing
from lees.archive.find import Question, count
from lees.archive.restore import restore
from lees.archive.snapshots import keep_findings
from truth.archives import archive_in, invented_case, kept

REFS = ("t0002", "t0008", "t0010")


@pytest.fixture
def filled(archive):
    for number in range(3):
        store_case(archive, invented_case(number), [kept(archive, "a.jpg", b"picture %d" % number)])
    keep_findings(archive, "t0002", '{"made_with": "0.1.0"}')
    return archive


@pytest.fixture
def elsewhere(place, tmp_path, request):
    """Return the address of a new place of the same kind."""
    if not place.startswith("postgresql"):
        return str(tmp_path / "restored")
    running = request.getfixturevalue("postgresql")
    name = place.split("?")[0].rpartition("/")[2] + "_restored"
    running.create(name)
    return running.address(name, tmp_path / "restored-files")


def test_a_backup_restored_elsewhere_is_the_same_archive(filled, elsewhere, tmp_path):
    made = back_up(filled, tmp_path / "b.tar")
    assert (made.cases, made.files, made.pictures, made.troubles) == (3, 3, "included", ())
    back = restore(tmp_path / "b.tar", address_of(elsewhere))
    assert (back.cases, back.files, back.missing) == (3, 3, ())
    restored = archive_in(elsewhere, prefix="r")
    for number, ref in enumerate(REFS):
        found = get_case(restored, ref)
        assert found == get_case(filled, ref)
        assert restored.files.fetch(found.files[0].sha256) == b"picture %d" % number
    assert check(restored).is_clean
    store_case(restored, invented_case(9))
    restored.close()


def test_a_backup_made_while_others_write_is_consistent(filled, elsewhere, tmp_path, place):
    stop = threading.Event()

    def write():
        other = archive_in(place, prefix="w")
        number = 100
        while not stop.is_set():
            store_case(other, invented_case(number), [kept(other, "a.jpg", os.urandom(500))])
            number += 1
        other.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(3):
            made = back_up(filled, tmp_path / f"b{number}.tar")
            assert made.troubles == ()
    finally:
        stop.set()
        writer.join()
    restore(tmp_path / "b2.tar", address_of(elsewhere))
    restored = archive_in(elsewhere, prefix="r")
    found = check(restored)
    assert found.problems == []
    assert count(restored, Question()) == found.cases >= 3
    restored.close()


def test_nothing_is_written_over(filled, place, elsewhere, tmp_path):
    taken = tmp_path / "b.tar"
    taken.write_text("somebody's")
    with pytest.raises(PlaceTaken, match="nothing is written over"):
        back_up(filled, taken)
    assert taken.read_text() == "somebody's"
    back_up(filled, tmp_path / "c.tar")
    with pytest.raises(PlaceTaken):
        restore(tmp_path / "c.tar", address_of(place))
    assert count(filled, Question()) == 3


@pytest.mark.parametrize("share", [0.0, 0.02, 0.3, 0.6, 0.9, 1.0])
def test_a_half_copied_backup_is_told_and_leaves_nothing(filled, elsewhere, tmp_path, share):
    back_up(filled, tmp_path / "b.tar")
    whole = (tmp_path / "b.tar").read_bytes()
    whole = whole.rstrip(b"\0")
    (tmp_path / "half.tar").write_bytes(whole[: max(int(len(whole) * share) - 10, 0)])
    before = sorted(tmp_path.iterdir())
    with pytest.raises(NotABackup, match=r"half there|cannot be used"):
        restore(tmp_path / "half.tar", address_of(elsewhere))
    after = [path for path in sorted(tmp_path.iterdir()) if path.name != "restored-files"]
    assert after == [path for path in before if path.name != "restored-files"]


@pytest.mark.parametrize("where", [0.3, 0.5, 0.7])
def test_a_backup_with_one_byte_altered_is_told(filled, elsewhere, tmp_path, where):
    back_up(filled, tmp_path / "b.tar")
    content = bytearray((tmp_path / "b.tar").read_bytes())
    place = int(len(content.rstrip(b"\0")) * where)
    content[place] ^= 0x55
    (tmp_path / "b.tar").write_bytes(content)
    with pytest.raises(NotABackup, match="take another"):
        restore(tmp_path / "b.tar", address_of(elsewhere))


def tar_of(path, members):
    with tarfile.open(path, "w") as tar:
        for name, content, kind in members:
            member = tarfile.TarInfo(name)
            member.size, member.type, member.linkname = len(content), kind, "/etc/passwd"
            tar.addfile(member, io.BytesIO(content))


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("../../outside", tarfile.REGTYPE),
        ("/tmp/outside", tarfile.REGTYPE),
        ("files/ab/../../../outside", tarfile.REGTYPE),
        ("files/ab/" + "c" * 62, tarfile.SYMTYPE),
        ("archive.sqlite", tarfile.LNKTYPE),
        ("files/ab/" + "c" * 62, tarfile.REGTYPE),
    ],
)
def test_a_hostile_backup_reaches_nothing(place, archive, elsewhere, tmp_path, name, kind):
    kind_of = "postgresql" if place.startswith("postgresql") else "sqlite"
    said = json.dumps({"format": 1, "step": "0002", "database": kind_of, "pictures": "included"})
    tar_of(
        tmp_path / "b.tar",
        [("backup.json", said.encode(), tarfile.REGTYPE), (name, b"hostile", kind)],
    )
    with pytest.raises(NotABackup, match="Nothing was restored"):
        restore(tmp_path / "b.tar", address_of(elsewhere))
    assert not list(tmp_path.parent.glob("outside*"))


def test_a_clean_archive_checks_clean(filled):
    found = check(filled)
    assert found.is_clean
    assert (found.cases, found.files, found.bytes, found.notes) == (3, 3, 27, [])


def test_a_check_names_files_gone_and_altered_and_a_case_tampered_with(filled):
    first, second = (get_case(filled, ref).files[0].sha256 for ref in REFS[:2])
    filled.files.path_of(first).unlink()
    filled.files.path_of(second).write_bytes(b"picture X")
    filled.write(
        lambda turn: turn.connection.exec_driver_sql(
            "UPDATE cases SET entered = replace(entered, '9002 mi', '8002 mi')"
        )
    )
    problems = "\n".join(check(filled).problems)
    assert "a.jpg of the case t0002 is gone" in problems
    assert "a.jpg of the case t0008 has been altered" in problems
    assert "The case t0010 is not as it was stored" in problems
    assert len(problems.splitlines()) == 3


def test_a_backup_of_an_archive_with_a_file_gone_says_so_and_holds_the_rest(
    filled, elsewhere, tmp_path
):
    filled.files.path_of(get_case(filled, "t0002").files[0].sha256).unlink()
    made = back_up(filled, tmp_path / "b.tar")
    assert made.files == 2
    assert "is gone" in made.troubles[0]
    back = restore(tmp_path / "b.tar", address_of(elsewhere))
    assert back.missing == made.troubles


def test_a_check_notes_what_belongs_to_no_case(filled):
    filled.files.keep(io.BytesIO(b"never handed in"))
    (filled.files.folder / "incoming" / "left").write_bytes(b"half")
    found = check(filled)
    assert found.is_clean
    assert "1 files (15 bytes) belong to no case" in found.notes[0]
    assert "half-kept" in found.notes[1]


def test_a_missing_program_of_the_database_is_named(filled, place, tmp_path, monkeypatch):
    if not place.startswith("postgresql"):
        back_up(filled, tmp_path / "b.tar")  # SQLite needs none
        return
    monkeypatch.setattr("shutil.which", lambda _: None)
    monkeypatch.setattr("pathlib.Path.glob", lambda *_: iter(()))
    with pytest.raises(ToolMissing, match="pg_dump is not installed"):
        back_up(filled, tmp_path / "b.tar")
    assert not (tmp_path / "b.tar").exists()
