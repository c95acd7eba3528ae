"""The letter: one page for the owner and as a rule one for the engineer, as tagged PDF.

The file keeps to PDF/UA-1 (ISO 14289-1:2014) and PDF/A-2a (ISO 19005-2:2011).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from lees.chart.look import Look
from lees.errors import OutOfRange
from lees.judge.findings import Findings
from lees.publish.content import content, day_of
from lees.publish.drawings import drawings
from lees.publish.photographs import smaller
from lees.publish.press import Press, press
from lees.publish.settable import each, paragraphs, settable, shortened
from lees.publish.wording import Content, words
from lees.quantity.data import text

STANDARDS = ["ua-1", "a-2a"]
PAPERS = {"a4": "a4", "letter": "us-letter"}
SMALL = Look(text_px=7.6)
LOOKS = {
    "spread": replace(SMALL, width_px=503, row=1.5),
    "odds": Look(text_px=8.6, width_px=300),
    "viscosity": SMALL.with_width(240),
    "parts": SMALL.with_width(240),
    "particles": SMALL.with_width(240),
    "areas": SMALL.with_width(140),
    "ring": SMALL.with_width(44),
}
LONGEST_PX = 1100
LONGEST_ALT = 6000
"""PDF/A allows no string above 32 767 bytes (ISO 19005-2, 6.1.13)."""
RUNNING = 90
"""How many letters of a title stand at the foot of each page."""


def letter_pdf(
    findings: Findings,
    pictures: Mapping[str, bytes],
    *,
    paper: str = "a4",
    with_press: Press | None = None,
) -> bytes:
    """Return the letter of a case as PDF.

    `pictures` holds JPEG or PNG files by the names that the findings show; one that is missing is
    left out. `paper` is ``a4`` or ``letter``. The document's date is the case's own, so that the
    same findings give the same bytes.
    """
    if paper not in PAPERS:
        raise OutOfRange("The paper", paper, "a4 or letter")
    ours = with_press or press()
    clean = each(findings, settable)
    data = content(clean)
    data["inspector_words"] = paragraphs(findings.inspector_words, settable)
    files: dict[str, bytes] = {}
    data["paper"] = PAPERS[paper]
    data["running"] = [shortened(one or "", RUNNING) for one in (data["title"], clean.inspector)]
    data["day"] = _day(findings)
    data["drawings"] = _drawn(clean, files, ours)
    data["pictures"] = _shown(findings, clean, pictures, files)
    data["more_pictures"] = _more(len(data["pictures"]) - 1)
    made = ours.pages(
        text("publish", "letter.typ"),
        files,
        data,
        format="pdf",
        pdf_standards=STANDARDS if data["day"] else STANDARDS[:1],
    )
    return bytes(made)


def _day(findings: Findings) -> list[int] | None:
    day = day_of(findings.dates[1]) or day_of(findings.dates[0])
    return [day.year, day.month, day.day] if day else None


def _drawn(clean: Findings, files: dict[str, bytes], ours: Press) -> Content:
    shown = {}
    for name, drawing in drawings(clean, LOOKS, ours).items():
        files[f"drawings/{name}.svg"] = drawing.svg.encode()
        shown[name] = {
            "file": f"drawings/{name}.svg",
            "says": shortened(drawing.says, LONGEST_ALT),
            "width": drawing.width_px,
        }
    return shown


def _more(many: int) -> str:
    """Return where the pictures are that the letter leaves out."""
    word = words()["word"]
    if many < 1:
        return ""
    return str(word["one_more_picture"] if many == 1 else word["more_pictures"].format(many=many))


def _shown(
    findings: Findings, clean: Findings, pictures: Mapping[str, bytes], files: dict[str, bytes]
) -> list[Content]:
    """Return the pictures that are there, under names of our own."""
    shown: list[Content] = []
    for given, safe in zip(findings.pictures, clean.pictures, strict=True):
        photograph = smaller(pictures.get(given.file, b""), LONGEST_PX, "jpeg")
        if photograph:
            name = f"pictures/{len(shown)}.svg"
            files[name] = photograph.as_svg.encode()
            says = f"{safe.of}: {safe.caption}"
            shown.append(
                {
                    "file": name,
                    "says": shortened(says, LONGEST_ALT),
                    "caption": safe.caption,
                    "shape": photograph.width_px / photograph.height_px,
                }
            )
    return shown
