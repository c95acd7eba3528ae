"""Which file names an archive keeps: those that every system can, and that stay in their folder."""

from __future__ import annotations

import unicodedata

from lees.archive.errors import UnsafeName

LONGEST_NAME = 240
_RESERVED = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))]
)
_FORBIDDEN = frozenset('\\:*?"<>|')


def safe_name(name: str) -> str:
    """Return a file's name within its case, with `/` between folders, if it is a safe one.

    Raises `UnsafeName` for absolute names, `..`, control characters, names that Windows cannot
    keep, and names too long.

    >>> safe_name("photos/media.jpg")
    'photos/media.jpg'
    """
    if not name or not name.strip():
        raise UnsafeName(name, "is empty")
    if len(name.encode("utf-8", "replace")) > LONGEST_NAME:
        raise UnsafeName(name, f"is longer than {LONGEST_NAME} bytes")
    if name.startswith(("/", "~")) or "\\" in name or name[1:2] == ":":
        raise UnsafeName(name, "does not stay in the folder of its case")
    if any(c in _FORBIDDEN or unicodedata.category(c) in ("Cc", "Cf", "Cs") for c in name):
        raise UnsafeName(name, "has characters that not every system can keep")
    for part in name.split("/"):
        if part in ("", ".", ".."):
            raise UnsafeName(name, "does not stay in the folder of its case")
        if part != part.strip() or part.endswith("."):
            raise UnsafeName(name, "has a part that begins or ends with a blank or a point")
        if part.split(".")[0].casefold() in _RESERVED:
            raise UnsafeName(name, "is a name that Windows keeps for a device")
    return name


def clashing(names: list[str]) -> str | None:
    """Return a name that some systems would not tell from another one of the same case.

    >>> clashing(["Media.jpg", "report.pdf", "media.JPG"])
    'media.JPG'
    """
    seen: set[str] = set()
    for name in names:
        folded = unicodedata.normalize("NFC", name).casefold()
        if folded in seen:
            return name
        seen.add(folded)
    return None
