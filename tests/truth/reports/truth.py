"""What an invented report says: samples, means, limits, facts, and how each number is printed."""

from __future__ import annotations

import datetime
import random
from dataclasses import dataclass, field

ELEMENTS = (
    "Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Ag", "Ti", "Mn", "V", "Si", "Na", "K", "B", "Mo", "Ba", "Ca", "Mg",
    "P", "Zn",
)  # fmt: skip
PROPERTIES = (
    "kv40", "kv100", "sus210", "vi", "flash", "bn", "an", "fuel", "water", "glycol", "soot", "insolubles",
    "oxidation", "nitration", "sulfation",
)  # fmt: skip
DECIMALS = {
    "kv40": 1, "kv100": 2, "sus210": 1, "vi": 0, "flash": 0, "bn": 1, "an": 2, "fuel": 1, "water": 2, "glycol": 2,
    "soot": 1, "insolubles": 1, "oxidation": 0, "nitration": 0, "sulfation": 0,
}  # fmt: skip
USUAL = {
    "Fe": (4, 60), "Cr": (0, 6), "Al": (1, 14), "Cu": (1, 30), "Pb": (0, 14), "Sn": (0, 6), "Ni": (0, 5),
    "Ag": (0, 1), "Ti": (0, 4), "Mn": (0, 6), "V": (0, 2), "Si": (4, 30), "Na": (1, 40), "K": (0, 14),
    "B": (5, 280), "Mo": (1, 420), "Ba": (0, 4), "Ca": (900, 3900), "Mg": (8, 950), "P": (560, 1150),
    "Zn": (640, 1380), "flash": (186, 240), "bn": (2.1, 11.5), "an": (0.9, 4.6), "fuel": (0.3, 4.5),
    "water": (0.02, 0.4), "glycol": (0.01, 0.1), "soot": (0.1, 3.4), "insolubles": (0.1, 0.9), "oxidation": (4, 28),
    "nitration": (3, 22), "sulfation": (6, 30),
}  # fmt: skip


@dataclass
class Printed:
    """A number on the page: its value, mark, unit (the symbol it stands for) and text."""

    value: float | None
    qualifier: str | None
    text: str
    unit: str | None = None


@dataclass
class TruthSample:
    label: str
    date: datetime.date
    oil_run: int
    engine_run: int
    values: dict[str, Printed] = field(default_factory=dict)


@dataclass
class Truth:
    """All that a report says; `printed_*` say which facts made it onto the page."""

    seed: int
    language: str
    decimal: str
    group: str
    run_unit: str
    keys: list[str]
    units: dict[str, str]
    samples: list[TruthSample]
    oil: str
    grade: str
    engine: str
    laboratory: str
    mean: dict[str, Printed] = field(default_factory=dict)
    own: dict[str, Printed] = field(default_factory=dict)
    limits: dict[str, tuple[float | None, float | None]] = field(default_factory=dict)
    methods: dict[str, str] = field(default_factory=dict)
    advised: int | None = None
    shown: set[str] = field(default_factory=set)

    def number(self, value: float, decimals: int) -> str:
        """Write a number as this report does."""
        text = f"{value:,.{decimals}f}"
        whole, _, part = text.partition(".")
        whole = whole.replace(",", self.group) if len(whole.replace(",", "")) > 3 else whole
        return whole + (self.decimal + part if part else "")


def _grid(rng: random.Random, low: float, high: float, decimals: int) -> float:
    value = low * (high / low) ** rng.random() if low > 0 else rng.random() ** 1.6 * high
    return round(value, decimals)


def _saybolt(kv: float) -> float:
    """ASTM D2161 at 210 °F, as laboratories print it straight from kv100."""
    base = 4.6324 * kv + (1 + 0.03264 * kv) / (
        (3930.2 + 262.7 * kv + 23.97 * kv**2 + 1.646 * kv**3) * 1e-5
    )
    return base * (1 + 0.000061 * 110)


