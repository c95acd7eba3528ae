"""One contract over both databases: what is stored is found, as it was, by whoever may see it."""

from dataclasses import replace

import pytest
from pydantic import ValidationError
from sqlalchemy import inspect, select

from lees.archive.cases import (
    add_file,
    bin_case,
    change_case,
    get_case,
    store_case,
    unbin_case,
)
from lees.archive.changes import ABSENT
from lees.archive.errors import ChangedMeanwhile, InTheBin, NotAField, NotFound, UnsafeName
from lees.archive.find import Condition, Question, WrongFilter, condition, count, field_names, find
from lees.archive.history import deeds
from lees.archive.tables import engines, fills, tables, zero_checks
from truth.archives import archive_in, invented_case, kept


def refs(archive, **question):
    return [found.ref for found in find(archive, Question(**question)).cases]


def test_a_case_comes_back_as_it_was_entered(archive):
    case = invented_case(1)
    stored = store_case(archive, case, [kept(archive, "photos/media.jpg")])
    found = get_case(archive, stored.ref)
    assert stored.added
    assert found.case == case
    assert found.case.fill.run.distance.text == "9001 mi"
    assert (found.version, found.changed_by, found.binned_at) == (1, "inspector", None)
    assert [file.name for file in found.files] == ["photos/media.jpg"]
    assert archive.files.fetch(found.files[0].sha256) == b"an invented picture"


def test_what_is_stored_is_there_for_the_next_who_opens_the_archive(place):
    first = archive_in(place)
    stored = store_case(first, invented_case(1))
    first.close()
    second = archive_in(place, prefix="u")
    assert get_case(second, stored.ref).case == invented_case(1)
    second.close()


def test_the_very_same_case_is_there_once(archive):
    first = store_case(archive, invented_case(1), [kept(archive, "a.jpg")])
    again = store_case(archive, invented_case(1), [kept(archive, "a.jpg")])
    other = store_case(archive, invented_case(1), [kept(archive, "a.jpg", b"another")])
    assert (again.ref, again.added) == (first.ref, False)
    assert other.added
    assert count(archive, Question()) == 2


def test_the_tables_are_those_that_the_code_describes(archive):
    with archive.database.reading() as connection:
        there = {
            name: {column["name"] for column in inspect(connection).get_columns(name)}
            for name in tables.tables
        }
    assert there == {name: set(table.c.keys()) for name, table in tables.tables.items()}


def test_cases_share_the_engines_and_oils_that_they_name(archive):
    for number in range(6):
        store_case(archive, invented_case(number))
    with archive.database.reading() as connection:
        assert sorted(connection.execute(select(engines.c.name)).scalars()) == [
            "Port engine 0",
            "Port engine 1",
            "Port engine 2",
        ]
        distances = connection.execute(
            select(fills.c.distance_km).order_by(fills.c.distance_km)
        ).scalars()
        assert next(iter(distances)) == pytest.approx(9000 * 1.609344)
        zeros = connection.execute(select(zero_checks.c.checked, zero_checks.c.zero_mm)).all()
    assert {tuple(zero) for zero in zeros} == {("2026-08-01", -0.02)}


def test_a_page_goes_on_where_the_last_one_ended(archive):
    stored = [store_case(archive, invented_case(number)).ref for number in range(7)]
    page = find(archive, Question(limit=3))
    seen = [found.ref for found in page.cases]
    while page.next is not None:
        page = find(archive, Question(limit=3, after=page.next))
        seen += [found.ref for found in page.cases]
    assert seen == stored[::-1]


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("lock-gate", range(6)),
        ("fahre ÜBERLIN", range(6)),
        ("launch 4", [4]),
        ("nothing like it", []),
        ("'; DROP TABLE cases; --", []),
        ('" OR "1', []),
        ("5w-30 quay", range(6)),
    ],
)
def test_words_are_found_by_their_beginnings_whatever_their_accents(archive, words, numbers):
    stored = [store_case(archive, invented_case(n)).ref for n in range(6)]
    assert refs(archive, words=words) == [stored[n] for n in reversed(list(numbers))]


