"""Invented reports drawn as PDF and written as table, sheet, page, data and plain text."""

from __future__ import annotations

import csv
import html
import io
import json
import random
from typing import Any

from truth.reports.layout import Block, Break, Composer, Grid, Pairs, Side, Text, Tiles
from truth.reports.truth import Truth

FONTS = (
    ("Helvetica", "Helvetica-Bold"),
    ("Times-Roman", "Times-Bold"),
    ("Courier", "Courier-Bold"),
    ("Vera", "VeraBd"),
)


def pdf(truth: Truth, shape: str | None = None) -> bytes:
    """Draw a report as a PDF with text."""
    composer = Composer(truth, shape)
    return _Canvas(truth, composer.rng).draw(composer.compose())


class _Canvas:
    def __init__(self, truth: Truth, rng: random.Random) -> None:
        from reportlab.lib.pagesizes import A4, LETTER, landscape
        from reportlab.pdfbase import pdfmetrics
        from reportlab.pdfbase.ttfonts import TTFont
        from reportlab.pdfgen.canvas import Canvas

        for name in ("Vera", "VeraBd"):
            if name not in pdfmetrics.getRegisteredFontNames():
                pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        self.rng = rng
        self.out = io.BytesIO()
        size = rng.choice((A4, LETTER))
        self.width, self.height = landscape(size) if rng.random() < 0.2 else size
        self.canvas = Canvas(self.out, pagesize=(self.width, self.height), invariant=1)
        self.font, self.bold = rng.choices(FONTS, (5, 3, 1, 2))[0]
        self.size = rng.choice((7.5, 8, 8.5, 9, 9.5))
        self.margin = rng.uniform(34, 60)
        self.y = self.height - self.margin
        self.lead = rng.uniform(1.25, 1.75)
        self.truth = truth

    def draw(self, blocks: list[Block]) -> bytes:
        for block in blocks:
            if isinstance(block, Text):
                self._text(block)
            elif isinstance(block, Pairs):
                self._pairs(block)
            elif isinstance(block, Grid):
                self._grid(block, self.margin, self.width - 2 * self.margin)
            elif isinstance(block, Side):
                self._side(block)
            elif isinstance(block, Tiles):
                self._tiles(block)
            self.y -= 8
        self.canvas.showPage()
        self.canvas.save()
        return self.out.getvalue()

    def _fit(self, text: str, font: str, size: float) -> float:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(text, font, size))

    def _need(self, high: float) -> None:
        if self.y - high < self.margin:
            self.canvas.showPage()
            self.y = self.height - self.margin

    def _put(self, text: str, x: float, *, font: str, size: float, align: str = "l") -> None:
        self.canvas.setFont(font, size)
        if align == "r":
            self.canvas.drawRightString(x, self.y, text)
        elif align == "c":
            self.canvas.drawCentredString(x, self.y, text)
        else:
            self.canvas.drawString(x, self.y, text)

    def _text(self, block: Text) -> None:
        font = self.bold if block.bold else self.font
        size = block.size * self.size / 9
        words, line = block.text.split(" "), ""
        for word in [*words, None]:
            trial = f"{line} {word}".strip() if word is not None else line
            if word is None or self._fit(trial, font, size) > self.width - 2 * self.margin:
                self._need(size * 1.4)
                self.y -= size * 1.25
                self._put(line, self.margin, font=font, size=size)
                line = word or ""
            else:
                line = trial

    def _pairs(self, block: Pairs) -> None:
        wide = (self.width - 2 * self.margin) / block.columns
        gap = max(self._fit(label + ": ", self.font, self.size) for label, _ in block.items) + 10
        longest = max(self._fit(value, self.font, self.size) for _, value in block.items)
        if gap + longest > wide - 6 and block.columns > 1:
            self._pairs(Pairs(block.items, block.columns - 1, block.colon))
            return
        run_on = self.rng.random() < 0.3 and block.colon
        for at in range(0, len(block.items), block.columns):
            self._need(self.size * self.lead)
            self.y -= self.size * self.lead
            for column, (label, value) in enumerate(block.items[at : at + block.columns]):
                x = self.margin + column * wide
                if run_on:
                    self._put(f"{label}: {value}", x, font=self.font, size=self.size)
                    continue
                self._put(label + (":" if block.colon else ""), x, font=self.font, size=self.size)
                self._put(
                    value,
                    x + gap,
                    font=self.bold if self.rng.random() < 0.3 else self.font,
                    size=self.size,
                )

    def _widths(self, grid: Grid, wide: float, size: float) -> list[float]:
        rows = [*grid.head, *(row for at, row in enumerate(grid.body) if at not in grid.sections)]
        count = len(grid.head[0])
        natural = [
            max(self._fit(row[k], self.bold, size) for row in rows) + 9 for k in range(count)
        ]
        if sum(natural) > wide:
            return natural
        spare = (wide - sum(natural)) * self.rng.choice((0.2, 0.6, 1.0))
        return [one + spare / count for one in natural]

    def _grid(self, grid: Grid, left: float, wide: float) -> None:
        size = self.size
        widths = self._widths(grid, wide, size)
        while sum(widths) > wide and size > 5:
            size -= 0.4
            widths = self._widths(grid, wide, size)
        pitch = size * self.lead
        for row in grid.head:
            self._need(pitch)
            self.y -= pitch
            self._row(row, widths, left, grid, font=self.bold, size=size)
        if grid.ruled:
            self.canvas.line(left, self.y - 3, left + sum(widths), self.y - 3)
        for at, row in enumerate(grid.body):
            if at == grid.split_at:
                self.canvas.showPage()
                self.y = self.height - self.margin
                for head in grid.head if grid.repeat_head else []:
                    self.y -= pitch
                    self._row(head, widths, left, grid, font=self.bold, size=size)
            if self.y - pitch < self.margin:
                self.canvas.showPage()
                self.y = self.height - self.margin
            self.y -= pitch * (1.25 if at in grid.sections else 1)
            font = self.bold if at in grid.sections else self.font
            self._row(row, widths, left, grid, font=font, size=size)
            if grid.ruled:
                self.canvas.setLineWidth(0.3)
                self.canvas.line(left, self.y - 2.5, left + sum(widths), self.y - 2.5)

    def _row(
        self,
        row: list[str],
        widths: list[float],
        left: float,
        grid: Grid,
        *,
        font: str,
        size: float,
    ) -> None:
        x = left
        for text, wide, align in zip(row, widths, grid.align, strict=True):
            if text:
                place = {"l": x + 3, "r": x + wide - 4, "c": x + wide / 2}[align]
                self._put(text, place, font=font, size=size, align=align)
            x += wide

    def _side(self, block: Side) -> None:
        wide = (self.width - 2 * self.margin - 24) / 2
        size = self.size
        while max(sum(self._widths(g, 0, size)) for g in block.grids) > wide and self.size > 5:
            size -= 0.4
            self.size = size
        high = max(len(g.body) + len(g.head) for g in block.grids) * self.size * self.lead
        self._need(min(high, self.height - 3 * self.margin))
        top, low = self.y, self.y
        for at, grid in enumerate(block.grids):
            self.y = top
            self._grid(grid, self.margin + at * (wide + 24), wide)
            low = min(low, self.y)
        self.y = low

    def _tiles(self, block: Tiles) -> None:
        wide = (self.width - 2 * self.margin) / block.columns
        for at in range(0, len(block.items), block.columns):
            self._need(self.size * 5)
            top = self.y
            for column, (label, value, aside) in enumerate(block.items[at : at + block.columns]):
                x = self.margin + column * wide + 4
                lines = [(label, self.font, self.size), (value, self.bold, self.size * 1.5)]
                if block.value_first:
                    lines.reverse()
                self.y = top
                for text, font, size in [*lines, (aside, self.font, self.size * 0.85)]:
                    while self._fit(text, font, size) > wide - 8 and size > 5:
                        size -= 0.3  # noqa: PLW2901
                    self.y -= size * 1.3
                    if text:
                        self._put(text, x, font=font, size=size)
            self.y = top - self.size * 5


