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


def plugins_folder() -> Path:
    """The folder of the pages: inside an installed package, or beside `src` in a checkout."""
    package = Path(str(resources.files("witnessmark")))
    for place in (package / PLUGINS_IN_PACKAGE, package.parent.parent / "plugins"):
        if (place / "days.py").is_file():
            return place
    raise WitnessmarkError("the pages are missing from this installation: install witnessmark again")


def metadata(journal: Journal) -> dict[str, Any]:
    """Datasette's metadata: the journal's title, and every table and column in words."""
    return {"title": journal.settings.title or journal.root.name, "description": journal.settings.aircraft,
            "databases": {DATABASE: schema.describe()}}


def application(journal: Journal, host: str = HOST, secret: str | None = None) -> Datasette:
    """Datasette with the journal's database and the pages.

    `secret` is asked of every visitor where `host` is not this computer alone. Raises WitnessmarkError where Datasette
    is not installed or the journal has not been indexed.
    """
    try:
        from datasette.app import Datasette
    except ImportError:
        raise WitnessmarkError('the pages are not installed: run `pip install "witnessmark[pages]"`') from None
    open_to_read(journal.database).close()
    folder = plugins_folder()
    datasette = Datasette(
        [str(journal.database)], metadata=metadata(journal), plugins_dir=str(folder),
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
