"""`case.toml` says where it is wrong, keeps what was typed, and comes back as it went."""

import json
from pathlib import Path

import jsonschema
import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from lees.case.model import Case, Engine, Fill, Report, Run, TopUp
from lees.case.schema import case_schema
from lees.case.toml import UnreadableCase, line_of, read_case, write_case
from lees.quantity.entry import parse_entry

FULL = """
title = "Pilot launch, port engine, summer 2026"
invented = true

[engine]
name = "Port engine"
sump = "5.2 L"
maker_interval = { distance = "10 000 mi", months = 12 }

[fill]
poured = 2026-03-01
drained = 2026-08-19
run = "9 300 mi"
topped_up = ["0.5 L", { volume = "0.25 L", at = "4 000 mi" }]

[oil.fresh]
results = { kv100 = "10.4 mm2/s", flash = "232 °C", bn = "8.4 mgKOH/g" }
methods = { bn = "D2896" }

[report]
results = { Fe = "12 ppm", flash = "395 °F", kv100 = 10.1, fuel = "<0.5 %" }

[filter]
measured = [
  { what = "can wall", readings = [0.38, 0.39], with = "caliper" },
  { what = "gasket thickness", readings = ["5.1"], with = "caliper" },
]

[instruments.caliper]
zero = "-0.02 mm"

[[picture]]
file = "media.jpg"
of = "media"
"""


def test_a_full_case_is_understood():
    case = read_case(FULL)
    assert case.fill.run.distance_km == pytest.approx(9300 * 1.609344)
    assert case.fill.topped_up[1].at.distance.text == "4 000 mi"
    assert case.report.results["flash"].to("°C") == pytest.approx(201.67, abs=0.01)
    assert case.report.results["fuel"].qualifier == "<"
    assert case.filter.measured[0].instrument == "caliper"


def test_a_case_comes_back_as_it_went():
    case = read_case(FULL)
    assert read_case(write_case(case)) == case


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ('sump = "5.2 L"', 'sump = "5.2 km"', 7, "engine.sump: “5.2 km” is a length"),
        ('sump = "5.2 L"', 'sump = "-5.2 L"', 7, "below zero"),
        ('sump = "5.2 L"', "sump = 5.2", 7, "has no unit"),
        ('sump = "5.2 L"', 'sumb = "5.2 L"', 7, "engine.sumb: is not a field known here"),
        ('Fe = "12 ppm"', 'Xx = "12 ppm"', 21, "“Xx” is not a measurand known here"),
        ('flash = "395 °F"', "flash = 395", 21, "flash: “395” has no unit"),
        ('readings = ["5.1"]', "readings = []", 26, "filter.measured.no. 2.readings"),
        ('of = "media"', 'of = "moon"', 34, "picture.no. 1.of: it must be"),
        ("poured = 2026-03-01", 'poured = "soon"', 11, "fill.poured"),
        ("invented = true", "invented = true\ninvented = true", 4, "second time"),
        ("[engine]", "[engine", 5, "not TOML"),
    ],
)
def test_a_slip_is_named_with_file_line_and_field(old, new, line, says):
    with pytest.raises(UnreadableCase) as caught:
        read_case(FULL.replace(old, new, 1))
    first = caught.value.problems[0]
    assert first.startswith(f"case.toml, line {line}"), first
    assert says in first


def test_all_slips_are_named_at_once():
    with pytest.raises(UnreadableCase) as caught:
        read_case(FULL.replace("5.2 L", "5.2 km").replace("9 300 mi", "9 300"))
    assert len(caught.value.problems) == 2


def test_an_ambiguous_number_is_asked_about_unless_the_case_declares_its_sign():
    text = 'title = "x"\n[fill]\nrun = "9,300 km"'
    with pytest.raises(UnreadableCase, match="could be 9300"):
        read_case(text)
    assert read_case('decimal = "point"\n' + text).fill.run.distance_km == 9300
    assert read_case('decimal = "comma"\n' + text).fill.run.distance_km == pytest.approx(9.3)


def test_a_run_may_be_a_distance_hours_or_months():
    for typed, field in (("402 h", "hours"), ("9 300 mi", "distance"), ("6 months", "months")):
        run = read_case(f'title = "x"\n[fill]\nrun = "{typed}"').fill.run
        assert getattr(run, field) is not None


def test_the_lines_of_nested_and_repeated_parts_are_found():
    text = "[[a]]\nx = 1\n[[a]]\nx = 2\n[b.c]\n'd e' = [\n  {f = 1},\n  {f = 2},\n]\n"
    assert line_of(text, ("a", 1, "x")) == 4
    assert line_of(text, ("b", "c", "d e", 1, "f")) == 8
    assert line_of(text, ("nowhere",)) == 1


def test_the_published_schema_is_that_of_the_models_and_accepts_a_case():
    published = Path(__file__).parents[2] / "docs" / "case.schema.json"
    assert json.loads(published.read_text()) == case_schema()
    data = json.loads(json.dumps(tomlkit.parse(FULL).unwrap(), default=str))
    jsonschema.validate(data, case_schema())
    data["engine"]["sump"] = {"wrong": 1}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, case_schema())


entries = st.builds(
    lambda number, unit: f"{number} {unit}",
    st.decimals(0, 100000, places=2),
    st.sampled_from(["mi", "km"]),
)


@given(
    st.text(min_size=1, max_size=50).filter(lambda t: t.strip() and t.isprintable()),
    entries,
    st.lists(st.sampled_from(["0.5 L", "1 qt"]), max_size=3),
    st.dictionaries(
        st.sampled_from(["Fe", "Cu", "bn", "kv100"]), st.sampled_from(["3", "<1", "trace"])
    ),
)
def test_any_case_written_is_read_back_the_same(title, distance, top_ups, results):
    typed = {
        "Fe": "content",
        "Cu": "content",
        "bn": "base_or_acid_number",
        "kv100": "kinematic_viscosity",
    }
    default = {"Fe": "mg/kg", "Cu": "mg/kg", "bn": "mgKOH/g", "kv100": "mm²/s"}
    case = Case(
        title=title,
        engine=Engine(name=title),
        fill=Fill(
            run=Run(distance=parse_entry(distance, "length")),
            topped_up=tuple(TopUp(volume=parse_entry(text, "volume")) for text in top_ups) or None,
        ),
        report=Report(
            results={
                key: parse_entry(text, typed[key], default=default[key])
                for key, text in results.items()
            }
        ),
    )
    assert read_case(write_case(case)) == case


@given(st.text(max_size=200))
def test_no_text_gives_anything_but_a_case_or_lines(text):
    try:
        read_case(text)
    except UnreadableCase as error:
        problems = error.problems
    else:
        problems = ("",)
    assert all("\n" not in problem for problem in problems)
