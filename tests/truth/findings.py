"""Hand-made findings of six invented cases: what the letter, the page and the cards are tried on.

A harbour co-operative keeps launches and island buses; every name and number here is invented.
The cases differ so that every branch is drawn: a clean long run, metal in the media under a quiet
oil, a filter without a report, a report without a filter, a generator by hours whose coolant leaks,
and an almost empty record.
"""

from __future__ import annotations

import io
import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np

from lees.chart.numbers import grouped
from lees.judge.findings import (
    About,
    Action,
    Answer,
    Caught,
    Curve,
    ElementRow,
    Explanation,
    Fact,
    FilterFound,
    Findings,
    MeasuredRow,
    MediaFound,
    NextFill,
    OilCondition,
    PartRow,
    PictureShown,
    PropertyRow,
    Proposal,
    Statement,
)  # fmt: skip
from lees.judge.likelihood import Likelihood, likelihood
from lees.quantity.measured import Measured

CAUTIONS = (
    "Used engine oil is harmful on long or repeated skin contact: wear gloves, wash, and keep oily rags out of pockets.",
    "Cut cans have razor edges and springs are under load: clamp the can and wear eye protection.",
    "Drain and recycle used oil and filters as local rules ask.",
    "A recommendation never overrides the engine maker's schedule, a warranty's terms or a licensed mechanic on the spot.",
)
MADE_WITH = "Lees 0.1.0"
EMPTY_OIL = OilCondition(
    name=None, grade=None, properties=(), in_grade=None, below_grade=None, above_grade=None,
    grade_low_mm2_s=None, grade_high_mm2_s=None, grade_source=None,
)  # fmt: skip
NO_ADVICE = NextFill(
    unit="km", runs=(), curves=(), first=(), risk=0.1, advised=None, bound=None,
    reason="There is no base number, fresh or used, so the next fill cannot be advised from this case.",
    months=None, this_fill=None, maker=None, proposals=(),
)  # fmt: skip


def measured(value: float, uncertainty: float, unit: str, source: str = "caliper A") -> Measured:
    """Return a measured value."""
    return Measured(value, uncertainty, unit, source)


def answer(
    about: About, sentence: str, *, action: Action = Action.CARRY_ON, p: float | None = None,
    because: tuple[str, ...] = (),
) -> Answer:  # fmt: skip
    """Return an answer to one of the four questions."""
    questions = {
        About.ENGINE: "Is the engine healthy?",
        About.OIL: "Is the oil still doing its work?",
        About.FILTER: "Did the filter do its work?",
        About.NEXT_FILL: "How far may the next fill run?",
    }
    word = None if p is None else likelihood(p)
    return Answer(about, questions[about], sentence, action, word, because)


def element(
    key: str, name: str, ppm: float, peers: tuple[float, float, float] | None, **more: Any
) -> ElementRow:
    """Return one element against its peers."""
    low, middle, high = peers or (None, None, None)
    per = more.pop("per", 14.3)
    place = None
    if peers and ppm > 0:
        sigma = math.log(peers[2] / peers[0]) / 2 / 1.645
        place = 0.5 * (1 + math.erf(math.log(ppm / peers[1]) / sigma / math.sqrt(2)))
    values = {
        "key": key, "name": name, "value": measured(ppm, max(0.4, 0.06 * ppm), "mg/kg", "report, page 1"),
        "text": f"{ppm:g} mg/kg", "rate": measured(ppm / per, 0.06 * ppm / per, "mg/kg", "derived"),
        "rate_unit": "mg/kg per 1000 km", "mean": None, "peers_low": low, "peers_middle": middle,
        "peers_high": high, "past": (), "percentile": place, "note": None,
    }  # fmt: skip
    return ElementRow(**{**values, **more})


def odds(runs: np.ndarray, middle: float, spread: float) -> tuple[float, ...]:
    """Return a log-normal chance of having crossed by each run."""
    z = np.log(np.maximum(runs, 1e-9) / middle) / spread
    return tuple(float(0.5 * (1 + math.erf(v / math.sqrt(2)))) for v in z)


