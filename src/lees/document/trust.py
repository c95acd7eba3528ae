"""How far to trust each result, which go to review, and what is no report at all."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from lees.document.records import Report, Result
from lees.document.tokens import words_of

REVIEW_BELOW = 0.95
_TRADE = frozenset(
    words_of(
        "invoice rechnung factura facture price preis precio prix subtotal vat mwst iva tva qty "
        "quantity menge cantidad quantite amount eur usd gbp discount rabatt payable delivery "
        "lieferschein basket"
    )
)


def settle(report: Report) -> None:
    """Turn doubts into a confidence and a call for review on every result."""
    groups: list[Iterable[Result]] = [one.results.values() for one in report.samples]
    groups += [one.also for one in report.samples]
    groups += [report.reference.values(), report.own_mean.values(), report.fresh.values()]
    for group in groups:
        for result in group:
            trust = math.prod(result.doubts) * (result.confidence * 0.99 if result.seen else 0.9997)
            if result.borne_out and not result.reasons:
                trust = 1 - (1 - trust) * 0.2
            result.confidence = max(0.01, min(trust, 0.9999))
            result.review = result.confidence < REVIEW_BELOW
            if result.review and not result.reasons:
                result.reasons.append("Several small doubts add up; look at the page.")


def unlike_a_report(report: Report, texts: Sequence[str]) -> str | None:
    """Return a line that says so where a document is no report on an oil."""
    keys = {key for sample in report.samples for key in sample.results}
    nothing = "No results found: this does not look like a laboratory's report on an oil."
    if not keys:
        return nothing
    words = [word for text in texts for word in words_of(text)]
    trade = len(_TRADE & set(words))
    printed = {
        key for sample in report.samples for key, one in sample.results.items() if one.unit_printed
    }
    if len(keys) < 2 + trade and len(printed) < 2 + trade:
        return nothing
    return None
