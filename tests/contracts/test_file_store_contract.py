"""One contract over every place for files: by content, once, whole, and missing ones are named."""

import hashlib
import io
import multiprocessing
import os

import pytest
from obstore.store import LocalStore, MemoryStore

from lees.archive.bucket import BucketFiles
from lees.archive.errors import ArchiveOutOfReach, FileAltered, FileMissing
from lees.archive.files import FolderFiles
from truth.archive_hands import keep_many


@pytest.fixture(params=["folder", "bucket in memory", "bucket on disk"])
def store(request, tmp_path):
    if request.param == "folder":
        return FolderFiles(tmp_path / "files")
    if request.param == "bucket in memory":
        return BucketFiles(MemoryStore(), "s3://invented/files")
    return BucketFiles(LocalStore(str(tmp_path)), "s3://invented/files")


@pytest.mark.parametrize("size", [0, 1, 70_000, 3_000_000])
def test_a_file_comes_back_as_it_went(store, size):
    content = os.urandom(size)
    sha256, kept_size = store.keep(io.BytesIO(content))
    assert (sha256, kept_size) == (hashlib.sha256(content).hexdigest(), size)
    assert store.fetch(sha256) == content
    assert b"".join(store.pieces(sha256)) == content


def test_a_file_kept_twice_is_there_once(store):
    for _ in range(2):
        store.keep(io.BytesIO(b"one picture"))
    store.keep(io.BytesIO(b"another"))
    assert sorted(size for _, size in store.each()) == [7, 11]
    assert store.unfinished() == 0


@pytest.mark.parametrize("sha256", ["0" * 64, "../../etc/passwd", "", "zz"])
def test_a_missing_file_is_named(store, sha256):
    with pytest.raises(FileMissing, match="latest backup"):
        store.fetch(sha256)


def test_an_altered_file_is_told_and_mended_by_keeping_it_again(tmp_path):
    store = FolderFiles(tmp_path)
    sha256, _ = store.keep(io.BytesIO(b"as photographed"))
    store.path_of(sha256).write_bytes(b"as retouched!!!")
    with pytest.raises(FileAltered, match="altered since"):
        store.fetch(sha256)
    store.keep(io.BytesIO(b"as photographed"))
    assert store.fetch(sha256) == b"as photographed"


def test_several_programs_keep_the_same_files_at_once(tmp_path):
    context = multiprocessing.get_context("spawn")
    hands = [context.Process(target=keep_many, args=(str(tmp_path),)) for _ in range(4)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert [hand.exitcode for hand in hands] == [0] * 4
    store = FolderFiles(tmp_path)
    assert len(list(store.each())) == 50
    assert all(store.fetch(sha256) for sha256, _ in store.each())
    assert store.unfinished() == 0


def test_a_bucket_out_of_reach_gets_one_line():
    from obstore.store import S3Store

    nowhere = S3Store(
        "invented",
        endpoint="http://127.0.0.1:9",
        access_key_id="x",
        secret_access_key="x",
        region="x",
        client_options={"allow_http": True},
        retry_config={"max_retries": 0},
    )
    with pytest.raises(ArchiveOutOfReach, match="does not answer"):
        BucketFiles(nowhere, "s3://invented").keep(io.BytesIO(b"x"))