def _values(rng: random.Random, truth: Truth, factor: float) -> dict[str, Printed]:
    from lees.oil.viscosity_index import viscosity_index

    kv100 = round(rng.uniform(8.3, 15.6), 2)
    kv40 = round(kv100 * rng.uniform(5.6, 7.6), 1)
    found: dict[str, Printed] = {}
    for key in truth.keys:
        decimals = DECIMALS.get(key, 0)
        if key == "kv100":
            value = kv100
        elif key == "kv40":
            value = kv40
        elif key == "sus210":
            value = round(_saybolt(kv100), 1)
        elif key == "vi":
            value = float(round(float(viscosity_index(kv40, kv100))))
        else:
            low, high = USUAL[key]
            value = _grid(rng, low, high, decimals)
        if key == "P" and "Zn" in truth.keys:
            value = (
                float(round(found["Zn"].value / rng.uniform(1.02, 1.22)))
                if "Zn" in found
                else value
            )
        if key in ELEMENTS and value > 400:
            value = float(round(value * factor))
        elif key in ELEMENTS:
            value = float(round(value * factor * rng.uniform(0.8, 1.2)))
        found[key] = _printed(rng, truth, key, value, decimals)
    return found


def _printed(rng: random.Random, truth: Truth, key: str, value: float, decimals: int) -> Printed:
    unit = truth.units[key]
    if unit == "°F":
        value, decimals = round(value * 1.8 + 32), 0
    if unit == "A/0.1mm":
        value, decimals = round(value / 100, 2), 2
    if unit == "mg/kg" and key == "water":
        value, decimals = round(value * 10000, -1), 0
    if key in ("fuel", "water", "glycol", "soot") and rng.random() < 0.35:
        limit = {"fuel": 0.5, "water": 0.05, "glycol": 0.05, "soot": 0.1}[key]
        if unit == "mg/kg":
            limit, decimals = 500, 0
        else:
            decimals = 2 if limit < 0.1 else 1
        return Printed(limit, "<", "<" + truth.number(limit, decimals), unit)
    if key in ("water", "glycol") and rng.random() < 0.3:
        word, kind = rng.choice(_WORDS[truth.language])
        return Printed(None, kind, word, unit)
    if key in ELEMENTS and value < 2 and rng.random() < 0.3:
        return Printed(1.0, "<", rng.choice(("<1", "< 1")), unit)
    return Printed(value, None, truth.number(value, decimals), unit)


_WORDS = {
    "en": (("trace", "trace"), ("nil", "absent"), ("none", "absent"), ("negative", "absent"), ("not detected", "absent")),
    "de": (("Spuren", "trace"), ("negativ", "absent"), ("keine", "absent"), ("n. n.", "absent")),
    "es": (("trazas", "trace"), ("negativo", "absent"), ("ausente", "absent")),
    "fr": (("traces", "trace"), ("néant", "absent"), ("négatif", "absent"), ("absent", "absent")),
}  # fmt: skip


def _units(rng: random.Random, language: str) -> dict[str, str]:
    units = dict.fromkeys(ELEMENTS, "mg/kg")
    units |= {
        "kv40": "mm²/s",
        "kv100": "mm²/s",
        "sus210": "SUS",
        "vi": "",
        "bn": "mgKOH/g",
        "an": "mgKOH/g",
    }
    units |= dict.fromkeys(("fuel", "glycol", "soot", "insolubles"), "%")
    units["water"] = "mg/kg" if rng.random() < 0.2 else "%"
    units["flash"] = "°F" if language == "en" and rng.random() < 0.4 else "°C"
    units |= dict.fromkeys(("oxidation", "nitration", "sulfation"), "A/cm")
    return units


_HARBOUR = (
    "Quayside",
    "Limpet",
    "Samphire",
    "Bollard",
    "Gannet",
    "Kelpie",
    "Marram",
    "Tideline",
    "Coble",
    "Fathom",
)
_KINDS = ("Blend", "Reserve", "Standard", "Long", "Mark Two")