def _flat(blocks: list[Block]) -> list[list[str]]:
    rows: list[list[str]] = []
    for block in blocks:
        if isinstance(block, Text):
            rows.append([block.text])
        elif isinstance(block, Pairs):
            rows += [[label, value] for label, value in block.items]
        elif isinstance(block, Grid):
            rows += [*block.head, *block.body]
        elif isinstance(block, Side):
            first, second = block.grids
            for a, b in _zipped([*first.head, *first.body], [*second.head, *second.body]):
                rows.append([*a, "", *b])
        elif isinstance(block, Tiles):
            rows += [[label, value, aside] for label, value, aside in block.items]
        rows.append([])
    return rows


def _zipped(a: list[list[str]], b: list[list[str]]) -> list[tuple[list[str], list[str]]]:
    wide_a, wide_b = len(a[0]), len(b[0])
    longest = max(len(a), len(b))
    a = a + [[""] * wide_a] * (longest - len(a))
    b = b + [[""] * wide_b] * (longest - len(b))
    return list(zip(a, b, strict=True))


def table(truth: Truth) -> bytes:
    """Write a report as CSV or TSV: wide, across, or long, with preamble or bare."""
    rng = random.Random(truth.seed * 17 + 3)
    form = rng.choice(("rows", "rows", "across", "long", "machine"))
    if form == "long":
        rows = _long(truth, rng)
    elif form == "machine":
        rows = _machine(truth, rng)
    else:
        rows = _flat(Composer(truth, form).compose())
        if rng.random() < 0.3:
            rows = [row for row in rows if row]
    marks = [",", ";", "\t"] if truth.decimal == "." else [";", "\t"]
    out = io.StringIO()
    csv.writer(
        out, delimiter=rng.choice(marks), lineterminator=rng.choice(("\n", "\r\n"))
    ).writerows(rows)
    encoding = rng.choice(("utf-8", "utf-8-sig", "cp1252"))
    return out.getvalue().encode(encoding, "replace")


