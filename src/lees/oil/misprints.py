"""Which number was meant, if a printed one was a slip of the pen, and how likely that is.

The model is ours (no source): a value is misprinted with a small chance beforehand; each kind of
slip is equally likely; what then was meant is judged by how well it fits another value.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations, pairwise

from lees.errors import OutOfRange
from lees.quantity.entry import parse_number

SLIP_BEFOREHAND = 0.005
"""The chance that a printed value is misprinted: an assumption, to be changed (no source)."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A number as printed, its value, and the step of its last digit."""

    text: str
    value: float
    step: float

    @classmethod
    def of(cls, text: str) -> Printed:
        """Return what a printed number says; it must be above zero."""
        number = parse_number(text)
        if number.value <= 0:
            raise OutOfRange("A printed value to be checked", text, "above zero")
        return cls(text.strip(), float(number.value), float(number.step))

    @property
    def rounding(self) -> float:
        """The standard uncertainty that rounding to the last digit left (JCGM 100, F.2.2.1)."""
        return self.step / 12**0.5


@dataclass(frozen=True, slots=True)
class Slip:
    """What may have been meant instead of a printed number, and how likely among all slips."""

    intended: Printed
    kind: str
    weight: float


@dataclass(frozen=True, slots=True)
class AnotherReason:
    """That values disagree for another reason: its chance beforehand, and how likely they then are.

    `density` is on the scale of that of right values, spread thin.
    """

    beforehand: float
    density: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """How well two or more printed values agree, and what could explain it where they do not.

    The probabilities of being right, misprinted, or apart for another reason add up to one;
    `likeliest_slip` is what would have to have been meant, by the name of the value.
    """

    consistent: float
    misprint: float
    other: float
    likeliest_slip: tuple[str, Slip] | None


Density = Callable[[dict[str, Printed]], float]
"""How likely printed values are together, where none of them is a slip."""


def slips(printed: Printed) -> tuple[Slip, ...]:
    """Return the numbers that may have been meant, with equal weight for each kind of slip.

    Parameters
    ----------
    printed : Printed
        The number as printed.

    Returns
    -------
    tuple of Slip
        What may have been meant; the weights add up to one.

    Raises
    ------
    OutOfRange
        For a number with no digit that could be wrong.

    Notes
    -----
    Kinds: one digit wrong, one too many, two neighbours swapped, the decimal sign moved by one or
    two places.

    *Valid for* numbers in decimal notation.

    References
    ----------
    .. [1] The kinds of slip are an assumption, no source.

    Examples
    --------
    >>> [slip.intended.text for slip in slips(Printed.of("104")) if slip.kind == "decimal sign"]
    ['10.4', '1.04', '1040', '10400']
    """
    text = printed.text.replace(",", ".")
    kinds = {
        "a wrong digit": _wrong_digits(text),
        "a digit too many": _fewer_digits(text),
        "swapped digits": _swapped_digits(text),
        "decimal sign": _moved_signs(text),
    }
    found = {
        kind: [t for t in dict.fromkeys(texts) if t != text and float(t) > 0]
        for kind, texts in kinds.items()
    }
    held = {kind: texts for kind, texts in found.items() if texts}
    if not held:
        raise OutOfRange("A printed value to be checked", printed.text, "a number with digits")
    return tuple(
        Slip(Printed.of(meant), kind, 1.0 / len(held) / len(texts))
        for kind, texts in held.items()
        for meant in texts
    )


def judged(values: dict[str, Printed], density: Density, another: AnotherReason) -> Verdict:
    """Return whether values agree as printed, or would if one of them were a slip.

    Parameters
    ----------
    values : dict of str to Printed
        The values that are held against each other, by name.
    density : Density
        How likely such values are together where they are right [1].
    another : AnotherReason
        The chance of another reason beforehand, and how likely the values then are.

    Returns
    -------
    Verdict
        The probabilities, and the likeliest slip.

    Raises
    ------
    OutOfRange
        For a number with no digit that could be wrong.

    Notes
    -----
    Bayes' rule over: all right; one of the values a slip, each intended number weighted, or two
    swapped; another reason. `SLIP_BEFOREHAND` holds for each value and each pair.

    *Valid for* one slip at a time.

    References
    ----------
    .. [1] Bayes' rule; the chances beforehand are assumptions, no source.

    Examples
    --------
    >>> from math import exp
    >>> def alike(v):
    ...     return exp(-0.5 * ((v["a"].value / v["b"].value - 1) / 0.01) ** 2)
    >>> values = {"a": Printed.of("104"), "b": Printed.of("10.4")}
    >>> found = judged(values, alike, AnotherReason(0.02, 0.01))
    >>> found.misprint > 0.6, found.likeliest_slip[1].kind
    (True, 'decimal sign')
    """
    slipped: list[tuple[float, str, Slip]] = []
    for name, printed in values.items():
        for slip in slips(printed):
            meant = {**values, name: slip.intended}
            slipped.append((SLIP_BEFOREHAND * slip.weight * density(meant), name, slip))
    for one, two in combinations(values, 2):
        swapped = {**values, one: values[two], two: values[one]}
        slip = Slip(values[two], f"swapped with {two}", 1.0)
        slipped.append((SLIP_BEFOREHAND * density(swapped), one, slip))
    misprint = sum(weight for weight, _, _ in slipped)
    other = another.beforehand * another.density
    chances = len(values) * (len(values) + 1) / 2  # one for each value, one for each pair
    right = (1.0 - another.beforehand - SLIP_BEFOREHAND * chances) * density(values)
    total = right + misprint + other
    if total == 0.0:  # so far apart that no likelihood is left to a float: no slip explains it
        return Verdict(0.0, 0.0, 1.0, None)
    weight, name, slip = max(slipped, key=lambda one: one[0])
    likeliest = (name, slip) if weight > 0 else None
    return Verdict(right / total, misprint / total, other / total, likeliest)


def _wrong_digits(text: str) -> list[str]:
    return [
        text[:k] + digit + text[k + 1 :]
        for k, c in enumerate(text)
        if c.isdigit()
        for digit in "0123456789"
        if not (k == 0 and digit == "0" and len(text) > 1 and text[1] != ".")
    ]


def _fewer_digits(text: str) -> list[str]:
    shorter = [text[:k] + text[k + 1 :] for k, c in enumerate(text) if c.isdigit()]
    return [
        t for t in shorter if t[:1].isdigit() and (t[0] != "0" or t[1:2] == ".") and t[-1] != "."
    ]


def _swapped_digits(text: str) -> list[str]:
    places = [k for k, c in enumerate(text) if c.isdigit()]
    return [
        text[:a] + text[b] + text[a + 1 : b] + text[a] + text[b + 1 :]
        for a, b in pairwise(places)
        if not (a == 0 and text[b] == "0")
    ]


def _moved_signs(text: str) -> list[str]:
    digits = text.replace(".", "")
    place = text.index(".") if "." in text else len(text)
    found = []
    for move in (-1, -2, 1, 2):
        at = place + move
        if at <= 0:
            found.append("0." + "0" * -at + digits)
        elif at >= len(digits):
            found.append(digits + "0" * (at - len(digits)))
        else:
            found.append(digits[:at] + "." + digits[at:])
    return [str(t).lstrip("0") if not t.startswith("0.") else t for t in found]
