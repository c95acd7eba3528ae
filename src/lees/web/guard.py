"""Who may speak to the bench, how much and how slowly, and what a browser may do with a page.

Cross-site requests are refused by where a browser says they come from (Fetch Metadata, W3C 2021,
`Sec-Fetch-Site`; Fetch Standard, `Origin`): a browser cannot be made to leave `Origin` out of a
POST, and programs that send neither are not browsers that somebody could lead astray. A name that
was rebound to this machine is refused by the `Host` header. `docs/security.md` says what is
promised and how it is tested.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

SAFE = frozenset(("GET", "HEAD", "OPTIONS"))
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "frame-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=()",
    "cache-control": "no-store",
}


@dataclass(frozen=True, slots=True)
class Rules:
    """By which names the bench is called, how much it takes, and how long it waits for a piece."""

    hosts: frozenset[str]
    largest_bytes: int = 1_000_000
    largest_upload_bytes: int = 64_000_000
    patience_s: float = 20.0


UPLOADS = ("/report/file", "/pictures/file", "/phone/picture")
"""How the addresses end that take files."""


class Guard:
    """Refuses what the bench should not see, before anything else of it runs."""

    def __init__(self, app: ASGIApp, rules: Rules) -> None:
        self.app = app
        self.rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through with limits on its body, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        sender = _with_headers(send)
        headers = Headers(scope=scope)
        refused = refusal(scope["method"], scope["scheme"], headers, self.rules)
        limit = self._limit(scope["path"])
        length = headers.get("content-length", "0")
        if refused is None and (not length.isascii() or not length.isdigit()):
            refused = 400, "The request says no length that could be understood."
        if refused is None and int(length) > limit:
            refused = 413, too_large(limit)
        if refused is not None:
            status, line = refused
            answer = PlainTextResponse(f"{line}\n", status, {"connection": "close"})
            await answer(scope, receive, sender)
            return
        await self.app(scope, _bounded(receive, limit, self.rules.patience_s), sender)

    def _limit(self, path: str) -> int:
        rules = self.rules
        return rules.largest_upload_bytes if path.endswith(UPLOADS) else rules.largest_bytes


def refusal(method: str, scheme: str, headers: Headers, rules: Rules) -> tuple[int, str] | None:
    """Return why a request is refused and with which status, or nothing where it may pass."""
    hosts = headers.getlist("host")
    if len(hosts) != 1 or host_name(hosts[0]) not in rules.hosts:
        return 421, "The bench is not called by that name; use the address that lees serve shows."
    if method in SAFE:
        return None
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return 403, "This came from another site and was not done."
    origin = headers.get("origin")
    if origin is not None and origin != f"{scheme}://{hosts[0]}":
        return 403, "This came from another site and was not done."
    return None


def host_name(host: str) -> str:
    """Return the name in a `Host` header, without its port.

    >>> host_name("127.0.0.1:8421"), host_name("[::1]:8421"), host_name("Bench.local")
    ('127.0.0.1', '[::1]', 'bench.local')
    """
    name, colon, port = host.rpartition(":")
    if colon and port.isdigit() and not name.endswith(":"):
        return name.casefold()
    return host.casefold()


def too_large(limit: int) -> str:
    """Return the line for a body that is too large."""
    return f"That is too large: at most {limit / 1e6:.0f} MB are taken here."


def merged_policy(changes: Iterable[tuple[str, str]]) -> str:
    """Return the policy of pages with some of its directives replaced."""
    parts = dict(part.split(" ", 1) for part in POLICY.split("; "))
    return "; ".join(f"{name} {value}" for name, value in (parts | dict(changes)).items())


def _bounded(receive: Receive, limit: int, patience_s: float) -> Receive:
    """Return a receiver that counts what comes and does not wait for ever for the next piece."""
    taken, ended = 0, False

    async def take() -> Message:
        nonlocal taken, ended
        if ended:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), patience_s)
        except TimeoutError:
            raise HTTPException(
                408, "The rest of the request did not come; send it again."
            ) from None
        if message["type"] == "http.request":
            taken += len(message.get("body", b""))
            ended = not message.get("more_body", False)
            if taken > limit:
                raise HTTPException(413, too_large(limit))
        return message

    return take


def _with_headers(send: Send) -> Send:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sender