def invent(seed: int) -> Truth:
    """Return the truth of one invented report."""
    rng = random.Random(seed * 7919 + 13)
    language = rng.choices(("en", "de", "es", "fr"), (55, 15, 15, 15))[0]
    if language == "en":
        decimal, group = ".", rng.choice((",", ",", "", " "))
    elif language == "de":
        decimal, group = rng.choice(((",", "."), (",", " "), (",", ""), (".", "'")))
    elif language == "es":
        decimal, group = rng.choice(((",", "."), (",", " "), (".", ","), (",", "")))
    else:
        decimal, group = rng.choice(((",", " "), (",", "\u00a0"), (",", "")))
    elements = [key for key in ELEMENTS if rng.random() < rng.choice((0.5, 0.8, 0.95))]
    for must in ("Fe", "Cu"):
        if must not in elements:
            elements.append(must)
    if "Zn" in elements and "P" in elements:
        elements.remove("P")
        elements.append("P")
    share = rng.uniform(0.25, 0.75)
    properties = [key for key in PROPERTIES if rng.random() < share]
    keys = elements + properties if rng.random() < 0.6 else properties + elements
    units = _units(rng, language)
    run_unit = rng.choices(("km", "mi", "h"), (45, 35 if language == "en" else 2, 20))[0]
    count = rng.choices((1, 2, 3, 4, 5), (45, 15, 20, 12, 8))[0]
    grade = rng.choice(("5W-30", "0W-20", "10W-40", "15W-40", "5W-40", "0W-30"))
    truth = Truth(
        seed, language, decimal, group, run_unit, keys, units, [],
        f"{rng.choice(_HARBOUR)} {rng.choice(_KINDS)} {grade}", grade,
        rng.choice(("Tern 4 cyl. diesel", "Guillemot V6", "Plover 2.0 petrol", "Dunlin marine diesel", "Avocet 3.5 L")),
        f"{rng.choice(_HARBOUR)} {rng.choice(('oil bench', 'test house', 'laboratory', 'Labor', 'laboratoire'))}",
    )  # fmt: skip
    day = datetime.date(2026, 1, 1) + datetime.timedelta(days=rng.randrange(300))
    total = rng.randrange(12_000, 240_000) if run_unit != "h" else rng.randrange(800, 9000)
    for number in range(count):
        run = rng.randrange(3000, 19_000) if run_unit != "h" else rng.randrange(90, 480)
        label = rng.choice(("{a}-{n:05d}", "{n:06d}", "{a}{n:04d}", "{y}/{n:04d}")).format(
            a=rng.choice(("LX", "Q", "HB", "TN")), n=rng.randrange(10_000), y=day.year
        )
        truth.samples.append(TruthSample(label, day, run, total))
        day -= datetime.timedelta(days=rng.randrange(60, 300))
        total -= run
        total = max(total, 100)
    labels = {sample.label for sample in truth.samples}
    if len(labels) < count:
        return invent(seed + 1_000_003)
    for sample in truth.samples:
        sample.values = _values(rng, truth, 0.6 + 0.8 * rng.random())
    _blank_some(rng, truth)
    _beside(rng, truth, count)
    return truth


def _blank_some(rng: random.Random, truth: Truth) -> None:
    """Leave some results out, printed as a dash, a word, or nothing."""
    for sample in truth.samples:
        for key in truth.keys:
            if rng.random() < 0.03:
                text = rng.choice(("-", "–", "n/a" if truth.language == "en" else "-", ""))
                sample.values[key] = Printed(None, None, text, None)


def _beside(rng: random.Random, truth: Truth, count: int) -> None:
    if rng.random() < 0.6:
        means = _values(rng, truth, 0.9)
        truth.mean = {
            key: one
            for key, one in means.items()
            if one.value is not None and one.qualifier is None
        }
    if count >= 2 and rng.random() < 0.25:
        for key in truth.keys:
            known = [s.values[key] for s in truth.samples]
            if all(one.value is not None and one.qualifier is None for one in known):
                decimals = (
                    len(known[0].text.partition(truth.decimal)[2])
                    if truth.decimal in known[0].text
                    else 0
                )
                value = round(
                    sum(one.value for one in known if one.value is not None) / count, decimals
                )
                truth.own[key] = Printed(value, None, truth.number(value, decimals), known[0].unit)
    if rng.random() < 0.35:
        for key in truth.keys:
            if key in ELEMENTS and rng.random() < 0.85:
                truth.limits[key] = (
                    None,
                    float(rng.choice((10, 20, 30, 50, 100, 150)) if USUAL[key][1] < 100 else 6000),
                )
            elif key == "kv100":
                truth.limits[key] = (9.0, 16.5)
            elif key == "bn":
                truth.limits[key] = (2.0, None)
    if rng.random() < 0.6 and truth.run_unit != "h":
        truth.advised = rng.randrange(10, 50) * 500
    methods = {"kv40": "D445", "kv100": "D445", "bn": rng.choice(("D2896", "D4739")), "flash": rng.choice(("D92", "D93")),
               "an": "D664", "water": "D6304", "fuel": "D3524"}  # fmt: skip
    truth.methods = {
        key: (methods.get(key) or ("D5185" if key in ELEMENTS else "")) for key in truth.keys
    }