def next_fill(unit: str, limits: dict[str, tuple[float, float]], **more: Any) -> NextFill:
    """Return a next fill with its odds."""
    top = more.pop("top")
    runs = np.linspace(0, top, 61)
    curves = tuple(Curve(name, odds(runs, *limit)) for name, limit in limits.items())
    first = tuple(float(1 - np.prod([1 - c.odds[i] for c in curves])) for i in range(len(runs)))
    proposals = tuple(
        Proposal(
            who, run, p := float(np.interp(run, runs, first)), likelihood(p),
            f"At {grouped(run)} {unit}, which {who} proposes, a limit is {likelihood(p)} to have been crossed.",
        )
        for who, run in more.pop("proposals", ())
    )  # fmt: skip
    values = {"risk": 0.1, "months": 12.0, "maker": None, "bound": None}
    return NextFill(
        unit=unit,
        runs=tuple(runs.tolist()),
        curves=curves,
        first=first,
        proposals=proposals,
        **{**values, **more},
    )


def row(
    what: str, value: Measured, customary: tuple[float | None, float | None], **more: Any
) -> MeasuredRow:
    """Return one measured quantity of the specimen."""
    values = {
        "what": what, "value": value, "expanded": 2.1 * value.uncertainty,
        "readings": tuple(round(value.value + d * value.uncertainty, 3) for d in (-0.8, 0.3, 0.5)),
        "instrument": value.source, "zero": 0.0, "low": customary[0], "high": customary[1],
        "range_source": "common practice, no source" if any(customary) else None, "doubts": (),
    }  # fmt: skip
    return MeasuredRow(**{**values, **more})


PEERS = {
    "Fe": (5.0, 14.0, 38.0), "Cr": (0.3, 0.9, 2.6), "Al": (1.1, 3.1, 8.2), "Cu": (1.4, 4.4, 14.0),
    "Pb": (0.5, 1.8, 7.0), "Sn": (0.3, 0.7, 1.9), "Si": (4.0, 9.0, 20.0), "Na": (2.0, 5.0, 13.0),
    "K": (0.5, 1.5, 5.0),
}  # fmt: skip
NAMES = {
    "Fe": "Iron", "Cr": "Chromium", "Al": "Aluminium", "Cu": "Copper", "Pb": "Lead", "Sn": "Tin",
    "Si": "Silicon", "Na": "Sodium", "K": "Potassium",
}  # fmt: skip


def elements(
    ppm: dict[str, float], past: dict[str, tuple[float, ...]] | None = None, **more: Any
) -> tuple[ElementRow, ...]:
    """Return rows for some elements against the invented peers."""
    return tuple(
        element(key, NAMES[key], value, PEERS[key], past=(past or {}).get(key, ()), **more)
        for key, value in ppm.items()
    )


def properties(kv: float, flash: float, bn: float) -> tuple[PropertyRow, ...]:
    """Return three properties of the oil."""
    return (
        PropertyRow("kv100", "Viscosity at 100 °C", measured(kv, 0.07, "mm²/s", "report, page 1"), f"{kv:g} mm²/s", "ASTM D445",
                    measured(10.4, 0.05, "mm²/s", "data sheet"), "ASTM D445", 9.3, 12.5),
        PropertyRow("flash", "Flash point", measured(flash, 4.0, "°C", "report, page 1"), f"{flash:g} °C", "ASTM D92",
                    measured(232.0, 4.0, "°C", "data sheet"), "ASTM D92", 192.0, None),
        PropertyRow("bn", "Base number", measured(bn, 0.25, "mgKOH/g", "report, page 1"), f"{bn:g} mgKOH/g", "ASTM D2896",
                    measured(8.4, 0.2, "mgKOH/g", "data sheet"), "ASTM D2896", 2.0, None),
    )  # fmt: skip


MEDIA = MediaFound(
    area_by_strip=measured(1242.0, 14.0, "cm²", "rule B"), area_by_pleats=measured(1228.0, 31.0, "cm²", "caliper A"),
    agree=True, pleats=54, pleats_candidates=(54,), spacing_outer=measured(3.92, 0.05, "mm", "derived"),
    spacing_inner=measured(1.72, 0.05, "mm", "derived"), length=measured(1344.0, 8.0, "mm", "rule B"),
    width=measured(92.4, 0.6, "mm", "caliper A"), depth=measured(12.4, 0.3, "mm", "caliper A"),
)  # fmt: skip
SIZES = (0.05, 0.1, 0.2, 0.4, 1.0)


