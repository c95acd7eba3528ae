"""The letter says what the findings say, is tagged for screen readers, and repeats byte for byte."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pikepdf
import pypdfium2
import pytest

from lees.errors import OutOfRange
from lees.judge.findings import About, Action, Findings, Statement
from lees.publish.letter import letter_pdf
from truth.findings import BARE, CASES, CLEAN, pictures

PICTURES = pictures()


def squeezed(text: str) -> str:
    """Return text without the breaks that setting in lines puts in.

    The reader gives U+FFFE for a hyphen that ends a line.
    """
    return re.sub(r"\s+", "", text.replace("\ufffe", "-").replace("\u200b", ""))


def read_back(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return "\n".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()


def sentences(findings: Findings) -> list[str]:
    said = [answer.sentence for answer in findings.answers]
    said += [
        answer.action.value
        for answer in findings.answers
        if answer.likelihood or answer.action is not Action.CARRY_ON
    ]
    said += [answer.likelihood.value for answer in findings.answers if answer.likelihood]
    said += [statement.text for statement in findings.statements]
    said += [findings.title, findings.inspector_words or "", findings.next_fill.reason]
    said += [*findings.checks, *findings.not_judged, *findings.warnings, *findings.cautions]
    said += [proposal.sentence for proposal in findings.next_fill.proposals]
    said += [one.name for one in findings.explanations] + [
        one.check or "" for one in findings.explanations
    ]
    return said


@pytest.mark.parametrize("case", CASES)
def test_letter_says_what_the_findings_say(case: str) -> None:
    text = squeezed(read_back(letter_pdf(CASES[case], PICTURES)))
    missing = [said for said in sentences(CASES[case]) if squeezed(said) not in text]
    assert not missing


def test_invented_is_said_where_it_is_invented() -> None:
    assert "Invented for demonstration" in read_back(letter_pdf(CLEAN, PICTURES))
    assert "Invented" not in read_back(letter_pdf(BARE, PICTURES))


def test_what_was_not_judged_is_not_said_to_carry_on() -> None:
    text = read_back(letter_pdf(BARE, PICTURES))
    assert "carry on" not in text
    assert text.count("not judged") == 4


@pytest.mark.parametrize("case", CASES)
def test_same_findings_same_bytes(case: str) -> None:
    assert letter_pdf(CASES[case], PICTURES) == letter_pdf(CASES[case], PICTURES)


def test_letter_is_tagged_and_its_pictures_are_described() -> None:
    with pikepdf.open(io.BytesIO(letter_pdf(CLEAN, PICTURES))) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        with pdf.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["pdfaid:part"] == "2"
            assert metadata["pdfaid:conformance"] == "A"
        figures = [tag for tag in tags(pdf.Root.StructTreeRoot) if tag.get("/S") == "/Figure"]
        assert len(figures) >= 6
        assert all(str(figure.get("/Alt", "")) for figure in figures)
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20260902")


def tags(node: pikepdf.Object) -> list[pikepdf.Dictionary]:
    """Return every tag below a node of the structure tree."""
    found = []
    children = node.get("/K", [])
    for child in children if isinstance(children, pikepdf.Array) else [children]:
        if isinstance(child, pikepdf.Dictionary) and "/S" in child:
            found += [child, *tags(child)]
    return found


@pytest.mark.parametrize("case", CASES)
def test_letter_takes_two_pages(case: str) -> None:
    document = pypdfium2.PdfDocument(letter_pdf(CASES[case], PICTURES))
    assert len(document) <= 2
    document.close()


def test_what_the_letter_says_elsewhere_is_no_reason_again() -> None:
    answer = CLEAN.answers[0]
    again = Statement("again", About.ENGINE, answer.sentence)
    case = replace(CLEAN, statements=(*CLEAN.statements, again))
    text = squeezed(read_back(letter_pdf(case, PICTURES)))
    assert text.count(squeezed(answer.sentence)) == 1


def test_sound_parts_and_additives_stand_in_one_line_each() -> None:
    assert CLEAN.filter is not None
    sound = tuple(replace(one, meaning="as it should be") for one in CLEAN.filter.parts[:3])
    boron = replace(CLEAN.elements[0], key="B", name="Boron", text="44 mg/kg")
    case = replace(
        CLEAN, filter=replace(CLEAN.filter, parts=sound), elements=(*CLEAN.elements, boron)
    )
    text = re.sub(r"\s+", " ", read_back(letter_pdf(case, PICTURES)))
    assert "as it should be" not in text
    assert "Found as they should be: media, end caps and anti-drain-back valve." in text
    assert "Additives boron 44 mg/kg" in text


def test_paper() -> None:
    document = pypdfium2.PdfDocument(letter_pdf(CLEAN, PICTURES, paper="letter"))
    assert document[0].get_size() == pytest.approx((612, 792))
    document.close()
    with pytest.raises(OutOfRange, match="a4 or letter"):
        letter_pdf(CLEAN, PICTURES, paper="a5")
