"""Whole files in, proposed results out: the harbour's reports, which another generator draws."""

import pytest

from lees.demo import harbour, reports
from lees.demo.stories import Story
from lees.document.read import read_bytes
from lees.document.readers import NotReadable

STORIES = [story for story in vars(harbour).values() if isinstance(story, Story)]


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.folder)
def test_a_table_of_the_harbour_is_read_whole(story: Story) -> None:
    found = read_bytes(reports.report_csv(story))
    assert len(found.samples) == len(story.fills)
    newest = found.samples[0]
    fill = story.fills[-1]
    assert newest.label == fill.label
    assert newest.date == fill.drained.isoformat()
    printed = story.printed(fill)
    assert set(newest.results) == {key for key in story.reported if printed[key].strip(" -–")}
    for key, result in newest.results.items():
        assert result.text == printed[key]
        assert not result.review, (key, result.reasons)


def test_a_long_table_comes_apart_into_samples() -> None:
    found = read_bytes(
        b"sample,date,parameter,value,unit\n"
        b"A-101,2026-01-03,Iron,12,ppm\nA-101,2026-01-03,Copper,3,ppm\n"
        b"A-102,2026-04-03,Iron,15,ppm\nA-102,2026-04-03,Copper,4,ppm\n"
    )
    assert [sample.label for sample in found.samples] == ["A-101", "A-102"]
    assert [sample.results["Fe"].value for sample in found.samples] == [12, 15]
    assert [sample.date for sample in found.samples] == ["2026-01-03", "2026-04-03"]


def test_decimal_commas_and_grouping_points() -> None:
    found = read_bytes(
        "Parameter;Einheit;Ergebnis;Flottenmittel\nEisen;mg/kg;12,5;9\n"
        "Zink;mg/kg;1.150;1.100\nBlei;mg/kg;<1;2\n".encode("cp1252")
    )
    results = found.samples[0].results
    assert (results["Fe"].value, results["Zn"].value) == (12.5, 1150)
    assert (results["Pb"].value, results["Pb"].qualifier) == (1, "<")
    assert {key: one.value for key, one in found.reference.items()} == {
        "Fe": 9,
        "Zn": 1100,
        "Pb": 2,
    }


def test_samples_means_limits_and_changes_are_kept_apart() -> None:
    found = read_bytes(
        b"Test\tLimit\tA (2026-01-03)\tB (2026-04-04)\tChange\tFleet mean\n"
        b"Iron (Fe), ppm\t<100\t12\t15\t+3\t9\nCopper\t<30\t3\t2\t-1\t4\n"
        b"Miles on oil\t\t8,000 mi\t7,500 mi\t\t6,000 mi\n"
    )
    assert [sample.results["Cu"].value for sample in found.samples] == [3, 2]
    assert found.reference["Fe"].value == 9
    assert found.limits["Fe"].high == 100
    distances = [one.oil_distance.value for one in found.samples if one.oil_distance]
    assert distances == [8000, 7500]


def test_an_invoice_is_no_report() -> None:
    found = read_bytes(
        b"Item,Qty,Price\nCopper pipe 15 mm,4,12.50\nLead flashing,2,30.00\nZinc,10,5.00\n"
        b"Tin,3,2.00\nTotal,,99.00\nInvoice,123,\n"
    )
    assert found.samples == []
    assert found.warnings


@pytest.mark.parametrize(
    "data", [b"", b"\x00" * 64, b"   \n", b"\x7fELF\x02\x01\x01\x00" + bytes(range(256))]
)
def test_no_document_is_said_in_one_line(data: bytes) -> None:
    with pytest.raises(NotReadable) as told:
        read_bytes(data)
    assert "\n" not in str(told.value)
