"""A caliper that types, an opened filter looked at part by part, and a connection that drops."""

import random

from playwright.sync_api import expect

from journeys.conftest import PHONE, faults

BURST_MS = 30


def begun(page, bench, step):
    """Open a step of a case just begun and return its reference."""
    answer = page.request.post("/api/cases", data={"title": "Pilot launch"})
    ref = answer.json()["ref"]
    page.goto(f"/case/{ref}/{step}")
    return ref


def measured(page, ref):
    case = page.request.get(f"/api/cases/{ref}").json()["case"]
    return {one["what"]: one["readings"] for one in case.get("filter", {}).get("measured", [])}


def caliper(page, values, pause_ms=BURST_MS):
    for value in values:
        page.keyboard.type(f"{value}\n")
        page.wait_for_timeout(pause_ms)


def all_sent(page):
    expect(page.locator(".pending")).to_have_count(0, timeout=30_000)


def test_a_burst_of_twenty_is_neither_lost_nor_merged(page, bench):
    ref = begun(page, bench, "measuring")
    expect(page.locator("#asked")).to_contain_text("jaws closed")
    caliper(page, ["0.00"])
    rng = random.Random(7)
    wall = [f"{rng.gauss(0.38, 0.005):.2f}" for _ in range(5)]
    diameter = [f"{rng.gauss(76.2, 0.02):.2f}" for _ in range(5)]
    height = [f"{rng.gauss(98.0, 0.02):.2f}" for _ in range(5)]
    plate = [f"{rng.gauss(3.1, 0.01):.2f}" for _ in range(5)]
    caliper(page, wall + diameter + height + plate)
    all_sent(page)
    assert measured(page, ref) == {
        "can wall": wall,
        "can diameter": diameter,
        "can height": height,
        "base plate thickness": plate,
    }
    case = page.request.get(f"/api/cases/{ref}").json()["case"]
    assert case["instruments"]["caliper"]["zero"] == "0.00 mm"
    expect(page.locator("#m-can-wall .dots circle")).to_have_count(5)
    assert faults(page) == []


def test_readings_wait_while_the_connection_is_gone(page, context, bench):
    ref = begun(page, bench, "measuring")
    caliper(page, ["0.01"])
    all_sent(page)
    context.set_offline(True)
    values = ["0.38", "0.37", "0.38", "0.39", "0.38"]
    caliper(page, values)
    expect(page.locator(".pending")).to_have_count(5)
    expect(page.locator("#offline")).to_contain_text("kept here")
    context.set_offline(False)
    all_sent(page)
    assert measured(page, ref) == {"can wall": values}


def test_readings_that_wait_survive_a_reload(page, context, bench):
    ref = begun(page, bench, "measuring")
    caliper(page, ["0.01"])
    all_sent(page)
    page.route("**/readings", lambda route: route.abort())
    caliper(page, ["0.38", "0.37"])
    expect(page.locator(".pending")).to_have_count(2)
    page.unroute("**/readings")
    page.reload()
    all_sent(page)
    assert measured(page, ref) == {"can wall": ["0.38", "0.37"]}


def test_one_that_arrived_though_the_answer_was_lost_is_taken_once(page, bench):
    ref = begun(page, bench, "measuring")
    caliper(page, ["0.00"])
    all_sent(page)
    lost = []

    def lose_first_answer(route):
        answer = route.fetch()
        if lost:
            route.fulfill(response=answer)
        else:
            lost.append(answer.status)
            route.abort()

    page.route("**/readings", lose_first_answer)
    caliper(page, ["0.38"])
    all_sent(page)
    assert lost == [200]
    assert measured(page, ref) == {"can wall": ["0.38"]}


def test_a_reading_out_of_family_speaks_up_and_can_be_taken_out(page, bench):
    ref = begun(page, bench, "measuring")
    caliper(page, ["0.00", "0.38", "0.38", "0.37", "3.8"])
    all_sent(page)
    expect(page.locator("#speaks")).to_contain_text("far from the others")
    assert faults(page) == []
    page.locator("#m-can-wall .reading", has_text="3.8").click()
    expect(page.locator("#m-can-wall .reading")).to_have_count(3)
    assert measured(page, ref) == {"can wall": ["0.38", "0.38", "0.37"]}


def test_inches_fractions_and_slips(page, bench):
    ref = begun(page, bench, "measuring")
    caliper(page, ["0.00"])
    page.get_by_role("radio", name="in", exact=True).check()
    caliper(page, ["0.0150", "0.38 mm", "1/64"])
    page.locator("#m-media-length .measure-pick").click()
    caliper(page, ["52 1/2 in", "14..3"])
    all_sent(page)
    expect(page.locator("#refused")).to_contain_text("14..3")
    assert measured(page, ref) == {
        "can wall": ["0.0150", "0.38 mm", "1/64"],
        "media length": ["52 1/2 in"],
    }
    page.get_by_role("button", name="Type it again").click()
    expect(page.locator("#reading")).to_have_value("14..3")


def test_parts_are_noted_in_words_that_the_verdict_understands(page, bench):
    ref = begun(page, bench, "opening")
    assert faults(page) == []
    page.locator("#filter-opened-yes").check(force=True)
    expect(page.locator("#filter-opened-said")).to_have_text("saved")
    page.get_by_label("dented").check()
    expect(page.locator("#part-can-said")).to_have_text("saved")
    expect(page.locator("#part-can .part-found")).to_have_text("dented")
    page.locator("#part-gasket summary").click()
    page.get_by_label("hardened but whole").check()
    page.locator("#gasket-seen").fill("a mark all round")
    page.keyboard.press("Tab")
    expect(page.locator("#part-gasket-said")).to_have_text("saved")
    page.reload()
    found = page.request.get(f"/api/cases/{ref}").json()["case"]["filter"]
    assert found["opened"] is True
    assert found["parts"] == [
        {"part": "can", "condition": "dented"},
        {"part": "gasket", "condition": "hard", "seen": "a mark all round"},
    ]
    assert faults(page) == []


def test_both_pages_fit_a_phone(page, bench):
    page.set_viewport_size(PHONE)
    page.emulate_media(color_scheme="dark")
    for step in ("opening", "measuring"):
        begun(page, bench, step)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        assert faults(page) == []
