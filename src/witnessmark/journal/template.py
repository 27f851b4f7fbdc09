"""The first `journal.toml` of a journal, with every setting explained."""
from __future__ import annotations

import json
from collections.abc import Sequence

TEMPLATE = """\
# The settings of this build journal. Lines that begin with # are remarks.

[journal]
title = {title}
# What is being built: name, and the kind of construction (metal, wood, composite, tube and fabric).
aircraft = {aircraft}
# The zone of your days, a name of the IANA time zone database: "America/Denver", "Europe/Berlin".
timezone = {timezone}
# ISO 4217: "USD", "CAD", "EUR", "GBP", "AUD" …
currency = {currency}
# Who builds. The first name is the one who speaks where nothing else is said.
builders = {builders}
# Unpaid helpers, by the names that you use when you speak.
helpers = {helpers}
# People and shops that you pay, by the names that you use when you speak.
hired = {hired}

# A camera whose clock was wrong: what has to be added to its times. Days d, hours h, minutes m, seconds s.
# [[camera]]
# model = "C200"
# offset = "+365d 7h"

# The speech model: a name or a folder. Without it the installed weights are used.
# [speech]
# model = "base"

# Your own words: the name on the left, other words for the same thing on the right.
# Kinds: parts, assemblies, tasks, tools, materials, consumables, hardware, safety_gear.
# [vocabulary.parts]
# "tail fairing" = ["tailcone cap"]
"""


def text(title: str, aircraft: str, timezone: str, currency: str, builders: Sequence[str] = (),
         helpers: Sequence[str] = (), hired: Sequence[str] = ()) -> str:
    """`journal.toml` with these values, written as JSON, whose strings and lists TOML reads as well."""
    values = {"title": title, "aircraft": aircraft, "timezone": timezone, "currency": currency,
              "builders": list(builders), "helpers": list(helpers), "hired": list(hired)}
    return TEMPLATE.format(**{name: json.dumps(value, ensure_ascii=False) for name, value in values.items()})