def caught(kind: str, counts: tuple[int, ...], largest: float) -> Caught:
    """Return particles of one kind on 60 cm² of media, with Garwood's limits."""
    from lees.quantity.counts import poisson_limits

    limits, scale = poisson_limits(counts), 100 / 60
    return Caught(
        kind, SIZES, counts, tuple(c * scale for c in counts), tuple((limits.low * scale).tolist()),
        tuple((limits.high * scale).tolist()), largest, 0.06, 60.0,
    )  # fmt: skip


FILTER = FilterFound(
    name="Spin-on, coarse pleat, harbour store shelf 3",
    measured=(
        row("can wall thickness", measured(0.38, 0.008, "mm"), (0.3, 0.4)),
        row("base plate thickness", measured(3.61, 0.012, "mm"), (2.5, 4.0)),
        row("inlet hole diameter", measured(4.52, 0.02, "mm"), (None, None)),
        row("gasket height", measured(5.9, 0.06, "mm"), (5.0, 7.5)),
        row("media thickness", measured(0.81, 0.03, "mm"), (0.6, 1.0), instrument="micrometer C"),
    ),
    parts=(
        PartRow("media", "cellulose and glass", "even, intact", "pleats stand straight", Action.CARRY_ON, "The media held and was used over its whole length."),
        PartRow("end caps", "steel", "well bonded", None, Action.CARRY_ON, "No path past the media."),
        PartRow("anti-drain-back valve", "silicone", "soft, seals", None, Action.CARRY_ON, "Oil stays up in the galleries at rest."),
        PartRow("bypass valve", "steel spring, nitrile seat", "closed, seat clean", None, Action.CARRY_ON, "No sign that it stood open for long."),
        PartRow("gasket", "nitrile", "supple", None, Action.CARRY_ON, "Sealed to the end."),
    ),
    media=MEDIA,
    caught=(caught("bright", (31, 9, 2, 0, 0), 0.26), caught("dark", (140, 66, 21, 4, 0), 0.71), caught("fibre", (0, 0, 5, 7, 3), 2.4)),
    transmission=None,
)  # fmt: skip

