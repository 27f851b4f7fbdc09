"""What no page lets in: other hosts' names, other sites' forms, writes without the token, large or odd requests.

An ASGI wrapper around everything that Datasette serves. The attacks that it is against: DNS rebinding (the Host
header), cross-site request forgery (Origin, Sec-Fetch-Site and the token), content from or to elsewhere (the content
policy), and exhaustion (lengths). Headers follow the OWASP Secure Headers Project.
"""
from __future__ import annotations

import hmac
import ipaddress
import re
from collections.abc import Awaitable, Callable, Iterable
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import urlsplit

from witnessmark.serving.state import Guard

App = Callable[[dict[str, Any], Any, Any], Awaitable[None]]
WRITING = ("/correct", "/enter")
LONGEST_TARGET, LARGEST_BODY = 4096, 65536
# What no link of these pages has: a second slash at the start, steps upward, a backslash, these encoded, controls.
CROOKED = re.compile(rb"^//|\\|(?:^|/)\.\.?(?:/|$)|%(?:2e|2f|5c|00|25)|[\x00-\x1f\x7f-\xff]", re.I)
COOKIE = "witnessmark_secret"
NAMES_HERE = frozenset({"localhost", "127.0.0.1", "::1"})
POLICY = ("default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; "
          "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
# Datasette's own table and query pages carry inline script and style of their own; nothing from elsewhere either.
DATASETTE_POLICY = POLICY.replace("script-src 'self'", "script-src 'self' 'unsafe-inline'").replace(
    "style-src 'self'", "style-src 'self' 'unsafe-inline'").replace("img-src 'self'", "img-src 'self' data:")
HEADERS = {"x-content-type-options": "nosniff", "x-frame-options": "DENY", "referrer-policy": "same-origin",
           "cross-origin-opener-policy": "same-origin", "cross-origin-resource-policy": "same-origin",
           "permissions-policy": "camera=(), microphone=(), geolocation=()"}


class Refused(Exception):
    """A request that is turned away: status and sentence."""

    def __init__(self, status: int, sentence: str) -> None:
        super().__init__(sentence)
        self.status = status


class Gate:
    """The wrapper: judges a request and puts the headers on whatever answers it."""

    def __init__(self, app: App, guard: Guard) -> None:
        self.app, self.guard = app, guard

    async def __call__(self, scope: dict[str, Any], receive: Any, send: Any) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        guarded = _with_headers(send, is_datasettes(scope["path"]))
        try:
            judge(scope, self.guard)
        except Refused as refused:
            await _answer(guarded, refused.status, str(refused))
            return
        await self.app(scope, receive, guarded)


def judge(scope: dict[str, Any], guard: Guard) -> None:
    """Raise Refused for a request that may not come in."""
    headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
    target = (scope.get("raw_path") or scope["path"].encode()) + b"?" + scope.get("query_string", b"")
    if len(target) > LONGEST_TARGET:
        raise Refused(414, "This address is too long.")
    if CROOKED.search(target.partition(b"?")[0]):
        raise Refused(400, "This address leads nowhere in these pages.")
    if sum(name == b"host" for name, _ in scope["headers"]) != 1 or not is_host(headers["host"], guard):
        raise Refused(421, "These pages answer only to the address that they were started with.")
    if scope["method"] not in ("GET", "HEAD", "POST"):
        raise Refused(405, "Pages can only be read, and corrections sent.")
    if scope["method"] == "POST":
        _judge_writing(scope["path"], headers, guard)
    if guard.secret is not None and not guard.loopback and not _has_secret(headers, guard.secret) \
            and scope["path"] != "/enter" and not scope["path"].startswith("/look/"):
        raise Refused(401, "This journal is open to those with its secret: go to /enter and type it.")


def _judge_writing(path: str, headers: dict[str, str], guard: Guard) -> None:
    if path not in WRITING:
        raise Refused(405, "Nothing can be sent to this page.")
    # A length that is told beforehand is one that the server holds the sender to.
    if "transfer-encoding" in headers or not headers.get("content-length", "").isdigit() \
            or int(headers["content-length"]) > LARGEST_BODY:
        raise Refused(413, "This request is too large, or does not say how large it is.")
    if headers.get("sec-fetch-site", "same-origin") != "same-origin" or not _is_own(headers):
        raise Refused(403, "Corrections are taken only from these pages.")
    if not guard.may_write:
        raise Refused(403, "Corrections are taken on this computer only: start `witnessmark serve` with a secret "
                           "to take them from elsewhere.")


def _is_own(headers: dict[str, str]) -> bool:
    """True where the page that sends is one of ours: by Origin, or Referer where a browser leaves that out."""
    told = headers.get("origin") or headers.get("referer")
    return bool(told) and urlsplit(told).netloc == headers["host"]


def is_host(header: str, guard: Guard) -> bool:
    """True for the names under which this server may be called; a name of another's, pointed here, is none."""
    try:
        name = urlsplit(f"//{header}").hostname or ""
        urlsplit(f"//{header}").port  # noqa: B018  raises ValueError for a port that is none
    except ValueError:
        return False
    if name in NAMES_HERE or name == guard.host.strip("[]").lower():
        return True
    if guard.loopback:
        return False
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def is_token(sent: str, guard: Guard) -> bool:
    """True for the page's own token."""
    return hmac.compare_digest(sent.encode(), guard.token.encode())


def is_secret(sent: str, secret: str) -> bool:
    """True for the secret that the server was started with."""
    return hmac.compare_digest(sent.encode(), secret.encode())


def _has_secret(headers: dict[str, str], secret: str) -> bool:
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return False
    return morsel is not None and is_secret(morsel.value, secret)


def is_datasettes(path: str) -> bool:
    """True for Datasette's own pages."""
    return path == "/journal" or path.startswith(("/journal/", "/-/", "/journal.", "/_"))


def _with_headers(send: Any, datasettes: bool) -> Any:
    async def guarded(message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": _headers(message.get("headers", []), datasettes)}
        await send(message)

    return guarded


def _headers(given: Iterable[tuple[bytes, bytes]], datasettes: bool) -> list[tuple[bytes, bytes]]:
    kept = [(name, value) for name, value in given if name.lower().decode("latin-1") not in HEADERS]
    if not any(name.lower() == b"content-security-policy" for name, _ in kept):
        kept.append((b"content-security-policy", (DATASETTE_POLICY if datasettes else POLICY).encode()))
    return kept + [(name.encode(), value.encode()) for name, value in HEADERS.items()]


async def _answer(send: Any, status: int, sentence: str) -> None:
    body = sentence.encode()
    await send({"type": "http.response.start", "status": status, "headers": [
        (b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store")]})
    await send({"type": "http.response.body", "body": body})
