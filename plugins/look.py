"""Look: how ids, dates and figures are said in templates, and the way back from Datasette's own pages."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from markupsafe import Markup

from witnessmark import words
from witnessmark.serving.page import NAVIGATION
from witnessmark.serving.state import is_ours
from witnessmark.store.schema import RECORD_TABLES

RECORDS = frozenset({*RECORD_TABLES, "timeline", "not_performed", "ledger_hours", "spend", "open_jobs"})
"""Tables and views whose rows are records with a clip."""

FILTERS = {"day_text": words.day, "short_day": words.short_day, "month_text": words.month, "date_text": words.date,
           "on_date": words.on_date, "moment_text": words.moment, "task_text": words.task, "done_text": words.done,
           "assembly_text": words.assembly, "thing": words.thing, "who_text": words.who, "by_text": words.by,
           "status_text": words.status, "clock": words.clock, "money": words.span, "hours_text": words.hours,
           "caution": words.caution, "sure_text": words.sure, "first_upper": words.first_upper}


@hookimpl
def prepare_jinja2_environment(env: Any) -> None:
    env.filters.update(FILTERS)
    env.globals.update(plural=words.plural, BASES=words.BASES, TAG_BASES=words.TAG_BASES, KINDS=words.KINDS,
                       WHO_MANY=words.WHO_MANY, COATED=words.COATED, is_on_day=words.is_on_day)


@hookimpl
def render_cell(row: Any, value: Any, column: str, table: str | None, datasette: Any) -> Markup | None:
    """In Datasette's tables a record leads to its clip and to why it says so."""
    if value is None or not is_ours(datasette) or table not in RECORDS:
        return None
    if column == "start":
        source = row["source_id"]
        # Datasette puts the path of the source beside its id where it shows one for the other.
        identity = source["value"] if isinstance(source, dict) else source
        return Markup('<a href="/clip/{}?t={:.2f}">▶ {}</a>').format(identity, value, words.clock(value))
    if column in ("id", "quote"):
        return Markup('<a href="/why/{}">{}</a>').format(row["id"], value)
    return None


@hookimpl
def menu_links(datasette: Any) -> list[dict[str, str]]:
    return [{"href": href, "label": label} for href, label in NAVIGATION] if is_ours(datasette) else []
