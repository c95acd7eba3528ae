"""`lees scale-card OUT.pdf`: the scale card to print and lay beside the media."""

from __future__ import annotations

from pathlib import Path

from cyclopts import App

from lees.errors import LeesError

app = App(
    name="scale-card", help="Print the scale card for photographs.", result_action="return_value"
)


class CannotWrite(LeesError):
    """A file cannot be written where it was asked for."""


@app.default
def scale_card(out: Path, *, paper: str = "a4") -> None:
    """Write the scale card as a PDF: print it at 100 % and check its 50 mm line.

    Parameters
    ----------
    out
        The PDF to write.
    paper
        The sheet in the printer: a4 or letter.
    """
    from lees.work.scale_card import Paper, scale_card_pdf

    sheets = {sheet.value: sheet for sheet in Paper}
    sheet = sheets.get(paper.strip().lower())
    if sheet is None:
        raise LeesError(f"“{paper}” is no paper known here; choose {' or '.join(sheets)}.")
    try:
        out.write_bytes(scale_card_pdf(sheet))
    except OSError as error:
        raise CannotWrite(
            f"{out} cannot be written ({error.strerror}); choose another place."
        ) from None
    print(f"{out}: print at 100 %, then hold a rule to the 50 mm line.")
