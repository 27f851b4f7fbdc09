"""The pages: Datasette over the journal's database, read-only, on this computer only.

In: a journal and where to listen. Out: an application that shows the pages of `plugins/` beside Datasette's own.
Never: a file that is not registered in the journal, anything fetched from another host, a write other than a line of
`corrections.jsonl` that the builder asked for with the page's own token.
"""
from __future__ import annotations

import ipaddress
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from witnessmark.errors import WitnessmarkError
from witnessmark.journal import Journal
from witnessmark.serving.state import Guard, Pages, keep
from witnessmark.store import open_to_read, schema

if TYPE_CHECKING:
    from datasette.app import Datasette

HOST, PORT = "127.0.0.1", 8017
SQL_MILLISECONDS = 2000
DATABASE = "journal"
PLUGINS_IN_PACKAGE = "pages"
IN_VIEWS = {"source": "path of the recording, transcript, note or picture that says it", "month": "YYYY-MM",
            "day": "local day", "told": "local day of the talk", "hours": "the middle between low and high",
            "low": "at least: hours, or money, negative for money back", "high": "at most",
            "start": "seconds: where the clip begins",
            "date": "EDTF: when, never more exact than what was said", "part": "the thing worked on, or NULL",
            "source_id": "the recording, transcript, note or picture that says it",
            "id": "id of the record: /why/ID shows its words, rules and corrections"}
"""What the columns of views are that no table has, or that mean something else in a table."""


def plugins_folder() -> Path:
    """The folder of the pages: inside an installed package, or beside `src` in a checkout."""
    package = Path(str(resources.files("witnessmark")))
    for place in (package / PLUGINS_IN_PACKAGE, package.parent.parent / "plugins"):
        if (place / "days.py").is_file():
            return place
    raise WitnessmarkError("the pages are missing from this installation: install witnessmark again")


def metadata(journal: Journal) -> dict[str, Any]:
    """Datasette's metadata: the journal's title, every table, view and column in words, and sources by their path."""
    described = schema.describe()
    tables = described["tables"]
    known = {column: about for table in schema.TABLES.values() for column, (_, about) in table.columns.items()}
    db = open_to_read(journal.database)
    try:
        for view in db.views:
            columns = view.columns_dict
            tables[view.name]["columns"] = {column: (known | IN_VIEWS).get(column, column) for column in columns}
    finally:
        db.close()
    tables["sources"]["label_column"] = "path"
    return {"title": journal.settings.title or journal.root.name, "description": journal.settings.aircraft,
            "databases": {DATABASE: described}}


def application(journal: Journal, host: str = HOST, secret: str | None = None) -> Datasette:
    """Datasette with the journal's database and the pages.

    `secret` is asked of every visitor where `host` is not this computer alone. Raises WitnessmarkError where Datasette
    is not installed or the journal has not been indexed.
    """
    try:
        from datasette.app import Datasette
    except ImportError:
        raise WitnessmarkError('the pages are not installed: run `pip install "witnessmark[pages]"`') from None
    told = metadata(journal)
    folder = plugins_folder()
    datasette = Datasette(
        [str(journal.database)], metadata=told, plugins_dir=str(folder),
        template_dir=str(folder / "templates"), static_mounts=[("look", str(folder / "static"))],
        settings={"sql_time_limit_ms": SQL_MILLISECONDS, "max_returned_rows": 2000, "allow_download": False,
                  "default_cache_ttl": 0})
    keep(datasette, Pages(journal, Guard(is_loopback(host), host, secret or None)))
    return datasette


def is_loopback(host: str) -> bool:
    """True where only this computer can reach the address."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def serve(journal: Journal, host: str = HOST, port: int = PORT, secret: str | None = None) -> None:
    """Serve the pages until interrupted. Away from loopback they can be written to only with a secret."""
    pages = application(journal, host, secret)
    import uvicorn

    uvicorn.run(pages.app(), host=host, port=port, log_level="warning", server_header=False, proxy_headers=False)
