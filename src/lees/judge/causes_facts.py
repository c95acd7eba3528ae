"""The evidence of one case, from what was typed, read, measured and found of the filter."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lees.case.records import Facts
from lees.errors import LeesError
from lees.filtration.parts import Bearing, State, part, parts, state_named
from lees.judge.bench_readings import size_claims, value_of
from lees.judge.catch import large_bright
from lees.judge.causes_evidence import Evidence, Glitter, Told
from lees.judge.causes_table import judged_table
from lees.judge.causes_words import magnet_level, told_of
from lees.judge.contradictions import contradictions
from lees.judge.findings import Action, FilterFound
from lees.judge.notes import Notes
from lees.judge.reported import Known, OilKnown
from lees.judge.run import FillRun
from lees.judge.wear import ADDITIVES, Wear
from lees.oil.flash import FlashPoint, flash_drop

YOUNG_KM, YOUNG_H = 6000.0, 150.0
OLD_KM, OLD_H = 30000.0, 800.0
SHORT_RUN_KM, SHORT_RUN_H = 2500.0, 40.0
"""Judgement: until when an engine runs in, and a run over which the previous oil still shows."""
SHEET_DEVIATION = 0.05
"""How far a data sheet's additive metals lie from the oil in the can (log deviation; judgement)."""
LEAST_ADDITIVE_MG_KG = 20.0
_WATER = (0.1, 0.3)
_TOLD_SIGNS = ("pressure", "noise", "consumption", "level_rose", "coolant_lost", "emulsion")
_SEEN_SIGNS = ("chips", "grit", "silicone", "carbon", "emulsion", "sludge", "fibres")
_BYPASS = {"sound": 0, "dirt_on_seat": 1, "leaks": 1, "spring_weak": 1}
_BYPASS |= {"stuck_open": 2, "stuck_closed": 2}
_DRAIN_BACK = {"sound": 0, "stiff": 1, "hard": 2, "torn": 2, "leaks_inside": 2}


def evidence_of(
    facts: Facts,
    oil: OilKnown,
    *,
    wear: Wear,
    found: FilterFound | None,
    run: FillRun | None,
    notes: Notes,
) -> Evidence:
    """Return everything that the causes are weighed by.

    Parameters
    ----------
    facts : Facts
        What is known of the case.
    oil : OilKnown
        The oil's results.
    wear : Wear
        The elements against their peers.
    found : FilterFound or None
        What the specimen showed.
    run : FillRun or None
        The fill's run.
    notes : Notes
        What was stated so far: whether figures agree, whether an instrument was off its zero.

    Returns
    -------
    Evidence
        Each piece on the scale of the table of causes; what was not looked at is left out.
    """
    case = facts.case
    media = case.filter.media if case.filter else None
    counted = large_bright(facts)
    glitter = Glitter(word=media.glitter if media else None)
    if counted is not None:
        glitter = Glitter(count=counted[0], area_cm2=counted[1])
    return Evidence(
        log_ratio=wear.log_ratio,
        log_uncertainty=wear.log_uncertainty,
        deviation=wear.deviation,
        past=_past(wear),
        glitter=glitter,
        fluids=dict(_fluids(oil)),
        additives=dict(_additives(facts, oil)),
        signs={
            **_told_signs(facts),
            **_media_signs(facts),
            **_part_signs(facts),
            **_oil_signs(oil),
            **_record_signs(facts, oil, found=found, run=run, notes=notes),
        },
        circumstances=frozenset(_circumstances(facts, oil, run)),
        standing_out=tuple(row.name.lower() for row in wear.rows if (row.percentile or 0.0) > 0.95),
    )


def said_in(facts: Facts) -> str:
    """Return what the record tells of the fill, in one text."""
    fill = facts.case.fill
    return " ; ".join((*fill.duty, *fill.events, fill.notes or ""))


def _past(wear: Wear) -> dict[str, tuple[float, ...]]:
    """Return this engine's earlier contents as logarithms over the peers' middle."""
    return {
        row.key: tuple(math.log(one / row.peers_middle) for one in row.past if one > 0)
        for row in wear.rows
        if row.key in wear.log_ratio and row.peers_middle
    }


