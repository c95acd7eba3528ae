"""A first visit: the demonstration, the service record saved at every field, both sizes."""

import re

import pytest
from playwright.sync_api import expect

from journeys.conftest import PHONE, faults


def test_the_demonstration_comes_onto_the_shelf(page):
    page.goto("/")
    assert faults(page) == []
    page.get_by_role("button", name="Put the demonstration on the shelf").click()
    expect(page.locator(".case")).to_have_count(6, timeout=60_000)
    assert faults(page) == []
    page.get_by_label("Search the shelf").fill("launch")
    page.keyboard.press("Enter")
    expect(page.locator(".case")).to_have_count(1)


def begin(page, title="Pilot launch"):
    page.goto("/")
    page.get_by_label(re.compile("called|new case")).fill(title)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Service", exact=True)).to_be_visible()


def test_every_field_is_saved_as_it_is_left(page):
    begin(page)
    page.get_by_label("Which engine").fill("Pilot launch, engine")
    page.keyboard.press("Tab")
    page.get_by_label("Its family").fill("launch four")
    page.keyboard.press("Tab")
    page.get_by_label("Fuel").select_option("diesel")
    page.get_by_label("How far the oil ran").fill("9 300 mi")
    # leaves the page while the last field is still being saved
    page.get_by_role("link", name="Shelf", exact=True).first.click()
    expect(page.get_by_text("Pilot launch, engine")).to_be_visible()
    page.locator(".case").click()
    expect(page.get_by_label("Which engine")).to_have_value("Pilot launch, engine")
    expect(page.get_by_label("Fuel")).to_have_value("diesel")
    expect(page.get_by_label("How far the oil ran")).to_have_value("9 300 mi")


def test_a_slip_is_said_beside_its_field(page):
    begin(page)
    page.get_by_label("How far the oil ran").fill("9 300 L")
    page.keyboard.press("Tab")
    said = page.locator("#fill-run-distance-said")
    expect(said).to_contain_text("L")
    expect(said).to_have_class("said wrong")
    assert faults(page) == []


def test_a_lost_connection_loses_nothing(page, context):
    begin(page)
    context.set_offline(True)
    page.get_by_label("Which oil").fill("Quay oil")
    page.keyboard.press("Tab")
    expect(page.locator("#offline")).to_contain_text("No connection")
    context.set_offline(False)
    expect(page.locator("#oil-name-said")).to_have_text("saved", timeout=10_000)
    expect(page.locator("#offline")).to_have_text("")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_fit_a_phone(page, scheme):
    page.set_viewport_size(PHONE)
    page.emulate_media(color_scheme=scheme)
    begin(page)
    for place in (page.url, "/"):
        page.goto(place)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        assert faults(page) == []
        small = page.evaluate(
            """[...document.querySelectorAll('main a, main button, main input, main select, nav a')]
            .filter(e => e.offsetParent && e.type !== 'hidden' && !e.closest('p'))
            .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().height])
            .filter(([_, high]) => high < 44)"""
        )
        assert small == []