CLEAN = Findings(
    format=1, made_with=MADE_WITH, title="Pilot launch, port engine, summer 2026", invented=True,
    owner="Harbour co-operative", engine="5.2 L diesel, six cylinders, keel-cooled", inspector="The bench at the slipway",
    inspector_words="I cut this one expecting sludge after so long a run and found none. The pleats were straight, the valve was soft, and what lay in the folds was the ordinary dark dust of a diesel that is looked after.",
    run=measured(14300.0, 80.0, "km", "case.toml"), run_unit="km", dates=("2026-04-11", "2026-09-02"),
    answers=(
        answer(About.ENGINE, "The engine is very likely wearing no faster than others like it.", p=0.94, because=("wear.iron", "wear.others", "debris.bright")),
        answer(About.OIL, "The oil is virtually certain to be in its grade and has 46 % of its base number left.", p=0.995, because=("oil.viscosity", "oil.bn")),
        answer(About.FILTER, "The filter very likely did its work: intact, evenly loaded, and not bypassed.", p=0.92, because=("filter.media", "filter.bypass")),
        answer(About.NEXT_FILL, "The next fill may run 15\u202f000 km or 12 months; a limit is then very unlikely to have been crossed.", p=0.08, because=("next.bn",)),
    ),
    statements=(
        Statement("wear.iron", About.ENGINE, "Iron stands at 12 mg/kg after 14\u202f300 km, a little under the middle of 212 engines like it.", facts=("f.iron", "f.run"), formula="rate = (c − c₀)·m / run", sources=("report, page 1",), weight_db=-6.2),
        Statement("wear.others", About.ENGINE, "None of the other wear metals is above nine in ten of its peers.", facts=("f.cu", "f.pb"), weight_db=-3.1),
        Statement("debris.bright", About.ENGINE, "The media holds 70 bright particles per 100 cm², none above 0.4 mm.", facts=("f.bright",), weight_db=-2.0),
        Statement("engine.copper", About.ENGINE, "Copper is higher than in the two fills before, still inside its peers' spread.", facts=("f.cu",), weight_db=1.1),
        Statement("oil.viscosity", About.OIL, "Viscosity at 100 °C is 10.1 mm²/s, inside 9.3 to 12.5 for this grade.", facts=("f.kv",), sources=("SAE J300, table 1",), weight_db=-8.0),
        Statement("oil.bn", About.OIL, "The base number fell from 8.4 to 3.9 mgKOH/g by one method (ASTM D2896).", facts=("f.bn", "f.bn0"), formula="BN(run) = BN₀ · exp(−k · run)", weight_db=-4.0),
        Statement("filter.media", About.FILTER, "Strip and pleats agree on the media's area: 1242 ± 27 cm² and 1228 ± 61 cm².", facts=("f.area",), weight_db=-3.0),
        Statement("filter.bypass", About.FILTER, "The bypass valve's seat is clean, with no track of dirt across it.", facts=("f.bypass",), weight_db=-4.5),
        Statement("next.bn", About.NEXT_FILL, "What ends the fill is the base number, which reaches the floor of 2 mgKOH/g first.", facts=("f.bn",), weight_db=None),
    ),
    facts=(
        Fact("f.iron", "Iron", "12 mg/kg", "report, page 1"), Fact("f.run", "Run", "14\u202f300 km", "case.toml"),
        Fact("f.cu", "Copper", "6 mg/kg", "report, page 1"), Fact("f.pb", "Lead", "1 mg/kg", "report, page 1"),
        Fact("f.bright", "Bright particles from 0.05 mm", "42 on 60 cm²", "picture media-1.jpg"),
        Fact("f.kv", "Viscosity at 100 °C", "10.1 mm²/s", "report, page 1"), Fact("f.bn", "Base number", "3.9 mgKOH/g", "report, page 1"),
        Fact("f.bn0", "Base number, fresh", "8.4 mgKOH/g", "data sheet"), Fact("f.area", "Media strip", "1344 mm × 92.4 mm", "rule B, caliper A"),
        Fact("f.bypass", "Bypass valve", "closed, seat clean", "teardown"),
    ),
    elements=elements(
        {"Fe": 12, "Cr": 0.8, "Al": 3, "Cu": 6, "Pb": 1, "Sn": 0.6, "Si": 8, "Na": 4, "K": 1},
        {"Fe": (11.0, 13.5, 15.2), "Cu": (4.1, 4.6), "Al": (2.6, 3.4, 3.1), "Si": (7.0, 9.5), "Pb": (1.2, 0.8)},
    ),
    oil=OilCondition("Plain diesel oil", "15W-30", properties(10.1, 224.0, 3.9), 0.997, 0.003, 0.0, 9.3, 12.5, "SAE J300, table 1"),
    filter=FILTER,
    next_fill=next_fill("km", {"base number": (22500.0, 0.28), "viscosity": (36000.0, 0.35), "iron": (48000.0, 0.5)}, top=30000.0, advised=15000.0,
                        bound="base number", reason="The base number bounds it: one chance in ten of being under the floor by then.", this_fill=14300.0, maker=12000.0,
                        proposals=(("the laboratory", 18000.0), ("the engine's maker", 12000.0))),
    explanations=(
        Explanation("normal", "Ordinary wear and soot", 0.93, Likelihood.VERY_LIKELY, ("wear.iron", "wear.others", "debris.bright"), ("engine.copper",), None),
        Explanation("cooler", "Copper leached from a new oil cooler", 0.21, Likelihood.UNLIKELY, ("engine.copper",), (), "Ask whether the oil cooler was changed in the last two years; leaching fades within a few fills."),
    ),
    checks=("Take the next sample at 10\u202f000 km, warm, from the dipstick tube.", "Look at the air filter's seal: silicon is low, keep it so."),
    not_judged=("Soot could not be judged: the report gives none.", "The filter's own run is taken to be the fill's."),
    warnings=("The mean on the report stands at 7\u202f400 km; it was scaled to this run.",),
    cautions=CAUTIONS,
    pictures=(
        PictureShown("media-1.jpg", "media", "Four folds of the media, unrolled. The dark specks are soot and carbon."),
        PictureShown("valve.jpg", "anti-drain-back valve", "The valve is soft and lies flat."),
    ),
    basis="Peers: 212 fills of 74 engines alike, middle run 11\u202f800 km. Chances are those of the models named, no more.",
)  # fmt: skip