def test_sorting_by_a_field_puts_those_without_it_last(archive):
    stored = [store_case(archive, invented_case(n)).ref for n in (3, 1, 2)]
    bare = invented_case(9)
    without = store_case(
        archive, bare.model_copy(update={"fill": type(bare.fill)(), "title": "Bare"})
    ).ref
    upwards = refs(archive, sort="fill.run.distance")
    assert upwards == [stored[1], stored[2], stored[0], without]
    assert refs(archive, sort="-fill.run.distance") == [stored[0], stored[2], stored[1], without]
    one_by_one, after = [], None
    for _ in range(4):
        page = find(archive, Question(sort="fill.run.distance", limit=1, after=after))
        one_by_one += [found.ref for found in page.cases]
        after = page.next
    assert one_by_one == upwards
    assert after is None


@pytest.mark.parametrize(
    ("typed", "numbers"),
    [
        ("fill.run.distance >= 9 003 mi", {3, 4, 5}),
        ("fill.run.distance < 14488 km", {0, 1, 2}),
        ("fill.drained = 2026-08-03", {2}),
        ("engine.name ~ ENGINE 1", {1, 4}),
        ("report.results.Fe > 15", {4}),
        ("report.results.flash > 200 °C", set(range(6))),
        ("filter.measured.can wall < 0.4 mm", set(range(6))),
        ("report?", set(range(0))),
        ("oil.grade?", set(range(6))),
    ],
)
def test_conditions_compare_numbers_in_any_unit(archive, typed, numbers):
    stored = {store_case(archive, invented_case(n)).ref: n for n in range(6)}
    if typed == "report?":
        with pytest.raises(NotAField, match="lees archive fields"):
            refs(archive, conditions=(condition(typed),))
        return
    assert {stored[ref] for ref in refs(archive, conditions=(condition(typed),))} == numbers


def test_a_condition_of_the_wrong_kind_gets_one_line(archive):
    store_case(archive, invented_case(1))
    with pytest.raises(WrongFilter, match="is a volume"):
        refs(archive, conditions=(Condition("fill.run.distance", ">", "5 L"),))
    with pytest.raises(WrongFilter, match="is no condition"):
        condition("fill.run.distance")


def test_fields_are_listed_with_their_units(archive):
    store_case(archive, invented_case(1))
    names = dict(field_names(archive))
    assert names["fill.run.distance"] == "km"
    assert names["report.results.Fe"] == "mg/kg"
    assert names["title"] is None


def test_two_people_on_one_case_never_overwrite_each_other(archive):
    ref = store_case(archive, invented_case(1)).ref
    change_case(archive, ref, {"/fill/run": "9 400 mi"}, seen=1)
    change_case(archive, ref, {"/owner/name": "Pilots' guild"}, seen=1)
    with pytest.raises(ChangedMeanwhile, match=r"fill\.run\.distance.*by inspector"):
        change_case(archive, ref, {"/fill/run/distance": "9 500 mi"}, seen=1)
    found = get_case(archive, ref)
    assert found.version == 3
    assert found.case.fill.run.distance.text == "9 400 mi"
    assert found.case.owner.name == "Pilots' guild"
    assert refs(archive, words="guild") == [ref]
    assert refs(archive, conditions=(condition("fill.run.distance = 9400 mi"),)) == [ref]


def test_a_cleared_field_is_gone_and_a_wrong_one_is_refused(archive):
    ref = store_case(archive, invented_case(1)).ref
    change_case(archive, ref, {"/fill/run": ABSENT}, seen=1)
    assert get_case(archive, ref).case.fill.run is None
    with pytest.raises(ValidationError, match="is a volume"):
        change_case(archive, ref, {"/fill/run/distance": "5 L"}, seen=2)
    with pytest.raises(ValidationError):
        change_case(archive, ref, {"/fill/rum": "9 km"}, seen=2)
    assert get_case(archive, ref).version == 2


