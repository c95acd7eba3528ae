"""A random grammar of layouts: the truth of a report put into blocks of many shapes."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from truth.reports.truth import ELEMENTS, Printed, Truth, TruthSample
from truth.reports.wording import NAMES, UNITS, WORDS, date_style, write_date

WEAR = ("Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Ag", "Ti", "Mn", "V")
DIRT = ("Si", "Na", "K", "fuel", "water", "glycol", "soot", "insolubles")
ADDED = ("B", "Mo", "Ba", "Ca", "Mg", "P", "Zn")


@dataclass
class Text:
    text: str
    size: float = 9
    bold: bool = False


@dataclass
class Pairs:
    items: list[tuple[str, str]]
    columns: int = 1
    colon: bool = True


@dataclass
class Grid:
    head: list[list[str]]
    body: list[list[str]]
    align: list[str]
    ruled: bool = False
    sections: set[int] = field(default_factory=set)
    split_at: int | None = None
    repeat_head: bool = False


@dataclass
class Side:
    grids: list[Grid]


@dataclass
class Tiles:
    items: list[tuple[str, str, str]]
    columns: int
    value_first: bool = False


@dataclass
class Break:
    pass


Block = Text | Pairs | Grid | Side | Tiles | Break


class Composer:
    """Puts one report together; every choice comes from the seed."""

    def __init__(self, truth: Truth, shape: str | None = None) -> None:
        self.t = truth
        self.rng = random.Random(truth.seed * 31 + 5)
        self.w = WORDS[truth.language]
        self.dates = date_style(self.rng, truth.language)
        self.symbols = self.rng.choice(("name", "name", "both", "symbol", "dash"))
        self.unit_place = self.rng.choice(
            ("column", "column", "name", "name", "note", "implied", "value")
        )
        self.unit_words = {u: self.rng.choice(names) for u, names in UNITS.items()}
        self.flags = self.rng.random() < 0.25
        self.order = list(range(len(truth.samples)))
        if self.rng.random() < 0.35:
            self.order.reverse()
        self.names = {key: self._name(key) for key in truth.keys}
        single = len(truth.samples) == 1
        shapes = {"rows": 5, "across": 3, "side": 2}
        if single:
            shapes |= {"tiles": 2, "prose": 1.2, "list": 1.5}
        self.shape = shape or self.rng.choices(list(shapes), list(shapes.values()))[0]
        if self.shape in ("prose", "tiles") and self.unit_place in ("column", "name"):
            self.unit_place = "value"
        if self.shape == "prose" and self.symbols == "symbol":
            self.symbols = "name"
            self.names = {key: self._name(key) for key in truth.keys}
        if self.shape == "prose":
            self.unit_place = "value"
        if self.shape in ("list", "side") and self.unit_place == "column":
            self.unit_place = "value"
        if self.shape == "across" and self.unit_place == "value":
            self.unit_place = "name"

    def word(self, name: str) -> str:
        return self.rng.choice(self.w[name])

    def _name(self, key: str) -> str:
        full = self.rng.choice(NAMES[self.t.language][key])
        if key not in ELEMENTS or self.symbols == "name":
            return full
        return {"symbol": key, "both": f"{full} ({key})", "dash": f"{key} – {full}"}[self.symbols]

    def unit(self, key: str) -> str:
        return self.unit_words[self.t.units[key]]

    def label(self, key: str) -> str:
        unit = self.unit(key)
        if self.unit_place != "name" or not unit:
            return self.names[key]
        return self.rng.choice(
            (
                f"{self.names[key]}, {unit}",
                f"{self.names[key]} ({unit})",
                f"{self.names[key]} [{unit}]",
            )
        )

    def cell(self, key: str, one: Printed, *, flag: bool = True) -> str:
        text = one.text
        if self.unit_place == "value" and one.value is not None and self.unit(key):
            gap = "" if self.unit(key) == "%" and self.rng.random() < 0.5 else " "
            text = text + gap + self.unit(key)
        elif self.flags and flag and one.value is not None and self.rng.random() < 0.15:
            text += self.rng.choice((" H", "*", " *", " L", " !"))
        return text

    def date(self, sample: TruthSample) -> str:
        return write_date(sample.date, self.dates, self.t.language)

    def run(self, value: int, *, unit: bool = True) -> str:
        text = self.t.number(value, 0)
        return f"{text} {self.t.run_unit}" if unit else text

    def compose(self) -> list[Block]:
        """Return the blocks of the report from top to bottom."""
        blocks: list[Block] = [
            Text(self.t.laboratory, 15, bold=True),
            Text(self.word("result_of"), 10),
        ]
        if self.rng.random() < 0.7:
            blocks.append(
                Text(
                    f"Slipway {self.rng.randrange(1, 90)}, tel. 0{self.rng.randrange(100, 999)} {self.rng.randrange(10_000, 99_999)}",
                    7,
                )
            )
        in_table = len(self.t.samples) > 1
        blocks.append(self._letterhead(in_table))
        blocks += self._results()
        if self.unit_place == "note":
            blocks.append(Text(self.word("notes").format(u=self.unit_words["mg/kg"]), 7.5))
        blocks.append(Text(self._remark(), 9))
        blocks.append(Text(self.word("small"), 7))
        return blocks

    def _letterhead(self, in_table: bool) -> Pairs:
        t, first = self.t, self.t.samples[0]
        items = [
            (self.word("customer"), "The Harbour Co-operative"),
            (self.word("engine"), t.engine),
            (self.word("oil"), t.oil),
        ]
        t.shown |= {"oil", "engine"}
        if self.rng.random() < 0.4:
            items.append(
                (self.word("grade"), f"SAE {t.grade}" if self.rng.random() < 0.5 else t.grade)
            )
        if self.rng.random() < 0.5:
            later = first.date.replace(day=min(28, first.date.day))
            items.append(
                (
                    self.word(self.rng.choice(("received", "reported"))),
                    write_date(later, self.dates, t.language),
                )
            )
        if not in_table:
            items.append((self.word("label"), first.label))
            items.append((self.word("date"), self.date(first)))
            items.append((self.word(f"oil_{t.run_unit}"), self.run(first.oil_run)))
            t.shown |= {"label", "date", "oil_run"}
            if self.rng.random() < 0.7:
                items.append((self.word(f"engine_{t.run_unit}"), self.run(first.engine_run)))
                t.shown.add("engine_run")
        self.rng.shuffle(items)
        return Pairs(items, self.rng.choice((1, 2, 2, 3)), self.rng.random() < 0.7)

    def _remark(self) -> str:
        t = self.t
        parts = [self.word("plain")]
        if t.advised is not None:
            parts.append(
                self.word("advice").format(
                    d=self.run(t.advised), r=self.run(t.samples[0].oil_run), m=self.run(6500)
                )
            )
            t.shown.add("advised")
        return " ".join(parts)

    def _results(self) -> list[Block]:
        shape = {"rows": self._rows, "across": self._across, "side": self._side, "tiles": self._tiles,
                 "prose": self._prose, "list": self._list}[self.shape]  # fmt: skip
        return shape()

    def _sample_headings(self) -> list[list[str]]:
        """Return heading lines over the sample columns, in page order, and facts as rows."""
        samples = [self.t.samples[i] for i in self.order]
        if len(samples) == 1:
            return [[self.word("value")]]
        kind = self.rng.choice(("date", "label", "both", "number"))
        lines: list[list[str]] = []
        if kind in ("label", "both"):
            lines.append([s.label for s in samples])
        if kind in ("date", "both"):
            lines.append([self.date(s) for s in samples])
        if kind == "number":
            lines.append([self.word("sample_n").format(i=i + 1) for i in range(len(samples))])
        if kind in ("date", "both"):
            self.t.shown.add("date")
        if kind in ("label", "both"):
            self.t.shown.add("label")
        return lines

    def _fact_rows(self, kind_shown: set[str]) -> list[tuple[str, list[str]]]:
        if len(self.t.samples) == 1:
            return []
        samples = [self.t.samples[i] for i in self.order]
        rows = []
        if "label" not in kind_shown:
            rows.append((self.word("label"), [s.label for s in samples]))
        if "date" not in kind_shown:
            rows.append((self.word("date"), [self.date(s) for s in samples]))
        unit = self.rng.random() < 0.5
        name = self.word(f"oil_{self.t.run_unit}")
        name = name if unit else f"{name} ({self.t.run_unit})"
        rows.append((name, [self.run(s.oil_run, unit=unit) for s in samples]))
        if self.rng.random() < 0.6:
            name = self.word(f"engine_{self.t.run_unit}")
            name = name if unit else f"{name}, {self.t.run_unit}"
            rows.append((name, [self.run(s.engine_run, unit=unit) for s in samples]))
            self.t.shown.add("engine_run")
        self.t.shown |= {"label", "date", "oil_run"}
        return rows

    def _extras(self) -> list[tuple[str, dict[str, str]]]:
        """Return further columns: heading and texts by key."""
        t, found = self.t, []
        if t.mean:
            found.append(
                (self.word("mean"), {k: self.cell(k, p, flag=False) for k, p in t.mean.items()})
            )
            t.shown.add("mean")
        if t.own:
            found.append(
                (self.word("own"), {k: self.cell(k, p, flag=False) for k, p in t.own.items()})
            )
            t.shown.add("own")
        if t.limits:
            t.shown.add("limits")
            heading = self.word(
                "range" if any(low is not None for low, _ in t.limits.values()) else "limit"
            )
            found.append((heading, {k: self._limit(k) for k in t.limits}))
        if len(t.samples) > 1 and self.rng.random() < 0.2:
            found.append((self.word("change"), self._changes()))
        return found

    def _limit(self, key: str) -> str:
        low, high = self.t.limits[key]
        decimals = 1 if key in ("kv100", "bn") else 0
        if low is not None and high is not None:
            return f"{self.t.number(low, decimals)} – {self.t.number(high, decimals)}"
        if high is not None:
            return f"< {self.t.number(high, decimals)}"
        return f"> {self.t.number(low or 0, decimals)}"

    def _changes(self) -> dict[str, str]:
        now, before = self.t.samples[0].values, self.t.samples[1].values
        found = {}
        for key in self.t.keys:
            a, b = now[key], before[key]
            if a.value is not None and b.value is not None and not a.qualifier and not b.qualifier:
                decimals = (
                    len(a.text.partition(self.t.decimal)[2]) if self.t.decimal in a.text else 0
                )
                step = round(a.value - b.value, decimals)
                sign = "+" if step > 0 else ("-" if step < 0 else "")
                found[key] = sign + self.t.number(abs(step), decimals)
        return found

    def _groups(self) -> list[tuple[str, list[str]]]:
        keys = self.t.keys
        if self.rng.random() < 0.5:
            return [("", keys)]
        parts = [
            ("wear", [k for k in keys if k in WEAR]),
            ("dirt", [k for k in keys if k in DIRT]),
            ("additives", [k for k in keys if k in ADDED]),
        ]
        rest = [k for k in keys if k not in (*WEAR, *DIRT, *ADDED)]
        parts.append(("fluid", rest))
        self.rng.shuffle(parts)
        return [(name, listed) for name, listed in parts if listed]

    def _rows(self) -> list[Block]:
        headings = self._sample_headings()
        shown = set(self.t.shown) & {"label", "date"}
        facts = self._fact_rows(shown)
        extras = self._extras()
        units = self.unit_place == "column"
        methods = any(self.t.methods.values()) and self.rng.random() < 0.3
        if methods:
            self.t.shown.add("methods")
        symbol = self.symbols == "name" and self.rng.random() < 0.15
        extras_first = self.rng.random() < 0.25
        unit_last = units and self.rng.random() < 0.25
        head = []
        for at, line in enumerate(headings):
            last = at == len(headings) - 1
            row = [self.word("name") if last else ""]
            row += [""] * symbol
            row += [self.word("unit") if last else ""] * (units and not unit_last)
            row += [self.word("method") if last else ""] * methods
            more = [name if last else "" for name, _ in extras]
            row += (more + line) if extras_first else (line + more)
            row += [self.word("unit") if last else ""] * (units and unit_last)
            head.append(row)
        width = len(head[0])
        lead = 1 + symbol + (units and not unit_last) + methods
        body: list[list[str]] = []
        sections: set[int] = set()
        for name, cells in facts:
            more = [""] * len(extras)
            row = (
                [name]
                + [""] * (lead - 1)
                + ((more + cells) if extras_first else (cells + more))
                + [""] * (units and unit_last)
            )
            body.append(row)
        samples = [self.t.samples[i] for i in self.order]
        for title, keys in self._groups():
            if title:
                sections.add(len(body))
                body.append([self.word(title)] + [""] * (width - 1))
            for key in keys:
                cells = [self.cell(key, s.values[key]) for s in samples]
                more = [texts.get(key, "") for _, texts in extras]
                row = [self.label(key)] + ([key if key in ELEMENTS else ""] if symbol else [])
                row += [self.unit(key)] * (units and not unit_last)
                row += [
                    self.rng.choice(("ASTM {m}", "{m}")).format(m=self.t.methods[key])
                    if self.t.methods[key]
                    else ""
                ] * methods
                row += (more + cells) if extras_first else (cells + more)
                row += [self.unit(key)] * (units and unit_last)
                body.append(row)
        align = ["l"] * lead + [self.rng.choice("rrrcl")] * (width - lead)
        split = (
            self.rng.randrange(len(body) // 3, len(body))
            if self.rng.random() < 0.12 and len(body) > 9
            else None
        )
        return [
            Grid(
                head, body, align, self.rng.random() < 0.4, sections, split, self.rng.random() < 0.4
            )
        ]

    def _across(self) -> list[Block]:
        samples = [self.t.samples[i] for i in self.order]
        bands = [
            self.t.keys[i : i + 9] for i in range(0, len(self.t.keys), self.rng.choice((7, 8, 9)))
        ]
        step = self.rng.choice((7, 8, 9))
        bands = [self.t.keys[i : i + step] for i in range(0, len(self.t.keys), step)]
        facts = len(samples) > 1
        unit_row = self.unit_place == "column"
        blocks: list[Block] = []
        date = self.rng.random() < 0.8
        for number, band in enumerate(bands):
            first = [self.word("label")] + ([self.word("date")] if date else []) if facts else [""]
            run = facts and number == 0
            names = [self._short(key) for key in band]
            head = (
                first
                + ([f"{self.word(f'oil_{self.t.run_unit}')} ({self.t.run_unit})"] if run else [])
                + names
            )
            body = []
            if unit_row:
                body.append([""] * (len(head) - len(band)) + [self.unit(k) for k in band])
            for s in samples:
                lead = (
                    [s.label] + ([self.date(s)] if date else []) if facts else [self.word("value")]
                ) + ([self.run(s.oil_run, unit=False)] if run else [])
                body.append(lead + [self.cell(k, s.values[k]) for k in band])
            if self.t.mean:
                body.append(
                    [self.word("row_mean")]
                    + [""] * (len(head) - len(band) - 1)
                    + [self.t.mean[k].text if k in self.t.mean else "" for k in band]
                )
                self.t.shown.add("mean")
            if self.t.own:
                body.append(
                    [self.word("row_own")]
                    + [""] * (len(head) - len(band) - 1)
                    + [self.t.own[k].text if k in self.t.own else "" for k in band]
                )
                self.t.shown.add("own")
            blocks.append(
                Grid(
                    [head],
                    body,
                    ["l"] + [self.rng.choice("rrc")] * (len(head) - 1),
                    self.rng.random() < 0.5,
                )
            )
        if facts:
            self.t.shown |= {"label", "oil_run"} | ({"date"} if date else set())
        return blocks

    def _short(self, key: str) -> str:
        if key in ELEMENTS:
            name = key if self.rng.random() < 0.6 else self.names[key]
        else:
            name = min(NAMES[self.t.language][key], key=len)
        if self.unit_place == "name" and self.unit(key):
            return (
                f"{name} {self.unit(key)}"
                if self.rng.random() < 0.5
                else f"{name} ({self.unit(key)})"
            )
        return name

    def _side(self) -> list[Block]:
        headings = self._sample_headings()[-1]
        if len(self.t.samples) > 2 or sum(map(len, headings)) > 28:
            if len(self.t.samples) > 1:
                self.t.shown -= {"label", "date"}
            return self._rows()
        extras = self._extras()[:1]
        if "limits" in self.t.shown and not (extras and not self.t.mean):
            self.t.shown.discard("limits")
        if self.t.mean and self.t.own:
            self.t.shown.discard("own")
        samples = [self.t.samples[i] for i in self.order]
        half = (len(self.t.keys) + 1) // 2
        grids = []
        for keys in (self.t.keys[:half], self.t.keys[half:]):
            head = [[self.word("name"), *headings, *(name for name, _ in extras)]]
            body = [
                [
                    self.label(k),
                    *(self.cell(k, s.values[k]) for s in samples),
                    *(texts.get(k, "") for _, texts in extras),
                ]
                for k in keys
            ]
            grids.append(Grid(head, body, ["l"] + ["r"] * (len(head[0]) - 1)))
        shown = set(self.t.shown) & {"label", "date"}
        facts = self._fact_rows(shown)
        more = []
        if facts:
            more = [
                Grid(
                    [["", *headings]],
                    [[name, *cells] for name, cells in facts],
                    ["l"] + ["r"] * len(headings),
                )
            ]
        return [*more, Side(grids)]

    def _tiles(self) -> list[Block]:
        sample = self.t.samples[0]
        mean = self.word("row_mean") if self.t.mean and self.rng.random() < 0.6 else ""
        items = []
        for key in self.t.keys:
            aside = f"{mean} {self.t.mean[key].text}" if mean and key in self.t.mean else ""
            items.append((self.names[key], self.cell(key, sample.values[key], flag=False), aside))
        if mean:
            self.t.shown.add("mean")
        return [Tiles(items, self.rng.choice((3, 4, 5)), self.rng.random() < 0.3)]

    def _prose(self) -> list[Block]:
        sample, parts = self.t.samples[0], []
        wording = self.word("prose")
        mean = self.word("prose_mean") if self.t.mean and self.rng.random() < 0.5 else ""
        for key in self.t.keys:
            one = sample.values[key]
            if not one.text or one.qualifier in ("trace", "absent") or one.value is None:
                continue
            text = wording.format(n=self.names[key], v=self.cell(key, one, flag=False))
            if mean and key in self.t.mean:
                text += " " + mean.format(m=self.t.mean[key].text)
            parts.append(text)
        if mean:
            self.t.shown.add("mean")
        self.t.shown.add("prose")
        mark = self.rng.choice((", ", "; "))
        return [Text(mark.join(parts) + ".", 9.5)]

    def _list(self) -> list[Block]:
        sample = self.t.samples[0]
        items = [(self.label(k), self.cell(k, sample.values[k])) for k in self.t.keys]
        return [Pairs(items, self.rng.choice((1, 2, 3)), self.rng.random() < 0.6)]
