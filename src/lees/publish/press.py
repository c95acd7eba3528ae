"""The press: fonts, the typesetter, and charts drawn as SVG, ready before the first page."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any

import typst
import vl_convert

from lees.chart.pieces import SCHEMA, Spec
from lees.quantity.data import asset, folder

VEGA_LITE = "6.1"


@dataclass(frozen=True, slots=True)
class Press:
    """What type is set with: a folder of fonts, and nothing else of the machine's."""

    fonts_folder: str
    fonts: Any = field(repr=False, compare=False)

    def pages(self, main: str, files: Mapping[str, bytes], data: Any, **settings: Any) -> Any:
        """Set a document in type: its markup, the files beside it, and its data as JSON.

        The data never become markup: the document reads them from `data.json`.
        """
        whole = {
            "main.typ": main.encode(),
            "data.json": json.dumps(data, ensure_ascii=False).encode(),
            **files,
        }
        compiler = typst.Compiler(input=whole, font_paths=self.fonts, ignore_system_fonts=True)
        return compiler.compile(timestamp=0, **settings)

    def warm_up(self) -> None:
        """Start the chart engine, which takes half a second once in the life of a process."""
        mark = {"mark": "point", "data": {"values": [{}]}}
        self.drawn({"$schema": SCHEMA, "width": 1, "height": 1, **mark})

    def drawn(self, spec: Spec) -> str:
        """Return a chart as SVG text; the same specification is drawn once."""
        return _drawn(json.dumps(spec, sort_keys=True))


@cache
def press(fonts_folder: str | None = None) -> Press:
    """Return a press with the fonts of a folder; those that came with Lees where none is given."""
    place = fonts_folder or folder("publish", "fonts")
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[place]
    )
    vl_convert.register_font_directory(place)
    return Press(place, fonts)


@lru_cache(maxsize=64)
def _drawn(spec: str) -> str:
    return str(vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE))


@cache
def coverage() -> frozenset[int]:
    """Return the code points that the fonts that came with Lees can show."""
    points: set[int] = set()
    for line in asset("publish", "fonts", "coverage.txt").decode("ascii").split():
        first, last = line.split("-")
        points.update(range(int(first, 16), int(last, 16) + 1))
    return frozenset(points)
