"""Whole cases judged: answers, what they rest on, missing parts, contradictions, repeatability."""

import datetime
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from judge.judge_cases import LONG_RUN, facts
from lees.case.records import (
    ParticleSeen,
    ParticlesSeen,
    ReportRead,
    Result,
    SampleRead,
)
from lees.case.toml import read_case
from lees.judge.findings import About, Action, as_json
from lees.judge.verdict import verdict
from lees.quantity.measured import Measured


def judged(source, **more):
    return verdict(facts(source, **more), made_with="test")


def text(findings):
    return json.dumps(as_json(findings), ensure_ascii=False)


def test_iron_above_the_mean_at_twice_the_distance_is_better_than_average():
    findings = judged(LONG_RUN)
    iron = findings.statement("wear.iron").text
    assert "1.5 mg/kg per 1000 mi" in iron
    assert "against 2.3" in iron
    assert "slower than its peers" in iron
    assert findings.answer(About.ENGINE).action is Action.CARRY_ON


def test_every_answer_and_statement_rests_on_facts_that_are_there():
    findings = judged(LONG_RUN)
    known = {fact.id for fact in findings.facts}
    stated = {statement.id for statement in findings.statements}
    for statement in findings.statements:
        assert set(statement.facts) <= known, statement.id
        assert statement.sources
    for answer in findings.answers:
        assert set(answer.because) <= stated


def test_the_same_case_gives_the_same_bytes():
    assert text(judged(LONG_RUN)) == text(judged(LONG_RUN))


@pytest.mark.parametrize(
    "source",
    [
        'title = "nothing"',
        'title = "x"\n[report]\nresults = { Fe = "12 ppm" }',
        'title = "x"\n[filter]\nname = "tall canister"',
        'title = "x"\n[fill]\nrun = "400 h"\n[report]\nresults = { bn = "0 mgKOH/g", Fe = "0", kv100 = "0.5" }\n[oil]\ngrade = "5W-30"',
        'title = "x"\n[oil]\ngrade = "plum"\n[report]\nresults = { kv100 = "10", sus210 = "900" }',
        'title = "x"\n[fill]\nrun = "0 km"\n[report]\nresults = { Fe = "trace", bn = "5" }\n[oil.fresh]\nresults = { bn = "5" }',
    ],
)
def test_missing_parts_and_absurd_values_are_said_and_never_crash(source):
    findings = judged(source)
    assert len(findings.answers) == 4
    assert all(answer.sentence.endswith(".") for answer in findings.answers)
    text(findings)


def test_what_cannot_be_told_has_no_likelihood():
    findings = judged('title = "x"\n[filter]\nparts = [{ part = "can", condition = "sound" }]')
    assert findings.answer(About.ENGINE).likelihood is None
    assert findings.answer(About.OIL).likelihood is None
    assert "cannot tell" in findings.answer(About.OIL).sentence


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            'run = "12 000 mi"',
            'run = "12 000 mi"\npoured = 2026-05-01\ndrained = 2026-04-01',
            "before it was poured",
        ),
        (
            'run = "12 000 mi"',
            'run = "12 000 mi"\npoured = 2026-05-01\ndrained = 2026-05-02',
            "more than an engine runs",
        ),
        (
            'run = "12 000 mi"',
            'run = "12 000 mi"\nengine_total = "9 000 mi"',
            "less than this fill's",
        ),
        ('Fe = "18 ppm"', 'Fe = "18 %"', "not possible"),
    ],
)
def test_facts_that_cannot_be_so_become_warnings(old, new, says):
    findings = judged(LONG_RUN.replace(old, new, 1))
    assert any(says in warning for warning in findings.warnings)


def sample(distance_km, **results):
    return SampleRead(
        label="A1",
        date=datetime.date(2026, 8, 1),
        oil_distance_km=distance_km,
        results={
            key: Result(value, "mg/kg", 1.0, text=str(value)) for key, value in results.items()
        },
    )


def test_typed_wins_over_read_and_both_are_told():
    report = ReportRead("report.pdf", samples=(sample(19312, Fe=81.0, Ni=1.0),))
    findings = judged(LONG_RUN, report=report)
    row = next(row for row in findings.elements if row.key == "Fe")
    assert row.value.value == 18
    assert any("typed 18 ppm, read 81" in warning for warning in findings.warnings)
    assert any(row.key == "Ni" for row in findings.elements)


def test_a_run_printed_otherwise_than_typed_is_told():
    report = ReportRead("report.pdf", samples=(sample(9000, Fe=18.0),))
    assert any("printed on the report" in w for w in judged(LONG_RUN, report=report).warnings)


