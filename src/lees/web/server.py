"""The bench as a web application: its rooms put together, its files, its guard."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from fastapi.responses import FileResponse
from starlette.responses import Response
from starlette.staticfiles import StaticFiles

from lees.quantity.data import folder
from lees.web import api, measuring, opening, service, shelf
from lees.web.guard import Guard, Rules
from lees.web.pages import STATIC
from lees.web.shop import Shop
from lees.web.trouble import take_care_of

KEEP_FILES = {"cache-control": "max-age=3600"}


class KeptFiles(StaticFiles):
    """Files of ours, which a browser may keep for a while."""

    def file_response(self, *arguments: object, **named: object) -> Response:
        """Return a file with leave to keep it."""
        response = super().file_response(*arguments, **named)  # type: ignore[arg-type]
        response.headers.update(KEEP_FILES)
        return response


def bench_application(shop: Shop, rules: Rules) -> Guard:
    """Return the bench as an application for a web server, behind its guard."""
    return Guard(pages_and_api(shop), rules)


def pages_and_api(shop: Shop) -> FastAPI:
    """Return the pages and the acts as JSON."""

    @asynccontextmanager
    async def open_hours(app: FastAPI) -> AsyncIterator[None]:
        yield
        shop.jobs.close()

    app = FastAPI(
        title="Lees",
        version=shop.bench.version,
        summary="The bench book of an oil-filter inspector: the same acts as its pages.",
        docs_url=None,
        redoc_url=None,
        lifespan=open_hours,
    )
    app.state.shop = shop
    take_care_of(app)
    for part in (shelf, service, opening, measuring, api):
        app.include_router(part.routes)
    app.mount("/static/fonts", KeptFiles(directory=folder("publish", "fonts")), name="fonts")
    app.mount("/static", KeptFiles(directory=STATIC), name="static")

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> FileResponse:
        """Return the mark that stands beside the page's title."""
        return FileResponse(STATIC / "mark.svg", media_type="image/svg+xml", headers=KEEP_FILES)

    return app
