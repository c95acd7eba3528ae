"""Over both databases: out in an open form and in again, exactly; hostile exports do no harm."""

import csv
import hashlib
import json
import os
from pathlib import Path

import duckdb
import pytest

from lees.archive.archive import NotStorable
from lees.archive.cases import add_file, bin_case, change_case, get_case, store_case
from lees.archive.check import check
from lees.archive.errors import PlaceTaken
from lees.archive.export import export
from lees.archive.find import Question, count, find
from lees.archive.history import deeds
from lees.archive.import_plan import plan_import
from lees.archive.importing import import_planned
from lees.archive.open_form import columns_of, dictionary, read_table, write_table
from lees.archive.people import add_person, let_go
from lees.archive.register_changes import change_entry, note_zero
from lees.archive.snapshots import keep_findings, keep_peers, keep_reading
from lees.archive.undo import undo
from lees.case.toml import CASE_FILE, write_case
from lees.errors import UnusableInput
from truth.archives import archive_in, invented_case, kept


@pytest.fixture
def filled(archive):
    """Return an archive in which a good deal has happened."""
    case = invented_case(1)
    typed = f"# typed by hand, with a remark\n{write_case(case)}".encode()
    add_person(archive, "Second", "reads")
    let_go(archive, "Second")
    store_case(archive, case, [kept(archive, CASE_FILE, typed, "source")])
    hostile = "=cmd|' /C calc'!A0\n\"quoted\", ünï, 😀, '"
    changed = case.model_copy(update={"title": hostile})
    source = write_case(changed).encode()
    files = [
        kept(archive, CASE_FILE, source, "source"),
        kept(archive, "photos/media.jpg", os.urandom(5000)),
        kept(archive, "empty.csv", b"", "readings"),
    ]
    second = store_case(archive, changed, files).ref
    change_case(archive, second, {"/fill/run": "9 500 mi"}, seen=1)
    add_file(archive, second, kept(archive, "b.jpg", b"b"), entered={"of": "media"})
    undo(archive, deeds(archive, ref=second)[1].id)
    third = store_case(archive, invented_case(3)).ref
    bin_case(archive, third)
    for version in ("0.1.0", "0.2.0"):
        keep_findings(archive, second, f'{{"made_with": "{version}",  "µ": 1.50}}\n')
    keep_reading(archive, second, '{"made_with": "0.1.0", "samples": []}')
    keep_peers(archive, "fleet", '{"made_with": "0.1.0", "k": [1, 2]}')
    change_entry(archive, "owner", "Harbour co-operative", {"/consent": {"name": False}}, seen=1)
    note_zero(archive, "caliper", "0.44 mm", checked="2026-09-01")
    note_zero(archive, "caliper", "-0.01 mm", checked="2026-08-01")
    return archive


@pytest.fixture
def empty(place, tmp_path, request):
    """Return another archive of the same kind, with nothing in it."""
    address = str(tmp_path / "other")
    if place.startswith("postgresql"):
        running = request.getfixturevalue("postgresql")
        name = place.split("?")[0].rpartition("/")[2] + "_other"
        running.create(name)
        address = running.address(name, tmp_path / "other-files")
    other = archive_in(address, prefix="e")
    yield other
    other.close()


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def take(archive, folder):
    return import_planned(archive, plan_import(archive, folder))


def test_export_import_export_is_exact(filled, empty, tmp_path):
    export(filled, tmp_path / "one", parquet=True)
    done = take(empty, tmp_path / "one")
    assert (done.cases, done.files) == (3, 5)
    export(empty, tmp_path / "two", parquet=True)
    one, two = tree(tmp_path / "one"), tree(tmp_path / "two")
    assert one.keys() == two.keys()
    assert [name for name in one if one[name] != two[name]] == []
    assert check(empty).is_clean
    for found in find(filled, Question()).cases:
        assert get_case(empty, found.ref) == get_case(filled, found.ref)
    undo(empty, deeds(empty, kind="owner")[0].id)  # the history that came with it can be used


def test_a_case_comes_out_as_it_was_typed_unless_it_was_changed(filled, tmp_path):
    export(filled, tmp_path / "one")
    files = tree(tmp_path / "one")
    (first, second) = [f.ref for f in find(filled, Question(sort="added")).cases]
    assert files[f"cases/{first}/case.toml"].startswith(b"# typed by hand")
    assert f"sources/{first}.toml" not in files
    assert f"sources/{second}.toml" in files
    assert files[f"cases/{second}/empty.csv"] == b""
    assert files[f"findings/{second}-2.json"] == '{"made_with": "0.2.0",  "µ": 1.50}\n'.encode()


