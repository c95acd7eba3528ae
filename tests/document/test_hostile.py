"""Broken, locked, swollen and lying files end in one clear line, or in nothing found."""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from lees.document.read import read_bytes
from lees.document.readers import NotReadable
from lees.document.records import Report
from lees.errors import LeesError
from truth.reports import draw
from truth.reports.truth import invent

REPORTS = {
    kind: getattr(draw, kind)(invent(77))
    for kind in ("pdf", "table", "sheet", "page", "data", "text")
}


def read_or_refused(data: bytes) -> Report | None:
    """Read a file, or return nothing where it is refused in one line."""
    try:
        return read_bytes(data)
    except NotReadable as error:
        told = str(error)
    assert 10 < len(told) < 300, told
    assert "\n" not in told
    return None


def one_line(error: pytest.ExceptionInfo[LeesError]) -> bool:
    return 10 < len(str(error.value)) < 300 and "\n" not in str(error.value)


@pytest.mark.parametrize("kind", REPORTS)
@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.97])
def test_a_file_cut_short_never_breaks_the_reader(kind: str, share: float) -> None:
    data = REPORTS[kind][: int(len(REPORTS[kind]) * share)]
    read_or_refused(data)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    kind=st.sampled_from(sorted(REPORTS)),
    at=st.floats(0, 1),
    junk=st.binary(min_size=1, max_size=40),
)
def test_bytes_changed_at_random_never_break_the_reader(kind: str, at: float, junk: bytes) -> None:
    data = REPORTS[kind]
    place = int(at * (len(data) - 1))
    read_or_refused(data[:place] + junk + data[place + len(junk) :])


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.binary(max_size=600))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    read_or_refused(data)


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.lists(st.text(max_size=14), max_size=6), max_size=12))
def test_any_table_is_read(rows: list[list[str]]) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(
        [[cell.replace("\r", " ").replace("\n", " ") for cell in row] for row in rows]
    )
    data = out.getvalue().encode("utf-8", "surrogatepass")
    if data.strip():
        read_or_refused(data)


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
        lambda inner: (
            st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=9), inner, max_size=4)
        ),
        max_leaves=25,
    )
)
def test_any_data_is_read(content: object) -> None:
    read_or_refused(json.dumps([content]).encode())


def test_a_locked_pdf_says_so() -> None:
    with pikepdf.open(io.BytesIO(REPORTS["pdf"])) as document:
        out = io.BytesIO()
        document.save(out, encryption=pikepdf.Encryption(owner="a", user="b"))
    with pytest.raises(NotReadable, match="password") as error:
        read_bytes(out.getvalue())
    assert one_line(error)


def test_many_pages_and_a_page_two_kilometres_wide() -> None:
    document = pikepdf.new()
    for _ in range(2000):
        document.add_blank_page(page_size=(200, 200))
    document.add_blank_page(page_size=(14_400, 14_400))
    document.pages[-1].MediaBox = [0, 0, 5_670_000, 5_670_000]
    document.pages.insert(0, document.pages[-1])
    out = io.BytesIO()
    document.save(out)
    assert read_bytes(out.getvalue()).samples == []


def test_a_page_tree_that_bites_its_tail() -> None:
    document = pikepdf.new()
    document.add_blank_page()
    document.Root.Pages.Kids.append(document.Root.Pages)
    out = io.BytesIO()
    document.save(out)
    found = read_or_refused(out.getvalue())
    assert found is None or found.samples == []


def test_scripts_and_attachments_in_a_pdf_are_left_alone() -> None:
    with pikepdf.open(io.BytesIO(REPORTS["pdf"])) as document:
        document.Root.OpenAction = pikepdf.Dictionary(
            S=pikepdf.Name.JavaScript, JS="app.alert('Iron 999 ppm')"
        )
        document.attachments["iron.txt"] = b"Iron 999 ppm"
        out = io.BytesIO()
        document.save(out)
    values = [r.value for s in read_bytes(out.getvalue()).samples for r in s.results.values()]
    assert values
    assert 999 not in values


def test_a_zip_bomb_in_a_workbook_is_not_unpacked() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * (200 * 1024 * 1024))
    with pytest.raises(NotReadable) as error:
        read_bytes(out.getvalue())
    assert one_line(error)


def test_entities_in_a_workbook_are_not_expanded() -> None:
    bomb = (
        '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "aaaaaaaaaa">'
        + "".join(f'<!ENTITY {chr(98 + k)} "{f"&{chr(97 + k)};" * 10}">' for k in range(9))
        + "]><sst><si><t>&j;</t></si></sst>"
    )
    source = zipfile.ZipFile(io.BytesIO(REPORTS["sheet"]))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for part in source.infolist():
            name = part.filename
            archive.writestr(name, bomb if name == "xl/sharedStrings.xml" else source.read(part))
    read_or_refused(out.getvalue())


def test_an_image_bomb_is_refused_before_it_is_unpacked() -> None:
    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            len(body).to_bytes(4, "big") + name + body + zlib.crc32(name + body).to_bytes(4, "big")
        )

    size = (60_000).to_bytes(4, "big")
    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size + size + b"\x08\x00\x00\x00\x00")
    bomb += chunk(b"IDAT", zlib.compress(b"\x00" * 100_000)) + chunk(b"IEND", b"")
    with pytest.raises(NotReadable) as error:
        read_bytes(bomb, lambda picture: [])
    assert one_line(error)


def test_a_picture_without_the_extra_says_how_to_get_it() -> None:
    out = io.BytesIO()
    Image.new("RGB", (300, 200), "white").save(out, "PNG")
    with pytest.raises(NotReadable, match=r"pip install 'lees\[ocr\]'"):
        read_bytes(out.getvalue())


def test_nesting_without_end_is_refused_or_read() -> None:
    for data in (b"[" * 100_000, b'{"a":' * 50_000 + b"1" + b"}" * 50_000, b"<div>" * 50_000):
        found = read_or_refused(data)
        assert found is None or found.samples == []


def test_a_web_page_s_remote_parts_and_scripts_do_not_count() -> None:
    found = read_bytes(
        b"<html><head><script>var t='<table><tr><td>Iron</td><td>99</td></tr></table>'</script>"
        b"<link rel=stylesheet href='http://example.org/x.css'></head><body>"
        b"<table><tr><td>Iron</td><td>12 ppm</td></tr><tr><td>Copper</td><td>4 ppm</td></tr>"
        b"<tr><td>Lead</td><td>3 ppm</td></tr></table><img src='http://example.org/a.png'></body></html>"
    )
    assert found.samples[0].results["Fe"].value == 12


def test_marks_that_hide_or_turn_text_are_gone_from_what_is_shown() -> None:
    found = read_bytes(
        "test,result\nIr\u202eon,12\u200b ppm\x00\nCopper,4 ppm\nLead,3 ppm\n".encode()
    )
    for result in found.samples[0].results.values():
        assert result.text.isprintable()


def test_formulas_in_a_table_are_never_results() -> None:
    found = read_bytes(
        b"test,result\nIron,=2+3\nCopper,@SUM(1)\nLead,+cmd|' /C calc'!A0\nTin,4 ppm\n"
    )
    for sample in found.samples:
        assert set(sample.results) <= {"Sn"}
        for result in sample.results.values():
            assert not result.text.startswith(("=", "+", "@", "-"))
