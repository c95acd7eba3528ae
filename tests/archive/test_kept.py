"""Archives written by every earlier step are brought up to date, after a backup, and lose nothing."""

import json
import shutil
import subprocess
import tarfile
from pathlib import Path

import pytest
from sqlalchemy import inspect, text

from lees.archive.address import address_of
from lees.archive.backup import back_up_without_files
from lees.archive.cases import get_case
from lees.archive.check import check
from lees.archive.errors import NewerArchive, NoArchive
from lees.archive.find import Question, find
from lees.archive.history import deeds
from lees.archive.migrations import HEAD, REVISIONS
from lees.archive.opening import open_archive
from truth.archives import archive_in, hands
from truth.postgresql import program

KEPT = Path(__file__).parents[1] / "kept"
STEPS = sorted(path.name for path in KEPT.glob("step-*"))


def laid_out(archive):
    """Return every table with its columns and indexes."""
    with archive.database.reading() as connection:
        looked = inspect(connection)
        return {
            name: (
                {column["name"]: str(column["type"]) for column in looked.get_columns(name)},
                {index["name"]: index["column_names"] for index in looked.get_indexes(name)},
                sorted(str(key["constrained_columns"]) for key in looked.get_foreign_keys(name)),
            )
            for name in looked.get_table_names()
        }


def holds_what_was_kept(archive):
    first, second = (get_case(archive, ref) for ref in ("k0002", "k0008"))
    assert first.case.fill.run.distance.text == "9 400 mi"
    assert [deed.act for deed in deeds(archive, ref="k0002")] == ["changed", "stored"]
    assert archive.files.fetch(second.files[0].sha256) == b"an invented picture"
    assert [found.ref for found in find(archive, Question(words="quay")).cases] == [
        "k0008",
        "k0002",
    ]
    assert [found.ref for found in find(archive, Question(binned=True)).cases] == ["k0010"]
    assert check(archive).problems == []


def test_every_earlier_step_is_kept():
    assert [f"step-{revision}" for revision in REVISIONS[:-1]] == STEPS


@pytest.mark.parametrize("step", STEPS)
def test_an_earlier_sqlite_archive_is_brought_up_to_date_after_a_backup(step, tmp_path):
    shutil.copytree(KEPT / step, tmp_path / "archive")
    archive = open_archive(address_of(str(tmp_path / "archive")), hands(), user="inspector")
    holds_what_was_kept(archive)
    fresh = archive_in(tmp_path / "fresh")
    assert laid_out(archive) == laid_out(fresh)
    archive.close()
    fresh.close()
    (saved,) = (tmp_path / "archive" / "backups").iterdir()
    with tarfile.open(saved) as tar:
        said = json.load(tar.extractfile("backup.json"))
    assert (said["step"], said["pictures"], said["cases"]) == (step[5:], "left out", 3)


@pytest.mark.parametrize("step", STEPS)
def test_an_earlier_postgresql_archive_is_too(step, tmp_path, postgresql, monkeypatch):
    for name, value in postgresql.environment.items():
        monkeypatch.setenv(name, value)
    database = f"kept_{step[5:]}_{tmp_path.name.replace('-', '_')}"
    postgresql.create(database)
    shutil.copytree(KEPT / step / "files", tmp_path / "files")
    address = postgresql.address(database, tmp_path / "files")
    target = f"--dbname={address.split('?')[0]}"
    restored = [str(program("pg_restore")), "--no-owner", target, str(KEPT / step / "archive.dump")]
    subprocess.run(restored, check=True)
    with pytest.raises(NoArchive, match="lees archive check"):
        open_archive(address_of(address), hands(), user="inspector")
    archive = open_archive(
        address_of(address), hands(), user="inspector", backups=tmp_path / "backups"
    )
    holds_what_was_kept(archive)
    archive.close()
    (saved,) = (tmp_path / "backups").iterdir()
    assert saved.name.startswith(f"before-{HEAD}-")


def test_an_archive_of_a_newer_version_is_left_alone(tmp_path):
    archive = archive_in(tmp_path / "archive")
    archive.database.write(
        lambda connection: connection.execute(text("UPDATE alembic_version SET version_num='9999'"))
    )
    archive.close()
    before = (tmp_path / "archive" / "archive.sqlite").read_bytes()
    with pytest.raises(NewerArchive, match="newer version of Lees"):
        archive_in(tmp_path / "archive")
    assert (tmp_path / "archive" / "archive.sqlite").read_bytes() == before


def test_a_backup_of_a_newer_version_is_told(tmp_path):
    from lees.archive.restore import restore

    archive = archive_in(tmp_path / "archive")
    archive.database.write(
        lambda connection: connection.execute(text("UPDATE alembic_version SET version_num='9999'"))
    )
    back_up_without_files(archive.database, tmp_path / "b.tar", archive.now())
    archive.close()
    with pytest.raises(NewerArchive):
        restore(tmp_path / "b.tar", address_of(str(tmp_path / "new")))