def _fluids(oil: OilKnown) -> Iterator[tuple[str, Told]]:
    present, fresh = oil.present, oil.fresh
    for key in ("kv100", "kv40"):
        if (ratio := _log_ratio(present.get(key), fresh.get(key))) is not None:
            yield "viscosity", Told(ratio.value / 0.1, ratio.doubt / 0.1)
            break
    if (drop := _flash_drop(oil)) is not None:
        yield "flash", Told(drop.value / 10, drop.doubt / 10)
    if (fuel := present.get("fuel")) is not None and fuel.qualifier != ">":
        yield "fuel", Told(fuel.middle, max(fuel.value.uncertainty, fuel.step / 2))
    same = {one.method for key in ("bn",) for one in (present.get(key), fresh.get(key)) if one}
    ratio = _log_ratio(present.get("bn"), fresh.get("bn"))
    if ratio is not None and len(same) == 1:
        yield "base_number", Told(ratio.value / 0.3, ratio.doubt / 0.3)
    if (acid := present.get("an")) is not None:
        yield "acid_number", Told(acid.middle - 2.0, acid.value.uncertainty)
    for key, usual in (("oxidation", None), ("soot", 0.5), ("insolubles", 0.3)):
        used, mean = present.get(key), oil.means.get(key)
        against = mean.middle if mean is not None else usual
        if used is not None and against and used.middle > 0:
            doubt = max(used.value.uncertainty, used.step / 2) / used.middle
            yield key, Told(math.log(used.middle / against), min(doubt, 1.0))


def _additives(facts: Facts, oil: OilKnown) -> Iterator[tuple[str, Told]]:
    sheet = facts.case.oil.fresh is not None and facts.case.oil.fresh.source == "data sheet"
    for key in sorted(ADDITIVES):
        used, fresh = oil.present.get(key), oil.fresh.get(key)
        if used is None or fresh is None or fresh.middle < LEAST_ADDITIVE_MG_KG:
            continue
        if (ratio := _log_ratio(used, fresh)) is not None:
            doubt = math.hypot(ratio.doubt, SHEET_DEVIATION if sheet else 0.0)
            yield key, Told(ratio.value, doubt)


def _log_ratio(used: Known | None, fresh: Known | None) -> Told | None:
    """Return the logarithm of used over fresh with its doubt, where both are above zero."""
    if used is None or fresh is None or min(used.middle, fresh.value.value) <= 0:
        return None
    doubt = math.hypot(
        used.value.uncertainty / used.middle, fresh.value.uncertainty / fresh.value.value
    )
    return Told(math.log(used.middle / fresh.value.value), min(doubt, 2.0))


def _flash_drop(oil: OilKnown) -> Told | None:
    used, fresh = oil.present.get("flash"), oil.fresh.get("flash")
    if used is None or fresh is None or used.qualifier or fresh.qualifier:
        return None
    try:
        drop = flash_drop(
            FlashPoint(fresh.value.value, fresh.method),
            FlashPoint(used.value.value, used.method),
            laboratory=oil.laboratory,
        ).drop
    except LeesError:
        return None  # said where the flash points are judged
    return Told(drop.value, drop.uncertainty)


def _oil_signs(oil: OilKnown) -> dict[str, int]:
    signs = {}
    if (glycol := oil.present.get("glycol")) is not None:
        there = glycol.qualifier not in ("absent", "<")
        signs["glycol"] = int(there and (glycol.qualifier == "trace" or glycol.value.value > 0))
    if (water := oil.present.get("water")) is not None:
        if water.qualifier == "trace":
            signs["water"] = 1
        elif water.qualifier in ("absent", "<"):
            signs["water"] = 0
        else:
            signs["water"] = sum(water.value.value > limit for limit in _WATER)
    return signs


def _told_signs(facts: Facts) -> dict[str, int]:
    """Return the signs that the record tells of; a record's silence is no evidence."""
    said = said_in(facts)
    words = judged_table().words
    heard = {key: told_of(said, words[key]) for key in _TOLD_SIGNS}
    return {key: int(told) for key, told in heard.items() if told is not None}


def _media_signs(facts: Facts) -> dict[str, int]:
    specimen = facts.case.filter
    if specimen is None:
        return {}
    media, words = specimen.media, judged_table().words
    text = " ; ".join(
        one
        for one in (media.seen, media.metal_colour, media.magnet, media.condition,
                    *(seen.seen for seen in specimen.parts))
        if one
    )  # fmt: skip
    heard = {key: told_of(text, words[key]) for key in _SEEN_SIGNS}
    signs = {key: int(told) for key, told in heard.items() if told is not None}
    if media.metal_colour:
        for key in ("yellow", "soft"):
            signs[key] = int(bool(told_of(media.metal_colour, words[key])))
    if media.magnet and (level := magnet_level(media.magnet)) is not None:
        signs["magnet"] = level
    state = state_named("media", media.condition) if media.condition else None
    if state is not None:
        signs["loading"] = int(state.key in ("full", "collapsed"))
    torn = media.torn
    if torn is None and state is not None and state.key in ("torn", "holes"):
        torn = True
    if torn is not None:
        signs["media"] = int(torn)
    return signs