def test_importing_again_changes_nothing(filled, empty, tmp_path):
    export(filled, tmp_path / "one")
    take(empty, tmp_path / "one")
    lines = len(deeds(empty, limit=1000))
    plan = plan_import(empty, tmp_path / "one")
    assert (len(plan.new), len(plan.here), plan.other) == (0, 3, [])
    assert import_planned(empty, plan).cases == 0
    assert len(deeds(empty, limit=1000)) == lines
    export(empty, tmp_path / "two")
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_a_dry_run_changes_nothing(filled, empty, tmp_path):
    export(filled, tmp_path / "one")
    plan = plan_import(empty, tmp_path / "one")
    assert (len(plan.new), plan.problems) == (3, [])
    assert count(empty, Question()) == 0
    assert list(empty.files.each()) == []
    assert deeds(empty) == ()


def test_a_case_that_is_here_with_other_content_is_left_as_it_is(filled, empty, tmp_path):
    export(filled, tmp_path / "one")
    take(empty, tmp_path / "one")
    ref = find(filled, Question(sort="added")).cases[0].ref
    change_case(empty, ref, {"/title": "Changed here"}, seen=1)
    plan = plan_import(empty, tmp_path / "one")
    assert plan.other == [ref]
    import_planned(empty, plan)
    assert get_case(empty, ref).case.title == "Changed here"


def test_an_import_into_an_archive_in_use_lets_nobody_in(filled, empty, tmp_path):
    add_person(filled, "Stranger", "works")
    export(filled, tmp_path / "one")
    store_case(empty, invented_case(77))
    take(empty, tmp_path / "one")
    assert count(empty, Question()) == 3
    with pytest.raises(Exception, match="Nobody named “Stranger”"):
        archive_in(empty.database.address.shown, user="Stranger")


def test_the_dictionary_covers_every_column_and_every_table_there_is(filled, tmp_path):
    export(filled, tmp_path / "one")
    tables = {path.stem for path in (tmp_path / "one" / "tables").glob("*.csv")}
    assert tables == {column.table for column in dictionary()}
    for table in tables:
        with (tmp_path / "one" / "tables" / f"{table}.csv").open(newline="") as file:
            assert tuple(next(csv.reader(file))) == columns_of(table)
    assert all(column.meaning for column in dictionary())


def test_no_cell_is_a_formula_and_parquet_holds_the_texts_themselves(filled, tmp_path):
    export(filled, tmp_path / "one", parquet=True)
    folder = tmp_path / "one" / "tables"
    with (folder / "cases.csv").open(newline="") as file:
        titles = [row["title"] for row in csv.DictReader(file)]
    assert titles[1].startswith("'=cmd")
    rows = duckdb.sql(
        f"SELECT title, distance, version FROM '{folder}/cases.parquet' ORDER BY added_at"
    ).fetchall()
    assert rows[1][0] == "=cmd|' /C calc'!A0\n\"quoted\", ünï, 😀, '"
    assert rows[0][1:] == (pytest.approx(9001 * 1.609344), 1)
    facts = duckdb.sql(
        f"SELECT count(*), sum(number) FROM '{folder}/facts.parquet' "
        "WHERE field = 'report.results.Fe'"
    ).fetchall()
    assert facts == [(3, 13 + 13 + 15)]


def test_sums_are_those_of_the_system_tool(filled, tmp_path):
    export(filled, tmp_path / "one")
    for line in (tmp_path / "one" / "MANIFEST.sha256").read_text().splitlines():
        sha256, name = line.split("  ", 1)
        assert hashlib.sha256((tmp_path / "one" / name).read_bytes()).hexdigest() == sha256


def sealed(folder: Path) -> Path:
    """Make the manifest fit again, as somebody with bad intent would."""
    lines = [
        f"{hashlib.sha256(content).hexdigest()}  {name}\n"
        for name, content in tree(folder).items()
        if name != "MANIFEST.sha256"
    ]
    (folder / "MANIFEST.sha256").write_text("".join(lines))
    return folder


def rewritten(folder: Path, table: str, change) -> Path:
    path = folder / "tables" / f"{table}.csv"
    rows = [change(row) for row in read_table(path, table)]
    write_table(path, table, [tuple(row.values()) for row in rows])
    return sealed(folder)


def refused(archive, folder) -> str:
    """Return what is said of an import that must not happen, and see that nothing did."""
    plan = plan_import(archive, folder)
    with pytest.raises(UnusableInput) as caught:
        import_planned(archive, plan)
    assert count(archive, Question()) == 0
    said = "\n".join([*plan.problems, str(caught.value)])
    assert "Traceback" not in said
    return said


@pytest.mark.parametrize(
    "name",
    [
        "../../outside.jpg",
        "/etc/passwd",
        "a/../../../x",
        "C:\\x",
        "x" * 250,
        "nul",
        "case.toml",
        "",
    ],
)
def test_an_export_with_a_hostile_file_name_is_refused(filled, empty, tmp_path, name):
    folder = tmp_path / "one"
    export(filled, folder)

    def change(row):
        return row | {"name": name} if row["name"] == "photos/media.jpg" else row

    said = refused(empty, rewritten(folder, "case_files", change))
    assert "The file name" in said