METAL = replace(
    CLEAN, title="Island bus 4, spring 2026", engine="2.9 L petrol, four cylinders", inspector_words=None,
    run=measured(8200.0, 60.0, "mi", "case.toml"), run_unit="mi", dates=("2025-11-20", "2026-05-03"),
    answers=(
        answer(About.ENGINE, "A bearing is likely shedding metal: the filter holds large bright flakes that the oil sample cannot show.", action=Action.ACT_NOW, p=0.81, because=("debris.flakes", "wear.quiet")),
        answer(About.OIL, "The oil is very likely still in its grade.", p=0.96, because=("oil.viscosity",)),
        answer(About.FILTER, "The filter did its work and caught what matters.", p=0.9, because=("filter.media",)),
        answer(About.NEXT_FILL, "Run no further until the bearings have been looked at.", action=Action.ACT_NOW, p=None),
    ),
    statements=(
        Statement("debris.flakes", About.ENGINE, "The media holds 88 bright particles per 100 cm² above 0.2 mm, the largest 1.9 mm.", action=Action.ACT_NOW, facts=("f.flakes",), weight_db=14.0),
        Statement("wear.quiet", About.ENGINE, "Iron, copper and lead in the oil are ordinary for 8200 mi.", facts=("f.iron",), weight_db=-3.0),
        Statement("debris.colour", About.ENGINE, "A third of the flakes are copper-coloured and none is drawn to a magnet.", weight_db=5.5),
        Statement("oil.viscosity", About.OIL, "Viscosity at 100 °C is 10.0 mm²/s, inside 9.3 to 12.5 for this grade.", weight_db=-8.0),
        Statement("filter.media", About.FILTER, "The media is intact and evenly loaded.", weight_db=-3.0),
    ),
    facts=(Fact("f.flakes", "Bright particles from 0.2 mm", "53 on 60 cm²", "picture media-1.jpg"), Fact("f.iron", "Iron", "11 mg/kg", "report, page 1")),
    elements=elements({"Fe": 11, "Cr": 0.5, "Al": 4, "Cu": 9, "Pb": 3.5, "Sn": 0, "Si": 12}, per=8.2, rate_unit="mg/kg per 1000 mi"),
    filter=replace(FILTER, caught=(caught("bright", (210, 96, 34, 15, 4), 1.9), caught("dark", (60, 22, 8, 1, 0), 0.5)), parts=(
        PartRow("media", "cellulose", "intact", "bright flakes in every fold", Action.ACT_NOW, "Flakes of this size come from a surface that is breaking up."),
        PartRow("bypass valve", "steel", "closed", None, Action.CARRY_ON, "What the pump lifted went through the media."),
        PartRow("centre tube", "steel", "straight", None, Action.CARRY_ON, "The pressure across the media stayed moderate."),
    )),
    next_fill=next_fill("mi", {"base number": (14000.0, 0.28), "viscosity": (20000.0, 0.35)}, top=18000.0, advised=None, bound=None,
                        reason="No further run is advised while a bearing is likely shedding metal.", this_fill=8200.0, maker=7500.0, proposals=(("the laboratory", 10000.0),)),
    explanations=(
        Explanation("bearing", "A plain bearing is breaking up", 0.81, Likelihood.LIKELY, ("debris.flakes", "debris.colour"), ("wear.quiet",), "Drop the sump and look at the shells before it runs again."),
        Explanation("bush", "A worn rocker or small-end bush", 0.14, Likelihood.UNLIKELY, ("debris.colour",), ("debris.flakes",), "Look under the rocker cover while the sump is off."),
    ),
    checks=("Stop and have the bearings looked at before it runs on.", "Keep the flakes: wash them off the media and send them for microscopy.", "Measure oil pressure hot, at idle."),
    not_judged=(), warnings=(), pictures=(PictureShown("media-1.jpg", "media", "Bright flakes in the folds; the scale bar is 1 mm."),),
)  # fmt: skip