def test_earlier_samples_become_this_engines_past_at_this_run():
    past = SampleRead(
        label="A0",
        date=datetime.date(2025, 8, 1),
        oil_distance_km=9656.064,
        results={"Fe": Result(10.0, "mg/kg", 1.0)},
    )
    report = ReportRead("report.pdf", samples=(sample(19312.128, Fe=18.0), past))
    row = next(r for r in judged(LONG_RUN, report=report).elements if r.key == "Fe")
    assert row.past == (pytest.approx(20.0),)


def particles(count, size_mm, area_cm2=200.0):
    one = ParticleSeen("bright", Measured(size_mm, 0.02, "mm", "photograph"), size_mm, 1.0, 1.0)
    return ParticlesSeen("media.jpg", area_cm2, 0.1, (one,) * count)


def test_a_glittering_filter_raises_a_finding_that_quiet_oil_would_not():
    source = LONG_RUN + "[filter]\nopened = true\nmedia = { swarf_wiped = true }\n"
    quiet = judged(source, seen=(particles(1, 0.3),))
    loud = judged(source, seen=(particles(80, 0.6),))
    assert quiet.answer(About.ENGINE).action is Action.CARRY_ON
    assert loud.answer(About.ENGINE).action is not Action.CARRY_ON
    assert loud.next_fill.advised < quiet.next_fill.advised
    assert loud.checks


def test_particles_in_an_unopened_filter_are_named_as_a_contradiction():
    source = LONG_RUN + "[filter]\nopened = false\n"
    assert any(
        "not to have been opened" in w for w in judged(source, seen=(particles(3, 0.3),)).warnings
    )


def test_fuel_that_takes_the_viscosity_out_of_grade_says_stop():
    source = LONG_RUN.replace("10.0 mm²/s", "8.3 mm²/s").replace(
        '"228 °C"', '"160 °C", fuel = "4 %"'
    )
    findings = judged(source)
    assert findings.answer(About.OIL).action is Action.ACT_NOW
    assert findings.next_fill.advised is None


def test_flash_points_of_different_cups_are_not_compared():
    source = LONG_RUN.replace('flash = "D92" }\nadvised', 'flash = "D93" }\nadvised')
    assert "not comparable" in judged(source).statement("oil.flash").text


def test_saybolt_seconds_that_disagree_with_the_viscosity_are_asked_about():
    # 10.00 mm²/s is 59.23 SUS by the 210 °F equation (ASTM D2161).
    agree = judged(
        LONG_RUN.replace(
            'kv100 = "10.0 mm²/s", flash = "228',
            'kv100 = "10.0 mm²/s", sus210 = "59.2 SUS", flash = "228',
        )
    )
    assert "agree, converted straight" in agree.statement("oil.agree.sus210").text
    wrong = judged(
        LONG_RUN.replace(
            'kv100 = "10.0 mm²/s", flash = "228',
            'kv100 = "10.0 mm²/s", sus210 = "95.2 SUS", flash = "228',
        )
    )
    assert wrong.statement("oil.agree.sus210").action is Action.LOOK_CLOSER


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            ["Fe", "Cu", "Pb", "Si", "Na", "kv100", "kv40", "vi", "bn", "an", "sus210"]
        ),
        st.one_of(
            st.floats(0, 1e5).map(lambda v: f"{v:.4f}"), st.sampled_from(["0", "trace", "<1"])
        ),
    ),
    st.sampled_from(["9 000 km", "1 km", "400 h", "0 km", "999999 mi"]),
)
def test_no_results_make_the_judge_fall(results, run):
    lines = ", ".join(f'{key} = "{value}"' for key, value in results.items())
    source = (
        f'title = "x"\n[fill]\nrun = "{run}"\n[oil]\ngrade = "5W-30"\n'
        '[oil.fresh]\nresults = { bn = "8", kv100 = "10.4" }\n'
        f"[report]\nresults = {{ {lines} }}\n"
        'means = { results = { Fe = "12", Cu = "3" }, run = "9 000 km" }\n'
    )
    read_case(source)
    text(judged(source))


def test_an_instrument_whose_check_is_long_past_is_named():
    from lees.quantity.readings import Instrument, measure

    source = LONG_RUN.replace('run = "12 000 mi"', 'run = "12 000 mi"\ndrained = 2026-08-01')
    source += "[filter]\nopened = true\n"

    def statements(checked):
        caliper = Instrument("caliper", "mm", 0.01, 0.02, zero=0.0, checked=checked)
        found = judged(source, measured=(measure("can wall", [0.38, 0.38], caliper),))
        return [s.id for s in found.statements]

    assert "record.check.caliper" in statements(datetime.date(2025, 6, 1))
    assert "record.check.caliper" not in statements(datetime.date(2026, 1, 1))
