"""The reports that the scenario's laboratories hand out: PDF in four layouts, and a CSV table.

The layouts are our own and follow no laboratory's form; each lies as a typst template in `data/`.
The same story gives the same bytes.
"""

from __future__ import annotations

import csv
import datetime
import io
import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from lees.demo.stories import FillTruth, Story
from lees.quantity.data import text
from lees.quantity.measurands import measurand

STAMP = "invented for demonstration"

GROUPS = MappingProxyType(
    {
        "Worn from metal": ("Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Ag", "Mn"),
        "Come in from outside": ("Si", "Na", "K", "fuel", "water", "soot", "insolubles"),
        "The oil itself": (
            "kv40",
            "kv100",
            "sus210",
            "vi",
            "flash",
            "bn",
            "Ca",
            "Mg",
            "P",
            "Zn",
            "Mo",
            "B",
        ),
    }
)


def report_pdf(story: Story, layout: str) -> bytes:
    """Return the report of a story in one of the layouts `columns`, `rows`, `tiles`, `ledger`."""
    import typst

    drawn: bytes = typst.compile(
        text("demo", f"layouts/{layout}.typ").encode(),
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(_sheet(story), ensure_ascii=False)},
        timestamp=int(
            datetime.datetime.combine(
                _written(story), datetime.time(9), tzinfo=datetime.UTC
            ).timestamp()
        ),
    )
    return drawn


def report_csv(story: Story) -> bytes:
    """Return the report of a story as a table: one measurand a row, one sample a column."""
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow([f"{story.laboratory.name}, {STAMP}"])
    lines.writerow(["engine", story.engine])
    lines.writerow(["oil", story.oil.name])
    fills = story.fills[::-1]
    lines.writerow(["test", "unit", "method", *(fill.label for fill in fills), "mean"])
    lines.writerow(["drained", "", "", *(fill.drained.isoformat() for fill in fills), ""])
    run = story.means.run.split()[0].replace(",", "") if story.means and story.means.run else ""
    lines.writerow(
        ["distance on oil", story.run_unit, "", *(_run(story, fill) for fill in fills), run]
    )
    lines.writerow(
        ["distance on engine", story.run_unit, "", *(fill.engine_total for fill in fills), ""]
    )
    printed = [story.printed(fill) for fill in fills]
    for key in story.reported:
        known = measurand(key)
        lines.writerow(
            [
                known.name,
                story.laboratory.unit(key),
                story.laboratory.methods.get(key, "D5185" if known.is_element else ""),
                *(results[key] for results in printed),
                _mean(story, key),
            ]
        )
    lines.writerow(["remark", story.remark])
    return out.getvalue().encode("utf-8")


def _sheet(story: Story) -> dict[str, Any]:
    written = _written(story)
    means = story.means
    printed = [story.printed(fill) for fill in story.fills]
    return {
        "title": f"Oil of {story.engine} ({STAMP})",
        "laboratory": story.laboratory.name,
        "address": story.laboratory.address,
        "number": f"{written:%y%m}-{len(story.engine):02d}{len(story.reported)}",
        "year": written.year,
        "month": written.month,
        "day": written.day,
        "written": _date(story, written),
        "engine": story.engine,
        "engine_words": story.engine_words,
        "oil": f"{story.oil.name}",
        "mean_run": (means.run if means else None) or "",
        "mean_hours": means.run.split()[0] if means and means.run else "",
        "mean_count": means.count if means else None,
        "samples": [
            {
                "label": fill.label,
                "date": _date(story, fill.drained),
                "run": _grouped(story, _run(story, fill)),
                "total": _grouped(story, fill.engine_total),
            }
            for fill in story.fills
        ],
        "groups": [
            {
                "name": name,
                "rows": [_row(story, key, printed) for key in keys if key in story.reported],
            }
            for name, keys in GROUPS.items()
        ],
        "units_note": "; ".join(
            f"{_in_a_sentence(key)} in {story.laboratory.unit(key)}"
            for key in story.reported
            if not measurand(key).is_element
        ),
        "before": _before(story, printed),
        "methods": ", ".join(
            [
                "elements D5185",
                *(
                    f"{_in_a_sentence(key)} {method}"
                    for key, method in story.laboratory.methods.items()
                    if key in story.reported
                ),
            ]
        ),
        "remark": story.remark,
    }


def _row(story: Story, key: str, printed: list[dict[str, str]]) -> dict[str, Any]:
    known = measurand(key)
    return {
        "name": known.name,
        "symbol": key if known.is_element else _SHORT.get(key, known.name),
        "unit": "" if key == "vi" else story.laboratory.unit(key),
        "mean": _mean(story, key),
        "values": [results[key] for results in printed],
    }


_SHORT: Mapping[str, str] = MappingProxyType(
    {
        "kv40": "KV 40 °C",
        "kv100": "KV 100 °C",
        "flash": "Flash °C",
        "bn": "Base no.",
        "soot": "Soot %",
        "fuel": "Fuel %",
        "water": "Water %",
    }
)


def _in_a_sentence(key: str) -> str:
    name = measurand(key).name
    return name if key.startswith("sus") else name[:1].lower() + name[1:]


def _before(story: Story, printed: list[dict[str, str]]) -> str:
    if len(printed) < 2:
        return ""
    earlier, results = story.fills[-2], printed[-2]
    return (
        f"The sample before this one, {earlier.label}, had run "
        f"{_grouped(story, _run(story, earlier))} {story.run_unit} and showed iron {results['Fe']} "
        f"{story.laboratory.unit('Fe')} and a base number of {results['bn']} "
        f"{story.laboratory.unit('bn')}."
    )


def _mean(story: Story, key: str) -> str:
    if story.means is None or key not in story.means.values:
        return ""
    return story.laboratory.printed(key, story.means.values[key])


def _written(story: Story) -> datetime.date:
    return story.fills[-1].drained + datetime.timedelta(days=11)


def _date(story: Story, day: datetime.date) -> str:
    return f"{day:%d.%m.%Y}" if story.laboratory.decimal_comma else day.isoformat()


def _run(story: Story, fill: FillTruth) -> int:
    return round(fill.thousands * 1000)


def _grouped(story: Story, number: int) -> str:
    mark = {"mi": ",", "km": "."}.get(story.run_unit, " ")
    return f"{number:,}".replace(",", mark)
