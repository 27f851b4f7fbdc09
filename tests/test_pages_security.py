"""The server against raw sockets: what is asked from outside the journal, from elsewhere, or too largely, is refused.

The attacks follow the OWASP Web Security Testing Guide: path traversal (WSTG-ATHZ-01), cross-site request forgery
(WSTG-SESS-05), host header injection (WSTG-INPV-17).
"""
from __future__ import annotations

import asyncio
import contextlib
import json
import re
import socket
import urllib.request
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import quote, urlencode

import httpx
import made_journals
import made_media
import pages_journal
import pytest
from pages_journal import CAPTION, CLIP, HOSTILE, Running

pytest.importorskip("datasette")

from witnessmark import serving
from witnessmark.errors import WitnessmarkError
from witnessmark.journal import open_journal
from witnessmark.serving import media
from witnessmark.serving.safety import is_host
from witnessmark.serving.state import Guard
from witnessmark.store import open_to_read, query

SECRET_FILE = "outside.txt"
SECRET_WORDS = b"words that no page may show"


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    place = tmp_path_factory.mktemp("secure")
    (place / SECRET_FILE).write_bytes(SECRET_WORDS)
    journal = pages_journal.made(place / "journal")
    with pages_journal.serving(journal) as found:
        yield found


def source(running: Running, path: str) -> dict[str, object]:
    db = open_to_read(running.journal / ".witnessmark" / "journal.db")
    try:
        return query(db, "SELECT * FROM sources WHERE path = ?", [path])[0]
    finally:
        db.close()


def raw(running: Running, request: bytes) -> bytes:
    """What the server answers to these bytes, until it closes or says no more."""
    with socket.create_connection(("127.0.0.1", running.port), timeout=5) as line:
        answer = b""
        with contextlib.suppress(ConnectionError, TimeoutError):
            line.sendall(request)
            while piece := line.recv(65536):
                answer += piece
    return answer


def status(answer: bytes) -> int:
    return int(answer.split(b" ", 2)[1])


def asked(running: Running, target: str, host: str | None = None, extra: str = "") -> bytes:
    host = host or f"127.0.0.1:{running.port}"
    return raw(running, f"GET {target} HTTP/1.1\r\nHost: {host}\r\n{extra}Connection: close\r\n\r\n".encode())


def token_of(running: Running) -> str:
    found = re.search(r'name="token" value="([^"]+)"', pages_journal.get(running, "/open"))
    assert found
    return found[1]


def sent(running: Running, body: dict[str, str], host: str | None = None, **headers: str) -> bytes:
    text = urlencode(body)
    own = {"Host": host or f"127.0.0.1:{running.port}", "Origin": running.url, "Content-Length": str(len(text)),
           "Content-Type": "application/x-www-form-urlencoded", "Connection": "close",
           **{name.replace("_", "-"): value for name, value in headers.items()}}
    head = "".join(f"{name}: {value}\r\n" for name, value in own.items() if value)
    return raw(running, f"POST /correct HTTP/1.1\r\n{head}\r\n{text}".encode())


def lines(running: Running) -> int:
    path = running.journal / "corrections.jsonl"
    return len(path.read_text().splitlines()) if path.exists() else 0


def act(running: Running) -> str:
    db = open_to_read(running.journal / ".witnessmark" / "journal.db")
    try:
        return str(query(db, "SELECT id FROM acts ORDER BY id LIMIT 1")[0]["id"])
    finally:
        db.close()


@pytest.mark.parametrize("start", ["/file/", "/small/", "/captions/", "/look/", "/look/../", "/journal/", "/-/static/"])
@pytest.mark.parametrize("way", [
    f"../../{SECRET_FILE}", f"..%2f..%2f{SECRET_FILE}", f"%2e%2e/%2e%2e/{SECRET_FILE}", f"..%252f..%252f{SECRET_FILE}",
    f"..\\..\\{SECRET_FILE}", f"....//....//{SECRET_FILE}", "/etc/passwd", "%2fetc%2fpasswd", "~2fetc~2fpasswd",
    f"..%c0%af..%c0%af{SECRET_FILE}", "file:///etc/passwd", f"x%00/../../{SECRET_FILE}", "../journal.toml"])
