"""Which elements tell one formulation of an oil from another (common practice, no source)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lees.errors import OutOfRange

MARKS = ("Ca", "Mg", "Na", "Ba", "Zn", "P", "Mo", "B", "Ti", "W")


def common_marks(oils: Sequence[Mapping[str, float]]) -> tuple[list[str], tuple[str, ...]]:
    """Return the marking elements that all oils have, and those that only some have.

    Parameters
    ----------
    oils : sequence of mapping
        The elements of each oil [mg/kg].

    Returns
    -------
    tuple of list and tuple
        The elements to compare, and those left out.

    Raises
    ------
    OutOfRange
        For fewer than two marking elements in all oils.

    Notes
    -----
    *Valid for* engine oils.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> common_marks([{"Ca": 2100, "Zn": 900, "Mo": 80}, {"Ca": 1200, "Zn": 800}])
    (['Ca', 'Zn'], ('Mo',))
    """
    common = [e for e in MARKS if all(e in oil for oil in oils)]
    some = tuple(e for e in MARKS if e not in common and any(e in oil for oil in oils))
    if len(common) < 2:
        raise OutOfRange(
            "The number of marking elements that all oils have",
            len(common),
            f"two or more of {', '.join(MARKS)}",
        )
    return common, some
