"""The scenario's facts hang together, by formulas other than those that made them."""

import chemicals
import pytest

from lees.case.readings_file import readings_from_csv
from lees.demo.bench import TALL
from lees.demo.harbour import (
    BASE_NUMBER,
    CALIPER,
    DUST,
    LONG_RUN,
    QUIET_REPORT,
    SHORT_TRIPS,
    STORIES,
)
from lees.demo.laboratory import RECKONED
from lees.demo.physics import diluted_viscosity, flash_with_petrol
from lees.demo.scenario import demo_files
from lees.oil.blending import blend_viscosity
from lees.oil.consistency import (
    index_against_viscosities,
    saybolt_against_kinematic,
    zinc_against_phosphorus,
)
from lees.quantity.entry import DecimalSign, parse_entry
from lees.quantity.measurands import measurand

SAMPLES = [
    pytest.param(story, fill, id=f"{story.folder} {fill.label}")
    for story in STORIES
    for fill in story.fills
]


def number(text):
    return float(text.replace(",", ".").removeprefix("<"))


def printed(story, fill=-1):
    return {key: number(text) for key, text in story.printed(story.fills[fill]).items()}


@pytest.mark.parametrize(("story", "fill"), SAMPLES)
def test_what_a_laboratory_prints_can_be_read_in_its_units(story, fill):
    sign = DecimalSign.COMMA if story.laboratory.decimal_comma else DecimalSign.POINT
    for key, text in story.printed(fill).items():
        unit = story.laboratory.unit(key)
        assert parse_entry(text, measurand(key).dimension, decimal=sign, default=unit).text == text


@pytest.mark.parametrize(("story", "fill"), SAMPLES)
def test_a_laboratory_finds_what_is_true_within_its_scatter(story, fill):
    truth = story.truth(fill)
    found = story.laboratory.measured(truth, "another bottle of the same")
    for key, value in truth.items():
        assert found[key] == pytest.approx(value, rel=0.15, abs=7 if key == "flash" else 0.8)
    assert set(truth) == set(story.reported) - set(RECKONED)


def test_the_index_is_that_of_its_viscosities():
    # chemicals 1.3, viscosity_index: ASTM D2270; rounding of the viscosities leaves about ±2.
    for fill in BASE_NUMBER.fills:
        text = BASE_NUMBER.printed(fill)
        index = chemicals.viscosity_index(number(text["kv40"]) * 1e-6, number(text["kv100"]) * 1e-6)
        assert number(text["vi"]) == pytest.approx(index, abs=2)
        plain = [text[key].replace(",", ".") for key in ("vi", "kv40", "kv100")]
        assert index_against_viscosities(*plain).verdict.consistent > 0.9


def test_saybolt_seconds_are_those_of_the_viscosity():
    # chemicals 1.3, viscosity_converter: a table of the Hydraulic Institute, good to about 1 %.
    for fill in LONG_RUN.fills:
        text = LONG_RUN.printed(fill)
        kv = chemicals.viscosity_converter(
            number(text["sus210"]), "saybolt universal", "kinematic viscosity"
        )
        assert number(text["kv100"]) == pytest.approx(kv * 1e6, rel=0.02)
        held = saybolt_against_kinematic(text["sus210"], text["kv100"])
        assert held.fits == "converted straight from 100 °C"


@pytest.mark.parametrize(("story", "fill"), SAMPLES)
def test_zinc_and_phosphorus_belong_to_one_additive(story, fill):
    text = story.printed(fill)
    assert zinc_against_phosphorus(text["Zn"], text["P"]).verdict.consistent > 0.9


@pytest.mark.parametrize("share", [0.005, 0.01, 0.02, 0.05])
def test_our_two_ways_of_blending_agree(share):
    here = diluted_viscosity(9.93, 0.7, share)
    there = blend_viscosity([9.93, 0.7], [1 - share, share], rule="walther")
    assert here == pytest.approx(float(there), rel=0.002)


def test_petrol_takes_the_flash_point_where_published_blends_have_it():
    # Ljubas, Krpan, Matanović, Nafta 61(2), 2010 (year and issue from memory): 5 % by mass, 150 °C.
    assert flash_with_petrol(230, 0.05) == pytest.approx(150, abs=0.5)
    assert flash_with_petrol(230, 0.0) == pytest.approx(230)


def test_the_long_run_has_more_iron_than_the_mean_and_less_for_its_distance():
    iron = printed(LONG_RUN)["Fe"]
    mean, thousands = LONG_RUN.means.values["Fe"], 6.2
    assert iron > 1.2 * mean
    assert LONG_RUN.fills[-1].thousands > 2 * thousands
    assert iron / LONG_RUN.fills[-1].thousands < 0.8 * mean / thousands


def test_the_quiet_report_is_quiet():
    found = printed(QUIET_REPORT)
    assert all(
        found[key] <= QUIET_REPORT.means.values[key] + 1 for key in QUIET_REPORT.means.values
    )


def test_the_advised_distance_is_beyond_the_base_number_by_both_customary_laws():
    run, advised = BASE_NUMBER.fills[-1].thousands, 22.0
    fresh, left = BASE_NUMBER.oil.bn, printed(BASE_NUMBER)["bn"]
    assert left > 2
    assert fresh - (fresh - left) / run * advised < 2
    assert fresh * (left / fresh) ** (advised / run) < 2
    assert "22.000 km" in BASE_NUMBER.remark


def test_the_zero_that_nobody_looked_at_doubles_the_wall_of_the_can():
    text = dict(demo_files())["04-caliper/caliper.csv"].decode()
    (read,) = (one for one in readings_from_csv(text, file="caliper.csv") if one.what == "can wall")
    walls = [float(reading) for reading in read.readings]
    assert sum(walls) / len(walls) > 2 * TALL["can wall"].mm
    # Sheet-steel cans of passenger-car filters are about 0.3–0.4 mm (common practice, no source).
    assert 0.3 <= TALL["can wall"].mm <= 0.4
    assert CALIPER.folder == "04-caliper"


def test_short_trips_bring_viscosity_and_flash_down_together():
    summer, winter = printed(SHORT_TRIPS, 0), printed(SHORT_TRIPS)
    # SAE J300: grade 30 begins at 9.3 mm²/s at 100 °C.
    assert winter["kv100"] < 9.3 < summer["kv100"]
    fresh_f = SHORT_TRIPS.oil.flash * 1.8 + 32
    assert fresh_f - winter["flash"] > 90
    assert winter["fuel"] > 3 * summer["fuel"]


def test_silicon_and_aluminium_rise_in_the_proportion_of_dust():
    before, now = printed(DUST, 0), printed(DUST)
    # Crust 3.4, quartz-rich test dust to 8.5 (oxide shares of ISO 12103-1 dust, from memory).
    assert 3.4 < (now["Si"] - before["Si"]) / (now["Al"] - before["Al"]) < 8.5
    assert now["Fe"] > 2 * before["Fe"]
    assert now["Cr"] > 2 * before["Cr"]