FILTER_ONLY = replace(
    CLEAN, title="A filter by post, no papers", owner=None, engine=None, inspector=None, inspector_words=None, run=None, run_unit=None,
    dates=(None, "2026-08-01"),
    answers=(
        answer(About.ENGINE, "The engine cannot be judged without a run or an oil report; nothing in the media speaks against it.", p=None),
        answer(About.OIL, "The oil cannot be judged: there is no report.", p=None),
        answer(About.FILTER, "The filter was likely bypassed for a time: its end cap has come away.", action=Action.LOOK_CLOSER, p=0.74, because=("filter.cap",)),
        answer(About.NEXT_FILL, "The next fill cannot be advised from this case.", p=None),
    ),
    statements=(Statement("filter.cap", About.FILTER, "The glue of the lower end cap let go over a third of its round.", action=Action.LOOK_CLOSER, weight_db=9.0),),
    facts=(), elements=(), oil=EMPTY_OIL, next_fill=NO_ADVICE, explanations=(),
    filter=replace(FILTER, name=None, caught=(), media=replace(MEDIA, area_by_strip=None, agree=None, pleats=None, pleats_candidates=(53, 54), length=None),
                   measured=(row("can wall thickness", measured(0.52, 0.008, "mm"), (0.3, 0.4), zero=0.14, doubts=("All readings are off by the same amount: was the caliper zeroed?",)),)),
    checks=("Zero the caliper and measure the can again.",), not_judged=("Wear could not be judged: there is no report.", "No run is given, so nothing was set against distance."),
    warnings=("case.toml, line 4: no fill is given.",), pictures=(),
)  # fmt: skip

REPORT_ONLY = replace(
    CLEAN, title="Tender, starboard engine, winter sample", inspector_words=None, filter=None, pictures=(), explanations=(), checks=(),
    answers=(
        answer(About.ENGINE, "The engine is likely wearing no faster than others like it.", p=0.8, because=("wear.iron",)),
        answer(About.OIL, "The oil is about as likely as not below its grade.", action=Action.LOOK_CLOSER, p=0.45, because=("oil.viscosity",)),
        answer(About.FILTER, "The filter was not sent, so it could not be judged.", p=None),
        answer(About.NEXT_FILL, "The next fill may run 9000 km; the laboratory's 18\u202f000 km would very likely cross a limit.", action=Action.LOOK_CLOSER, p=0.07, because=("next.bn",)),
    ),
    oil=OilCondition("Thin diesel oil", "5W-30", properties(9.31, 198.0, 3.1), 0.55, 0.45, 0.0, 9.3, 12.5, "SAE J300, table 1"),
    elements=tuple(replace(r, peers_low=None, peers_middle=None, peers_high=None, percentile=None, mean=PEERS[r.key][1], past=()) for r in CLEAN.elements[:5]),
    next_fill=next_fill("km", {"base number": (12300.0, 0.25)}, top=24000.0, advised=9000.0, bound="base number",
                        reason="The base number bounds it.", this_fill=10200.0, maker=None, proposals=(("the laboratory", 18000.0),)),
)  # fmt: skip