def _part_signs(facts: Facts) -> dict[str, int]:
    states = dict(_states(facts))
    signs = {}
    if (valve := states.get("bypass_valve")) is not None and valve.key in _BYPASS:
        signs["bypass"] = _BYPASS[valve.key]
    if (flap := states.get("anti_drain_back_valve")) is not None and flap.key in _DRAIN_BACK:
        signs["drain_back"] = _DRAIN_BACK[flap.key]
    joined = [states[key] for key in ("seam", "end_caps", "spring") if key in states]
    if joined:
        signs["joints"] = int(
            any(one.bearing in (Bearing.DEFEATS, Bearing.ENDANGERS) for one in joined)
        )
    return signs


def _states(facts: Facts) -> Iterator[tuple[str, State]]:
    for seen in facts.case.filter.parts if facts.case.filter else ():
        wanted = " ".join(seen.part.casefold().replace("_", " ").split())
        for key in parts():
            if wanted in (key.replace("_", " "), part(key).name.casefold()) and seen.condition:
                state = state_named(key, seen.condition)
                if state is not None:
                    yield key, state


def _record_signs(
    facts: Facts, oil: OilKnown, *, found: FilterFound | None, run: FillRun | None, notes: Notes
) -> dict[str, int]:
    held = [s for s in notes.statements if s.id.startswith("oil.agree.")]
    signs = {"contradiction": int(bool(contradictions(facts, oil, run)))}
    if held:
        signs["disagreement"] = int(any(s.action is not Action.CARRY_ON for s in held))
    shifted = any(s.id.startswith("record.shift.") for s in notes.statements)
    if not shifted and (differ := _sizes_differ(facts, found)) is not None:
        signs["sizes"] = int(differ)
    return signs


def _sizes_differ(facts: Facts, found: FilterFound | None) -> bool | None:
    """Return whether a size lies outside its maker's claim; nothing where none can be held."""
    outside = []
    for name, claim in size_claims(facts).items():
        value = value_of(facts, name)
        if value is not None:
            spread = 2 * math.hypot(claim.uncertainty, value.uncertainty)
            outside.append(abs(value.value - claim.value) > spread)
    claimed = facts.case.filter.claims.media_area if facts.case.filter else None
    area = found.media.area_by_strip if found and found.media else None
    if claimed is not None and area is not None:
        outside.append(area.value + 2 * area.uncertainty < 0.85 * claimed.to("cm²"))
    return any(outside) if outside else None


def _circumstances(facts: Facts, oil: OilKnown, run: FillRun | None) -> Iterator[str]:
    case = facts.case
    said = said_in(facts)
    for key, words in judged_table().circumstances.items():
        if told_of(said, words):
            yield key
    yield from _of_the_runs(facts, run)
    if "Si" in oil.present:
        yield "fresh_silicon_known" if "Si" in oil.fresh else "fresh_silicon_unknown"
    if case.engine.fuel in ("diesel", "petrol"):
        yield case.engine.fuel
    wiped = case.filter.media.swarf_wiped if case.filter else None
    if wiped is not None:
        yield "swarf_wiped" if wiped else "swarf_not_wiped"
    if any(known.review for known in oil.present.values()):
        yield "read_with_doubt"


def _of_the_runs(facts: Facts, run: FillRun | None) -> Iterator[str]:
    case = facts.case
    total = case.fill.engine_total
    if total is not None:
        km, hours = total.distance_km, total.engine_hours
        if (km is not None and km <= YOUNG_KM) or (hours is not None and hours <= YOUNG_H):
            yield "young_engine"
        elif (km is not None and km >= OLD_KM) or (hours is not None and hours >= OLD_H):
            yield "old_engine"
    if run is None:
        return
    least = SHORT_RUN_H if run.unit == "h" else SHORT_RUN_KM
    if (run.value if run.unit == "h" else run.measured.to("km").value) < least:
        yield "short_run"
    maker = run.same_kind(case.engine.maker_interval)
    if maker is not None and run.value > 1.2 * maker:
        yield "over_run"
    claim = run.same_kind(case.filter.claims.run) if case.filter else None
    ran = (run.same_kind(case.filter.run) if case.filter else None) or run.value
    if claim is not None and ran > 1.05 * claim:
        yield "over_claim"