def _long(truth: Truth, rng: random.Random) -> list[list[str]]:
    composer = Composer(truth, "rows")
    composer.unit_place, composer.flags = "column", False
    ids = rng.random() < 0.85 or len(truth.samples) > 1
    head = ([composer.word("label"), composer.word("date")] if ids else []) + [
        composer.word("name") or "Test",
        composer.word("value"),
        composer.word("unit"),
    ]
    body = []
    for sample in truth.samples:
        for key in truth.keys:
            lead = [sample.label, sample.date.isoformat()] if ids else []
            body.append([*lead, composer.names[key], sample.values[key].text, composer.unit(key)])
    if ids:
        truth.shown |= {"label", "date"}
    return [head, *body]


_MACHINE = {"mg/kg": "ppm", "mm²/s": "cst", "SUS": "sus", "°C": "c", "°F": "f", "mgKOH/g": "mgkoh_g", "%": "pct",
            "A/cm": "a_cm", "A/0.1mm": "abs_01mm", "": ""}  # fmt: skip


def _machine(truth: Truth, rng: random.Random) -> list[list[str]]:
    """Write one sample a row under a programmer's headings."""
    names = {
        "bn": "tbn",
        "an": "tan",
        "flash": "flash_point",
        "vi": "viscosity_index",
        "kv40": "kv40",
        "kv100": "kv100",
        "sus210": "sus_210f",
    }
    units = rng.random() < 0.6

    def head(key: str) -> str:
        name = names.get(key, key.lower() if rng.random() < 0.5 else key)
        unit = _MACHINE[truth.units[key]]
        return (
            f"{name}_{unit}"
            if units and unit and key not in ("sus210",) and truth.units[key] != "A/0.1mm"
            else name
        )

    truth.shown |= {"label", "date", "oil_run"}
    rows = [
        ["sample_id", "sample_date", f"oil_{truth.run_unit}", *(head(key) for key in truth.keys)]
    ]
    for sample in truth.samples:
        rows.append(
            [
                sample.label,
                sample.date.isoformat(),
                str(sample.oil_run),
                *(sample.values[k].text for k in truth.keys),
            ]
        )
    if not units:
        truth.shown.add("no units")
    return rows


