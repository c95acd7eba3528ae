"""Make the fonts that Lees ships, from the full families: `make_fonts.py INTER_FOLDER NOTO_FOLDER`.

Needs `fonttools` and `brotli`. Inter (version 3.019, The Inter Project Authors) is cut down to the
scripts and signs below and renamed, because a cut-down font should not pass for the whole one;
Noto Sans Hebrew and Arabic (Google) set names written from right to left. All three come under the
SIL Open Font License 1.1, which lies beside the fonts.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

LEES = Path(__file__).parents[2] / "src" / "lees"
FONTS = LEES / "publish" / "fonts"

LATIN = [
    (0x20, 0x7E), (0xA0, 0x24F), (0x2B0, 0x2DD), (0x1E00, 0x1EFF), (0x300, 0x33F),
    (0x2000, 0x200A), (0x2010, 0x2027), (0x202F, 0x205E), (0x2070, 0x209C), (0x20A0, 0x20BF),
    (0x2100, 0x218B), (0x2190, 0x21FF), (0x2200, 0x22FF), (0x25A0, 0x25FF), (0x2600, 0x27BF),
]  # fmt: skip
EAST = [(0x370, 0x3FF), (0x400, 0x52F)]
HEBREW = [(0x20, 0x20), (0x591, 0x5F4)]
ARABIC = [(0x20, 0x20), (0x60C, 0x60C), (0x61B, 0x61B), (0x61F, 0x6FF)]
FEATURES = ["kern", "mark", "mkmk", "ccmp", "locl", "tnum", "case"]
SHAPING = [*FEATURES, "init", "medi", "fina", "isol", "rlig", "calt"]

FACES = [
    # file of the full family, our name, style, weight
    ("Inter-Regular.otf", "Lees Sans", "Regular", 400),
    ("Inter-Italic.otf", "Lees Sans", "Italic", 400),
    ("Inter-SemiBold.otf", "Lees Sans", "SemiBold", 600),
    ("InterDisplay-SemiBold.otf", "Lees Display", "SemiBold", 600),
    ("InterDisplay-Light.otf", "Lees Display", "Light", 300),
]
OTHERS = [
    ("NotoSansHebrew-Regular.ttf", "Lees Hebrew", HEBREW),
    ("NotoSansArabic-Regular.ttf", "Lees Arabic", ARABIC),
]


def within(ranges: list[tuple[int, int]]) -> set[int]:
    """Return the code points of some ranges."""
    return {point for first, last in ranges for point in range(first, last + 1)}


def subset(source: Path, points: set[int], features: list[str]) -> TTFont:
    """Return a font cut down to some code points and features."""
    font = TTFont(source, recalcTimestamp=False)
    options = Options(
        layout_features=features, hinting=False, name_IDs=["*"], notdef_outline=True,
        drop_tables=["DSIG", "meta"],
    )  # fmt: skip
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=points & set(font.getBestCmap()))
    subsetter.subset(font)
    return font


def rename(font: TTFont, family: str, style: str, weight: int) -> None:
    """Give a font our name and keep its notices."""
    names = font["name"]
    post = f"{family}-{style}".replace(" ", "")
    kept = {0: None, 13: None, 14: None}
    for record in list(names.names):
        if record.nameID in kept and record.platformID == 3:
            kept[record.nameID] = record.toUnicode()
    names.names = []
    for number, text in {
        **kept, 1: family, 2: style, 3: f"{post};cut down", 4: f"{family} {style}",
        5: "Version 1.000", 6: post, 16: family, 17: style,
    }.items():  # fmt: skip
        if text:
            names.setName(text, number, 3, 1, 0x409)
    font["OS/2"].usWeightClass = weight
    if "CFF " in font:
        cff = font["CFF "].cff
        cff.fontNames = [post]
        top = cff.topDictIndex[0]
        top.FamilyName, top.FullName, top.Weight = family, f"{family} {style}", style
    font["head"].modified = font["head"].created


def ranges_of(points: set[int]) -> str:
    """Write code points as ranges, one a line."""
    lines, ordered = [], sorted(points)
    first = last = ordered[0]
    for point in [*ordered[1:], 0x110000]:
        if point != last + 1:
            lines.append(f"{first:04X}-{last:04X}")
            first = point
        last = point
    return "\n".join(lines) + "\n"


def main(inter: Path, noto: Path) -> None:
    """Write the fonts for paper (OTF, TTF), those for the page (WOFF2), and what they cover."""
    covered: set[int] = set()
    for file, family, style, weight in FACES:
        post = f"{family}-{style}".replace(" ", "")
        for suffix, points, flavour in (
            (".otf", within(LATIN + EAST), None),
            ("-latin.woff2", within(LATIN), "woff2"),
            ("-east.woff2", within(EAST), "woff2"),
        ):
            font = subset(inter / file, points, FEATURES)
            rename(font, family, style, weight)
            font.flavor = flavour
            font.save(FONTS / (post + suffix))
            if style == "Regular":
                covered |= set(font.getBestCmap())
    for file, family, ranges in OTHERS:
        font = subset(noto / file, within(ranges), SHAPING)
        rename(font, family, "Regular", 400)
        font.save(FONTS / f"{family}.ttf".replace(" ", ""))
        covered |= set(font.getBestCmap())
    (FONTS / "coverage.txt").write_text(ranges_of(covered), encoding="ascii")
    regular = TTFont(FONTS / "LeesSans-Regular.otf")
    em, widths = regular["head"].unitsPerEm, regular["hmtx"]
    rows = [
        f"{p:04X},{round(1000 * widths[g][0] / em)}"
        for p, g in sorted(regular.getBestCmap().items())
        if p < 0x2100
    ]
    advances = (
        "# How wide each letter of Lees Sans stands, in thousandths of its size.\npoint,width\n"
    )
    (LEES / "chart" / "data" / "advances.csv").write_text(
        advances + "\n".join(rows) + "\n", encoding="ascii"
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