def test_no_way_leads_out(running: Running, start: str, way: str) -> None:
    answer = asked(running, start + way)
    assert status(answer) in (301, 302, 307, 308, 400, 403, 404), answer[:200]
    assert SECRET_WORDS not in answer and b"root:" not in answer and b"timezone" not in answer


def test_only_registered_files_are_served(running: Running) -> None:
    known = source(running, CLIP)
    assert status(asked(running, f"/file/{known['id']}")) == 200
    (running.journal / "unknown.mp4").write_bytes(b"not indexed")
    for target in ("/file/unknown.mp4", f"/file/{CLIP}", "/file/" + "0" * 16, f"/file/{known['path']}",
                   f"/file/{str(known['id']).upper()}"):
        assert status(asked(running, target)) == 404, target


def test_ranges_of_bytes_are_those_of_the_file(running: Running) -> None:
    known = source(running, CLIP)
    content = (running.journal / CLIP).read_bytes()
    answer = asked(running, f"/file/{known['id']}", extra="Range: bytes=100-199\r\n")
    head, _, body = answer.partition(b"\r\n\r\n")
    assert status(answer) == 206 and body == content[100:200]
    assert f"content-range: bytes 100-199/{len(content)}".encode() in head.lower()
    assert b"content-type: video/mp4" in head.lower() and b"x-content-type-options: nosniff" in head.lower()
    # RFC 9110, 15.5.17: a range beyond the end.
    assert status(asked(running, f"/file/{known['id']}", extra=f"Range: bytes={len(content)}-\r\n")) == 416


def test_links_and_changed_files_are_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.jpg"
    place = made_journals.folder(tmp_path / "journal")
    made_media.photo(place / "photos" / "a.jpg", DateTimeOriginal="2025:03:08 17:05:00")
    outside.write_bytes((place / "photos" / "a.jpg").read_bytes())
    pages_journal.index(place)
    journal = open_journal(place)
    db = open_to_read(journal.database)
    row = query(db, "SELECT * FROM sources WHERE path = 'photos/a.jpg'")[0]
    db.close()
    assert media.file_of(journal, row) == place.resolve() / "photos" / "a.jpg"
    with pytest.raises(media.Unavailable, match="no longer"):
        media.file_of(journal, {**row, "state": "gone"})
    for path in ("../outside.jpg", str(outside), "photos/../../outside.jpg"):
        with pytest.raises(media.Unavailable):
            media.file_of(journal, {**row, "path": path})
    (place / "photos" / "a.jpg").unlink()
    (place / "photos" / "a.jpg").symlink_to(outside)
    with pytest.raises(media.Unavailable, match="link"):
        media.file_of(journal, row)
    (place / "photos" / "a.jpg").unlink()
    (place / "photos").rmdir()
    (place / "photos").symlink_to(tmp_path)
    with pytest.raises(media.Unavailable):
        media.file_of(journal, {**row, "path": "photos/outside.jpg"})
    (place / "photos").unlink()
    (place / "photos").mkdir()
    (place / "photos" / "a.jpg").write_bytes(b"something else")
    with pytest.raises(media.Unavailable, match="changed"):
        media.file_of(journal, row)


@pytest.mark.parametrize("host", ["example.org", "example.org:80", "127.0.0.1.example.org", "localhost.example.org", "",
                                  "[::2]", "10.0.0.7", "0.0.0.0", "127.0.0.1@example.org", "127.0.0.1:99999999"])
def test_other_hosts_names_are_refused(running: Running, host: str) -> None:
    request = f"GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n".encode()
    if host == "127.0.0.1@example.org":
        assert not is_host(host, Guard(True, "127.0.0.1"))
    assert status(raw(running, request)) in (400, 421)


def test_host_must_be_told_once(running: Running) -> None:
    own = f"127.0.0.1:{running.port}"
    assert status(raw(running, b"GET / HTTP/1.0\r\n\r\n")) in (400, 421)
    assert status(raw(running, f"GET / HTTP/1.1\r\nHost: {own}\r\nHost: example.org\r\n\r\n".encode())) in (400, 421)
    assert status(asked(running, "/", host=f"localhost:{running.port}")) == 200


def test_writing_with_the_pages_token_is_taken(running: Running) -> None:
    before = lines(running)
    answer = sent(running, {"token": token_of(running), "do": "confirm", "record": act(running), "back": "/check"})
    assert status(answer) == 303 and lines(running) == before + 1
    assert re.search(rb"location: /check\?said=[0-9a-f]+\r\n", answer.lower())