def sheet(truth: Truth) -> bytes:
    """Write a report as XLSX, numbers as numbers, sometimes over several sheets."""
    import openpyxl

    rng = random.Random(truth.seed * 19 + 7)
    blocks = Composer(truth, rng.choice(("rows", "across", "rows"))).compose()
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Report"
    if rng.random() < 0.3:
        book.create_sheet("Notes").append(["This workbook is invented."])
    for row in _flat(blocks):
        page.append([_cell_value(text, truth) for text in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _cell_value(text: str, truth: Truth) -> Any:
    plain = text.replace(truth.group, "") if truth.group else text
    plain = plain.replace(truth.decimal, ".")
    if text and text[0].isdigit() and not (text[0] == "0" and text[1:2].isdigit()):
        try:
            return float(plain) if "." in plain else int(plain)
        except ValueError:
            return text
    return text


def page(truth: Truth) -> bytes:
    """Write a report as HTML."""
    parts = []
    for block in Composer(truth).compose():
        if isinstance(block, Text):
            parts.append(f"<p>{html.escape(block.text)}</p>")
        elif isinstance(block, Pairs):
            rows = "".join(
                f"<tr><th>{html.escape(a)}</th><td>{html.escape(b)}</td></tr>"
                for a, b in block.items
            )
            parts.append(f"<table>{rows}</table>")
        elif isinstance(block, Tiles):
            parts += [
                f"<div><h4>{html.escape(a)}</h4><b>{html.escape(b)}</b><small>{html.escape(c)}</small></div>"
                for a, b, c in block.items
            ]
        elif isinstance(block, Grid | Side):
            for grid in block.grids if isinstance(block, Side) else [block]:
                head = "".join(
                    "<tr>" + "".join(f"<th>{html.escape(c)}</th>" for c in row) + "</tr>"
                    for row in grid.head
                )
                body = "".join(
                    "<tr>" + "".join(f"<td>{html.escape(c)}</td>" for c in row) + "</tr>"
                    for row in grid.body
                )
                parts.append(f"<table><thead>{head}</thead><tbody>{body}</tbody></table>")
    style = "<style>td{color:#333}</style><script>var x='Iron 99 ppm';</script>"
    return f"<!doctype html><html><head><meta charset='utf-8'>{style}</head><body>{''.join(parts)}</body></html>".encode()


def data(truth: Truth) -> bytes:
    """Write a report as JSON of some shape."""
    rng = random.Random(truth.seed * 23 + 11)
    names = {"bn": "baseNumber", "an": "acidNumber", "flash": "flashPoint", "vi": "viscosityIndex"}
    nested = rng.random() < 0.5
    records = []
    truth.shown |= {"label", "date", "oil_run"}
    for sample in truth.samples:
        results: Any
        if nested:
            results = [
                {
                    "parameter": names.get(k, k),
                    "value": p.value if p.value is not None and p.qualifier is None else p.text,
                    "unit": truth.units[k],
                }
                for k in truth.keys
                if (p := sample.values[k]).text
            ]
        else:
            results = {
                names.get(k, k): (
                    p.value if p.value is not None and p.qualifier is None else p.text
                )
                for k in truth.keys
                if (p := sample.values[k]).text
            }
            truth.shown.add("no units")
        records.append(
            {
                "sampleNumber": sample.label,
                "sampleDate": sample.date.isoformat(),
                f"oil{truth.run_unit.capitalize()}": sample.oil_run,
                "results": results,
            }
        )
    return json.dumps(
        {"report": {"oil": truth.oil, "samples": records}}
        if len(records) > 1 or rng.random() < 0.5
        else records[0],
        ensure_ascii=rng.random() < 0.5,
    ).encode()


def text(truth: Truth) -> bytes:
    """Write a report as plain text: aligned columns, lists, running text."""
    rng = random.Random(truth.seed * 29 + 1)
    lines: list[str] = []
    if rng.random() < 0.3:
        lines += ["From: bench@example.org", "Subject: your oil", "", "Dear inspector,", ""]
    for block in Composer(truth).compose():
        if isinstance(block, Text):
            lines.append(block.text)
        elif isinstance(block, Pairs):
            lines += [f"{a}: {b}" for a, b in block.items]
        elif isinstance(block, Tiles):
            lines += [f"{a}: {b}" + (f" ({c})" if c else "") for a, b, c in block.items]
        elif isinstance(block, Grid | Side):
            grids = block.grids if isinstance(block, Side) else [block]
            for grid in grids:
                lines += _aligned(grid, rng)
                lines.append("")
        lines.append("")
    return "\n".join(lines).encode()


def _aligned(grid: Grid, rng: random.Random) -> list[str]:
    rows = [*grid.head, *grid.body]
    sections = {at + len(grid.head) for at in grid.sections}
    widths = [
        max(len(row[k]) for at, row in enumerate(rows) if at not in sections)
        for k in range(len(rows[0]))
    ]
    gap = " " * rng.choice((2, 3, 4))
    return [
        gap.join(
            c.rjust(w) if a in "rc" else c.ljust(w)
            for c, w, a in zip(row, widths, grid.align, strict=True)
        ).rstrip()
        for row in rows
    ]


__all__ = ["Break", "data", "page", "pdf", "sheet", "table", "text"]
