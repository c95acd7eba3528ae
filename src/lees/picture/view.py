"""What a photograph shows before anything is measured on it: scale, media, focus and light."""

from __future__ import annotations

from dataclasses import dataclass

from lees.picture.card import FoundCard, find_cards
from lees.picture.decode import Photograph, Pixels
from lees.picture.focus import Focus, focus_of
from lees.picture.plane import Plane, plane_of_cards, plane_of_scale
from lees.picture.sheet import Sheet, find_sheet, paper_outline
from lees.quantity.arrays import Numbers

_NOMINAL_WIDTH_MM = 120.0


@dataclass(frozen=True, slots=True)
class View:
    """A picture with its scale and its media.

    `scaled` is False where no scale was in sight: `plane` is then a rough guess, good enough to
    tell a particle from a stain and for nothing else. `focus` is None without a card.
    """

    pixels: Pixels
    grey: Pixels
    cards: tuple[FoundCard, ...]
    plane: Plane
    scaled: bool
    papers: tuple[Numbers, ...]
    focus: Focus | None
    warnings: tuple[str, ...]

    @property
    def shape(self) -> tuple[int, int]:
        """The picture's rows and columns."""
        return self.grey.shape[0], self.grey.shape[1]

    def sheet(self) -> Sheet:
        """Return the media in the picture."""
        return find_sheet(self.pixels, self.papers)


def look(photograph: Photograph, *, plane: Plane | None = None) -> View:
    """Return what a photograph shows: its scale from the cards in it, or the one handed in.

    Parameters
    ----------
    photograph : Photograph
        The picture.
    plane
        A plane known by other means, such as a scale typed at the bench; the cards are then left
        out of the media and not measured with.

    Returns
    -------
    View
        With a warning where there is no scale, or where it is a poor one.
    """
    import cv2

    pixels = photograph.pixels
    grey = cv2.cvtColor(pixels, cv2.COLOR_BGR2GRAY)
    shape = (grey.shape[0], grey.shape[1])
    cards = find_cards(grey)
    warnings = list(photograph.notes)
    carded = plane_of_cards(cards, shape) if cards else None
    used = plane or carded
    if used is None:
        nominal = _NOMINAL_WIDTH_MM / max(shape)
        used = plane_of_scale(nominal, shape, relative=0.5)
        warnings.append(
            "no scale in sight: lay the scale card beside the media, or give --mm-per-px; "
            "numbers are counted without sizes"
        )
    papers = tuple(paper_outline(pixels, carded, card) for card in cards) if carded else ()
    if carded is not None and plane is None:
        warnings += _about_cards(cards, carded)
    return View(
        pixels, grey, cards, used, plane is not None or carded is not None, papers,
        focus_of(cards, carded) if carded else None, tuple(warnings),
    )  # fmt: skip


def _about_cards(cards: tuple[FoundCard, ...], plane: Plane) -> list[str]:
    said = [
        f"only two markers of the card {card.first}–{card.first + 3} are in view: "
        "the scale away from them is rough; uncover three or more"
        for card in cards
        if len(card.markers) == 2
    ]
    tilt = plane.tilt_degrees()
    if tilt > 40:
        said.append(f"taken at a tilt of about {tilt:.0f}°: hold the camera square above the media")
    return said