@pytest.mark.parametrize(("change", "headers", "expected"), [
    ({"token": ""}, {}, 403), ({"token": "guessed"}, {}, 403), ({}, {"Origin": "http://example.org"}, 403),
    ({}, {"Origin": "null"}, 403), ({}, {"Origin": ""}, 403), ({}, {"Sec_Fetch_Site": "cross-site"}, 403),
    ({}, {"Sec_Fetch_Site": "same-site"}, 403), ({}, {"Origin": "", "Referer": "http://example.org/"}, 403),
    ({}, {"host": "example.org"}, 421), ({"do": "delete"}, {}, 400), ({"record": "0" * 12}, {}, 400),
    ({"do": "change", "to.status": "finished"}, {}, 400)])
def test_forged_and_wrong_posts_write_nothing(running: Running, change: dict[str, str], headers: dict[str, str],
                                              expected: int) -> None:
    before = lines(running)
    body = {"token": token_of(running), "do": "confirm", "record": act(running), **change}
    answer = sent(running, body, **headers)
    assert status(answer) == expected, answer[:300]
    assert lines(running) == before


def test_address_to_go_back_to_is_ours(running: Running) -> None:
    for back in ("//example.org/", "https://example.org", "/\\example.org", "/a\r\nSet-Cookie: x=1",
                 "javascript:alert(1)"):
        answer = sent(running, {"token": token_of(running), "do": "confirm", "record": act(running), "back": back})
        assert b"\r\nlocation: /check?said=" in answer.lower(), (back, answer[:300])


def test_oversized_requests_are_refused(running: Running) -> None:
    own = f"Host: 127.0.0.1:{running.port}\r\nOrigin: {running.url}\r\n"
    assert status(asked(running, "/ask?q=" + "a" * 5000)) == 414
    assert status(asked(running, "/", extra="X-Long: " + "a" * 200_000 + "\r\n")) in (400, 431)
    assert status(raw(running, f"POST /correct HTTP/1.1\r\n{own}Content-Length: 10000000\r\n\r\n".encode())) == 413
    chunked = f"POST /correct HTTP/1.1\r\n{own}Transfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n"
    assert status(raw(running, chunked.encode())) == 413
    for method in ("PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"):
        assert status(raw(running, f"{method} / HTTP/1.1\r\n{own}Connection: close\r\n\r\n".encode())) == 405
    for target in ("/", "/-/permissions", "/-/messages", "/journal"):
        assert status(raw(running, f"POST {target} HTTP/1.1\r\n{own}Content-Length: 0\r\n\r\n".encode())) == 405


@pytest.mark.parametrize("target", ["/", "/ask?q=rib", "/journal/acts", "/nothing", "/look/log.css",
                                    "/days/2025-03-08"])
def test_every_answer_has_the_headers_of_safety(running: Running, target: str) -> None:
    head = asked(running, target).partition(b"\r\n\r\n")[0].decode().lower()
    assert "x-content-type-options: nosniff" in head and "x-frame-options: deny" in head
    policy = re.search(r"content-security-policy: ([^\r]+)", head)
    assert policy and "default-src 'none'" in policy[1] and "frame-ancestors 'none'" in policy[1]
    assert "http:" not in policy[1] and "https:" not in policy[1] and "*" not in policy[1]
    assert ("unsafe-inline" in policy[1]) == target.startswith("/journal")
    assert "access-control-allow-origin" not in head


