"""Whether a person's words tell of something, or tell that it was not there."""

from __future__ import annotations

import re
from collections.abc import Iterable

_NOT = re.compile(
    r"\b(?:no|not|nothing|none|never|without|neither|nor|free of|free from)\b[^,;.:]*$"
)
"""A denial, with nothing but words of its own clause between it and what it denies."""


def told_of(text: str, words: Iterable[str]) -> bool | None:
    """Return whether a text tells of one of several words; nothing where it is silent.

    Parameters
    ----------
    text : str
        What a person wrote.
    words : iterable of str
        The beginnings of words that tell of one thing.

    Returns
    -------
    bool or None
        Whether it is told of, or denied.

    Examples
    --------
    >>> told_of("grit between the pleats", ["grit"]), told_of("no grit, no sludge", ["grit"])
    (True, False)
    >>> told_of("a faint grey fur", ["grit"]) is None
    True
    """
    lowered = text.casefold()
    denied = False
    for word in words:
        for found in re.finditer(rf"\b{re.escape(word)}", lowered):
            if not _NOT.search(lowered[: found.start()]):
                return True
            denied = True
    return False if denied else None


def magnet_level(text: str) -> int | None:
    """Return what follows the magnet: nothing, a fur, or flakes (0, 1, 2); nothing if not told.

    Parameters
    ----------
    text : str
        What a person wrote of the magnet test.

    Returns
    -------
    int or None
        The level [1].

    Examples
    --------
    >>> magnet_level("a faint grey fur, nothing that scratches")
    1
    >>> magnet_level("half of the bright flakes follow it"), magnet_level("nothing to speak of")
    (2, 0)
    """
    if told_of(text, ("flake", "chip", "splinter", "chunk", "scratch", "sliver", "curl", "grain")):
        return 2
    if told_of(text, ("fur", "fuzz", "paste", "dust", "faint", "grey", "gray", "fine", "film")):
        return 1
    return 0 if re.search(r"\b(?:no|nothing|none|clean|bare)\b", text.casefold()) else None