def test_a_change_that_changes_nothing_is_not_one(archive):
    ref = store_case(archive, invented_case(1)).ref
    assert change_case(archive, ref, {"/fill/run": "9001 mi"}, seen=1).version == 1
    assert [deed.act for deed in deeds(archive, kind="case")] == ["stored"]


def test_pictures_can_be_added_to_a_case_that_somebody_else_changes(archive):
    ref = store_case(archive, invented_case(1)).ref
    add_file(archive, ref, kept(archive, "one.jpg", b"1"), entered={"of": "media"})
    change_case(archive, ref, {"/fill/run": "9 400 mi"}, seen=1)
    add_file(archive, ref, kept(archive, "two.jpg", b"2"), entered={"of": "pleats"})
    found = get_case(archive, ref)
    assert [picture.file for picture in found.case.picture] == ["one.jpg", "two.jpg"]
    assert [file.name for file in found.files] == ["one.jpg", "two.jpg"]
    assert find(archive, Question()).cases[0].pictures == 2
    with pytest.raises(UnsafeName, match="twice"):
        add_file(archive, ref, kept(archive, "One.JPG", b"3"), entered={})


@pytest.mark.parametrize(
    "name",
    ["../out.jpg", "/etc/passwd", "a/../../b", "C:\\x.jpg", "a\x00.jpg", "x" * 300, "con.jpg", ""],
)
def test_a_hostile_file_name_is_refused_and_nothing_stored(archive, name):
    with pytest.raises(UnsafeName):
        store_case(archive, invented_case(1), [kept(archive, name)])
    assert count(archive, Question()) == 0


def test_the_bin_keeps_what_is_put_into_it(archive):
    ref = store_case(archive, invented_case(1)).ref
    bin_case(archive, ref)
    assert refs(archive) == []
    assert refs(archive, words="launch") == []
    assert refs(archive, binned=True) == [ref]
    assert get_case(archive, ref).case == invented_case(1)
    with pytest.raises(InTheBin, match="unbin"):
        change_case(archive, ref, {"/title": "New"}, seen=2)
    unbin_case(archive, ref)
    assert refs(archive) == [ref]
    assert [deed.act for deed in deeds(archive, ref=ref)] == ["unbinned", "binned", "stored"]


def test_what_is_not_there_is_named(archive):
    with pytest.raises(NotFound, match="no case “nowhere”"):
        get_case(archive, "nowhere")
    with pytest.raises(NotAField, match=r"fill\.rum"):
        refs(archive, sort="fill.rum")


def test_hostile_texts_are_kept_as_they_are(archive):
    text = '\'; DROP TABLE cases; -- "x" \\ %_ \u202e ﷺ 😀 <script>alert(1)</script>'
    case = replace_title(invented_case(1), text)
    ref = store_case(archive, case).ref
    assert get_case(archive, ref).case.title == text
    assert refs(archive, words="script alert") == [ref]
    assert refs(archive, conditions=(Condition("title", "~", "%_"),)) == [ref]
    assert refs(archive, conditions=(Condition("title", "~", "x%x"),)) == []


def replace_title(case, title):
    return type(case).model_validate({**case.model_dump(by_alias=True), "title": title})


def test_questions_can_be_asked_page_by_page_with_words_and_conditions(archive):
    stored = [store_case(archive, invented_case(n)).ref for n in range(5)]
    question = Question(
        words="launch", conditions=(condition("fill.run.distance > 9000 mi"),), limit=2
    )
    page = find(archive, question)
    following = find(archive, replace(question, after=page.next))
    assert [found.ref for found in page.cases + following.cases] == stored[:0:-1]
    assert count(archive, question) == 4


def test_an_order_by_a_field_and_conditions_go_together(archive):
    stored = [store_case(archive, invented_case(n)).ref for n in range(4)]
    found = refs(
        archive,
        sort="-report.results.Fe",
        words="launch",
        conditions=(condition("engine.name?"), condition("fill.run.distance > 9000 mi")),
    )
    assert found == [stored[3], stored[2], stored[1]]
