"""The pages: Datasette over the journal's database, read-only, on this computer only."""
from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from witnessmark.errors import WitnessmarkError
from witnessmark.journal import Journal
from witnessmark.store import open_to_read, schema

if TYPE_CHECKING:
    from datasette.app import Datasette

HOST, PORT = "127.0.0.1", 8017
SQL_MILLISECONDS = 2000
DATABASE = "journal"


def plugins_folder() -> Path:
    """The folder of the pages: inside an installed package, or beside `src` in a checkout."""
    package = Path(str(resources.files("witnessmark")))
    for place in (package / "plugins", package.parent.parent / "plugins"):
        if place.is_dir():
            return place
    raise WitnessmarkError("the pages are missing from this installation: install witnessmark again")


def metadata(journal: Journal) -> dict[str, Any]:
    """Datasette's metadata: every table and column in words, and for the plugins the journal's folder."""
    return {"title": journal.settings.title or journal.root.name, "description": journal.settings.aircraft,
            "databases": {DATABASE: schema.describe()},
            "plugins": {"witnessmark": {"folder": str(journal.root)}}}


def application(journal: Journal) -> Datasette:
    """Datasette with the journal's database and the pages. Raises WitnessmarkError where it is not installed."""
    try:
        from datasette.app import Datasette
    except ImportError:
        raise WitnessmarkError('the pages are not installed: run `pip install "witnessmark[pages]"`') from None
    open_to_read(journal.database).close()
    folder = plugins_folder()
    return Datasette(
        [str(journal.database)], metadata=metadata(journal), plugins_dir=str(folder),
        template_dir=str(folder / "templates") if (folder / "templates").is_dir() else None,
        static_mounts=[("pages", str(folder / "static"))] if (folder / "static").is_dir() else None,
        settings={"sql_time_limit_ms": SQL_MILLISECONDS, "max_returned_rows": 2000, "allow_download": False})


def serve(journal: Journal, host: str = HOST, port: int = PORT) -> None:
    """Serve the pages until interrupted."""
    pages = application(journal)
    import uvicorn

    uvicorn.run(pages.app(), host=host, port=port, log_level="warning", server_header=False)