class Attributes(HTMLParser):
    """All attributes of a page, and scripts and styles that stand in the page itself."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []
        self.inline: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [(name, value or "") for name, value in attrs]
        if tag == "style" or (tag == "script" and "src" not in dict(attrs)):
            self.inline.append(tag)


def test_nothing_comes_from_another_host(running: Running) -> None:
    for target in ("/", "/days/2025-03-08", "/ask?q=rib", "/hours", "/check", "/corrections"):
        reader = Attributes()
        reader.feed(pages_journal.get(running, target))
        assert reader.found and not reader.inline, target
        for name, value in reader.found:
            assert not name.startswith("on") and name != "style", (target, name, value)
            leads = name in ("src", "href", "action", "poster")
            assert not leads or re.match(r"/(?!/)|#", value), (target, name, value)


def test_names_and_captions_are_inert(running: Running) -> None:
    known = source(running, f"photos/{HOSTILE}")
    page = pages_journal.get(running, f"/picture/{known['id']}")
    assert CAPTION not in page and "<script>alert" not in page and "&lt;img src=x" in page
    found = pages_journal.get(running, "/ask?" + urlencode({"q": '"><script>alert(1)</script>'}))
    assert "<script>alert" not in found


def test_sql_can_only_read_and_not_for_long(running: Running) -> None:
    for sql in ("DELETE FROM acts", "UPDATE acts SET who = 'builder'", "ATTACH DATABASE '/tmp/x.db' AS x",
                "PRAGMA user_version = 9"):
        with pytest.raises(urllib.error.HTTPError):
            pages_journal.get(running, f"/journal.json?sql={quote(sql)}")
    endless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n"
    with pytest.raises(urllib.error.HTTPError):
        pages_journal.get(running, f"/journal.json?sql={quote(endless)}")
    assert status(asked(running, "/journal.db")) in (403, 404)


def test_tables_and_columns_are_described(running: Running) -> None:
    page = pages_journal.get(running, "/journal/acts")
    assert "Work on a named thing" in page and "EDTF: when, never more exact than what was said" in page
    rows = json.loads(pages_journal.get(running, "/journal/acts.json?_shape=array&_facet=task"))
    assert {"task", "part", "status", "who", "date"} <= rows[0].keys()


def app_at(journal: Path, host: str, secret: str | None = None) -> tuple[httpx.AsyncClient, Guard]:
    from witnessmark.serving.state import pages_of

    datasette = serving.application(open_journal(journal), host, secret)
    client = httpx.AsyncClient(transport=httpx.ASGITransport(app=datasette.app()), base_url="http://192.0.2.7:8017")
    return client, pages_of(datasette).guard


def test_away_from_loopback_nothing_is_written_without_a_secret(running: Running) -> None:
    async def check() -> None:
        client, guard = app_at(running.journal, "0.0.0.0")
        assert (await client.get("/open")).status_code == 200
        assert "<button" not in (await client.get("/open")).text
        answer = await client.post("/correct", data={"token": guard.token, "do": "confirm", "record": act(running)},
                                   headers={"origin": "http://192.0.2.7:8017"})
        assert answer.status_code == 403 and "secret" in answer.text
        assert (await client.get("/", headers={"host": "example.org"})).status_code == 421

    before = lines(running)
    asyncio.run(check())
    assert lines(running) == before


def test_with_a_secret_only_those_who_know_it_come_in(running: Running) -> None:
    async def check() -> None:
        client, guard = app_at(running.journal, "0.0.0.0", "four coats of primer")
        origin = {"origin": "http://192.0.2.7:8017"}
        assert (await client.get("/")).status_code == 401
        assert (await client.get("/journal/acts.json")).status_code == 401
        assert (await client.get("/enter")).status_code == 200
        wrong = await client.post("/enter", data={"secret": "a guess"}, headers=origin)
        assert wrong.status_code == 403 and not wrong.cookies
        right = await client.post("/enter", data={"secret": "four coats of primer"}, headers=origin)
        assert right.status_code == 303 and "HttpOnly" in right.headers["set-cookie"]
        assert "SameSite=strict" in right.headers["set-cookie"]
        assert (await client.get("/")).status_code == 200
        answer = await client.post("/correct", data={"token": guard.token, "do": "confirm", "record": act(running)},
                                   headers=origin)
        assert answer.status_code == 303

    asyncio.run(check())


@pytest.mark.parametrize(("host", "expected"), [("127.0.0.1", True), ("::1", True), ("[::1]", True),
                                                ("localhost", True),
                                                ("127.4.4.4", True), ("0.0.0.0", False), ("192.0.2.7", False),
                                                ("::", False), ("shop.example", False)])
def test_loopback_is_told_from_elsewhere(host: str, expected: bool) -> None:
    assert serving.is_loopback(host) is expected


def test_journal_without_an_index_is_refused_in_a_sentence(journal_folder: Path) -> None:
    with pytest.raises(WitnessmarkError, match="has not been indexed yet"):
        serving.application(open_journal(journal_folder))