HOURS = replace(
    CLEAN, title="Ice-house generator, 402 hours", engine="1.9 L diesel generator", run=measured(402.0, 0.5, "h", "case.toml"), run_unit="h",
    inspector_words="Milk under the filler cap. I rang them the same day.",
    answers=(
        answer(About.ENGINE, "Coolant is virtually certain to be getting into the oil.", action=Action.ACT_NOW, p=0.993, because=("coolant.na",)),
        answer(About.OIL, "The oil is spoilt by coolant and must be drained.", action=Action.ACT_NOW, p=0.99, because=("coolant.glycol",)),
        answer(About.FILTER, "The filter likely loaded up early with emulsion.", action=Action.LOOK_CLOSER, p=0.7),
        answer(About.NEXT_FILL, "Stop and have it checked before running on; no next fill is advised.", action=Action.ACT_NOW, p=None),
    ),
    statements=(
        Statement("coolant.na", About.ENGINE, "Sodium is at 260 mg/kg and potassium at 41 mg/kg, in the proportion of an inhibited coolant.", action=Action.ACT_NOW, weight_db=18.0),
        Statement("coolant.glycol", About.OIL, "Glycol is reported at 0.6 %.", action=Action.ACT_NOW, weight_db=20.0),
    ),
    facts=(), elements=elements({"Fe": 44, "Al": 6, "Cu": 21, "Pb": 9, "Si": 16, "Na": 260, "K": 41}, {"Na": (4.0, 6.0), "K": (1.0, 2.0)}, per=4.02, rate_unit="mg/kg per 100 h"),
    oil=OilCondition("Plain diesel oil", "15W-30", properties(13.4, 231.0, 2.2), 0.02, 0.0, 0.98, 9.3, 12.5, "SAE J300, table 1"),
    next_fill=next_fill("h", {"base number": (430.0, 0.2), "iron": (600.0, 0.4)}, top=800.0, advised=None, bound=None, months=None,
                        reason="Coolant in the oil comes first; no fill is advised until the leak is found.", this_fill=402.0, maker=250.0, proposals=(("the laboratory", 500.0),)),
    explanations=(Explanation("coolant", "A coolant leak", 0.993, Likelihood.VIRTUALLY_CERTAIN, ("coolant.na", "coolant.glycol"), (), "Pressure-test the cooling system; look at the head gasket and the oil cooler."),),
    checks=("Stop and have it checked before running on.", "Drain this oil and flush before the next fill.", "Pressure-test the cooling system."),
    not_judged=(), warnings=("Drained before it was poured: the dates were left out of account.",), pictures=CLEAN.pictures[:1],
)  # fmt: skip

BARE = replace(
    FILTER_ONLY, title="An envelope with a label", filter=None, invented=False, dates=(None, None), checks=(), warnings=(),
    answers=tuple(answer(a, "This cannot be judged from what is here.", p=None) for a in (About.ENGINE, About.OIL, About.FILTER, About.NEXT_FILL)),
    statements=(), not_judged=("There is neither a filter nor a report.",), basis="",
)  # fmt: skip

CASES = {
    "clean": CLEAN, "metal": METAL, "filter": FILTER_ONLY, "report": REPORT_ONLY, "hours": HOURS, "bare": BARE,
}  # fmt: skip


def each_text(value: Any, change: Any) -> Any:
    """Return findings with every text changed by a function; likelihoods and actions stay."""
    if is_dataclass(value) and not isinstance(value, type):
        return type(value)(
            **{f.name: each_text(getattr(value, f.name), change) for f in fields(value)}
        )
    if type(value) is str:
        return change(value)
    if isinstance(value, tuple):
        return tuple(each_text(item, change) for item in value)
    return value


def photograph(seed: int = 4, width: int = 1600, height: int = 1000) -> bytes:
    """Return a drawn photograph of media: folds with specks, as JPEG."""
    from PIL import Image

    generator = np.random.default_rng(seed)
    x = np.linspace(0, 14 * np.pi, width)
    folds = 0.62 + 0.16 * np.sin(x)[None, :] + generator.normal(0, 0.03, (height, width))
    specks = np.zeros((height, width))
    for _ in range(500):
        cy, cx, r = (
            generator.integers(0, height),
            generator.integers(0, width),
            generator.integers(1, 6),
        )
        specks[max(0, cy - r) : cy + r, max(0, cx - r) : cx + r] = generator.choice(
            [-0.5, -0.4, 0.35]
        )
    light = np.clip(folds + specks, 0, 1)
    image = np.stack([light * 236, light * 208, light * 168], axis=-1).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(image).save(out, "JPEG", quality=85)
    return out.getvalue()


def pictures() -> dict[str, bytes]:
    """Return the drawn photographs that the cases show."""
    return {"media-1.jpg": photograph(4), "valve.jpg": photograph(9, 900, 1200)}
