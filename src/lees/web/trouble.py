"""The one place where what went wrong becomes a page, a line in a page, or JSON."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException
from starlette.responses import Response

from lees.archive.errors import (
    ArchiveBusy,
    ArchiveOutOfReach,
    ArchiveReadOnly,
    ChangedMeanwhile,
    DamagedArchive,
    DiskFull,
    InTheBin,
    MayOnlyRead,
    NotFound,
)
from lees.errors import LeesError
from lees.web.pages import ErrorContext, shown
from lees.web.shop import visit

STATUS: dict[type[LeesError], int] = {
    NotFound: 404,
    ChangedMeanwhile: 409,
    InTheBin: 409,
    MayOnlyRead: 403,
    ArchiveBusy: 503,
    ArchiveOutOfReach: 503,
    DiskFull: 507,
    ArchiveReadOnly: 503,
    DamagedArchive: 503,
}
TITLES = {404: "Not here", 403: "Not allowed", 409: "Changed meanwhile"}


def status_of(error: LeesError) -> int:
    """Return the HTTP status of an error of ours; what a person typed wrong is 422."""
    for kind in type(error).__mro__:
        if kind in STATUS:
            return STATUS[kind]
    return 422


def take_care_of(app: FastAPI) -> None:
    """Teach the application what to answer where something goes wrong."""

    @app.exception_handler(LeesError)
    def ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, LeesError)
        return answer(request, status_of(error), str(error))

    @app.exception_handler(RequestValidationError)
    def malformed(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"][1:])
        return answer(request, 422, f"{place or 'The request'}: {first['msg']}.")

    @app.exception_handler(HTTPException)
    def refused(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        line = "There is no such page." if error.status_code == 404 else error.detail
        return answer(request, error.status_code, line, error.headers)

    @app.exception_handler(Exception)
    def broken(request: Request, error: Exception) -> Response:
        del error  # the server writes it to the log
        return answer(request, 500, "Something broke in our own work; the log has the details.")


def answer(
    request: Request, status: int, line: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Return an error as what the asker can show: JSON, a line in a page, or a page."""
    kept = dict(headers or {})
    if request.url.path.startswith("/api/") or request.headers.get("x-lees") == "json":
        return JSONResponse({"error": line}, status, kept)
    title = TITLES.get(status, "That did not work")
    page = visit(request).page(ErrorContext, title=title, line=line, status=status)
    response = shown(page, status)
    response.headers.update(kept)
    return response
