"""The demonstration is whole: every case can be read, names files that are there, says what it is."""

import pypdfium2
import pytest

from lees.case.readings_file import readings_from_csv
from lees.case.toml import read_case
from lees.demo.bench import SHORT, TALL, WIDE
from lees.demo.harbour import CALIPER, STORIES
from lees.demo.scenario import CASES, ZERO_LEFT_MM, demo_files
from lees.quantity.entry import parse_entry

FILES = dict(demo_files())
READ = {folder: read_case(FILES[f"{folder}/case.toml"].decode()) for folder in CASES}


def pdf_text(data):
    document = pypdfium2.PdfDocument(data)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def test_the_same_bytes_come_each_time():
    assert dict(demo_files()) == FILES


@pytest.mark.parametrize("folder", CASES)
def test_a_case_names_only_files_that_are_there_and_none_lies_idle(folder):
    case = READ[folder]
    named = {picture.file for picture in case.picture} | {"case.toml"}
    if case.report and case.report.file:
        named.add(case.report.file)
    if case.filter and case.filter.measured_file:
        named.add(case.filter.measured_file)
    there = {path.split("/", 1)[1] for path in FILES if path.startswith(f"{folder}/")}
    assert there == named


@pytest.mark.parametrize("folder", CASES)
def test_every_case_says_that_it_is_invented(folder):
    assert READ[folder].invented
    for path, data in FILES.items():
        if path.startswith(f"{folder}/report.pdf"):
            assert "invented for demonstration" in pdf_text(data).lower()
        if path.startswith(f"{folder}/") and path.endswith((".csv", ".toml")):
            assert b"invented for demonstration" in data.lower()
    assert "invented for demonstration" in FILES["README.md"].decode()


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.folder)
def test_case_and_story_tell_the_same(story):
    case = READ[story.folder]
    last = story.fills[-1]
    unit = story.run_unit
    run = case.fill.run.hours if unit == "h" else case.fill.run.distance
    assert run.to(unit) == pytest.approx(last.thousands * 1000)
    assert case.fill.drained == last.drained == case.sample.date
    assert case.engine.name == story.engine
    assert case.oil.name == story.oil.name
    assert case.sample.label == last.label
    assert case.engine.sump.to("L") * 0.86 == pytest.approx(story.sump_kg, rel=0.005)
    for key, wanted in (("kv100", story.oil.kv100), ("kv40", story.oil.kv40)):
        assert case.oil.fresh.results[key].value == wanted
    assert case.oil.fresh.results["flash"].to("°C") == pytest.approx(story.oil.flash, abs=1)
    for key in story.oil.elements.keys() & case.oil.fresh.results.keys():
        assert case.oil.fresh.results[key].to("mg/kg") == story.oil.elements[key]
    topped_up = sum(one.volume.to("L") for one in case.fill.topped_up or ()) * 0.86
    assert topped_up == pytest.approx(last.top_up_kg, abs=0.01)
    if story.means and story.means.run:
        wanted = float(story.means.run.split()[0].replace(",", ""))
        run = case.report.means.run
        assert (run.hours if unit == "h" else run.distance).to(unit) == wanted


@pytest.mark.parametrize(
    "story",
    [story for story in STORIES if f"{story.folder}/report.pdf" in FILES],
    ids=lambda story: story.folder,
)
def test_the_report_holds_what_the_laboratory_found(story):
    words = pdf_text(FILES[f"{story.folder}/report.pdf"]).split()
    for text in story.printed(story.fills[-1]).values():
        assert text in words


def test_the_figures_told_by_telephone_are_those_of_the_story():
    printed = CALIPER.printed(CALIPER.fills[-1])
    typed = READ[CALIPER.folder].report.results
    assert {key: entry.text.split()[0] for key, entry in typed.items()} == printed


def test_the_caliper_that_nobody_zeroed_is_off_by_one_amount_everywhere():
    text = FILES["04-caliper/caliper.csv"].decode()
    read = {reading.what: reading for reading in readings_from_csv(text, file="caliper.csv")}
    assert read.keys() == TALL.keys()
    for what, size in TALL.items():
        readings = [float(reading) for reading in read[what].readings]
        assert sum(readings) / len(readings) - size.mm == pytest.approx(
            ZERO_LEFT_MM, abs=3 * size.spread_mm
        )
    claims = READ["04-caliper"].filter.claims
    assert claims.can_outer_diameter.to("mm") == pytest.approx(
        TALL["can outer diameter"].mm, abs=0.1
    )
    assert READ["04-caliper"].instruments["caliper"].zero is None


@pytest.mark.parametrize(
    ("folder", "sizes"),
    [("01-long-run", TALL), ("04-caliper", TALL), ("05-short-trips", SHORT), ("06-dust", WIDE)],
)
def test_the_strip_is_as_long_as_its_pleats_are_deep(folder, sizes):
    typed = {reading.what: reading for reading in READ[folder].filter.measured}
    unit = typed["media length"].unit
    lengths = [
        parse_entry(f"{text} {unit}", "length").to("mm") for text in typed["media length"].readings
    ]
    pleats = typed["pleats"].readings[0]
    assert 2 * pleats * sizes["pleat depth"].mm == pytest.approx(
        sum(lengths) / len(lengths), rel=0.01
    )
