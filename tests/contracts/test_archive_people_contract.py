"""Over both databases: who did what, taking it back, roles, registers, snapshots, comparisons."""

import json

import pytest
from sqlalchemy import update

from lees.archive.cases import add_file, bin_case, change_case, get_case, store_case
from lees.archive.compare import compare
from lees.archive.errors import CannotUndo, ChangedMeanwhile, MayOnlyRead, NotFound, UnknownUser
from lees.archive.find import Question, find
from lees.archive.history import deeds
from lees.archive.people import (
    LastOneWorks,
    NameTaken,
    NotARole,
    add_person,
    let_go,
    password_hash,
    people,
    set_password_hash,
    set_role,
)
from lees.archive.register_changes import (
    NameStays,
    change_entry,
    consent,
    entries,
    entry,
    note_zero,
    zeros,
)
from lees.archive.snapshots import (
    NotASnapshot,
    findings_of,
    keep_findings,
    keep_peers,
    keep_reading,
    peers_named,
    reading_of,
)
from lees.archive.tables import users
from lees.archive.undo import undo
from truth.archives import archive_in, invented_case, kept


def latest(archive):
    return deeds(archive, limit=1)[0]


def test_a_change_is_taken_back_field_by_field(archive):
    ref = store_case(archive, invented_case(1)).ref
    change_case(archive, ref, {"/fill/run": "9 400 mi", "/owner/name": "Guild"}, seen=1)
    done = latest(archive)
    change_case(archive, ref, {"/engine/sump": "5.5 L"}, seen=2)
    undo(archive, done.id)
    found = get_case(archive, ref)
    assert found.case.fill.run.distance.text == "9001 mi"
    assert found.case.owner.name == "Harbour co-operative"
    assert found.case.engine.sump.text == "5.5 L"
    assert (latest(archive).undoes, found.version) == (done.id, 4)


def test_taking_back_can_itself_be_taken_back(archive):
    ref = store_case(archive, invented_case(1)).ref
    change_case(archive, ref, {"/fill/run": "9 400 mi"}, seen=1)
    undo(archive, latest(archive).id)
    undo(archive, latest(archive).id)
    assert get_case(archive, ref).case.fill.run.distance.text == "9 400 mi"


def test_a_change_that_a_later_one_stands_on_cannot_be_taken_back(archive):
    ref = store_case(archive, invented_case(1)).ref
    change_case(archive, ref, {"/fill/run": "9 400 mi"}, seen=1)
    first = latest(archive)
    change_case(archive, ref, {"/fill/run": "9 500 mi"}, seen=2)
    with pytest.raises(CannotUndo, match=r"fill/run/distance.*changed again"):
        undo(archive, first.id)
    assert get_case(archive, ref).case.fill.run.distance.text == "9 500 mi"


def test_storing_and_binning_are_taken_back_too(archive):
    ref = store_case(archive, invented_case(1)).ref
    stored = latest(archive)
    bin_case(archive, ref)
    undo(archive, latest(archive).id)
    assert get_case(archive, ref).binned_at is None
    undo(archive, stored.id)
    assert get_case(archive, ref).binned_at is not None
    with pytest.raises(CannotUndo, match="already"):
        undo(archive, stored.id)
    with pytest.raises(NotFound):
        undo(archive, 10_000)


def test_a_picture_added_is_taken_back_and_its_file_stays(archive):
    ref = store_case(archive, invented_case(1)).ref
    file = kept(archive, "one.jpg")
    add_file(archive, ref, file, entered={"of": "media"})
    added = latest(archive)
    undo(archive, added.id)
    assert get_case(archive, ref).files == ()
    assert archive.files.fetch(file.sha256) == b"an invented picture"
    undo(archive, latest(archive).id)
    assert [held.name for held in get_case(archive, ref).files] == ["one.jpg"]


def test_the_history_says_who_what_and_when(archive, place):
    add_person(archive, "Second hand", "works")
    other = archive_in(place, user="second HAND", prefix="s")
    ref = store_case(archive, invented_case(1)).ref
    change_case(other, ref, {"/title": "Renamed"}, seen=1)
    last = latest(archive)
    assert (last.who, last.act, last.ref, last.version) == ("Second hand", "changed", ref, 2)
    assert [c.as_json() for c in last.changes] == [
        {"after": "Renamed", "before": "Pilot launch no. 1, invented", "path": "/title"}
    ]
    assert last.at.startswith("2026-08-19T07:3")
    other.close()


def test_one_who_reads_may_not_write(archive, place):
    ref = store_case(archive, invented_case(1)).ref
    add_person(archive, "Reader", "reads")
    reader = archive_in(place, user="Reader")
    assert get_case(reader, ref).case == invented_case(1)
    for act in (
        lambda: store_case(reader, invented_case(2)),
        lambda: change_case(reader, ref, {"/title": "x"}, seen=1),
        lambda: bin_case(reader, ref),
        lambda: add_person(reader, "Friend", "works"),
        lambda: undo(reader, 1),
        lambda: keep_findings(reader, ref, '{"made_with": "0"}'),
    ):
        with pytest.raises(MayOnlyRead, match="Reader may read"):
            act()
    set_role(archive, "Reader", "works")
    with pytest.raises(MayOnlyRead):  # the archive that is open keeps the role it was opened with
        store_case(reader, invented_case(2))
    reader.close()


