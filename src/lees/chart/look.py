"""What a chart looks like wherever it is shown: the palette, the letters and the size."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Palette:
    """Four inks on a ground: for text, for what is secondary, for what lies behind, one accent.

    Each ink is a colour of its own, so that a drawing can be given another palette afterwards.
    `ground` is nothing where the drawing lies on something else.
    """

    ink: str
    quiet: str
    faint: str
    accent: str
    ground: str | None = None


LIGHT = Palette(ink="#1b2226", quiet="#56626a", faint="#d9e1e4", accent="#0b6273")
DARK = Palette(ink="#f1f4f5", quiet="#a9b7bd", faint="#3a474e", accent="#7fd3df")


@dataclass(frozen=True, slots=True)
class Look:
    """How one chart is drawn: its palette, its letters and its width.

    `text_px` is the size of ordinary letters, to which lines and marks keep their proportion.
    `scale_numbers` says whether axes carry figures; a card that is read at a glance has none.
    `row` is the height of one line of a chart of lines, as a share of the letters'.
    """

    palette: Palette = LIGHT
    text_px: float = 11.0
    width_px: float = 640.0
    font: str = "Lees Sans"
    scale_numbers: bool = True
    row: float = 1.95

    @property
    def unit(self) -> float:
        """Return the length to which marks keep their proportion, 1 px at 11 px letters."""
        return self.text_px / 11.0

    @property
    def is_narrow(self) -> bool:
        """Tell whether a line holds too few letters for side columns."""
        return self.width_px < 42 * self.text_px

    def with_width(self, width_px: float) -> Look:
        """Return the same look at another width."""
        return replace(self, width_px=width_px)
