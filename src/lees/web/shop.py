"""What every page works with: the open archive, the bench, long work, and who is visiting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Any, TypeVar

from fastapi import Depends, Request

from lees.archive.archive import WORKS, Archive
from lees.web.jobs import Jobs
from lees.web.pages import CasePage, Page
from lees.work.bench import Bench
from lees.work.look import Opened, Remembered, open_case
from lees.work.steps import Step

P = TypeVar("P", bound=Page)
C = TypeVar("C", bound=CasePage)
ORDER = (Step.SERVICE, Step.OPENING, Step.MEASURING)
"""The steps that have a page, in the order of the work."""


@dataclass(frozen=True, slots=True)
class Shop:
    """What the bench in the browser holds while it is open; `on_lan` says who can reach it."""

    archive: Archive
    bench: Bench
    jobs: Jobs
    remembered: Remembered
    on_lan: bool = False


@dataclass(frozen=True, slots=True)
class Visit:
    """One request: the shop, the archive as the visitor sees it."""

    shop: Shop
    archive: Archive

    def page(self, kind: type[P], **shown: Any) -> P:
        """Return a page with what every page has."""
        return kind(**self._common(), **shown)

    def case_page(self, kind: type[C], opened: Opened, step: Step, **shown: Any) -> C:
        """Return a page of a case with what every page of a case has."""
        place = ORDER.index(step)
        kept = opened.kept
        return kind(
            **self._common(),
            title=f"{step.value.capitalize()} · {kept.case.title}",
            ref=kept.ref,
            version=kept.version,
            case_title=kept.case.title,
            invented=kept.case.invented,
            steps=tuple(one for one in opened.steps if one.step in ORDER),
            step=step.value,
            before=ORDER[place - 1].value if place else None,
            after=ORDER[place + 1].value if place + 1 < len(ORDER) else None,
            **shown,
        )

    def opened(self, ref: str) -> Opened:
        """Open a case."""
        return open_case(self.archive, ref)

    def _common(self) -> dict[str, Any]:
        user = self.archive.user
        return {
            "user": user.name,
            "may_write": user.role == WORKS,
            "signed_in": self.shop.on_lan,
            "plain_lan": self.shop.on_lan,
        }


def visit(request: Request) -> Visit:
    """Return the visit that a request is."""
    shop: Shop = request.app.state.shop
    user = getattr(request.state, "user", None)
    archive = shop.archive if user is None else replace(shop.archive, user=user)
    return Visit(shop, archive)


Visiting = Annotated[Visit, Depends(visit)]