def test_people_come_and_go_and_one_who_works_stays(archive, place):
    add_person(archive, "Zoë", "works")
    with pytest.raises(NameTaken):
        add_person(archive, "ZOE", "reads")
    with pytest.raises(NotARole, match="“owns” is no role"):
        add_person(archive, "Third", "owns")
    with pytest.raises(NameTaken):
        add_person(archive, "\x1b[31m", "reads")
    set_password_hash(archive, "zoë", "$argon2id$…")
    assert password_hash(archive, "Zoë") == "$argon2id$…"
    let_go(archive, "Zoë")
    assert [(p.name, p.left_at is None) for p in people(archive)] == [
        ("inspector", True),
        ("Zoë", False),
    ]
    with pytest.raises(UnknownUser, match="Nobody named “Zoë”"):
        archive_in(place, user="Zoë")
    with pytest.raises(LastOneWorks):
        let_go(archive, "inspector")
    with pytest.raises(LastOneWorks):
        set_role(archive, "inspector", "reads")
    add_person(archive, "Zoë", "reads")
    assert people(archive)[1].left_at is None


def test_a_register_keeps_what_it_is_told_apart_from_the_cases(archive):
    for number in range(3):
        store_case(archive, invented_case(number))
    found = entry(archive, "engine", "PORT engine 1")
    assert (found.entered, found.cases) == ({"name": "Port engine 1", "sump": "5.2 L"}, 1)
    change_entry(archive, "engine", found.name, {"/displacement": "1.6 L"}, seen=1)
    with pytest.raises(ChangedMeanwhile):
        change_entry(archive, "engine", found.name, {"/displacement": "2.0 L"}, seen=1)
    with pytest.raises(NameStays):
        change_entry(archive, "engine", found.name, {"/name": "Other"}, seen=2)
    assert entry(archive, "engine", found.name).entered["displacement"] == "1.6 L"
    undo(archive, latest(archive).id)
    assert "displacement" not in entry(archive, "engine", found.name).entered
    assert [e.name for e in entries(archive, "engine")] == [
        "Port engine 0",
        "Port engine 1",
        "Port engine 2",
    ]
    assert entries(archive, "oil")[0].cases == 3
    assert entries(archive, "instrument")[0].cases == 3


def test_an_owner_can_take_consent_back(archive):
    ref = store_case(archive, invented_case(1)).ref
    assert consent(archive, ref).name
    change_entry(archive, "owner", "Harbour co-operative", {"/consent": {"name": False}}, seen=1)
    assert not consent(archive, ref).name
    assert get_case(archive, ref).case.owner.consent.name


def test_zero_checks_of_an_instrument_stand_in_order_of_time(archive):
    ref = store_case(archive, invented_case(1)).ref
    note_zero(archive, "Caliper", "0.01 mm", checked="2026-07-01")
    note_zero(archive, "caliper", "0.44 mm", checked="2026-09-01")
    found = zeros(archive, "caliper")
    assert [(z.checked, z.zero, z.zero_mm, z.case) for z in found] == [
        ("2026-07-01", "0.01 mm", 0.01, None),
        ("2026-08-01", "-0.02 mm", -0.02, ref),
        ("2026-09-01", "0.44 mm", 0.44, None),
    ]


def test_snapshots_are_kept_byte_for_byte_with_what_made_them(archive):
    ref = store_case(archive, invented_case(1)).ref
    document = '{"made_with": "0.1.0",\n "answers": ["carry on"], "µ": 1.50}'
    keep_findings(archive, ref, document)
    change_case(archive, ref, {"/title": "Renamed"}, seen=1)
    keep_findings(archive, ref, json.dumps({"made_with": "0.2.0"}))
    newest, first = findings_of(archive, ref)
    assert (first.document, first.made_with, first.case_version) == (document, "0.1.0", 1)
    assert (newest.made_with, newest.case_version) == ("0.2.0", 2)
    keep_peers(archive, "fleet", document)
    assert peers_named(archive, "fleet").document == document
    assert peers_named(archive, "other") is None
    assert reading_of(archive, ref) is None
    keep_reading(archive, ref, document)
    keep_reading(archive, ref, '{"made_with": "0.3.0"}')
    assert reading_of(archive, ref).made_with == "0.3.0"
    for wrong in ("", "[]", "{}", '{"made_with": 1}', "[" * 100_000):
        with pytest.raises(NotASnapshot):
            keep_findings(archive, ref, wrong)


def test_things_stand_side_by_side_with_every_value(archive):
    stored = [store_case(archive, invented_case(n)).ref for n in range(6)]
    found = compare(archive, "engine", ("Port engine 0", "port ENGINE 2"))
    assert found.names == ("Port engine 0", "Port engine 2")
    assert found.cases == (2, 2)
    distance = next(row for row in found.rows if row.field == "fill.run.distance")
    assert distance.unit == "km"
    assert [[value.entered for value in column] for column in distance.values] == [
        ["9000 mi", "9003 mi"],
        ["9002 mi", "9005 mi"],
    ]
    wall = next(row for row in found.rows if row.field == "filter.measured.can wall")
    assert [value.number for value in wall.values[0]] == [0.38, 0.39, 0.38, 0.39]
    pair = compare(archive, "case", (stored[0], stored[1]))
    fuel = next(row for row in pair.rows if row.field == "report.results.fuel")
    assert fuel.values[0][0].qualifier == "<"
    for kind in ("oil", "filter", "owner"):
        assert compare(archive, kind, (find_name(archive, kind),)).cases == (6,)
    with pytest.raises(NotFound):
        compare(archive, "engine", ("Port engine 9",))


def find_name(archive, kind):
    return entries(archive, kind)[0].name


def test_a_role_that_is_none_cannot_even_be_written_by_hand(archive):
    from lees.archive.errors import DatabaseTrouble

    with pytest.raises(DatabaseTrouble, match="ck_users_role"):
        archive.write(lambda turn: turn.connection.execute(update(users).values(role="owns")))
    assert len(find(archive, Question()).cases) == 0
