"""`lees serve`: the bench in the browser."""

from __future__ import annotations

from cyclopts import App

app = App(
    name="serve",
    help_epilogue="Example: lees serve --archive bench-archive --port 8421",
    result_action="return_value",
)


@app.default
def serve(*, archive: str | None = None, port: int = 8421) -> int:
    """Open the bench in the browser, for this machine alone.

    Parameters
    ----------
    archive
        The archive to work with, a folder or a database; it is made if it is not there.
    port
        The port to listen on; 0 takes one that is free.
    """
    from lees.app import serve_bench

    serve_bench(archive, port)
    return 0
