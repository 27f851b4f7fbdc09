"""Every page of the example journal that a visitor can reach, wherever its links lead; and what the tables lead to."""
from __future__ import annotations

import asyncio
import re
from collections import deque
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest

pytest.importorskip("datasette")

from witnessmark import serving
from witnessmark.journal import open_journal
from witnessmark.store import open_to_read, query, schema

MOST_BYTES = 500_000
MOST_PAGES = 900
OWN = re.compile(r"/(?!/)(?!journal|-/)")
# What a template shows where it was given nothing.
EMPTY = re.compile(r"(?<![\w“])(?:None|undefined|nan|\{\{|\}\})(?![\w”])")


class Reader(HTMLParser):
    """The links, pictures and players of a page, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []
        self.media: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name == "href" and tag == "a" and value:
                self.links.append(value)
            elif name in ("src", "poster") and value:
                self.media.append(value)

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def client(journal: Path) -> httpx.AsyncClient:
    app = serving.application(open_journal(journal)).app()
    return httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://127.0.0.1:8017")


def test_every_link_leads_to_a_whole_page(indexed_example: Path) -> None:
    async def walk() -> tuple[set[str], set[str]]:
        waiting, seen, media = deque(["/"]), {"/"}, set()
        async with client(indexed_example) as pages:
            while waiting and len(seen) < MOST_PAGES:
                answer = await pages.get(waiting.popleft())
                assert answer.status_code == 200, answer.url
                if not answer.headers["content-type"].startswith("text/html"):
                    continue
                assert len(answer.content) < MOST_BYTES, answer.url
                reader = Reader()
                reader.feed(answer.text)
                assert not EMPTY.search(" ".join(reader.words)), (answer.url, EMPTY.search(" ".join(reader.words)))
                media |= {address.partition("#")[0] for address in reader.media}
                for link in (link.partition("#")[0] for link in reader.links if OWN.match(link)):
                    # A page is one page wherever its player begins.
                    bare = re.sub(r"\?t=[\d.]+$", "", link)
                    if bare not in seen:
                        seen.add(bare)
                        waiting.append(bare)
            for address in media:
                answer = await pages.get(address)
                assert answer.status_code == 200 and answer.content, address
        return seen, media

    seen, media = asyncio.run(walk())
    kinds = {re.match(r"/[a-z]*", address)[0] for address in seen}  # type: ignore[index]
    assert kinds == {"/", "/days", "/clip", "/picture", "/parts", "/part", "/assembly", "/ask", "/open", "/hours",
                     "/money", "/check", "/why", "/corrections", "/file"}
    assert {re.match(r"/[a-z]*", address)[0] for address in media} >= {  # type: ignore[index]
        "/small", "/still", "/file", "/captions", "/look"}


def test_every_table_view_and_column_is_described(indexed_example: Path) -> None:
    told = serving.metadata(open_journal(indexed_example))["databases"]["journal"]["tables"]
    db = open_to_read(indexed_example / ".witnessmark" / "journal.db")
    for view in db.views:
        assert told[view.name]["columns"].keys() == view.columns_dict.keys()
        assert all(about != column for column, about in told[view.name]["columns"].items()), view.name
    for table in schema.TABLES:
        assert told[table]["columns"].keys() == db.table(table).columns_dict.keys()
    db.close()


def test_tables_lead_to_the_clip_and_to_why(indexed_example: Path) -> None:
    db = open_to_read(indexed_example / ".witnessmark" / "journal.db")
    act = query(db, "SELECT * FROM acts WHERE start > 0 ORDER BY id LIMIT 1")[0]
    db.close()

    async def read() -> None:
        async with client(indexed_example) as pages:
            for table in ("acts", "timeline" if act["status"] in ("done", "doing") else "not_performed"):
                page = (await pages.get(f"/journal/{table}?id={act['id']}")).text
                assert f'href="/clip/{act["source_id"]}?t={act["start"]:.2f}"' in page
                assert f'href="/why/{act["id"]}"' in page
            rows = (await pages.get(f"/journal/acts.json?_shape=array&id={act['id']}")).json()
            assert rows[0]["start"] == act["start"], "figures stay figures for those who compute with them"
            facets = (await pages.get("/journal/acts.json?_facet=task&_size=0")).json()
            assert facets["facet_results"]

    asyncio.run(read())