@pytest.mark.parametrize("ref", ["../../outside", "/tmp/x", "", "A" * 300, "ref\n", "a b"])
def test_an_export_with_a_hostile_reference_is_refused(filled, empty, tmp_path, ref):
    folder = tmp_path / "one"
    export(filled, folder)
    said = refused(empty, rewritten(folder, "cases", lambda row: row | {"ref": ref}))
    assert "no reference of a case" in said


def test_an_export_with_links_is_refused(filled, empty, tmp_path):
    folder = tmp_path / "one"
    export(filled, folder)
    target = next(folder.glob("cases/*/photos/media.jpg"))
    target.unlink()
    target.symlink_to("/etc/passwd")
    assert "is a link or a device" in refused(empty, folder)
    target.unlink()
    photos = target.parent
    photos.rmdir()
    photos.symlink_to("/etc")
    assert "is a link or a device" in refused(empty, folder)


def test_an_export_with_a_file_altered_missing_or_oddly_listed_is_refused(filled, empty, tmp_path):
    folder = tmp_path / "one"
    export(filled, folder)
    target = next(folder.glob("cases/*/photos/media.jpg"))
    target.write_bytes(b"retouched")
    assert "has been altered since the export" in refused(empty, folder)
    target.unlink()
    assert "is missing from the export" in refused(empty, folder)
    with (folder / "MANIFEST.sha256").open("a") as manifest:
        manifest.write("0" * 64 + "  ../../etc/passwd\n")
    assert "names no file of an export" in refused(empty, folder)


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        ("cases.version", "-1", "not a number"),
        ("cases.version", "9" * 30, "not a number"),
        ("cases.added_at", "yesterday", "no time"),
        ("cases.changed_by", "Nobody", "is not in tables/users.csv"),
        ("cases.digest", "0" * 64, "does not say what was exported"),
        ("users.role", "owns", "without a name or a role"),
        ("engines.entered", '{"sump": "5 km"}', "says nothing of an engine"),
        ("engines.entered", "[" * 100_000, "should be JSON"),
        ("history.changes", '[{"path": 1}]', "no change"),
        ("history.kind", "archive", "no export has"),
        ("zero_checks.zero", "much", "has no number"),
        ("findings.made_at", "", "no time"),
        ("peers.number", "7", "is missing from the export"),
    ],
)
def test_an_export_with_a_hostile_cell_is_refused_whole(
    filled, empty, tmp_path, where, value, says
):
    table, column = where.split(".")
    folder = tmp_path / "one"
    export(filled, folder)

    def refused_late():
        plan = plan_import(empty, folder)
        with pytest.raises(Exception, match=says):
            import_planned(empty, plan)

    rewritten(folder, table, lambda row: row | {column: value})
    refused_late()
    assert count(empty, Question()) == 0
    assert deeds(empty) == ()


def test_an_export_with_a_broken_table_or_case_is_refused(filled, empty, tmp_path):
    folder = tmp_path / "one"
    export(filled, folder)
    (folder / "tables" / "cases.csv").write_bytes(b'ref,"title\n\xff\x00')
    assert "cases.csv" in refused(empty, sealed(folder))
    export(filled, tmp_path / "two")
    next((tmp_path / "two" / "cases").glob("*/case.toml")).write_bytes(b"\xff\xfe")
    assert "not UTF-8" in refused(empty, sealed(tmp_path / "two"))


def test_a_folder_that_is_no_export_is_told(archive, tmp_path):
    with pytest.raises(UnusableInput, match="lees archive store"):
        plan_import(archive, tmp_path)


def test_an_export_writes_over_nothing(filled, tmp_path):
    (tmp_path / "one").mkdir()
    (tmp_path / "one" / "mine.txt").write_text("mine")
    with pytest.raises(PlaceTaken):
        export(filled, tmp_path / "one")
    assert [path.name for path in (tmp_path / "one").iterdir()] == ["mine.txt"]


def test_an_export_with_a_picture_gone_says_so_and_writes_the_rest(filled, tmp_path):
    ref = find(filled, Question(sort="added")).cases[1].ref
    picture = next(f for f in get_case(filled, ref).files if f.name == "photos/media.jpg")
    filled.files.path_of(picture.sha256).unlink()
    done = export(filled, tmp_path / "one")
    assert done.cases == 3
    assert done.missing[0].startswith(f"{ref}, photos/media.jpg: The kept file")


def test_what_has_no_place_in_a_document_is_refused(archive):
    case = invented_case(1)
    with pytest.raises(NotStorable, match="NUL"):
        store_case(archive, case.model_copy(update={"title": "a\x00b"}))
    document = json.loads(json.dumps(case.model_dump(mode="json", by_alias=True)))
    document["filter"]["measured"][0]["readings"] = [float("nan")]
    with pytest.raises(NotStorable, match="nan or infinite"):
        store_case(archive, type(case).model_validate(document))
    assert count(archive, Question()) == 0
