"""Look: how ids, dates and figures are said in templates, and the way back from Datasette's own pages."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl

from witnessmark import words
from witnessmark.serving.page import NAVIGATION
from witnessmark.serving.state import is_ours

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
def menu_links(datasette: Any) -> list[dict[str, str]]:
    return [{"href": href, "label": label} for href, label in NAVIGATION] if is_ours(datasette) else []
