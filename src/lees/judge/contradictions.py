"""Facts that cannot all be so: named and told, never a reason to stop."""

from __future__ import annotations

from lees.case.records import Facts, ParticlesSeen
from lees.judge.reported import OilKnown
from lees.judge.run import FillRun
from lees.judge.words import run_text

FARTHEST_KM_A_DAY = 2000.0
MOST_IN_OIL_MG_KG = 20000.0


def contradictions(facts: Facts, oil: OilKnown, run: FillRun | None) -> tuple[str, ...]:
    """Return a line for each pair of facts that cannot both be so.

    Parameters
    ----------
    facts : Facts
        What is known.
    oil : OilKnown
        The oil's results.
    run : FillRun or None
        The fill's run.

    Returns
    -------
    tuple of str
        What does not fit together, and what to look at.
    """
    case, lines = facts.case, []
    poured, drained = case.fill.poured, case.fill.drained
    if poured and drained and drained < poured:
        lines.append(
            f"The oil was drained on {drained} before it was poured on {poured}; mend one date."
        )
    if poured and drained and run and run.unit != "h" and drained >= poured:
        days = (drained - poured).days + 1
        distance = run.measured.to("km").value
        if distance / days > FARTHEST_KM_A_DAY:
            lines.append(
                f"{run_text(run.value, run.unit)} in {days} days is more than an engine runs; "
                "look at the run and the dates."
            )
    if run and run.unit == "h" and poured and drained and drained >= poured:
        days = (drained - poured).days + 1
        if run.value > 24 * days:
            lines.append(
                f"{run_text(run.value, 'h')} do not fit into {days} days; "
                "look at the run and the dates."
            )
    lines.extend(_runs(facts, oil, run))
    if case.filter and case.filter.opened is False:
        if any(isinstance(seen, ParticlesSeen) and seen.particles for seen in facts.seen):
            lines.append(
                "Particles were counted in a filter that is said not to have been opened; "
                "the picture may belong to another case."
            )
        if case.filter.media.glitter not in (None, "none"):
            lines.append("Glitter is told of media in a filter that is said not to be opened.")
    for key, known in oil.present.items():
        if known.value.unit == "mg/kg" and known.value.value > MOST_IN_OIL_MG_KG:
            lines.append(f"{known.name} of {known.text} is not possible; look at its unit ({key}).")
    return tuple(lines)


def _runs(facts: Facts, oil: OilKnown, run: FillRun | None) -> list[str]:
    """Return where what is typed and what is printed about the run differ."""
    lines = []
    if run is not None and run.source == "typed" and oil.sample is not None:
        printed = run.from_km_or_h(oil.sample.oil_distance_km, oil.sample.oil_hours)
        if printed and abs(printed / run.value - 1) > 0.02:
            lines.append(
                f"The run is typed as {run_text(run.value, run.unit)} and printed on the report as "
                f"{run_text(printed, run.unit)}; the typed one is used."
            )
    total = facts.case.fill.engine_total
    if run is not None and (whole := run.same_kind(total)) is not None and whole < run.value:
        lines.append(
            f"The engine's whole run, {run_text(whole, run.unit)}, is less than this fill's; "
            "mend one of them."
        )
    return lines
