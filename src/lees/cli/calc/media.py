"""`lees calc media`: how much media a filter has."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, number, show, show_example
from lees.quantity.measured import Measured

app = App(
    name="media",
    help="Area of the media by strip and by pleats, whether the two agree, and pleat spacing.",
    result_action="return_value",
)


@app.command
def strip(length: str, width: str) -> None:
    """Area of one face from the unfolded strip.

    Example: lees calc media strip '1830 ± 1.5 mm' '58.0 ± 0.1 mm'   →   1061.4 ± 2.0 cm²

    Parameters
    ----------
    length
        The length of the strip, without the overlap at the seam.
    width
        The width of the strip.
    """
    from lees.filtration.media import strip_area

    show("area, one face", strip_area(_length(length), _length(width)))


@app.command
def pleats(count: str, depth: str, height: str) -> None:
    """Area of one face from the pleats.

    Example: lees calc media pleats 55 '12.0 ± 0.2 mm' '70.0 ± 0.3 mm'   →   924 ± 16 cm²

    Parameters
    ----------
    count
        The number of pleats, such as 54, or 54 ± 0.5 where you cannot tell.
    depth
        The depth of a pleat.
    height
        The height of the pleats along the filter's axis.
    """
    from lees.filtration.media import pleats_area

    show("area, one face", pleats_area(number(count), _length(depth), _length(height)))


@app.command
def agree(first: str, second: str) -> None:
    """Tell whether two areas agree within their uncertainties.

    Example: lees calc media agree '1061.4 ± 2.0 cm²' '1044 ± 16 cm²'   →   they agree

    Parameters
    ----------
    first
        One area with its uncertainty, such as that by the strip.
    second
        The other.
    """
    from lees.filtration.media import agreement

    found = agreement(_area(first), _area(second))
    print(f"difference: {found.difference}")
    print(f"normalised error: {found.normalised_error:.2f}")
    print("they agree" if found.agree else "they do not agree: measure both again")
    print("  source: Eₙ score of ISO 13528:2022; up to 1 agrees")


@app.command
def spacing(count: str, outer: str, inner: str, thickness: str) -> None:
    """Spacing of the pleats at their outer tips and inner folds.

    Example: lees calc media spacing 55 '64.0 mm' '38.0 mm' '0.60 mm'   →   3.6557 ± 0.0016 mm

    Parameters
    ----------
    count
        The number of pleats.
    outer
        The diameter over the outer tips.
    inner
        The diameter at the inner folds.
    thickness
        The thickness of the media.
    """
    from lees.filtration.media import pleat_spacing

    found = pleat_spacing(
        number(count),
        outer_diameter=_length(outer),
        inner_diameter=_length(inner),
        thickness=_length(thickness),
    )
    show("spacing at the outer tips", found.outer)
    show("spacing at the inner folds", found.inner)
    show("free gap at the inner folds", found.inner_gap)


@app.command
def left(length: str, width: str, *, seam: str = "0.0 mm", edge: str = "0.0 mm") -> None:
    """Area of one face that the oil can pass, less seam and glued edges.

    Example: lees calc media left '1830 mm' '58.0 mm' --seam '12 mm' --edge '2.5 mm'   →   963.5

    Parameters
    ----------
    length
        The length of the whole strip.
    width
        The width of the whole strip.
    seam
        The length of strip covered at the seam.
    edge
        The width that each end cap's glue covers.
    """
    from lees.filtration.media import area_left

    found = area_left(
        _length(length), _length(width), seam_overlap=_length(seam), glued_edge=_length(edge)
    )
    show("area that filters, one face", found)


def _length(text: str) -> Measured:
    return measured(text, "length", "mm")


def _area(text: str) -> Measured:
    return measured(text, "area", "cm²")


show_example(app, strip)
